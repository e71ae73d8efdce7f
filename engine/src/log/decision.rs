//! What an organiser decides: how a game counts, and a lot that was drawn.
//!
//! Decisions stand in the organiser's own log of the game, opened with the
//! setup of the game. They change nobody's record: what was recorded, and what
//! was wrong with it, stays to be seen.

use alloc::string::String;
use alloc::vec::Vec;

use super::bounds::{Field, TooLarge, at_most, text};
use super::{Fingerprint, Hash, Setup};
use crate::game::Ending;
use crate::message::{Speech, says, text};
use crate::team::{BySide, Side};

/// A log as the organiser saw it when deciding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct ConsideredLog {
    /// Fingerprint of the key that the log was opened with.
    #[n(0)]
    pub author: Fingerprint,
    /// Hash of its last entry.
    #[n(1)]
    pub head: Hash,
}

/// How a game with a score given by the organiser came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Close {
    /// The scheduled innings are played.
    #[n(0)]
    Regulation,
    /// The home side took the lead in its last turn.
    #[n(1)]
    WalkOff,
    /// The run-ahead rule.
    #[n(2)]
    RunAhead,
    /// Decided in extra innings.
    #[n(3)]
    Extra,
    /// Stopped before its end; the score at that moment counts.
    #[n(4)]
    Stopped,
}

impl Close {
    /// Every one.
    pub const ALL: [Self; 5] = [
        Self::Regulation,
        Self::WalkOff,
        Self::RunAhead,
        Self::Extra,
        Self::Stopped,
    ];

    /// How the game ended by it; `None` when it was stopped.
    #[must_use]
    pub const fn ending(self) -> Option<Ending> {
        match self {
            Self::Regulation => Some(Ending::Regulation),
            Self::WalkOff => Some(Ending::WalkOff),
            Self::RunAhead => Some(Ending::RunAhead),
            Self::Extra => Some(Ending::Extra),
            Self::Stopped => None,
        }
    }

    fn say<S: Speech>(&self) -> S {
        match self.ending() {
            Some(ending) => S::same(&ending),
            None => text!("stopped"),
        }
    }
}

says!(Close);

/// What an organiser decides about a game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Disposition {
    /// This author's record stands, as far as it goes.
    #[n(0)]
    Stands {
        /// Fingerprint of the key that its log was opened with.
        #[n(0)]
        author: Fingerprint,
    },
    /// This side forfeits.
    #[n(1)]
    Forfeit {
        /// The side.
        #[n(0)]
        by: Side,
    },
    /// The score is this, whatever the records say.
    #[n(2)]
    Score {
        /// Runs of each side. Equal ones settle nothing: a game has a winner.
        #[n(0)]
        runs: BySide<u16>,
        /// How the game came to its end.
        #[n(1)]
        close: Close,
    },
    /// The game does not count; it may be played again.
    #[n(3)]
    NotCounted,
    /// No decision any more: the game stands as its records say.
    #[n(4)]
    Withdrawn,
    /// The game will not be played, or not to its end: its place in the
    /// schedule is closed without a result.
    #[n(5)]
    NotPlayed,
}

/// A decision about a game, with what it was made from.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Decision {
    /// The logs looked at.
    #[n(0)]
    pub considered: Vec<ConsideredLog>,
    /// The ruling.
    #[n(1)]
    pub decided: Disposition,
    /// Why, in plain words. Everyone can read it.
    #[n(2)]
    pub reason: String,
}

impl Decision {
    /// Most logs that a decision names.
    pub const CONSIDERED_LIMIT: usize = 64;
}

/// A lot that was drawn: teams in the order drawn, best first. It belongs to
/// the event, and stands in the organiser's log of any of its games.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Draw {
    /// Names of the teams, as the charter has them.
    #[n(0)]
    pub order: Vec<String>,
    /// How and before whom it was drawn, in plain words.
    #[n(1)]
    pub note: String,
    /// Hashes of the entries of earlier lots that it takes the place of,
    /// whoever kept them. Earlier lots in the same log need not be named.
    #[cbor(n(2), default, skip_if = "Vec::is_empty")]
    pub replaces: Vec<Hash>,
}

impl Draw {
    /// Most teams of a lot.
    pub const ORDER_LIMIT: usize = 256;
    /// Most lots that one takes the place of.
    pub const REPLACES_LIMIT: usize = 64;
}

pub(super) fn decision_fits(decision: &Decision) -> Result<(), TooLarge> {
    let logs = decision.considered.len();
    at_most(Field::Logs, logs, Decision::CONSIDERED_LIMIT)?;
    text(Field::Reason, &decision.reason)
}

pub(super) fn draw_fits(draw: &Draw) -> Result<(), TooLarge> {
    at_most(Field::Lot, draw.order.len(), Draw::ORDER_LIMIT)?;
    at_most(Field::Lots, draw.replaces.len(), Draw::REPLACES_LIMIT)?;
    let names = draw.order.iter();
    names
        .map(String::len)
        .try_for_each(|n| at_most(Field::TeamName, n, Setup::NAME_LIMIT))?;
    text(Field::Note, &draw.note)
}
