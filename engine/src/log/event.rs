//! The events of a game's log.

use crate::game::Notice;
use crate::play::{Call, PlateAppearance};

/// What an amendment does to an earlier play or notice.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Correction {
    /// The play becomes this call.
    #[n(0)]
    Replace(#[n(0)] Call),
    /// The play or notice did not happen; after a play, later plays of that
    /// side belong to the hitter before the one recorded.
    #[n(1)]
    Remove,
    /// A play was missed just before it: later plays of that side belong to
    /// the hitter after the one recorded.
    #[n(2)]
    InsertBefore(#[n(0)] Call),
    /// A notice was missed just before it.
    #[n(3)]
    NoticeBefore(#[n(0)] Notice),
}

/// A correction of an earlier event.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Amendment {
    /// Sequence number of the play or notice (or of the amendment that
    /// inserted it).
    #[n(0)]
    pub target: u64,
    /// What it becomes.
    #[n(1)]
    pub change: Correction,
}

/// One recorded event between the opening and the final statement.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Event {
    /// A play.
    #[n(0)]
    Play {
        /// Whose turn at bat it was when recorded.
        #[n(0)]
        turn: PlateAppearance,
        /// The call.
        #[n(1)]
        call: Call,
    },
    /// A notice.
    #[n(1)]
    Notice(#[n(0)] Notice),
    /// A correction of an earlier play.
    #[n(2)]
    Amend(#[n(0)] Amendment),
    /// Takes back an event, which must be the last one in force.
    #[n(3)]
    Undo {
        /// Its sequence number.
        #[n(0)]
        target: u64,
    },
    /// A correction that both officials agreed on. Not taken back by an undo.
    #[n(4)]
    Settle(#[n(0)] Amendment),
    /// A protest was upheld: the play and all after it do not count, and the
    /// game goes on from before it.
    #[n(5)]
    Replay {
        /// Sequence number of the play (or of the amendment that inserted it).
        #[n(0)]
        target: u64,
    },
}
