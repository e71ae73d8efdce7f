//! Byte strings of fixed length that name things in a log.

use core::fmt;

use sha2::{Digest, Sha256};

/// A newtype over a CBOR byte string of fixed length, shown as hexadecimal.
macro_rules! fixed_bytes {
    ($(#[$doc:meta])* $name:ident, $len:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub [u8; $len]);

        impl $name {
            /// Its length in bytes.
            pub const LEN: usize = $len;

            /// The bytes.
            #[must_use]
            pub const fn as_bytes(&self) -> &[u8; $len] {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!(stringify!($name), "({})"), self)
            }
        }

        impl<C> minicbor::Encode<C> for $name {
            fn encode<W: minicbor::encode::Write>(
                &self,
                e: &mut minicbor::Encoder<W>,
                _: &mut C,
            ) -> Result<(), minicbor::encode::Error<W::Error>> {
                e.bytes(&self.0)?.ok()
            }
        }

        impl<'b, C> minicbor::Decode<'b, C> for $name {
            fn decode(
                d: &mut minicbor::Decoder<'b>,
                _: &mut C,
            ) -> Result<Self, minicbor::decode::Error> {
                let bytes = d.bytes()?;
                bytes.try_into().map(Self).map_err(|_| {
                    minicbor::decode::Error::message(concat!(
                        stringify!($name),
                        " of another length than ",
                        stringify!($len)
                    ))
                })
            }
        }
    };
}

fixed_bytes!(
    /// SHA-256 (FIPS 180-4) of an entry's or charter's exact bytes.
    Hash, 32);
fixed_bytes!(
    /// What names a game: the hash of its [`Setup`](super::Setup), so that two
    /// officials who start from one setup write two logs of one game.
    GameId, 32);
fixed_bytes!(
    /// Sixteen bytes, drawn at random or derived from a charter, that keep two
    /// games of the same teams apart.
    GameMark, 16);
fixed_bytes!(
    /// The first sixteen bytes of the SHA-256 of a public key.
    Fingerprint, 16);

fixed_bytes!(
    /// A bare Ed25519 signature (RFC 8032).
    Signature, 64);

impl Hash {
    /// The hash of some bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }
}

impl GameMark {
    /// The mark of a fixture in a charter, the same on every phone that holds
    /// the charter. `game` counts the games of that fixture from 1: a series or
    /// a game started again after rain.
    #[must_use]
    pub fn scheduled(charter: &Hash, fixture: u32, game: u8) -> Self {
        let mut sha = Sha256::new();
        sha.update(b"chalkbook:scheduled");
        sha.update(charter.0);
        sha.update(fixture.to_be_bytes());
        sha.update([game]);
        let full: [u8; 32] = sha.finalize().into();
        let mut mark = [0; Self::LEN];
        mark.copy_from_slice(&full[..Self::LEN]);
        Self(mark)
    }
}
