//! Which outs of a play are forces.
//!
//! A runner is forced when every base behind is occupied at the hit and the
//! batter runs. The force is gone once anyone behind is put out. Touching the
//! next base with the ball ahead of a forced runner and tagging the runner
//! short of it are the same out; so is a tag of the forced one of two who stand
//! on a base, and an appeal at the base forced to and missed. One put out after
//! reaching that base is no longer forced.
//!
//! Source: Official Baseball Rules 5.06(a)(2), 5.08(a), 5.09(b)(6), 5.09(c)(2)
//! and Definitions (force play, force double play), from memory.

use super::{End, Fate, Movement};
use crate::play::{Goal, PutOut, RunnerFate};

/// Whether the out at `at` is a force whatever the order of events: called so,
/// or a forced runner tagged before the next base with nobody behind put out.
/// With someone behind put out the tag may have come first or last.
pub(super) fn is_force(movements: &[Movement], at: usize) -> bool {
    let Some(Fate::Runner(RunnerFate::Out { how, .. })) = movements.get(at).map(|m| m.fate) else {
        return false;
    };
    let behind = movements.get(at + 1..).unwrap_or_default();
    match how {
        PutOut::Forced => true,
        PutOut::Missed => out_where_forced(movements, at, PutOut::Missed),
        _ => caught_short(movements, at) && behind.iter().all(|m| m.end != End::Out),
    }
}

/// Whether someone put out was forced at the hit and got no further than short
/// of the next base, even if the force was gone by then. The batter put out
/// before first base is one of these.
#[cfg(feature = "log")]
pub(crate) fn out_of_a_force(movements: &[Movement], at: usize) -> bool {
    match movements.get(at).map(|m| m.fate) {
        Some(Fate::Batter(fate)) => matches!(fate, crate::play::BatterFate::OutBeforeFirst(_)),
        Some(Fate::Runner(RunnerFate::Out {
            how: PutOut::Forced,
            ..
        })) => true,
        _ => caught_short(movements, at),
    }
}

/// Whether a runner who had to run when the ball was hit was tagged before the
/// next base, or on a base where a second one had the right to stand.
fn caught_short(movements: &[Movement], at: usize) -> bool {
    [PutOut::Tagged, PutOut::Shared]
        .into_iter()
        .any(|how| out_where_forced(movements, at, how))
}

/// Whether a runner who had to run when the ball was hit was put out so, no
/// further on than the next base. One who left a base early was out before the
/// hit and forces nobody.
fn out_where_forced(movements: &[Movement], at: usize, wanted: PutOut) -> bool {
    let Some(m) = movements.get(at) else {
        return false;
    };
    let (Some(base), Fate::Runner(RunnerFate::Out { at: place, how })) = (m.from, m.fate) else {
        return false;
    };
    let behind = movements.get(at + 1..).unwrap_or_default();
    // One person behind for each base behind: the batter and the runners.
    let stays = |m: &&Movement| !matches!(m.fate, Fate::Runner(fate) if fate.left_early());
    let everyone = behind.iter().filter(stays).count() == usize::from(base.number());
    let batter_runs = matches!(
        behind.last().map(|m| m.fate),
        Some(Fate::Batter(fate)) if fate.runs()
    );
    let short = |place: Goal| place <= base.next();
    how == wanted && everyone && batter_runs && place.is_none_or(short)
}
