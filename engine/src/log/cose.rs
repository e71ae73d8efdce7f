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
use core::fmt;

use coset::iana::Algorithm;
use coset::{
    CborSerializable, CoseSign1, CoseSign1Builder, HeaderBuilder, ProtectedHeader,
    RegisteredLabelWithPrivate, SignatureContext, TaggedCborSerializable, sig_structure_data,
};

use super::{Fingerprint, Hash, PublicKey};

/// What a signature is for. A signature made for one never verifies as another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Domain {
    /// An entry of a play log.
    Log,
    /// A final statement or its co-signature.
    Statement,
    /// An event charter.
    Charter,
}

impl Domain {
    /// The `external_aad` of the signature (RFC 9052 4.3).
    #[must_use]
    pub const fn tag(self) -> &'static [u8] {
        match self {
            Self::Log => b"chalkbook:log",
            Self::Statement => b"chalkbook:statement",
            Self::Charter => b"chalkbook:charter",
        }
    }
}

/// What is wrong with a signed envelope's own form or signature.
#[derive(Clone, Debug, PartialEq, Eq)]
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

impl EnvelopeError {
    /// The documented name, as verifiers print it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::TooLong { .. } => "too-long",
            Self::CutShort => "cut-short",
            Self::Trailing { .. } => "trailing",
            Self::MalformedCose => "malformed-cose",
            Self::OtherHeaders => "other-headers",
            Self::OtherAlgorithm => "other-algorithm",
            Self::NotDeterministic => "not-deterministic",
            Self::OtherKey { .. } => "other-key",
            Self::BadSignature => "bad-signature",
        }
    }
}

impl fmt::Display for EnvelopeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong { given, most } => {
                write!(f, "It is {given} bytes long: at most {most} are allowed.")
            }
            Self::CutShort => {
                f.write_str("It stops in the middle: the end is missing. Get the file again.")
            }
            Self::Trailing { bytes } => {
                write!(f, "{bytes} bytes follow after its end that do not belong to it.")
            }
            Self::MalformedCose => f.write_str("It is not a signed entry: the bytes are damaged or of another kind."),
            Self::OtherHeaders => f.write_str("It is signed in a form that is not used here."),
            Self::OtherAlgorithm => {
                f.write_str("It is signed with another method than Ed25519, the only one allowed.")
            }
            Self::NotDeterministic => {
                f.write_str("It is not written in the one exact form that is allowed: it was changed or made by other means.")
            }
            Self::OtherKey { named, expected } => write!(
                f,
                "It names the key {named}, but the key here is {expected}: someone else signed it."
            ),
            Self::BadSignature => {
                f.write_str("The signature does not fit: it was altered, or signed by someone else.")
            }
        }
    }
}

impl core::error::Error for EnvelopeError {}

/// A COSE_Sign1 in our one accepted form, with the exact bytes it came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Envelope {
    bytes: Arc<[u8]>,
    hash: Hash,
    kid: Fingerprint,
    protected: Vec<u8>,
    payload: Vec<u8>,
    signature: [u8; 64],
}

/// The protected header's bytes for a key.
fn protected(kid: &Fingerprint) -> Vec<u8> {
    let header = HeaderBuilder::new()
        .algorithm(Algorithm::EdDSA)
        .key_id(kid.0.to_vec())
        .build();
    // A header of two small fields always encodes.
    header.to_vec().unwrap_or_default()
}

/// The bytes that a signature covers: the only place that makes them.
pub(super) fn to_be_signed(domain: Domain, kid: &Fingerprint, payload: &[u8]) -> Vec<u8> {
    sig_structure(domain.tag(), protected(kid), payload)
}

fn sig_structure(external_aad: &[u8], protected: Vec<u8>, payload: &[u8]) -> Vec<u8> {
    let header = ProtectedHeader {
        original_data: Some(protected),
        header: coset::Header::default(),
    };
    sig_structure_data(
        SignatureContext::CoseSign1,
        header,
        None,
        external_aad,
        payload,
    )
}

/// Where the CBOR item that starts `bytes` ends.
pub(super) fn item_end(bytes: &[u8]) -> Result<usize, EnvelopeError> {
    let mut d = minicbor::Decoder::new(bytes);
    match d.skip() {
        Ok(()) => Ok(d.position()),
        Err(e) if e.is_end_of_input() => Err(EnvelopeError::CutShort),
        Err(_) => Err(EnvelopeError::MalformedCose),
    }
}

impl Envelope {
    /// Reads one envelope and nothing else.
    pub(super) fn parse(bytes: &[u8], most: usize) -> Result<Self, EnvelopeError> {
        let given = bytes.len();
        if given > most {
            return Err(EnvelopeError::TooLong { given, most });
        }
        let end = item_end(bytes)?;
        if end < given {
            return Err(EnvelopeError::Trailing { bytes: given - end });
        }
        let sign1 =
            CoseSign1::from_tagged_slice(bytes).map_err(|_| EnvelopeError::MalformedCose)?;
        let header = &sign1.protected.header;
        match &header.alg {
            Some(RegisteredLabelWithPrivate::Assigned(Algorithm::EdDSA)) => {}
            Some(_) => return Err(EnvelopeError::OtherAlgorithm),
            None => return Err(EnvelopeError::OtherHeaders),
        }
        let kid: [u8; Fingerprint::LEN] = header
            .key_id
            .as_slice()
            .try_into()
            .map_err(|_| EnvelopeError::OtherHeaders)?;
        let kid = Fingerprint(kid);
        let plain = HeaderBuilder::new()
            .algorithm(Algorithm::EdDSA)
            .key_id(kid.0.to_vec())
            .build();
        if *header != plain || !sign1.unprotected.is_empty() {
            return Err(EnvelopeError::OtherHeaders);
        }
        let signature = sign1
            .signature
            .as_slice()
            .try_into()
            .map_err(|_| EnvelopeError::MalformedCose)?;
        let payload = sign1.payload.ok_or(EnvelopeError::MalformedCose)?;
        let whole = Self::assemble(kid, payload, signature);
        if *whole.bytes != *bytes {
            return Err(EnvelopeError::NotDeterministic);
        }
        Ok(whole)
    }

    /// Puts an envelope together.
    pub(super) fn assemble(kid: Fingerprint, payload: Vec<u8>, signature: [u8; 64]) -> Self {
        let header = HeaderBuilder::new()
            .algorithm(Algorithm::EdDSA)
            .key_id(kid.0.to_vec())
            .build();
        let sign1 = CoseSign1Builder::new()
            .protected(header)
            .payload(payload.clone())
            .signature(signature.to_vec())
            .build();
        // Byte strings and a header of two small fields always encode.
        let bytes: Arc<[u8]> = sign1.to_tagged_vec().unwrap_or_default().into();
        let hash = Hash::of(&bytes);
        let protected = protected(&kid);
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
    pub(super) fn verify(&self, domain: Domain, key: &PublicKey) -> Result<(), EnvelopeError> {
        let expected = key.fingerprint();
        if self.kid != expected {
            return Err(EnvelopeError::OtherKey {
                named: self.kid,
                expected,
            });
        }
        let signed = sig_structure(domain.tag(), self.protected.clone(), &self.payload);
        if key.accepts(&signed, &self.signature) {
            Ok(())
        } else {
            Err(EnvelopeError::BadSignature)
        }
    }

    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    pub(super) fn hash(&self) -> Hash {
        self.hash
    }

    pub(super) fn kid(&self) -> Fingerprint {
        self.kid
    }

    pub(super) fn payload(&self) -> &[u8] {
        &self.payload
    }
}

#[cfg(test)]
mod tests;
