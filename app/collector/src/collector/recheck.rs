//! Verifying again what is kept, whether anybody asks for it or not: a disk that
//! goes bad is found while phones still hold what is on it.
//!
//! One record after another, each read, judged entry by entry and forgotten, so
//! that it takes no more memory than one; some between two refreshes, so that it
//! takes no more than a hundredth of a core and few requests to a bucket. What is
//! missing at the end of a record, or whole, nobody can find here.

use std::collections::BTreeMap;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use engine::log::{GameId, LogName};

use super::{Collector, HeldEvent, StoreDown};
use crate::event::EventId;
use crate::store::SegmentName;

/// Entries judged, and objects read, between two refreshes; a record that was
/// begun is ended.
const ENTRIES: usize = 1_000;
const OBJECTS: usize = 64;
/// Everything is looked at no more often than so.
const EVERY: Duration = Duration::from_secs(24 * 3600);

/// How far it has come.
#[derive(Debug, Default)]
pub(super) struct Recheck {
    begun: Option<Instant>,
    events: Vec<EventId>,
    /// Games of the last event that is no longer in `events`.
    games: Vec<(EventId, GameId)>,
    /// Damaged records found this time, and the time before.
    found: usize,
    before: usize,
}

impl Collector {
    /// Verifies some more of what is kept.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn recheck(&self) -> Result<(), StoreDown> {
        let mut recheck = self.recheck.lock().await;
        let (mut entries, mut objects) = (0, 0);
        while entries < ENTRIES && objects < OBJECTS {
            if let Some((event, game)) = recheck.games.pop() {
                let runs = self.store.runs_of_game(event, game).await;
                let runs = self.without_erased(runs.map_err(|e| self.down(&e))?).await;
                objects += runs.len().max(1);
                let mut by_log: BTreeMap<LogName, Vec<SegmentName>> = BTreeMap::new();
                for run in runs {
                    by_log.entry(run.log).or_default().push(run);
                }
                for (name, runs) in by_log {
                    let (judged, good) = self.recheck_log(event, name, runs).await?;
                    entries += judged;
                    recheck.found += usize::from(!good);
                }
            } else if let Some(event) = recheck.events.pop() {
                objects += 1;
                if self.events().has(event) {
                    let games = self.store.games_of(event).await;
                    let games = games.map_err(|e| self.down(&e))?.into_iter();
                    recheck.games = games.map(|game| (event, game)).collect();
                }
            } else if recheck.begun.is_none_or(|at| at.elapsed() >= EVERY) {
                if recheck.begun.is_some() {
                    recheck.before = std::mem::take(&mut recheck.found);
                }
                let events = self.store.events().await.map_err(|e| self.down(&e))?;
                recheck.events = events.names;
                recheck.begun = Some(Instant::now());
            } else {
                break;
            }
        }
        let ended = recheck.events.is_empty() && recheck.games.is_empty();
        let damaged = match ended {
            true => recheck.found,
            false => recheck.found.max(recheck.before),
        };
        let damaged = i64::try_from(damaged).unwrap_or(i64::MAX);
        self.metrics
            .records_damaged
            .store(damaged, Ordering::Relaxed);
        Ok(())
    }

    /// How many entries of a log were judged, and whether all of it is good.
    async fn recheck_log(
        &self,
        event: EventId,
        name: LogName,
        runs: Vec<SegmentName>,
    ) -> Result<(usize, bool), StoreDown> {
        // Of its own: what is held is neither taken for good nor let go for it.
        let alone = HeldEvent::new(event);
        let mut good = self.read_into(&alone, name, runs).await? && !alone.has_damage();
        let mut judged = 0;
        if let Some(log) = alone.log(name) {
            judged = log.branches().entries().len();
            if log.taken_back.load(Ordering::Relaxed) {
                good &= self.judge_log_again(&alone, name, &log).await;
            }
        }
        self.metrics.rechecked.add(1);
        if !good {
            tracing::error!(
                event = %event,
                "a record of this event is damaged in the storage: phones that still hold it can deliver it again, or copy the object back"
            );
        }
        Ok((judged, good))
    }
}
