//! The results of an event: computed once, for all who ask, until something changes.

use std::sync::{Arc, PoisonError};

use engine::charter::SignedCharter;
use engine::log::AuthorLog;
use engine::report::{EventView, Judges};

use super::{Collector, StoreDown};
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
        let held = self
            .load(event)
            .await
            .map_err(|StoreDown| NoView::StoreDown)?;
        let held = held.ok_or(NoView::NotServed)?;
        // One computes, the others wait for it.
        let mut kept = held.view.lock().await;
        // The counts first: whatever changes from here on makes this view old.
        let generation = self.generation() + held.generation();
        let events = self.events();
        if let Some(view) = kept.as_ref().filter(|v| v.generation == generation) {
            return Ok(view.clone());
        }
        let (collector, of) = (self.clone(), held.clone());
        let computed = tokio::task::spawn_blocking(move || {
            #[cfg(test)]
            assert!(!collector.breaks.load(std::sync::atomic::Ordering::Relaxed));
            let charter = events.charter(event);
            let mut reports = of.reports.lock().unwrap_or_else(PoisonError::into_inner);
            let judges = Judges { charter, own: None };
            let games = of.games().into_keys().filter_map(|game| {
                let logs = collector.shown(&of, game);
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
        *kept = Some(view.clone());
        Ok(view)
    }
}
