//! Why a call or notice was refused, and what would be right.

use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

use super::Ending;
use super::courtesy_runner::one_of;
use crate::play::{Base, Goal, PutOut, put_out_sentence};
use crate::team::{CardObjection, Shirt, Side, SubObjection};

/// Why a call was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlayObjection {
    /// The game is over.
    Over(Ending),
    /// The game is stopped for a while.
    Held,
    /// The batter due is on base: someone must run for them first.
    CourtesyRunnerNeeded {
        /// The batter due.
        due: Shirt,
        /// The base they stand on.
        base: Base,
    },
    /// The hitter named is not one of the five.
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
    NotForced(Shirt),
    /// A forced runner is out at the next base only.
    ForcedElsewhere {
        /// Who.
        who: Shirt,
        /// The next base.
        next: Goal,
    },
    /// Nobody need go back without a catch.
    NoCatch(Shirt),
    /// This way of being put out does not fit this person.
    HowDoesNotFit {
        /// Who.
        who: Shirt,
        /// The way named.
        how: PutOut,
    },
    /// A further base on the hit itself is no second part of a fate.
    FurtherOnHit(Shirt),
    /// Nobody was ahead to be passed.
    NobodyAhead(Shirt),
    /// Nobody else can have stood on that base.
    NobodyToShare(Shirt),
    /// Here the umpire stops play when a runner leaves early: there was no hit.
    StoppedBeforeHit(Shirt),
    /// The ball is dead, as after an illegal hit.
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
    ShortHanded(Side),
}

impl PlayObjection {
    /// The documented name, as used in scenario files.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Over(_) => "over",
            Self::Held => "held",
            Self::CourtesyRunnerNeeded { .. } => "stand-in-needed",
            Self::NotDue { .. } => "not-due",
            Self::NoRunner(_) => "no-runner",
            Self::SameBase { .. } => "same-base",
            Self::Passing { .. } => "passing",
            Self::NotForward { .. } => "not-forward",
            Self::OutBehind { .. } => "out-behind",
            Self::NotForced(_) => "not-forced",
            Self::ForcedElsewhere { .. } => "forced-elsewhere",
            Self::NoCatch(_) => "no-catch",
            Self::HowDoesNotFit { .. } => "how-does-not-fit",
            Self::HitterNotInPlay(_) => "hitter-not-in-play",
            Self::HitterOnBase { .. } => "hitter-on-base",
            Self::FurtherOnHit(_) => "further-on-hit",
            Self::NobodyAhead(_) => "nobody-ahead",
            Self::NobodyToShare(_) => "nobody-to-share",
            Self::StoppedBeforeHit(_) => "stopped-before-hit",
            Self::DeadBall(_) => "dead-ball",
            Self::TooManyOuts { .. } => "too-many-outs",
            Self::RunsUnanswered { .. } => "runs-unanswered",
            Self::TooManyHomeFirst { .. } => "too-many-home-first",
            Self::NotAsked => "not-asked",
            Self::NobodyToChoose => "nobody-to-choose",
            Self::AwardDiffers { .. } => "award-differs",
            Self::TurnCorrected => "turn-corrected",
            Self::ErrorOnDeadBall { .. } => "error-on-dead-ball",
            Self::TooMuchScoring => "too-much-scoring",
            Self::ShortHanded(_) => "short-handed",
        }
    }
}

impl fmt::Display for PlayObjection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Over(_) => f.write_str("The game is over: nothing more can be called."),
            Self::Held => f.write_str("The game is stopped: resume it before the next call."),
            Self::CourtesyRunnerNeeded { due, base } => write!(
                f,
                "Number {due} is on {base} and due to bat: say who runs for them first."
            ),
            Self::HitterNotInPlay(who) => {
                write!(f, "Number {who} is not one of the five: name the one who hit.")
            }
            Self::HitterOnBase { who, base } => {
                write!(f, "Number {who} is on {base} and cannot have hit: name the one who did.")
            }
            Self::FurtherOnHit(who) => write!(
                f,
                "{who} went further on the same hit: call the base reached in the end, or say what else took them there."
            ),
            Self::NobodyAhead(who) => {
                write!(f, "Nobody was ahead of {who} to be passed: call another reason.")
            }
            Self::NobodyToShare(who) => write!(
                f,
                "Nobody else can have stood on that base with {who}: call another reason."
            ),
            Self::StoppedBeforeHit(who) => write!(
                f,
                "Play stops in this competition when a runner leaves early: {who} is out, and there was no hit."
            ),
            Self::NotDue { due } => {
                write!(f, "This play was recorded for another turn: number {due} is due now.")
            }
            Self::NoRunner(base) => write!(f, "Nobody is on {base}."),
            Self::SameBase { ahead, behind, base } => write!(
                f,
                "{ahead} and {behind} cannot both be on {base}: move {ahead} on or call one out."
            ),
            Self::Passing { ahead, behind } => write!(
                f,
                "{behind} would be past {ahead}: move {ahead} on, or call the one who passed out."
            ),
            Self::NotForward { who, to } => {
                write!(f, "{who} cannot advance to {to} from there: choose a base further on.")
            }
            Self::OutBehind { who, at } => {
                write!(f, "{who} cannot be out at {at}, behind their own base.")
            }
            Self::NotForced(who) => write!(
                f,
                "{who} was not forced: a base behind was empty, or the hit gave no right to run. Call a tag."
            ),
            Self::ForcedElsewhere { who, next } => {
                write!(f, "{who} was forced to {next} and can be forced out only there.")
            }
            Self::NoCatch(who) => {
                write!(f, "{who} need not go back: the ball was not caught on the fly.")
            }
            Self::HowDoesNotFit { who, how } => {
                write!(f, "{who} cannot be out that way ({}).", put_out_sentence(*how))
            }
            Self::DeadBall(who) => write!(
                f,
                "The ball is dead: {who} goes back, unless the umpire gives a base."
            ),
            Self::TooManyOuts { before, called } => write!(
                f,
                "{called} outs called with {before} already out: the turn ends at three."
            ),
            Self::RunsUnanswered { most: 1 } => {
                f.write_str("The third out was not a force: was the runner home first?")
            }
            Self::RunsUnanswered { most } => write!(
                f,
                "The third out was not a force: how many of the {most} were home first?"
            ),
            Self::TooManyHomeFirst { most } => {
                write!(f, "At most {most} can have been home before the third out.")
            }
            Self::NotAsked => f.write_str(
                "Who was home first changes nothing here: the third out was a force, or there is none.",
            ),
            Self::NobodyToChoose => {
                f.write_str("A fielder's choice needs a runner on base: call a hit or an error.")
            }
            Self::AwardDiffers { who, bases } => {
                write!(f, "{who} is given exactly {bases} bases in this competition.")
            }
            Self::TurnCorrected => f.write_str(
                "Hitting out of turn has no penalty in this competition: let the right batter hit.",
            ),
            Self::ErrorOnDeadBall { batter } => write!(
                f,
                "The ball was dead with {batter} at bat: no error can be charged. Leave the error out."
            ),
            Self::TooMuchScoring => f.write_str("At most 16 touches and 16 errors fit one play."),
            Self::ShortHanded(side) => short_handed(*side, f),
        }
    }
}

fn short_handed(side: Side, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    write!(
        f,
        "The {side} have fewer than five on their card: they forfeit, or hand over a full card first."
    )
}

impl core::error::Error for PlayObjection {}

/// Why a notice was refused.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
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
    Substitution {
        /// The side.
        side: Side,
        /// Why.
        why: SubObjection,
    },
    /// The card would not be accepted so.
    Card {
        /// The side.
        side: Side,
        /// Why.
        why: CardObjection,
    },
    /// A side has fewer than five on its card: it can only forfeit.
    ShortHanded(Side),
    /// The side has used its time-outs.
    NoTimeOutLeft {
        /// The side.
        side: Side,
        /// The edition's limit, in words.
        limit: String,
    },
    /// Nobody need run for the batter due.
    CourtesyRunnerNotNeeded,
    /// This player may not run for the batter due.
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

impl NoticeObjection {
    /// The documented name, as used in scenario files.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Over(_) => "over",
            Self::Held => "held",
            Self::AlreadyHeld => "already-held",
            Self::NotHeld => "not-held",
            Self::Substitution { why, .. } => why.name(),
            Self::Card { why, .. } => why.name(),
            Self::ShortHanded(_) => "short-handed",
            Self::NoTimeOutLeft { .. } => "no-time-out-left",
            Self::CourtesyRunnerNotNeeded => "stand-in-not-needed",
            Self::CourtesyRunnerNotAllowed { .. } => "stand-in-not-allowed",
            Self::PositionsIncomplete => "positions-incomplete",
            Self::TextTooLong { .. } => "text-too-long",
        }
    }
}

impl fmt::Display for NoticeObjection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Over(_) => f.write_str("The game is over: this can no longer be recorded."),
            Self::Held => f.write_str("The game is stopped: resume it first."),
            Self::AlreadyHeld => f.write_str("The game is already stopped."),
            Self::NotHeld => f.write_str("The game is not stopped."),
            Self::Substitution { why, .. } => why.fmt(f),
            Self::Card { why, .. } => why.fmt(f),
            Self::ShortHanded(side) => short_handed(*side, f),
            Self::NoTimeOutLeft { side, limit } => {
                write!(f, "The {side} have used their time-outs ({limit}).")
            }
            Self::CourtesyRunnerNotNeeded => {
                f.write_str("The batter due is not on base: nobody need run for them.")
            }
            Self::CourtesyRunnerNotAllowed { by, rule, may } => {
                write!(
                    f,
                    "Number {by} may not run here. {rule} Choose {}.",
                    one_of(may)
                )
            }
            Self::PositionsIncomplete => f.write_str("Give each of the five a different position."),
            Self::TextTooLong { most } => {
                write!(f, "The note is too long: at most {most} letters.")
            }
        }
    }
}

impl core::error::Error for NoticeObjection {}
