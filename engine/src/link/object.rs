//! The packed object: a payload's digest and its compressed bytes.

use super::{Kind, Refusal, TransferId};
use alloc::vec::Vec;
use miniz_oxide::{deflate::compress_to_vec, inflate::decompress_to_vec_with_limit};
use sha2::{Digest, Sha256};

/// Largest payload, bytes before compression; bounds what unpacking may use.
pub const MAX_PAYLOAD: usize = 4 << 20;

/// Bytes of an object beside the payload.
pub(super) const OVERHEAD: u32 = 33;

/// DEFLATE effort: 8 of 10, beyond which a game's log gains nothing.
const EFFORT: u8 = 8;
const STORED: u8 = 0;
const DEFLATED: u8 = 1;

/// SHA-256 over the kind's byte and the payload, so that neither can be
/// changed without the other end noticing.
pub(super) fn digest(kind: Kind, payload: &[u8]) -> [u8; 32] {
    let mut hash = Sha256::new();
    hash.update([kind.code()]);
    hash.update(payload);
    hash.finalize().into()
}

pub(super) fn transfer_id(digest: &[u8; 32]) -> TransferId {
    let [a, b, c, d, e, f, g, h, ..] = *digest;
    TransferId([a, b, c, d, e, f, g, h])
}

/// ```text
/// object = coding digest body
/// coding = 0: body is the payload, 1: body is the payload in DEFLATE (RFC 1951)
/// digest = SHA-256 of kind and payload, 32 bytes
/// ```
pub(super) fn pack(digest: &[u8; 32], payload: &[u8]) -> Vec<u8> {
    let squeezed = compress_to_vec(payload, EFFORT);
    let (coding, body) = if squeezed.len() < payload.len() {
        (DEFLATED, squeezed.as_slice())
    } else {
        (STORED, payload)
    };
    let mut out = Vec::with_capacity(33 + body.len());
    out.push(coding);
    out.extend_from_slice(digest);
    out.extend_from_slice(body);
    out
}

/// The payload and its digest, verified against each other and the transfer.
pub(super) fn unpack(
    kind: Kind,
    transfer: TransferId,
    object: &[u8],
) -> Result<(Vec<u8>, [u8; 32]), Refusal> {
    let wrong = Refusal::Contradiction;
    let (&coding, rest) = object.split_first().ok_or(wrong)?;
    let (sent, body) = rest.split_first_chunk::<32>().ok_or(wrong)?;
    let payload = match coding {
        STORED if body.len() <= MAX_PAYLOAD => body.to_vec(),
        DEFLATED => decompress_to_vec_with_limit(body, MAX_PAYLOAD).map_err(|_| wrong)?,
        _ => return Err(wrong),
    };
    if digest(kind, &payload) != *sent || transfer_id(sent) != transfer {
        return Err(wrong);
    }
    Ok((payload, *sent))
}
