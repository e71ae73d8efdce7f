//! Events as they are held in memory: read when someone asks, let go when
//! nobody has for a while. What they are made of stays in the store.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard};
use std::time::{Duration, Instant};

use engine::log::{AuthorLog, Fingerprint, GameId, LogName, StagedEntries};
use engine::report::Reports;
use tokio::sync::{Mutex, OnceCell};

use super::merge::Merged;
use super::segments::SetAside;
use super::{Collector, StoreDown, read, write};
use crate::event::EventId;
use crate::standings::View;
use crate::store::SegmentName;

/// An event of which nobody asked anything for so long is let go.
const IDLE: Duration = Duration::from_secs(600);
/// What an event takes besides its entries, in bytes.
const EACH: u64 = 16 << 10;
/// What a disk gives out at a time: a batch of one small entry takes as much.
const BLOCK: u64 = 4096;
/// Folders that a new log takes at most: its own and its game's.
const FOLDERS: u64 = 2;

/// One log as it is held.
#[derive(Debug)]
pub struct Log {
    event: EventId,
    pub(super) branches: RwLock<AuthorLog>,
    /// Bytes of its entries.
    pub(crate) bytes: AtomicU64,
    /// What they take on a disk.
    room: AtomicU64,
    /// One batch at a time is judged and stored; the objects known.
    pub(super) known: Mutex<HashSet<SegmentName>>,
    /// Objects found of which nobody knows yet whether they last.
    pub(super) unsettled: Mutex<Vec<SegmentName>>,
    /// Whether it was taken back by its last signatures and not judged since.
    pub(super) taken_back: AtomicBool,
    /// Whether objects known hold entries that are not here, for they are not good.
    pub(super) is_doubtful: AtomicBool,
    /// Good objects of it in the store, as last looked at.
    pub(super) objects: AtomicUsize,
    /// When an object was added.
    pub(super) added: std::sync::Mutex<Instant>,
    /// What was merged and is not removed yet.
    pub(super) merged: std::sync::Mutex<Option<Merged>>,
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

    /// Whether something of it is here.
    fn is_begun(&self) -> bool {
        self.bytes.load(Ordering::Relaxed) > 0
    }
}

/// An event as it is held. It stays for as long as anyone holds it.
#[derive(Debug)]
pub struct HeldEvent {
    /// Which event.
    pub id: EventId,
    logs: RwLock<BTreeMap<GameId, BTreeMap<Fingerprint, Arc<Log>>>>,
    /// Bytes of its entries.
    bytes: AtomicU64,
    /// What they take on a disk.
    room: AtomicU64,
    /// Counts up with every change.
    generation: AtomicU64,
    /// Objects that are not shown.
    aside: std::sync::Mutex<HashMap<SegmentName, SetAside>>,
    /// Names that could not be read.
    pub(super) unreadable: AtomicUsize,
    pub(super) reports: std::sync::Mutex<Reports>,
    pub(crate) view: Mutex<Option<Arc<View>>>,
    /// Set once it was read.
    whole: OnceCell<()>,
    asked: std::sync::Mutex<Instant>,
}

pub(super) fn lock<T>(of: &std::sync::Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

impl HeldEvent {
    pub(super) fn new(id: EventId) -> Self {
        Self {
            id,
            logs: RwLock::default(),
            bytes: AtomicU64::new(0),
            room: AtomicU64::new(0),
            generation: AtomicU64::new(0),
            aside: std::sync::Mutex::default(),
            unreadable: AtomicUsize::new(0),
            reports: std::sync::Mutex::default(),
            view: Mutex::default(),
            whole: OnceCell::new(),
            asked: std::sync::Mutex::new(Instant::now()),
        }
    }

    /// A log of which something is here.
    #[must_use]
    pub fn log(&self, name: LogName) -> Option<Arc<Log>> {
        let logs = read(&self.logs);
        let log = logs.get(&name.game)?.get(&name.author)?;
        log.is_begun().then(|| log.clone())
    }

    /// Every log of which something is here.
    pub(super) fn all(&self) -> Vec<(LogName, Arc<Log>)> {
        let logs = read(&self.logs);
        let games = logs.iter().flat_map(|(game, logs)| {
            let name = |author| LogName {
                game: *game,
                author,
            };
            logs.iter().map(move |(a, log)| (name(*a), log.clone()))
        });
        games.filter(|(_, log)| log.is_begun()).collect()
    }

    /// Its games, each with the number of its logs.
    #[must_use]
    pub fn games(&self) -> BTreeMap<GameId, usize> {
        let logs = read(&self.logs);
        let begun = |logs: &BTreeMap<_, Arc<Log>>| logs.values().filter(|l| l.is_begun()).count();
        let counted = logs.iter().map(|(game, logs)| (*game, begun(logs)));
        counted.filter(|(_, count)| *count > 0).collect()
    }

    /// The logs of a game.
    pub(super) fn logs_of(&self, game: GameId) -> Vec<(LogName, Arc<Log>)> {
        let logs = read(&self.logs);
        let of_game = logs.get(&game).into_iter().flatten();
        let named = of_game.map(|(author, log)| {
            (
                LogName {
                    game,
                    author: *author,
                },
                log.clone(),
            )
        });
        named.filter(|(_, log)| log.is_begun()).collect()
    }

    /// A log, made where nothing of it is here.
    pub(super) fn enter(&self, name: LogName) -> Arc<Log> {
        let mut logs = write(&self.logs);
        let of_game = logs.entry(name.game).or_default();
        let log = of_game.entry(name.author).or_insert_with(|| {
            Arc::new(Log {
                event: self.id,
                branches: RwLock::new(AuthorLog::new(name)),
                bytes: AtomicU64::new(0),
                room: AtomicU64::new(0),
                known: Mutex::default(),
                unsettled: Mutex::default(),
                taken_back: AtomicBool::new(false),
                is_doubtful: AtomicBool::new(false),
                objects: AtomicUsize::new(0),
                added: std::sync::Mutex::new(Instant::now()),
                merged: std::sync::Mutex::default(),
            })
        });
        log.clone()
    }

    /// Forgets the logs of which this is true, and gives back their room.
    pub(super) fn forget(&self, gone: impl Fn(LogName) -> bool) {
        let mut logs = write(&self.logs);
        logs.retain(|game, logs| {
            logs.retain(|author, log| {
                let (game, author) = (*game, *author);
                let gone = gone(LogName { game, author });
                if gone {
                    let taken = |of: &AtomicU64| of.swap(0, Ordering::Relaxed);
                    self.bytes.fetch_sub(taken(&log.bytes), Ordering::Relaxed);
                    self.room.fetch_sub(taken(&log.room), Ordering::Relaxed);
                }
                !gone
            });
            !logs.is_empty()
        });
    }

    /// What its entries take on a disk.
    pub(super) fn room(&self) -> u64 {
        self.room.load(Ordering::Relaxed)
    }

    /// Adds entries to a log, and to what is counted.
    pub(super) fn add(&self, log: &Log, staged: StagedEntries) {
        self.count(log, staged.fresh().iter().map(|e| e.bytes().len()).sum());
        write(&log.branches).add(staged);
    }

    /// Counts an object with so many bytes of entries.
    pub(super) fn count(&self, log: &Log, bytes: usize) {
        let bytes = u64::try_from(bytes).unwrap_or(u64::MAX);
        let before = log.bytes.fetch_add(bytes, Ordering::Relaxed);
        let new = if before == 0 { FOLDERS } else { 0 };
        let on_disk = bytes.next_multiple_of(BLOCK) + new * BLOCK;
        log.room.fetch_add(on_disk, Ordering::Relaxed);
        self.room.fetch_add(on_disk, Ordering::Relaxed);
        self.bytes.fetch_add(bytes, Ordering::Relaxed);
    }

    /// Counts what a log takes on a disk anew: most of it lies in one object now,
    /// beside so many others.
    pub(super) fn recount_room(&self, log: &Log, others: usize) {
        let others = u64::try_from(others).unwrap_or(u64::MAX);
        let bytes = log.bytes.load(Ordering::Relaxed).next_multiple_of(BLOCK);
        let now = bytes + others.saturating_add(FOLDERS).saturating_mul(BLOCK);
        let before = log.room.swap(now, Ordering::Relaxed);
        self.room.fetch_add(now, Ordering::Relaxed);
        self.room.fetch_sub(before, Ordering::Relaxed);
    }

    pub(super) fn set_changed(&self) {
        self.generation.fetch_add(1, Ordering::AcqRel);
    }

    pub(super) fn generation(&self) -> u64 {
        self.generation.load(Ordering::Acquire)
    }

    /// Whether an object is to be read again: it never was, or could not be.
    pub(super) fn is_to_be_read(&self, run: &SegmentName) -> bool {
        let aside = lock(&self.aside);
        matches!(aside.get(run), None | Some(SetAside::Unreadable))
    }

    /// Notes why an object is not shown; false where that was known.
    pub(super) fn put_aside(&self, run: SegmentName, why: SetAside) -> bool {
        lock(&self.aside).insert(run, why) != Some(why)
    }

    pub(super) fn not_aside(&self, run: &SegmentName) {
        lock(&self.aside).remove(run);
    }

    /// Whoever was not listed may be now.
    pub(super) fn ask_again_who_is_listed(&self) {
        lock(&self.aside).retain(|_, why| *why != SetAside::Unlisted);
    }

    /// Whether all of it was read once: until then nobody looks at it.
    pub(super) fn is_read(&self) -> bool {
        self.whole.initialized()
    }

    /// Whether an object is not what was put there, or cannot be read.
    pub(super) fn has_damage(&self) -> bool {
        let aside = lock(&self.aside);
        aside.values().any(|why| *why != SetAside::Unlisted)
    }

    /// Names and objects that cannot be read just now.
    pub(super) fn count_unreadable(&self) -> usize {
        let aside = lock(&self.aside);
        let objects = aside.values().filter(|why| **why == SetAside::Unreadable);
        self.unreadable.load(Ordering::Relaxed) + objects.count()
    }
}

impl Collector {
    /// An event with all that is kept of it, read where it is not held; `None`
    /// where it is not served. What waits for a version of a charter that is
    /// known by now is of that version's event.
    ///
    /// # Errors
    /// When the store does not answer.
    pub async fn load(&self, event: EventId) -> Result<Option<Arc<HeldEvent>>, StoreDown> {
        let events = self.events();
        let event = events.home(event);
        if !events.has(event) && !matches!(event, EventId::Awaiting(_)) {
            return Ok(None);
        }
        let held = {
            let mut held = lock(&self.held);
            let found = held
                .entry(event)
                .or_insert_with(|| Arc::new(HeldEvent::new(event)));
            *lock(&found.asked) = Instant::now();
            found.clone()
        };
        if !held.is_read() {
            let read = async || {
                // Each takes memory before it is known how much.
                let _turn = self.reading.acquire().await;
                let swept = self.store.sweep(event).await;
                swept.map_err(|e| self.down(&e))?;
                self.catch_up(&held).await?;
                self.metrics.events_read.add(1);
                Ok(())
            };
            held.whole.get_or_try_init(read).await?;
            self.let_go();
        }
        Ok(Some(held))
    }

    /// The events held that were read whole.
    pub(super) fn held(&self) -> Vec<Arc<HeldEvent>> {
        let held = lock(&self.held);
        let whole = held.values().filter(|event| event.is_read());
        whole.cloned().collect()
    }

    /// Lets events go that nobody holds: those not asked for in a while, and of
    /// the others, those not asked for the longest, as long as there are too
    /// many. Nobody can begin to hold one meanwhile.
    pub(super) fn let_go(&self) {
        let events = self.events();
        let most = self.limits.held_mib << 20;
        let size = |event: &HeldEvent| event.bytes.load(Ordering::Relaxed) + EACH;
        let mut held = lock(&self.held);
        // What is not served any more, and what waited and does no longer.
        held.retain(|id, _| match id {
            EventId::Awaiting(_) => events.home(*id) == *id,
            id => events.has(*id),
        });
        let mut all: u64 = held.values().map(|event| size(event)).sum();
        let unused = held.values().filter(|event| {
            // How much waits in all is bounded, and known only while it is held.
            Arc::strong_count(event) == 1 && !matches!(event.id, EventId::Awaiting(_))
        });
        let mut unused: Vec<_> = unused
            .map(|event| (*lock(&event.asked), event.id, size(event)))
            .collect();
        unused.sort_unstable();
        for (asked, id, size) in unused {
            if all <= most && asked.elapsed() < IDLE {
                break;
            }
            held.remove(&id);
            self.store.forget(id);
            all -= size;
        }
        let count = i64::try_from(held.len()).unwrap_or(i64::MAX);
        self.metrics.events_held.store(count, Ordering::Relaxed);
    }
}
