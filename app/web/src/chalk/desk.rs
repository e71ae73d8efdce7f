//! The organiser's desk: every log that came to this phone, by event, and what
//! the organiser signs. What a game comes to is the engine's word; nothing is
//! decided here.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use engine::competition::day::{EventReport, GameReport, Kept};
use engine::competition::publish::Published;
use engine::log::{
    Author, Body, Charter, Considered, Fault, GameId, GameRecord, Gathering, Hash, LogName,
    Opening, Organisers, Role, SignedCharter, Verified,
};
use leptos::prelude::*;

use super::{Chalk, NotRecorded};
use crate::store::{Filed, Foreign, FoundGame, KeptCharter, Store, Trouble, Wrong};
use crate::{clock, js};

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
    /// The first number signed twice.
    pub forked_at: Option<u64>,
    /// Entries beside the line shown.
    pub aside: Vec<engine::log::Entry<Verified>>,
}

/// One game with all its logs.
#[derive(Clone, Debug)]
pub struct DeskGame {
    /// Its logs.
    pub logs: Vec<DeskLog>,
    /// How it stands.
    pub report: GameReport,
}

/// An event as it stands on this phone.
#[derive(Clone, Debug)]
pub struct DeskView {
    /// Which.
    pub event: Event,
    /// Its charter in force.
    pub charter: Option<SignedCharter<Verified>>,
    /// Its games, in order of the schedule, then by time.
    pub games: Vec<Arc<DeskGame>>,
    /// Tables, knock-out and leaders.
    pub report: Option<EventReport>,
    /// Whether decisions signed on this phone count.
    pub may_decide: bool,
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
    pub fn published<T>(&self, take: impl FnOnce(&Published<'_>) -> T) -> T {
        let games: Vec<&GameReport> = self.games.iter().map(|g| &g.report).collect();
        take(&Published {
            event: &self.event.word(),
            charter: self.charter(),
            games: &games,
            report: self.report.as_ref(),
        })
    }

    /// A game by its name.
    pub fn game(&self, game: &str) -> Option<Arc<DeskGame>> {
        let found = self
            .games
            .iter()
            .find(|g| g.report.game.to_string() == game);
        found.cloned()
    }

    /// The game that counts for a fixture.
    pub fn of_fixture(&self, number: u32) -> Option<&Arc<DeskGame>> {
        self.games.get(self.report.as_ref()?.counting(number)?)
    }
}

/// Everything that the desk holds in memory: verified once.
#[derive(Default)]
struct Books {
    logs: Gathering,
    /// What is kept under each number, the contradicting entries aside.
    first: BTreeMap<LogName, BTreeMap<u64, Hash>>,
    games: BTreeMap<GameId, (Organisers, Arc<DeskGame>)>,
}

/// The desk's part of what screens share.
#[derive(Clone, Copy)]
pub struct Desk {
    books: StoredValue<Books>,
    opened: StoredValue<bool>,
    /// Games read and games to read, while they are being read.
    pub reading: RwSignal<Option<(usize, usize)>>,
    /// Counts up with every change.
    pub turn: RwSignal<u32>,
    /// Files that came, newest first, with what is wrong with each.
    pub files: RwSignal<Vec<Filed>>,
}

impl Desk {
    /// Nothing read yet.
    pub fn new() -> Self {
        Self {
            books: StoredValue::new(Books::default()),
            opened: StoredValue::new(false),
            reading: RwSignal::new(None),
            turn: RwSignal::new(0),
            files: RwSignal::new(Vec::new()),
        }
    }

    fn changed(self) {
        self.turn.update(|n| *n += 1);
    }
}

impl Books {
    /// Puts in what is kept of a game.
    fn put(&mut self, found: &FoundGame) {
        for of in found.values() {
            let mut bytes: Vec<u8> = of.entries.values().flatten().copied().collect();
            bytes.extend(of.against.iter().flatten());
            for (name, entry) in self.logs.take(&bytes).fresh {
                let seq = entry.payload().seq;
                let kept = of.entries.get(&seq);
                if kept.is_some_and(|kept| kept == entry.bytes()) {
                    let line = self.first.entry(name).or_default();
                    line.insert(seq, entry.hash());
                }
            }
        }
    }

    /// The rows that keep new entries; none takes another's place.
    fn rows(
        &mut self,
        fresh: &[(LogName, engine::log::Entry<Verified>)],
        own: impl Fn(&LogName) -> bool,
    ) -> BTreeMap<GameId, Vec<Foreign>> {
        let mut rows: BTreeMap<GameId, Vec<Foreign>> = BTreeMap::new();
        for (name, entry) in fresh {
            let author = name.author.to_string();
            let line = self.first.entry(*name).or_default();
            let payload = entry.payload();
            let before = payload.seq.checked_sub(1).map(|at| line.get(&at).copied());
            let follows = before.is_none_or(|b| b.is_some() && b == payload.previous);
            // What this phone never recorded is never put into its own log.
            let fits = follows && !line.contains_key(&payload.seq) && !own(name);
            rows.entry(name.game).or_default().push(if fits {
                line.insert(payload.seq, entry.hash());
                Foreign::entry(&author, entry)
            } else {
                Foreign::contradiction(&author, entry)
            });
        }
        rows
    }

    fn game(&mut self, game: GameId, organisers: &Organisers) -> Option<Arc<DeskGame>> {
        if let Some((by, known)) = self.games.get(&game)
            && by == organisers
        {
            return Some(known.clone());
        }
        let logs: Vec<DeskLog> = self
            .logs
            .of_game(game)
            .filter_map(|log| {
                Some(DeskLog {
                    name: log.name(),
                    // A setup that gives no game is none: its log is kept all the same.
                    record: GameRecord::replay(log.shown()?.clone()).ok()?,
                    forked_at: log.forked_at(),
                    aside: log.aside().to_vec(),
                })
            })
            .collect();
        let kept: Vec<Kept<'_>> = logs
            .iter()
            .map(|log| Kept {
                record: &log.record,
                forked: log.forked_at.is_some(),
            })
            .collect();
        let report = GameReport::of(&kept, organisers)?;
        let made = Arc::new(DeskGame { logs, report });
        self.games.insert(game, (organisers.clone(), made.clone()));
        Some(made)
    }
}

/// Lets the browser paint and hear touches.
async fn breathe() {
    let wait = js_sys::Promise::new(&mut |done, _| {
        if let Some(window) = js::window() {
            let _ = window.set_timeout_with_callback(&done);
        }
    });
    let _ = wasm_bindgen_futures::JsFuture::from(wait).await;
}

impl Chalk {
    /// Reads what is kept, once; each game is shown as soon as it is verified.
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
        desk.reading.set(None);
        desk.changed();
        if read.is_err() {
            desk.opened.set_value(false);
        }
        read
    }

    async fn read_desk(self, store: &Store) -> Result<(), Trouble> {
        let desk = self.desk;
        let found = store.everything().await?;
        let all = found.len();
        for (at, game) in found.values().enumerate() {
            desk.reading.set(Some((at, all)));
            desk.books.update_value(|books| books.put(game));
            if at % 4 == 3 {
                desk.changed();
            }
            breathe().await;
        }
        desk.files.set(store.arrivals().await?);
        Ok(())
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
                let name = LogName {
                    game: chain.game(),
                    author: chain.author().fingerprint(),
                };
                let line = books.first.entry(name).or_default();
                let from = line.len();
                let new = chain.entries().get(from..).unwrap_or_default();
                line.extend(new.iter().map(|e| (e.payload().seq, e.hash())));
                let bytes: Vec<u8> = new.iter().flat_map(|e| e.bytes()).copied().collect();
                if !bytes.is_empty() {
                    books.logs.take(&bytes);
                    books.games.remove(&name.game);
                    any = true;
                }
            }
        });
        if any {
            self.desk.changed();
        }
    }

    /// Forgets what was read, so that it is read again from the storage.
    fn desk_forget(self) {
        self.desk.opened.set_value(false);
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
        let organisers = match &charter {
            Some(charter) => Organisers::of(charter.charter()),
            None => own.map_or_else(Organisers::nobody, Organisers::only),
        };
        let mut list: Vec<Arc<DeskGame>> = Vec::new();
        self.desk.books.update_value(|books| {
            let of_event = games.iter().filter(|(_, e)| *e == event);
            list.extend(of_event.filter_map(|(game, _)| books.game(*game, &organisers)));
        });
        list.sort_by_key(|g| {
            let r = &g.report;
            (r.fixture.is_none(), r.fixture, r.opened_ms, r.game)
        });
        let plain: Vec<&GameReport> = list.iter().map(|g| &g.report).collect();
        let report = charter
            .as_ref()
            .map(|c| EventReport::of(c.charter(), &plain));
        Some(DeskView {
            event,
            may_decide: own.is_some_and(|key| organisers.has(&key)),
            charter,
            games: list,
            report,
        })
    }

    /// Takes files: each is kept as it came, every good entry in it too.
    ///
    /// # Errors
    /// When the phone cannot keep them; those before are kept.
    pub async fn desk_take(self, files: Vec<(String, Vec<u8>)>) -> Result<Vec<Filed>, Trouble> {
        let store = self.store()?;
        self.open_desk().await?;
        let taken = self.desk_take_all(&store, files).await;
        self.desk.reading.set(None);
        if taken.is_err() {
            // What is in memory may be more than what is kept.
            self.desk_forget();
        }
        self.desk.changed();
        taken
    }

    async fn desk_take_all(
        self,
        store: &Store,
        files: Vec<(String, Vec<u8>)>,
    ) -> Result<Vec<Filed>, Trouble> {
        let all = files.len();
        let mut taken = Vec::new();
        for (at, (name, bytes)) in files.into_iter().enumerate() {
            self.desk.reading.set(Some((at, all)));
            let file = Filed::new(name, clock::now(), bytes);
            taken.push(self.desk_take_one(store, file).await?);
            breathe().await;
        }
        // What came before its beginning may fit now.
        let waiting: Vec<Filed> = self.desk.files.with_untracked(|files| {
            let waits = files.iter().filter(|f| f.wrong.iter().any(|w| w.waits));
            waits.cloned().collect()
        });
        for file in waiting {
            let again = self.desk_take_one(store, file).await?;
            if let Some(one) = taken.iter_mut().find(|f| f.hash == again.hash) {
                *one = again;
            }
        }
        Ok(taken)
    }

    async fn desk_take_one(self, store: &Store, file: Filed) -> Result<Filed, Trouble> {
        let desk = self.desk;
        let known = desk.files.with_untracked(|all| {
            let same = all.iter().find(|f| f.hash == file.hash);
            same.cloned()
        });
        let mut file = known.unwrap_or(file);
        if let Some(signed) = charter_in(&file.bytes) {
            file.what = self.desk_charter(signed).await?;
            store.keep_arrival(&file).await?;
            self.show_file(&file);
            return Ok(file);
        }
        let own = self.key().ok().map(|key| key.public().fingerprint());
        let mut rows = BTreeMap::new();
        desk.books.update_value(|books| {
            let gathered = books.logs.take(&file.bytes);
            rows = books.rows(&gathered.fresh, |name| Some(name.author) == own);
            file.what = match (gathered.fresh.len(), gathered.known) {
                (0, 0) => "Nothing in it could be used.".to_string(),
                (0, n) => format!("{n} entries, all here already."),
                (n, 0) => format!("{n} new entries."),
                (n, known) => format!("{n} new entries, {known} were here already."),
            };
            file.wrong = gathered.faults.iter().map(said).collect();
            for game in rows.keys() {
                books.games.remove(game);
            }
        });
        store.keep_arrival(&file).await?;
        for (game, rows) in &rows {
            let game = game.to_string();
            store.keep_foreign(&game, rows).await?;
            // One's own game has more beside it now.
            self.show_again(&game).await?;
        }
        self.show_file(&file);
        Ok(file)
    }

    fn show_file(self, file: &Filed) {
        self.desk.files.update(
            |files| match files.iter_mut().find(|f| f.hash == file.hash) {
                Some(known) => *known = file.clone(),
                None => files.insert(0, file.clone()),
            },
        );
    }

    async fn desk_charter(self, signed: SignedCharter<Verified>) -> Result<String, Trouble> {
        let name = signed.charter().event.clone();
        let charters = self.charters.get_untracked();
        let here = charters.iter().any(|c| c.version(&signed.hash()).is_some());
        let older = charters.iter().find(|c| {
            c.in_force()
                .is_some_and(|last| signed.supersedes(last).is_ok())
        });
        Ok(match older {
            _ if here => format!("The charter of {name}, here already."),
            Some(older) => {
                self.keep_charter(older.clone().with(signed)).await?;
                format!("A newer charter of {name}.")
            }
            None => {
                self.keep_charter(KeptCharter::first(signed)).await?;
                format!("The charter of {name}.")
            }
        })
    }

    /// Signs a decision or a lot and puts it into this phone's own log of the
    /// game, which is opened for it where there is none.
    ///
    /// # Errors
    /// When it is too long or cannot be kept; nothing has changed then.
    pub async fn desk_sign(self, game: GameId, body: Body) -> Result<(), NotRecorded> {
        let key = self.key()?;
        let own = key.public().fingerprint();
        let name = LogName { game, author: own };
        let (mut record, setup) = self.desk.books.with_value(|books| {
            let chain = books.logs.log(name).and_then(|l| l.shown()).cloned();
            let any = books.logs.of_game(game).find_map(|l| l.shown());
            (
                chain.map(GameRecord::replay),
                any.map(|c| c.opening().setup.clone()),
            )
        });
        let now = clock::now();
        let mut new = Vec::new();
        if record.is_none() {
            let setup = setup.ok_or(NotRecorded::NothingOpen)?;
            let author = Author {
                key: *key.public(),
                name: self.official.get_untracked().name,
                role: Role::Organiser,
            };
            let draft = GameRecord::draft_opening(Opening { setup, author }, now)?;
            let opening = key.sign(draft).await?;
            record = Some(GameRecord::open(opening.clone()));
            new.push(opening);
        }
        let record = record.ok_or(NotRecorded::NothingOpen)??;
        new.push(key.sign(record.draft(body, now)?).await?);
        let store = self.store().map_err(NotRecorded::Trouble)?;
        let word = game.to_string();
        store.append_own(&word, &own.to_string(), &new).await?;
        let bytes: Vec<u8> = new.iter().flat_map(|e| e.bytes()).copied().collect();
        self.desk.books.update_value(|books| {
            let line = books.first.entry(name).or_default();
            line.extend(new.iter().map(|e| (e.payload().seq, e.hash())));
            books.logs.take(&bytes);
            books.games.remove(&game);
        });
        self.tell(&word);
        self.show_again(&word).await?;
        self.desk.changed();
        Ok(())
    }

    /// The logs of a game as they are here now, for a decision to name.
    pub fn desk_considered(self, game: GameId) -> Vec<Considered> {
        let own = self.key().ok().map(|key| key.public().fingerprint());
        self.desk.books.with_value(|books| {
            let logs = books.logs.of_game(game);
            let others = logs.filter(|l| Some(l.name().author) != own);
            others
                .filter_map(|l| {
                    Some(Considered {
                        author: l.name().author,
                        head: l.head()?,
                    })
                })
                .collect()
        })
    }

    /// How far a log is here: entries, and the hash of the last.
    pub fn desk_head(self, name: LogName) -> (u64, Option<Hash>) {
        self.desk.books.with_value(|books| {
            let log = books.logs.log(name);
            log.map_or((0, None), |l| (l.next_seq(), l.head()))
        })
    }

    /// This phone's logs of decisions on an event's games, to send.
    pub fn desk_own(self, event: &str) -> Vec<(LogName, Vec<u8>)> {
        let own = self.key().ok().map(|key| key.public().fingerprint());
        let view = untrack(|| self.desk_view(event));
        let games = view.iter().flat_map(|v| &v.games);
        let logs = games.flat_map(|g| &g.logs);
        let mine = logs.filter(|l| Some(l.name.author) == own && l.record.is_of_desk());
        mine.map(|l| (l.name, l.record.chain().to_bytes()))
            .collect()
    }

    /// This phone's own decisions on an event's games, to hand on: its logs of
    /// games that it does not call.
    pub fn desk_decisions(self, view: &DeskView) -> Vec<u8> {
        let own = self.key().ok().map(|key| key.public().fingerprint());
        let logs = view.games.iter().flat_map(|g| &g.logs);
        let mine = logs.filter(|l| Some(l.name.author) == own && l.record.is_of_desk());
        mine.flat_map(|l| l.record.chain().to_bytes()).collect()
    }
}

fn said(fault: &Fault) -> Wrong {
    let mut sentence = fault.to_string();
    if fault.waits() {
        sentence.push_str(" It is kept, and looked at again when more comes.");
    }
    Wrong {
        game: fault.game.map(|g| g.to_string()),
        sentence,
        waits: fault.waits(),
    }
}

/// A charter, if a file is one.
fn charter_in(bytes: &[u8]) -> Option<SignedCharter<Verified>> {
    SignedCharter::parse(bytes)
        .and_then(SignedCharter::verify)
        .ok()
}
