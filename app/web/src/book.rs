//! A game of this phone: its line in the list and its verified record. What
//! it comes to is folded from the entries by the engine and never kept.

use std::collections::BTreeMap;

use engine::crosscheck::{CheckCode, KeptRecord, Status, code_after, codes, status};
use engine::game::{Change, Game, Outcome};
use engine::log::{CodeCheck, GameRecord, HalfInning, HeldLog, History, Setup};
use engine::report::{Authority, heard};
use engine::team::{BySide, Side};

use crate::store::{DamagedEntry, FoundOf, ListedGame, NoGame, read};
use crate::words;

/// The record of another official, as far as it is here.
#[derive(Clone, Debug)]
pub struct Other {
    /// Its verified entries and the game they fold to.
    pub record: GameRecord,
    /// Entries that cannot be used; the record ends before them.
    pub damaged: Vec<DamagedEntry>,
    /// How many entries contradict it.
    pub beside: usize,
}

/// A game read from its entries.
#[derive(Clone, Debug)]
pub struct Book {
    /// Its line in the list.
    pub listed: ListedGame,
    /// Its verified entries and the game they fold to.
    pub record: GameRecord,
    /// Entries that cannot be used; the record ends before them.
    pub damaged: Vec<DamagedEntry>,
    /// How many entries contradict them.
    pub beside: usize,
    /// The other officials' records of this game.
    pub others: Vec<Other>,
}

impl Book {
    /// A game with nothing beside its record.
    pub fn new(listed: ListedGame, record: GameRecord) -> Self {
        Self {
            listed,
            record,
            damaged: Vec::new(),
            beside: 0,
            others: Vec::new(),
        }
    }

    /// Reads a game from everything found of it.
    ///
    /// # Errors
    /// When there is no good opening of this phone's own; everything found of
    /// it comes back.
    pub fn read(listed: &ListedGame, mut found: BTreeMap<String, FoundOf>) -> Result<Self, NoGame> {
        let own = found.remove(&listed.author).unwrap_or_default();
        let one = |of: FoundOf| {
            let (mut record, damaged) = read(&listed.game, of.entries)?;
            let beside = of.against.len();
            for bytes in of.against {
                // Refused as a fork, which the record keeps as proof.
                let _ = record.push_bytes(&bytes);
            }
            Ok((record, damaged, beside))
        };
        let (record, damaged, beside) = one(own)?;
        // An organiser's decisions are no further record of the game.
        let others = found.into_values().filter_map(|of| one(of).ok());
        let others = others.filter(|(record, ..)| !record.is_of_desk());
        Ok(Self {
            damaged,
            beside,
            others: others
                .map(|(record, damaged, beside)| Other {
                    record,
                    damaged,
                    beside,
                })
                .collect(),
            ..Self::new(listed.clone(), record)
        })
    }

    /// Where the game stands by the records at hand, and why in sentences.
    pub fn status(&self, authority: Authority<'_>) -> (Status, Vec<String>) {
        let others = self.others.iter().map(|o| (&o.record, o.beside));
        let all: Vec<KeptRecord<'_>> = core::iter::once((&self.record, self.beside))
            .chain(others)
            .map(|(record, beside)| KeptRecord {
                record,
                forked: beside > 0,
            })
            .collect();
        let heard = heard(&all, authority);
        let status = status(&heard);
        let own = self.record.chain().author();
        let who = |at: usize| match heard.get(at).map(|k| k.record.chain().author()) {
            Some(author) if author == own => "this record".to_string(),
            _ => "the other record".to_string(),
        };
        let each = status.reasons.iter();
        let reasons = each.flat_map(|r| r.sentences(&who, true)).collect();
        (status, reasons)
    }

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

    /// A team's name as it stands in a text.
    pub fn team(&self, side: Side) -> String {
        words::team(self.game(), side)
    }

    /// Both teams' names, for what puts them into a text.
    pub fn names(&self) -> BySide<&str> {
        let lineups = self.game().fixture().lineups();
        BySide::from_fn(|side| lineups[side].team())
    }

    /// The turn at bat that the last play ended, with the check code after it;
    /// `None` in the middle of a turn.
    pub fn check_code(&self) -> Option<(HalfInning, CheckCode)> {
        let last = self.outcomes().next_back()?;
        if last.change == Change::NextBatter && self.game().ending().is_none() {
            return None;
        }
        let half = HalfInning::from(last.turn);
        let game = self.record.chain().game();
        let code = codes(self.history(), game.as_bytes()).pop();
        let code = match code {
            Some((of, code)) if (of.inning, of.side) == (half.inning, half.side) => code,
            // A forfeit ends a game within a turn.
            _ => code_after(self.history(), game.as_bytes()),
        };
        Some((half, code))
    }

    /// The other officials' logs as this phone holds them, to be witnessed.
    pub fn others_seen(&self) -> Vec<HeldLog> {
        let others = self.others.iter();
        others
            .map(|o| HeldLog::of(o.record.chain()))
            .take(16)
            .collect()
    }

    /// What was answered when the codes were compared after the last play.
    pub fn checked(&self, half: HalfInning) -> Option<&CodeCheck> {
        let last = self.history().steps().last()?.seq();
        let mut since = self.record.code_checks().filter(|(seq, _)| *seq > last);
        since.rfind(|(_, c)| c.half == half).map(|(_, c)| c)
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
