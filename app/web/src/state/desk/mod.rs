//! The organiser's desk: every log that came to this phone, by event, and what
//! the organiser signs. What a game comes to is the engine's word; nothing is
//! decided here.

mod books;
mod sign;
mod take;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use engine::charter::{Charter, SignedCharter};
use engine::log::{Entry, GameId, GameRecord, Hash, LogName, Verified};
use engine::report::publish::PublishedEvent;
use engine::report::{EventView, GameReport, Judges, OfFixture};
use leptos::prelude::*;

use super::AppState;
use crate::store::{FiledDocument, KeptCharter, Store, Trouble, Wrong};
use crate::{clock, js};
use books::Books;

/// Which games are looked at together.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Event {
    /// Those of a charter on this phone, by its event's name here.
    Charter(String),
    /// Those of a charter that is not here, by its hash.
    Elsewhere(Hash),
    /// Those without a charter.
    Free,
}

impl Event {
    /// The word for it in an address.
    pub fn word(&self) -> String {
        match self {
            Self::Charter(event) => event.clone(),
            Self::Elsewhere(hash) => format!("elsewhere-{hash}"),
            Self::Free => "free".into(),
        }
    }
}

/// One log of a game.
#[derive(Clone, Debug)]
pub struct DeskLog {
    /// What names it.
    pub name: LogName,
    /// The line shown, and what it folds to.
    pub record: GameRecord,
    /// Entries beside the line shown.
    pub aside: Vec<Entry<Verified>>,
}

/// One game with all its logs.
#[derive(Clone, Debug)]
pub struct DeskGame {
    /// Its logs.
    pub logs: Vec<DeskLog>,
    /// How it stands.
    pub report: Arc<GameReport>,
}

/// An event as it stands on this phone.
#[derive(Clone, Debug)]
pub struct DeskView {
    /// Which.
    pub event: Event,
    /// Its charter in force.
    pub charter: Option<SignedCharter<Verified>>,
    view: EventView,
    /// Whether decisions signed on this phone count.
    pub may_decide: bool,
}

/// Its games, tables and leaders.
impl core::ops::Deref for DeskView {
    type Target = EventView;
    fn deref(&self) -> &EventView {
        &self.view
    }
}

impl DeskView {
    /// The charter's content.
    pub fn charter(&self) -> Option<&Charter> {
        self.charter.as_ref().map(SignedCharter::charter)
    }

    /// What it is called.
    pub fn name(&self) -> String {
        match (&self.event, self.charter()) {
            (_, Some(charter)) => charter.event.clone(),
            (Event::Free, None) => "Games without a charter".into(),
            (_, None) => "Games of another charter".into(),
        }
    }

    /// What is given out of it.
    pub fn published<T>(&self, take: impl FnOnce(&PublishedEvent<'_>) -> T) -> T {
        self.view
            .published(&self.event.word(), self.charter(), take)
    }

    /// The game that counts for a fixture.
    pub fn of_fixture(&self, number: u32) -> Option<&Arc<GameReport>> {
        match self.view.fixture(number) {
            OfFixture::One(game) => Some(game),
            OfFixture::ToCome | OfFixture::Several { .. } => None,
        }
    }
}

/// The desk's part of what screens share.
#[derive(Clone, Copy)]
pub struct Desk {
    books: StoredValue<Books>,
    opened: StoredValue<bool>,
    /// Games read and games to read, while they are being read.
    pub reading: RwSignal<Option<(usize, usize)>>,
    /// Everything that is kept has been read.
    pub read: RwSignal<bool>,
    /// Counts up with every change.
    pub turn: RwSignal<u32>,
    /// Files that came, newest first, with what is wrong with each.
    pub files: RwSignal<Vec<FiledDocument>>,
    /// What came just now, or why it could not be kept.
    pub just: RwSignal<Option<Result<Vec<FiledDocument>, Trouble>>>,
    /// What is kept on this phone and no longer as it was.
    pub damaged: RwSignal<Vec<Wrong>>,
    /// How asking the collectors for an event went, by its word.
    pub looked: RwSignal<BTreeMap<String, LookProgress>>,
}

/// How asking the collectors for what is not here went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LookProgress {
    /// They are being asked.
    Asking,
    /// There is none: nothing is anywhere else that this phone knows of.
    NoCollector,
    /// All answered, and what they have is here.
    Answered,
    /// One answered and refuses, with its reason in a sentence.
    Refused(String),
    /// One did not answer.
    NoAnswer,
}

impl Default for Desk {
    /// Nothing read yet.
    fn default() -> Self {
        Self {
            books: StoredValue::new(Books::default()),
            opened: StoredValue::new(false),
            reading: RwSignal::new(None),
            read: RwSignal::new(false),
            turn: RwSignal::new(0),
            files: RwSignal::new(Vec::new()),
            just: RwSignal::new(None),
            damaged: RwSignal::new(Vec::new()),
            looked: RwSignal::new(BTreeMap::new()),
        }
    }
}

impl Desk {
    fn changed(self) {
        self.turn.update(|n| *n += 1);
    }
}

/// Between two pictures of the desk while it is being read (ms).
const SHOWN_AGAIN: u64 = 400;

/// Lets the browser paint and hear touches.
async fn breathe() {
    let wait = js_sys::Promise::new(&mut |done, _| {
        if let Some(window) = js::window() {
            let _ = window.set_timeout_with_callback(&done);
        }
    });
    let _ = wasm_bindgen_futures::JsFuture::from(wait).await;
}

impl AppState {
    /// Reads what is kept, once; each game is shown soon after it is read.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn open_desk(self) -> Result<(), Trouble> {
        let desk = self.desk;
        if desk.opened.get_value() {
            self.desk_catch_up();
            return Ok(());
        }
        let store = self.store()?;
        desk.opened.set_value(true);
        desk.reading.set(Some((0, 0)));
        let read = self.read_desk(&store).await;
        desk.read.set(read.is_ok());
        desk.reading.set(None);
        desk.changed();
        if read.is_err() {
            desk.opened.set_value(false);
        }
        read
    }

    /// One game after another, so that nothing waits for long, with a pause
    /// after each.
    async fn read_desk(self, store: &Store) -> Result<(), Trouble> {
        let desk = self.desk;
        let mut names: Vec<String> = store
            .logs(None)
            .await?
            .into_iter()
            .map(|r| r.game)
            .collect();
        // Their rows come in order.
        names.dedup();
        let all = names.len();
        let mut damaged = Vec::new();
        let mut shown = clock::now();
        for (at, name) in names.iter().enumerate() {
            desk.reading.set(Some((at, all)));
            let found = store.all_of(name).await?;
            let put = desk
                .books
                .try_update_value(|books| books.put(&found))
                .unwrap_or_default();
            damaged.extend(put.1);
            if let Some(game) = put.0 {
                self.desk_prepare(game);
            }
            if clock::now().abs_diff(shown) > SHOWN_AGAIN {
                desk.changed();
                shown = clock::now();
            }
            breathe().await;
        }
        desk.damaged
            .set(damaged.iter().map(take::kept_wrong).collect());
        desk.files.set(store.arrivals().await?);
        self.desk_keeps_newer().await
    }

    /// Folds a game just read, so that showing all of them costs little.
    fn desk_prepare(self, game: GameId) {
        let own = self.key().ok().map(|key| *key.public());
        let charters = self.charters.get_untracked();
        self.desk.books.update_value(|books| {
            let chain = books.logs.of_game(game).find_map(|l| l.shown());
            let hash = chain.and_then(|c| c.opening().setup.charter);
            let charter = hash.and_then(|h| charters.iter().find(|c| c.version(&h).is_some()));
            let judges = Judges {
                charter: charter.and_then(KeptCharter::in_force),
                own: own.as_ref(),
            };
            books.report(game, &charters, judges);
        });
    }

    /// What other screens recorded or took since the desk was read.
    fn desk_catch_up(self) {
        let chains = self.games.with_untracked(|games| {
            let books = games.iter().filter_map(|g| g.book.as_ref().ok());
            let records = books.flat_map(|b| {
                let others = b.others.iter().map(|o| &o.record);
                core::iter::once(&b.record).chain(others)
            });
            records.map(|r| r.chain().clone()).collect::<Vec<_>>()
        });
        let mut any = false;
        self.desk.books.update_value(|books| {
            for chain in chains {
                let name = chain.name();
                let line = books.first.entry(name).or_default();
                let from = line.len();
                let new = chain.entries().get(from..).unwrap_or_default();
                line.extend(new.iter().map(|e| (e.payload().seq, e.hash())));
                let bytes: Vec<u8> = new.iter().flat_map(|e| e.bytes()).copied().collect();
                if !bytes.is_empty() {
                    books.logs.take(&bytes);
                    any = true;
                }
            }
        });
        if any {
            self.desk.changed();
        }
    }

    /// Forgets what was read, so that it is read again from the storage.
    pub(super) fn desk_forget(self) {
        self.desk.opened.set_value(false);
        self.desk.read.set(false);
        self.desk.books.set_value(Books::default());
    }

    /// The events that can be chosen, with how many games of each are here.
    pub fn desk_events(self) -> Vec<(Event, String, usize)> {
        self.desk.turn.track();
        let charters = self.charters.get();
        let mut count: BTreeMap<Event, usize> = BTreeMap::new();
        for charter in &charters {
            count.insert(Event::Charter(charter.event.clone()), 0);
        }
        for (_, event) in self.events_of_games(&charters) {
            *count.entry(event).or_default() += 1;
        }
        let name = |event: &Event| match event {
            Event::Charter(word) => charters
                .iter()
                .find(|c| c.event == *word)
                .and_then(KeptCharter::in_force)
                .map_or_else(String::new, |c| c.charter().event.clone()),
            Event::Elsewhere(_) => "Games of a charter that is not on this phone".into(),
            Event::Free => "Games without a charter".into(),
        };
        count
            .into_iter()
            .map(|(e, n)| (e.clone(), name(&e), n))
            .collect()
    }

    fn events_of_games(self, charters: &[KeptCharter]) -> Vec<(GameId, Event)> {
        let mut seen = BTreeSet::new();
        self.desk.books.with_value(|books| {
            let logs = books.logs.logs().filter_map(|l| l.shown());
            logs.filter(|chain| seen.insert(chain.game()))
                .map(|chain| {
                    let event = match chain.opening().setup.charter {
                        None => Event::Free,
                        Some(hash) => charters
                            .iter()
                            .find(|c| c.version(&hash).is_some())
                            .map_or(Event::Elsewhere(hash), |c| Event::Charter(c.event.clone())),
                    };
                    (chain.game(), event)
                })
                .collect()
        })
    }

    /// An event as it stands now; `None` when there is none of this word.
    pub fn desk_view(self, word: &str) -> Option<DeskView> {
        self.desk.turn.track();
        let charters = self.charters.get();
        let own = self.key().ok().map(|key| *key.public());
        let games = self.events_of_games(&charters);
        let found = charters.iter().find(|c| c.event == word);
        let event = match (found, word) {
            (Some(kept), _) => Event::Charter(kept.event.clone()),
            (None, "free") => Event::Free,
            (None, word) => games
                .iter()
                .map(|(_, e)| e)
                .find(|e| e.word() == word)?
                .clone(),
        };
        let charter = found.and_then(KeptCharter::in_force).cloned();
        let judges = Judges {
            charter: charter.as_ref(),
            own: own.as_ref(),
        };
        let mut reports: Vec<Arc<GameReport>> = Vec::new();
        self.desk.books.update_value(|books| {
            let of_event = games.iter().filter(|(_, e)| *e == event);
            reports.extend(of_event.filter_map(|(game, _)| books.report(*game, &charters, judges)));
        });
        let view = EventView::new(charter.as_ref().map(SignedCharter::charter), reports);
        Some(DeskView {
            event,
            may_decide: own.is_some_and(|key| judges.authority().decides(&key)),
            view,
            charter,
        })
    }

    /// A game of an event with all its logs.
    pub fn desk_game(self, view: &DeskView, game: &str) -> Option<Arc<DeskGame>> {
        let report = view.games().iter().find(|g| g.game.to_string() == game)?;
        let logs = self
            .desk
            .books
            .with_value(|books| books.logs_of(report.game));
        let report = report.clone();
        Some(Arc::new(DeskGame { logs, report }))
    }
}
