//! The one thing that every screen shares, and the only one that appends to
//! a log. What it holds are entries and preferences; scores are folded.

mod charters;
mod desk;
mod second;

pub use charters::{Arrival, CharterNotTaken, ReadBeside, Under};
pub use desk::{Desk, DeskGame, DeskLog, DeskView, Event as DeskEvent};
pub use second::{NotTaken, Taken};

use std::rc::Rc;

use engine::crosscheck::Agreement;
use engine::log::{Author, Body, Event, GameRecord, Opening, RecordError, RecordObjection, Setup};
use leptos::prelude::*;

use crate::book::Book;
use crate::keys::{KeyShown, OfficialKey};
use crate::official::Official;
use crate::settings::Settings;
use crate::store::{KeptCharter, Listed, NoGame, Store, Trouble, Writer};
use crate::tabs::Tabs;
use crate::{clock, demo, js};

/// Between two looks at whether something else is done (ms).
const TURN: i32 = 20;

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

/// Why something was not recorded.
#[derive(Clone, Debug, PartialEq)]
pub enum NotRecorded {
    /// The rules refuse it.
    Refused(RecordObjection),
    /// The phone could not keep it.
    Trouble(Trouble),
    /// The cards or the rules make no game, or a text is too long.
    Record(RecordError),
    /// No game is open.
    NothingOpen,
    /// A record is being written already.
    Busy,
}

impl NotRecorded {
    /// What happened and what to do next, in words.
    pub fn says(&self) -> (String, String) {
        match self {
            Self::Refused(objection) => (objection.to_string(), String::new()),
            Self::Trouble(t) => (t.what(), t.next().into()),
            Self::Record(why) => (why.to_string(), String::new()),
            Self::NothingOpen => (
                "No game is open.".into(),
                "Go back to the games of this phone.".into(),
            ),
            Self::Busy => (
                "The last call is still being written.".into(),
                "Wait a moment.".into(),
            ),
        }
    }
}

impl From<Trouble> for NotRecorded {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl From<RecordError> for NotRecorded {
    fn from(why: RecordError) -> Self {
        match why {
            RecordError::Refused(objection) => Self::Refused(objection),
            other => Self::Record(other),
        }
    }
}

/// A game of this phone, or why what is kept makes none.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Its line in the list.
    pub listed: Listed,
    /// What was read.
    pub book: Result<Book, NoGame>,
}

/// Shared by every screen.
#[derive(Clone, Copy)]
pub struct Chalk {
    store: StoredValue<Option<Rc<Store>>, LocalStorage>,
    writer: StoredValue<Option<Writer>, LocalStorage>,
    key: StoredValue<Option<Rc<OfficialKey>>, LocalStorage>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
    writing: RwSignal<bool>,
    /// Counts the games asked for, and says which one is being opened now.
    asked: StoredValue<(u32, Option<String>)>,
    beside: ReadBeside,
    /// Whether the games can be reached.
    pub reach: RwSignal<Reach>,
    /// Another tab blocks the opening.
    pub blocked: RwSignal<bool>,
    /// All games of this phone, newest first.
    pub games: RwSignal<Vec<Shown>>,
    /// The game on the screen.
    pub open: RwSignal<Option<Shown>>,
    /// Who may write it.
    pub access: RwSignal<Access>,
    /// The event charters of this phone, where the module reads them.
    pub charters: RwSignal<Vec<KeptCharter>>,
    /// Rulings from the other phone that wait for a yes.
    pub offered: RwSignal<Option<Agreement>>,
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
pub fn chalk() -> Chalk {
    expect_context()
}

impl Chalk {
    /// Nothing opened yet.
    pub fn new(beside: ReadBeside) -> Self {
        Self {
            beside,
            store: StoredValue::new_local(None),
            writer: StoredValue::new_local(None),
            key: StoredValue::new_local(None),
            tabs: StoredValue::new_local(None),
            writing: RwSignal::new(false),
            asked: StoredValue::new((0, None)),
            reach: RwSignal::new(Reach::Opening),
            blocked: RwSignal::new(false),
            games: RwSignal::new(Vec::new()),
            open: RwSignal::new(None),
            access: RwSignal::new(Access::Asking),
            charters: RwSignal::new(Vec::new()),
            offered: RwSignal::new(None),
            desk: Desk::default(),
            key_shown: RwSignal::new(None),
            official: RwSignal::new(Official::load()),
            settings: RwSignal::new(Settings::load()),
            update_waits: RwSignal::new(false),
            aloud: RwSignal::new(String::new()),
        }
    }

    /// Opens the storage and lists the games.
    pub async fn start(self) {
        let opened = Store::open(
            move || self.blocked.set(true),
            move || self.reach.set(Reach::Failed(Trouble::Closed)),
        )
        .await;
        self.blocked.set(false);
        let store = match opened {
            Ok(store) => Rc::new(store),
            Err(trouble) => return self.reach.set(Reach::Failed(trouble)),
        };
        match OfficialKey::of_this_phone().await {
            Ok(key) => {
                self.key_shown.set(Some(KeyShown::of(&key)));
                self.key.set_value(Some(Rc::new(key)));
            }
            Err(trouble) => return self.reach.set(Reach::Failed(trouble)),
        }
        self.store.set_value(Some(store));
        if let Err(trouble) = (self.beside)(self).await {
            return self.reach.set(Reach::Failed(trouble));
        }
        let heard = move |game| leptos::task::spawn_local(self.heard(game));
        self.tabs.set_value(Tabs::open(heard));
        self.reach.set(Reach::Ready);
        if let Err(trouble) = self.list().await {
            self.reach.set(Reach::Failed(trouble));
        }
    }

    /// The open storage. Only what is here appends to a log; deliveries are
    /// kept beside.
    ///
    /// # Errors
    /// Before it is open.
    pub(crate) fn store(self) -> Result<Rc<Store>, Trouble> {
        self.store.with_value(Clone::clone).ok_or(Trouble::Closed)
    }

    /// The key of this phone.
    ///
    /// # Errors
    /// Before the storage is open.
    pub fn key(self) -> Result<Rc<OfficialKey>, NotRecorded> {
        let key = self.key.with_value(Clone::clone);
        key.ok_or(NotRecorded::Trouble(Trouble::Closed))
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
            let known = |games: &Vec<Shown>| games.iter().any(|g| g.listed == listed);
            if self.games.with_untracked(known) {
                continue;
            }
            let shown = self.read(&store, listed).await?;
            self.put(shown);
        }
        Ok(())
    }

    /// Puts a game into the list, newest first, in place of what is shown of it there.
    fn put(self, shown: Shown) {
        self.games.update(|games| {
            games.retain(|g| g.listed != shown.listed);
            let at = games.partition_point(|g| g.listed.begun > shown.listed.begun);
            games.insert(at, shown);
        });
    }

    /// Another tab changed a game: what is shown of it here is read again.
    async fn heard(self, game: String) {
        if game.is_empty() {
            // Unreadable, what was read before stays.
            let _ = (self.beside)(self).await;
        }
        if self.is_open(&game) {
            // Also with the right to write it: the desk signs in the same log, and a tab that this one
            // took the game over from may have had a last entry under way.
            while self.writing.get_untracked() {
                js::pause(TURN).await;
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

    /// Tells the other tabs that a game has changed.
    fn tell(self, game: &str) {
        self.tabs.with_value(|tabs| {
            if let Some(tabs) = tabs {
                tabs.tell(game);
            }
        });
    }

    async fn read(self, store: &Store, listed: Listed) -> Result<Shown, Trouble> {
        let found = store.all_of(&listed.game).await?;
        let book = Book::read(&listed, found);
        Ok(Shown { listed, book })
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
    async fn opened_store(self) -> Result<Rc<Store>, Trouble> {
        loop {
            match self.reach.get_untracked() {
                Reach::Opening => js::pause(TURN).await,
                Reach::Ready => return self.store(),
                Reach::Failed(trouble) => return Err(trouble),
            }
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
        let is_opening = || {
            self.asked
                .with_value(|(_, now)| now.as_ref() == Some(&game))
        };
        if !take_over && is_opening() {
            // Asked for twice: the two must not take the right to write from each other.
            let turn = self.asked.with_value(|asked| asked.0);
            while is_opening() {
                js::pause(TURN).await;
            }
            if self.is_open(&game) || !self.is_turn(turn) {
                return Ok(());
            }
        }
        let turn = self.next_turn(Some(game.clone()));
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
    fn next_turn(self, game: Option<String>) -> u32 {
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
        let key = self.key()?;
        let official = self.official.get_untracked();
        let author = Author {
            key: *key.public(),
            role: official.role(),
            name: official.name,
        };
        let now = clock::now();
        let opening = Opening { setup, author };
        let draft = GameRecord::draft_opening(opening, now)?;
        let record = GameRecord::open(key.sign(draft).await?)?;
        self.keep_new(record, now).await
    }

    /// Keeps a whole new record.
    async fn keep_new(self, record: GameRecord, begun: u64) -> Result<String, NotRecorded> {
        let store = self.store().map_err(NotRecorded::Trouble)?;
        let listed = Listed {
            game: record.chain().game().to_string(),
            author: record.chain().author().fingerprint().to_string(),
            demo: record.opening().setup.demo,
            begun,
        };
        let entries = record.chain().entries();
        store.append_all(&listed, entries).await?;
        let game = listed.game.clone();
        self.tell(&game);
        let book = Ok(Book {
            beside: 0,
            listed: listed.clone(),
            record,
            damaged: Vec::new(),
            others: Vec::new(),
        });
        self.put(Shown { listed, book });
        Ok(game)
    }

    /// Puts the made-up games of the demo event on the phone.
    ///
    /// # Errors
    /// When they cannot be kept.
    pub async fn add_demo(self) -> Result<(), NotRecorded> {
        let key = self.key()?;
        for record in demo::records(&key, clock::now()).await? {
            let begun = record.chain().entries().first();
            let begun = begun.map_or(0, |e| e.payload().claimed_ms);
            self.keep_new(record, begun).await?;
        }
        Ok(())
    }

    /// Takes the games of the demo event away.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn remove_demo(self) -> Result<(), Trouble> {
        self.store()?.remove_demo().await?;
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
    /// As [`Chalk::record`].
    pub async fn record_body(self, body: Body) -> Result<(), NotRecorded> {
        if self.writing.get_untracked() {
            return Err(NotRecorded::Busy);
        }
        self.writing.set(true);
        let result = self.write(body).await;
        self.writing.set(false);
        result
    }

    async fn write(self, body: Body) -> Result<(), NotRecorded> {
        if self.access.get_untracked() != Access::Here {
            return Err(NotRecorded::Trouble(Trouble::SecondTab));
        }
        let key = self.key()?;
        let (listed, draft) = self.open.with_untracked(|open| {
            let Some(Shown {
                listed,
                book: Ok(book),
            }) = open
            else {
                return Err(NotRecorded::NothingOpen);
            };
            if !book.is_whole() {
                return Err(NotRecorded::Trouble(Trouble::Damaged));
            }
            let draft = book.record.draft(body, clock::now());
            let draft = draft.map_err(|why| match why {
                RecordError::Refused(objection) => NotRecorded::Refused(objection),
                other => NotRecorded::Record(other),
            })?;
            Ok((listed.clone(), draft))
        })?;
        if !self.holds(&listed.game) {
            return Err(NotRecorded::Trouble(Trouble::SecondTab));
        }
        let entry = key.sign(draft).await?;
        let store = self.store().map_err(NotRecorded::Trouble)?;
        let kept = store.append(&listed, &entry).await;
        self.or_read_again(&listed, kept).await?;
        self.tell(&listed.game);
        let pushed = self.open.try_update(|open| match open {
            Some(Shown {
                listed: of,
                book: Ok(book),
            }) if *of == listed => Some(book.record.push(entry).map(|_| ())),
            _ => None,
        });
        match pushed.flatten() {
            Some(done) => done.map_err(NotRecorded::Record),
            // The game was left while the entry was being kept.
            None => Ok(self.show_again(&listed.game).await?),
        }
    }

    /// Where another writer was faster, the game as it is now is shown.
    async fn or_read_again(
        self,
        listed: &Listed,
        kept: Result<(), Trouble>,
    ) -> Result<(), NotRecorded> {
        if kept == Err(Trouble::Taken) {
            self.show_again(&listed.game).await?;
        }
        Ok(kept?)
    }

    /// Whether a record is being written now.
    pub fn is_writing(self) -> bool {
        self.writing.get()
    }

    /// Says something to screen readers.
    pub fn say(self, text: impl Into<String>) {
        self.aloud.set(text.into());
    }
}
