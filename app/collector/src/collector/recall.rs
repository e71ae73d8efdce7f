//! Finding again what is kept, by this collector or another on the same place.
//! Whatever comes from there is verified again.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use engine::log::{Body, ChainError, LogName, SignedCharter};
use futures_util::{StreamExt as _, stream};

use super::intake::judge;
use super::{Collector, Log, StoreDown, write};
use crate::event::{EventId, Events};
use crate::store::{Fetched, RunName};

impl Collector {
    /// Looks for a log in the store, under every event.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn find(&self, name: LogName) -> Result<(), StoreDown> {
        for event in self.events().ids().collect::<Vec<_>>() {
            let runs = self
                .store
                .runs_of(event, name)
                .await
                .map_err(|e| self.down(&e))?;
            if !runs.is_empty() {
                let log = self.enter(event, name);
                let mut known = log.known.lock().await;
                self.settle(runs.iter().filter(|r| !known.contains(r)))
                    .await?;
                self.load(&log, name, &mut known, runs).await?;
                return Ok(());
            }
        }
        Ok(())
    }

    pub(super) async fn catch_up(
        &self,
        log: &Log,
        name: LogName,
        known: &mut HashSet<RunName>,
    ) -> Result<(), StoreDown> {
        let runs = self
            .store
            .runs_of(log.event, name)
            .await
            .map_err(|e| self.down(&e))?;
        self.settle(runs.iter().filter(|r| !known.contains(r)))
            .await?;
        self.load(log, name, known, runs).await
    }

    /// What is only found, not put, may not last yet.
    async fn settle(&self, found: impl Iterator<Item = &RunName>) -> Result<(), StoreDown> {
        let settled = self.store.settle_runs(found).await;
        settled.map_err(|e| self.down(&e))
    }

    /// Fetches objects of one log and adds what verifies.
    async fn load(
        &self,
        log: &Log,
        name: LogName,
        known: &mut HashSet<RunName>,
        runs: Vec<RunName>,
    ) -> Result<(), StoreDown> {
        let fresh: Vec<RunName> = {
            let damaged = self.damaged.lock().await;
            let wanted = |r: &RunName| !known.contains(r) && !damaged.contains(r);
            runs.into_iter().filter(wanted).collect()
        };
        if fresh.is_empty() {
            return Ok(());
        }
        let fetched = stream::iter(fresh)
            .map(|run| async move { (self.store.get_run(&run).await, run) })
            .buffer_unordered(8)
            .collect::<Vec<_>>()
            .await;
        let mut contents = Vec::new();
        for (content, run) in fetched {
            match content {
                Ok(Fetched::Good(content)) => contents.push((run, content)),
                Ok(Fetched::Damaged) => self.set_aside(run, "content").await,
                // Taken away while it was listed: it is no longer kept.
                Err(object_store::Error::NotFound { .. }) => {}
                Err(error) => return Err(self.down(&error)),
            }
        }
        // Parents before children: by sequence number, then by object.
        contents.sort_by(|a, b| a.0.cmp(&b.0));
        let events = self.events();
        let mut added = false;
        loop {
            let before = contents.len();
            let mut waiting = Vec::new();
            for (run, content) in contents {
                let (staged, fault) = judge(log, &content).await;
                match fault {
                    Some((_, ChainError::Gap { .. } | ChainError::BrokenLink { .. })) => {
                        waiting.push((run, content));
                    }
                    Some((_, fault)) => self.set_aside(run, fault.name()).await,
                    None => {
                        let opening = staged.fresh().iter().find_map(|e| match e.body() {
                            Body::Opening(o) => Some(o.author.key),
                            _ => None,
                        });
                        if opening.is_some_and(|key| !events.admitted(log.event, &key)) {
                            self.set_aside(run, "unlisted-key").await;
                            continue;
                        }
                        added |= !staged.fresh().is_empty();
                        write(&log.branches).add(staged);
                        known.insert(run);
                    }
                }
            }
            contents = waiting;
            if contents.len() == before || contents.is_empty() {
                break;
            }
        }
        if added {
            self.changed(log, name);
        }
        Ok(())
    }

    async fn set_aside(&self, run: RunName, why: &str) {
        self.metrics.damaged.add(1);
        tracing::warn!(why, object = %run.hash, "an object in the storage is not shown");
        self.damaged.lock().await.insert(run);
    }

    /// Learns what is new in the store.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn refresh(&self) -> Result<(), StoreDown> {
        let _one = self.refreshing.lock().await;
        let charters = self.store.charters().await.map_err(|e| self.down(&e))?;
        let good = charters
            .iter()
            .filter_map(|c| SignedCharter::parse(c).and_then(SignedCharter::verify).ok());
        let events = Events::new(good.collect(), self.open);
        if events != *self.events() {
            *write(&self.events) = Arc::new(events);
            self.generation.fetch_add(1, Ordering::AcqRel);
        }
        let mut by_log: HashMap<(EventId, LogName), Vec<RunName>> = HashMap::new();
        for run in self.store.runs().await.map_err(|e| self.down(&e))? {
            by_log.entry((run.event, run.log)).or_default().push(run);
        }
        let damaged = self.damaged.lock().await.clone();
        for ((_, name), runs) in &mut by_log {
            if let Some(log) = self.log(*name) {
                let known = log.known.lock().await;
                runs.retain(|run| !known.contains(run) && !damaged.contains(run));
            }
        }
        by_log.retain(|_, runs| !runs.is_empty());
        self.settle(by_log.values().flatten()).await?;
        let events = self.events();
        let loads = by_log
            .into_iter()
            .filter(|((event, _), _)| events.has(*event));
        let mut loading = stream::iter(loads)
            .map(|((event, name), runs)| async move {
                let log = self.enter(event, name);
                let mut known = log.known.lock().await;
                self.load(&log, name, &mut known, runs).await
            })
            .buffer_unordered(16);
        while let Some(done) = loading.next().await {
            done?;
        }
        Ok(())
    }

    /// Refreshes again and again until the service ends.
    pub async fn keep_fresh(self: Arc<Self>, every: Duration) {
        let mut stopping = self.stopping();
        while !*stopping.borrow() {
            tokio::select! {
                _ = stopping.changed() => break,
                () = tokio::time::sleep(every) => {}
            }
            // Said and counted where it failed; the next round tries again.
            let _ = self.refresh().await;
        }
    }
}
