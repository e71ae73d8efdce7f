//! The receiving side: packets in any order back into a payload.

use super::packet::symbols;
use super::{Kind, Packet, Refusal, TransferId, object};
use alloc::collections::BTreeSet;
use alloc::vec::Vec;
use raptorq::{EncodingPacket, ObjectTransmissionInformation, PayloadId, SourceBlockDecoder};

/// Packets kept beyond the number of source symbols. RaptorQ fails about once
/// in 10^6 with two more than needed (RFC 6330's stated design target, from
/// memory), so more than this means the pieces are not of one object.
const SPARE: usize = 32;

/// A payload received whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReceivedPayload {
    /// What it is.
    pub kind: Kind,
    /// Its bytes, as given to the sender.
    pub payload: Vec<u8>,
    /// SHA-256 over the kind's byte and the payload, verified.
    pub digest: [u8; 32],
}

/// How far a transfer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReceiveProgress {
    /// Different packets received.
    pub have: u32,
    /// Packets of which the transfer can complete; now and then one or two
    /// more are needed.
    pub need: u32,
    /// The last packet brought something new.
    pub fresh: bool,
    /// The payload is whole and verified.
    pub complete: bool,
}

impl ReceiveProgress {
    /// From 0 to 1; 1 only when the payload is whole and verified.
    #[must_use]
    pub fn fraction(&self) -> f32 {
        if self.complete {
            return 1.0;
        }
        // Both are at most 4096 + 32, exact in an f32.
        let part = self.have as f32 / self.need.max(1) as f32;
        part.min(0.99)
    }
}

/// One transfer being received, from its first packet on. Memory is bounded by
/// what the first packet declares, at most some 3 MB while under way.
#[derive(Clone, Debug, Default)]
pub struct Receiver {
    wanted: Option<Kind>,
    state: State,
}

#[derive(Clone, Debug, Default)]
enum State {
    #[default]
    Idle,
    UnderWay(Incoming),
    Complete(Header, ReceivedPayload),
}

/// What all packets of a transfer have in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Header {
    kind: Kind,
    transfer: TransferId,
    length: u32,
    symbol: usize,
}

impl Header {
    fn of(packet: &Packet) -> Self {
        Self {
            kind: packet.kind,
            transfer: packet.transfer,
            length: packet.length,
            symbol: packet.data.len(),
        }
    }

    fn symbols(&self) -> u32 {
        symbols(self.length, self.symbol)
    }
}

#[derive(Clone, Debug)]
struct Incoming {
    header: Header,
    seen: BTreeSet<u32>,
    decoder: SourceBlockDecoder,
}

impl Receiver {
    /// A receiver of any kind of payload.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// A receiver of one kind of payload.
    #[must_use]
    pub fn expecting(kind: Kind) -> Self {
        Self {
            wanted: Some(kind),
            state: State::Idle,
        }
    }

    /// The transfer under way or complete.
    #[must_use]
    pub fn transfer(&self) -> Option<TransferId> {
        self.header().map(|h| h.transfer)
    }

    /// Whether a packet is a piece of the transfer under way or complete, cut in
    /// the same size.
    pub(super) fn takes(&self, packet: &Packet) -> bool {
        self.header() == Some(&Header::of(packet))
    }

    /// How far the transfer is; `None` before its first packet.
    #[must_use]
    pub fn progress(&self) -> Option<ReceiveProgress> {
        let need = self.header()?.symbols();
        let (have, complete) = match &self.state {
            State::Idle => return None,
            State::UnderWay(incoming) => (count(&incoming.seen), false),
            State::Complete(..) => (need, true),
        };
        Some(ReceiveProgress {
            have,
            need,
            fresh: false,
            complete,
        })
    }

    /// Takes one packet; a repeated one changes nothing.
    ///
    /// # Errors
    /// [`Refusal::OtherKind`] or [`Refusal::OtherTransfer`], changing nothing;
    /// [`Refusal::Damaged`] when the packet disagrees with its own transfer,
    /// changing nothing; [`Refusal::Contradiction`] when the pieces make no
    /// whole: then all are dropped and the next packet starts afresh.
    pub fn accept(&mut self, packet: &Packet) -> Result<ReceiveProgress, Refusal> {
        let header = Header::of(packet);
        if let Some(wanted) = self.wanted.filter(|w| *w != header.kind) {
            let got = header.kind;
            return Err(Refusal::OtherKind { wanted, got });
        }
        if let Some(ours) = self.header() {
            if ours.transfer != header.transfer {
                return Err(Refusal::OtherTransfer {
                    under_way: ours.transfer,
                    got: header.transfer,
                });
            }
            // The same payload sent in other symbols needs a start of its own.
            if *ours != header && !matches!(self.state, State::Complete(..)) {
                return Err(Refusal::Damaged);
            }
        }
        let need = header.symbols();
        if let State::Idle = self.state {
            self.state = State::UnderWay(Incoming::new(header));
        }
        let State::UnderWay(incoming) = &mut self.state else {
            return Ok(ReceiveProgress {
                have: need,
                need,
                fresh: false,
                complete: true,
            });
        };
        let fresh = incoming.seen.insert(packet.symbol_id);
        let solved = if fresh { incoming.add(packet) } else { None };
        let have = count(&incoming.seen);
        let outcome = match solved {
            Some(object) => object::unpack(header.kind, header.transfer, &object),
            None if incoming.seen.len() > need as usize + SPARE => Err(Refusal::Contradiction),
            None => {
                return Ok(ReceiveProgress {
                    have,
                    need,
                    fresh,
                    complete: false,
                });
            }
        };
        match outcome {
            Ok((payload, digest)) => {
                let kind = header.kind;
                let received = ReceivedPayload {
                    kind,
                    payload,
                    digest,
                };
                self.state = State::Complete(header, received);
                Ok(ReceiveProgress {
                    have,
                    need,
                    fresh,
                    complete: true,
                })
            }
            Err(refusal) => {
                self.state = State::Idle;
                Err(refusal)
            }
        }
    }

    /// The payload, once complete.
    #[must_use]
    pub fn received(&self) -> Option<&ReceivedPayload> {
        match &self.state {
            State::Complete(_, received) => Some(received),
            _ => None,
        }
    }

    /// Hands over the payload, once complete, and is ready for another.
    pub fn take(&mut self) -> Option<ReceivedPayload> {
        match core::mem::take(&mut self.state) {
            State::Complete(_, received) => Some(received),
            other => {
                self.state = other;
                None
            }
        }
    }

    /// Drops all pieces, ready for another transfer.
    pub fn restart(&mut self) {
        self.state = State::Idle;
    }

    fn header(&self) -> Option<&Header> {
        match &self.state {
            State::Idle => None,
            State::UnderWay(incoming) => Some(&incoming.header),
            State::Complete(header, _) => Some(header),
        }
    }
}

impl Incoming {
    fn new(header: Header) -> Self {
        // The packet's own checks hold the sizes inside what the decoder takes.
        let symbol = u16::try_from(header.symbol).unwrap_or(u16::MAX);
        let length = u64::from(header.length);
        let information = ObjectTransmissionInformation::new(length, symbol, 1, 1, 1);
        Self {
            header,
            seen: BTreeSet::new(),
            decoder: SourceBlockDecoder::new(0, &information, length),
        }
    }

    /// The object, if this packet completes it.
    fn add(&mut self, packet: &Packet) -> Option<Vec<u8>> {
        let id = PayloadId::new(0, packet.symbol_id);
        let piece = EncodingPacket::new(id, packet.data.clone());
        let mut object = self.decoder.decode(core::iter::once(piece))?;
        object.truncate(self.header.length as usize);
        Some(object)
    }
}

fn count(seen: &BTreeSet<u32>) -> u32 {
    u32::try_from(seen.len()).unwrap_or(u32::MAX)
}
