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

/// Cost of an alignment: differences first, then pairs whose turns at bat do
/// not agree, so that half-innings anchor the result where costs are equal.
type Cost = (u32, u32);

/// Aligns two lists.
///
/// `same(i, j)`: whether the plays tell the same; `anchored(i, j)`: whether
/// they belong to the same turn at bat. The number of differences is the least
/// possible: an edit distance with substitution, insertion, deletion and
/// exchange of neighbours, each costing one, no play being edited twice (the
/// restricted Damerau-Levenshtein distance, "optimal string alignment").
pub fn align(
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

    proptest! {
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
