//! What an official keeps beside the plays: who umpires where, what was hurt, and
//! what became of a protest. None of it changes the game.

use alloc::string::String;

use super::Setup;
use super::bounds::{Field, HalfInning, TooLarge, at_most, text};
use crate::team::{Shirt, Side};

/// What is looked at before the first play, each a [`super::Care`] tick: common
/// practice, no source.
pub const BEFORE_THE_GAME: [&str; 6] = [
    "Line-up cards exchanged",
    "Uniforms and numbers",
    "Jewellery off",
    "Bare hands",
    "Ball",
    "Ground rules said to both sides",
];

/// Who umpires where, from here on: written again when they rotate.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Crew {
    /// At home.
    #[n(0)]
    pub home: Option<String>,
    /// At first base.
    #[n(1)]
    pub first: Option<String>,
    /// At second base.
    #[n(2)]
    pub second: Option<String>,
    /// At third base.
    #[n(3)]
    pub third: Option<String>,
}

/// Someone was hurt, or something else happened that is to be reported. For the
/// organiser: no public page shows it, and a collector gives the log that holds
/// it to the event's officials only.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Incident {
    /// When in the game; `None` before or after it.
    #[n(0)]
    pub half: Option<HalfInning>,
    /// The player, where it was one.
    #[n(1)]
    pub player: Option<InvolvedPlayer>,
    /// Anybody else it happened to; empty where it was a player.
    #[n(2)]
    pub other: String,
    /// What happened.
    #[n(3)]
    pub what: String,
    /// Who saw it; may be empty.
    #[n(4)]
    pub witness: String,
    /// First aid given, and by whom; may be empty.
    #[n(5)]
    pub first_aid: String,
    /// For how long play stopped, in minutes.
    #[n(6)]
    pub stopped_min: u16,
}

/// A player of an incident.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct InvolvedPlayer {
    /// The side.
    #[n(0)]
    pub side: Side,
    /// The number.
    #[n(1)]
    pub shirt: Shirt,
}

/// A protest as it is filed, and again when it is decided: of several about one
/// notice the last counts. The state it was made in is the game before the play;
/// one that is upheld is followed by a replay.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct ProtestCase {
    /// Number of the entry with the protest.
    #[n(0)]
    pub protest: u64,
    /// The rule cited.
    #[n(1)]
    pub rule: String,
    /// Number of the entry with the play protested, where it is one.
    #[n(2)]
    pub play: Option<u64>,
    /// The decision, once there is one.
    #[n(3)]
    pub decision: Option<ProtestDecision>,
}

/// What was decided about a protest.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct ProtestDecision {
    /// Whether it was upheld.
    #[n(0)]
    pub upheld: bool,
    /// By whom and why.
    #[n(1)]
    pub reason: String,
}

impl Crew {
    pub(super) fn fits(&self) -> Result<(), TooLarge> {
        [&self.home, &self.first, &self.second, &self.third]
            .into_iter()
            .flatten()
            .try_for_each(|name| at_most(Field::UmpireName, name.len(), Setup::NAME_LIMIT))
    }
}

impl Incident {
    pub(super) fn fits(&self) -> Result<(), TooLarge> {
        at_most(Field::Name, self.other.len(), Setup::NAME_LIMIT)?;
        text(Field::Incident, &self.what)?;
        at_most(Field::Witness, self.witness.len(), Setup::NAME_LIMIT)?;
        text(Field::FirstAid, &self.first_aid)
    }
}

impl ProtestCase {
    pub(super) fn fits(&self) -> Result<(), TooLarge> {
        text(Field::RuleCited, &self.rule)?;
        let reason = self.decision.as_ref().map_or("", |d| d.reason.as_str());
        text(Field::Decision, reason)
    }
}
