//! The right to read what is not public: a request signed with the key of an
//! official.
//!
//! Where a charter keeps players' names short, the logs and the charter itself,
//! which hold them in full, are for the event's officials only. There are no
//! accounts: whoever reads signs the request with the key that the charter
//! lists, or with which a log of the game is kept. The address is signed too, so
//! that whoever is asked for something cannot ask another collector for it.
//!
//! ```text
//! Authorization: Chalkbook KEY SECONDS SIGNATURE     ; in hexadecimal, decimal, hexadecimal
//! signed bytes = "chalkbook:read\n" ADDRESS "\n" PATH "\n" SECONDS
//! ```

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use data_encoding::HEXLOWER;

use crate::log::PublicKey;

/// An address as it is signed: scheme, host and port in lower case, no port where
/// it is the scheme's own, nothing after it.
#[must_use]
pub fn address(text: &str) -> String {
    let text = text.trim().to_ascii_lowercase();
    let Some((scheme, rest)) = text.split_once("://") else {
        return text;
    };
    let host = rest.split(['/', '?', '#']).next().unwrap_or_default();
    let host = match scheme {
        "https" => host.strip_suffix(":443"),
        "http" => host.strip_suffix(":80"),
        _ => None,
    }
    .unwrap_or(host);
    format!("{scheme}://{host}")
}

/// A request to read one path, by the holder of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadPass {
    /// Who reads.
    pub key: PublicKey,
    /// When it was signed (seconds since 1970), as the phone's clock had it.
    pub seconds: u64,
    signature: [u8; 64],
}

impl ReadPass {
    /// The word before the pass in an `Authorization` header.
    pub const SCHEME: &'static str = "Chalkbook";
    /// How far the phone's clock may be from the collector's (seconds): more
    /// than a day, because a pass only lets read what its key may read anyway.
    pub const TOLERANCE: u64 = 26 * 3600;

    /// The bytes to sign with Ed25519 to read a path at an address.
    #[must_use]
    pub fn to_be_signed(at: &str, path: &str, seconds: u64) -> Vec<u8> {
        let at = address(at);
        format!("chalkbook:read\n{at}\n{path}\n{seconds}").into_bytes()
    }

    /// Puts the pass together.
    #[must_use]
    pub const fn new(key: PublicKey, seconds: u64, signature: [u8; 64]) -> Self {
        Self {
            key,
            seconds,
            signature,
        }
    }

    /// The value of the `Authorization` header.
    #[must_use]
    pub fn header(&self) -> String {
        let (key, signature) = (
            HEXLOWER.encode(self.key.as_bytes()),
            HEXLOWER.encode(&self.signature),
        );
        format!("{} {key} {} {signature}", Self::SCHEME, self.seconds)
    }

    /// Reads the value of an `Authorization` header.
    #[must_use]
    pub fn read(header: &str) -> Option<Self> {
        let mut words = header.split(' ');
        if words.next() != Some(Self::SCHEME) {
            return None;
        }
        let key = HEXLOWER.decode(words.next()?.as_bytes()).ok()?;
        let seconds = words.next()?.parse().ok()?;
        let signature = HEXLOWER.decode(words.next()?.as_bytes()).ok()?;
        let done = words.next().is_none();
        done.then_some(Self {
            key: PublicKey::from_bytes(&key).ok()?,
            seconds,
            signature: signature.try_into().ok()?,
        })
    }

    /// Whether it was signed for this path at this address and at about this time
    /// (seconds).
    #[must_use]
    pub fn admits(&self, at: &str, path: &str, now: u64) -> bool {
        self.seconds.abs_diff(now) <= Self::TOLERANCE
            && self
                .key
                .accepts(&Self::to_be_signed(at, path, self.seconds), &self.signature)
    }
}
