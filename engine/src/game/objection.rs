//! Why a call or notice was refused, and what would be right.

use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

use super::Ending;
use super::courtesy_runner::one_of;
use crate::play::{Base, Goal, PutOut, put_out_sentence};
use crate::team::{CardObjection, Shirt, Side, SubObjection};

/// Why a call was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum PlayObjection {
    /// The game is over.
    #[error("The game is over: nothing more can be called.")]
    Over(Ending),
    /// The game is stopped for a while.
    #[error("The game is stopped: resume it before the next call.")]
    Held,
    /// The batter due is on base: someone must run for them first.
    #[error("Number {due} is on {base} and due to bat: say who runs for them first.")]
    CourtesyRunnerNeeded {
        /// The batter due.
        due: Shirt,
        /// The base they stand on.
        base: Base,
    },
    /// The hitter named is not one of the five.
    #[error("Number {0} is not one of the five: name the one who hit.")]
    HitterNotInPlay(Shirt),
    /// The hitter named is a runner.
    #[error("Number {who} is on {base} and cannot have hit: name the one who did.")]
    HitterOnBase {
        /// Who.
        who: Shirt,
        /// The base they stand on.
        base: Base,
    },
    /// The play was recorded for another batter or turn than the one now due.
    #[error("This play was recorded for another turn: number {due} is due now.")]
    NotDue {
        /// The batter now due.
        due: Shirt,
    },
    /// A fate for a base with nobody on it.
    #[error("Nobody is on {0}.")]
    NoRunner(Goal),
    /// Two would stand on one base.
    #[error("{ahead} and {behind} cannot both be on {base}: move {ahead} on or call one out.")]
    SameBase {
        /// The person ahead.
        ahead: Shirt,
        /// The person behind.
        behind: Shirt,
        /// The base.
        base: Goal,
    },
    /// The person behind would be past the one ahead.
    #[error("{behind} would be past {ahead}: move {ahead} on, or call the one who passed out.")]
    Passing {
        /// The person ahead.
        ahead: Shirt,
        /// The person behind.
        behind: Shirt,
    },
    /// A runner or batter can only reach a base further on.
    #[error("{who} cannot advance to {to} from there: choose a base further on.")]
    NotForward {
        /// Who.
        who: Shirt,
        /// The base named.
        to: Goal,
    },
    /// The out was placed behind the person's own base.
    #[error("{who} cannot be out at {at}, behind their own base.")]
    OutBehind {
        /// Who.
        who: Shirt,
        /// The base named.
        at: Goal,
    },
    /// The runner was not forced.
    #[error(
        "{0} was not forced: a base behind was empty, or the hit gave no right to run. Call a tag."
    )]
    NotForced(Shirt),
    /// A forced runner is out at the next base only.
    #[error("{who} was forced to {next} and can be forced out only there.")]
    ForcedElsewhere {
        /// Who.
        who: Shirt,
        /// The next base.
        next: Goal,
    },
    /// Nobody need go back without a catch.
    #[error("{0} need not go back: the ball was not caught on the fly.")]
    NoCatch(Shirt),
    /// This way of being put out does not fit this person.
    #[error("{who} cannot be out that way ({}).", put_out_sentence(*.how))]
    HowDoesNotFit {
        /// Who.
        who: Shirt,
        /// The way named.
        how: PutOut,
    },
    /// A further base on the hit itself is no second part of a fate.
    #[error(
        "{0} went further on the same hit: call the base reached in the end, or say what else took them there."
    )]
    FurtherOnHit(Shirt),
    /// Nobody was ahead to be passed.
    #[error("Nobody was ahead of {0} to be passed: call another reason.")]
    NobodyAhead(Shirt),
    /// Nobody else can have stood on that base.
    #[error("Nobody else can have stood on that base with {0}: call another reason.")]
    NobodyToShare(Shirt),
    /// Here the umpire stops play when a runner leaves early: there was no hit.
    #[error(
        "Play stops in this competition when a runner leaves early: {0} is out, and there was no hit."
    )]
    StoppedBeforeHit(Shirt),
    /// The ball is dead, as after an illegal hit.
    #[error("The ball is dead: {0} goes back, unless the umpire gives a base.")]
    DeadBall(Shirt),
    /// More outs than the turn at bat has left.
    #[error("{called} outs called with {before} already out: the turn ends at three.")]
    TooManyOuts {
        /// Outs before the play.
        before: u8,
        /// Outs called in it.
        called: u8,
    },
    /// The third out is not a force and someone reached home: was it first?
    #[error(fmt = runs_unanswered)]
    RunsUnanswered {
        /// How many may have been home first.
        most: u8,
    },
    /// The answer says more runs than can have been home first.
    #[error("At most {most} can have been home before the third out.")]
    TooManyHomeFirst {
        /// The most that can.
        most: u8,
    },
    /// The answer was given where it changes nothing.
    #[error(
        "Who was home first changes nothing here: the third out was a force, or there is none."
    )]
    NotAsked,
    /// A fielder's choice needs a runner to choose.
    #[error("A fielder's choice needs a runner on base: call a hit or an error.")]
    NobodyToChoose,
    /// The edition gives another number of bases.
    #[error("{who} is given exactly {bases} bases in this competition.")]
    AwardDiffers {
        /// Who.
        who: Shirt,
        /// The bases the edition gives.
        bases: u8,
    },
    /// Hitting out of turn has no penalty here: the right batter takes over.
    #[error("Hitting out of turn has no penalty in this competition: let the right batter hit.")]
    TurnCorrected,
    /// After an illegal hit nobody can be charged with an error.
    #[error(
        "The ball was dead with {batter} at bat: no error can be charged. Leave the error out."
    )]
    ErrorOnDeadBall {
        /// The batter.
        batter: Shirt,
    },
    /// More touches or errors than one play can hold.
    #[error("At most 16 touches and 16 errors fit one play.")]
    TooMuchScoring,
    /// A side has fewer than five on its card: it can only forfeit.
    #[error(fmt = short_handed)]
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

fn runs_unanswered(most: &u8, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    f.write_str("The third out was not a force: ")?;
    match most {
        1 => f.write_str("was the runner home first?"),
        _ => write!(f, "how many of the {most} were home first?"),
    }
}

fn short_handed(side: &Side, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    write!(
        f,
        "The {side} have fewer than five on their card: they forfeit, or hand over a full card first."
    )
}

/// Why a notice was refused.
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum NoticeObjection {
    /// The game is over.
    #[error("The game is over: this can no longer be recorded.")]
    Over(Ending),
    /// The game is stopped: no time-outs now.
    #[error("The game is stopped: resume it first.")]
    Held,
    /// It is already stopped.
    #[error("The game is already stopped.")]
    AlreadyHeld,
    /// It is not stopped.
    #[error("The game is not stopped.")]
    NotHeld,
    /// The substitution does not fit.
    #[error("{why}")]
    Substitution {
        /// The side.
        side: Side,
        /// Why.
        why: SubObjection,
    },
    /// The card would not be accepted so.
    #[error("{why}")]
    Card {
        /// The side.
        side: Side,
        /// Why.
        why: CardObjection,
    },
    /// A side has fewer than five on its card: it can only forfeit.
    #[error(fmt = short_handed)]
    ShortHanded(Side),
    /// The side has used its time-outs.
    #[error("The {side} have used their time-outs ({limit}).")]
    NoTimeOutLeft {
        /// The side.
        side: Side,
        /// The edition's limit, in words.
        limit: String,
    },
    /// Nobody need run for the batter due.
    #[error("The batter due is not on base: nobody need run for them.")]
    CourtesyRunnerNotNeeded,
    /// This player may not run for the batter due.
    #[error("Number {by} may not run here. {rule} Choose {}.", one_of(.may))]
    CourtesyRunnerNotAllowed {
        /// The player named.
        by: Shirt,
        /// Who runs now, in a sentence.
        rule: String,
        /// Those who may.
        may: Vec<Shirt>,
    },
    /// The positions are not five different ones.
    #[error("Give each of the five a different position.")]
    PositionsIncomplete,
    /// A note is longer than a log keeps.
    #[error("The note is too long: at most {most} letters.")]
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
