//! The line score: runs by inning, runs, hits, errors and left on base.

use alloc::vec::Vec;

use crate::game::{Change, Outcome};
use crate::play::Reach;
use crate::team::{BySide, Side};

/// One side's totals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct SideTotal {
    /// Runs.
    pub runs: u16,
    /// Hits.
    pub hits: u16,
    /// Errors made on defence.
    pub errors: u16,
    /// Runners left on base in completed turns at bat.
    pub left: u16,
}

/// The totals of one half-inning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "competition", derive(serde::Serialize))]
pub struct HalfInningTotals {
    /// Inning, from 1.
    pub inning: u8,
    /// Side at bat.
    pub side: Side,
    /// Runs scored.
    pub runs: u16,
    /// Hits made.
    pub hits: u16,
    /// Errors of the side on defence.
    pub errors: u16,
    /// Runners left on base, once it is over.
    pub left: u16,
    /// Whether it is over.
    pub over: bool,
}

/// Runs by inning, and the totals.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LineScore {
    halves: Vec<HalfInningTotals>,
    totals: BySide<SideTotal>,
}

impl LineScore {
    /// Adds up the plays in force.
    pub fn new<'a>(outcomes: impl IntoIterator<Item = &'a Outcome>) -> Self {
        let mut line = Self::default();
        for outcome in outcomes {
            line.add(outcome);
        }
        line
    }

    fn add(&mut self, outcome: &Outcome) {
        let (inning, side) = (outcome.turn.inning, outcome.turn.side);
        let same = |h: &&mut HalfInningTotals| h.inning == inning && h.side == side;
        let runs = u16::from(outcome.runs);
        let hits = u16::from(outcome.reach() == Some(Reach::Hit));
        let errors = u16::from(outcome.errors());
        let left = u16::from(outcome.left);
        let over = outcome.change != Change::NextBatter;
        match self.halves.last_mut().filter(same) {
            Some(half) => {
                half.runs += runs;
                half.hits += hits;
                half.errors += errors;
                half.left += left;
                half.over = over;
            }
            None => {
                self.halves.push(HalfInningTotals {
                    inning,
                    side,
                    runs,
                    hits,
                    errors,
                    left,
                    over,
                });
            }
        }
        let bat = &mut self.totals[side];
        bat.runs += runs;
        bat.hits += hits;
        bat.left += left;
        self.totals[side.other()].errors += errors;
    }

    /// The turns at bat, in order.
    #[must_use]
    pub fn halves(&self) -> &[HalfInningTotals] {
        &self.halves
    }

    /// A side's runs in an inning; `None` when it did not bat in it.
    #[must_use]
    pub fn runs_in(&self, inning: u8, side: Side) -> Option<u16> {
        self.halves
            .iter()
            .find(|h| h.inning == inning && h.side == side)
            .map(|h| h.runs)
    }

    /// Innings begun.
    #[must_use]
    pub fn innings(&self) -> u8 {
        self.halves.last().map_or(0, |h| h.inning)
    }

    /// Each side's totals.
    #[must_use]
    pub fn totals(&self) -> &BySide<SideTotal> {
        &self.totals
    }

    /// Outs a side has made at bat come from the game's tally; this is the
    /// last completed turn at bat, for the word at the change of sides.
    #[must_use]
    pub fn last_completed(&self) -> Option<&HalfInningTotals> {
        self.halves.iter().rev().find(|h| h.over)
    }
}
