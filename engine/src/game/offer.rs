//! What a calling screen may offer: the fates that fit a draft of a call.

use alloc::vec::Vec;

use super::{Game, PlayObjection};
use crate::play::{
    Advance, Base, BatterFate, Call, Goal, IllegalAct, PutOut, Reach, RunnerFate, TrailingOut,
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
        let rare = PutOut::ALL
            .into_iter()
            .filter(|how| !matches!(how, PutOut::Forced | PutOut::Tagged | PutOut::NotBack));
        ways.extend(rare.map(|how| out(None, how)));
        let fits = |fate: &RunnerFate| {
            let mut call = draft.clone();
            call.set_runner(base, Some(*fate));
            self.fits(&call)
        };
        ways.into_iter().filter(fits).collect()
    }

    /// The ways in which someone safe at `reached` can be put out further on.
    #[must_use]
    pub fn ways_out_after(reached: Goal) -> Vec<TrailingOut> {
        let onward = Goal::ALL.into_iter().filter(|g| *g > reached);
        let tags = onward.clone().map(|at| TrailingOut {
            at,
            how: PutOut::Tagged,
        });
        let rare = [
            PutOut::Passed,
            PutOut::Shared,
            PutOut::Collision,
            PutOut::Interference,
            PutOut::Other,
        ];
        let next = onward
            .take(1)
            .flat_map(move |at| rare.map(|how| TrailingOut { at, how }));
        tags.chain(next).collect()
    }

    /// The bases that the runner on `base` can end on or reach in this draft,
    /// the runner's own included when holding fits.
    #[must_use]
    pub fn ways_safe(&self, draft: &Call, base: Base) -> Vec<RunnerFate> {
        let on = match draft.batter {
            BatterFate::Illegal(_) => Advance::Award,
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
        let all = [Reach::Hit, Reach::Error, Reach::Choice];
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
