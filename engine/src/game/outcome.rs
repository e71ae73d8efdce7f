//! What a play did.

use alloc::vec::Vec;

use super::Ending;
use super::force::is_force;
use crate::play::{
    Advance, Base, BatterFate, Call, Continuation, FurtherBase, PlateAppearance, Reach, RunnerFate,
    Scoring,
};
use crate::rules::{Edition, IllegalPutout};
use crate::team::Shirt;

/// The fate of one person in jeopardy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fate {
    /// The batter's.
    Batter(BatterFate),
    /// A runner's.
    Runner(RunnerFate),
}

/// Where a person stood when the play was over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum End {
    /// On a base.
    On(Base),
    /// Home, and the run counts.
    Scored,
    /// Home, but the third out came first or was a force.
    TooLate,
    /// Out.
    Out,
    /// The batter, still at bat: no ball came into play, or the third out came
    /// before the hit.
    AtBat,
}

/// One person's part in a play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Movement {
    /// Who.
    pub who: Shirt,
    /// The base held at the hit; `None` is the batter.
    pub from: Option<Base>,
    /// The fate.
    pub fate: Fate,
    /// Whether the call named it; otherwise it is the default.
    pub named: bool,
    /// Where it ended.
    pub end: End,
}

/// What comes after a play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Change {
    /// The next batter of the same side.
    NextBatter,
    /// The sides change.
    Sides,
    /// The game is over.
    Over(Ending),
}

/// Everything one play did: the only input of the score sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outcome {
    /// Whose turn at bat it was.
    pub turn: PlateAppearance,
    /// Outs before the play, 0 to 2.
    pub outs_before: u8,
    /// Everyone in jeopardy, lead runner first, the batter last.
    pub movements: Vec<Movement>,
    /// Outs made, 0 to 3.
    pub outs: u8,
    /// Runs that count, 0 to 4.
    pub runs: u8,
    /// Runners left on base, when the turn at bat or the game ended.
    pub left: u8,
    /// What comes next.
    pub change: Change,
    /// Who held each position on defence, by [`crate::team::Position::index`].
    pub fielders: [Option<Shirt>; 5],
    /// The scorer's extras.
    pub scoring: Scoring,
    /// The note in plain words, if any.
    pub note: Option<alloc::string::String>,
}

impl Outcome {
    /// The batter's part.
    #[must_use]
    pub fn batter(&self) -> (Shirt, BatterFate) {
        let last = self.movements.last();
        match last.map(|m| (m.who, m.fate)) {
            Some((who, Fate::Batter(fate))) => (who, fate),
            _ => unreachable!("the batter is the last person of every play"),
        }
    }

    /// The outs for which a fielder is credited with a putout: not that of an
    /// illegal hit where the edition credits nobody.
    #[must_use]
    pub fn putouts(&self, edition: &Edition) -> u8 {
        let nobody = matches!(self.batter().1, BatterFate::Illegal(_))
            && **edition.illegal_putout() == IllegalPutout::Nobody;
        self.outs.saturating_sub(u8::from(nobody))
    }

    /// The call with every fate explicit, so that it says the same on its own.
    #[must_use]
    pub fn explicit(&self, call: &Call) -> Call {
        let mut whole = call.clone();
        for m in &self.movements {
            if let (Some(base), Fate::Runner(fate)) = (m.from, m.fate) {
                whole.set_runner(base, Some(fate));
            }
        }
        whole
    }

    /// Whether a runner was forced out: at the base, or tagged short of it.
    #[must_use]
    pub fn forced_out(&self) -> bool {
        (0..self.movements.len()).any(|at| is_force(&self.movements, at))
    }

    /// Whether the batter's turn at bat was used up.
    #[must_use]
    pub fn uses_turn(&self) -> bool {
        self.movements.last().is_some_and(|m| m.end != End::AtBat)
    }

    /// How the batter came to be safe as the score sheet sees it: a hit on
    /// which a runner is forced out is a fielder's choice. `None` when the
    /// batter was not safe, or the third out came before the hit.
    ///
    /// Source: Official Baseball Rules 9.05(b)(1), (2).
    #[must_use]
    pub fn reach(&self) -> Option<Reach> {
        match self.batter().1 {
            _ if !self.uses_turn() => None,
            BatterFate::Safe { on: Reach::Hit, .. } if self.forced_out() => Some(Reach::Choice),
            BatterFate::Safe { on, .. } => Some(on),
            _ => None,
        }
    }

    /// Errors charged to the defence: those named, or one when only a fate
    /// says that an error helped.
    #[must_use]
    pub fn errors(&self) -> u8 {
        let said = self.movements.iter().any(|m| m.fate.on_error());
        let named = u8::try_from(self.scoring.errors.len()).unwrap_or(u8::MAX);
        named.max(u8::from(said))
    }

    /// Whether somebody went on because the ball was thrown out of play. Whether
    /// that was an error, and whose, is for the scorer to say.
    ///
    /// Source: Official Baseball Rules 9.12(a)(7), from memory.
    #[must_use]
    pub fn is_thrown_out_of_play(&self) -> bool {
        self.movements.iter().any(|m| m.fate.on_throw())
    }
}

impl Fate {
    /// What followed when a base had been reached, if anything.
    #[must_use]
    pub const fn continuation(&self) -> Option<Continuation> {
        match self {
            Self::Batter(BatterFate::Safe { then, .. })
            | Self::Runner(RunnerFate::To { then, .. }) => *then,
            Self::Batter(_) | Self::Runner(_) => None,
        }
    }

    /// Whether an error helped.
    #[must_use]
    pub const fn on_error(&self) -> bool {
        let first = matches!(
            self,
            Self::Batter(BatterFate::Safe {
                on: Reach::Error,
                ..
            }) | Self::Runner(RunnerFate::To {
                on: Advance::Error,
                ..
            })
        );
        let further = matches!(
            self.continuation(),
            Some(Continuation::Base(FurtherBase {
                on: Advance::Error,
                ..
            }))
        );
        first || further
    }

    /// Whether a ball thrown out of play helped.
    #[must_use]
    pub const fn on_throw(&self) -> bool {
        let first = matches!(
            self,
            Self::Runner(RunnerFate::To {
                on: Advance::Throw,
                ..
            })
        );
        let further = matches!(
            self.continuation(),
            Some(Continuation::Base(FurtherBase {
                on: Advance::Throw,
                ..
            }))
        );
        first || further
    }
}
