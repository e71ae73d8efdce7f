//! Single elimination, and the way from pools into it.

use alloc::vec::Vec;

use super::{Meeting, Participant, Stage};
use crate::rules::Series;

/// Seeds, from 1, in the order of the draw sheet of `size`, a power of two: in
/// every round seeds that all held add up to one more than the teams left, so
/// the first two can only meet in the final.
///
/// Common practice, no source.
pub(super) fn seed_order(size: usize) -> Vec<usize> {
    let mut order = alloc::vec![1];
    while order.len() < size {
        let sum = order.len() * 2 + 1;
        order = order.iter().flat_map(|seed| [*seed, sum - seed]).collect();
    }
    order
}

/// The meetings of a single elimination among `seeds`, best first, numbered from
/// `next`. Where they are no power of two the best have a bye in the first
/// round. The better seed of the draw is named first.
///
/// The third-place meeting needs four participants; the caller has looked.
pub(super) fn elimination(
    seeds: &[Participant],
    third_place: bool,
    length: Series,
    mut next: u16,
) -> Vec<Meeting> {
    let mut meetings = Vec::new();
    let size = seeds.len().next_power_of_two();
    let mut sheet: Vec<(usize, Option<Participant>)> = seed_order(size)
        .into_iter()
        .map(|seed| (seed, seeds.get(seed - 1).copied()))
        .collect();
    let mut round = 1;
    let mut losers = Vec::new();
    while sheet.len() > 1 {
        let left = sheet.len();
        if left == 2 && third_place && losers.len() == 2 {
            meetings.push(Meeting {
                number: next,
                stage: Stage::ThirdPlace,
                round,
                sides: [losers[0], losers[1]],
                length,
            });
            next += 1;
        }
        losers.clear();
        let mut winners = Vec::with_capacity(left / 2);
        for pair in sheet.chunks(2) {
            let [mut a, mut b] = [pair[0], pair[pair.len() - 1]];
            if b.0 < a.0 {
                (a, b) = (b, a);
            }
            let through = match (a.1, b.1) {
                (Some(first), Some(second)) => {
                    meetings.push(Meeting {
                        number: next,
                        stage: Stage::Knockout {
                            places: u16::try_from(left).unwrap_or(u16::MAX),
                        },
                        round,
                        sides: [first, second],
                        length,
                    });
                    losers.push(Participant::Loser(next));
                    next += 1;
                    Some(Participant::Winner(next - 1))
                }
                (bye, None) | (None, bye) => bye,
            };
            winners.push((a.0, through));
        }
        sheet = winners;
        round += 1;
    }
    meetings
}

/// Pools by the snake: first pool to last, then back, so that the sums of
/// seeds are as even as they can be. Seats from 0.
///
/// Common practice, no source.
pub(super) fn snake(teams: usize, pools: usize) -> Vec<Vec<usize>> {
    let mut out = alloc::vec![Vec::new(); pools];
    for seat in 0..teams {
        let (row, at) = (seat / pools, seat % pools);
        let pool = if row % 2 == 0 { at } else { pools - 1 - at };
        out[pool].push(seat);
    }
    out
}

/// The seeds of the finals from pools, crossed over: all pool winners first,
/// then all seconds, and so on, each row in the order of pools that lets teams
/// of one pool meet again as late as can be.
///
/// With two pools that is the usual first against second of the other pool.
/// Common practice, no source.
pub(super) fn cross_over(pools: usize, through: usize) -> Vec<Participant> {
    let size = (pools * through).next_power_of_two();
    let order = seed_order(size);
    // Where seed s (from 0) stands on the draw sheet.
    let mut stands = alloc::vec![0usize; size];
    for (at, seed) in order.iter().enumerate() {
        stands[seed - 1] = at;
    }
    let mut seeds: Vec<(usize, usize)> = (0..pools).map(|pool| (pool, 0)).collect();
    for place in 1..through {
        let first_seed = place * pools;
        let mut best: Option<(Vec<usize>, Vec<usize>)> = None;
        let mut row: Vec<usize> = (0..pools).collect();
        loop {
            let cost = clashes(&seeds, &row, first_seed, &stands);
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, row.clone()));
            }
            if !next_permutation(&mut row) {
                break;
            }
        }
        let row = best.map_or_else(|| (0..pools).collect(), |(_, row)| row);
        seeds.extend(row.into_iter().map(|pool| (pool, place)));
    }
    seeds
        .into_iter()
        .map(|(pool, place)| Participant::Place {
            // Both are bounded by the number of teams.
            pool: pool as u8,
            place: place as u8 + 1,
        })
        .collect()
}

/// How many pairs of one pool could meet in the first round, the second, and so
/// on, if the next seeds were this row of pools.
fn clashes(
    seeds: &[(usize, usize)],
    row: &[usize],
    first_seed: usize,
    stands: &[usize],
) -> Vec<usize> {
    let rounds = stands.len().trailing_zeros() as usize;
    let mut cost = alloc::vec![0; rounds];
    for (i, pool) in row.iter().enumerate() {
        for (seed, (other, _)) in seeds.iter().enumerate() {
            if pool == other {
                let (a, b) = (stands[first_seed + i], stands[seed]);
                // They meet once the halves they stand in become one.
                let round = (0..rounds)
                    .find(|r| a >> (r + 1) == b >> (r + 1))
                    .unwrap_or(0);
                cost[round] += 1;
            }
        }
    }
    cost
}

/// The next order in the order of the dictionary; `false` after the last.
fn next_permutation(row: &mut [usize]) -> bool {
    let Some(at) = row.windows(2).rposition(|w| w[0] < w[1]) else {
        return false;
    };
    if let Some(with) = row.iter().rposition(|x| *x > row[at]) {
        row.swap(at, with);
        row[at + 1..].reverse();
    }
    true
}
