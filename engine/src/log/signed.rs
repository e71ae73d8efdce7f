//! What people sign: one life for entries and charters, from the draft over the
//! signature to the checked object with the exact bytes it came in.
//!
//! ```text
//! payload = [format: 1, ...members of the content]
//! ```
//! Deterministic CBOR (RFC 8949 4.2.1) inside a COSE_Sign1 (RFC 9052).

use alloc::vec::Vec;

use super::bounds::{Field, at_most};
use super::cbor::Extent;
use super::cose::{self, Domain, Envelope, EnvelopeError};
use super::text::{ControlCharacter, control_in};
use super::{Fingerprint, Hash, OutOfTime, PublicKey, SecretKey, TooLarge};
use crate::message::localized;

/// The format written, and the newest one read.
pub const FORMAT: u64 = 1;

/// Why bytes are no entry of a log, or no charter.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EntryError {
    /// The signed envelope.
    #[message(transparent)]
    Envelope(#[from] EnvelopeError),
    /// Written by a newer app.
    FutureFormat {
        /// The format found.
        found: u64,
    },
    /// The signed content is no entry.
    MalformedPayload,
    /// A field is longer than a log keeps.
    #[message(transparent)]
    TooLarge(#[from] TooLarge),
    /// A text holds a character that no log keeps.
    #[message(transparent)]
    ControlCharacter(#[from] ControlCharacter),
    /// A time outside the years that a log may name.
    #[message(transparent)]
    OutOfTime(#[from] OutOfTime),
}

/// What can be signed: the payload of an entry, and a charter.
pub trait Content: Sized {
    /// What it is called where it is too large.
    const NAME: Field;
    /// Most bytes of the whole signed object.
    const BYTES_LIMIT: usize;
    /// Members of the payload's array, the format included.
    const MEMBERS: u64;

    /// What the signature is for.
    fn domain(&self) -> Domain;

    /// The payload's deterministic encoding.
    fn to_bytes(&self) -> Vec<u8>;

    /// Reads the members after the format.
    ///
    /// # Errors
    /// When they are of another kind.
    fn read_members(d: &mut minicbor::Decoder<'_>) -> Result<Self, minicbor::decode::Error>;

    /// Whether no field is longer than is kept.
    ///
    /// # Errors
    /// The first field that is.
    fn fits(&self) -> Result<(), TooLarge>;

    /// Whether every time in it can be.
    ///
    /// # Errors
    /// The first that cannot.
    fn check_times(&self) -> Result<(), OutOfTime>;

    /// Reads a payload.
    ///
    /// # Errors
    /// When the bytes are no payload of a known format in its one exact encoding
    /// with every field in bounds.
    fn parse(bytes: &[u8]) -> Result<Self, EntryError> {
        let content = read(bytes).filter(|content: &Self| content.to_bytes() == bytes);
        let content = content.ok_or_else(|| why_none(bytes))?;
        content.fits()?;
        control_in(bytes)?;
        content.check_times()?;
        Ok(content)
    }
}

/// Reads the members of a payload of this format, in whatever encoding.
fn read<C: Content>(bytes: &[u8]) -> Option<C> {
    let mut d = minicbor::Decoder::new(bytes);
    let head = (d.array().ok()?, d.u64().ok()?);
    let content = (head == (Some(C::MEMBERS), FORMAT)).then(|| C::read_members(&mut d));
    let content = content?.ok()?;
    (d.position() == bytes.len()).then_some(content)
}

/// What is wrong with a payload that is not exactly what it would be written
/// as. The order of the checks is the format's: it asks for the encoding before
/// what the grammar says, so that no reader needs to read what is written
/// otherwise.
fn why_none(bytes: &[u8]) -> EntryError {
    let Some(item) = Extent::of_whole(bytes) else {
        return EntryError::MalformedPayload;
    };
    let mut d = minicbor::Decoder::new(bytes);
    let found = d.array().and_then(|_| d.u64()).ok();
    if let Some(found) = found.filter(|found| *found > FORMAT) {
        return EntryError::FutureFormat { found };
    }
    match item.deterministic {
        true => EntryError::MalformedPayload,
        false => EnvelopeError::NotDeterministic.into(),
    }
}

/// Marks what has a signature that was not checked yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unverified(());

/// Marks what has a good signature. Carries the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verified {
    key: PublicKey,
}

/// A signed object with the exact bytes it came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signed<C, State> {
    envelope: Envelope,
    content: C,
    state: State,
}

impl<C: Content, State> Signed<C, State> {
    /// Most bytes of one.
    pub const BYTES_LIMIT: usize = C::BYTES_LIMIT;
}

impl<C, State> Signed<C, State> {
    /// What was signed.
    #[must_use]
    pub fn content(&self) -> &C {
        &self.content
    }

    /// The exact signed bytes, as stored and exchanged.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        self.envelope.bytes()
    }

    /// SHA-256 of the exact bytes, which what comes later names.
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

impl<C: Content> Signed<C, Unverified> {
    /// Reads one signed object and nothing else.
    ///
    /// # Errors
    /// When the bytes are none. A good form says nothing of the signature.
    pub fn parse(bytes: &[u8]) -> Result<Self, EntryError> {
        Self::of(Envelope::parse(bytes, C::BYTES_LIMIT)?)
    }

    /// Reads what an envelope holds.
    pub(super) fn of(envelope: Envelope) -> Result<Self, EntryError> {
        Ok(Self {
            content: C::parse(envelope.payload())?,
            envelope,
            state: Unverified(()),
        })
    }

    /// Checks the signature.
    ///
    /// # Errors
    /// When it names another key, or the signature does not fit.
    pub(crate) fn verify_with(self, key: &PublicKey) -> Result<Signed<C, Verified>, EntryError> {
        self.envelope.verify(self.content.domain(), key)?;
        Ok(self.trust(*key))
    }

    /// Takes it as signed without checking it: its hash is in a later object
    /// whose signature the caller checks, and all of it was checked before it
    /// was kept. [`super::Chain::reopen`] says why that is enough.
    ///
    /// # Errors
    /// When it names another key.
    pub(super) fn covered_by_a_later_one(
        self,
        key: &PublicKey,
    ) -> Result<Signed<C, Verified>, EntryError> {
        let (named, expected) = (self.kid(), key.fingerprint());
        if named != expected {
            return Err(EnvelopeError::OtherKey { named, expected }.into());
        }
        Ok(self.trust(*key))
    }

    fn trust(self, key: PublicKey) -> Signed<C, Verified> {
        Signed {
            envelope: self.envelope,
            content: self.content,
            state: Verified { key },
        }
    }
}

impl<C> Signed<C, Verified> {
    /// The key that signed it.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        &self.state.key
    }
}

/// What waits for its signature, which may be made outside the engine: sign
/// [`Unsigned::to_be_signed`], then [`Unsigned::assemble`].
#[derive(Clone, Debug)]
pub struct Unsigned<C = super::Payload> {
    content: C,
    encoded: Vec<u8>,
    key: PublicKey,
}

impl<C: Content> Unsigned<C> {
    /// Prepares something for signing with `key`.
    ///
    /// # Errors
    /// When a field is longer than is kept.
    pub fn new(content: C, key: PublicKey) -> Result<Self, TooLarge> {
        content.fits()?;
        let encoded = content.to_bytes();
        // What surrounds the payload is less than 200 bytes.
        at_most(C::NAME, encoded.len(), C::BYTES_LIMIT - 200)?;
        Ok(Self {
            content,
            encoded,
            key,
        })
    }

    /// What will be signed.
    #[must_use]
    pub fn content(&self) -> &C {
        &self.content
    }

    /// The key whose signature is awaited.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        &self.key
    }

    /// The bytes to sign with Ed25519 (pure, no pre-hash).
    #[must_use]
    pub fn to_be_signed(&self) -> Vec<u8> {
        let kid = self.key.fingerprint();
        cose::to_be_signed(self.content.domain(), &kid, &self.encoded)
    }

    /// Puts the object together and checks the signature, so that a failing
    /// signer is noticed before anything is stored.
    ///
    /// # Errors
    /// When the signature does not fit.
    pub fn assemble(self, signature: &[u8; 64]) -> Result<Signed<C, Verified>, EntryError> {
        let unverified = Signed {
            envelope: Envelope::assemble(self.key.fingerprint(), self.encoded, *signature),
            content: self.content,
            state: Unverified(()),
        };
        unverified.verify_with(&self.key)
    }

    /// Signs through a closure that may fail.
    ///
    /// # Errors
    /// The signer's error, or that its signature does not fit.
    pub fn sign_with<E: From<EntryError>>(
        self,
        sign: impl FnOnce(&[u8]) -> Result<[u8; 64], E>,
    ) -> Result<Signed<C, Verified>, E> {
        let signature = sign(&self.to_be_signed())?;
        Ok(self.assemble(&signature)?)
    }

    /// Signs with a key held here.
    ///
    /// # Errors
    /// When it is another key than the object was prepared for.
    pub fn sign(self, secret: &SecretKey) -> Result<Signed<C, Verified>, EntryError> {
        self.sign_with(|bytes| Ok(secret.sign(bytes)))
    }
}
