//! Getting logs to a collector: what to ask, what to send, when, and what the
//! answers mean. No network here: [`Courier::next`] says which request is due,
//! the caller makes it and hands the answer to [`Courier::answered`].
//!
//! One courier serves one collector. It keeps nothing that must survive: after
//! a restart it asks the collector how far each log has come and goes on from
//! there. Sending an entry twice changes nothing, so a lost answer costs a
//! repetition and no more. An answer counts only if it is a collector's
//! [`Receipt`]: a captive portal's page is not taken for one, whatever status
//! it comes with. A refusal without a receipt begins with [`SAYS`].

use alloc::collections::BTreeMap;
use alloc::string::{String, ToString};

use crate::log::{Hash, LogName};

mod backoff;
mod pass;
mod receipt;
#[cfg(test)]
mod tests;

pub use backoff::Backoff;
pub use pass::{ReadPass, address};
pub use receipt::{Heads, LogHead, Receipt, Refusal};

/// What a collector answers under `/api/health`, so that a page from elsewhere
/// is not taken for one.
pub const AT_WORK: &str = "The collector is at work.\n";

/// How every refusal of a collector begins that is no receipt, so that only its
/// own word is taken for a reason to wait long or to give up.
pub const SAYS: &str = "The collector says: ";

/// The entries that the phone holds, looked up by the courier.
pub trait Shelf {
    /// Bytes of an entry; `None` when the phone does not have it.
    fn length(&self, log: LogName, seq: u64) -> Option<usize>;
    /// Hash of an entry.
    fn hash(&self, log: LogName, seq: u64) -> Option<Hash>;
    /// Bytes of an entry beside the line, counted from 0; `None` when the
    /// phone does not have it.
    fn length_beside(&self, log: LogName, at: u64) -> Option<usize> {
        let _ = (log, at);
        None
    }
}

/// What to ask a collector now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Request {
    /// Hand it back with the answer: answers to other requests are ignored.
    pub number: u64,
    /// The log.
    pub log: LogName,
    /// What to do.
    pub what: Ask,
}

/// What a request does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// How far has the log come? `GET` of its head.
    Head,
    /// `PUT` of these entries, one after another as a CBOR sequence.
    Send {
        /// The first sequence number.
        from: u64,
        /// How many, 1 or more.
        count: u64,
    },
    /// `PUT` of entries beside the line: other entries that the author signed
    /// with numbers of the line, and what follows from them. They go when all
    /// of the line is there, because they branch off from it.
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
            Self::Unwelcome { status } => write!(
                f,
                "The collector does not take what this app sends ({status}): tell whoever runs it.",
            ),
            Self::Failing { status } => write!(f, "The collector has trouble of its own ({status})."),
        }
    }
}

/// How far one log has come at one collector.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Entries on the phone.
    pub stored: u64,
    /// Entries from the first on that the collector has acknowledged.
    pub delivered: u64,
    /// Whether the collector has said so since this courier began; until then
    /// `delivered` is 0.
    pub heard: bool,
    /// The first entry that the collector will not take, and why.
    pub refused: Option<(u64, Refusal)>,
    /// The collector holds other entries under this log's name: the phone was
    /// set back, or two phones share a key. Both are kept there.
    pub forked: bool,
    /// The collector has more of this log than the phone.
    pub ahead: bool,
    /// Entries beside the line on the phone: proof that the author signed two
    /// different entries with one number.
    pub beside: u64,
    /// How many of these the collector has acknowledged.
    pub beside_delivered: u64,
}

impl Progress {
    /// Entries that wait.
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
    forked: bool,
    ahead: bool,
    /// Entries beside the line on the phone.
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

    fn due(&self, now: u64) -> bool {
        self.wants() && self.rest_until.is_none_or(|until| passed(now, until))
    }
}

/// Whether a moment has come. A moment further ahead than any wait means that
/// the clock was set back, and counts as come.
fn passed(now: u64, until: u64) -> bool {
    now >= until || until - now > 2 * Backoff::LONGEST_MS
}

/// Delivers the logs of a phone to one collector.
#[derive(Clone, Debug)]
pub struct Courier {
    logs: BTreeMap<LogName, Delivery>,
    backoff: Backoff,
    wait_until: Option<u64>,
    asked: Option<Request>,
    number: u64,
    /// Bytes of one batch; shrinks when the collector finds it too large.
    batch: usize,
    trouble: Option<Trouble>,
    /// Where to go on, so that one log does not starve the others.
    after: Option<LogName>,
}

impl Default for Courier {
    fn default() -> Self {
        Self {
            logs: BTreeMap::new(),
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

impl Courier {
    /// Bytes of one batch to begin with.
    pub const BATCH: usize = 64 * 1024;
    /// Most entries of one batch.
    pub const COUNT: u64 = 256;
    /// How often a gap is asked about before everything is sent again.
    const GAPS: u8 = 2;
    /// How often one entry may be cut on the way before the fault is its own.
    const CUTS: u8 = 8;

    /// Says how many entries of a log the phone holds. Call it after each
    /// entry stored, and for every log when the app starts.
    pub fn stored(&mut self, log: LogName, entries: u64) {
        let delivery = self.logs.entry(log).or_insert(Delivery::new(entries));
        if entries < delivery.stored {
            // Set back: what was known of the other line does not hold.
            *delivery = Delivery::new(entries);
        }
        delivery.stored = entries;
    }

    /// Says how many entries the phone holds beside the line of a log that it
    /// has said before, in an order in which each follows from the line or one
    /// before it.
    pub fn stored_beside(&mut self, log: LogName, entries: u64) {
        if let Some(delivery) = self.logs.get_mut(&log)
            && delivery.beside != entries
        {
            // Among those sent there may be a new one.
            delivery.beside = entries;
            delivery.beside_known = 0;
        }
    }

    /// No longer delivers a log.
    pub fn forget(&mut self, log: LogName) {
        self.logs.remove(&log);
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
        for delivery in self.logs.values_mut() {
            delivery.rest_until = None;
            if delivery.refused.is_some() {
                delivery.known = None;
                delivery.gaps = 0;
                delivery.cuts = 0;
            }
        }
    }

    /// Why nothing is getting through; `None` when the last request did.
    #[must_use]
    pub const fn trouble(&self) -> Option<Trouble> {
        self.trouble
    }

    /// How far a log has come.
    #[must_use]
    pub fn progress(&self, log: LogName) -> Option<Progress> {
        self.logs.get(&log).map(|d| Progress {
            stored: d.stored,
            delivered: d.known.unwrap_or(0).min(d.stored),
            heard: d.known.is_some(),
            refused: d.refused.clone(),
            forked: d.forked,
            ahead: d.ahead,
            beside: d.beside,
            beside_delivered: d.beside_known,
        })
    }

    /// The logs in hand.
    pub fn logs(&self) -> impl Iterator<Item = LogName> + '_ {
        self.logs.keys().copied()
    }

    /// When to call [`Courier::next`] again; `None` when nothing waits or an
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
        let waiting = self.logs.values().filter(|d| d.wants());
        let at = waiting.map(|d| {
            let rest = d.rest_until.filter(|u| !passed(now_ms, *u));
            rest.unwrap_or(now_ms).max(from)
        });
        at.min()
    }

    /// The request that is due, if any. One at a time: the next one comes after
    /// its answer.
    pub fn next(&mut self, now_ms: u64, shelf: &dyn Shelf) -> Option<Request> {
        if self.asked.is_some() || self.wait_until.is_some_and(|u| !passed(now_ms, u)) {
            return None;
        }
        let due = |(_, d): &(&LogName, &Delivery)| d.due(now_ms);
        let later = |(name, _): &(&LogName, &Delivery)| Some(**name) > self.after;
        let log = self
            .logs
            .iter()
            .filter(due)
            .find(later)
            .or_else(|| self.logs.iter().find(due));
        let (log, delivery) = log?;
        let what = match delivery.known {
            None => Ask::Head,
            Some(from) if from < delivery.stored => Ask::Send {
                from,
                count: self.count(from, delivery.stored, |seq| shelf.length(*log, seq)),
            },
            Some(_) => {
                let (from, length) = (delivery.beside_known, |at| shelf.length_beside(*log, at));
                Ask::SendBeside {
                    from,
                    count: self.count(from, delivery.beside, length),
                }
            }
        };
        self.number += 1;
        let request = Request {
            number: self.number,
            log: *log,
            what,
        };
        self.after = Some(*log);
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
        let receipt = Receipt::read(body).filter(|r| r.log == request.log);
        // Only a collector's own word is taken for a reason to wait long.
        let own = receipt.is_some() || body.starts_with(SAYS.as_bytes());
        let asked = retry_after.filter(|_| own);
        match (status, receipt) {
            (413, _) => self.too_large(request, now_ms, jitter, shelf),
            (429, _) => self.fail(now_ms, jitter, asked, Trouble::Busy),
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
    fn cut_on_the_way(&mut self, request: Request, receipt: &Receipt) -> bool {
        let cut = receipt.refusal.as_ref().filter(|r| r.name == "cut-short");
        let (Ask::Send { from, .. }, Some(refusal)) = (request.what, cut) else {
            return false;
        };
        let Some(delivery) = self.logs.get_mut(&request.log) else {
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
        let log = request.log;
        let (from, count, bytes) = match request.what {
            Ask::Head => return self.fail(now_ms, jitter, None, Trouble::NotACollector),
            Ask::Send { from, count } => {
                let lengths = (from..from + count).filter_map(|seq| shelf.length(log, seq));
                (from, count, lengths.sum::<usize>())
            }
            Ask::SendBeside { from, count } => {
                let lengths = (from..from + count).filter_map(|at| shelf.length_beside(log, at));
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
        self.refuse(log, from, now_ms, refusal);
    }

    fn refuse(&mut self, log: LogName, seq: u64, now_ms: u64, refusal: Refusal) {
        if let Some(delivery) = self.logs.get_mut(&log) {
            delivery.refused = Some((seq, refusal));
            delivery.rest_until = Some(now_ms.saturating_add(Backoff::LONGEST_MS));
        }
    }

    fn take(&mut self, request: Request, now_ms: u64, shelf: &dyn Shelf, receipt: Receipt) {
        let log = request.log;
        let Some(delivery) = self.logs.get_mut(&log) else {
            return;
        };
        delivery.forked |= receipt.forked_at.is_some();
        // How far the collector's line is this phone's line too.
        let ours = match (receipt.next, receipt.head) {
            (0, _) => Some(0),
            (next, Some(head)) if shelf.hash(log, next - 1) == Some(head) => Some(next),
            _ => None,
        };
        delivery.ahead = ours.is_none() && receipt.next > delivery.stored;
        match (request.what, receipt.refusal) {
            (Ask::Send { from, count }, None) => {
                // Every entry sent is there, on whatever line.
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
                    self.refuse(log, seq, now_ms, refusal);
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
                    self.refuse(log, 0, now_ms, refusal);
                }
            }
            (Ask::Head, Some(refusal)) => self.refuse(log, 0, now_ms, refusal),
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
    }
}

/// The path of a log at a collector, as `PROTOCOL.md` of the collector has it.
impl LogName {
    /// `/api/logs/GAME/AUTHOR`, both in hexadecimal.
    #[must_use]
    pub fn path(&self) -> String {
        alloc::format!("/api/logs/{}/{}", self.game, self.author)
    }
}
