//! One signed entry of a log.
//!
//! ```text
//! payload = [format: 1, game: bstr .size 32, seq: uint,
//!            previous: bstr .size 32 / null, claimed: uint, body]
//! ```
//! Deterministic CBOR (RFC 8949 4.2.1) inside a COSE_Sign1 (RFC 9052).

use alloc::vec::Vec;
use core::fmt;

use super::body::{Body, TooLarge};
use super::cose::{self, Domain, Envelope, EnvelopeError};
use super::text::{ControlCharacter, control_in};
use super::{Fingerprint, GameId, Hash, OutOfTime, PublicKey, SecretKey};

/// The format written, and the newest one read.
pub const FORMAT: u64 = 1;

/// What an entry's author signs.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Payload {
    /// The game.
    pub game: GameId,
    /// The author's sequence number in this game, from 0.
    pub seq: u64,
    /// Hash of the author's previous entry; `None` for the opening.
    pub previous: Option<Hash>,
    /// When it was recorded as the phone's clock had it, milliseconds since
    /// 1970 UTC. A claim: clocks are wrong and can be set.
    pub claimed_ms: u64,
    /// What it says.
    pub body: Body,
}

/// Why bytes are no entry of a log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EntryError {
    /// The signed envelope.
    Envelope(EnvelopeError),
    /// Written by a newer app.
    FutureFormat {
        /// The format found.
        found: u64,
    },
    /// The signed content is no entry.
    MalformedPayload,
    /// The content is not in its one exact encoding, or holds more than this
    /// format knows.
    NotDeterministic,
    /// A field is longer than a log keeps.
    TooLarge(TooLarge),
    /// A text holds a character that no log keeps.
    ControlCharacter(ControlCharacter),
    /// A time outside the years that a log may name.
    OutOfTime(OutOfTime),
}

impl EntryError {
    /// The documented name, as verifiers print it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Envelope(e) => e.name(),
            Self::FutureFormat { .. } => "future-format",
            Self::MalformedPayload => "malformed-payload",
            Self::NotDeterministic => "not-deterministic",
            Self::TooLarge(_) => "too-large",
            Self::ControlCharacter(_) => "control-character",
            Self::OutOfTime(_) => "out-of-time",
        }
    }
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Envelope(e) => e.fmt(f),
            Self::FutureFormat { found } => write!(
                f,
                "It was written by a newer app (format {found}): update this app to read it."
            ),
            Self::MalformedPayload => {
                f.write_str("What was signed is no entry of a play log: it is of another kind or damaged.")
            }
            Self::NotDeterministic => f.write_str(
                "It is not written in the one exact form that is allowed: it was changed or made by other means.",
            ),
            Self::TooLarge(t) => t.fmt(f),
            Self::ControlCharacter(c) => c.fmt(f),
            Self::OutOfTime(t) => t.fmt(f),
        }
    }
}

impl core::error::Error for EntryError {}

impl From<EnvelopeError> for EntryError {
    fn from(e: EnvelopeError) -> Self {
        Self::Envelope(e)
    }
}

impl From<TooLarge> for EntryError {
    fn from(e: TooLarge) -> Self {
        Self::TooLarge(e)
    }
}

impl From<ControlCharacter> for EntryError {
    fn from(e: ControlCharacter) -> Self {
        Self::ControlCharacter(e)
    }
}

impl From<OutOfTime> for EntryError {
    fn from(e: OutOfTime) -> Self {
        Self::OutOfTime(e)
    }
}

impl Payload {
    /// The deterministic encoding.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let fields = (
            FORMAT,
            &self.game,
            self.seq,
            self.previous,
            self.claimed_ms,
            &self.body,
        );
        // Writing to memory cannot fail.
        minicbor::to_vec(fields).unwrap_or_default()
    }

    /// Reads a payload.
    ///
    /// # Errors
    /// When the bytes are no payload of a known format in its one exact
    /// encoding with every field in bounds.
    pub fn parse(bytes: &[u8]) -> Result<Self, EntryError> {
        let mut d = minicbor::Decoder::new(bytes);
        let malformed = |_| EntryError::MalformedPayload;
        let members = d.array().map_err(malformed)?;
        let found = d.u64().map_err(malformed)?;
        if found > FORMAT {
            return Err(EntryError::FutureFormat { found });
        }
        match members {
            _ if found < FORMAT => return Err(EntryError::MalformedPayload),
            None => return Err(EntryError::NotDeterministic),
            Some(6) => {}
            Some(_) => return Err(EntryError::MalformedPayload),
        }
        let payload = Self {
            game: d.decode().map_err(malformed)?,
            seq: d.u64().map_err(malformed)?,
            previous: d.decode().map_err(malformed)?,
            claimed_ms: d.u64().map_err(malformed)?,
            body: d.decode().map_err(malformed)?,
        };
        if d.position() != bytes.len() {
            return Err(EntryError::MalformedPayload);
        }
        if payload.to_bytes() != bytes {
            return Err(EntryError::NotDeterministic);
        }
        payload.body.fits()?;
        control_in(bytes)?;
        OutOfTime::check(payload.claimed_ms)?;
        if let Body::Opening(opening) = &payload.body {
            opening.setup.starts.map_or(Ok(()), OutOfTime::check)?;
        }
        Ok(payload)
    }
}

/// Marks an entry or charter whose signature was not checked yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unverified(());

/// Marks an entry or charter whose signature was checked. Carries the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verified {
    key: PublicKey,
}

impl Verified {
    pub(crate) const fn by(key: PublicKey) -> Self {
        Self { key }
    }
    pub(crate) const fn key(&self) -> &PublicKey {
        &self.key
    }
}

impl Unverified {
    pub(crate) const fn new() -> Self {
        Self(())
    }
}

/// A signed entry with the exact bytes it came in. Only an
/// `Entry<Verified>` enters a [`Chain`](super::Chain).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry<State> {
    envelope: Envelope,
    payload: Payload,
    state: State,
}

impl<State> Entry<State> {
    /// Most bytes of one entry.
    pub const BYTES_LIMIT: usize = 32 * 1024;

    /// What was signed.
    #[must_use]
    pub fn payload(&self) -> &Payload {
        &self.payload
    }

    /// What it says.
    #[must_use]
    pub fn body(&self) -> &Body {
        &self.payload.body
    }

    /// The exact signed bytes, as stored and exchanged.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        self.envelope.bytes()
    }

    /// SHA-256 of the exact bytes.
    #[must_use]
    pub fn hash(&self) -> Hash {
        self.envelope.hash()
    }

    /// The fingerprint of the key that is said to have signed it.
    #[must_use]
    pub fn kid(&self) -> Fingerprint {
        self.envelope.kid()
    }
}

impl Entry<Unverified> {
    /// Reads one entry and nothing else.
    ///
    /// # Errors
    /// When the bytes are no entry. A good form says nothing of the signature.
    pub fn parse(bytes: &[u8]) -> Result<Self, EntryError> {
        let envelope = Envelope::parse(bytes, Self::BYTES_LIMIT)?;
        let payload = Payload::parse(envelope.payload())?;
        Ok(Self {
            envelope,
            payload,
            state: Unverified::new(),
        })
    }

    /// The key that an opening gives for itself. An opening checked with it
    /// proves that whoever holds that key wrote it, not who that is.
    #[must_use]
    pub fn opening_key(&self) -> Option<&PublicKey> {
        match self.body() {
            Body::Opening(o) => Some(&o.author.key),
            _ => None,
        }
    }

    /// Checks the signature.
    ///
    /// # Errors
    /// When the entry names another key, or the signature does not fit.
    pub fn verify(self, key: &PublicKey) -> Result<Entry<Verified>, EntryError> {
        self.envelope.verify(self.body().domain(), key)?;
        Ok(Entry {
            envelope: self.envelope,
            payload: self.payload,
            state: Verified::by(*key),
        })
    }
}

impl Entry<Unverified> {
    /// Takes an entry as signed without checking it: its hash is in a later
    /// entry whose signature the caller checks, and all of it was checked
    /// before it was kept. [`super::Chain::reopen`] says why that is enough.
    ///
    /// # Errors
    /// When the entry names another key.
    pub(super) fn covered_by_a_later_one(
        self,
        key: &PublicKey,
    ) -> Result<Entry<Verified>, EntryError> {
        let (named, expected) = (self.kid(), key.fingerprint());
        if named != expected {
            return Err(EnvelopeError::OtherKey { named, expected }.into());
        }
        Ok(Entry {
            envelope: self.envelope,
            payload: self.payload,
            state: Verified::by(*key),
        })
    }
}

impl Entry<Verified> {
    /// The key that signed it.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        self.state.key()
    }
}

/// An entry that waits for its signature, which may be made outside the
/// engine: sign [`Unsigned::to_be_signed`], then [`Unsigned::assemble`].
#[derive(Clone, Debug)]
pub struct Unsigned {
    payload: Payload,
    encoded: Vec<u8>,
    key: PublicKey,
}

impl Unsigned {
    /// Prepares an entry for signing with `key`.
    ///
    /// # Errors
    /// When a field is longer than a log keeps.
    pub fn new(payload: Payload, key: PublicKey) -> Result<Self, TooLarge> {
        payload.body.fits()?;
        let encoded = payload.to_bytes();
        // What surrounds the payload is less than 200 bytes.
        let most = Entry::<Unverified>::BYTES_LIMIT - 200;
        super::body::at_most("entry", encoded.len(), most)?;
        Ok(Self {
            payload,
            encoded,
            key,
        })
    }

    /// What will be signed.
    #[must_use]
    pub fn payload(&self) -> &Payload {
        &self.payload
    }

    /// The key whose signature is awaited.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        &self.key
    }

    fn domain(&self) -> Domain {
        self.payload.body.domain()
    }

    /// The bytes to sign with Ed25519 (pure, no pre-hash).
    #[must_use]
    pub fn to_be_signed(&self) -> Vec<u8> {
        cose::to_be_signed(self.domain(), &self.key.fingerprint(), &self.encoded)
    }

    /// Puts the entry together and checks the signature, so that a failing
    /// signer is noticed before anything is stored.
    ///
    /// # Errors
    /// When the signature does not fit.
    pub fn assemble(self, signature: &[u8; 64]) -> Result<Entry<Verified>, EntryError> {
        let kid = self.key.fingerprint();
        let domain = self.domain();
        let envelope = Envelope::assemble(kid, self.encoded, *signature);
        envelope.verify(domain, &self.key)?;
        Ok(Entry {
            envelope,
            payload: self.payload,
            state: Verified::by(self.key),
        })
    }

    /// Signs through a closure that may fail.
    ///
    /// # Errors
    /// The signer's error, or that its signature does not fit.
    pub fn sign_with<E: From<EntryError>>(
        self,
        sign: impl FnOnce(&[u8]) -> Result<[u8; 64], E>,
    ) -> Result<Entry<Verified>, E> {
        let signature = sign(&self.to_be_signed())?;
        Ok(self.assemble(&signature)?)
    }

    /// Signs with a key held here.
    ///
    /// # Errors
    /// When it is another key than the entry was prepared for.
    pub fn sign(self, secret: &SecretKey) -> Result<Entry<Verified>, EntryError> {
        self.sign_with(|bytes| Ok(secret.sign(bytes)))
    }
}

#[cfg(test)]
mod tests;
