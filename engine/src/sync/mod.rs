//! Getting logs and charters to a collector: what to ask, what to send, when,
//! and what the answers mean. No network here: [`Uploader::next`] says which
//! request is due, the caller makes it and hands the answer to
//! [`Uploader::answered`].
//!
//! One uploader serves one collector. It keeps nothing that must survive: after
//! a restart it asks the collector how far each [`Parcel`] has come and goes on
//! from there. Sending a piece twice changes nothing, so a lost answer costs a
//! repetition and no more. An answer counts only if it is a collector's
//! [`Receipt`] or [`CharterReceipt`]: a captive portal's page is not taken for one, whatever status
//! it comes with. A refusal without a receipt begins with [`SAYS`].

use alloc::collections::BTreeMap;
use alloc::string::ToString;

use crate::log::Hash;

mod backoff;
mod charters;
mod parcel;
mod pass;
mod receipt;
#[cfg(test)]
mod tests;

pub use backoff::Backoff;
pub use charters::CharterReceipt;
pub use parcel::Parcel;
pub use pass::{ReadPass, address};
pub use receipt::{Heads, LogHead, Receipt, Refusal};

/// What a collector answers under `/api/health`, so that a page from elsewhere
/// is not taken for one.
pub const AT_WORK: &str = "The collector is at work.\n";

/// How every refusal of a collector begins that is no receipt, so that only its
/// own word is taken for a reason to wait long or to give up.
pub const SAYS: &str = "The collector says: ";

/// What the phone holds, looked up by the uploader.
pub trait Shelf {
    /// Bytes of a piece; `None` when the phone does not have it.
    fn length(&self, parcel: Parcel, seq: u64) -> Option<usize>;
    /// Hash of a piece.
    fn hash(&self, parcel: Parcel, seq: u64) -> Option<Hash>;
    /// Bytes of a piece beside the line, counted from 0; `None` when the
    /// phone does not have it.
    fn length_beside(&self, parcel: Parcel, at: u64) -> Option<usize> {
        let _ = (parcel, at);
        None
    }
}

/// What to ask a collector now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Request {
    /// Hand it back with the answer: answers to other requests are ignored.
    pub number: u64,
    /// What it is about.
    pub parcel: Parcel,
    /// What to do.
    pub what: Ask,
}

/// What a request does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// How far has it come? `GET` of its head.
    Head,
    /// `PUT` of these pieces, one after another as a CBOR sequence.
    Send {
        /// The first sequence number.
        from: u64,
        /// How many, 1 or more.
        count: u64,
    },
    /// `PUT` of pieces beside the line: others that were signed with numbers of
    /// the line, and what follows from them. They go when all of the line is
    /// there, because they branch off from it.
    SendBeside {
        /// The first of them, counted from 0.
        from: u64,
        /// How many, 1 or more.
        count: u64,
    },
}

/// What came back.
#[derive(Clone, Copy, Debug)]
pub enum Answer<'a> {
    /// No answer: no signal, cut off, or too late.
    Lost,
    /// An answer, from whomever.
    Came {
        /// HTTP status.
        status: u16,
        /// Whole seconds of a `Retry-After` header.
        retry_after: Option<u64>,
        /// The body.
        body: &'a [u8],
    },
}

/// Why nothing is getting through just now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// No answer.
    NoSignal,
    /// Something answered that is no collector: often a network that wants its
    /// own page opened first.
    NotACollector,
    /// The collector asks to wait.
    Busy,
    /// Whoever runs the collector has paused it.
    Paused,
    /// The collector takes nothing that this app sends.
    Unwelcome {
        /// The status it answered with.
        status: u16,
    },
    /// The collector has trouble of its own.
    Failing {
        /// The status it answered with.
        status: u16,
    },
}

impl core::fmt::Display for Trouble {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::NoSignal => f.write_str("No answer: no signal, or the collector is off."),
            Self::NotACollector => f.write_str(
                "Something else answered: open any page in the browser, this network may want you to sign in.",
            ),
            Self::Busy => f.write_str("The collector is busy and asks to wait."),
            Self::Paused => f.write_str(
                "Whoever runs the collector has paused it: the records stay here and go out by themselves later.",
            ),
            Self::Unwelcome { status } => write!(
                f,
                "The collector does not take what this app sends ({status}): tell whoever runs it.",
            ),
            Self::Failing { status } => write!(f, "The collector has trouble of its own ({status})."),
        }
    }
}

/// How far one parcel has come at one collector.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParcelProgress {
    /// Pieces on the phone.
    pub stored: u64,
    /// Pieces from the first on that the collector has acknowledged.
    pub delivered: u64,
    /// Whether the collector has said so since this uploader began; until then
    /// `delivered` is 0.
    pub heard: bool,
    /// The first piece that the collector will not take, and why.
    pub refused: Option<(u64, Refusal)>,
    /// The collector keeps what was sent and does not show it yet: the version
    /// of the charter that the game was set up under is not known there.
    pub awaits: bool,
    /// The collector holds other pieces under this name: the phone was set
    /// back, or two phones share a key. Both are kept there.
    pub forked: bool,
    /// The collector has more of it than the phone.
    pub ahead: bool,
    /// Pieces beside the line on the phone: proof that the author signed two
    /// different entries with one number.
    pub beside: u64,
    /// How many of these the collector has acknowledged.
    pub beside_delivered: u64,
}

impl ParcelProgress {
    /// Pieces that wait.
    #[must_use]
    pub const fn waiting(&self) -> u64 {
        let line = self.stored.saturating_sub(self.delivered);
        line + self.beside.saturating_sub(self.beside_delivered)
    }
}

#[derive(Clone, Debug)]
struct Delivery {
    stored: u64,
    /// Entries known to be there; `None` until asked.
    known: Option<u64>,
    /// Send everything from the first: the collector has another line.
    again: bool,
    /// Gaps in a row that asking did not close.
    gaps: u8,
    /// Times in a row that the next entry was cut on the way.
    cuts: u8,
    refused: Option<(u64, Refusal)>,
    /// All of it is kept there and not shown yet: when to ask again.
    awaits: Option<u64>,
    forked: bool,
    ahead: bool,
    /// Pieces beside the line on the phone.
    beside: u64,
    /// How many of them are known to be there.
    beside_known: u64,
    /// When a refused log may be tried again.
    rest_until: Option<u64>,
}

impl Delivery {
    const fn new(stored: u64) -> Self {
        Self {
            stored,
            known: None,
            again: false,
            gaps: 0,
            cuts: 0,
            refused: None,
            awaits: None,
            forked: false,
            ahead: false,
            beside: 0,
            beside_known: 0,
            rest_until: None,
        }
    }

    fn wants(&self) -> bool {
        let more = |known: u64| known < self.stored || self.beside_known < self.beside;
        self.known.is_none_or(more)
    }

    /// When something is to be asked or sent; `None` when nothing is.
    fn due_at(&self, now: u64) -> Option<u64> {
        let until = if self.wants() {
            self.rest_until.unwrap_or(now)
        } else {
            self.awaits?
        };
        Some(if passed(now, until) { now } else { until })
    }

    fn refuse(&mut self, seq: u64, now_ms: u64, refusal: Refusal) {
        self.refused = Some((seq, refusal));
        self.rest_until = Some(now_ms.saturating_add(Backoff::LONGEST_MS));
    }

    /// Tries at once what was refused or is not shown yet.
    fn try_again(&mut self) {
        self.rest_until = None;
        if self.refused.is_some() || self.awaits.is_some() {
            self.known = None;
            self.gaps = 0;
            self.cuts = 0;
        }
    }
}

/// Whether a moment has come. A moment further ahead than any wait means that
/// the clock was set back, and counts as come.
fn passed(now: u64, until: u64) -> bool {
    now >= until || until - now > 2 * Backoff::LONGEST_MS
}

/// Delivers the charters and logs of a phone to one collector.
#[derive(Clone, Debug)]
pub struct Uploader {
    parcels: BTreeMap<Parcel, Delivery>,
    backoff: Backoff,
    wait_until: Option<u64>,
    asked: Option<Request>,
    number: u64,
    /// Bytes of one batch; shrinks when the collector finds it too large.
    batch: usize,
    trouble: Option<Trouble>,
    /// Where to go on, so that one parcel does not starve the others.
    after: Option<Parcel>,
}

impl Default for Uploader {
    fn default() -> Self {
        Self {
            parcels: BTreeMap::new(),
            backoff: Backoff::default(),
            wait_until: None,
            asked: None,
            number: 0,
            batch: Self::BATCH,
            trouble: None,
            after: None,
        }
    }
}

impl Uploader {
    /// Bytes of one batch to begin with.
    pub const BATCH: usize = 64 * 1024;
    /// Most entries of one batch.
    pub const COUNT: u64 = 256;
    /// How often a gap is asked about before everything is sent again.
    const GAPS: u8 = 2;
    /// How often one entry may be cut on the way before the fault is its own.
    const CUTS: u8 = 8;

    /// Says how many pieces of a parcel the phone holds. Call it after each
    /// one stored, and for everything when the app starts.
    pub fn stored(&mut self, parcel: impl Into<Parcel>, pieces: u64) {
        let delivery = self.parcels.entry(parcel.into());
        let delivery = delivery.or_insert(Delivery::new(pieces));
        if pieces < delivery.stored {
            // Set back: what was known of the other line does not hold.
            *delivery = Delivery::new(pieces);
        }
        delivery.stored = pieces;
    }

    /// Says how many pieces the phone holds beside the line of a parcel that it
    /// has said before, in an order in which each follows from the line or one
    /// before it.
    pub fn stored_beside(&mut self, parcel: impl Into<Parcel>, pieces: u64) {
        if let Some(delivery) = self.parcels.get_mut(&parcel.into())
            && delivery.beside != pieces
        {
            // Among those sent there may be a new one.
            delivery.beside = pieces;
            delivery.beside_known = 0;
        }
    }

    /// No longer delivers something.
    pub fn forget(&mut self, parcel: impl Into<Parcel>) {
        self.parcels.remove(&parcel.into());
    }

    /// The signal is back: tries at once.
    pub fn online(&mut self) {
        self.wait_until = None;
        self.backoff.reset();
    }

    /// Someone asks for it: tries everything at once, what was refused too,
    /// and no longer waits for an answer still outstanding.
    pub fn by_hand(&mut self) {
        self.online();
        self.asked = None;
        self.parcels.values_mut().for_each(Delivery::try_again);
    }

    /// Why nothing is getting through; `None` when the last request did.
    #[must_use]
    pub const fn trouble(&self) -> Option<Trouble> {
        self.trouble
    }

    /// How far something has come.
    #[must_use]
    pub fn progress(&self, parcel: impl Into<Parcel>) -> Option<ParcelProgress> {
        self.parcels.get(&parcel.into()).map(|d| ParcelProgress {
            stored: d.stored,
            delivered: d.known.unwrap_or(0).min(d.stored),
            heard: d.known.is_some(),
            refused: d.refused.clone(),
            awaits: d.awaits.is_some(),
            forked: d.forked,
            ahead: d.ahead,
            beside: d.beside,
            beside_delivered: d.beside_known,
        })
    }

    /// What is in hand.
    pub fn parcels(&self) -> impl Iterator<Item = Parcel> + '_ {
        self.parcels.keys().copied()
    }

    /// When to call [`Uploader::next`] again; `None` when nothing waits or an
    /// answer is outstanding. Milliseconds on the same clock.
    #[must_use]
    pub fn wake_at(&self, now_ms: u64) -> Option<u64> {
        if self.asked.is_some() {
            return None;
        }
        let from = self
            .wait_until
            .filter(|u| !passed(now_ms, *u))
            .unwrap_or(now_ms);
        let due = self.parcels.values().filter_map(|d| d.due_at(now_ms));
        due.map(|at| at.max(from)).min()
    }

    /// The request that is due, if any. One at a time: the next one comes after
    /// its answer.
    pub fn next(&mut self, now_ms: u64, shelf: &dyn Shelf) -> Option<Request> {
        if self.asked.is_some() || self.wait_until.is_some_and(|u| !passed(now_ms, u)) {
            return None;
        }
        let due = |(_, d): &(&Parcel, &Delivery)| d.due_at(now_ms) == Some(now_ms);
        let later = |(name, _): &(&Parcel, &Delivery)| Some(**name) > self.after;
        // Charters first: without them a collector may not know whose a log is.
        let charter = |(name, _): &(&Parcel, &Delivery)| matches!(name, Parcel::Charter(_));
        let mut waiting = self.parcels.iter().filter(due);
        let found = waiting.clone().find(charter);
        let found = found.or_else(|| waiting.clone().find(later));
        let (parcel, delivery) = found.or_else(|| waiting.next())?;
        let what = match delivery.known {
            None => Ask::Head,
            Some(from) if from < delivery.stored => Ask::Send {
                from,
                count: self.count(from, delivery.stored, |seq| shelf.length(*parcel, seq)),
            },
            Some(_) if delivery.beside_known == delivery.beside => Ask::Head,
            Some(_) => {
                let (from, length) = (delivery.beside_known, |at| shelf.length_beside(*parcel, at));
                Ask::SendBeside {
                    from,
                    count: self.count(from, delivery.beside, length),
                }
            }
        };
        self.number += 1;
        let request = Request {
            number: self.number,
            parcel: *parcel,
            what,
        };
        self.after = Some(*parcel);
        self.asked = Some(request);
        Some(request)
    }

    fn count(&self, from: u64, stored: u64, length: impl Fn(u64) -> Option<usize>) -> u64 {
        let (mut count, mut bytes) = (0, 0);
        while from + count < stored && count < Self::COUNT {
            bytes += length(from + count).unwrap_or(0);
            if count > 0 && bytes > self.batch {
                break;
            }
            count += 1;
        }
        count.max(1)
    }

    /// Takes an answer. `jitter` is a random number, so that the phones of a
    /// whole event do not come back all at once.
    pub fn answered(
        &mut self,
        number: u64,
        now_ms: u64,
        jitter: u32,
        shelf: &dyn Shelf,
        answer: Answer<'_>,
    ) {
        let Some(request) = self.asked.take_if(|r| r.number == number) else {
            return;
        };
        let Answer::Came {
            status,
            retry_after,
            body,
        } = answer
        else {
            return self.fail(now_ms, jitter, None, Trouble::NoSignal);
        };
        let receipt = Heard::read(request.parcel, body);
        // Only a collector's own word is taken for a reason to wait long.
        let own = receipt.is_some() || body.starts_with(SAYS.as_bytes());
        let asked = retry_after.filter(|_| own);
        match (status, receipt) {
            (413, _) => self.too_large(request, now_ms, jitter, shelf),
            (429, _) => self.fail(now_ms, jitter, asked, Trouble::Busy),
            (
                503,
                Some(Heard {
                    refusal: Some(why), ..
                }),
            ) if why.name == Refusal::PAUSED => {
                self.fail(now_ms, jitter, asked, Trouble::Paused);
            }
            (500.., _) => self.fail(now_ms, jitter, asked, Trouble::Failing { status }),
            (_, Some(receipt)) => match self.cut_on_the_way(request, &receipt) {
                true => self.fail(now_ms, jitter, None, Trouble::NoSignal),
                false => {
                    self.wait_until = None;
                    self.backoff.reset();
                    self.trouble = None;
                    self.take(request, now_ms, shelf, receipt);
                }
            },
            // What was sent came in part, or too slowly.
            (400 | 408, None) => self.fail(now_ms, jitter, None, Trouble::NoSignal),
            (_, None) if own => self.fail(now_ms, jitter, None, Trouble::Unwelcome { status }),
            (_, None) => self.fail(now_ms, jitter, None, Trouble::NotACollector),
        }
    }

    /// Whether a batch stopped in the middle of an entry, as the network does it:
    /// what came before is there. The same entry cut again and again is no
    /// fault of the network.
    fn cut_on_the_way(&mut self, request: Request, receipt: &Heard) -> bool {
        let cut = receipt.refusal.as_ref().filter(|r| r.name == "cut-short");
        let (Ask::Send { from, .. }, Some(refusal)) = (request.what, cut) else {
            return false;
        };
        let Some(delivery) = self.parcels.get_mut(&request.parcel) else {
            return false;
        };
        let seq = from.saturating_add(refusal.at);
        delivery.cuts = match delivery.known == Some(seq) {
            true => delivery.cuts + 1,
            false => 1,
        };
        delivery.forked |= receipt.forked_at.is_some();
        delivery.known = Some(seq);
        delivery.cuts <= Self::CUTS
    }

    fn fail(&mut self, now_ms: u64, jitter: u32, asked: Option<u64>, trouble: Trouble) {
        let own = self.backoff.next(jitter);
        let asked = asked.map_or(0, |s| s.saturating_mul(1000).min(Backoff::LONGEST_MS));
        self.wait_until = Some(now_ms.saturating_add(own.max(asked)));
        self.trouble = Some(trouble);
    }

    fn too_large(&mut self, request: Request, now_ms: u64, jitter: u32, shelf: &dyn Shelf) {
        let parcel = request.parcel;
        let (from, count, bytes) = match request.what {
            Ask::Head => return self.fail(now_ms, jitter, None, Trouble::NotACollector),
            Ask::Send { from, count } => {
                let lengths = (from..from + count).filter_map(|seq| shelf.length(parcel, seq));
                (from, count, lengths.sum::<usize>())
            }
            Ask::SendBeside { from, count } => {
                let lengths = (from..from + count).filter_map(|at| shelf.length_beside(parcel, at));
                (from, count, lengths.sum())
            }
        };
        if count > 1 {
            self.batch = (bytes / 2).max(1);
            return;
        }
        let refusal = Refusal {
            at: 0,
            name: "too-large".to_string(),
            sentence: "The collector does not take an entry of this size.".to_string(),
        };
        if let Some(delivery) = self.parcels.get_mut(&parcel) {
            delivery.refuse(from, now_ms, refusal);
        }
    }

    fn take(&mut self, request: Request, now_ms: u64, shelf: &dyn Shelf, receipt: Heard) {
        let parcel = request.parcel;
        let Some(delivery) = self.parcels.get_mut(&parcel) else {
            return;
        };
        delivery.forked |= receipt.forked_at.is_some();
        // How far the collector's line is this phone's line too.
        let ours = match (receipt.next, receipt.head) {
            (0, _) => Some(0),
            (next, Some(head)) if shelf.hash(parcel, next - 1) == Some(head) => Some(next),
            _ => None,
        };
        delivery.ahead = ours.is_none() && receipt.next > delivery.stored;
        let awaits = |r: &Refusal| r.name == Refusal::AWAITS_CHARTER;
        let (awaits, refusal) = match receipt.refusal {
            Some(refusal) if awaits(&refusal) => (true, None),
            refusal => (false, refusal),
        };
        // Asked for again now and then, until it is shown.
        delivery.awaits = awaits.then_some(now_ms.saturating_add(Backoff::LONGEST_MS));
        let before = delivery.known;
        match (request.what, refusal) {
            (Ask::Send { from, count }, None) => {
                // Every piece sent is there, on whatever line.
                delivery.known = Some(ours.unwrap_or(0).max(from + count));
                delivery.refused = None;
                delivery.gaps = 0;
                delivery.cuts = 0;
            }
            (Ask::Send { from, .. }, Some(refusal)) => {
                let seq = from + refusal.at;
                let missing = matches!(refusal.name.as_str(), "gap" | "broken-link");
                if missing && delivery.gaps < Self::GAPS {
                    // It has less than it was thought to have.
                    delivery.gaps += 1;
                    delivery.known = None;
                } else if missing && !delivery.again {
                    delivery.again = true;
                    delivery.known = Some(0);
                } else {
                    delivery.known = Some(seq);
                    delivery.refuse(seq, now_ms, refusal);
                }
            }
            (Ask::SendBeside { from, count }, None) => {
                delivery.beside_known = (from + count).min(delivery.beside);
                delivery.refused = None;
                delivery.gaps = 0;
            }
            (Ask::SendBeside { .. }, Some(refusal)) => {
                let missing = matches!(refusal.name.as_str(), "gap" | "broken-link");
                delivery.beside_known = 0;
                if missing && delivery.gaps < Self::GAPS {
                    // What they branch off from is no longer there.
                    delivery.gaps += 1;
                    delivery.known = None;
                } else {
                    delivery.refuse(0, now_ms, refusal);
                }
            }
            (Ask::Head, Some(refusal)) => delivery.refuse(0, now_ms, refusal),
            (Ask::Head, None) => match ours {
                Some(next) => delivery.known = Some(next),
                None if delivery.again => delivery.known = Some(0),
                None => {
                    // Another line, or more of this one: send this one whole, so that
                    // all is kept. The answer says which it was.
                    delivery.again = true;
                    delivery.known = Some(0);
                }
            },
        }
        let further = delivery.known.is_some() && delivery.known != before;
        if further && matches!(parcel, Parcel::Charter(_)) {
            // What was refused for its sake may be taken now.
            let logs = self.parcels.iter_mut();
            let logs = logs.filter(|(name, _)| matches!(name, Parcel::Log(_)));
            logs.for_each(|(_, delivery)| delivery.try_again());
        }
    }
}

/// What a collector said of a parcel.
struct Heard {
    next: u64,
    head: Option<Hash>,
    forked_at: Option<u64>,
    refusal: Option<Refusal>,
}

impl Heard {
    /// `None` for anything but a receipt of this very parcel.
    fn read(parcel: Parcel, body: &[u8]) -> Option<Self> {
        match parcel {
            Parcel::Log(log) => {
                let receipt = Receipt::read(body).filter(|r| r.log == log)?;
                Some(Self {
                    next: receipt.next,
                    head: receipt.head,
                    forked_at: receipt.forked_at,
                    refusal: receipt.refusal,
                })
            }
            Parcel::Charter(event) => {
                let receipt = CharterReceipt::read(body).filter(|r| r.event == event)?;
                Some(Self {
                    next: receipt.next,
                    head: receipt.head,
                    forked_at: receipt.forked_at,
                    refusal: receipt.refusal,
                })
            }
        }
    }
}
