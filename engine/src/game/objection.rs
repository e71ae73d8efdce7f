//! Why a call or notice was refused, and what would be right.

use alloc::string::String;
use alloc::vec::Vec;

use super::Ending;
use super::courtesy_runner::one_of;
use crate::message::{Attribute, localized};
use crate::play::{Base, Goal, PutOut};
use crate::team::{CardObjection, Shirt, Side, SubObjection};

/// Why a call was refused.
#[localized(named)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum PlayObjection {
    /// The game is over.
    Over(Ending),
    /// The game is stopped for a while.
    Held,
    /// The batter due is on base: someone must run for them first.
    #[message(name = "stand-in-needed")]
    CourtesyRunnerNeeded {
        /// The batter due.
        due: Shirt,
        /// The base they stand on.
        base: Base,
    },
    /// The hitter named is not one of the five.
    #[message(shirt = _0)]
    HitterNotInPlay(Shirt),
    /// The hitter named is a runner.
    HitterOnBase {
        /// Who.
        who: Shirt,
        /// The base they stand on.
        base: Base,
    },
    /// The play was recorded for another batter or turn than the one now due.
    NotDue {
        /// The batter now due.
        due: Shirt,
    },
    /// A fate for a base with nobody on it.
    #[message(goal = _0)]
    NoRunner(Goal),
    /// Two would stand on one base.
    SameBase {
        /// The person ahead.
        ahead: Shirt,
        /// The person behind.
        behind: Shirt,
        /// The base.
        base: Goal,
    },
    /// The person behind would be past the one ahead.
    Passing {
        /// The person ahead.
        ahead: Shirt,
        /// The person behind.
        behind: Shirt,
    },
    /// A runner or batter can only reach a base further on.
    NotForward {
        /// Who.
        who: Shirt,
        /// The base named.
        to: Goal,
    },
    /// The out was placed behind the person's own base.
    OutBehind {
        /// Who.
        who: Shirt,
        /// The base named.
        at: Goal,
    },
    /// The runner was not forced.
    #[message(shirt = _0)]
    NotForced(Shirt),
    /// A forced runner is out at the next base only.
    ForcedElsewhere {
        /// Who.
        who: Shirt,
        /// The next base.
        next: Goal,
    },
    /// Nobody need go back without a catch.
    #[message(shirt = _0)]
    NoCatch(Shirt),
    /// This way of being put out does not fit this person.
    #[message(how = Attribute(how, "sentence", how.sentence()))]
    HowDoesNotFit {
        /// Who.
        who: Shirt,
        /// The way named.
        how: PutOut,
    },
    /// A further base on the hit itself is no second part of a fate.
    #[message(shirt = _0)]
    FurtherOnHit(Shirt),
    /// Nobody was ahead to be passed.
    #[message(shirt = _0)]
    NobodyAhead(Shirt),
    /// Nobody else can have stood on that base.
    #[message(shirt = _0)]
    NobodyToShare(Shirt),
    /// Here the umpire stops play when a runner leaves early: there was no hit.
    #[message(shirt = _0)]
    StoppedBeforeHit(Shirt),
    /// The ball is dead, as after an illegal hit.
    #[message(shirt = _0)]
    DeadBall(Shirt),
    /// More outs than the turn at bat has left.
    TooManyOuts {
        /// Outs before the play.
        before: u8,
        /// Outs called in it.
        called: u8,
    },
    /// The third out is not a force and someone reached home: was it first?
    RunsUnanswered {
        /// How many may have been home first.
        most: u8,
    },
    /// The answer says more runs than can have been home first.
    TooManyHomeFirst {
        /// The most that can.
        most: u8,
    },
    /// The answer was given where it changes nothing.
    NotAsked,
    /// A fielder's choice needs a runner to choose.
    NobodyToChoose,
    /// The edition gives another number of bases.
    AwardDiffers {
        /// Who.
        who: Shirt,
        /// The bases the edition gives.
        bases: u8,
    },
    /// Hitting out of turn has no penalty here: the right batter takes over.
    TurnCorrected,
    /// After an illegal hit nobody can be charged with an error.
    ErrorOnDeadBall {
        /// The batter.
        batter: Shirt,
    },
    /// More touches or errors than one play can hold.
    TooMuchScoring,
    /// A side has fewer than five on its card: it can only forfeit.
    #[message(side = _0)]
    ShortHanded(Side),
}

/// Why a notice was refused.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum NoticeObjection {
    /// The game is over.
    Over(Ending),
    /// The game is stopped: no time-outs now.
    Held,
    /// It is already stopped.
    AlreadyHeld,
    /// It is not stopped.
    NotHeld,
    /// The substitution does not fit.
    #[message(transparent = why)]
    Substitution {
        /// The side.
        side: Side,
        /// Why.
        why: SubObjection,
    },
    /// The card would not be accepted so.
    #[message(transparent = why)]
    Card {
        /// The side.
        side: Side,
        /// Why.
        why: CardObjection,
    },
    /// A side has fewer than five on its card: it can only forfeit.
    #[message(side = _0)]
    ShortHanded(Side),
    /// The side has used its time-outs.
    NoTimeOutLeft {
        /// The side.
        side: Side,
        /// The edition's limit, in words.
        limit: String,
    },
    /// Nobody need run for the batter due.
    #[message(name = "stand-in-not-needed")]
    CourtesyRunnerNotNeeded,
    /// This player may not run for the batter due.
    #[message(name = "stand-in-not-allowed", choices = one_of(may))]
    CourtesyRunnerNotAllowed {
        /// The player named.
        by: Shirt,
        /// Who runs now, in a sentence.
        rule: String,
        /// Those who may.
        may: Vec<Shirt>,
    },
    /// The positions are not five different ones.
    PositionsIncomplete,
    /// A note is longer than a log keeps.
    TextTooLong {
        /// The most, in bytes.
        most: usize,
    },
}
