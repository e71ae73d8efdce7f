//! A small exact linear program, for the last steps of the fit.
//!
//! Maximise `c·z` for `z` in a box, with `a·z >= b` for every row. Rows are
//! taken one at a time; a row the optimum so far violates holds with equality
//! at the new optimum, so one variable is eliminated and a smaller program is
//! solved (R. Seidel, "Small-dimensional linear programming and convex hulls
//! made easy", 1991, from memory).

use alloc::vec::Vec;
use libm::fabs;

/// Variables of the largest program.
pub(super) const SIZE: usize = 4;

/// `a·z >= b`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    pub a: [f64; SIZE],
    pub b: f64,
}

/// The optimum, or nothing when no `z` meets every row.
///
/// Each variable lies within plus and minus its bound.
pub(super) fn solve(goal: [f64; SIZE], bound: [f64; SIZE], rows: &[Row]) -> Option<[f64; SIZE]> {
    let lo = bound.map(|b| -b);
    within(SIZE, goal, lo, bound, rows)
}

const SLACK: f64 = 1e-11;

fn dot(dim: usize, a: &[f64; SIZE], z: &[f64; SIZE]) -> f64 {
    a.iter().zip(z).take(dim).map(|(x, y)| x * y).sum()
}

fn within(
    dim: usize,
    goal: [f64; SIZE],
    lo: [f64; SIZE],
    hi: [f64; SIZE],
    rows: &[Row],
) -> Option<[f64; SIZE]> {
    let mut z = [0.0; SIZE];
    for (((z, g), l), h) in z.iter_mut().zip(goal).zip(lo).zip(hi).take(dim) {
        *z = if g > 0.0 {
            h
        } else if g < 0.0 {
            l
        } else {
            0.0f64.max(l).min(h)
        };
    }
    if dim == 0 {
        return rows.iter().all(|r| r.b <= SLACK).then_some(z);
    }
    for (i, row) in rows.iter().enumerate() {
        if dot(dim, &row.a, &z) >= row.b - SLACK {
            continue;
        }
        let (k, pivot) =
            row.a
                .iter()
                .copied()
                .enumerate()
                .take(dim)
                .fold((0, 0.0f64), |best, (j, v)| {
                    if fabs(v) > fabs(best.1) { (j, v) } else { best }
                });
        if fabs(pivot) < 1e-12 {
            return None;
        }
        // z[k] = (b - sum of the others) / pivot, put into everything before.
        let drop = |a: &[f64; SIZE], b: f64| -> Row {
            let f = a.get(k).copied().unwrap_or(0.0) / pivot;
            let mut out = [0.0; SIZE];
            let others = a.iter().zip(row.a.iter()).enumerate().take(dim);
            for (o, (_, (x, y))) in out.iter_mut().zip(others.filter(|(j, _)| *j != k)) {
                *o = x - f * y;
            }
            Row {
                a: out,
                b: b - f * row.b,
            }
        };
        let without = |v: &[f64; SIZE]| {
            let mut out = [0.0; SIZE];
            let kept = v.iter().enumerate().take(dim).filter(|(j, _)| *j != k);
            for (o, (_, x)) in out.iter_mut().zip(kept) {
                *o = *x;
            }
            out
        };
        let mut unit = [0.0; SIZE];
        if let Some(u) = unit.get_mut(k) {
            *u = 1.0;
        }
        let mut smaller: Vec<Row> = Vec::with_capacity(i + 2);
        smaller.push(drop(&unit, lo.get(k).copied().unwrap_or(0.0)));
        let minus = unit.map(|v| -v);
        smaller.push(drop(&minus, -hi.get(k).copied().unwrap_or(0.0)));
        smaller.extend(rows.iter().take(i).map(|r| drop(&r.a, r.b)));
        let sub = within(
            dim - 1,
            drop(&goal, 0.0).a,
            without(&lo),
            without(&hi),
            &smaller,
        )?;
        let mut rest = sub.iter();
        let mut sum = 0.0;
        let mut full = [0.0; SIZE];
        for (j, v) in full.iter_mut().enumerate().take(dim) {
            if j != k {
                *v = rest.next().copied().unwrap_or(0.0);
                sum += *v * row.a.get(j).copied().unwrap_or(0.0);
            }
        }
        if let Some(v) = full.get_mut(k) {
            *v = (row.b - sum) / pivot;
        }
        z = full;
    }
    Some(z)
}
