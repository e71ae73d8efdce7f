//! How a game ended.

use super::Stoppage;
use crate::message::localized;
use crate::team::Side;

/// How a game ended.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ending {
    /// Ahead after the scheduled innings, or the home side ahead after the
    /// guests' last scheduled turn. Source: glossary, end of game (published).
    Regulation,
    /// The home side took the lead in its own turn in the last scheduled or an
    /// extra inning (derived).
    WalkOff,
    /// A lead of the run-ahead rule at the end of a complete inning.
    /// Source: glossary, end of game (published).
    RunAhead,
    /// The guests ahead when an extra inning ended.
    Extra,
    /// One side forfeited.
    Forfeit {
        /// The side that forfeited.
        by: Side,
    },
    /// Both sides forfeited: nobody wins.
    ForfeitBoth,
    /// The umpire called the game and it counts: the side ahead wins, or it is a
    /// tie.
    #[message(why = _0)]
    Called(Stoppage),
    /// The umpire called the game and it does not count yet: it is to be played
    /// on, and has no winner until then.
    #[message(why = _0)]
    Suspended(Stoppage),
}

impl Ending {
    /// The documented name, as used in scenario files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Regulation => "regulation",
            Self::WalkOff => "walk-off",
            Self::RunAhead => "run-ahead",
            Self::Extra => "extra",
            Self::Forfeit { .. } | Self::ForfeitBoth => "forfeit",
            Self::Called(_) => "called",
            Self::Suspended(_) => "suspended",
        }
    }
}
