//! Games kept on the phone: IndexedDB through its own bindings, because the
//! wrapper over them hides three things that a game's record depends on: the
//! durability of a transaction, the notice that another tab blocks an
//! upgrade, and the notice that another tab wants one.
//!
//! Durability: a committed transaction is by default "relaxed" in Chromium
//! since version 121 (the browser has handed it to the system, a dead battery
//! may still lose it) and in Safari; "strict" waits for the disk. It is asked
//! for by name at every append, and [`Store::waits_for_disk`] says whether the
//! browser knows it.

mod charters;
mod delivered;
mod desk;
mod foreign;
mod shelf;
mod space;
mod trouble;
mod writer;

pub use charters::KeptCharter;
pub use delivered::Acknowledgement;
pub use desk::{FiledDocument, Wrong};
pub use foreign::{Foreign, FoundGame, FoundOf, Row};
pub use shelf::{DamagedEntry, NoGame, read};
pub use space::{Lasting, Room, ask_to_last, lasting, room};
pub use trouble::Trouble;
pub use writer::Writer;

use engine::log::{Body, Entry, GameRecord, Verified};
use idb::event::VersionChangeEvent;
use idb::{Database, DatabaseEvent, Factory, KeyPath, ObjectStoreParams, TransactionMode};
use js_sys::{Array, Promise, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{IdbDatabase, IdbTransaction};

use crate::js;

const NAME: &str = "chalkbook";
/// 1: entries, games, keys, charters. 2: what collectors have acknowledged, and
/// what came to the organiser's desk. 3: collectors' signed receipts.
const VERSION: u32 = 3;

const ENTRIES: &str = "entries";
const GAMES: &str = "games";
const KEYS: &str = "keys";
const CHARTERS: &str = "charters";
/// What each collector has acknowledged of each log.
const DELIVERED: &str = "delivered";
/// Collectors' signed receipts, the first of each for as many entries.
const RECEIPTS: &str = "receipts";
/// Files and texts that came to the organiser's desk, each as it came.
const ARRIVALS: &str = "arrivals";

/// A game as listed: everything else is folded from its entries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ListedGame {
    /// Its name: the game id in hexadecimal.
    pub game: String,
    /// Who wrote it on this phone: the fingerprint of the key, in hexadecimal.
    pub author: String,
    /// Made up for the demo event.
    pub demo: bool,
    /// When it was begun, ms since 1970.
    pub begun: u64,
}

/// The open storage.
pub struct Store {
    db: Database,
    raw: IdbDatabase,
}

impl Store {
    /// Opens the storage. `blocked` is called when another tab has to close
    /// first; `closed` when the storage goes away under this tab.
    ///
    /// # Errors
    /// When the browser keeps nothing here, or a later version made it.
    pub async fn open(
        blocked: impl FnOnce() + 'static,
        closed: impl Fn() + Clone + 'static,
    ) -> Result<Self, Trouble> {
        let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
        request.on_blocked(move |_| blocked());
        request.on_upgrade_needed(|event| {
            // A failure here fails the opening below, which reports it.
            let _ = lay_out(&event);
        });
        let mut db = request.await?;
        let when_closed = closed.clone();
        db.on_close(move |_| when_closed());
        // Another tab wants a newer version: step aside at once, entries are already kept.
        db.on_version_change(move |event| {
            if let Some(db) = event
                .target()
                .and_then(|t| t.dyn_into::<IdbDatabase>().ok())
            {
                db.close();
            }
            closed();
        });
        let raw: JsValue = js_value(&db)?;
        Ok(Self {
            db,
            raw: raw.unchecked_into(),
        })
    }

    /// Whether the browser waits for the disk before it says that something is
    /// kept; one that cannot says nothing of it.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub fn waits_for_disk(&self) -> Result<bool, Trouble> {
        let tx = self.strict(&[KEYS])?;
        Ok(js::text(&tx, "durability").as_deref() == Some("strict"))
    }

    /// Every game on this phone, newest first.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn games(&self) -> Result<Vec<ListedGame>, Trouble> {
        let tx = self.db.transaction(&[GAMES], TransactionMode::ReadOnly)?;
        let rows = tx.object_store(GAMES)?.get_all(None, None)?.await?;
        let mut games: Vec<_> = rows.iter().filter_map(ListedGame::from_js).collect();
        games.sort_by(|a, b| b.begun.cmp(&a.begun).then_with(|| a.game.cmp(&b.game)));
        Ok(games)
    }

    /// Whether nothing is kept here that the first screen shows; not where the
    /// browser cannot read.
    pub async fn is_new(&self) -> bool {
        let count = async |store: &str| -> Result<u32, Trouble> {
            let tx = self.db.transaction(&[store], TransactionMode::ReadOnly)?;
            Ok(tx.object_store(store)?.count(None)?.await?)
        };
        count(GAMES).await == Ok(0) && count(CHARTERS).await == Ok(0)
    }

    /// Takes the made-up event away: its charter, and every record of its games.
    /// Games of one's own are never removed by the app.
    ///
    /// # Errors
    /// When the browser cannot write; nothing was removed then.
    pub async fn remove_demo(&self) -> Result<(), Trouble> {
        let listed = self.games().await?;
        let charters = self.charters().await?;
        let mut logs = Vec::new();
        for log in self.logs(None).await? {
            let opening = self.opening_of(&log).await?;
            let opening = opening.and_then(|bytes| Entry::parse(&bytes).ok());
            if let Some(Body::Opening(opening)) = opening.as_ref().map(Entry::body)
                && opening.setup.demo
            {
                logs.push(log.game);
            }
        }
        let raw = self.strict(&[ENTRIES, GAMES, CHARTERS])?;
        let tx = idb::Transaction::from(raw.clone());
        for row in listed.iter().filter(|g| g.demo) {
            let (game, author) = (row.game.as_str(), row.author.as_str());
            let line: Array = [JsValue::from(game), author.into()].iter().collect();
            tx.object_store(GAMES)?.delete(JsValue::from(line))?;
        }
        for game in logs {
            tx.object_store(ENTRIES)?.delete(foreign::of_game(&game)?)?;
        }
        for charter in charters.iter().filter(|c| c.is_practice()) {
            let event = JsValue::from(charter.event.as_str());
            tx.object_store(CHARTERS)?.delete(event)?;
        }
        committed(&raw).await
    }

    /// What is kept under a name in the key store.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub(crate) async fn key_row(&self, name: &str) -> Result<Option<JsValue>, Trouble> {
        let tx = self.db.transaction(&[KEYS], TransactionMode::ReadOnly)?;
        let row = tx.object_store(KEYS)?.get(JsValue::from(name))?.await?;
        Ok(row)
    }

    /// Keeps a row of the key store, never over one that is there.
    ///
    /// # Errors
    /// [`Trouble::Taken`] when there is one of this name; nothing was changed.
    pub(crate) async fn keep_key_row(&self, row: &JsValue) -> Result<(), Trouble> {
        let raw = self.strict(&[KEYS])?;
        let tx = idb::Transaction::from(raw.clone());
        tx.object_store(KEYS)?.add(row, None)?;
        committed(&raw).await
    }

    /// A writing transaction that is complete only when the disk has it.
    fn strict(&self, stores: &[&str]) -> Result<IdbTransaction, Trouble> {
        let names: Array = stores.iter().map(|s| JsValue::from_str(s)).collect();
        let how = js::object(&[("durability", "strict".into())]);
        match js::call(
            &self.raw,
            "transaction",
            &[names.into(), "readwrite".into(), how],
        ) {
            Some(Ok(tx)) => Ok(tx.unchecked_into()),
            Some(Err(error)) => Err(Trouble::from_js(&error)),
            None => Err(Trouble::NoStorage),
        }
    }
}

/// Where entries are kept for good.
pub trait Storage {
    /// Appends entries of one log, and its line in the list of games where it
    /// gets one, in one transaction; resolves when the disk has them.
    ///
    /// # Errors
    /// [`Trouble::Taken`] when a number is kept already, [`Trouble::Full`] when
    /// there is no room; nothing was changed then.
    fn append(
        &self,
        listed: Option<&ListedGame>,
        record: &GameRecord,
        entries: &[Entry<Verified>],
    ) -> impl Future<Output = Result<(), Trouble>>;
}

impl<T: Storage> Storage for std::rc::Rc<T> {
    fn append(
        &self,
        listed: Option<&ListedGame>,
        record: &GameRecord,
        entries: &[Entry<Verified>],
    ) -> impl Future<Output = Result<(), Trouble>> {
        (**self).append(listed, record, entries)
    }
}

impl Storage for Store {
    async fn append(
        &self,
        listed: Option<&ListedGame>,
        record: &GameRecord,
        entries: &[Entry<Verified>],
    ) -> Result<(), Trouble> {
        let raw = self.strict(&[ENTRIES, GAMES])?;
        let tx = idb::Transaction::from(raw.clone());
        if let Some(listed) = listed {
            tx.object_store(GAMES)?.add(&listed.to_js(), None)?;
        }
        let store = tx.object_store(ENTRIES)?;
        let (game, author) = log_key(record);
        for entry in entries {
            let row = js::object(&[
                ("game", game.as_str().into()),
                ("author", author.as_str().into()),
                ("seq", (entry.payload().seq as f64).into()),
                ("bytes", Uint8Array::from(entry.bytes()).into()),
            ]);
            store.add(&row, None)?;
        }
        committed(&raw).await
    }
}

/// What names a log here: the game, and who opened it, in hexadecimal.
fn log_key(record: &GameRecord) -> (String, String) {
    let chain = record.chain();
    (
        chain.game().to_string(),
        chain.author().fingerprint().to_string(),
    )
}

/// Waits until a transaction is committed, or says why it was not. The
/// binding's own future reports a failed request before the transaction has
/// its reason, and an abort at commit, as for want of room, without one.
async fn committed(tx: &IdbTransaction) -> Result<(), Trouble> {
    let done = Promise::new(&mut |resolve, reject| {
        tx.set_oncomplete(Some(&resolve));
        tx.set_onabort(Some(&reject));
    });
    if JsFuture::from(done).await.is_ok() {
        return Ok(());
    }
    Err(tx
        .error()
        .map_or(Trouble::Closed, |error| Trouble::from_js(&error.into())))
}

/// The browser's own object behind the binding.
fn js_value(db: &Database) -> Result<JsValue, Trouble> {
    // A transaction names the database it belongs to.
    let tx = db.transaction(&[KEYS], TransactionMode::ReadOnly)?;
    let raw = IdbTransaction::from(tx);
    Ok(raw.db().into())
}

fn lay_out(event: &VersionChangeEvent) -> Result<(), idb::Error> {
    let db = event.database()?;
    let keyed = |path: KeyPath| {
        let mut params = ObjectStoreParams::new();
        params.key_path(Some(path));
        params
    };
    let stores = db.store_names();
    for (name, path) in [
        (ENTRIES, KeyPath::new_array(["game", "author", "seq"])),
        (GAMES, KeyPath::new_array(["game", "author"])),
        (KEYS, KeyPath::new_single("name")),
        (CHARTERS, KeyPath::new_single("event")),
        (
            DELIVERED,
            KeyPath::new_array(["collector", "game", "author"]),
        ),
        (ARRIVALS, KeyPath::new_single("hash")),
        (
            RECEIPTS,
            KeyPath::new_array(["game", "author", "entries", "collector"]),
        ),
    ] {
        if !stores.iter().any(|s| s == name) {
            db.create_object_store(name, keyed(path))?;
        }
    }
    Ok(())
}

fn kept(row: &JsValue) -> Option<(u64, Vec<u8>)> {
    let seq = js::member(row, "seq")?.as_f64()?;
    // Bytes that are gone are shown as a damaged entry, not skipped.
    let bytes = js::member(row, "bytes").and_then(|b| b.dyn_into::<Uint8Array>().ok());
    Some((seq as u64, bytes.map_or_else(Vec::new, |b| b.to_vec())))
}

impl ListedGame {
    /// The line of a log of this phone's own.
    pub fn of(record: &GameRecord) -> Self {
        let (game, author) = log_key(record);
        let first = record.chain().entries().first();
        Self {
            game,
            author,
            demo: record.opening().setup.demo,
            begun: first.map_or(0, |entry| entry.payload().claimed_ms),
        }
    }

    fn to_js(&self) -> JsValue {
        js::object(&[
            ("game", self.game.as_str().into()),
            ("author", self.author.as_str().into()),
            ("demo", self.demo.into()),
            ("begun", (self.begun as f64).into()),
        ])
    }

    fn from_js(row: &JsValue) -> Option<Self> {
        Some(Self {
            game: js::text(row, "game")?,
            author: js::text(row, "author")?,
            demo: js::member(row, "demo").is_some_and(|v| v.is_truthy()),
            begun: js::member(row, "begun")?.as_f64()? as u64,
        })
    }
}
