//! A call being made, tap by tap.
//!
//! A [`Draft`] keeps what was chosen and what it was chosen for: a base, an
//! out, a reason. Everything else follows from the game, anew after every tap:
//! the likeliest way of an out that was only called "out", the bases of those
//! who were not named, whether it may be recorded. Nothing chosen is ever put
//! back by a later tap; what no longer fits together is refused with the
//! reason instead.

use alloc::string::String;
use alloc::vec::Vec;

use super::{Fate, Game, Outcome, PlayObjection, ThirdOutQuestion};
use crate::play::{
    Advance, Base, BatterFate, BeforeFirst, ByBase, Call, Continuation, FurtherBase, Goal,
    IllegalAct, PutOut, Reach, RunnerFate, Scoring,
};
use crate::team::Shirt;

/// What can be chosen for the batter with one tap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BatterChoice {
    /// Safe at a base.
    Safe(Goal),
    /// Out before first base.
    Out,
    /// The hit ball was caught.
    Caught,
    /// The hit was illegal.
    Illegal,
    /// No ball came into play.
    NoHit,
}

/// What can be chosen for a runner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunnerChoice {
    /// Stays.
    Holds,
    /// Safe at a base further on, for the reason that fits the batter's fate.
    To(Goal),
    /// Out, in the likeliest way that fits.
    Out,
    /// A fate with its reason.
    Exactly(RunnerFate),
}

/// Why a draft cannot be recorded yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unready {
    /// One question is open.
    Asks(ThirdOutQuestion),
    /// It does not fit.
    Refused(PlayObjection),
}

/// A call being made: choices, and the reasons said for them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    chosen: BatterChoice,
    reach: Reach,
    then: Option<Continuation>,
    before_first: BeforeFirst,
    act: IllegalAct,
    runners: ByBase<Option<RunnerChoice>>,
    answer: Option<(ThirdOutQuestion, u8)>,
    /// Who hit, where it was not the batter due.
    pub hitter: Option<Shirt>,
    /// The scorer's extras.
    pub scoring: Scoring,
    /// A note in plain words.
    pub note: Option<String>,
}

impl Default for Draft {
    /// The commonest play: the batter is safe at first.
    fn default() -> Self {
        Self {
            chosen: BatterChoice::Safe(Goal::First),
            reach: Reach::Hit,
            then: None,
            before_first: BeforeFirst::Base,
            act: IllegalAct::NoHitZone,
            runners: ByBase::default(),
            answer: None,
            hitter: None,
            scoring: Scoring::default(),
            note: None,
        }
    }
}

impl Draft {
    /// A recorded call, to be changed.
    #[must_use]
    pub fn of_call(game: &Game, call: &Call) -> Self {
        let mut draft = Self {
            runners: ByBase::from_fn(|base| call.runners()[base].map(RunnerChoice::Exactly)),
            scoring: call.scoring.clone().unwrap_or_default(),
            note: call.note.clone(),
            hitter: call.hitter,
            ..Self::default()
        };
        draft.set_batter(call.batter);
        if let Some(n) = call.home_first {
            draft.answer = game.question(&draft.unanswered(game)).map(|q| (q, n));
        }
        draft
    }

    /// Chooses the batter's fate. The reason said before is kept.
    pub fn choose_batter(&mut self, choice: BatterChoice) {
        if let (BatterChoice::Safe(at), true) = (choice, self.chosen != choice) {
            self.then = self.then.and_then(|then| after_reaching(at, then));
        }
        self.chosen = choice;
    }

    /// Gives the batter's fate with its reason.
    pub fn set_batter(&mut self, fate: BatterFate) {
        self.chosen = match fate {
            BatterFate::Safe { at, on, then } => {
                (self.reach, self.then) = (on, then);
                BatterChoice::Safe(at)
            }
            BatterFate::OutBeforeFirst(how) => {
                self.before_first = how;
                BatterChoice::Out
            }
            BatterFate::Caught => BatterChoice::Caught,
            BatterFate::Illegal(act) => {
                self.act = act;
                BatterChoice::Illegal
            }
            BatterFate::NoHit => BatterChoice::NoHit,
        };
    }

    /// Says how the batter came on base; the same again takes it back.
    pub fn toggle_reach(&mut self, reach: Reach) {
        self.reach = if self.reach == reach {
            Reach::Hit
        } else {
            reach
        };
    }

    /// Says that the batter went one base further on an error; the same again
    /// takes it back. Nothing where there is no such base.
    pub fn toggle_further(&mut self) {
        let BatterChoice::Safe(at) = self.chosen else {
            return;
        };
        let on = Advance::Error;
        let further = Continuation::Base(FurtherBase { to: at.next(), on });
        self.then = (at != Goal::Home && self.then != Some(further)).then_some(further);
    }

    /// Chooses the fate of the runner on `base`.
    pub fn choose_runner(&mut self, base: Base, choice: RunnerChoice) {
        self.runners[base] = Some(choice);
    }

    /// Says how many were home first.
    pub fn answer(&mut self, question: ThirdOutQuestion, home_first: u8) {
        self.answer = Some((question, home_first));
    }

    /// What was chosen for the batter.
    #[must_use]
    pub fn chosen(&self) -> BatterChoice {
        self.chosen
    }

    /// The batter's fate.
    #[must_use]
    pub fn batter(&self) -> BatterFate {
        match self.chosen {
            BatterChoice::Safe(at) => BatterFate::Safe {
                at,
                on: self.reach,
                then: self.then,
            },
            BatterChoice::Out => BatterFate::OutBeforeFirst(self.before_first),
            BatterChoice::Caught => BatterFate::Caught,
            BatterChoice::Illegal => BatterFate::Illegal(self.act),
            BatterChoice::NoHit => BatterFate::NoHit,
        }
    }

    /// The fate that stands in the lane of the runner on `base`: the one
    /// chosen, else the default. `None` while nothing fits.
    #[must_use]
    pub fn runner(&self, game: &Game, base: Base) -> Option<RunnerFate> {
        let mut call = self.unanswered(game);
        let named = call.runners()[base];
        // While the question is open, any answer gives the same fates.
        call.home_first = game.question(&call).map(|_| 0);
        let movements = game
            .resolve(&call)
            .map_or_else(|_| Vec::new(), |r| r.movements);
        let there = movements.iter().find(|m| m.from == Some(base));
        match there.map(|m| m.fate) {
            Some(Fate::Runner(fate)) => Some(fate),
            _ => named,
        }
    }

    /// The call as it would be recorded now.
    #[must_use]
    pub fn call(&self, game: &Game) -> Call {
        let mut call = self.unanswered(game);
        call.home_first = self.given(game.question(&call).as_ref());
        call.scoring = (self.scoring != Scoring::default()).then(|| self.scoring.clone());
        call.note.clone_from(&self.note);
        call
    }

    /// What it would do.
    ///
    /// # Errors
    /// Why it cannot be recorded yet.
    pub fn check(&self, game: &Game) -> Result<Outcome, Unready> {
        let call = self.call(game);
        match game.clone().apply(&call) {
            Ok(played) => Ok(played.outcome),
            Err(refused) => Err(match (refused.objection, game.question(&call)) {
                (PlayObjection::RunsUnanswered { .. }, Some(question)) => Unready::Asks(question),
                (objection, _) => Unready::Refused(objection),
            }),
        }
    }

    /// The question that this call leaves open, answered or not.
    #[must_use]
    pub fn question(&self, game: &Game) -> Option<ThirdOutQuestion> {
        game.question(&self.unanswered(game))
    }

    /// What was answered to a question.
    #[must_use]
    pub fn given(&self, question: Option<&ThirdOutQuestion>) -> Option<u8> {
        let (asked, n) = self.answer.as_ref()?;
        (Some(asked) == question).then_some(*n)
    }

    /// What may follow for the batter (`None`) or the runner on a base, who is
    /// safe somewhere: further bases, then outs.
    #[must_use]
    pub fn continuations(&self, game: &Game, of: Option<Base>) -> Vec<Continuation> {
        let mut call = self.unanswered(game);
        if let Some(base) = of {
            call.set_runner(base, self.runner(game, base));
        }
        game.continuations(&call, of)
    }

    /// The ways in which the runner on `base` can be out, the likeliest first.
    #[must_use]
    pub fn ways_out(&self, game: &Game, base: Base) -> Vec<RunnerFate> {
        game.ways_out(&self.unanswered(game), base)
    }

    /// The fates and nothing else, each choice in the likeliest way that fits
    /// with the others.
    fn unanswered(&self, game: &Game) -> Call {
        let mut call = Call::new(self.batter());
        call.hitter = self.hitter;
        let exact = |choice| match choice {
            RunnerChoice::Exactly(fate) => Some(fate),
            RunnerChoice::Holds => Some(RunnerFate::Holds),
            RunnerChoice::To(_) | RunnerChoice::Out => None,
        };
        for base in Base::ALL {
            call.set_runner(base, self.runners[base].and_then(exact));
        }
        for base in Base::ALL {
            let fate = match self.runners[base] {
                // Where none fits, the refusal of the commonest way says why.
                Some(RunnerChoice::Out) => {
                    let tagged = RunnerFate::Out {
                        at: Some(base.next()),
                        how: PutOut::Tagged,
                    };
                    let ways = game.ways_out(&call, base);
                    ways.first().copied().unwrap_or(tagged)
                }
                Some(RunnerChoice::To(goal)) => {
                    let there =
                        |f: &RunnerFate| matches!(f, RunnerFate::To { goal: g, .. } if *g == goal);
                    let ways = game.ways_safe(&call, base);
                    ways.into_iter().find(there).unwrap_or(RunnerFate::to(goal))
                }
                _ => continue,
            };
            call.set_runner(base, Some(fate));
        }
        call
    }
}

/// What followed, when the batter reached another base first: one base further
/// stays one base further, an out stays where it was if that is still ahead.
fn after_reaching(at: Goal, then: Continuation) -> Option<Continuation> {
    match then {
        Continuation::Base(further) if further.to <= at => {
            (at != Goal::Home).then_some(Continuation::Base(FurtherBase {
                to: at.next(),
                ..further
            }))
        }
        Continuation::Out(out) if out.at < at => None,
        stays => Some(stays),
    }
}

#[cfg(test)]
mod tests;
