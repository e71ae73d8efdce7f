//! The second phone: joining a game, taking the other official's record, and
//! recording what both agreed on.

use engine::crosscheck::{Agreement, Exchange, ExchangeObjection};
use engine::log::{Chain, GameRecord, Hash, LogFile, PushOutcome, Role, Setup, SignedReceipt};
use engine::message::pairing;
use engine::team::BySide;
use leptos::prelude::*;

use super::{AppState, NotRecorded, ShownGame};
use crate::book::Book;
use crate::peer_acks;
use crate::store::{Foreign, Trouble};

/// Most receipts kept of one file: anyone can make a collector's key.
const RECEIPTS_LIMIT: usize = 64;

/// Why a record from another phone was not taken.
#[derive(Clone, Debug, PartialEq)]
pub enum NotTaken {
    /// Nothing in it is a record, and why.
    NoRecord(String),
    /// It is of a game that is not on this phone.
    GameNotHere {
        /// The teams of that game.
        teams: String,
        /// What is wrong with it, if anything is.
        damage: Option<String>,
    },
    /// It is of another game than the one asked for.
    OtherGame {
        /// The teams of that game.
        teams: String,
    },
    /// It is of a game of another event than the one asked for.
    OtherEvent {
        /// That event, as its charter names it.
        event: String,
        /// The teams of that game.
        teams: String,
    },
    /// The other phone left out more than is here.
    Lacks(ExchangeObjection),
    /// It is this phone's own record.
    Own,
    /// The phone could not keep it.
    Trouble(Trouble),
}

impl NotTaken {
    /// What happened and what to do next.
    pub fn says(&self) -> (String, String) {
        let (what, next) = match self {
            Self::NoRecord(why) => (
                format!("What arrived is no record of a game. {why}"),
                "Show it again on the other phone.",
            ),
            Self::GameNotHere { teams, damage } => {
                let damage = damage.as_ref().map(|d| format!(" {d}")).unwrap_or_default();
                (
                    format!("This record is of a game that is not on this phone: {teams}.{damage}"),
                    "Take the game itself first: the other phone shows it under \"Second phone\". \
                     Records of other games belong on the organiser's desk.",
                )
            }
            Self::OtherGame { teams } => (
                format!("This is another game: {teams}."),
                "Open the same game on both phones.",
            ),
            Self::OtherEvent { event, teams } => (
                format!("This is a game of another event, {event}: {teams}."),
                "Open the same game of the same event on both phones.",
            ),
            Self::Lacks(why) => (
                why.to_string(),
                "Nothing was taken. On the other phone, tap \"Show all of it\" and take that.",
            ),
            Self::Own => (
                "This is the record of this very phone.".into(),
                "Take it on the other phone.",
            ),
            Self::Trouble(t) => return (t.what(), t.next().into()),
        };
        (what, next.into())
    }
}

/// What was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenRecord {
    /// The game.
    pub game: String,
    /// New entries.
    pub added: usize,
    /// What was wrong with the rest, if anything was.
    pub damage: Option<String>,
}

impl AppState {
    /// Joins a game as its second scorer: its own chain, its own key, the same
    /// game.
    ///
    /// # Errors
    /// When it cannot be kept; [`Trouble::Taken`] when it is here already.
    pub async fn join(self, setup: Setup) -> Result<String, NotRecorded> {
        self.begin_as(Role::Scorer, setup).await
    }

    /// Keeps the record of another official beside one's own. Every entry is
    /// verified; two that contradict each other are both kept. The bytes are an
    /// exchange or a log as it is; `wanted` is the game that is asked for, if
    /// one is.
    ///
    /// # Errors
    /// When there is nothing that can be kept.
    pub async fn take_log(
        self,
        bytes: &[u8],
        wanted: Option<&str>,
    ) -> Result<TakenRecord, NotTaken> {
        if !Exchange::is_one(bytes) {
            return self.take_whole(bytes, wanted).await;
        }
        let sent =
            Exchange::from_bytes(bytes).map_err(|why| NotTaken::NoRecord(why.to_string()))?;
        let game = sent.game.to_string();
        let book = self.kept_book(&game).await;
        let all = |book: &'_ Book| {
            let others = book.others.iter().map(|o| o.record.chain().clone());
            core::iter::once(book.record.chain().clone())
                .chain(others)
                .collect::<Vec<_>>()
        };
        let known = book.as_ref().map(all).unwrap_or_default();
        let whole = sent.whole(&known).map_err(NotTaken::Lacks)?;
        let taken = self.take_whole(&whole, wanted).await?;
        if let Some(book) = &book {
            let own = book.record.chain().author().fingerprint();
            peer_acks::keep(&game, sent.author, sent.held_of(own));
        }
        Ok(taken)
    }

    /// A game of this phone with everything kept of it.
    async fn kept_book(self, game: &str) -> Option<Book> {
        let store = self.store().ok()?;
        let games = store.games().await.ok()?;
        let listed = games.into_iter().find(|g| g.game == game)?;
        self.read(&store, listed).await.ok()?.book.ok()
    }

    /// Why a record of another game than the one wanted is refused. That it is
    /// of another event is said where this phone has the charters of both.
    fn not_the_one(self, ours: Option<Hash>, theirs: Option<Hash>, teams: String) -> NotTaken {
        let event = |hash: Option<Hash>| self.charter_named(&hash?);
        match event(theirs) {
            Some((named, charter)) if event(ours).is_none_or(|(own, _)| own != named) => {
                NotTaken::OtherEvent {
                    event: charter.charter().event.clone(),
                    teams,
                }
            }
            _ => NotTaken::OtherGame { teams },
        }
    }

    async fn take_whole(self, bytes: &[u8], wanted: Option<&str>) -> Result<TakenRecord, NotTaken> {
        let file = LogFile::read(bytes);
        let damage = file.damage.as_ref().map(ToString::to_string);
        let Some(first) = file.chains.first() else {
            return Err(NotTaken::NoRecord(damage.unwrap_or_default()));
        };
        let id = first.game();
        let game = id.to_string();
        let cards = &first.opening().setup.cards;
        let teams = pairing(&BySide::from_fn(|side| &cards[side].team));
        let store = self.store().map_err(NotTaken::Trouble)?;
        let games = store.games().await.map_err(NotTaken::Trouble)?;
        if let Some(wanted) = wanted.filter(|w| *w != game) {
            let open = self.kept_book(wanted).await;
            let ours = open.and_then(|book| book.setup().charter);
            return Err(self.not_the_one(ours, first.opening().setup.charter, teams));
        }
        let listed = games.into_iter().find(|g| g.game == game);
        let missing = NotTaken::GameNotHere {
            teams,
            damage: damage.clone(),
        };
        let listed = listed.ok_or(missing)?;
        let shown = self.read(&store, listed).await.map_err(NotTaken::Trouble)?;
        let ShownGame {
            listed,
            book: Ok(book),
        } = shown
        else {
            return Err(NotTaken::Trouble(Trouble::Damaged));
        };
        let mut rows = Vec::new();
        let mut own = 0;
        let here = file.chains.iter().filter(|c| c.game().to_string() == game);
        for chain in here {
            let author = chain.author().fingerprint().to_string();
            if author == listed.author {
                own += 1;
                rows.extend(contradictions(&mut book.record.clone(), chain));
                continue;
            }
            let known = book
                .others
                .iter()
                .find(|o| o.record.chain().author() == chain.author());
            match known {
                Some(other) => rows.extend(news(&mut other.record.clone(), chain)),
                None => rows.extend(whole(chain)),
            }
        }
        if rows.is_empty() && own > 0 && own == file.chains.len() {
            return Err(NotTaken::Own);
        }
        store
            .keep_foreign(&game, &rows)
            .await
            .map_err(NotTaken::Trouble)?;
        // What dates the record came with it, and ends a key at a moment.
        let dates = SignedReceipt::all_in(bytes).filter(|r| r.content().log.game == id);
        for receipt in dates.take(RECEIPTS_LIMIT) {
            store
                .keep_receipt(&receipt)
                .await
                .map_err(NotTaken::Trouble)?;
        }
        self.tell(&game);
        let added = rows.iter().filter(|r| !r.contradicts).count();
        self.show_again(&game).await.map_err(NotTaken::Trouble)?;
        Ok(TakenRecord {
            game,
            added,
            damage,
        })
    }

    /// Reads a game again after something was put beside it.
    pub(super) async fn show_again(self, game: &str) -> Result<(), Trouble> {
        let store = self.store()?;
        let listed = store.games().await?.into_iter().find(|g| g.game == game);
        let Some(listed) = listed else { return Ok(()) };
        let entries = |of: &ShownGame| {
            of.book
                .as_ref()
                .map_or(0, |b| b.record.chain().entries().len())
        };
        for last in [false, false, true] {
            let shown = self.read(&store, listed.clone()).await?;
            if !self.is_open(game) {
                self.games.update(|games| {
                    if let Some(row) = games.iter_mut().find(|g| g.listed == shown.listed) {
                        *row = shown;
                    }
                });
                return Ok(());
            }
            // What was recorded while it was being read is not taken off the screen.
            let is_new =
                |o: &Option<ShownGame>| o.as_ref().is_none_or(|o| entries(o) <= entries(&shown));
            if last || self.open.with_untracked(is_new) {
                self.open.set(Some(shown));
                break;
            }
        }
        Ok(())
    }

    /// Rulings that arrived and wait for a yes.
    pub fn offer(self, agreement: Agreement) {
        self.offered.set(Some(agreement));
    }
}

/// Every entry of a chain, with what contradicts it.
pub(super) fn whole(chain: &Chain) -> Vec<Foreign> {
    let author = chain.author().fingerprint().to_string();
    let entries = chain.entries().iter().map(|e| Foreign::entry(&author, e));
    let forks = chain.forks().iter().map(|f| &f.other);
    entries
        .chain(forks.map(|e| Foreign::contradiction(&author, e)))
        .collect()
}

/// What a chain adds to the record known so far, or contradicts in it.
fn news(record: &mut GameRecord, chain: &Chain) -> Vec<Foreign> {
    let author = chain.author().fingerprint().to_string();
    let forks = chain.forks().iter().map(|f| &f.other);
    let mut rows = Vec::new();
    for entry in chain.entries().iter().chain(forks) {
        match record.push(entry.clone()) {
            Ok(PushOutcome::Added) => rows.push(Foreign::entry(&author, entry)),
            Ok(PushOutcome::AlreadyThere) => {}
            Err(_) => rows.push(Foreign::contradiction(&author, entry)),
        }
    }
    rows
}

/// Entries signed with this phone's key that this phone never recorded. Later
/// ones than the last here are no contradiction but are not this phone's.
fn contradictions(record: &mut GameRecord, chain: &Chain) -> Vec<Foreign> {
    let mut rows = news(record, chain);
    rows.retain(|r| r.contradicts);
    rows
}
