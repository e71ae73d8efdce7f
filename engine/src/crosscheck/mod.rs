//! Comparison of two independent records of one game.
//!
//! Both records are reduced to **umpire facts**: who was at bat, where each
//! person ended, runs, outs, the bases afterwards, and who is in play. Equal
//! facts give equal [`CheckCode`]s. When codes differ, [`compare`] finds the
//! smallest set of differences and what each official would have to correct.

mod align;
mod code;
mod difference;
mod facts;
mod settle;
#[cfg(test)]
mod tests;

pub use code::{CheckCode, Half, code_after, codes};
pub use difference::{Comparison, Detail, Difference, Kind, PlayRef, compare};
pub use facts::{Ended, PlayFacts};
pub use settle::{Choice, Settlement};
