//! How much is kept: bounds that no event meets, so that no stranger fills the
//! memory or the disk.

use std::collections::BTreeMap;
use std::sync::PoisonError;
use std::sync::atomic::Ordering;

use engine::log::{GameId, PublicKey, StagedEntries};
use engine::sync::{Heads, Refusal};

use super::{Collector, Log, read, write};
use crate::event::{EventId, Events};

/// Most logs kept that wait for a version of a charter, and most MiB of them:
/// whose they are nobody can say before it has come.
const AWAITING_LOGS: usize = 256;
const AWAITING_MIB: u64 = 16;
/// What a disk gives out at a time: a batch of one small entry takes as much.
const BLOCK: u64 = 4096;
/// Folders that a new log takes at most: its own and its game's.
const FOLDERS: u64 = 2;

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
        event: EventId,
        game: GameId,
        key: &PublicKey,
    ) -> Option<Refusal> {
        let (games, logs) = {
            let all = read(&self.games);
            let of_event = all.get(&event);
            let logs = of_event.and_then(|g| g.get(&game)).map_or(0, Vec::len);
            let new = usize::from(logs == 0);
            (of_event.map_or(0, BTreeMap::len) + new, logs + 1)
        };
        if let EventId::Awaiting(_) = event {
            let all = read(&self.games);
            let waiting = all
                .iter()
                .filter(|(id, _)| matches!(id, EventId::Awaiting(_)))
                .flat_map(|(_, games)| games.values())
                .map(Vec::len);
            return (waiting.sum::<usize>() >= AWAITING_LOGS).then(no_more_wait);
        }
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
        if let EventId::Awaiting(_) = log.event {
            return (!fits(self.size_of_waiting(), AWAITING_MIB)).then(no_more_wait);
        }
        (!listed && !fits(self.size(log.event), of_event)).then(|| {
            full(format!(
                "{} is full: {of_event} MiB of records are kept from everyone: {}.",
                events.name(log.event),
                help(events, log.event)
            ))
        })
    }

    fn size_of_waiting(&self) -> u64 {
        let sizes = self.sizes.lock().unwrap_or_else(PoisonError::into_inner);
        let waiting = sizes
            .iter()
            .filter(|(id, _)| matches!(id, EventId::Awaiting(_)));
        waiting.map(|(_, size)| size).sum()
    }

    fn size(&self, event: EventId) -> u64 {
        let sizes = self.sizes.lock().unwrap_or_else(PoisonError::into_inner);
        sizes.get(&event).copied().unwrap_or(0)
    }

    /// Adds entries to a log, and to what is counted.
    pub(super) fn add(&self, log: &Log, staged: StagedEntries) {
        let bytes: usize = staged.fresh().iter().map(|e| e.bytes().len()).sum();
        let bytes = u64::try_from(bytes).unwrap_or(u64::MAX);
        let before = log.bytes.fetch_add(bytes, Ordering::Relaxed);
        let new = if before == 0 { FOLDERS } else { 0 };
        let on_disk = bytes.next_multiple_of(BLOCK) + new * BLOCK;
        *self
            .sizes
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .entry(log.event)
            .or_default() += on_disk;
        write(&log.branches).add(staged);
    }
}
