//! The sending side: a payload as an endless stream of packets.

use super::packet::{OVERHEAD, SYMBOL_IDS, symbols};
use super::{Kind, MAX_OBJECT, MAX_PAYLOAD, MAX_SYMBOL, MAX_SYMBOLS, Packet, TransferId, object};
use crate::message::localized;
use alloc::vec::Vec;
use raptorq::{ObjectTransmissionInformation, SourceBlockEncoder};

/// Largest symbol to use, bytes.
///
/// Small symbols make codes that read from far or shaking hands; large ones
/// need fewer codes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SymbolSize(u16);

impl SymbolSize {
    /// For QR codes: just fills version 15-L, with a module of 4 CSS pixels on a screen 360
    /// wide. Chosen by measurement, `tests/link/FIGURES.md`.
    pub const QR: Self = Self(448);
    /// The largest symbol accepted.
    pub const MAX: Self = Self(2048);
    /// The smallest symbol accepted.
    pub const MIN: Self = Self(32);

    /// A symbol size, brought into [`SymbolSize::MIN`] to [`SymbolSize::MAX`].
    #[must_use]
    pub const fn new(bytes: u16) -> Self {
        if bytes < Self::MIN.0 {
            Self::MIN
        } else if bytes > Self::MAX.0 {
            Self::MAX
        } else {
            Self(bytes)
        }
    }

    /// Bytes.
    #[must_use]
    pub const fn bytes(self) -> u16 {
        self.0
    }
}

/// The payload cannot be sent: it exceeds [`MAX_PAYLOAD`], or [`MAX_OBJECT`]
/// once packed.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[message(most = MAX_OBJECT)]
pub struct ObjectTooLarge {
    /// Bytes that were to be sent.
    pub bytes: usize,
}

/// A payload being sent. Stateless once built: any packet can be had at any
/// time, so a loop of codes can be paused, sped up or restarted freely.
#[derive(Clone, Debug)]
pub struct Sender {
    kind: Kind,
    transfer: TransferId,
    length: u32,
    symbol: usize,
    symbols: u32,
    object: Vec<u8>,
    encoder: SourceBlockEncoder,
}

impl Sender {
    /// Packs a payload for sending in symbols of at most `symbol` bytes; all
    /// are of one size, as small as that number of symbols allows.
    ///
    /// # Errors
    /// [`ObjectTooLarge`].
    pub fn new(kind: Kind, payload: &[u8], symbol: SymbolSize) -> Result<Self, ObjectTooLarge> {
        if payload.len() > MAX_PAYLOAD {
            return Err(ObjectTooLarge {
                bytes: payload.len(),
            });
        }
        let digest = object::digest(kind, payload);
        let mut object = object::pack(&digest, payload);
        let bytes = object.len();
        let length = u32::try_from(bytes)
            .ok()
            .filter(|n| *n <= MAX_OBJECT)
            .ok_or(ObjectTooLarge { bytes })?;
        // Small symbols of a large object would be too many: they grow.
        let least = length.div_ceil(MAX_SYMBOLS);
        let most = u32::from(symbol.bytes()).max(least);
        let size = length.div_ceil(length.div_ceil(most));
        let size16 = u16::try_from(size).map_err(|_| ObjectTooLarge { bytes })?;
        let size = usize::from(size16);
        let symbols = symbols(length, size);
        object.resize(size * symbols as usize, 0);
        let information = ObjectTransmissionInformation::new(u64::from(length), size16, 1, 1, 1);
        let encoder = SourceBlockEncoder::new(0, &information, &object);
        Ok(Self {
            kind,
            transfer: object::transfer_id(&digest),
            length,
            symbol: size,
            symbols,
            object,
            encoder,
        })
    }

    /// Which transfer this is.
    #[must_use]
    pub const fn transfer(&self) -> TransferId {
        self.transfer
    }

    /// What is sent.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        self.kind
    }

    /// Source symbols: the fewest packets that can complete the transfer.
    #[must_use]
    pub const fn symbols(&self) -> u32 {
        self.symbols
    }

    /// Bytes of each packet.
    #[must_use]
    pub const fn packet_bytes(&self) -> usize {
        self.symbol + OVERHEAD
    }

    /// The packet of an encoding symbol id; ids go round at 2^24.
    ///
    /// The first [`Sender::symbols`] carry the object itself, all later ones
    /// repair any loss.
    #[must_use]
    pub fn packet(&self, symbol_id: u32) -> Packet {
        let symbol_id = symbol_id % SYMBOL_IDS;
        let at = symbol_id as usize * self.symbol;
        let data = match symbol_id.checked_sub(self.symbols) {
            None => self.object.get(at..at + self.symbol).map(<[u8]>::to_vec),
            Some(repair) => self
                .encoder
                .repair_packets(repair, 1)
                .pop()
                .map(|p| p.split().1),
        };
        Packet {
            kind: self.kind,
            transfer: self.transfer,
            length: self.length,
            symbol_id,
            data: data.unwrap_or_default(),
        }
    }

    /// Packets without end, each with a new symbol id (2^24 of them), so that a
    /// late receiver loses nothing and no packet is waited for.
    pub fn stream(&self) -> impl Iterator<Item = Packet> + '_ {
        (0..SYMBOL_IDS).cycle().map(|id| self.packet(id))
    }

    /// Enough packets to complete the transfer with `spare` of them lost: for
    /// text and files.
    pub fn batch(&self, spare: u32) -> impl Iterator<Item = Packet> + '_ {
        let most = SYMBOL_IDS - self.symbols;
        (0..self.symbols + spare.min(most)).map(|id| self.packet(id))
    }
}

const _: () = assert!(SymbolSize::MAX.0 as usize == MAX_SYMBOL);
const _: () = assert!(MAX_OBJECT / MAX_SYMBOLS <= SymbolSize::MAX.0 as u32);
