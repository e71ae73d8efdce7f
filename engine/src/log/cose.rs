//! The signed envelope that entries, statements and charters share.
//!
//! ```text
//! Envelope  = #6.18([protected: bstr, unprotected: {}, payload: bstr, signature: bstr .size 64])
//! protected = << {1: -8, 4: bstr .size 16} >>      ; alg EdDSA, kid
//! signed    = ["Signature1", protected, external_aad: bstr, payload]
//! ```
//! RFC 9052 (COSE_Sign1, Sig_structure), RFC 9053 2.2 (EdDSA), RFC 8032 5.1
//! (Ed25519). The received bytes are kept: verifying never re-encodes.

use alloc::sync::Arc;
use alloc::vec::Vec;

use minicbor::data::Tag;
use minicbor::{Decoder, Encoder};

use super::cbor::Extent;
use super::{Fingerprint, Hash, PublicKey};
use crate::message::localized;

/// What a signature is for. A signature made for one never verifies as another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Domain {
    /// An entry of a play log.
    Log,
    /// A final statement or its co-signature.
    Statement,
    /// An event charter.
    Charter,
    /// A key that goes on with a log, by that key itself.
    NewKey,
    /// A collector's receipt.
    Receipt,
    /// A collector's order.
    Order,
}

impl Domain {
    /// The `external_aad` of the signature (RFC 9052 4.3).
    #[must_use]
    pub const fn tag(self) -> &'static [u8] {
        match self {
            Self::Log => b"chalkbook:log",
            Self::Statement => b"chalkbook:statement",
            Self::Charter => b"chalkbook:charter",
            Self::NewKey => b"chalkbook:key",
            Self::Receipt => b"chalkbook:receipt",
            Self::Order => b"chalkbook:order",
        }
    }
}

/// What is wrong with a signed envelope's own form or signature.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EnvelopeError {
    /// More bytes than an envelope of this kind may have.
    TooLong {
        /// Bytes given.
        given: usize,
        /// Bytes allowed.
        most: usize,
    },
    /// The bytes stop in the middle.
    CutShort,
    /// Bytes follow after the end.
    Trailing {
        /// How many.
        bytes: usize,
    },
    /// Not a COSE_Sign1.
    MalformedCose,
    /// A COSE_Sign1, but with other headers than ours.
    OtherHeaders,
    /// Signed with another algorithm than EdDSA.
    OtherAlgorithm,
    /// The same content in another encoding than the deterministic one.
    NotDeterministic,
    /// The key named in the envelope is not the key it was checked against.
    OtherKey {
        /// The key named.
        named: Fingerprint,
        /// The key it was checked against.
        expected: Fingerprint,
    },
    /// The signature does not belong to these bytes and this key.
    BadSignature,
}

/// A COSE_Sign1 in our one accepted form, with the exact bytes it came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Envelope {
    bytes: Arc<[u8]>,
    hash: Hash,
    kid: Fingerprint,
    protected: Vec<u8>,
    payload: Vec<u8>,
    signature: [u8; 64],
}

/// COSE_Sign1 (RFC 9052 2).
const SIGN1: Tag = Tag::new(18);
/// The label of the algorithm, and EdDSA, as they are encoded (RFC 9052 3.1,
/// RFC 9053 2.2).
const ALG: u8 = 0x01;
const EDDSA: u8 = 0x27;
/// The protected header up to its `kid` of 16 bytes: a map of two, `alg` EdDSA.
const HEADER: [u8; 5] = [0xa2, ALG, EDDSA, 0x04, 0x50];

type Encoded = Result<Vec<u8>, minicbor::encode::Error<core::convert::Infallible>>;

/// Writing to memory cannot fail.
fn written(made: Encoded) -> Vec<u8> {
    made.unwrap_or_default()
}

/// The protected header's bytes for a key.
fn protected(kid: &Fingerprint) -> Vec<u8> {
    [&HEADER[..], &kid.0].concat()
}

/// The bytes that a signature covers: the only place that makes them.
pub(crate) fn to_be_signed(domain: Domain, kid: &Fingerprint, payload: &[u8]) -> Vec<u8> {
    sig_structure(domain.tag(), &protected(kid), payload)
}

fn sig_structure(external_aad: &[u8], protected: &[u8], payload: &[u8]) -> Vec<u8> {
    let made = || {
        let mut e = Encoder::new(Vec::new());
        e.array(4)?.str("Signature1")?;
        e.bytes(protected)?.bytes(external_aad)?.bytes(payload)?;
        Ok(e.into_writer())
    };
    written(made())
}

/// The four members of a COSE_Sign1 in deterministic encoding: protected
/// header, whether the unprotected one is empty, payload, signature.
type Members<'b> = (&'b [u8], bool, &'b [u8], [u8; 64]);

fn members(bytes: &[u8]) -> Option<Members<'_>> {
    let mut d = Decoder::new(bytes);
    if (d.tag().ok()?, d.array().ok()?) != (SIGN1, Some(4)) {
        return None;
    }
    let protected = d.bytes().ok()?;
    let unprotected = d.position();
    let plain = d.map().ok()? == Some(0);
    let length = item_end(bytes.get(unprotected..)?).ok()?;
    d.set_position(unprotected + length);
    let (payload, signature) = (d.bytes().ok()?, d.bytes().ok()?);
    Some((protected, plain, payload, signature.try_into().ok()?))
}

/// The value of a number in a map of deterministic encoding: its bytes.
fn value_of(map: &[u8], number: u8) -> Option<&[u8]> {
    let mut d = Decoder::new(map);
    let pairs = d.map().ok()??;
    let mut rest = map.get(d.position()..)?;
    for _ in 0..pairs {
        let (key, after) = rest.split_at_checked(item_end(rest).ok()?)?;
        let (value, after) = after.split_at_checked(item_end(after).ok()?)?;
        if *key == [number] {
            return Some(value);
        }
        rest = after;
    }
    None
}

/// The key that a protected header names, if it is one of ours.
fn key_named(protected: &[u8]) -> Result<Fingerprint, EnvelopeError> {
    // An empty header may be no bytes at all (RFC 9052, section 3).
    if protected.is_empty() {
        return Err(EnvelopeError::OtherHeaders);
    }
    let header = Extent::of_whole(protected).ok_or(EnvelopeError::MalformedCose)?;
    if Decoder::new(protected).map().is_err() {
        return Err(EnvelopeError::MalformedCose);
    }
    if !header.deterministic {
        return Err(EnvelopeError::NotDeterministic);
    }
    let algorithm = value_of(protected, ALG);
    if algorithm.is_some_and(|value| value != [EDDSA]) {
        return Err(EnvelopeError::OtherAlgorithm);
    }
    let kid = protected.strip_prefix(&HEADER);
    let kid = kid.and_then(|kid| kid.try_into().ok());
    kid.map(Fingerprint).ok_or(EnvelopeError::OtherHeaders)
}

/// Where the CBOR item that starts `bytes` ends.
pub(super) fn item_end(bytes: &[u8]) -> Result<usize, EnvelopeError> {
    Extent::of(bytes).map(|item| item.end)
}

impl Envelope {
    /// Reads one envelope and nothing else.
    pub(crate) fn parse(bytes: &[u8], most: usize) -> Result<Self, EnvelopeError> {
        let given = bytes.len();
        if given > most {
            return Err(EnvelopeError::TooLong { given, most });
        }
        let item = Extent::of(bytes)?;
        if item.end < given {
            let bytes = given - item.end;
            return Err(EnvelopeError::Trailing { bytes });
        }
        if !item.deterministic {
            return Err(EnvelopeError::NotDeterministic);
        }
        let (protected, plain, payload, signature) =
            members(bytes).ok_or(EnvelopeError::MalformedCose)?;
        let kid = key_named(protected)?;
        if !plain {
            return Err(EnvelopeError::OtherHeaders);
        }
        Ok(Self {
            bytes: bytes.into(),
            hash: Hash::of(bytes),
            kid,
            protected: protected.to_vec(),
            payload: payload.to_vec(),
            signature,
        })
    }

    /// Puts an envelope together.
    pub(crate) fn assemble(kid: Fingerprint, payload: Vec<u8>, signature: [u8; 64]) -> Self {
        let protected = protected(&kid);
        let made = || {
            let mut e = Encoder::new(Vec::new());
            e.tag(SIGN1)?.array(4)?.bytes(&protected)?.map(0)?;
            e.bytes(&payload)?.bytes(&signature)?;
            Ok(e.into_writer())
        };
        let bytes: Arc<[u8]> = written(made()).into();
        let hash = Hash::of(&bytes);
        Self {
            bytes,
            hash,
            kid,
            protected,
            payload,
            signature,
        }
    }

    /// Checks the signature, strictly (RFC 8032 5.1.7; no keys or points of
    /// small order, no second encoding of a signature).
    pub(crate) fn verify(&self, domain: Domain, key: &PublicKey) -> Result<(), EnvelopeError> {
        let expected = key.fingerprint();
        if self.kid != expected {
            return Err(EnvelopeError::OtherKey {
                named: self.kid,
                expected,
            });
        }
        let signed = sig_structure(domain.tag(), &self.protected, &self.payload);
        if key.accepts(&signed, &self.signature) {
            Ok(())
        } else {
            Err(EnvelopeError::BadSignature)
        }
    }

    pub(crate) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    pub(crate) fn hash(&self) -> Hash {
        self.hash
    }

    pub(crate) fn kid(&self) -> Fingerprint {
        self.kid
    }

    pub(crate) fn payload(&self) -> &[u8] {
        &self.payload
    }
}

#[cfg(test)]
mod tests;
