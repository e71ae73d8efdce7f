//! Finding again what is kept, by this collector or another on the same place.

use std::sync::atomic::Ordering;
use std::sync::{Arc, PoisonError};
use std::time::{Duration, Instant};

use engine::log::{GameId, Hash, LogName};
use engine::report::Reports;
use futures_util::{StreamExt as _, stream};

use super::{Collector, HeldEvent, Log, StoreDown, read, write};
use crate::event::EventId;
use crate::orders::Orders;
use crate::store::{AT_ONCE, SegmentName, cause};

/// Most games and logs looked for in vain that are remembered.
const MISSED: usize = 50_000;
/// Most events of which each is asked for a game that is not known here; that of
/// any other is found when its opening comes, or all are looked at again.
const ASKED: usize = 64;
/// How often all events are looked at for games of other collectors, where
/// somebody looked for one in vain.
const LOOK: Duration = Duration::from_secs(60);

impl Collector {
    /// The event of a game, held; `None` where no such game is kept. One looked
    /// for in vain is not looked for again before the next refresh.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn find_game(&self, game: GameId) -> Result<Option<Arc<HeldEvent>>, StoreDown> {
        let known = read(&self.games).get(&game).copied();
        if let Some(event) = known {
            return self.load(event).await;
        }
        if self.is_missed(game, None).await {
            return Ok(None);
        }
        let events = self.events();
        let held: Vec<EventId> = self.held().iter().map(|event| event.id).collect();
        let others = events.ids().filter(|event| !held.contains(event));
        let asked: Vec<EventId> = held.iter().copied().chain(others).take(ASKED).collect();
        let mut asking = stream::iter(asked)
            .map(|event| async move { (event, self.store.runs_of_game(event, game).await) })
            .buffer_unordered(AT_ONCE);
        while let Some((event, runs)) = asking.next().await {
            if !runs.map_err(|e| self.down(&e))?.is_empty() {
                self.note_game(game, event);
                return self.load(event).await;
            }
        }
        self.note_missed(game, None).await;
        Ok(None)
    }

    /// A log of which something is kept, and its event, held. All of it lasts.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn find(
        &self,
        name: LogName,
    ) -> Result<Option<(Arc<HeldEvent>, Arc<Log>)>, StoreDown> {
        if self.orders().erases(None, name).is_some() {
            return Ok(None);
        }
        let Some(event) = self.find_game(name.game).await? else {
            return Ok(None);
        };
        if event.log(name).is_none() && !self.is_missed(name.game, Some(name)).await {
            // Another collector may have it since the event was read.
            let runs = self.store.runs_of(event.id, name).await;
            let runs = runs.map_err(|e| self.down(&e))?;
            if runs.is_empty() {
                self.note_missed(name.game, Some(name)).await;
            } else {
                self.read_into(&event, name, runs).await?;
            }
        }
        let Some(log) = event.log(name) else {
            return Ok(None);
        };
        self.settle(&log).await?;
        Ok(Some((event, log)))
    }

    async fn is_missed(&self, game: GameId, log: Option<LogName>) -> bool {
        let missed = self.missed.lock().await;
        missed.contains(&(game, log.map(|name| name.author)))
    }

    async fn note_missed(&self, game: GameId, log: Option<LogName>) {
        let mut missed = self.missed.lock().await;
        if missed.len() < MISSED {
            missed.insert((game, log.map(|name| name.author)));
        }
    }

    /// Notes which event a game is of, or which version of a charter it waits for.
    pub(super) fn note_game(&self, game: GameId, event: EventId) {
        match event {
            EventId::Awaiting(hash) => {
                write(&self.awaited).insert(hash);
                write(&self.games).entry(game).or_insert(event);
            }
            event => drop(write(&self.games).insert(game, event)),
        }
    }

    /// Looks which games there are, by the names of their folders alone.
    ///
    /// # Errors
    /// When the store does not answer.
    pub(super) async fn look_at_games(&self) -> Result<(), StoreDown> {
        let mut looked = self.games_looked_at.lock().await;
        let events = self.store.events().await.map_err(|e| self.down(&e))?;
        let mut looking = stream::iter(events.names)
            .map(|event| async move { (event, self.store.games_of(event).await) })
            .buffer_unordered(AT_ONCE);
        while let Some((event, games)) = looking.next().await {
            for game in games.map_err(|e| self.down(&e))? {
                self.note_game(game, event);
            }
        }
        *looked = Some(Instant::now());
        Ok(())
    }

    /// Makes what was only found, not put, last before anybody is told that it
    /// does.
    pub(super) async fn settle(&self, log: &Log) -> Result<(), StoreDown> {
        let mut unsettled = log.unsettled.lock().await;
        let settled = self.store.settle_runs(unsettled.iter()).await;
        settled.map_err(|e| self.down(&e))?;
        *unsettled = Vec::new();
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
        for event in self.held() {
            event.forget(|name| orders.erases(Some(event.id), name).is_some());
            // Reports that were made of what is gone go with it.
            *event.view.lock().await = None;
            *event.reports.lock().unwrap_or_else(PoisonError::into_inner) = Reports::default();
        }
        self.to_purge.store(true, Ordering::Relaxed);
        self.generation.fetch_add(1, Ordering::AcqRel);
        for event in self.held() {
            self.tell(event.id, None);
        }
        tracing::info!(orders = orders.all().count(), "orders are followed");
        Ok(())
    }

    /// Erases what an order means, wherever it lies: put by a collector that had
    /// not heard of it, or come back with an older copy of the storage. It is
    /// shown in no case; this looks at every event, when an order is new.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn purge(&self) -> Result<(), StoreDown> {
        if !self.to_purge.swap(false, Ordering::Relaxed) || !self.orders().erase_any() {
            return Ok(());
        }
        let all = async {
            for event in self.store.events().await?.names {
                let listed = self.store.runs_in(event).await?.names;
                self.without_erased(listed).await;
            }
            Ok(())
        };
        let done: object_store::Result<()> = all.await;
        done.map_err(|e| {
            self.to_purge.store(true, Ordering::Relaxed);
            self.down(&e)
        })
    }

    /// The objects that no order erases; the others are removed.
    pub(super) async fn without_erased(&self, listed: Vec<SegmentName>) -> Vec<SegmentName> {
        let orders = self.orders();
        let is_erased = |run: &SegmentName| orders.erases(Some(run.event), run.log).is_some();
        let (erased, kept): (Vec<_>, Vec<_>) = listed.into_iter().partition(is_erased);
        if !erased.is_empty() {
            self.erase(erased.iter(), std::iter::empty()).await;
        }
        kept
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

    /// Learns what is new in the store: of charters, orders and the events held.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn refresh(&self) -> Result<(), StoreDown> {
        let _one = self.refreshing.lock().await;
        self.refresh_orders().await?;
        self.refresh_charters(Duration::ZERO).await?;
        let looked_for = std::mem::take(&mut *self.missed.lock().await);
        let looked_at = *self.games_looked_at.lock().await;
        if !looked_for.is_empty() && looked_at.is_none_or(|at| at.elapsed() >= LOOK) {
            self.look_at_games().await?;
        }
        let folders = self.store.events().await.map_err(|e| self.down(&e))?;
        for event in folders.names {
            if let EventId::Awaiting(hash) = event {
                write(&self.awaited).insert(hash);
                if self.events().home(event) == event {
                    self.load(event).await?;
                }
            }
        }
        self.let_go();
        let held = self.held();
        let mut reading = stream::iter(held.clone())
            .map(|event| async move { self.catch_up(&event).await })
            .buffer_unordered(4);
        while let Some(done) = reading.next().await {
            done?;
        }
        drop(reading);
        let of_events: usize = held.iter().map(|event| event.count_unreadable()).sum();
        let unreadable = i64::try_from(folders.unreadable + of_events).unwrap_or(i64::MAX);
        let before = self.metrics.unreadable.swap(unreadable, Ordering::Relaxed);
        if unreadable > before {
            tracing::warn!(
                unreadable,
                "names or objects in the storage cannot be read: they are left out"
            );
        }
        // All that is asked for was read.
        self.metrics.store_unread.store(false, Ordering::Relaxed);
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
            // Before events are let go.
            self.judge_again().await;
            // Said and counted where it failed; the next round tries again.
            let _ = self.merge().await;
            let _ = self.refresh().await;
            let _ = self.purge().await;
            let _ = self.recheck().await;
        }
    }
}
