//! The meetings of a competition, before they have courts and times.

use alloc::vec::Vec;

use super::super::{Entrant, MAX_ENTRANTS};
use super::problem::pool_letter;
use super::{
    Format, MAX_POOLS, Meeting, Participant, PoolDraw, ScheduleProblem, Stage, berger, draw,
};
use crate::rules::Series;

/// Meetings without times.
pub(super) struct Plan {
    pub pools: Vec<Vec<Entrant>>,
    pub meetings: Vec<Meeting>,
}

/// A handle from a seat; the number of teams is bounded.
fn seat(at: usize) -> Entrant {
    Entrant::at(u16::try_from(at).unwrap_or(u16::MAX))
}

/// The meetings of a format for so many teams. With problems the plan is not
/// to be used.
pub(super) fn plan(
    format: &Format,
    teams: usize,
    length: Series,
    problems: &mut Vec<ScheduleProblem>,
) -> Plan {
    let mut plan = Plan {
        pools: Vec::new(),
        meetings: Vec::new(),
    };
    if !(2..=MAX_ENTRANTS).contains(&teams) {
        return plan; // the list of teams says so
    }
    let everyone: Vec<Entrant> = (0..teams).map(seat).collect();
    match format {
        Format::RoundRobin { twice } => {
            round_robin(&[(Stage::RoundRobin, everyone)], *twice, &mut plan.meetings);
        }
        Format::Elimination { third_place } => {
            if *third_place && teams < 4 {
                problems.push(ScheduleProblem::ThirdPlace(teams));
            }
            let seeds: Vec<_> = everyone.into_iter().map(Participant::Team).collect();
            plan.meetings = draw::elimination(&seeds, *third_place, length, 1);
        }
        Format::Series => {
            if teams != 2 {
                problems.push(ScheduleProblem::SeriesOfTwo(teams));
            }
            plan.meetings.push(Meeting {
                number: 1,
                stage: Stage::Series,
                round: 1,
                sides: [Participant::Team(seat(0)), Participant::Team(seat(1))],
                length: Series::BestOfThree,
            });
        }
        Format::PoolsThenFinals {
            pools,
            through,
            third_place,
        } => {
            let found = problems.len();
            let seats = pool_seats(pools, teams, problems);
            let (through, smallest) = (
                usize::from(*through),
                seats.iter().map(Vec::len).min().unwrap_or(0),
            );
            if problems.len() > found {
                return plan;
            }
            // One fewer than the pool, or the pool stage decides nothing.
            if through == 0 || through >= smallest.max(2) {
                problems.push(ScheduleProblem::Through { through, smallest });
                return plan;
            }
            let finalists = seats.len() * through;
            if finalists < 2 {
                problems.push(ScheduleProblem::FinalsOfOne);
            }
            if *third_place && finalists < 4 {
                problems.push(ScheduleProblem::ThirdPlace(finalists));
            }
            plan.pools = seats
                .iter()
                .map(|pool| pool.iter().map(|at| seat(*at)).collect())
                .collect();
            let stages: Vec<_> = plan
                .pools
                .iter()
                .enumerate()
                .map(|(at, pool)| (Stage::Pool(at as u8), pool.clone()))
                .collect();
            round_robin(&stages, false, &mut plan.meetings);
            let seeds = draw::cross_over(seats.len(), through);
            let next = plan.meetings.len() as u16 + 1;
            plan.meetings
                .extend(draw::elimination(&seeds, *third_place, length, next));
        }
    }
    plan
}

/// Seats of each pool; every problem of the division is added.
fn pool_seats(
    pools: &PoolDraw,
    teams: usize,
    problems: &mut Vec<ScheduleProblem>,
) -> Vec<Vec<usize>> {
    let count = match pools {
        PoolDraw::Snake(n) => usize::from(*n),
        PoolDraw::Listed(sizes) => sizes.len(),
    };
    if !(1..=MAX_POOLS).contains(&count) {
        problems.push(ScheduleProblem::PoolCount(count));
        return Vec::new();
    }
    let seats = match pools {
        PoolDraw::Snake(_) => draw::snake(teams, count),
        PoolDraw::Listed(sizes) => {
            let sum = sizes.iter().map(|s| usize::from(*s)).sum();
            if sum != teams {
                problems.push(ScheduleProblem::PoolSizes { sum, teams });
            }
            let mut next = 0;
            let mut cut = |size: &u8| {
                let from = next;
                next += usize::from(*size);
                (from..next).collect()
            };
            sizes.iter().map(&mut cut).collect()
        }
    };
    for (at, pool) in seats.iter().enumerate() {
        if pool.len() < 2 {
            problems.push(ScheduleProblem::SmallPool(pool_letter(at), pool.len()));
        }
    }
    seats
}

/// The round robins of several stages side by side, round after round.
fn round_robin(stages: &[(Stage, Vec<Entrant>)], twice: bool, meetings: &mut Vec<Meeting>) {
    let tables: Vec<_> = stages
        .iter()
        .map(|(_, teams)| match twice {
            true => berger::double_rounds(teams.len()),
            false => berger::rounds(teams.len()),
        })
        .collect();
    let longest = tables.iter().map(Vec::len).max().unwrap_or(0);
    for round in 0..longest {
        for ((stage, teams), table) in stages.iter().zip(&tables) {
            for (first, second) in table.get(round).into_iter().flatten() {
                meetings.push(Meeting {
                    // At most 64 teams twice: 4,032 meetings.
                    number: meetings.len() as u16 + 1,
                    stage: *stage,
                    round: round as u16 + 1,
                    sides: [*first, *second].map(|at| Participant::Team(teams[at])),
                    length: Series::Single,
                });
            }
        }
    }
}
