//! Results of an event, computed when someone asks and kept until something
//! changes.

use std::collections::HashMap;
use std::sync::Arc;

use engine::charter::{Charter, SignedCharter};
use engine::log::{Fingerprint, GameId, GameRecord, Hash};
use engine::report::publish::Published;
use engine::report::{Authority, EventReport, GameReport, Kept};
use tokio::sync::Mutex;

use crate::collector::Collector;
use crate::event::EventId;

/// What a game's report was computed from: the charter, which says whose
/// records and decisions count, and the logs.
type Basis = (Option<Hash>, Vec<(Fingerprint, Hash, Option<u64>)>);

/// Reports kept.
#[derive(Debug, Default)]
pub struct Views {
    pub(crate) events: Mutex<HashMap<EventId, Arc<View>>>,
    games: std::sync::Mutex<HashMap<GameId, (Basis, Arc<GameReport>)>>,
    /// Whether computing goes wrong.
    #[cfg(test)]
    pub breaks: std::sync::atomic::AtomicBool,
}

/// Why there are no results to show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoView {
    /// The event is not served here.
    NotServed,
    /// They could not be computed: a fault of the collector.
    Failed,
}

impl std::fmt::Display for NoView {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::NotServed => "The event is not served here.",
            Self::Failed => "The results could not be computed.",
        })
    }
}

impl std::error::Error for NoView {}

/// An event as it stands.
#[derive(Debug)]
pub struct View {
    generation: u64,
    /// The event.
    pub event: EventId,
    /// Its charter with the privacy that holds, but for the open event.
    charter: Option<Charter>,
    /// Its games, in order of the schedule, then by time.
    pub games: Vec<Arc<GameReport>>,
    /// Tables, knock-out and leaders.
    pub report: Option<EventReport>,
}

impl View {
    /// The charter's content.
    #[must_use]
    pub const fn charter(&self) -> Option<&Charter> {
        self.charter.as_ref()
    }

    /// A game of the event.
    #[must_use]
    pub fn game(&self, game: GameId) -> Option<&Arc<GameReport>> {
        self.games.iter().find(|g| g.game == game)
    }

    /// What is given out of it.
    pub fn published<T>(&self, take: impl FnOnce(&Published<'_>) -> T) -> T {
        let games: Vec<&GameReport> = self.games.iter().map(|g| &**g).collect();
        take(&Published {
            event: &self.event.to_string(),
            charter: self.charter(),
            games: &games,
            report: self.report.as_ref(),
        })
    }

    /// The report that counts for a fixture.
    #[must_use]
    pub fn of_fixture(&self, number: u32) -> Option<&Arc<GameReport>> {
        self.games.get(self.report.as_ref()?.counting(number)?)
    }
}

impl Collector {
    /// The results of an event as they stand now.
    ///
    /// # Errors
    /// When there are none.
    pub async fn view(self: &Arc<Self>, event: EventId) -> Result<Arc<View>, NoView> {
        if !self.events().has(event) {
            return Err(NoView::NotServed);
        }
        // One computes, the others wait for it.
        let mut kept = self.views.events.lock().await;
        // The count first: whatever changes from here on makes this view old.
        let generation = self.generation();
        let events = self.events();
        if let Some(view) = kept.get(&event).filter(|v| v.generation == generation) {
            return Ok(view.clone());
        }
        let collector = self.clone();
        let computed = tokio::task::spawn_blocking(move || {
            #[cfg(test)]
            assert!(
                !collector
                    .views
                    .breaks
                    .load(std::sync::atomic::Ordering::Relaxed)
            );
            let charter = events.charter(event);
            let mut games: Vec<Arc<GameReport>> = collector
                .games(event)
                .into_iter()
                .filter_map(|game| collector.report(event, game, charter))
                .collect();
            games.sort_by_key(|g| (g.fixture.is_none(), g.fixture, g.opened_ms, g.game));
            let plain: Vec<&GameReport> = games.iter().map(|g| &**g).collect();
            let report = charter.map(|c| EventReport::of(c.charter(), &plain));
            Arc::new(View {
                generation,
                event,
                charter: events.in_force(event),
                report,
                games,
            })
        });
        let Ok(view) = computed.await else {
            self.metrics.views_failed.add(1);
            tracing::error!("the results of an event could not be computed");
            return Err(NoView::Failed);
        };
        kept.insert(event, view.clone());
        Ok(view)
    }

    /// How a game stands.
    fn report(
        &self,
        event: EventId,
        game: GameId,
        charter: Option<&SignedCharter<engine::log::Verified>>,
    ) -> Option<Arc<GameReport>> {
        let logs = self.logs_of(event, game);
        let branches: Vec<_> = logs.iter().map(|l| l.branches()).collect();
        let heads = branches
            .iter()
            .filter_map(|b| Some((b.name().author, b.head()?, b.forked_at())));
        let basis: Basis = (charter.map(SignedCharter::hash), heads.collect());
        {
            let kept = self
                .views
                .games
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner);
            if let Some((of, report)) = kept.get(&game)
                && *of == basis
            {
                return Some(report.clone());
            }
        }
        // A setup that gives no game is no game: its log is kept all the same.
        let records: Vec<(GameRecord, bool)> = branches
            .iter()
            .filter_map(|b| {
                let chain = b.shown()?.clone();
                Some((GameRecord::replay(chain).ok()?, b.forked_at().is_some()))
            })
            .collect();
        drop(branches);
        let kept: Vec<Kept<'_>> = records
            .iter()
            .map(|(record, forked)| Kept {
                record,
                forked: *forked,
            })
            .collect();
        let authority = charter.map_or(Authority::Nobody, |c| Authority::Charter(c.charter()));
        let report = GameReport::of(&kept, authority)?;
        let named = records.first().and_then(|(r, _)| r.opening().setup.charter);
        let events = self.events();
        let report = match named.and_then(|hash| events.version(hash)) {
            Some((_, version)) => report.against(version, &kept),
            None => report,
        };
        let report = Arc::new(report);
        let mut all = self
            .views
            .games
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        all.insert(game, (basis, report.clone()));
        Some(report)
    }
}
