//! The vocabulary of calls: what the umpire says of one play.
//!
//! A play is what happened from one hit to dead ball. A [`Call`] gives a fate
//! to the batter and, where the default does not say it, to each runner.

mod base;
mod fate;
mod words;

pub use base::{Base, ByBase, Goal, base_name};
pub use fate::{
    Advance, BatterFate, BeforeFirst, Call, Continuation, FurtherBase, IllegalAct, PlateAppearance,
    PutOut, Reach, RunnerFate, Scoring, TrailingOut,
};
pub use words::{count_outs, half_inning, ordinal};
