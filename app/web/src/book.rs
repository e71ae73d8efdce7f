//! A game of this phone: its line in the list and its verified record. What
//! it comes to is folded from the entries by the engine and never kept.

use engine::game::{Game, Outcome};
use engine::log::{GameRecord, History, Setup};
use engine::team::{BySide, Side};

use crate::store::{Damaged, Listed};

/// A game read from its entries.
#[derive(Clone, Debug)]
pub struct Book {
    /// Its line in the list.
    pub listed: Listed,
    /// Its verified entries and the game they fold to.
    pub record: GameRecord,
    /// Entries that cannot be used; the record ends before them.
    pub damaged: Vec<Damaged>,
}

impl Book {
    /// The game now.
    pub fn game(&self) -> &Game {
        self.record.history().game()
    }

    /// The events in force.
    pub fn history(&self) -> &History {
        self.record.history()
    }

    /// What was fixed before the first play.
    pub fn setup(&self) -> &Setup {
        &self.record.opening().setup
    }

    /// What the plays in force did.
    pub fn outcomes(&self) -> impl DoubleEndedIterator<Item = &Outcome> {
        self.history().outcomes()
    }

    /// A team's name.
    pub fn team(&self, side: Side) -> &str {
        self.game().fixture().lineups[side].team()
    }

    /// Both teams' names.
    pub fn names(&self) -> BySide<&str> {
        BySide {
            guest: self.team(Side::Guest),
            home: self.team(Side::Home),
        }
    }

    /// When an entry was written, as the phone's clock had it, ms since 1970.
    pub fn claimed(&self, seq: u64) -> Option<u64> {
        self.record.chain().at(seq).map(|e| e.payload().claimed_ms)
    }

    /// Whether events may still be added: not after damage.
    pub fn is_whole(&self) -> bool {
        self.damaged.is_empty()
    }
}
