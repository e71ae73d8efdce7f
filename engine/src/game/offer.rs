//! What a calling screen may offer: the fates that fit a draft of a call.

use alloc::vec::Vec;

use super::{Game, PlayObjection};
use crate::play::{
    Advance, Base, BatterFate, BeforeFirst, Call, Continuation, FurtherBase, Goal, IllegalAct,
    PutOut, Reach, RunnerFate, TrailingOut,
};

impl Game {
    /// Whether a draft fits, the question of who was home first apart.
    #[must_use]
    pub fn fits(&self, draft: &Call) -> bool {
        match self.resolve(&Call {
            home_first: None,
            ..draft.clone()
        }) {
            Ok(_) | Err(PlayObjection::RunsUnanswered { .. }) => true,
            Err(_) => false,
        }
    }

    /// The ways in which the runner on `base` can be out in this draft, the
    /// likeliest first: forced at the next base, tagged there, tagged further
    /// on or going back, then the rare ones.
    #[must_use]
    pub fn ways_out(&self, draft: &Call, base: Base) -> Vec<RunnerFate> {
        let out = |at, how| RunnerFate::Out { at, how };
        let onward = Goal::ALL.into_iter().filter(|g| *g >= base.next());
        let mut ways = alloc::vec![out(Some(base.next()), PutOut::Forced)];
        if draft.batter == BatterFate::Caught {
            ways.insert(0, out(Some(base.goal()), PutOut::NotBack));
        }
        ways.extend(onward.map(|g| out(Some(g), PutOut::Tagged)));
        ways.push(out(Some(base.goal()), PutOut::Tagged));
        let rare = PutOut::ALL.into_iter().filter(|how| {
            !matches!(
                how,
                PutOut::Forced | PutOut::Tagged | PutOut::NotBack | PutOut::Missed
            )
        });
        ways.extend(rare.map(|how| out(None, how)));
        let missed = Goal::ALL.into_iter().filter(|g| *g >= base.next());
        ways.extend(missed.map(|g| out(Some(g), PutOut::Missed)));
        let fits = |fate: &RunnerFate| {
            let mut call = draft.clone();
            call.set_runner(base, Some(*fate));
            self.fits(&call)
        };
        ways.into_iter().filter(fits).collect()
    }

    /// The ways in which someone safe at `reached` can be put out afterwards: at
    /// a base further on, the likeliest first, or at the one reached.
    #[must_use]
    pub fn ways_out_after(reached: Goal) -> Vec<TrailingOut> {
        if reached == Goal::Home {
            return Vec::new();
        }
        let onward = Goal::ALL.into_iter().filter(|g| *g > reached);
        let tagged = |at| TrailingOut {
            at,
            how: PutOut::Tagged,
        };
        let tags = onward.clone().map(tagged);
        let here = core::iter::once(tagged(reached));
        let rare = [
            PutOut::Passed,
            PutOut::Shared,
            PutOut::Collision,
            PutOut::Interference,
            PutOut::Other,
            PutOut::Missed,
        ];
        let next = onward
            .take(1)
            .flat_map(move |at| rare.map(|how| TrailingOut { at, how }));
        tags.chain(here).chain(next).collect()
    }

    /// The further bases that someone safe at `reached` can have gone on to for
    /// another reason, the likeliest first: the next base on an error.
    #[must_use]
    pub fn ways_further(reached: Goal) -> Vec<FurtherBase> {
        let onward = Goal::ALL.into_iter().filter(|g| *g > reached);
        let reasons = [Advance::Error, Advance::Throw, Advance::Award];
        onward
            .flat_map(|to| reasons.map(|on| FurtherBase { to, on }))
            .collect()
    }

    /// What may follow for someone safe in this draft: the continuations of the
    /// batter's fate (`None`) or of the runner's on a base that fit.
    #[must_use]
    pub fn continuations(&self, draft: &Call, of: Option<Base>) -> Vec<Continuation> {
        let with = |then| {
            let mut call = draft.clone();
            match (of, of.and_then(|b| call.runners()[b])) {
                (Some(base), Some(RunnerFate::To { goal, on, .. })) => {
                    let then = Some(then);
                    call.set_runner(base, Some(RunnerFate::To { goal, on, then }));
                    Some(call)
                }
                (None, _) => match call.batter {
                    BatterFate::Safe { at, on, .. } => {
                        let then = Some(then);
                        call.batter = BatterFate::Safe { at, on, then };
                        Some(call)
                    }
                    _ => None,
                },
                _ => None,
            }
        };
        let reached = match (of, draft.batter) {
            (None, BatterFate::Safe { at, .. }) => Some(at),
            (None, _) => None,
            (Some(base), _) => match draft.runners()[base] {
                Some(RunnerFate::To { goal, .. }) => Some(goal),
                _ => None,
            },
        };
        let Some(reached) = reached else {
            return Vec::new();
        };
        let outs = Self::ways_out_after(reached)
            .into_iter()
            .map(Continuation::Out);
        let bases = Self::ways_further(reached)
            .into_iter()
            .map(Continuation::Base);
        let fits = |then: &Continuation| with(*then).is_some_and(|call| self.fits(&call));
        bases.chain(outs).filter(fits).collect()
    }

    /// How the batter can be put out before first base.
    #[must_use]
    pub const fn ways_before_first() -> [BeforeFirst; 5] {
        BeforeFirst::ALL
    }

    /// The bases that the runner on `base` can end on or reach in this draft,
    /// the runner's own included when holding fits.
    #[must_use]
    pub fn ways_safe(&self, draft: &Call, base: Base) -> Vec<RunnerFate> {
        let on = match draft.batter {
            BatterFate::Illegal(_)
            | BatterFate::NoHit
            | BatterFate::Safe {
                on: Reach::Award, ..
            } => Advance::Award,
            _ => Advance::Hit,
        };
        let further = Goal::ALL.into_iter().filter(|g| *g > base.goal());
        let to = further.map(|goal| RunnerFate::To {
            goal,
            on,
            then: None,
        });
        let fits = |fate: &RunnerFate| {
            let mut call = draft.clone();
            call.set_runner(base, Some(*fate));
            self.fits(&call)
        };
        core::iter::once(RunnerFate::Holds)
            .chain(to)
            .filter(fits)
            .collect()
    }

    /// How the batter may be said to have come on base now.
    #[must_use]
    pub fn reaches(&self) -> Vec<Reach> {
        let all = [Reach::Hit, Reach::Error, Reach::Choice, Reach::Award];
        all.into_iter()
            .filter(|r| *r != Reach::Choice || self.on_base() > 0)
            .collect()
    }

    /// The illegal acts that put the batter out in this edition.
    #[must_use]
    pub fn illegal_acts(&self) -> Vec<IllegalAct> {
        let out = |act: &IllegalAct| {
            *act != IllegalAct::Turn
                || **self.edition().out_of_turn() == crate::rules::OutOfTurn::DueOut
        };
        IllegalAct::ALL.into_iter().filter(out).collect()
    }
}
