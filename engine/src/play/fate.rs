//! Fates: what became of the batter and of each runner.

use alloc::vec::Vec;

use super::{Base, ByBase, Goal};
use crate::team::{Place, Position, Side};

/// How the batter came to be safe.
///
/// Source: Official Baseball Rules 9.05, 9.12 and Definitions (fielder's choice).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Reach {
    /// A clean hit.
    #[n(0)]
    Hit,
    /// A fielder's error.
    #[n(1)]
    Error,
    /// The fielders chose to play on another runner.
    #[n(2)]
    Choice,
}

/// What took a runner forward.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Advance {
    /// The hit.
    #[n(0)]
    Hit,
    /// A throw out of play.
    #[n(1)]
    Throw,
    /// A fielder's error.
    #[n(2)]
    Error,
    /// Bases given by the umpire.
    #[n(3)]
    Award,
}

/// How a runner, or a batter already on base, was put out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum PutOut {
    /// The base was touched with the ball ahead of a forced runner.
    #[n(0)]
    Forced,
    /// Tagged off base.
    #[n(1)]
    Tagged,
    /// Off the base before the hit.
    #[n(2)]
    LeftEarly,
    /// Did not go back to the base after a catch.
    #[n(3)]
    NotBack,
    /// Passed a team-mate.
    #[n(4)]
    Passed,
    /// Tagged while two shared a base.
    #[n(5)]
    Shared,
    /// An avoidable collision.
    #[n(6)]
    Collision,
    /// Interference.
    #[n(7)]
    Interference,
    /// Another reason, told in a note.
    #[n(8)]
    Other,
}

impl PutOut {
    /// All ways.
    pub const ALL: [Self; 9] = [
        Self::Forced,
        Self::Tagged,
        Self::LeftEarly,
        Self::NotBack,
        Self::Passed,
        Self::Shared,
        Self::Collision,
        Self::Interference,
        Self::Other,
    ];
}

/// What made the hit illegal: the batter is out and the ball is dead.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum IllegalAct {
    /// First bounce inside the no-hit zone.
    #[n(0)]
    NoHitZone,
    /// Foul ball.
    #[n(1)]
    Foul,
    /// Into or over the fence on the fly.
    #[n(2)]
    Fence,
    /// Left the box or touched its line when hitting.
    #[n(3)]
    Box,
    /// Hit out of turn.
    #[n(4)]
    Turn,
    /// Another reason, told in a note.
    #[n(5)]
    Other,
}

impl IllegalAct {
    /// All acts.
    pub const ALL: [Self; 6] = [
        Self::NoHitZone,
        Self::Foul,
        Self::Fence,
        Self::Box,
        Self::Turn,
        Self::Other,
    ];
}

/// Put out while trying for a further base.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct TrailingOut {
    /// The base tried for.
    #[n(0)]
    pub at: Goal,
    /// How the out was made.
    #[n(1)]
    pub how: PutOut,
}

/// What became of the batter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum BatterFate {
    /// Safe at a base, and perhaps put out trying for a further one.
    #[n(0)]
    Safe {
        /// The base reached safely.
        #[n(0)]
        at: Goal,
        /// How.
        #[n(1)]
        on: Reach,
        /// Put out afterwards, if so.
        #[n(2)]
        then: Option<TrailingOut>,
    },
    /// Put out before reaching first base.
    #[n(1)]
    OutBeforeFirst,
    /// The hit ball was caught before the ground.
    #[n(2)]
    Caught,
    /// An illegal act.
    #[n(3)]
    Illegal(#[n(0)] IllegalAct),
}

impl BatterFate {
    /// Safe at a base on a clean hit.
    #[must_use]
    pub const fn safe(at: Goal) -> Self {
        Self::Safe {
            at,
            on: Reach::Hit,
            then: None,
        }
    }

    /// Whether the batter makes an out on this fate.
    #[must_use]
    pub const fn is_out(&self) -> bool {
        !matches!(self, Self::Safe { then: None, .. })
    }
}

/// What became of a runner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum RunnerFate {
    /// Stays, or goes back safely.
    #[n(0)]
    Holds,
    /// Reached a further base or home, and perhaps was put out further on.
    #[n(1)]
    To {
        /// The base reached safely.
        #[n(0)]
        goal: Goal,
        /// What took the runner there.
        #[n(1)]
        on: Advance,
        /// Put out afterwards, if so.
        #[n(2)]
        then: Option<TrailingOut>,
    },
    /// Put out, at a base where one can be named.
    #[n(2)]
    Out {
        /// Where.
        #[n(0)]
        at: Option<Goal>,
        /// How.
        #[n(1)]
        how: PutOut,
    },
}

impl RunnerFate {
    /// Reaches a goal on the hit.
    #[must_use]
    pub const fn to(goal: Goal) -> Self {
        Self::To {
            goal,
            on: Advance::Hit,
            then: None,
        }
    }

    /// Whether the runner is out in the end.
    #[must_use]
    pub const fn is_out(&self) -> bool {
        matches!(self, Self::Out { .. } | Self::To { then: Some(_), .. })
    }
}

/// The scorer's extras: optional, and never part of what umpires compare.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Scoring {
    /// Who touched the ball, in order; the last one made the (last) putout.
    #[n(0)]
    #[cbor(default)]
    pub by: Vec<Position>,
    /// Errors charged, one entry each.
    #[n(1)]
    #[cbor(default)]
    pub errors: Vec<Position>,
    /// Runs batted in, where the scorer overrides the derived number. More than
    /// the runs of the play are refused when recorded, and in a log that claims
    /// them nevertheless only so many count.
    #[n(2)]
    pub batted_in: Option<u8>,
}

impl Scoring {
    /// Most touches or errors kept for one play.
    pub const LIMIT: usize = 16;
}

/// One call: the batter's fate and those of the runners who do not take the
/// default.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Call {
    /// The batter's fate.
    #[n(0)]
    pub batter: BatterFate,
    /// Fate of the runner on first; `None` is the default or no runner.
    #[n(1)]
    pub first: Option<RunnerFate>,
    /// Fate of the runner on second.
    #[n(2)]
    pub second: Option<RunnerFate>,
    /// Fate of the runner on third.
    #[n(3)]
    pub third: Option<RunnerFate>,
    /// At a third out that is not a force: how many of those who reached home
    /// were there first. `None` where that is not asked.
    #[n(4)]
    pub home_first: Option<u8>,
    /// The scorer's extras.
    #[n(5)]
    pub scoring: Option<Scoring>,
    /// A note in plain words.
    #[n(6)]
    pub note: Option<alloc::string::String>,
}

impl Call {
    /// A call of the batter's fate alone; every runner takes the default.
    #[must_use]
    pub const fn new(batter: BatterFate) -> Self {
        Self {
            batter,
            first: None,
            second: None,
            third: None,
            home_first: None,
            scoring: None,
            note: None,
        }
    }

    /// The same call with a fate for the runner on `base`.
    #[must_use]
    pub fn runner(mut self, base: Base, fate: RunnerFate) -> Self {
        self.set_runner(base, Some(fate));
        self
    }

    /// The same call with an answer to "how many were home first?".
    #[must_use]
    pub fn home_first(mut self, runs: u8) -> Self {
        self.home_first = Some(runs);
        self
    }

    /// Sets or clears the fate of the runner on `base`.
    pub fn set_runner(&mut self, base: Base, fate: Option<RunnerFate>) {
        match base {
            Base::First => self.first = fate,
            Base::Second => self.second = fate,
            Base::Third => self.third = fate,
        }
    }

    /// Whether it charges an error after an illegal hit: the ball was dead
    /// before anyone could make one.
    #[must_use]
    pub fn charges_dead_ball(&self) -> bool {
        let charged = self.scoring.as_ref().is_some_and(|s| !s.errors.is_empty());
        charged && matches!(self.batter, BatterFate::Illegal(_))
    }

    /// The fates given, by base.
    #[must_use]
    pub fn runners(&self) -> ByBase<Option<RunnerFate>> {
        ByBase([self.first, self.second, self.third])
    }
}

/// Whose turn at bat a play belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Turn {
    /// Inning, from 1.
    #[n(0)]
    pub inning: u8,
    /// Side at bat.
    #[n(1)]
    pub side: Side,
    /// Place in the order.
    #[n(2)]
    pub place: Place,
}
