//! The collector: what it holds in memory, how it takes in and how it finds
//! again what others took in.
//!
//! Nothing here must survive: everything is rebuilt from the store, the charters,
//! the orders and the names of games at the start, the records of an event when
//! someone asks for it. Whatever comes from the store is verified again before it
//! is shown.

use std::collections::{HashMap, HashSet};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};
use std::time::Instant;

use bytes::Bytes;
use engine::charter::SignedCharter;
use engine::log::{
    AuthorLog, Fingerprint, GameId, Hash, PublicKey, ReceiptClaim, SecretKey, Verified,
};
use engine::sync::Receipt;
use tokio::sync::{Mutex, Semaphore, broadcast, watch};

use crate::event::{EventId, Events};
use crate::metrics::Metrics;
use crate::orders::Orders;
use crate::rate::Rates;
use crate::settings::Limits;
use crate::share::Bound;
use crate::store::{Store, cause};

mod charters;
mod held;
mod intake;
mod merge;
mod recall;
mod recheck;
mod room;
mod segments;
mod views;

pub use held::{HeldEvent, Log};
pub use intake::{IntakeResult, Stop, awaits};

/// Something changed in an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The event.
    pub event: EventId,
    /// The game; none where less may be shown than before.
    pub game: Option<GameId>,
}

/// The store does not answer.
#[derive(Debug)]
pub struct StoreDown;

/// The whole collector.
#[derive(Debug)]
pub struct Collector {
    store: Store,
    events: RwLock<Arc<Events>>,
    held: std::sync::Mutex<HashMap<EventId, Arc<HeldEvent>>>,
    /// Events read at a time.
    reading: Semaphore,
    /// The folder of an event that each game lies in, as last looked at.
    games: RwLock<HashMap<GameId, EventId>>,
    /// When all events were last looked at for games.
    pub(crate) games_looked_at: Mutex<Option<Instant>>,
    /// Versions of charters that games wait for, or once waited.
    awaited: RwLock<HashSet<Hash>>,
    /// Games and logs looked for in vain since the last refresh.
    missed: Mutex<HashSet<(GameId, Option<Fingerprint>)>>,
    charters: Mutex<charters::CharterScan>,
    orders: RwLock<Arc<Orders>>,
    changes: broadcast::Sender<Change>,
    generation: AtomicU64,
    stopping: watch::Sender<bool>,
    refreshing: Mutex<()>,
    /// What is verified again, little by little.
    recheck: Mutex<recheck::Recheck>,
    /// Whether an order to erase is new, and not everything was looked through
    /// for what it means.
    to_purge: AtomicBool,
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
    /// Whether computing results goes wrong.
    #[cfg(test)]
    pub breaks: AtomicBool,
}

/// Events read at a time: each takes memory before it is known how much.
const READ_AT_ONCE: usize = 4;

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

impl Collector {
    /// Opens a collector on a store: puts the charters given, and reads those kept
    /// there, the orders and which games there are.
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
            held: std::sync::Mutex::default(),
            reading: Semaphore::new(READ_AT_ONCE),
            games: RwLock::default(),
            games_looked_at: Mutex::default(),
            awaited: RwLock::default(),
            missed: Mutex::default(),
            charters: Mutex::default(),
            orders: RwLock::default(),
            changes: broadcast::channel(1024).0,
            generation: AtomicU64::new(0),
            stopping: watch::channel(false).0,
            refreshing: Mutex::default(),
            recheck: Mutex::default(),
            to_purge: AtomicBool::new(false),
            open,
            signer,
            called: std::sync::OnceLock::new(),
            rates: Rates::new(limits.requests_per_minute),
            seats: Bound::new(limits.live, limits.live_each),
            bodies: Bound::new(limits.bodies_mib << 20, limits.bodies_each_mib << 20),
            limits,
            metrics: Metrics::default(),
            #[cfg(test)]
            breaks: AtomicBool::new(false),
        });
        collector.metrics.store_failures.add(unkept);
        collector.metrics.writable(unkept == 0);
        let down = |StoreDown| anyhow::anyhow!("the storage does not answer");
        collector.look_at_games().await.map_err(down)?;
        collector.refresh().await.map_err(down)?;
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
        self.metrics.is_store_down() || self.store.takes_nothing()
    }

    /// Counts up with every change of charters and orders.
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

    /// The orders of whoever runs the service.
    #[must_use]
    pub fn orders(&self) -> Arc<Orders> {
        read(&self.orders).clone()
    }

    /// The logs of a game that whoever may read them is shown.
    #[must_use]
    pub fn shown(&self, event: &HeldEvent, game: GameId) -> Vec<Arc<Log>> {
        let orders = self.orders();
        let logs = event.logs_of(game).into_iter();
        let shown = logs.filter(|(name, _)| !orders.hides(event.id, *name));
        shown.map(|(_, log)| log).collect()
    }

    fn changed(&self, event: &HeldEvent, game: GameId) {
        self.note_game(game, event.id);
        event.set_changed();
        if event.is_read() {
            self.tell(event.id, Some(game));
        }
    }

    /// Tells those who look.
    fn tell(&self, event: EventId, game: Option<GameId>) {
        // Nobody listening is no fault.
        let _ = self.changes.send(Change { event, game });
    }

    fn down(&self, error: &object_store::Error) -> StoreDown {
        self.metrics.store_failures.add(1);
        self.metrics.store_unread.store(true, Ordering::Relaxed);
        tracing::error!(why = cause(error), "the storage does not answer");
        StoreDown
    }

    fn not_put(&self, error: &object_store::Error) -> StoreDown {
        self.metrics.store_failures.add(1);
        self.metrics.writable(false);
        tracing::error!(why = cause(error), "the storage did not take it");
        StoreDown
    }
}
