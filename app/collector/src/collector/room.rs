//! How much is kept: bounds that no event meets, so that no stranger fills the
//! memory or the disk.

use std::sync::Arc;
use std::sync::atomic::Ordering;

use engine::log::{GameId, PublicKey};
use engine::sync::{Heads, Refusal};

use super::{Collector, HeldEvent, Log};
use crate::event::{EventId, Events};

/// Most logs kept that wait for a version of a charter, and most MiB of them:
/// whose they are nobody can say before it has come.
const AWAITING_LOGS: usize = 256;
const AWAITING_MIB: u64 = 16;

fn full(sentence: String) -> Refusal {
    Refusal {
        at: 0,
        name: "full".into(),
        sentence,
    }
}

fn no_more_wait() -> Refusal {
    full(
        "The version of the charter that this game was set up under is not known here, and no more games are kept that wait for one: deliver the charter first."
            .into(),
    )
}

/// Who has to do something about it.
fn help(events: &Events, event: EventId) -> &'static str {
    match events.charter(event) {
        Some(_) => "ask the organiser to add your key to the charter",
        None => "ask whoever runs the collector",
    }
}

impl Collector {
    /// Why a log may not be opened, if so. Keys that the charter lists are not
    /// kept out by those it does not.
    pub(super) fn no_place(
        &self,
        events: &Events,
        event: &HeldEvent,
        game: GameId,
        key: &PublicKey,
    ) -> Option<Refusal> {
        if let EventId::Awaiting(_) = event.id {
            let logs = |event: Arc<HeldEvent>| event.games().into_values().sum::<usize>();
            let waiting: usize = self.waiting().map(logs).sum();
            return (waiting >= AWAITING_LOGS).then(no_more_wait);
        }
        let (games, logs) = {
            let of_event = event.games();
            let logs = of_event.get(&game).copied().unwrap_or(0);
            let new = usize::from(logs == 0);
            (of_event.len() + new, logs + 1)
        };
        let event = event.id;
        let listed = events.lists(event, key);
        if listed && logs <= Heads::LOGS_LIMIT {
            return None;
        }
        let help = help(events, event);
        if games > self.limits.games {
            let most = self.limits.games;
            return Some(full(format!(
                "{} has {most} games, and no more are kept from everyone: {help}.",
                events.name(event)
            )));
        }
        (logs > self.limits.logs_per_game).then(|| {
            full(format!(
                "This game has {} records, and no more are kept from everyone: {help}.",
                logs - 1
            ))
        })
    }

    /// Why so many bytes more are not kept, if so.
    pub(super) fn no_room(
        &self,
        events: &Events,
        event: &HeldEvent,
        log: &Log,
        listed: bool,
        more: usize,
    ) -> Option<Refusal> {
        let more = u64::try_from(more).unwrap_or(u64::MAX);
        let fits = |there: u64, mib: u64| there.saturating_add(more) <= mib.saturating_mul(1 << 20);
        let (of_log, of_event) = (self.limits.log_mib, self.limits.event_mib);
        if !fits(log.bytes.load(Ordering::Relaxed), of_log) {
            return Some(full(format!(
                "This record is full: at most {of_log} MiB of one are kept, many times a long game."
            )));
        }
        if let EventId::Awaiting(_) = event.id {
            let waiting: u64 = self.waiting().map(|event| event.room()).sum();
            return (!fits(waiting, AWAITING_MIB)).then(no_more_wait);
        }
        (!listed && !fits(event.room(), of_event)).then(|| {
            full(format!(
                "{} is full: {of_event} MiB of records are kept from everyone: {}.",
                events.name(event.id),
                help(events, event.id)
            ))
        })
    }

    /// What waits for a version of a charter: all of it is held.
    fn waiting(&self) -> impl Iterator<Item = Arc<HeldEvent>> {
        let held = self.held().into_iter();
        held.filter(|event| matches!(event.id, EventId::Awaiting(_)))
    }
}
