//! Results of an event, computed when someone asks and kept until something
//! changes.

use std::collections::HashMap;
use std::sync::{Arc, PoisonError};

use engine::charter::{Charter, SignedCharter};
use engine::log::AuthorLog;
use engine::report::publish::Published;
use engine::report::{EventView, GameReport, Judges, OfFixture, Reports};
use tokio::sync::Mutex;

use crate::collector::Collector;
use crate::event::EventId;

/// Reports kept.
#[derive(Debug, Default)]
pub struct Views {
    pub(crate) events: Mutex<HashMap<EventId, Arc<View>>>,
    reports: std::sync::Mutex<HashMap<EventId, Arc<std::sync::Mutex<Reports>>>>,
    /// Whether computing goes wrong.
    #[cfg(test)]
    pub breaks: std::sync::atomic::AtomicBool,
}

impl Views {
    /// The reports of one event: no other waits for them.
    fn reports(&self, event: EventId) -> Arc<std::sync::Mutex<Reports>> {
        let mut all = self.reports.lock().unwrap_or_else(PoisonError::into_inner);
        all.entry(event).or_default().clone()
    }
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
    view: EventView,
}

/// Its games, tables and leaders.
impl std::ops::Deref for View {
    type Target = EventView;
    fn deref(&self) -> &EventView {
        &self.view
    }
}

impl View {
    /// The charter's content.
    #[must_use]
    pub const fn charter(&self) -> Option<&Charter> {
        self.charter.as_ref()
    }

    /// What is given out of it.
    pub fn published<T>(&self, take: impl FnOnce(&Published<'_>) -> T) -> T {
        self.view
            .published(&self.event.to_string(), self.charter(), take)
    }

    /// The game to be shown for a fixture: the one that counts, else of several
    /// that end differently the umpire's.
    #[must_use]
    pub fn of_fixture(&self, number: u32) -> Option<&Arc<GameReport>> {
        match self.view.fixture(number) {
            OfFixture::ToCome => None,
            OfFixture::One(game) => Some(game),
            OfFixture::Several { proposed, .. } => proposed,
        }
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
            let reports = collector.views.reports(event);
            let mut reports = reports.lock().unwrap_or_else(PoisonError::into_inner);
            let judges = Judges { charter, own: None };
            let games = collector.games(event).into_iter().filter_map(|game| {
                let logs = collector.logs_of(event, game);
                let branches: Vec<_> = logs.iter().map(|l| l.branches()).collect();
                let branches: Vec<&AuthorLog> = branches.iter().map(|b| &**b).collect();
                let version = |hash| events.version(hash).map(|(_, version)| version);
                reports.of_game(game, &branches, judges, version)
            });
            let games = games.collect();
            Arc::new(View {
                generation,
                event,
                charter: events.in_force(event),
                view: EventView::new(charter.map(SignedCharter::charter), games),
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
}
