//! Taking in: judged, then kept, then acknowledged.

use std::sync::{Arc, RwLock};

use engine::log::{
    AuthorLog, Body, ChainError, Entry, Hash, LogName, PublicKey, StagedEntries, Unverified, split,
};
use engine::sync::{Receipt, Refusal};

use super::held::lock;
use super::{Collector, HeldEvent, Log, StoreDown, read};
use crate::event::{EventId, Events};
use crate::orders::refusal;
use crate::store::SegmentName;

/// What became of a batch.
#[derive(Debug)]
pub struct IntakeResult {
    /// What to answer.
    pub receipt: Receipt,
    /// Why it stopped, if it did.
    pub stopped: Option<Stop>,
}

/// Why a batch was not taken whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The bytes, the signature or the place in the log.
    Entry,
    /// Earlier entries are missing here.
    Gap,
    /// Who signed it may not keep a log here.
    NotAdmitted,
    /// The event or the game has as many as it may.
    Full,
    /// All of it is kept, and waits for a version of the charter.
    Awaits,
    /// It was taken out for good.
    Erased,
    /// Nothing is taken just now.
    Paused,
}

impl Collector {
    /// Takes in entries of a log: judged, then stored, then acknowledged.
    ///
    /// # Errors
    /// When the store does not take them; then nothing is acknowledged.
    pub async fn take_in(&self, name: LogName, body: &[u8]) -> Result<IntakeResult, StoreDown> {
        let found = self.find(name).await?;
        if let Some((stop, refusal)) = self.ordered(None, name) {
            let receipt = found.map(|(_, log)| self.receipt(&log.branches()));
            let receipt = receipt.unwrap_or_else(|| Receipt::of(&AuthorLog::new(name)));
            return Ok(refused(receipt, stop, refusal));
        }
        let opened = found.and_then(|(event, log)| {
            let key = *log.branches().shown()?.author();
            Some((event, log, key))
        });
        let (event, log, key) = match opened {
            Some(opened) => opened,
            None => match self.admit_new(name, body).await? {
                Ok(opened) => opened,
                Err((stop, refusal)) => {
                    return Ok(refused(Receipt::of(&AuthorLog::new(name)), stop, refusal));
                }
            },
        };
        let events = self.events_for(event.id, &key).await?;
        let have = log.branches().next_seq();
        let completes = events.completes(event.id, &key, name.game, have);
        if !completes && !events.admits(event.id, &key) {
            let refusal = not_admitted(&events, event.id);
            let receipt = self.receipt(&log.branches());
            return Ok(refused(receipt, Stop::NotAdmitted, refusal));
        }
        let listed = events.lists(event.id, &key);
        if let Some(refusal) = self.no_room(&events, &event, &log, listed, body.len()) {
            let receipt = self.receipt(&log.branches());
            return Ok(refused(receipt, Stop::Full, refusal));
        }
        let mut known = log.known.lock().await;
        let (mut staged, mut fault) = judge(&log.branches, body).await;
        if let Some((_, ChainError::Gap { .. } | ChainError::BrokenLink { .. })) = &fault {
            // Another collector may have what is missing here.
            self.read_log(&event, &log, name, &mut known).await?;
            self.settle(&log).await?;
            (staged, fault) = judge(&log.branches, body).await;
        }
        let orders = self.orders();
        let fresh = staged.fresh();
        if let Some(order) = fresh.iter().find_map(|e| orders.blocks(e.kid())) {
            // The log goes on with a key that is blocked.
            let refusal = refusal(order);
            let receipt = self.receipt(&log.branches());
            return Ok(refused(receipt, Stop::NotAdmitted, refusal));
        }
        self.metrics.verified.add(fresh.len());
        if let Some(first) = fresh.first() {
            let content: Vec<u8> = fresh.iter().flat_map(|e| e.bytes()).copied().collect();
            let run = SegmentName {
                event: event.id,
                log: name,
                first: first.payload().seq,
                hash: Hash::of(&content),
            };
            if let Err(error) = self.store.put_run(&run, content.into()).await {
                return Err(self.not_put(&error));
            }
            self.metrics.writable(true);
            self.metrics.stored.add(fresh.len());
            // Had it been damaged, it is whole again.
            event.not_aside(&run);
            *lock(&log.added) = std::time::Instant::now();
            known.insert(run);
            event.add(&log, staged);
            self.changed(&event, name.game);
        }
        drop(known);
        let mut receipt = self.receipt(&log.branches());
        let stopped = fault.as_ref().map(|(_, e)| match e {
            ChainError::Gap { .. } | ChainError::BrokenLink { .. } => Stop::Gap,
            ChainError::Full => Stop::Full,
            _ => Stop::Entry,
        });
        receipt.refusal = fault.map(|(at, e)| Refusal {
            at,
            name: e.name().to_owned(),
            sentence: e.to_string(),
        });
        let waits = awaits(event.id, split(body).count());
        if let (None, Some(waits)) = (&stopped, waits) {
            receipt.refusal = Some(waits);
            return Ok(IntakeResult {
                receipt,
                stopped: Some(Stop::Awaits),
            });
        }
        Ok(IntakeResult { receipt, stopped })
    }

    /// Why nothing of a log is taken by order of whoever runs the service.
    fn ordered(&self, event: Option<EventId>, name: LogName) -> Option<(Stop, Refusal)> {
        let orders = self.orders();
        let paused = orders.pauses().map(|order| (Stop::Paused, order));
        let erased = || orders.erases(event, name).map(|o| (Stop::Erased, o));
        let blocked = || orders.blocks(name.author).map(|o| (Stop::NotAdmitted, o));
        let (stop, order) = paused.or_else(erased).or_else(blocked)?;
        Some((stop, refusal(order)))
    }

    /// A log of which nothing is kept: its opening says which event it belongs
    /// to.
    async fn admit_new(
        &self,
        name: LogName,
        body: &[u8],
    ) -> Result<Result<(Arc<HeldEvent>, Arc<Log>, PublicKey), (Stop, Refusal)>, StoreDown> {
        let wrong = |stop, name: &str, sentence: String| {
            let name = name.to_owned();
            Ok(Err((
                stop,
                Refusal {
                    at: 0,
                    name,
                    sentence,
                },
            )))
        };
        let chain = |e: ChainError| {
            let stop = match e {
                ChainError::Gap { .. } => Stop::Gap,
                _ => Stop::Entry,
            };
            wrong(stop, e.name(), e.to_string())
        };
        let item = match split(body).next() {
            None => return wrong(Stop::Entry, "empty", "There is no entry in it.".into()),
            Some(Err(e)) => return chain(e.into()),
            Some(Ok(item)) => item,
        };
        let entry = match Entry::<Unverified>::parse(item) {
            Ok(entry) => entry,
            Err(e) => return chain(e.into()),
        };
        let Body::Opening(opening) = entry.body() else {
            let found = entry.payload().seq;
            return chain(ChainError::Gap { expected: 0, found });
        };
        // The opening itself, before anything is looked up for it.
        if let Err(e) = AuthorLog::new(name).stage(&mut StagedEntries::default(), item) {
            return chain(e);
        }
        let (charter, key) = (opening.setup.charter, opening.author.key);
        let named = charter.map(EventId::Charter);
        if let Some(why) = self.ordered(named, name) {
            return Ok(Err(why));
        }
        let served = |events: &Events| {
            let event = events.of_setup(charter);
            !matches!(event, None | Some(EventId::Awaiting(_)))
        };
        let events = self.events_where(served).await?;
        let Some(event) = events.of_setup(charter) else {
            let (name, sentence) = match charter {
                Some(_) => (
                    "other-event",
                    "This collector serves no event with a charter: name the collector of your event.",
                ),
                None => (
                    "no-charter",
                    "The game was set up without a charter, and only games of events with one are taken here: it stays on the phone. Hand it to the organiser by camera or file.",
                ),
            };
            return wrong(Stop::NotAdmitted, name, sentence.into());
        };
        let events = self.events_for(event, &key).await?;
        let completes = events.completes(event, &key, name.game, 0);
        if !completes && !events.admits(event, &key) {
            return Ok(Err((Stop::NotAdmitted, not_admitted(&events, event))));
        }
        let Some(held) = self.load(event).await? else {
            return Ok(Err((Stop::NotAdmitted, not_admitted(&events, event))));
        };
        if held.log(name).is_none()
            && let Some(refusal) = self.no_place(&events, &held, name.game, &key)
        {
            return Ok(Err((Stop::Full, refusal)));
        }
        let log = held.enter(name);
        // Something of it may have been read with the event.
        self.settle(&log).await?;
        Ok(Ok((held, log, key)))
    }
}

/// What is said of a log that is kept until a version of its charter comes;
/// `sent` entries came and all are kept.
pub fn awaits(event: EventId, sent: usize) -> Option<Refusal> {
    matches!(event, EventId::Awaiting(_)).then(|| Refusal {
        at: u64::try_from(sent).unwrap_or(u64::MAX),
        name: Refusal::AWAITS_CHARTER.into(),
        sentence: "The game is kept here and is shown once the version of the charter has come that it was set up under: a phone that has that version brings it by itself.".into(),
    })
}

fn refused(mut receipt: Receipt, stop: Stop, refusal: Refusal) -> IntakeResult {
    receipt.refusal = Some(refusal);
    IntakeResult {
        receipt,
        stopped: Some(stop),
    }
}

fn not_admitted(events: &Events, event: EventId) -> Refusal {
    Refusal {
        at: 0,
        name: "unlisted-key".into(),
        sentence: format!(
            "The charter of {} does not list the key of this log: ask the organiser to add it.",
            events.name(event)
        ),
    }
}

/// Entries judged in one go, about a millisecond, before others get their turn.
const AT_A_TIME: usize = 32;

/// Judges a batch up to its first fault. Whoever calls it holds what is known of
/// the log, so nothing is added to it meanwhile.
pub(super) async fn judge(
    log: &RwLock<AuthorLog>,
    body: &[u8],
) -> (StagedEntries, Option<(u64, ChainError)>) {
    let mut staged = StagedEntries::default();
    let mut items = (0..).zip(split(body)).peekable();
    while items.peek().is_some() {
        {
            let branches = read(log);
            for (at, item) in items.by_ref().take(AT_A_TIME) {
                let judged = item
                    .map_err(ChainError::from)
                    .and_then(|i| branches.stage(&mut staged, i));
                if let Err(fault) = judged {
                    return (staged, Some((at, fault)));
                }
            }
        }
        if items.peek().is_some() {
            tokio::task::yield_now().await;
        }
    }
    (staged, None)
}
