//! Officials' keys: Ed25519 (RFC 8032), their fingerprints and phrases.
//!
//! The engine draws no randomness: a key is made from 32 random bytes that the
//! caller passes in, or the signature is made outside (by the browser) and the
//! engine only puts the entry together and checks it.

use core::fmt;

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use super::wordlist::WORDS;
use super::{Fingerprint, GameId, Hash};
use crate::message::localized;

/// A public key that is a point of the curve and not of small order.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct PublicKey {
    key: VerifyingKey,
    fingerprint: Fingerprint,
}

/// Why bytes are no public key.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum KeyError {
    /// Not 32 bytes.
    #[message(count = _0)]
    Length(usize),
    /// Not a point of the curve, or one of small order that would accept
    /// signatures it did not make.
    NotAKey,
}

impl PublicKey {
    /// Length in bytes.
    pub const LEN: usize = 32;

    /// A key from its 32 bytes (RFC 8032 5.1.5).
    ///
    /// # Errors
    /// When the length is wrong or the bytes are no usable point.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, KeyError> {
        let bytes: &[u8; Self::LEN] = bytes
            .try_into()
            .map_err(|_| KeyError::Length(bytes.len()))?;
        let key = VerifyingKey::from_bytes(bytes).map_err(|_| KeyError::NotAKey)?;
        // RFC 8032 5.1.3 knows one encoding of each point only.
        let canonical = key.to_edwards().compress().to_bytes() == *bytes;
        if key.is_weak() || !canonical {
            return Err(KeyError::NotAKey);
        }
        Ok(Self::known(key))
    }

    fn known(key: VerifyingKey) -> Self {
        let full = Hash::of(key.as_bytes());
        let mut fingerprint = Fingerprint([0; Fingerprint::LEN]);
        fingerprint.0.copy_from_slice(&full.0[..Fingerprint::LEN]);
        Self { key, fingerprint }
    }

    /// The 32 bytes.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8; Self::LEN] {
        self.key.as_bytes()
    }

    /// The fingerprint, which entries carry as `kid`.
    #[must_use]
    pub const fn fingerprint(&self) -> Fingerprint {
        self.fingerprint
    }

    /// The fingerprint as words to read aloud.
    #[must_use]
    pub const fn phrase(&self) -> Phrase {
        self.fingerprint.phrase()
    }

    /// Whether this key made the signature, by the strict check.
    #[must_use]
    pub fn accepts(&self, message: &[u8], signature: &[u8; 64]) -> bool {
        self.key
            .verify_strict(message, &Signature::from_bytes(signature))
            .is_ok()
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PublicKey({})", Hash(*self.as_bytes()))
    }
}

impl core::hash::Hash for PublicKey {
    fn hash<H: core::hash::Hasher>(&self, state: &mut H) {
        self.as_bytes().hash(state);
    }
}

impl<C> minicbor::Encode<C> for PublicKey {
    fn encode<W: minicbor::encode::Write>(
        &self,
        e: &mut minicbor::Encoder<W>,
        _: &mut C,
    ) -> Result<(), minicbor::encode::Error<W::Error>> {
        e.bytes(self.as_bytes())?.ok()
    }
}

impl<'b, C> minicbor::Decode<'b, C> for PublicKey {
    fn decode(d: &mut minicbor::Decoder<'b>, _: &mut C) -> Result<Self, minicbor::decode::Error> {
        Self::from_bytes(d.bytes()?)
            .map_err(|_| minicbor::decode::Error::message("no usable public key"))
    }
}

/// A private key held by the caller, for browsers whose own cryptography has
/// no Ed25519, and for tests. Wiped from memory when dropped.
#[derive(Clone)]
pub struct SecretKey(SigningKey);

impl SecretKey {
    /// The key that 32 random bytes make (RFC 8032 5.1.5). The bytes are the
    /// secret: they come from the system's random source and stay on the phone.
    #[must_use]
    pub fn from_random(bytes: &[u8; 32]) -> Self {
        Self(SigningKey::from_bytes(bytes))
    }

    /// The public key.
    #[must_use]
    pub fn public(&self) -> PublicKey {
        PublicKey::known(self.0.verifying_key())
    }

    /// Signs bytes made by a `to_be_signed`.
    #[must_use]
    pub fn sign(&self, to_be_signed: &[u8]) -> [u8; 64] {
        self.0.sign(to_be_signed).to_bytes()
    }
}

impl fmt::Debug for SecretKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SecretKey(of {})", self.public().fingerprint())
    }
}

/// Six words that stand for the first 48 bits of a fingerprint.
///
/// Two officials read them to each other to be sure whose key it is. 48 bits
/// tell any honest mix-up; someone with much computing power could search for
/// a key with the same words, so where that matters the charter lists the
/// whole key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Phrase([u8; Phrase::WORDS]);

impl Phrase {
    /// How many words there are, eight bits each.
    pub const WORDS: usize = 6;

    /// The words.
    pub fn words(&self) -> impl Iterator<Item = &'static str> {
        self.0.into_iter().map(|b| WORDS[usize::from(b)])
    }
}

impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, word) in self.words().enumerate() {
            write!(f, "{}{word}", if i == 0 { "" } else { " " })?;
        }
        Ok(())
    }
}

impl Fingerprint {
    /// The fingerprint as words to read aloud.
    #[must_use]
    pub const fn phrase(&self) -> Phrase {
        let [a, b, c, d, e, f, ..] = self.0;
        Phrase([a, b, c, d, e, f])
    }
}

impl GameId {
    /// The game's name as words: equal on two phones when fixture, line-up
    /// cards and rule values are, and unlike any check code.
    #[must_use]
    pub const fn phrase(&self) -> Phrase {
        let [a, b, c, d, e, f, ..] = self.0;
        Phrase([a, b, c, d, e, f])
    }
}

#[cfg(test)]
mod tests;
