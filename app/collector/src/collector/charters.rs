//! The charters in force: learnt from the store, never unlearnt while the
//! service runs.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use bytes::Bytes;
use engine::charter::{Belonging, CharterHistory, SignedCharter};
use engine::log::{Hash, PublicKey, Verified, split};
use engine::sync::{CharterReceipt, Refusal};

use super::{Collector, Stop, StoreDown, write};
use crate::event::{EventId, Events};
use crate::orders::{Orders, refusal};
use crate::store::SegmentName;

/// When the charters were last looked through, and what was found damaged.
#[derive(Debug, Default)]
pub(super) struct CharterScan {
    at: Option<Instant>,
    damaged: BTreeSet<Hash>,
    /// The last of those known that was read again.
    read_again: Option<Hash>,
    /// The orders that were followed.
    orders: Arc<Orders>,
}

/// Charters known that are read again at each refresh, one after another.
const READ_AGAIN: usize = 32;

/// How far behind another collector this one may be before it refuses someone.
pub(super) const BEHIND: Duration = Duration::from_secs(1);

fn read(bytes: &Bytes) -> Option<SignedCharter<Verified>> {
    SignedCharter::parse(bytes)
        .and_then(SignedCharter::verify)
        .ok()
}

impl Collector {
    /// Learns of charters that other collectors took, unless it did so within
    /// this time. What was once in force stays known: an object damaged since
    /// puts no older version back, and is put again from here.
    pub(super) async fn refresh_charters(&self, within: Duration) -> Result<(), StoreDown> {
        let mut looked = self.charters.lock().await;
        if looked.at.is_some_and(|at| at.elapsed() < within) {
            return Ok(());
        }
        let before = self.events();
        let mut known: BTreeSet<Hash> = before.charters().map(SignedCharter::hash).collect();
        if within.is_zero() {
            // Whether each is still what it was.
            let after = looked.read_again.map_or(Bound::Unbounded, Bound::Excluded);
            let next = known.range((after, Bound::Unbounded)).chain(&known);
            let next: BTreeSet<Hash> = next.take(READ_AGAIN).copied().collect();
            looked.read_again = next.last().copied();
            known.retain(|hash| !next.contains(hash));
        }
        let kept = self.store.charters(|hash| !known.contains(hash)).await;
        let kept = kept.map_err(|e| self.down(&e))?;
        looked.at = Some(Instant::now());
        let mut damaged = BTreeSet::new();
        for hash in kept.damaged {
            if let Some((_, known)) = before.version(hash) {
                let bytes = Bytes::copy_from_slice(known.bytes());
                let put = self.store.put_charter(bytes).await;
                put.map_err(|e| self.not_put(&e))?;
                self.metrics.damaged.add(1);
                continue;
            }
            damaged.insert(hash);
            if !looked.damaged.contains(&hash) {
                self.metrics.damaged.add(1);
                tracing::error!(
                    charter = %hash,
                    "a charter in the storage is not what its name says and may be the one in force: until it is given again with --charter, or taken away, only numbers are shown"
                );
            }
        }
        let count = i64::try_from(damaged.len()).unwrap_or(i64::MAX);
        let gauge = &self.metrics.charters_damaged;
        gauge.store(count, Ordering::Relaxed);
        let is_new = |content: &&Bytes| before.version(Hash::of(content)).is_none();
        let found: Vec<_> = kept.good.iter().filter(is_new).filter_map(read).collect();
        let orders = self.orders();
        let same = damaged == looked.damaged && Arc::ptr_eq(&orders, &looked.orders);
        if found.is_empty() && same {
            return Ok(());
        }
        let known = before.charters().cloned();
        let mut all: BTreeMap<Hash, _> = known.chain(found).map(|c| (c.hash(), c)).collect();
        let erased = take_erased(&mut all, &orders);
        if !erased.is_empty() {
            let none: &[SegmentName] = &[];
            self.erase(none.iter(), erased.into_iter()).await;
        }
        let events = Events::new(all.into_values().collect(), self.open)
            .unsure(count > 0)
            .hiding(&orders);
        looked.damaged = damaged;
        looked.orders = orders;
        if events != *before {
            *write(&self.events) = Arc::new(events);
            self.generation.fetch_add(1, Ordering::AcqRel);
            // Whoever was not listed may be now.
            for event in self.held() {
                event.ask_again_who_is_listed();
                // Names may be kept shorter now, or the event is hidden.
                self.tell(event.id, None);
            }
        }
        Ok(())
    }

    /// The events, once this is true of them; else as they are when every
    /// charter that others took has been looked at.
    pub(super) async fn events_where(
        &self,
        holds: impl Fn(&Events) -> bool,
    ) -> Result<Arc<Events>, StoreDown> {
        let events = self.events();
        if holds(&events) {
            return Ok(events);
        }
        self.refresh_charters(BEHIND).await?;
        Ok(self.events())
    }

    /// The events that admit a key, if any do.
    pub(super) async fn events_for(
        &self,
        event: EventId,
        key: &PublicKey,
    ) -> Result<Arc<Events>, StoreDown> {
        self.events_where(|events| events.admits(event, key)).await
    }

    /// Takes versions of an event's charter, in whatever order they come: what
    /// follows from one that is here holds, what an organiser signed and does
    /// not follow yet is kept until the version between comes.
    ///
    /// # Errors
    /// When the store does not take them.
    pub async fn take_charters(
        &self,
        event: Hash,
        body: &Bytes,
    ) -> Result<(CharterReceipt, Option<Stop>), StoreDown> {
        let id = EventId::Charter(event);
        let orders = self.orders();
        let paused = orders.pauses().map(|order| (order, Stop::Paused));
        let against = || orders.erases_charter(event).map(|o| (o, Stop::Erased));
        if let Some((order, stop)) = paused.or_else(against) {
            let mut receipt = CharterReceipt::new(event, self.events().history(id));
            receipt.refusal = Some(refusal(order));
            return Ok((receipt, Some(stop)));
        }
        // Another collector may have taken one meanwhile.
        self.refresh_charters(BEHIND).await?;
        let events = self.events();
        let Some(history) = events.history(id) else {
            let mut receipt = CharterReceipt::new(event, None);
            receipt.refusal = Some(not_served(&events));
            return Ok((receipt, Some(Stop::NotAdmitted)));
        };
        let mut coming = Coming {
            history: history.clone(),
            waiting: events.waiting().to_vec(),
            fresh: Vec::new(),
            gap: None,
        };
        let mut refused = None;
        let mut count = 0;
        for item in split(body) {
            let judged = match item
                .and_then(SignedCharter::parse)
                .and_then(SignedCharter::verify)
            {
                Ok(charter) => match orders.blocks(charter.kid()) {
                    Some(order) => {
                        let refusal = refusal(order);
                        Err(("blocked-key", refusal.sentence))
                    }
                    None => coming.take(charter),
                },
                Err(e) => Err((e.name(), e.to_string())),
            };
            if let Err((name, sentence)) = judged {
                refused = Some(Refusal {
                    at: count,
                    name: name.into(),
                    sentence,
                });
                break;
            }
            count += 1;
        }
        for charter in &coming.fresh {
            let bytes = Bytes::copy_from_slice(charter.bytes());
            let put = self.store.put_charter(bytes).await;
            put.map_err(|e| self.not_put(&e))?;
        }
        if !coming.fresh.is_empty() {
            self.refresh().await?;
        }
        let mut receipt = CharterReceipt::new(event, self.events().history(id));
        let gap = coming.gap.map(|version| Refusal {
            at: count,
            name: "gap".into(),
            sentence: format!(
                "What came is kept, and holds once version {version} has come too: any phone that has it brings it."
            ),
        });
        let stop = match (&refused, &gap) {
            (Some(_), _) => Some(Stop::Entry),
            (None, Some(_)) => Some(Stop::Gap),
            (None, None) => None,
        };
        receipt.refusal = refused.or(gap);
        Ok((receipt, stop))
    }
}

/// Takes out what an order erases, and every version that follows from it.
fn take_erased(
    all: &mut BTreeMap<Hash, SignedCharter<Verified>>,
    orders: &Orders,
) -> BTreeSet<Hash> {
    let mut erased = BTreeSet::new();
    loop {
        let gone: Vec<Hash> = all
            .iter()
            .filter(|(hash, charter)| {
                let before = charter.charter().supersedes;
                orders.erases_charter(**hash).is_some()
                    || before
                        .is_some_and(|b| erased.contains(&b) || orders.erases_charter(b).is_some())
            })
            .map(|(hash, _)| *hash)
            .collect();
        if gone.is_empty() {
            return erased;
        }
        all.retain(|hash, _| !gone.contains(hash));
        erased.extend(gone);
    }
}

fn not_served(events: &Events) -> Refusal {
    let names: Vec<&str> = events.shown().map(|id| events.name(id)).collect();
    let served = match names.as_slice() {
        [] => "no event yet".to_owned(),
        names => names.join(", "),
    };
    Refusal {
        at: 0,
        name: "other-event".into(),
        sentence: format!(
            "This collector serves {served}, not this event: name the collector of this event, or give its charter's file to whoever runs this one."
        ),
    }
}

/// Versions on their way into an event's history.
struct Coming {
    history: CharterHistory,
    /// Those of any event that wait for one before them.
    waiting: Vec<SignedCharter<Verified>>,
    /// To be kept.
    fresh: Vec<SignedCharter<Verified>>,
    /// The number of a version that is missing.
    gap: Option<u32>,
}

impl Coming {
    /// Takes the next one, or says why not: the name of the reason and a
    /// sentence.
    fn take(&mut self, charter: SignedCharter<Verified>) -> Result<(), (&'static str, String)> {
        if self.history.version(charter.hash()).is_some() {
            return Ok(());
        }
        if let Some(fault) = charter.charter().faults().first() {
            return Err(("faulty-charter", fault.to_string()));
        }
        if self.history.all().count() + self.waiting.len() >= CharterHistory::VERSIONS_LIMIT {
            let most = CharterHistory::VERSIONS_LIMIT;
            return Err((
                "full",
                format!("At most {most} versions of a charter are kept."),
            ));
        }
        match self.history.judge(&charter) {
            Belonging::Follows => {}
            Belonging::Waits { version, .. } => {
                self.gap = Some(version);
            }
            Belonging::Refused(why) => return Err(("other-charter", why.to_string())),
            Belonging::Precedes | Belonging::Stranger => {
                return Err((
                    "other-event",
                    "It is no version of this event's charter, or no organiser of the event signed it.".into(),
                ));
            }
        }
        if !self.waiting.contains(&charter) {
            self.fresh.push(charter.clone());
            self.waiting.push(charter);
        }
        let event = self.history.first().hash();
        let all = self.history.all().chain(&self.waiting).cloned();
        let of_event = |h: &CharterHistory| h.first().hash() == event;
        if let Some(history) = CharterHistory::gather(all).into_iter().find(of_event) {
            self.waiting.retain(|c| history.version(c.hash()).is_none());
            self.history = history;
        }
        if self.waiting.is_empty() {
            self.gap = None;
        }
        Ok(())
    }
}
