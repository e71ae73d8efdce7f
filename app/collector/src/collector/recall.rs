//! Finding again what is kept, by this collector or another on the same place.
//! Whatever comes from there is verified again.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use engine::log::{Body, ChainError, Hash, LogName};
use futures_util::{StreamExt as _, stream};

use super::intake::judge;
use super::{Collector, Log, StoreDown, read, write};
use crate::event::{EventId, Events};
use crate::orders::Orders;
use crate::store::{FetchedObject, SegmentName, cause};

/// Why an object in the store is not shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SetAside {
    /// It is not what its name says, or what is in it is not good.
    Damaged(&'static str),
    /// By someone whom no charter lists that is known here: another collector
    /// may know a newer one.
    Unlisted,
    /// It cannot be read just now.
    Unreadable,
}

/// Most logs looked for in vain that are remembered.
const MISSED: usize = 50_000;

impl Collector {
    /// Looks for a log in the store, under every event; one looked for in vain is
    /// not looked for again before the next refresh.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn find(&self, name: LogName) -> Result<(), StoreDown> {
        let orders = self.orders();
        if orders.erases(None, name).is_some() || self.missed.lock().await.contains(&name) {
            return Ok(());
        }
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
        let mut missed = self.missed.lock().await;
        if missed.len() < MISSED {
            missed.insert(name);
        }
        Ok(())
    }

    pub(super) async fn catch_up(
        &self,
        log: &Log,
        name: LogName,
        known: &mut HashSet<SegmentName>,
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
    async fn settle(&self, found: impl Iterator<Item = &SegmentName>) -> Result<(), StoreDown> {
        let settled = self.store.settle_runs(found).await;
        settled.map_err(|e| self.down(&e))
    }

    /// Fetches objects of one log and adds what verifies.
    async fn load(
        &self,
        log: &Log,
        name: LogName,
        known: &mut HashSet<SegmentName>,
        runs: Vec<SegmentName>,
    ) -> Result<(), StoreDown> {
        let fresh: Vec<SegmentName> = {
            let aside = self.aside.lock().await;
            let again = |r: &SegmentName| matches!(aside.get(r), None | Some(SetAside::Unreadable));
            let wanted = |r: &SegmentName| !known.contains(r) && again(r);
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
                Ok(FetchedObject::Good(content)) => contents.push((run, content)),
                Ok(FetchedObject::Damaged) => {
                    self.set_aside(run, SetAside::Damaged("content")).await
                }
                Ok(FetchedObject::Unreadable) => self.set_aside(run, SetAside::Unreadable).await,
                // Taken away while it was listed: it is no longer kept.
                Err(object_store::Error::NotFound { .. }) => {}
                Err(error) => return Err(self.down(&error)),
            }
        }
        // Parents before children: by sequence number, then by object.
        contents.sort_by(|a, b| a.0.cmp(&b.0));
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
                    Some((_, fault)) => {
                        self.set_aside(run, SetAside::Damaged(fault.name())).await;
                    }
                    None => {
                        let opening = staged.fresh().iter().find_map(|e| match e.body() {
                            Body::Opening(o) => Some(o.author.key),
                            _ => None,
                        });
                        if let Some(key) = opening {
                            let listed = |events: &Events| events.admitted(log.event, &key);
                            if !listed(&*self.events_where(listed).await?) {
                                self.set_aside(run, SetAside::Unlisted).await;
                                continue;
                            }
                        }
                        added |= !staged.fresh().is_empty();
                        self.add(log, staged);
                        self.aside.lock().await.remove(&run);
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

    async fn set_aside(&self, run: SegmentName, why: SetAside) {
        let object = run.hash;
        if self.aside.lock().await.insert(run, why) != Some(why) {
            self.metrics.damaged.add(1);
            tracing::warn!(?why, %object, "an object in the storage is not shown");
        }
    }

    /// Moves what waited for a version of a charter to the event that the
    /// version, known now, belongs to. The objects are put there again; any
    /// collector does it, and twice changes nothing.
    async fn admit_waiting(
        &self,
        by_log: &mut HashMap<(EventId, LogName), Vec<SegmentName>>,
    ) -> Result<(), StoreDown> {
        let events = self.events();
        let known = |event: EventId| match event {
            EventId::Awaiting(hash) => events.version(hash).map(|(event, _)| event),
            _ => None,
        };
        let ready: Vec<_> = by_log
            .keys()
            .filter_map(|(event, name)| Some((*event, *name, known(*event)?)))
            .collect();
        for (waited, name, event) in ready {
            for run in by_log.remove(&(waited, name)).unwrap_or_default() {
                let moved = SegmentName {
                    event,
                    ..run.clone()
                };
                let there = by_log.entry((event, name)).or_default();
                if there.contains(&moved) {
                    continue;
                }
                match self.store.get_run(&run).await {
                    Ok(FetchedObject::Good(content)) => {
                        let put = self.store.put_run(&moved, content).await;
                        put.map_err(|e| self.down(&e))?;
                        there.push(moved);
                    }
                    Ok(FetchedObject::Damaged) => {
                        self.set_aside(run, SetAside::Damaged("content")).await
                    }
                    Ok(FetchedObject::Unreadable) => {
                        self.set_aside(run, SetAside::Unreadable).await
                    }
                    Err(object_store::Error::NotFound { .. }) => {}
                    Err(error) => return Err(self.down(&error)),
                }
            }
            self.leave(waited, name);
        }
        Ok(())
    }

    /// Learns of orders given since, and forgets what they erase.
    async fn refresh_orders(&self) -> Result<(), StoreDown> {
        let Some(key) = self.receipt_key() else {
            return Ok(());
        };
        let all = self.store.orders(&key).await.map_err(|e| self.down(&e))?;
        let orders = Arc::new(Orders::new(all));
        if orders == self.orders() {
            return Ok(());
        }
        *write(&self.orders) = orders.clone();
        self.forget_erased(&orders);
        // Reports that were made of what is gone go with it.
        self.views.forget().await;
        self.generation.fetch_add(1, Ordering::AcqRel);
        tracing::info!(orders = orders.all().count(), "orders are followed");
        Ok(())
    }

    fn forget_erased(&self, orders: &Orders) {
        let known: Vec<_> = {
            let logs = read(&self.logs);
            let known = logs.iter().map(|(name, log)| (log.event(), *name));
            known
                .filter(|(event, name)| orders.erases(Some(*event), *name).is_some())
                .collect()
        };
        for (event, name) in known {
            self.leave(event, name);
        }
    }

    /// Removes what an order erases; what cannot be removed is tried again at
    /// the next refresh, and is not shown.
    pub(super) async fn erase<'a>(
        &self,
        entries: impl Iterator<Item = &'a SegmentName>,
        charters: impl Iterator<Item = Hash>,
    ) {
        if let Err(error) = self.store.erase(entries, charters).await {
            self.metrics.store_failures.add(1);
            tracing::error!(why = cause(&error), "what was to be erased is still there");
        }
    }

    /// Learns what is new in the store.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn refresh(&self) -> Result<(), StoreDown> {
        let _one = self.refreshing.lock().await;
        self.missed.lock().await.clear();
        self.refresh_orders().await?;
        self.refresh_charters(Duration::ZERO).await?;
        let mut by_log: HashMap<(EventId, LogName), Vec<SegmentName>> = HashMap::new();
        let listed = self.store.runs().await.map_err(|e| self.down(&e))?;
        let orders = self.orders();
        let (erased, kept): (Vec<_>, Vec<_>) = listed
            .names
            .into_iter()
            .partition(|run| orders.erases(Some(run.event), run.log).is_some());
        if !erased.is_empty() {
            // Put by a collector that had not heard of the order, or come back
            // with an older copy of the storage.
            self.erase(erased.iter(), std::iter::empty()).await;
        }
        for run in kept {
            by_log.entry((run.event, run.log)).or_default().push(run);
        }
        self.admit_waiting(&mut by_log).await?;
        {
            let aside = self.aside.lock().await;
            let again = |r: &SegmentName| matches!(aside.get(r), None | Some(SetAside::Unreadable));
            by_log.values_mut().for_each(|runs| runs.retain(again));
        }
        for ((_, name), runs) in &mut by_log {
            if let Some(log) = self.log(*name) {
                let known = log.known.lock().await;
                runs.retain(|run| !known.contains(run));
            }
        }
        by_log.retain(|_, runs| !runs.is_empty());
        self.settle(by_log.values().flatten()).await?;
        let events = self.events();
        let loads = by_log
            .into_iter()
            .filter(|((event, _), _)| events.has(*event) || matches!(event, EventId::Awaiting(_)));
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
        let aside = self.aside.lock().await;
        let objects = aside.values().filter(|why| **why == SetAside::Unreadable);
        let unreadable = i64::try_from(listed.unreadable + objects.count()).unwrap_or(i64::MAX);
        let before = self.metrics.unreadable.swap(unreadable, Ordering::Relaxed);
        if unreadable > before {
            tracing::warn!(
                unreadable,
                "names or objects in the storage cannot be read: they are left out"
            );
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
