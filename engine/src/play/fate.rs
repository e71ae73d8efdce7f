//! Fates: what became of the batter and of each runner.

use alloc::vec::Vec;

use super::{Base, ByBase, Goal};
use crate::message::localized;
use crate::team::{Place, Position, Shirt, Side};

/// How the batter came to be safe.
///
/// Source: Official Baseball Rules 9.05, 9.12 and Definitions (fielder's choice).
#[localized(clause, word, choice)]
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
    /// The umpire gave the base, as to a batter who was obstructed: no hit, and
    /// no time at bat (9.02(a)(1)).
    #[n(3)]
    Award,
}

/// What took a runner forward.
#[localized(clause, word, choice)]
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
#[localized(sentence, word, choice)]
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
    /// Missed a base and was out on appeal there. Source: Official Baseball
    /// Rules 5.09(c)(2), from memory.
    #[n(9)]
    Missed,
}

impl PutOut {
    /// All ways.
    pub const ALL: [Self; 10] = [
        Self::Forced,
        Self::Tagged,
        Self::LeftEarly,
        Self::NotBack,
        Self::Passed,
        Self::Shared,
        Self::Collision,
        Self::Interference,
        Self::Other,
        Self::Missed,
    ];

    /// Whether it can befall someone while the ball is dead.
    #[must_use]
    pub const fn fits_dead_ball(self) -> bool {
        matches!(
            self,
            Self::LeftEarly | Self::Collision | Self::Interference | Self::Other
        )
    }
}

/// How the batter was put out before reaching first base.
#[localized(sentence, word, choice)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum BeforeFirst {
    /// The base was touched with the ball first.
    #[default]
    #[n(0)]
    Base,
    /// Tagged with the ball.
    #[n(1)]
    Tagged,
    /// Interference.
    #[n(2)]
    Interference,
    /// An avoidable collision.
    #[n(3)]
    Collision,
    /// Another reason, told in a note.
    #[n(4)]
    Other,
}

impl BeforeFirst {
    /// All ways.
    pub const ALL: [Self; 5] = [
        Self::Base,
        Self::Tagged,
        Self::Interference,
        Self::Collision,
        Self::Other,
    ];
}

/// What made the hit illegal: the batter is out and the ball is dead.
#[localized(sentence, word)]
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

/// Put out after a base was reached: trying for a further one, or at the base
/// just reached (left the safe area, ran past it, slid past it). Never a force.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct TrailingOut {
    /// The base tried for, or the one reached.
    #[n(0)]
    pub at: Goal,
    /// How the out was made.
    #[n(1)]
    pub how: PutOut,
}

/// A further base for another reason than what took the person to the first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct FurtherBase {
    /// The base reached in the end.
    #[n(0)]
    pub to: Goal,
    /// What took the person on: never the hit.
    #[n(1)]
    pub on: Advance,
}

/// What followed when a base had been reached: the second part of a fate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Continuation {
    /// Put out.
    #[n(0)]
    Out(#[n(0)] TrailingOut),
    /// A further base, as on an error after a clean hit.
    #[n(1)]
    Base(#[n(0)] FurtherBase),
}

impl Continuation {
    /// The out, if it is one.
    #[must_use]
    pub const fn out(self) -> Option<TrailingOut> {
        match self {
            Self::Out(out) => Some(out),
            Self::Base(_) => None,
        }
    }

    /// The further base, if it is one.
    #[must_use]
    pub const fn base(self) -> Option<FurtherBase> {
        match self {
            Self::Out(_) => None,
            Self::Base(base) => Some(base),
        }
    }
}

/// What became of the batter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum BatterFate {
    /// Safe at a base, and perhaps put out or further on afterwards.
    #[n(0)]
    Safe {
        /// The base reached safely.
        #[n(0)]
        at: Goal,
        /// How.
        #[n(1)]
        on: Reach,
        /// What followed, if anything.
        #[n(2)]
        then: Option<Continuation>,
    },
    /// Put out before reaching first base.
    #[n(1)]
    OutBeforeFirst(#[n(0)] BeforeFirst),
    /// The hit ball was caught before the ground.
    #[n(2)]
    Caught,
    /// An illegal act.
    #[n(3)]
    Illegal(#[n(0)] IllegalAct),
    /// No ball came into play, the umpire stopped it: the turn at bat is not
    /// used up, the same batter hits next.
    #[n(4)]
    NoHit,
}

impl BatterFate {
    /// Put out before first base, which was touched with the ball.
    pub const OUT: Self = Self::OutBeforeFirst(BeforeFirst::Base);

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
        !matches!(
            self,
            Self::NoHit
                | Self::Safe {
                    then: None | Some(Continuation::Base(_)),
                    ..
                }
        )
    }

    /// Whether the batter became a runner, or tried to: what gives the force.
    #[must_use]
    pub const fn runs(&self) -> bool {
        matches!(self, Self::Safe { .. } | Self::OutBeforeFirst(_))
    }

    /// Whether the ball was never in play, or dead from the hit on.
    #[must_use]
    pub const fn is_dead_ball(&self) -> bool {
        matches!(self, Self::Illegal(_) | Self::NoHit)
    }
}

/// What became of a runner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum RunnerFate {
    /// Stays, or goes back safely.
    #[n(0)]
    Holds,
    /// Reached a further base or home, and perhaps was put out or went further
    /// on afterwards.
    #[n(1)]
    To {
        /// The base reached safely.
        #[n(0)]
        goal: Goal,
        /// What took the runner there.
        #[n(1)]
        on: Advance,
        /// What followed, if anything.
        #[n(2)]
        then: Option<Continuation>,
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

    /// Put out by a tag at a base, or on the way to it.
    #[must_use]
    pub const fn tagged(at: Goal) -> Self {
        Self::Out {
            at: Some(at),
            how: PutOut::Tagged,
        }
    }

    /// Whether the runner is out in the end.
    #[must_use]
    pub const fn is_out(&self) -> bool {
        matches!(
            self,
            Self::Out { .. }
                | Self::To {
                    then: Some(Continuation::Out(_)),
                    ..
                }
        )
    }

    /// Whether the runner was out for leaving the base before the hit.
    #[must_use]
    pub const fn left_early(&self) -> bool {
        matches!(
            self,
            Self::Out {
                how: PutOut::LeftEarly,
                ..
            }
        )
    }
}

/// The scorer's extras: optional, and never part of what umpires compare.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Scoring {
    /// Who touched the ball, in order; where nobody is starred, the last ones
    /// made the putouts.
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
    /// Which of those in `by` made a putout, the first one in the lowest bit,
    /// where the last ones named did not; `None` is not said.
    #[n(3)]
    pub starred: Option<u16>,
}

impl Scoring {
    /// Most touches or errors kept for one play.
    pub const LIMIT: usize = 16;

    /// Marks or unmarks the touch at this place of `by` as a putout, in a play of
    /// so many outs. Of more marks than outs the first other one goes.
    pub fn star(&mut self, at: usize, outs: usize) {
        if at >= self.by.len().min(Self::LIMIT) {
            return;
        }
        let mut stars = self.starred.unwrap_or(0) ^ 1 << at;
        while stars.count_ones() as usize > outs {
            let others = stars & !(1 << at);
            let of = if others == 0 { stars } else { others };
            stars &= !(1 << of.trailing_zeros());
        }
        self.starred = (stars != 0).then_some(stars);
    }

    /// The places in `by` of those who made a putout, in order, in a play of so
    /// many outs: those starred, else the last ones.
    ///
    /// Source: Official Baseball Rules 9.09.
    #[must_use]
    pub fn putouts(&self, outs: usize) -> Vec<usize> {
        let stars = self.starred.unwrap_or(0);
        let starred: Vec<usize> = (0..self.by.len().min(Self::LIMIT))
            .filter(|at| stars >> at & 1 == 1)
            .collect();
        if starred.is_empty() {
            (self.by.len() - outs.min(self.by.len())..self.by.len()).collect()
        } else {
            starred.into_iter().take(outs).collect()
        }
    }
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
    /// Who hit, where it was not the batter due and nobody objected in time:
    /// it stands, and the one after this hitter is due. Source: Official
    /// Baseball Rules 6.03(b)(5), from memory.
    #[n(7)]
    pub hitter: Option<Shirt>,
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
            hitter: None,
        }
    }

    /// The same call with a fate for the runner on `base`.
    #[must_use]
    pub fn with_runner(mut self, base: Base, fate: RunnerFate) -> Self {
        self.set_runner(base, Some(fate));
        self
    }

    /// The same call with an answer to "how many were home first?".
    #[must_use]
    pub fn with_home_first(mut self, runs: u8) -> Self {
        self.home_first = Some(runs);
        self
    }

    /// The same call with the scorer's extras.
    #[must_use]
    pub fn with_scoring(mut self, scoring: Scoring) -> Self {
        self.scoring = Some(scoring);
        self
    }

    /// The same call with a note in plain words.
    #[must_use]
    pub fn with_note(mut self, note: impl Into<alloc::string::String>) -> Self {
        self.note = Some(note.into());
        self
    }

    /// The same call, hit by someone who was not due.
    #[must_use]
    pub fn with_hitter(mut self, hitter: Shirt) -> Self {
        self.hitter = Some(hitter);
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

    /// Whether it charges an error while the ball was dead, as after an illegal
    /// hit: nobody could make one.
    #[must_use]
    pub fn charges_dead_ball(&self) -> bool {
        let charged = self.scoring.as_ref().is_some_and(|s| !s.errors.is_empty());
        charged && self.batter.is_dead_ball()
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
pub struct PlateAppearance {
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
