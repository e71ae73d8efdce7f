//! The cheapest way to lay two lists of plays side by side.

use alloc::vec::Vec;

/// One pair of the alignment: positions in each list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pair {
    /// The same play.
    Same(usize, usize),
    /// One play, told differently.
    Differs(usize, usize),
    /// Two neighbouring plays in the other order: the first of each list.
    Swapped(usize, usize),
    /// Only in the first list.
    OnlyMine(usize),
    /// Only in the second list, before this position of the first.
    OnlyTheirs(usize),
}

impl Pair {
    /// The same pair with each list counted from further back.
    fn further(self, i: usize, j: usize) -> Self {
        match self {
            Self::Same(a, b) => Self::Same(i + a, j + b),
            Self::Differs(a, b) => Self::Differs(i + a, j + b),
            Self::Swapped(a, b) => Self::Swapped(i + a, j + b),
            Self::OnlyMine(a) => Self::OnlyMine(i + a),
            Self::OnlyTheirs(b) => Self::OnlyTheirs(j + b),
        }
    }
}

/// Cost of an alignment: differences first, then pairs whose turns at bat do
/// not agree, so that half-innings anchor the result where costs are equal.
type Cost = (u32, u32);

/// Most plays of each list that are laid side by side in one table; a whole
/// game has a third of it.
const STRETCH: usize = 400;

/// Aligns two lists of any length, at a cost that a hostile record cannot drive
/// up: the table is quadratic, so what is `equal` at both ends is cut off first,
/// and what remains is taken a stretch at a time up to the first one with a
/// difference. Later differences may follow from earlier ones anyway.
///
/// `equal(i, j)`: whether the plays are the same in every fact; it implies
/// `same` and `anchored`. Up to a stretch the result costs what
/// [`align`] of the whole would.
pub fn align_long(
    mine: usize,
    theirs: usize,
    equal: impl Fn(usize, usize) -> bool,
    same: impl Fn(usize, usize) -> bool,
    anchored: impl Fn(usize, usize) -> bool,
) -> Vec<Pair> {
    let most = mine.min(theirs);
    let head = (0..most).take_while(|k| equal(*k, *k)).count();
    let ends = |k: &usize| equal(mine - 1 - k, theirs - 1 - k);
    let tail = (0..most - head).take_while(ends).count();
    let (mine_end, theirs_end) = (mine - tail, theirs - tail);
    let mut pairs: Vec<Pair> = (0..head).map(|k| Pair::Same(k, k)).collect();
    let (mut i, mut j) = (head, head);
    while i < mine_end || j < theirs_end {
        let (a, b) = ((mine_end - i).min(STRETCH), (theirs_end - j).min(STRETCH));
        let stretch = align(
            a,
            b,
            |x, y| same(i + x, j + y),
            |x, y| anchored(i + x, j + y),
        );
        let differs = stretch.iter().any(|p| !matches!(p, Pair::Same(..)));
        pairs.extend(stretch.into_iter().map(|p| p.further(i, j)));
        (i, j) = (i + a, j + b);
        if differs && (i < mine_end || j < theirs_end) {
            // Plays without a counterpart at the very end of a stretch may have
            // it in the next one.
            let alone = |p: &Pair| matches!(p, Pair::OnlyMine(_) | Pair::OnlyTheirs(_));
            let kept = pairs.iter().rposition(|p| !alone(p)).map_or(0, |k| k + 1);
            if pairs[..kept].iter().any(|p| !matches!(p, Pair::Same(..))) {
                pairs.truncate(kept);
            }
            return pairs;
        }
    }
    pairs.extend((0..tail).map(|k| Pair::Same(mine_end + k, theirs_end + k)));
    pairs
}

/// Aligns two lists.
///
/// `same(i, j)`: whether the plays tell the same; `anchored(i, j)`: whether
/// they belong to the same turn at bat. The number of differences is the least
/// possible: an edit distance with substitution, insertion, deletion and
/// exchange of neighbours, each costing one, no play being edited twice (the
/// restricted Damerau-Levenshtein distance, "optimal string alignment").
fn align(
    mine: usize,
    theirs: usize,
    same: impl Fn(usize, usize) -> bool,
    anchored: impl Fn(usize, usize) -> bool,
) -> Vec<Pair> {
    let width = theirs + 1;
    let at = |i: usize, j: usize| i * width + j;
    let equal: Vec<bool> = (0..mine)
        .flat_map(|i| (0..theirs).map(move |j| (i, j)))
        .map(|(i, j)| same(i, j))
        .collect();
    let eq = |i: usize, j: usize| equal[i * theirs + j];
    // Best cost and last pair of every prefix of both lists.
    let mut table: Vec<(Cost, Option<Pair>)> = Vec::with_capacity((mine + 1) * width);
    for i in 0..=mine {
        for j in 0..=theirs {
            let mut best: Option<(Cost, Pair)> = None;
            let mut offer = |from: usize, differs: u32, loose: bool, pair: Pair| {
                let (cost, _) = table[from];
                let cost = (cost.0 + differs, cost.1 + u32::from(loose));
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, pair));
                }
            };
            if i > 0 && j > 0 {
                let (a, b) = (i - 1, j - 1);
                let loose = !anchored(a, b);
                if eq(a, b) {
                    offer(at(a, b), 0, loose, Pair::Same(a, b));
                } else {
                    offer(at(a, b), 1, loose, Pair::Differs(a, b));
                }
                if i > 1 && j > 1 && eq(a - 1, b) && eq(a, b - 1) && !eq(a, b) {
                    offer(at(a - 1, b - 1), 1, loose, Pair::Swapped(a - 1, b - 1));
                }
            }
            if i > 0 {
                offer(at(i - 1, j), 1, false, Pair::OnlyMine(i - 1));
            }
            if j > 0 {
                offer(at(i, j - 1), 1, false, Pair::OnlyTheirs(j - 1));
            }
            table.push(best.map_or(((0, 0), None), |(cost, pair)| (cost, Some(pair))));
        }
    }
    let (mut i, mut j) = (mine, theirs);
    let mut pairs = Vec::new();
    while let (_, Some(pair)) = table[at(i, j)] {
        pairs.push(pair);
        (i, j) = match pair {
            Pair::Same(a, b) | Pair::Differs(a, b) | Pair::Swapped(a, b) => (a, b),
            Pair::OnlyMine(a) => (a, j),
            Pair::OnlyTheirs(b) => (i, b),
        };
    }
    pairs.reverse();
    pairs
}

#[cfg(test)]
mod tests {
    #![allow(missing_docs)]
    use super::*;
    use proptest::prelude::*;

    fn differences(pairs: &[Pair]) -> usize {
        pairs
            .iter()
            .filter(|p| !matches!(p, Pair::Same(..)))
            .count()
    }

    /// The least number of differences by trying everything.
    fn brute(a: &[u8], b: &[u8]) -> usize {
        match (a, b) {
            ([], rest) | (rest, []) => rest.len(),
            ([x, a1 @ ..], [y, b1 @ ..]) => {
                let mut least = brute(a1, b1) + usize::from(x != y);
                least = least.min(brute(a1, b) + 1).min(brute(a, b1) + 1);
                if let ([x2, a2 @ ..], [y2, b2 @ ..]) = (a1, b1)
                    && (x, x2) == (y2, y)
                    && x != x2
                {
                    least = least.min(brute(a2, b2) + 1);
                }
                least
            }
        }
    }

    /// Differences, and pairs of different turns at bat.
    fn cost(pairs: &[Pair], anchored: impl Fn(usize, usize) -> bool) -> (usize, usize) {
        let loose = pairs.iter().filter(|p| match **p {
            Pair::Same(a, b) | Pair::Differs(a, b) => !anchored(a, b),
            Pair::Swapped(a, b) => !anchored(a + 1, b + 1),
            Pair::OnlyMine(_) | Pair::OnlyTheirs(_) => false,
        });
        (differences(pairs), loose.count())
    }

    #[test]
    fn a_long_record_is_compared_up_to_its_first_stretch_that_differs() {
        let theirs = |j: usize| j != 900;
        let same = |i: usize, j: usize| i == j && theirs(j);
        let whole = align_long(1990, 1990, same, same, |i, j| i == j);
        assert_eq!(whole.len(), 1990, "one play of it differs");
        assert_eq!(differences(&whole), 1);
        let never = |_: usize, _: usize| false;
        let asked = core::cell::Cell::new(0usize);
        let count = |_: usize, _: usize| {
            asked.set(asked.get() + 1);
            false
        };
        let part = align_long(1990, 1990, never, count, never);
        assert_eq!((part.len(), asked.get()), (STRETCH, STRETCH * STRETCH));
        // What was taken for equal goes on to the next stretch.
        let far = align_long(1990, 1500, never, |i, j| i == j, |i, j| i == j);
        assert_eq!(differences(&far), 100);
        // A play missed at the start is one difference, not another at the end
        // of the stretch.
        let missed = align_long(1990, 1989, never, |i, j| i == j + 1, never);
        assert_eq!(missed[0], Pair::OnlyMine(0));
        assert_eq!((missed.len(), differences(&missed)), (STRETCH, 1));
    }

    proptest! {
        /// Cutting off what is equal at both ends costs nothing: as many
        /// differences and as well anchored as with the whole table, also where
        /// plays tell the same that are not equal, in a way that is not
        /// transitive.
        #[test]
        fn cut_ends_cost_no_more_than_the_whole_table(
            a in prop::collection::vec(0u8..5, 0..9),
            b in prop::collection::vec(0u8..5, 0..9),
            common in prop::collection::vec(0u8..5, 0..4),
        ) {
            let a = [&common[..], &a[..], &common[..]].concat();
            let b = [&common[..], &b[..], &common[..]].concat();
            let same = |i: usize, j: usize| a[i].abs_diff(b[j]) <= 1;
            let turn = |i: usize, n: usize, v: &[u8]| (i.min(n - 1 - i) / 2, v[i]);
            let equal = |i: usize, j: usize| turn(i, a.len(), &a) == turn(j, b.len(), &b);
            let anchored = |i: usize, j: usize| turn(i, a.len(), &a).0 == turn(j, b.len(), &b).0;
            let cut = align_long(a.len(), b.len(), equal, same, anchored);
            let whole = align(a.len(), b.len(), same, anchored);
            prop_assert_eq!(cost(&cut, anchored), cost(&whole, anchored));
        }

        /// Minimal against trying everything, and every item once, in order.
        #[test]
        fn alignments_are_minimal_and_whole(
            a in prop::collection::vec(0u8..3, 0..7),
            b in prop::collection::vec(0u8..3, 0..7),
        ) {
            let pairs = align(a.len(), b.len(), |i, j| a[i] == b[j], |i, j| i / 3 == j / 3);
            prop_assert_eq!(differences(&pairs), brute(&a, &b));
            let (mut i, mut j) = (0, 0);
            for pair in pairs {
                let (x, y) = match pair {
                    Pair::Same(x, y) | Pair::Differs(x, y) => { i += 1; j += 1; (x + 1, y + 1) }
                    Pair::Swapped(x, y) => { i += 2; j += 2; (x + 2, y + 2) }
                    Pair::OnlyMine(x) => { i += 1; (x + 1, j) }
                    Pair::OnlyTheirs(y) => { j += 1; (i, y + 1) }
                };
                prop_assert_eq!((x, y), (i, j));
            }
            prop_assert_eq!((i, j), (a.len(), b.len()));
        }
    }
}
