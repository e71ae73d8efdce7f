//! The one thing that every screen shares. What it holds are entries and
//! preferences; scores are folded, and what is recorded goes to the ledger.

mod charters;
mod desk;
mod second;

pub use crate::ledger::NotRecorded;
pub use charters::{Arrival, CharterNotTaken, Under};
pub use desk::{Desk, DeskGame, DeskLog, DeskView, Event as DeskEvent, LookProgress};
pub use second::{NotTaken, TakenRecord};

use std::rc::Rc;

use async_lock::{Mutex, OnceCell};
use engine::crosscheck::Agreement;
use engine::log::{Author, Body, Event, Fingerprint, GameRecord, Hash, Opening, Role, Setup};
use leptos::prelude::*;

use crate::book::Book;
use crate::keys::{KeyShown, OfficialKey};
use crate::ledger::{Ledger, Log, Writing, WrittenEntries};
use crate::official::Official;
use crate::settings::Settings;
use crate::store::{KeptCharter, ListedGame, NoGame, Store, Trouble, Writer};
use crate::tabs::Tabs;
use crate::{clock, demo};

/// Whether the games of this phone can be reached.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Storage is being opened.
    Opening,
    /// All is well.
    Ready,
    /// It cannot be opened, or was closed.
    Failed(Trouble),
}

/// Who may write the game that is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// Nobody asked yet.
    Asking,
    /// This tab.
    Here,
    /// Another tab has it.
    Elsewhere,
    /// Another tab took it from this one.
    Lost,
}

/// A game of this phone, or why what is kept makes none.
#[derive(Clone, Debug)]
pub struct ShownGame {
    /// Its line in the list.
    pub listed: ListedGame,
    /// What was read.
    pub book: Result<Book, NoGame>,
}

/// A game that is being opened.
#[derive(Clone)]
struct Asked {
    game: String,
    /// Held until it is open.
    opening: Rc<Mutex<()>>,
}

/// The logs of this phone.
type OwnLedger = Ledger<Rc<Store>, Rc<OfficialKey>>;

/// The ledger once it is opened, for whoever waits for it.
type Opened = Rc<OnceCell<Result<Rc<OwnLedger>, Trouble>>>;

/// Called with the name of a game that has changed; empty for any of them.
type OnChange = Rc<dyn Fn(&str)>;

/// Shared by every screen.
#[derive(Clone, Copy)]
pub struct AppState {
    opened: StoredValue<Opened, LocalStorage>,
    writer: StoredValue<Option<Writer>, LocalStorage>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
    changes: StoredValue<Option<OnChange>, LocalStorage>,
    /// Counts the games asked for, and says which one is being opened now.
    asked: StoredValue<(u32, Option<Asked>), LocalStorage>,
    /// Whether the games can be reached.
    pub reach: RwSignal<Reach>,
    /// Another tab blocks the opening.
    pub blocked: RwSignal<bool>,
    /// All games of this phone, newest first.
    pub games: RwSignal<Vec<ShownGame>>,
    /// Whether they have been read.
    pub listed: RwSignal<bool>,
    /// The game on the screen.
    pub open: RwSignal<Option<ShownGame>>,
    /// Who may write it.
    pub access: RwSignal<Access>,
    /// The event charters of this phone.
    pub charters: RwSignal<Vec<KeptCharter>>,
    /// Rulings from the other phone that wait for a yes.
    pub offered: RwSignal<Option<Agreement>>,
    /// The head of the own record that was shown to the other phone last.
    pub shown_head: RwSignal<Option<Hash>>,
    /// The organiser's desk.
    pub desk: Desk,
    /// What may be shown of this phone's key.
    pub key_shown: RwSignal<Option<KeyShown>>,
    /// Who keeps the logs of this phone.
    pub official: RwSignal<Official>,
    /// Preferences.
    pub settings: RwSignal<Settings>,
    /// A new version of the app waits.
    pub update_waits: RwSignal<bool>,
    /// Read out by screen readers: score changes and refusals.
    pub aloud: RwSignal<String>,
}

/// The shared context.
pub fn app_state() -> AppState {
    expect_context()
}

impl Default for AppState {
    fn default() -> Self {
        Self::new()
    }
}

impl AppState {
    /// Nothing opened yet.
    #[must_use]
    pub fn new() -> Self {
        Self {
            opened: StoredValue::new_local(Rc::default()),
            writer: StoredValue::new_local(None),
            tabs: StoredValue::new_local(None),
            changes: StoredValue::new_local(None),
            asked: StoredValue::new_local((0, None)),
            reach: RwSignal::new(Reach::Opening),
            blocked: RwSignal::new(false),
            games: RwSignal::new(Vec::new()),
            listed: RwSignal::new(false),
            open: RwSignal::new(None),
            access: RwSignal::new(Access::Asking),
            charters: RwSignal::new(Vec::new()),
            offered: RwSignal::new(None),
            shown_head: RwSignal::new(None),
            desk: Desk::default(),
            key_shown: RwSignal::new(None),
            official: RwSignal::new(Official::load()),
            settings: RwSignal::new(Settings::load()),
            update_waits: RwSignal::new(false),
            aloud: RwSignal::new(String::new()),
        }
    }

    /// Opens the storage; `None` where it cannot be. That is all that the first
    /// screen of a phone without games waits for.
    pub async fn open_storage(self) -> Option<Rc<Store>> {
        let opened = Store::open(
            move || self.blocked.set(true),
            move || self.reach.set(Reach::Failed(Trouble::Closed)),
        )
        .await;
        self.blocked.set(false);
        match opened {
            Ok(store) => {
                if store.is_new().await {
                    self.listed.set(true);
                }
                Some(Rc::new(store))
            }
            Err(trouble) => {
                // It is started once.
                let _ = self.opened.get_value().set(Err(trouble.clone())).await;
                self.reach.set(Reach::Failed(trouble));
                None
            }
        }
    }

    /// Reads the key, the charters and the games from the storage.
    pub async fn start(self, store: Rc<Store>) {
        let ledger = OfficialKey::of_this_phone(&store).await.map(|key| {
            self.key_shown.set(Some(KeyShown::of(&key)));
            Rc::new(Ledger::new(store, Rc::new(key)))
        });
        // It is started once.
        let _ = self.opened.get_value().set(ledger.clone()).await;
        if let Err(trouble) = ledger {
            return self.reach.set(Reach::Failed(trouble));
        }
        if let Err(trouble) = self.read_charters().await {
            return self.reach.set(Reach::Failed(trouble));
        }
        let heard = move |game| leptos::task::spawn_local(self.heard(game));
        self.tabs.set_value(Tabs::open(heard));
        self.reach.set(Reach::Ready);
        match self.list().await {
            Ok(()) => self.listed.set(true),
            Err(trouble) => self.reach.set(Reach::Failed(trouble)),
        }
    }

    /// The logs of this phone, for what is recorded.
    ///
    /// # Errors
    /// Before the storage is open, and where it cannot be.
    fn ledger(self) -> Result<Rc<OwnLedger>, Trouble> {
        let opened = self.opened.get_value();
        opened.get().cloned().unwrap_or(Err(Trouble::Closed))
    }

    /// The open storage, for what is read and what is kept beside the logs.
    ///
    /// # Errors
    /// Before it is open, and where it cannot be.
    pub(crate) fn store(self) -> Result<Rc<Store>, Trouble> {
        Ok(self.ledger()?.storage().clone())
    }

    /// The key of this phone.
    ///
    /// # Errors
    /// Before the storage is open.
    pub fn key(self) -> Result<Rc<OfficialKey>, NotRecorded> {
        Ok(self.ledger()?.key().clone())
    }

    /// The newest version of an event's charter is kept, and shown from here on.
    ///
    /// # Errors
    /// When there is no room.
    pub async fn keep_charter(self, charter: KeptCharter) -> Result<(), Trouble> {
        self.store()?.keep_charter(&charter).await?;
        self.charters.update(|all| {
            all.retain(|c| c.event != charter.event);
            all.push(charter);
        });
        Ok(())
    }

    /// Reads the games that are not shown yet, newest first; each is shown as
    /// soon as its entries are verified.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn list(self) -> Result<(), Trouble> {
        let store = self.store()?;
        let all = store.games().await?;
        self.games
            .update(|games| games.retain(|g| all.contains(&g.listed)));
        for listed in all {
            let known = |games: &Vec<ShownGame>| games.iter().any(|g| g.listed == listed);
            if self.games.with_untracked(known) {
                continue;
            }
            let shown = self.read(&store, listed).await?;
            self.put(shown);
        }
        Ok(())
    }

    /// Puts a game into the list, newest first, in place of what is shown of it there.
    fn put(self, shown: ShownGame) {
        self.put_all([shown]);
    }

    /// Puts games into the list at once, so that what is below it moves once.
    fn put_all(self, all: impl IntoIterator<Item = ShownGame>) {
        self.games.update(|games| {
            for shown in all {
                games.retain(|g| g.listed != shown.listed);
                let at = games.partition_point(|g| g.listed.begun > shown.listed.begun);
                games.insert(at, shown);
            }
        });
    }

    /// Calls `changed` with the name of each game of which something is kept
    /// from now on, here or in another tab; with an empty name for any of them.
    pub fn on_change(self, changed: impl Fn(&str) + 'static) {
        self.changes.set_value(Some(Rc::new(changed)));
    }

    fn changed(self, game: &str) {
        if let Some(changed) = self.changes.get_value() {
            changed(game);
        }
    }

    /// Another tab changed a game: what is shown of it here is read again.
    async fn heard(self, game: String) {
        self.changed(&game);
        if game.is_empty() {
            // Unreadable, what was read before stays.
            let _ = self.read_charters().await;
        }
        if self.is_open(&game) {
            // Also with the right to write it: the desk signs in the same log, and a tab that this one
            // took the game over from may have had a last entry under way.
            if let Ok(ledger) = self.ledger() {
                ledger.settled().await;
            }
            // Not read, it stays as it is until the next word of it.
            let _ = self.show_again(&game).await;
        }
        self.games
            .update(|games| games.retain(|g| g.listed.game != game));
        if let Err(trouble) = self.list().await {
            self.reach.set(Reach::Failed(trouble));
        }
    }

    /// Tells delivery and the other tabs that a game has changed.
    fn tell(self, game: &str) {
        self.changed(game);
        self.tabs.with_value(|tabs| {
            if let Some(tabs) = tabs {
                tabs.tell(game);
            }
        });
    }

    async fn read(self, store: &Store, listed: ListedGame) -> Result<ShownGame, Trouble> {
        let found = store.all_of(&listed.game).await?;
        let book = Book::read(&listed, found);
        Ok(ShownGame { listed, book })
    }

    /// Whether this game is the one that is open.
    pub fn is_open(self, game: &str) -> bool {
        self.open
            .with_untracked(|o| o.as_ref().is_some_and(|o| o.listed.game == game))
    }

    /// Whether this tab has the right to write this game.
    fn holds(self, game: &str) -> bool {
        self.writer
            .with_value(|w| w.as_ref().is_some_and(|w| w.game() == game))
    }

    /// The storage, once it is open.
    ///
    /// # Errors
    /// When it cannot be opened, or was closed.
    pub(crate) async fn opened_store(self) -> Result<Rc<Store>, Trouble> {
        let opened = self.opened.get_value();
        let store = opened.wait().await.clone()?.storage().clone();
        match self.reach.get_untracked() {
            Reach::Failed(trouble) => Err(trouble),
            Reach::Opening | Reach::Ready => Ok(store),
        }
    }

    /// Opens a game and asks for the right to write it; without that right it
    /// is shown to be read. Waits for the storage. What was open before is
    /// closed at once; where another game is asked for meanwhile, or none is
    /// wanted any more, nothing comes of it.
    ///
    /// # Errors
    /// When there is no such game or the browser cannot read.
    pub async fn open(self, game: String, take_over: bool) -> Result<(), Trouble> {
        let (turn, asked) = self.asked.get_value();
        if let Some(asked) = asked.filter(|asked| !take_over && asked.game == game) {
            // Asked for twice: the two must not take the right to write from each other.
            asked.opening.lock().await;
            if self.is_open(&game) || !self.is_turn(turn) {
                return Ok(());
            }
        }
        let opening = Rc::new(Mutex::new(()));
        let _opening = opening.lock().await;
        let turn = self.next_turn(Some(Asked {
            game: game.clone(),
            opening: opening.clone(),
        }));
        let opened = self.open_in(turn, &game, take_over).await;
        if self.is_turn(turn) {
            self.asked.update_value(|asked| asked.1 = None);
            if opened.is_err() {
                self.writer.set_value(None);
            }
        }
        opened
    }

    async fn open_in(self, turn: u32, game: &str, take_over: bool) -> Result<(), Trouble> {
        if !self.is_open(game) {
            self.open.set(None);
        }
        let store = self.opened_store().await?;
        if !self.is_turn(turn) {
            return Ok(());
        }
        if take_over || !self.holds(game) {
            self.writer.set_value(None);
            self.access.set(Access::Asking);
            let of = game.to_string();
            let lost = move || {
                // Of a game that was left there is nothing to lose.
                if self.holds(&of) {
                    self.access.set(Access::Lost);
                    self.writer.set_value(None);
                }
            };
            let writer = Writer::ask(game.to_string(), take_over, lost).await;
            if !self.is_turn(turn) {
                return Ok(());
            }
            self.access.set(match writer {
                Some(_) => Access::Here,
                None => Access::Elsewhere,
            });
            self.writer.set_value(writer);
        }
        let listed = store.games().await?.into_iter().find(|g| g.game == game);
        let listed = listed.ok_or(Trouble::NoSuchGame)?;
        // Read again whatever is known: another tab may have written since.
        let shown = self.read(&store, listed).await?;
        if self.is_turn(turn) {
            self.open.set(Some(shown));
        }
        Ok(())
    }

    /// Another game is asked for, or none: what was under way is for nothing.
    fn next_turn(self, game: Option<Asked>) -> u32 {
        self.asked.update_value(|asked| {
            *asked = (asked.0.wrapping_add(1), game);
        });
        self.asked.with_value(|asked| asked.0)
    }

    fn is_turn(self, turn: u32) -> bool {
        self.asked.with_value(|asked| asked.0 == turn)
    }

    /// Leaves the game on the screen and gives the right to write it back.
    pub fn leave(self) {
        self.next_turn(None);
        self.writer.set_value(None);
        self.access.set(Access::Asking);
        let left = self.open.try_update(Option::take).flatten();
        if let Some(shown) = left {
            self.games.update(|games| {
                if let Some(row) = games.iter_mut().find(|g| g.listed == shown.listed) {
                    *row = shown;
                }
            });
        }
    }

    /// Begins a game: its opening entry is kept before this returns its name.
    ///
    /// # Errors
    /// When the cards or the edition make no game, or it cannot be kept.
    pub async fn begin(self, setup: Setup) -> Result<String, NotRecorded> {
        let official = self.official.get_untracked();
        self.begin_as(official.role(), setup).await
    }

    /// Opens this phone's own log of a game.
    async fn begin_as(self, role: Role, setup: Setup) -> Result<String, NotRecorded> {
        let author = Author::new(
            *self.key()?.public(),
            self.official.get_untracked().name,
            role,
        );
        let opening = Opening::new(setup, author);
        self.keep_new(Log::New(Box::new(opening))).await
    }

    /// Keeps a new log of this phone and shows its game.
    async fn keep_new(self, log: Log) -> Result<String, NotRecorded> {
        let shown = self.keep_unshown(log).await?;
        let game = shown.listed.game.clone();
        self.put(shown);
        Ok(game)
    }

    /// The same, and whoever asks puts it into the list.
    async fn keep_unshown(self, log: Log) -> Result<ShownGame, NotRecorded> {
        let take = || {
            Ok(Writing {
                log,
                bodies: Vec::new(),
                lists: true,
                now: clock::now(),
            })
        };
        let show = |written: WrittenEntries| {
            let listed = written
                .listed
                .unwrap_or_else(|| ListedGame::of(&written.record));
            self.tell(&listed.game);
            let book = Ok(Book::new(listed.clone(), written.record));
            ShownGame { listed, book }
        };
        self.ledger()?.write(take, show).await
    }

    /// Puts the made-up event on the phone: each record, and its charter. All of
    /// it is shown at once, and when it breaks off what there is.
    ///
    /// # Errors
    /// When it cannot be kept.
    pub async fn add_demo(self) -> Result<(), NotRecorded> {
        self.opened_store().await?;
        let mut kept = Vec::new();
        let done = self.keep_demo(&mut kept).await;
        self.put_all(kept);
        self.desk_forget();
        self.tell("");
        done
    }

    async fn keep_demo(self, kept: &mut Vec<ShownGame>) -> Result<(), NotRecorded> {
        let key = self.key()?;
        let made = demo::event(&key, clock::now()).await;
        let event = made.map_err(|why| Trouble::Browser(why.to_string()))?;
        let store = self.store()?;
        for game in event.games {
            let own = |r: &GameRecord| r.chain().author() == key.public();
            let (own, others): (Vec<_>, Vec<_>) = game.records.into_iter().partition(own);
            for record in others {
                let game = record.chain().game().to_string();
                store
                    .keep_foreign(&game, &second::whole(record.chain()))
                    .await?;
            }
            for record in own {
                let shown = self.keep_unshown(Log::Signed(Box::new(record))).await?;
                // With what the others have of it.
                kept.push(self.read(&store, shown.listed).await?);
            }
        }
        if let Some(charter) = KeptCharter::new(&[event.charter]) {
            self.keep_charter(charter).await?;
        }
        Ok(())
    }

    /// Takes the made-up event away.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn remove_demo(self) -> Result<(), Trouble> {
        self.opened_store().await?.remove_demo().await?;
        self.desk_forget();
        self.read_charters().await?;
        // No game has this name: the others read their lists again.
        self.tell("");
        self.list().await
    }

    /// Records an event of the open game. It is shown as recorded only after
    /// the browser has committed it.
    ///
    /// # Errors
    /// When the rules refuse it or the phone could not keep it; nothing has
    /// changed then.
    pub async fn record(self, event: Event) -> Result<(), NotRecorded> {
        self.record_body(Body::Event(event)).await
    }

    /// Records anything else that a log says of the open game: a comparison of
    /// codes, a ruling, a precaution, a statement.
    ///
    /// # Errors
    /// As [`AppState::record`].
    pub async fn record_body(self, body: Body) -> Result<(), NotRecorded> {
        self.record_all(vec![body]).await
    }

    /// Records several things of the open game together, all or none.
    ///
    /// # Errors
    /// As [`AppState::record`].
    pub async fn record_all(self, bodies: Vec<Body>) -> Result<(), NotRecorded> {
        let now = clock::now();
        self.record_at(bodies.into_iter().map(|body| (body, now)).collect())
            .await
    }

    /// Goes on from another official's record of the open game, in place of a
    /// phone that was lost.
    ///
    /// # Errors
    /// As [`AppState::record`]; nothing is open where it is not here any more.
    pub async fn take_over(self, from: Fingerprint) -> Result<(), NotRecorded> {
        let bodies = self.open.with_untracked(|open| {
            let book = open.as_ref()?.book.as_ref().ok()?;
            let mut others = book.others.iter().map(|o| &o.record);
            let other = others.find(|o| o.chain().author().fingerprint() == from)?;
            book.record.takeover(other, clock::now())
        });
        self.record_at(bodies.ok_or(NotRecorded::NothingOpen)?)
            .await
    }

    /// Records things of the open game, each with the time claimed for it.
    async fn record_at(self, bodies: Vec<(Body, u64)>) -> Result<(), NotRecorded> {
        let ledger = self.ledger()?;
        let game = self
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.listed.game.clone()));
        let game = game.ok_or(NotRecorded::NothingOpen)?;
        let is_shown = ledger
            .write(
                || {
                    let record = self.open_record(&game)?;
                    Ok(Writing {
                        log: Log::Here(Box::new(record)),
                        bodies,
                        lists: true,
                        now: clock::now(),
                    })
                },
                |written| {
                    self.tell(&game);
                    self.show_recorded(&game, written.record)
                },
            )
            .await;
        match is_shown {
            Ok(true) => Ok(()),
            // The game was left while the entries were being kept.
            Ok(false) => Ok(self.show_again(&game).await?),
            Err(why) => {
                if why == NotRecorded::Trouble(Trouble::Taken) {
                    // Another writer was faster: the game is shown as it is now.
                    self.show_again(&game).await?;
                }
                Err(why)
            }
        }
    }

    /// The open game's record, where this tab may write it.
    fn open_record(self, game: &str) -> Result<GameRecord, NotRecorded> {
        if self.access.get_untracked() != Access::Here || !self.holds(game) {
            return Err(Trouble::SecondTab.into());
        }
        self.open.with_untracked(|open| match open {
            Some(ShownGame {
                listed,
                book: Ok(book),
            }) if listed.game == game => match book.is_whole() {
                true => Ok(book.record.clone()),
                false => Err(Trouble::Damaged.into()),
            },
            _ => Err(NotRecorded::NothingOpen),
        })
    }

    /// Shows a record that has grown; whether its game is still open.
    fn show_recorded(self, game: &str, record: GameRecord) -> bool {
        let shown = self.open.try_update(|open| match open {
            Some(ShownGame {
                listed,
                book: Ok(book),
            }) if listed.game == game => {
                book.record = record;
                true
            }
            _ => false,
        });
        shown == Some(true)
    }

    /// Says something to screen readers.
    pub fn say(self, text: impl Into<String>) {
        self.aloud.set(text.into());
    }
}
