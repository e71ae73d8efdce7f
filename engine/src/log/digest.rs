//! Byte strings of fixed length that name things in a log.

use core::fmt;

use data_encoding::HEXLOWER;
use sha2::{Digest, Sha256};

use crate::message::localized;

/// A text that is not the hexadecimal form of such a name.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub struct NotHexadecimal {
    /// How many there must be.
    pub digits: usize,
}

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
                HEXLOWER.encode_display(&self.0).fmt(f)
            }
        }

        impl core::str::FromStr for $name {
            type Err = NotHexadecimal;

            fn from_str(text: &str) -> Result<Self, NotHexadecimal> {
                let wrong = NotHexadecimal { digits: 2 * $len };
                let bytes = HEXLOWER.decode(text.as_bytes()).map_err(|_| wrong)?;
                bytes.try_into().map(Self).map_err(|_| wrong)
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use alloc::string::ToString;

    use super::*;

    #[test]
    fn a_name_is_read_as_it_is_shown_and_in_no_other_form() {
        let id = GameId(core::array::from_fn(|n| n as u8 * 7));
        let shown = id.to_string();
        assert!(shown.starts_with("00070e15"), "{shown}");
        assert_eq!(shown.parse(), Ok(id));
        let digits = 64;
        for other in [
            "",
            &shown[2..],
            &shown.to_uppercase(),
            &shown.replace('0', "g"),
        ] {
            assert_eq!(
                other.parse::<GameId>(),
                Err(NotHexadecimal { digits }),
                "{other}"
            );
        }
    }
}
