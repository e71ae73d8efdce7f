//! Editions of the rules as data: every value that differs between rule books,
//! age groups or house rules, each with its [`Source`].
//!
//! There is never an `if edition == …` anywhere: the engine reads values and
//! small policy enums from an [`Edition`] and nothing else.

mod clock;
mod edition;
mod length;
mod policy;
mod source;
#[cfg(test)]
mod tests;

pub use clock::{Countdown, GameLimit};
pub use edition::{BuiltIn, Edition, EditionContradiction, Setting, SettingError};
pub use length::Length;
pub use policy::{
    AGame, Awards, Count, Disposal, ForfeitLarger, GamesMissed, GenderMinimum, HandRaise,
    IllegalPutout, InjuryCover, LeftEarly, LoadedRunner, NoHitShape, OutOfTurn, ReEntry,
    RosterLimit, Run, RunAhead, RunAheadWhen, RunScoringFly, Score, SecondWarning, Series,
    SeriesHome, TieBreakRunners, TieBreakWho, TiedGames, Ties, TimeOuts, WalkOffRuns,
};
pub use source::{Document, Source, WithSource};

/// Players a side has in play at all times, and hitters in a batting order.
///
/// Source: game preliminaries page of the rules body's glossary (published).
pub const FIVE: usize = 5;

/// Outs that end a turn at bat.
///
/// Source: common practice; national federation's page (published).
pub const OUTS_PER_TURN: u8 = 3;
