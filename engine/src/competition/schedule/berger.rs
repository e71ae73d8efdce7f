//! Round robin by the circle method, in the form of the Berger tables.

use alloc::vec::Vec;

/// A pairing of seats, from 0: the first-named and the second-named side.
pub(super) type Pair = (usize, usize);

/// The rounds of one cycle for `teams` teams; with an odd number the seat
/// `teams` stands for the bye and its pairings are left out.
///
/// Source: FIDE Handbook C.05, General Regulations for Competitions, annex 1,
/// "Details of Berger Table" (published). The first-named side there has the
/// white pieces; here it is the home side.
///
/// The last seat of the even number `n` stays, the others turn by `n / 2`
/// seats each round; in even rounds the last seat is named first.
pub(super) fn rounds(teams: usize) -> Vec<Vec<Pair>> {
    let seats = teams + teams % 2;
    if seats < 2 {
        return Vec::new();
    }
    let (last, turning) = (seats - 1, seats - 1);
    (0..turning)
        .map(|round| {
            let top = round * (seats / 2) % turning;
            let fixed = if round % 2 == 0 {
                (top, last)
            } else {
                (last, top)
            };
            let others = (1..seats / 2).map(|step| {
                let up = (top + step) % turning;
                let down = (top + turning - step) % turning;
                (up, down)
            });
            core::iter::once(fixed)
                .chain(others)
                .filter(|(a, b)| *a < teams && *b < teams)
                .collect()
        })
        .collect()
}

/// Two cycles: the second with the sides exchanged, and the last two rounds of
/// the first in reverse order, so that nobody is on one side three times
/// running.
///
/// Source: the recommendation for double-round tournaments below the tables in
/// the same annex (published).
pub(super) fn double_rounds(teams: usize) -> Vec<Vec<Pair>> {
    let mut first = rounds(teams);
    let second: Vec<Vec<Pair>> = first
        .iter()
        .map(|round| round.iter().map(|(a, b)| (*b, *a)).collect())
        .collect();
    if let [.., before, last] = first.as_mut_slice() {
        core::mem::swap(before, last);
    }
    first.extend(second);
    first
}
