//! The results of an event: computed once, for all who ask, until something changes.

use std::sync::{Arc, PoisonError};

use engine::charter::SignedCharter;
use engine::log::AuthorLog;
use engine::report::{EventView, Judges};

use super::Collector;
use crate::event::EventId;
use crate::standings::{NoView, View};

impl Collector {
    /// The results of an event as they stand now.
    ///
    /// # Errors
    /// When there are none.
    pub async fn view(self: &Arc<Self>, event: EventId) -> Result<Arc<View>, NoView> {
        if !self.events().shows(event) {
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
                let report = reports.of_game(game, &branches, judges, version)?;
                let shown = charter.and_then(|c| report.for_everyone(c.charter()));
                Some(shown.map_or(report, Arc::new))
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
