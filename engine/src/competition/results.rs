//! The whole competition from its schedule and its games: a table for each
//! pool, and the knock-out as far as it is decided.

use alloc::vec::Vec;

use super::bracket::{BracketProblem, GameOutcome, Progress};
use super::schedule::{Participant, Schedule, ScheduledGame, Stage};
use super::standings::{Criterion, GameResult, Standing, StandingsProblem, Table};
use super::{Entrant, Entrants};
use crate::Problems;
use crate::message::localized;
use crate::rules::Disposal;
use crate::team::Side;

/// Why a game given does not take part in the results.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Misfit {
    /// The schedule has no game of this number.
    #[message(number = _0)]
    NotScheduled(u32),
    /// Its teams are not those of the schedule. In the knock-out this happens
    /// too when an earlier result was changed after it was played.
    #[message(number = _0)]
    OtherTeams(u32),
    /// Its sides are not known yet: an earlier meeting or a pool is open.
    #[message(number = _0)]
    TooEarly(u32),
    /// The series was decided before it.
    #[message(number = _0)]
    NotNeeded(u32),
    /// It will not be played, and without it nobody goes through.
    #[message(number = _0)]
    NobodyThrough(u32),
}

/// The table of one stage.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct StageTable {
    /// [`Stage::RoundRobin`] or a [`Stage::Pool`].
    pub stage: Stage,
    /// The table.
    pub table: Table,
    /// Whether every game of the stage counts or will not be played.
    pub played: bool,
    /// Whether that is so and no lot is outstanding. Only
    /// then do its teams go through to the finals.
    pub complete: bool,
    /// Whether every game has been played and one of them is not settled: what
    /// the table shows may still change.
    pub provisional: bool,
}

impl StageTable {
    /// How far the table is: `complete`, `provisional` or `so far`.
    #[must_use]
    pub const fn state(&self) -> &'static str {
        match (self.provisional, self.complete) {
            (true, _) => "provisional",
            (false, true) => "complete",
            (false, false) => "so far",
        }
    }
}

/// Tables and knock-out of a competition.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Results {
    tables: Vec<StageTable>,
    progress: Progress,
    misfits: Vec<Misfit>,
}

impl Results {
    /// The results of a schedule after these games, each under its number in
    /// the schedule. Who was home in the end does not matter, only who played.
    ///
    /// `closed` holds the numbers of games that will not be played: a pool is
    /// complete without them. `lot` holds teams in the order drawn, for ties that nothing else breaks.
    /// A knock-out game that is not settled decides nothing, whatever its
    /// rules say of tables: nobody goes through on a game in dispute.
    ///
    /// # Errors
    /// What is wrong with the figures of the games or with the lot, all at
    /// once. Games that do not fit the schedule are no error: they are left
    /// out and named by [`Results::misfits`].
    pub fn of(
        schedule: &Schedule,
        games: &[GameResult],
        closed: &[u32],
        lot: &[Entrant],
    ) -> Result<Self, Problems<StandingsProblem>> {
        let mut misfits = Vec::new();
        let mut problems = figures(schedule.entrants(), games, lot);
        let mut tables = Vec::new();
        let mut played: Vec<Option<&GameResult>> = alloc::vec![None; schedule.games().len()];
        for game in games {
            match slot(game.number).and_then(|at| played.get_mut(at)) {
                Some(place) => *place = Some(game),
                None => misfits.push(Misfit::NotScheduled(game.number)),
            }
        }
        for (stage, group) in stages(schedule) {
            let mut counting = Vec::new();
            let (mut open, mut to_come, mut unsettled) = (false, false, false);
            let mut without = Vec::new();
            for game in scheduled(schedule, stage) {
                match played.get(usize::from(game.number) - 1).copied().flatten() {
                    None if closed.contains(&u32::from(game.number)) => {
                        without.push(u32::from(game.number));
                    }
                    None => (open, to_come) = (true, true),
                    Some(result) if same_teams(game, result) => {
                        open |= !counts(result);
                        unsettled |= matches!(result.standing, Standing::Unsettled(_));
                        counting.push(*result);
                    }
                    Some(result) => {
                        open = true;
                        misfits.push(Misfit::OtherTeams(result.number));
                    }
                }
            }
            match Table::of(schedule.entrants(), &group, &counting, lot) {
                Ok(table) => tables.push(StageTable {
                    stage,
                    provisional: unsettled && !to_come,
                    played: !open,
                    complete: !open && table.order().is_some(),
                    table: table.without(without),
                }),
                // The same figures have been looked at above.
                Err(found) => problems.extend(
                    found
                        .into_iter()
                        .filter(|p| !problems.contains(p))
                        .collect::<Vec<_>>(),
                ),
            }
        }
        Problems::none(problems)?;
        let orders = pool_orders(schedule, &tables);
        let progress = knock_out(schedule, &orders, &played, closed, &mut misfits);
        misfits.sort_unstable_by_key(|m| match m {
            Misfit::NotScheduled(n)
            | Misfit::OtherTeams(n)
            | Misfit::TooEarly(n)
            | Misfit::NotNeeded(n)
            | Misfit::NobodyThrough(n) => *n,
        });
        Ok(Self {
            tables,
            progress,
            misfits,
        })
    }

    /// The tables: one of the round robin, or one of each pool, or none.
    #[must_use]
    pub fn tables(&self) -> &[StageTable] {
        &self.tables
    }

    /// The teams, tie by tie, among whom a lot must be drawn: every game of their
    /// stage counts and nothing else separates them.
    #[must_use]
    pub fn lots(&self) -> Vec<Vec<Entrant>> {
        let played = self.tables.iter().filter(|t| t.played);
        let steps = played.flat_map(|t| t.table.steps());
        let wanting = steps.filter(|s| s.criterion == Criterion::Lot && s.gap.is_some());
        wanting.map(|s| s.among.clone()).collect()
    }

    /// The meetings and games filled in.
    #[must_use]
    pub fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Games that do not fit the schedule and were left out, by number.
    #[must_use]
    pub fn misfits(&self) -> &[Misfit] {
        &self.misfits
    }

    /// The best three as far as decided: of the knock-out or series where there
    /// is one, else of the complete round robin.
    #[must_use]
    pub fn podium(&self) -> [Option<Entrant>; 3] {
        match self.tables.first() {
            Some(only) if only.stage == Stage::RoundRobin => {
                let order = only.complete.then(|| only.table.order()).flatten();
                [0, 1, 2].map(|at| order.as_ref()?.get(at).copied())
            }
            _ => self.progress.podium(),
        }
    }
}

fn slot(number: u32) -> Option<usize> {
    usize::try_from(number).ok()?.checked_sub(1)
}

/// Problems of the figures of all games, those of the knock-out included.
fn figures(entrants: &Entrants, games: &[GameResult], lot: &[Entrant]) -> Vec<StandingsProblem> {
    let everyone: Vec<Entrant> = entrants.iter().collect();
    Table::of(entrants, &everyone, games, lot)
        .err()
        .map_or_else(Vec::new, Problems::into_vec)
}

/// The stages that have a table, with their teams.
fn stages(schedule: &Schedule) -> Vec<(Stage, Vec<Entrant>)> {
    let pools = schedule.pools();
    let alone = schedule
        .meetings()
        .first()
        .is_some_and(|m| m.stage == Stage::RoundRobin);
    match alone {
        true => alloc::vec![(Stage::RoundRobin, schedule.entrants().iter().collect())],
        false => pools
            .iter()
            .zip(0..)
            .map(|(pool, at)| (Stage::Pool(at), pool.clone()))
            .collect(),
    }
}

/// The games of a stage.
fn scheduled(schedule: &Schedule, stage: Stage) -> impl Iterator<Item = &ScheduledGame> {
    schedule.games().iter().filter(move |g| {
        schedule
            .meeting(g.meeting)
            .is_some_and(|m| m.stage == stage)
    })
}

/// Whether the schedule's teams played, either of them at home.
fn same_teams(game: &ScheduledGame, result: &GameResult) -> bool {
    let sides = [game.guest, game.home];
    sides.contains(&Participant::Team(result.guest))
        && sides.contains(&Participant::Team(result.home))
        && result.guest != result.home
}

fn counts(game: &GameResult) -> bool {
    match game.standing {
        Standing::Final(_) | Standing::Tied(_) | Standing::Forfeit(_) => true,
        Standing::Unsettled(_) => game.rules.unsettled == Disposal::AsScored,
    }
}

/// Who won a settled game.
fn winner(game: &GameResult) -> Option<Entrant> {
    match game.standing {
        Standing::Final(lines) => match lines.guest.runs.cmp(&lines.home.runs) {
            core::cmp::Ordering::Greater => Some(game.guest),
            core::cmp::Ordering::Less => Some(game.home),
            core::cmp::Ordering::Equal => None,
        },
        Standing::Forfeit(Side::Guest) => Some(game.home),
        Standing::Forfeit(Side::Home) => Some(game.guest),
        // Nobody goes through on a tie.
        Standing::Tied(_) | Standing::Unsettled(_) => None,
    }
}

fn pool_orders(schedule: &Schedule, tables: &[StageTable]) -> Vec<Option<Vec<Entrant>>> {
    let pools = schedule.pools().len();
    let mut orders: Vec<_> = tables
        .iter()
        .map(|t| t.complete.then(|| t.table.order()).flatten())
        .take(pools)
        .collect();
    orders.resize(pools, None);
    orders
}

/// Plays the games meeting by meeting; one that does not fit is left out, so
/// that the rest can still be shown.
fn knock_out(
    schedule: &Schedule,
    orders: &[Option<Vec<Entrant>>],
    played: &[Option<&GameResult>],
    closed: &[u32],
    misfits: &mut Vec<Misfit>,
) -> Progress {
    let mut progress = Progress::begin(schedule, orders);
    for (meeting, games) in schedule.meetings().iter().zip(schedule.games_by_meeting()) {
        let sides = progress.sides(meeting);
        let table = matches!(meeting.stage, Stage::RoundRobin | Stage::Pool(_));
        let mut won = Vec::new();
        for game in &games {
            let result = played.get(usize::from(game.number) - 1).copied().flatten();
            let Some(result) = result else {
                continue;
            };
            let own = [Some(result.guest), Some(result.home)];
            let fits = sides == own || sides == [own[1], own[0]];
            if sides.contains(&None) {
                misfits.push(Misfit::TooEarly(result.number));
            } else if !fits && !table {
                misfits.push(Misfit::OtherTeams(result.number));
            } else if let (true, Some(winner)) = (fits, winner(result)) {
                won.push(GameOutcome {
                    game: game.number,
                    winner,
                });
            }
        }
        let mut problems = Vec::new();
        progress.enter(meeting, &games, &won, &mut problems);
        for problem in problems {
            if let BracketProblem::NotNeeded(number) = problem {
                misfits.push(Misfit::NotNeeded(u32::from(number)));
            }
        }
        for game in &games {
            if closed.contains(&u32::from(game.number)) {
                progress.close(game.number);
            }
        }
        let known = !progress.sides(meeting).contains(&None);
        let undecided = progress
            .meetings()
            .last()
            .is_some_and(|m| m.winner.is_none());
        let to_come = games.iter().any(|g| {
            let at = usize::from(g.number) - 1;
            let result = played.get(at).copied().flatten();
            result.is_none() && !closed.contains(&u32::from(g.number))
        });
        if !table && known && undecided && !to_come {
            let ends = games.iter().map(|g| u32::from(g.number));
            misfits.extend(
                ends.filter(|n| closed.contains(n))
                    .map(Misfit::NobodyThrough),
            );
        }
    }
    progress
}

#[cfg(test)]
mod tests;
