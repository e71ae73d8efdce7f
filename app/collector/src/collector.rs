//! The collector: what it holds in memory, how it takes in and how it finds
//! again what others took in.
//!
//! Nothing here must survive: everything is rebuilt from the store. Whatever
//! comes from the store is verified again before it is shown.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};

use bytes::Bytes;
use engine::charter::SignedCharter;
use engine::log::{AuthorLog, GameId, LogName, PublicKey, ReceiptClaim, SecretKey, Verified};
use engine::sync::Receipt;
use tokio::sync::{Mutex, broadcast, watch};

use crate::event::{EventId, Events};
use crate::metrics::Metrics;
use crate::orders::Orders;
use crate::rate::Rates;
use crate::settings::Limits;
use crate::share::Bound;
use crate::standings::Views;
use crate::store::{SegmentName, Store, cause};

mod charters;
mod intake;
mod recall;
mod room;
mod views;

pub use intake::{IntakeResult, Stop, awaits};

/// One log as it is held.
#[derive(Debug)]
pub struct Log {
    event: EventId,
    branches: RwLock<AuthorLog>,
    /// Bytes of its entries.
    bytes: AtomicU64,
    /// One batch at a time is judged and stored; the objects known.
    known: Mutex<HashSet<SegmentName>>,
}

/// Something changed in an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The event.
    pub event: EventId,
    /// The game.
    pub game: GameId,
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
    /// Objects that are not shown.
    aside: Mutex<HashMap<SegmentName, recall::SetAside>>,
    /// Logs looked for in vain since the last refresh.
    missed: Mutex<HashSet<LogName>>,
    /// Bytes of all entries of an event.
    sizes: std::sync::Mutex<HashMap<EventId, u64>>,
    charters: Mutex<charters::CharterScan>,
    orders: RwLock<Arc<Orders>>,
    changes: broadcast::Sender<Change>,
    generation: AtomicU64,
    stopping: watch::Sender<bool>,
    refreshing: Mutex<()>,
    open: bool,
    /// What signs receipts; none where the storage keeps no key and none was
    /// given.
    signer: Option<SecretKey>,
    /// Its addresses as people reach it: passes to read are good for these only,
    /// whatever a request says of its host.
    pub called: std::sync::OnceLock<Vec<String>>,
    /// Bounds.
    pub limits: Limits,
    /// Counters.
    pub metrics: Metrics,
    /// Requests by sender.
    pub rates: Rates,
    /// Live scoreboards.
    pub seats: Arc<Bound>,
    /// Bytes of bodies under way.
    pub bodies: Arc<Bound>,
    /// Results, computed when asked for.
    pub views: Views,
}

/// From the system's random source.
pub(crate) fn random() -> anyhow::Result<[u8; 32]> {
    let mut bytes = [0; 32];
    let source = rustls::crypto::ring::default_provider().secure_random;
    let filled = source.fill(&mut bytes);
    filled.map_err(|_| anyhow::anyhow!("the system gives no random numbers"))?;
    Ok(bytes)
}

fn read<T>(lock: &RwLock<T>) -> RwLockReadGuard<'_, T> {
    lock.read().unwrap_or_else(PoisonError::into_inner)
}

fn write<T>(lock: &RwLock<T>) -> RwLockWriteGuard<'_, T> {
    lock.write().unwrap_or_else(PoisonError::into_inner)
}

impl Log {
    /// The entries.
    pub fn branches(&self) -> RwLockReadGuard<'_, AuthorLog> {
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
    /// When the store does not answer.
    pub async fn open(
        store: Store,
        charters: &[SignedCharter<Verified>],
        open: bool,
        limits: Limits,
    ) -> anyhow::Result<Arc<Self>> {
        let signer = match store.receipt_key(random()?).await {
            Ok(secret) => Some(SecretKey::from_random(&secret)),
            Err(why) => {
                tracing::error!(%why, "there is no key to sign receipts with: none are given");
                None
            }
        };
        let orders = match &signer {
            Some(signer) => Orders::new(store.orders(&signer.public()).await?),
            None => Orders::default(),
        };
        let mut unkept = 0;
        for charter in charters {
            if orders.erases_charter(charter.hash()).is_some() {
                tracing::warn!(
                    charter = %charter.hash(),
                    "the charter given is of an event that was erased here: it is not taken"
                );
                continue;
            }
            let bytes = Bytes::copy_from_slice(charter.bytes());
            if let Err(error) = store.put_charter(bytes).await {
                unkept += 1;
                tracing::error!(
                    why = cause(&error),
                    "the storage does not take the charter given: what is kept there is served, and nothing more is taken"
                );
            }
        }
        let collector = Arc::new(Self {
            store,
            events: RwLock::default(),
            logs: RwLock::default(),
            games: RwLock::default(),
            aside: Mutex::default(),
            missed: Mutex::default(),
            sizes: std::sync::Mutex::default(),
            charters: Mutex::default(),
            orders: RwLock::default(),
            changes: broadcast::channel(1024).0,
            generation: AtomicU64::new(0),
            stopping: watch::channel(false).0,
            refreshing: Mutex::default(),
            open,
            signer,
            called: std::sync::OnceLock::new(),
            rates: Rates::new(limits.requests_per_minute),
            seats: Bound::new(limits.live, limits.live_each),
            bodies: Bound::new(limits.bodies_mib << 20, limits.bodies_each_mib << 20),
            limits,
            metrics: Metrics::default(),
            views: Views::default(),
        });
        collector.metrics.store_failures.add(unkept);
        collector.metrics.writable(unkept == 0);
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

    /// Whether the storage failed when it was last asked, or is known to take
    /// nothing.
    #[must_use]
    pub fn is_store_down(&self) -> bool {
        self.metrics.store_down.load(Ordering::Relaxed) || self.store.takes_nothing()
    }

    /// Counts up with every change.
    #[must_use]
    pub fn generation(&self) -> u64 {
        self.generation.load(Ordering::Acquire)
    }

    /// How far a log has come, with a signed and dated receipt for it.
    #[must_use]
    pub fn receipt(&self, log: &AuthorLog) -> Receipt {
        let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
        let now = now.map_or(0, |d| u64::try_from(d.as_millis()).unwrap_or(u64::MAX));
        let mut receipt = Receipt::of(log);
        let signed = self.signer.as_ref().and_then(|key| {
            let claim = ReceiptClaim::of(log, now, key.public())?;
            claim.sign(key)
        });
        receipt.signed = signed.map(|signed| signed.bytes().to_vec().into());
        receipt
    }

    /// The key that signs receipts.
    #[must_use]
    pub fn receipt_key(&self) -> Option<PublicKey> {
        self.signer.as_ref().map(SecretKey::public)
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

    /// A log that whoever may read it is shown.
    #[must_use]
    pub fn shown(&self, name: LogName) -> Option<Arc<Log>> {
        let orders = self.orders();
        self.log(name).filter(|log| !orders.hides(log.event, name))
    }

    /// The orders of whoever runs the service.
    #[must_use]
    pub fn orders(&self) -> Arc<Orders> {
        read(&self.orders).clone()
    }

    /// The logs of a game that are shown.
    #[must_use]
    pub fn logs_of(&self, event: EventId, game: GameId) -> Vec<Arc<Log>> {
        let names = read(&self.games)
            .get(&event)
            .and_then(|g| g.get(&game))
            .cloned();
        names
            .unwrap_or_default()
            .into_iter()
            .filter_map(|n| self.shown(n))
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
                    branches: RwLock::new(AuthorLog::new(name)),
                    bytes: AtomicU64::new(0),
                    known: Mutex::default(),
                })
            })
            .clone()
    }

    /// Forgets a log that waited and has moved to its event.
    fn leave(&self, waited: EventId, name: LogName) {
        let mut logs = write(&self.logs);
        if logs.get(&name).is_some_and(|log| log.event == waited) {
            logs.remove(&name);
        }
        drop(logs);
        if let Some(games) = write(&self.games).get_mut(&waited) {
            games.retain(|_, logs| {
                logs.retain(|n| *n != name);
                !logs.is_empty()
            });
        }
        let mut sizes = self.sizes.lock().unwrap_or_else(PoisonError::into_inner);
        if read(&self.games)
            .get(&waited)
            .is_none_or(BTreeMap::is_empty)
        {
            sizes.remove(&waited);
        }
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

    fn down(&self, error: &object_store::Error) -> StoreDown {
        self.metrics.store_failures.add(1);
        self.metrics.writable(false);
        tracing::error!(why = cause(error), "the storage does not answer");
        StoreDown
    }
}
