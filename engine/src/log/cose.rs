//! The signed envelope that entries, statements and charters share.
//!
//! ```text
//! Envelope  = #6.18([protected: bstr, unprotected: {}, payload: bstr, signature: bstr .size 64])
//! protected = << {1: -8, 4: bstr .size 16} >>      ; alg EdDSA, kid
//! signed    = ["Signature1", protected, external_aad: bstr, payload]
//! ```
//! RFC 9052 (COSE_Sign1, Sig_structure), RFC 9053 2.2 (EdDSA), RFC 8032 5.1
//! (Ed25519). The received bytes are kept: verifying never re-encodes.

use crate::message::localized;
use alloc::sync::Arc;
use alloc::vec::Vec;

use minicbor::data::{Tag, Type};
use minicbor::{Decoder, Encoder};

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
/// The header parameters in use, and EdDSA (RFC 9052 3.1, RFC 9053 2.2).
const ALG: i64 = 1;
const KID: i64 = 4;
const EDDSA: i64 = -8;

type Encoded = Result<Vec<u8>, minicbor::encode::Error<core::convert::Infallible>>;

/// Writing to memory cannot fail.
fn written(made: Encoded) -> Vec<u8> {
    made.unwrap_or_default()
}

/// The protected header's bytes for a key.
fn protected(kid: &Fingerprint) -> Vec<u8> {
    let made = || {
        let mut e = Encoder::new(Vec::new());
        e.map(2)?.i64(ALG)?.i64(EDDSA)?.i64(KID)?.bytes(&kid.0)?;
        Ok(e.into_writer())
    };
    written(made())
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

/// What the protected header says, as far as it is read.
#[derive(Default)]
struct Header {
    /// `None` when none is named; the inner one when it is no number.
    alg: Option<Option<i64>>,
    kid: Option<Vec<u8>>,
    others: bool,
}

impl Header {
    /// A map, or nothing at all for an empty one (RFC 9052 3).
    fn read(bytes: &[u8]) -> Result<Self, minicbor::decode::Error> {
        let mut header = Self::default();
        if bytes.is_empty() {
            return Ok(header);
        }
        let mut d = Decoder::new(bytes);
        let mut left = d.map()?;
        while !at_end(&mut d, &mut left)? {
            let label = match d.datatype()? {
                Type::String | Type::StringIndef => {
                    d.skip()?;
                    None
                }
                _ => Some(d.int()?),
            };
            let label = label.and_then(|label| i64::try_from(label).ok());
            match label {
                Some(ALG) if header.alg.is_none() => {
                    header.alg = Some(match d.datatype()? {
                        Type::String | Type::StringIndef => {
                            d.skip()?;
                            None
                        }
                        _ => i64::try_from(d.int()?).ok(),
                    });
                }
                Some(KID) if header.kid.is_none() => header.kid = Some(octets(&mut d)?),
                Some(ALG | KID) => {
                    return Err(minicbor::decode::Error::message("a parameter given twice"));
                }
                _ => {
                    header.others = true;
                    d.skip()?;
                }
            }
        }
        match d.position() == bytes.len() {
            true => Ok(header),
            false => Err(minicbor::decode::Error::message("bytes after the header")),
        }
    }
}

/// Whether an array or map of a known or open number of items has no more.
fn at_end(d: &mut Decoder<'_>, left: &mut Option<u64>) -> Result<bool, minicbor::decode::Error> {
    match left {
        Some(0) => Ok(true),
        Some(n) => {
            *n -= 1;
            Ok(false)
        }
        None if d.datatype()? == Type::Break => d.skip().map(|()| true),
        None => Ok(false),
    }
}

/// A byte string, in one piece or several.
fn octets(d: &mut Decoder<'_>) -> Result<Vec<u8>, minicbor::decode::Error> {
    let mut whole = Vec::new();
    for piece in d.bytes_iter()? {
        whole.extend_from_slice(piece?);
    }
    Ok(whole)
}

/// The four members of a COSE_Sign1: protected header, whether there is an
/// unprotected one, payload, signature.
fn members(bytes: &[u8]) -> Result<(Header, bool, Vec<u8>, Vec<u8>), minicbor::decode::Error> {
    let mut d = Decoder::new(bytes);
    let mut left = match (d.tag()?, d.array()?) {
        (SIGN1, Some(4)) => Some(0),
        (SIGN1, None) => None,
        _ => return Err(minicbor::decode::Error::message("no COSE_Sign1")),
    };
    let header = Header::read(&octets(&mut d)?)?;
    let mut more = d.map()?;
    let mut unprotected = false;
    while !at_end(&mut d, &mut more)? {
        unprotected = true;
        d.skip()?;
        d.skip()?;
    }
    let (payload, signature) = (octets(&mut d)?, octets(&mut d)?);
    match at_end(&mut d, &mut left)? {
        true => Ok((header, unprotected, payload, signature)),
        false => Err(minicbor::decode::Error::message("more than four members")),
    }
}

/// Where the CBOR item that starts `bytes` ends.
pub(super) fn item_end(bytes: &[u8]) -> Result<usize, EnvelopeError> {
    let mut d = Decoder::new(bytes);
    match d.skip() {
        Ok(()) => Ok(d.position()),
        Err(e) if e.is_end_of_input() => Err(EnvelopeError::CutShort),
        Err(_) => Err(EnvelopeError::MalformedCose),
    }
}

impl Envelope {
    /// Reads one envelope and nothing else.
    pub(crate) fn parse(bytes: &[u8], most: usize) -> Result<Self, EnvelopeError> {
        let given = bytes.len();
        if given > most {
            return Err(EnvelopeError::TooLong { given, most });
        }
        let end = item_end(bytes)?;
        if end < given {
            return Err(EnvelopeError::Trailing { bytes: given - end });
        }
        let (header, unprotected, payload, signature) =
            members(bytes).map_err(|_| EnvelopeError::MalformedCose)?;
        match header.alg {
            Some(Some(EDDSA)) => {}
            Some(_) => return Err(EnvelopeError::OtherAlgorithm),
            None => return Err(EnvelopeError::OtherHeaders),
        }
        let kid = header.kid.as_deref().map(TryInto::try_into);
        let Some(Ok(kid)) = kid else {
            return Err(EnvelopeError::OtherHeaders);
        };
        let kid = Fingerprint(kid);
        if header.others || unprotected {
            return Err(EnvelopeError::OtherHeaders);
        }
        let signature = signature.as_slice().try_into();
        let signature = signature.map_err(|_| EnvelopeError::MalformedCose)?;
        let whole = Self::assemble(kid, payload, signature);
        if *whole.bytes != *bytes {
            return Err(EnvelopeError::NotDeterministic);
        }
        Ok(whole)
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
