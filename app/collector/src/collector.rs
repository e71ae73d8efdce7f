//! The collector: what it holds in memory, how it takes in and how it finds
//! again what others took in.
//!
//! Nothing here must survive: everything is rebuilt from the store. Whatever
//! comes from the store is verified again before it is shown.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};
use std::time::Duration;

use bytes::Bytes;
use engine::log::sync::{Receipt, Refusal};
use engine::log::{
    Body, Branches, ChainError, Entry, GameId, Hash, LogName, SignedCharter, Staged, Unverified,
    split,
};
use futures_util::{StreamExt as _, stream};
use tokio::sync::{Mutex, broadcast, watch};

use crate::event::{EventId, Events};
use crate::metrics::Metrics;
use crate::rate::Rates;
use crate::settings::Limits;
use crate::standings::Views;
use crate::store::{Fetched, RunName, Store};

/// One log as it is held.
#[derive(Debug)]
pub struct Log {
    event: EventId,
    branches: RwLock<Branches>,
    /// One batch at a time is judged and stored; the objects known.
    known: Mutex<HashSet<RunName>>,
}

/// Something changed in an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The event.
    pub event: EventId,
    /// The game.
    pub game: GameId,
}

/// What became of a batch.
#[derive(Debug)]
pub struct Taken {
    /// What to answer.
    pub receipt: Receipt,
    /// Why it stopped, if it did.
    pub stopped: Option<Stop>,
}

/// Why a batch was not taken whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The bytes, the signature or the place in the log.
    Entry,
    /// Earlier entries are missing here.
    Gap,
    /// Who signed it may not keep a log here.
    NotAdmitted,
    /// The event or the game has as many as it may.
    Full,
}

/// The store does not answer.
#[derive(Debug)]
pub struct StoreDown;

/// The whole collector.
#[derive(Debug)]
pub struct Collector {
    store: Store,
    events: RwLock<Arc<Events>>,
    logs: RwLock<HashMap<LogName, Arc<Log>>>,
    games: RwLock<BTreeMap<EventId, BTreeMap<GameId, Vec<LogName>>>>,
    /// Objects that are not what their names say, not to be fetched again.
    damaged: Mutex<HashSet<RunName>>,
    changes: broadcast::Sender<Change>,
    generation: AtomicU64,
    stopping: watch::Sender<bool>,
    refreshing: Mutex<()>,
    open: bool,
    /// Bounds.
    pub limits: Limits,
    /// Counters.
    pub metrics: Metrics,
    /// Requests by sender.
    pub rates: Rates,
    /// Results, computed when asked for.
    pub views: Views,
}

fn read<T>(lock: &RwLock<T>) -> RwLockReadGuard<'_, T> {
    lock.read().unwrap_or_else(PoisonError::into_inner)
}

fn write<T>(lock: &RwLock<T>) -> RwLockWriteGuard<'_, T> {
    lock.write().unwrap_or_else(PoisonError::into_inner)
}

impl Log {
    /// The entries.
    pub fn branches(&self) -> RwLockReadGuard<'_, Branches> {
        read(&self.branches)
    }

    /// The event it belongs to.
    #[must_use]
    pub const fn event(&self) -> EventId {
        self.event
    }
}

impl Collector {
    /// Opens a collector on a store: puts the charters given and rebuilds
    /// everything from what is kept there.
    ///
    /// # Errors
    /// When the store does not answer or a charter is not good.
    pub async fn open(
        store: Store,
        charters: &[Bytes],
        open: bool,
        limits: Limits,
    ) -> anyhow::Result<Arc<Self>> {
        for charter in charters {
            SignedCharter::parse(charter)
                .and_then(SignedCharter::verify)
                .map_err(|e| anyhow::anyhow!("the charter given: {e}"))?;
            store.put_charter(charter.clone()).await?;
        }
        let collector = Arc::new(Self {
            store,
            events: RwLock::default(),
            logs: RwLock::default(),
            games: RwLock::default(),
            damaged: Mutex::default(),
            changes: broadcast::channel(1024).0,
            generation: AtomicU64::new(0),
            stopping: watch::channel(false).0,
            refreshing: Mutex::default(),
            open,
            rates: Rates::new(limits.requests_per_minute),
            limits,
            metrics: Metrics::default(),
            views: Views::default(),
        });
        collector
            .refresh()
            .await
            .map_err(|StoreDown| anyhow::anyhow!("the storage does not answer"))?;
        Ok(collector)
    }

    /// The events as they stand.
    #[must_use]
    pub fn events(&self) -> Arc<Events> {
        read(&self.events).clone()
    }

    /// Counts up with every change.
    #[must_use]
    pub fn generation(&self) -> u64 {
        self.generation.load(Ordering::Acquire)
    }

    /// Hears of every change.
    #[must_use]
    pub fn changes(&self) -> broadcast::Receiver<Change> {
        self.changes.subscribe()
    }

    /// Becomes true when the service ends.
    #[must_use]
    pub fn stopping(&self) -> watch::Receiver<bool> {
        self.stopping.subscribe()
    }

    /// Ends what would never end by itself.
    pub fn stop(&self) {
        self.stopping.send_replace(true);
    }

    /// A log, if it is known here.
    #[must_use]
    pub fn log(&self, name: LogName) -> Option<Arc<Log>> {
        read(&self.logs).get(&name).cloned()
    }

    /// The logs of a game.
    #[must_use]
    pub fn logs_of(&self, event: EventId, game: GameId) -> Vec<Arc<Log>> {
        let names = read(&self.games)
            .get(&event)
            .and_then(|g| g.get(&game))
            .cloned();
        names
            .unwrap_or_default()
            .into_iter()
            .filter_map(|n| self.log(n))
            .collect()
    }

    /// The games of an event.
    #[must_use]
    pub fn games(&self, event: EventId) -> Vec<GameId> {
        let games = read(&self.games);
        games
            .get(&event)
            .map(|g| g.keys().copied().collect())
            .unwrap_or_default()
    }

    /// The event of a game.
    #[must_use]
    pub fn event_of(&self, game: GameId) -> Option<EventId> {
        let games = read(&self.games);
        let found = games.iter().find(|(_, g)| g.contains_key(&game));
        found.map(|(event, _)| *event)
    }

    fn enter(&self, event: EventId, name: LogName) -> Arc<Log> {
        let mut logs = write(&self.logs);
        logs.entry(name)
            .or_insert_with(|| {
                Arc::new(Log {
                    event,
                    branches: RwLock::new(Branches::new(name)),
                    known: Mutex::default(),
                })
            })
            .clone()
    }

    fn changed(&self, log: &Log, name: LogName) {
        {
            let mut games = write(&self.games);
            let logs = games
                .entry(log.event)
                .or_default()
                .entry(name.game)
                .or_default();
            if !logs.contains(&name) {
                logs.push(name);
                logs.sort_unstable();
            }
        }
        self.generation.fetch_add(1, Ordering::AcqRel);
        // Nobody listening is no fault.
        let _ = self.changes.send(Change {
            event: log.event,
            game: name.game,
        });
    }

    /// Takes in entries of a log: judged, then stored, then acknowledged.
    ///
    /// # Errors
    /// When the store does not take them; then nothing is acknowledged.
    pub async fn take_in(&self, name: LogName, body: &[u8]) -> Result<Taken, StoreDown> {
        let log = match self.log(name) {
            Some(log) => log,
            None => match self.admit_new(name, body).await? {
                Ok(log) => log,
                Err((stop, refusal)) => return Ok(refused(Branches::new(name), stop, refusal)),
            },
        };
        let events = self.events();
        let key = {
            let branches = log.branches();
            branches.shown().map(|c| *c.author())
        };
        if let Some(key) = key
            && !events.admits(log.event, &key)
        {
            let refusal = not_admitted(&events, log.event);
            return Ok(refused(log.branches().clone(), Stop::NotAdmitted, refusal));
        }
        let mut known = log.known.lock().await;
        let (mut staged, mut fault) = judge(&log.branches(), body);
        if let Some((_, ChainError::Gap { .. } | ChainError::BrokenLink { .. })) = &fault {
            // Another collector may have what is missing here.
            self.catch_up(&log, name, &mut known).await?;
            (staged, fault) = judge(&log.branches(), body);
        }
        let fresh = staged.fresh();
        self.metrics.verified.add(fresh.len());
        if let Some(first) = fresh.first() {
            let content: Vec<u8> = fresh.iter().flat_map(|e| e.bytes()).copied().collect();
            let run = RunName {
                event: log.event,
                log: name,
                first: first.payload().seq,
                hash: Hash::of(&content),
            };
            if let Err(error) = self.store.put_run(&run, content.into()).await {
                self.metrics.store_failures.add(1);
                tracing::error!(%error, "the storage did not take entries");
                return Err(StoreDown);
            }
            self.metrics.stored.add(fresh.len());
            known.insert(run);
            write(&log.branches).add(staged);
            self.changed(&log, name);
        }
        drop(known);
        let mut receipt = Receipt::of(&log.branches());
        let stopped = fault.as_ref().map(|(_, e)| match e {
            ChainError::Gap { .. } | ChainError::BrokenLink { .. } => Stop::Gap,
            ChainError::Full => Stop::Full,
            _ => Stop::Entry,
        });
        receipt.refusal = fault.map(|(at, e)| Refusal {
            at,
            name: e.name().to_owned(),
            sentence: e.to_string(),
        });
        Ok(Taken { receipt, stopped })
    }

    /// A log that is not known here yet: perhaps another collector has it, else
    /// its opening says which event it belongs to.
    async fn admit_new(
        &self,
        name: LogName,
        body: &[u8],
    ) -> Result<Result<Arc<Log>, (Stop, Refusal)>, StoreDown> {
        self.find(name).await?;
        if let Some(log) = self.log(name) {
            return Ok(Ok(log));
        }
        let wrong = |stop, name: &str, sentence: String| {
            let name = name.to_owned();
            Ok(Err((
                stop,
                Refusal {
                    at: 0,
                    name,
                    sentence,
                },
            )))
        };
        let chain = |e: ChainError| {
            let stop = match e {
                ChainError::Gap { .. } => Stop::Gap,
                _ => Stop::Entry,
            };
            wrong(stop, e.name(), e.to_string())
        };
        let item = match split(body).next() {
            None => return wrong(Stop::Entry, "empty", "There is no entry in it.".into()),
            Some(Err(e)) => return chain(e.into()),
            Some(Ok(item)) => item,
        };
        let entry = match Entry::<Unverified>::parse(item) {
            Ok(entry) => entry,
            Err(e) => return chain(e.into()),
        };
        let Body::Opening(opening) = entry.body() else {
            let found = entry.payload().seq;
            return chain(ChainError::Gap { expected: 0, found });
        };
        // The opening itself, before anything is looked up for it.
        if let Err(e) = Branches::new(name).stage(&mut Staged::default(), item) {
            return chain(e);
        }
        let events = self.events();
        let Some(event) = events.of_setup(opening.setup.charter) else {
            let sentence = match opening.setup.charter {
                Some(_) => "The game is set up under a charter that is not served here.",
                None => "The game is set up without a charter, and no open event is served here.",
            };
            return wrong(Stop::NotAdmitted, "other-event", sentence.into());
        };
        if !events.admits(event, &opening.author.key) {
            return Ok(Err((Stop::NotAdmitted, not_admitted(&events, event))));
        }
        let (games, logs) = {
            let games = read(&self.games);
            let of_event = games.get(&event);
            let logs = of_event.and_then(|g| g.get(&name.game)).map_or(0, Vec::len);
            let new = usize::from(logs == 0);
            (of_event.map_or(0, BTreeMap::len) + new, logs + 1)
        };
        if games > self.limits.games || logs > self.limits.logs_per_game {
            let sentence = "The event has as many games, or the game as many logs, as are kept here: ask the organiser.";
            return wrong(Stop::Full, "full", sentence.into());
        }
        Ok(Ok(self.enter(event, name)))
    }

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
                self.load(&log, name, &mut known, runs).await?;
                return Ok(());
            }
        }
        Ok(())
    }

    async fn catch_up(
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
        self.load(log, name, known, runs).await
    }

    fn down(&self, error: &object_store::Error) -> StoreDown {
        self.metrics.store_failures.add(1);
        tracing::error!(%error, "the storage does not answer");
        StoreDown
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
                let (staged, fault) = judge(&log.branches(), &content);
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

    /// Takes a new version of an event's charter.
    ///
    /// # Errors
    /// When the store does not take it.
    pub async fn take_charter(&self, bytes: Bytes) -> Result<Result<EventId, String>, StoreDown> {
        let charter = match SignedCharter::parse(&bytes).and_then(SignedCharter::verify) {
            Ok(charter) => charter,
            Err(e) => return Ok(Err(e.to_string())),
        };
        let events = self.events();
        if let Some((event, _)) = events.version(charter.hash()) {
            return Ok(Ok(event));
        }
        let Some(event) = events.superseded_by(&charter) else {
            return Ok(Err(
                "It is not the next version of a charter served here.".into()
            ));
        };
        if let Some(fault) = charter.charter().faults().first() {
            return Ok(Err(fault.to_string()));
        }
        self.store
            .put_charter(bytes)
            .await
            .map_err(|e| self.down(&e))?;
        self.refresh().await?;
        Ok(Ok(event))
    }
}

fn refused(branches: Branches, stop: Stop, refusal: Refusal) -> Taken {
    let mut receipt = Receipt::of(&branches);
    receipt.refusal = Some(refusal);
    Taken {
        receipt,
        stopped: Some(stop),
    }
}

fn not_admitted(events: &Events, event: EventId) -> Refusal {
    Refusal {
        at: 0,
        name: "unlisted-key".into(),
        sentence: format!(
            "The charter of {} does not list the key of this log: ask the organiser to add it.",
            events.name(event)
        ),
    }
}

/// Judges a batch up to its first fault.
fn judge(branches: &Branches, body: &[u8]) -> (Staged, Option<(u64, ChainError)>) {
    let mut staged = Staged::default();
    for (at, item) in (0..).zip(split(body)) {
        let judged = item
            .map_err(ChainError::from)
            .and_then(|i| branches.stage(&mut staged, i));
        if let Err(fault) = judged {
            return (staged, Some((at, fault)));
        }
    }
    (staged, None)
}
