//! The table of a pool or round robin, with every step that made it.
//!
//! Ordered by wins and losses, ties broken by the ladder of [`Criterion`]. All
//! values are exact fractions: two teams are tied only when their values are
//! equal, never because they print alike.

mod ladder;
mod result;
#[cfg(test)]
mod tests;
mod words;

use alloc::vec::Vec;

use crate::Problems;

use super::{Entrant, Entrants, Fraction};
use ladder::Ladder;
pub use ladder::{Criterion, Gap, LadderStep, Record, Totals, Value};
use result::SortedGames;
pub use result::{
    Batting, GameResult, MAX_GAMES, SideLine, Standing, StandingsProblem, TableRules,
};

/// One line of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Row {
    /// Place, from 1; teams that nothing separates share one.
    pub place: usize,
    /// Whether another team has the same place.
    pub shared: bool,
    /// The team.
    pub team: Entrant,
    /// Won, lost and tied games.
    pub record: Record,
    /// Runs scored in games that count.
    pub scored: u64,
    /// Runs allowed in games that count.
    pub allowed: u64,
}

impl Row {
    /// Share of games won; `None` without a game.
    #[must_use]
    pub fn share(&self) -> Option<Fraction> {
        self.record.share()
    }
}

/// A table, the steps behind it and the games that do not count yet.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Table {
    rows: Vec<Row>,
    steps: Vec<LadderStep>,
    left_out: Vec<u32>,
    ties_left_out: Vec<u32>,
    closed: Vec<u32>,
}

impl Table {
    /// The table of a group of teams from the games among them.
    ///
    /// Each game says by its own rules what a forfeit is worth and whether it
    /// counts while it is not settled. `lot` is the order in which teams were drawn,
    /// best first; it is only looked at when everything else fails, and may be
    /// empty: then those teams share their place.
    ///
    /// # Errors
    /// Every problem of the input at once.
    pub fn of(
        entrants: &Entrants,
        group: &[Entrant],
        games: &[GameResult],
        lot: &[Entrant],
    ) -> Result<Self, Problems<StandingsProblem>> {
        let problems = result::problems(entrants, group, games, lot);
        Problems::none(problems)?;
        let SortedGames {
            counted,
            unsettled,
            ties,
        } = result::sorted(games);
        let ladder = Ladder {
            entrants,
            games: &counted,
            lot,
        };
        let mut steps = Vec::new();
        let mut teams = group.to_vec();
        ladder.by_name(&mut teams);
        let groups = ladder.climb(Criterion::WinsLosses, teams, &mut steps);
        let mut rows = Vec::new();
        for together in groups {
            let place = rows.len() + 1;
            for team in &together {
                rows.push(row(*team, place, together.len() > 1, &counted));
            }
        }
        Ok(Self {
            rows,
            steps,
            left_out: unsettled,
            ties_left_out: ties,
            closed: Vec::new(),
        })
    }

    /// The lines, best first; teams that share a place by name.
    #[must_use]
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// The steps in the order they were taken: wins and losses of all, then
    /// the ladder of each tie from the top of the table down.
    #[must_use]
    pub fn steps(&self) -> &[LadderStep] {
        &self.steps
    }

    /// Numbers of the games left out until settled, in order.
    #[must_use]
    pub fn left_out(&self) -> &[u32] {
        &self.left_out
    }

    /// Numbers of the tied games that do not count, in order: the competition
    /// leaves them out for good.
    #[must_use]
    pub fn ties_left_out(&self) -> &[u32] {
        &self.ties_left_out
    }

    /// The same, saying of these games that they will not be played.
    #[must_use]
    pub(super) fn without(mut self, closed: Vec<u32>) -> Self {
        self.closed = closed;
        self
    }

    /// Numbers of the games that will not be played, in order.
    #[must_use]
    pub fn closed(&self) -> &[u32] {
        &self.closed
    }

    /// The teams in order, or `None` while two share a place.
    #[must_use]
    pub fn order(&self) -> Option<Vec<Entrant>> {
        let clear = self.rows.iter().all(|row| !row.shared);
        clear.then(|| self.rows.iter().map(|row| row.team).collect())
    }
}

fn row(team: Entrant, place: usize, shared: bool, games: &[result::CountedGame]) -> Row {
    let (mut record, mut scored, mut allowed) = (Record::default(), 0, 0);
    for game in games {
        let Some(side) = game.side(team) else {
            continue;
        };
        let [own, other] = [game.lines[side].runs, game.lines[1 - side].runs];
        scored += u64::from(own);
        allowed += u64::from(other);
        record.wins += u32::from(own > other);
        record.losses += u32::from(own < other);
        record.ties += u32::from(own == other);
    }
    Row {
        place,
        shared,
        team,
        record,
        scored,
        allowed,
    }
}
