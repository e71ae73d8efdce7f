//! One packet: a RaptorQ symbol with a header that says all a receiver needs.

use super::{Kind, Refusal, object};
use alloc::vec::Vec;
use core::fmt;
use sha2::{Digest, Sha256};

/// Largest packed object, bytes.
pub const MAX_OBJECT: u32 = 1 << 20;
/// Largest symbol, bytes.
pub const MAX_SYMBOL: usize = 2048;
/// Most source symbols of one transfer; bounds the receiver's time and memory.
pub const MAX_SYMBOLS: u32 = 4096;
/// Encoding symbol ids are 24 bits (RFC 6330 section 3.2).
pub(super) const SYMBOL_IDS: u32 = 1 << 24;

const FORMAT: u8 = 1;
const HEADER: usize = 16;
const CHECK: usize = 4;

/// Which transfer a packet belongs to: the first eight bytes of the payload's
/// digest ([`super::ReceivedPayload::digest`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TransferId(pub [u8; 8]);

impl fmt::Display for TransferId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        data_encoding::HEXLOWER.encode_display(&self.0).fmt(f)
    }
}

/// One packet, its header checked.
///
/// ```text
/// packet   = format kind transfer length symbol-id data check
/// format   = 1 byte, now 1
/// kind     = 1 byte, Kind::code
/// transfer = 8 bytes, TransferId
/// length   = 3 bytes, of the packed object, 33 to MAX_OBJECT
/// symbol-id= 3 bytes, encoding symbol id (RFC 6330 section 3.2)
/// data     = 1 to MAX_SYMBOL bytes, one encoding symbol
/// check    = first 4 bytes of the SHA-256 of all before
/// ```
/// Integers are big-endian. The rest of the object transmission information
/// (RFC 6330 section 3.3) follows: the symbol size is the length of `data`, and
/// there is one source block, one sub-block and an alignment of one. Every
/// later format keeps the first byte and the check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packet {
    pub(super) kind: Kind,
    pub(super) transfer: TransferId,
    pub(super) length: u32,
    pub(super) symbol_id: u32,
    pub(super) data: Vec<u8>,
}

impl Packet {
    /// What is being sent.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        self.kind
    }

    /// Which transfer this is a piece of.
    #[must_use]
    pub const fn transfer(&self) -> TransferId {
        self.transfer
    }

    /// Source symbols of the transfer: the fewest packets that can complete it.
    #[must_use]
    pub fn symbols(&self) -> u32 {
        symbols(self.length, self.data.len())
    }

    /// The packet's bytes.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(HEADER + self.data.len() + CHECK);
        out.push(FORMAT);
        out.push(self.kind.code());
        out.extend_from_slice(&self.transfer.0);
        out.extend_from_slice(&self.length.to_be_bytes()[1..]);
        out.extend_from_slice(&self.symbol_id.to_be_bytes()[1..]);
        out.extend_from_slice(&self.data);
        let check = check(&out);
        out.extend_from_slice(&check);
        out
    }

    /// Reads a packet.
    ///
    /// # Errors
    /// [`Refusal::Damaged`], [`Refusal::Newer`], [`Refusal::UnknownKind`] or
    /// [`Refusal::TooLarge`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, Refusal> {
        let (body, sent) = bytes.split_last_chunk::<CHECK>().ok_or(Refusal::Damaged)?;
        if check(body) != *sent {
            return Err(Refusal::Damaged);
        }
        match body.first() {
            None | Some(0) => return Err(Refusal::Damaged),
            Some(&FORMAT) => {}
            Some(&format) => return Err(Refusal::Newer { format }),
        }
        let (head, data) = body.split_first_chunk::<HEADER>().ok_or(Refusal::Damaged)?;
        let [
            _,
            code,
            t0,
            t1,
            t2,
            t3,
            t4,
            t5,
            t6,
            t7,
            l0,
            l1,
            l2,
            s0,
            s1,
            s2,
        ] = *head;
        let kind = Kind::from_code(code).ok_or(Refusal::UnknownKind { code })?;
        let length = u32::from_be_bytes([0, l0, l1, l2]);
        if length > MAX_OBJECT {
            return Err(Refusal::TooLarge);
        }
        if length < object::OVERHEAD || data.is_empty() || data.len() > MAX_SYMBOL {
            return Err(Refusal::Damaged);
        }
        if symbols(length, data.len()) > MAX_SYMBOLS {
            return Err(Refusal::TooLarge);
        }
        Ok(Self {
            kind,
            transfer: TransferId([t0, t1, t2, t3, t4, t5, t6, t7]),
            length,
            symbol_id: u32::from_be_bytes([0, s0, s1, s2]),
            data: data.to_vec(),
        })
    }
}

/// `ceil(length / symbol)`, the source symbols of an object.
pub(super) fn symbols(length: u32, symbol: usize) -> u32 {
    u32::try_from(symbol).map_or(1, |s| length.div_ceil(s.max(1)))
}

/// Bytes of a packet beside its symbol.
pub(super) const OVERHEAD: usize = HEADER + CHECK;

fn check(bytes: &[u8]) -> [u8; CHECK] {
    let [a, b, c, d, ..] = <[u8; 32]>::from(Sha256::digest(bytes));
    [a, b, c, d]
}
