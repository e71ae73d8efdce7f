//! The legal calls, listed.
//!
//! The list is built up from the batter to the lead runner, each person only
//! ever offered what the people behind leave open. It shares no code with the
//! judging of a call, so that a law can hold the two equal.

use alloc::vec::Vec;

use super::{Game, Stage};
use crate::play::{Base, BatterFate, Call, Goal, IllegalAct, PutOut, RunnerFate, TrailingOut};

/// How far the list has got, from the batter forward.
#[derive(Clone)]
struct Draft {
    call: Call,
    /// Those ahead must end at this number or further.
    least: u8,
    outs: u8,
    /// People home so far, with the outs that are not a force behind them.
    home: u8,
    /// People home ahead of the rearmost out that is not a force.
    home_ahead: Option<u8>,
}

impl Draft {
    fn safe(&self, end: Goal) -> Self {
        let mut next = self.clone();
        next.least = (end.number() + 1).min(4);
        if end == Goal::Home {
            next.home += 1;
            next.home_ahead = next.home_ahead.map(|h| h + 1);
        }
        next
    }

    fn out(&self, reached: u8, timed: bool) -> Self {
        let mut next = self.clone();
        next.least = next.least.max(reached);
        next.outs += 1;
        if timed && next.home_ahead.is_none() {
            next.home_ahead = Some(0);
        }
        next
    }

    fn with(mut self, base: Base, fate: RunnerFate) -> Self {
        self.call.set_runner(base, Some(fate));
        self
    }
}

const TAGGED: fn(Goal) -> TrailingOut = |at| TrailingOut {
    at,
    how: PutOut::Tagged,
};

/// Every way to be safe at one base and out trying for a further one.
fn stretches() -> impl Iterator<Item = (Goal, TrailingOut)> {
    Goal::ALL.into_iter().flat_map(|n| {
        Goal::ALL
            .into_iter()
            .filter(move |m| *m > n)
            .map(move |m| (n, TAGGED(m)))
    })
}

impl Game {
    /// Every legal call by shape: each fate given explicitly, clean hits, tags
    /// and forces only, a bounce in the no-hit zone for every illegal act. The
    /// reasons that only colour a call (error, choice, throw, award, how a
    /// runner was put out) are left out; see [`Game::resolve`] for any call.
    #[must_use]
    pub fn legal_calls(&self) -> Vec<Call> {
        if self.stage != Stage::Playing || self.needs_stand_in() {
            return Vec::new();
        }
        let mut drafts = self.batter_drafts();
        for base in Base::ALL.into_iter().filter(|b| self.bases[*b].is_some()) {
            drafts = drafts
                .iter()
                .flat_map(|d| self.runner_drafts(d, base))
                .collect();
        }
        drafts.iter().flat_map(|d| self.answered(d)).collect()
    }

    fn room(&self, draft: &Draft) -> bool {
        self.outs + draft.outs < crate::rules::OUTS_PER_TURN
    }

    fn batter_drafts(&self) -> Vec<Draft> {
        let blank = |fate| Draft {
            call: Call::new(fate),
            least: 0,
            outs: 0,
            home: 0,
            home_ahead: None,
        };
        let safe = Goal::ALL
            .into_iter()
            .map(|at| blank(BatterFate::safe(at)).safe(at));
        let stretched = stretches().map(|(at, then)| {
            let fate = BatterFate::Safe {
                at,
                on: crate::play::Reach::Hit,
                then: Some(then),
            };
            blank(fate).out(then.at.number(), true)
        });
        let outs = [
            BatterFate::OutBeforeFirst,
            BatterFate::Caught,
            BatterFate::Illegal(IllegalAct::NoHitZone),
        ];
        safe.chain(stretched)
            .chain(outs.into_iter().map(|f| blank(f).out(0, false)))
            .collect()
    }

    fn runner_drafts(&self, draft: &Draft, base: Base) -> Vec<Draft> {
        let own = base.goal();
        let batter = draft.call.batter;
        let mut list = Vec::new();
        if own.number() >= draft.least {
            list.push(draft.safe(own).with(base, RunnerFate::Holds));
        }
        if matches!(batter, BatterFate::Illegal(_)) {
            return list;
        }
        let further = Goal::ALL.into_iter().filter(|g| *g > own);
        list.extend(
            further
                .clone()
                .filter(|g| g.number() >= draft.least)
                .map(|g| draft.safe(g).with(base, RunnerFate::to(g))),
        );
        if !self.room(draft) {
            return list;
        }
        list.extend(stretches().filter(|(n, _)| *n > own).map(|(goal, then)| {
            let fate = RunnerFate::To {
                goal,
                on: crate::play::Advance::Hit,
                then: Some(then),
            };
            draft.out(then.at.number(), true).with(base, fate)
        }));
        let out = |at, how| RunnerFate::Out { at: Some(at), how };
        let mut behind = Base::ALL.iter().filter(|b| **b < base);
        let had_to = batter != BatterFate::Caught && behind.all(|b| self.bases[*b].is_some());
        // Short of the next base a tag is a force, while all behind are safe.
        let still_had_to = had_to && draft.outs == 0;
        list.extend(Goal::ALL.into_iter().filter(|g| *g >= own).map(|g| {
            let timed = !still_had_to || g > base.next();
            draft
                .out(g.number(), timed)
                .with(base, out(g, PutOut::Tagged))
        }));
        if batter == BatterFate::Caught {
            let back = draft.out(own.number(), true);
            list.push(back.with(base, out(own, PutOut::NotBack)));
        } else if had_to {
            let next = base.next();
            let forced = draft.out(next.number(), false);
            list.push(forced.with(base, out(next, PutOut::Forced)));
        }
        list
    }

    /// The call once, or once for each answer to "how many were home first?".
    fn answered(&self, draft: &Draft) -> Vec<Call> {
        let third = self.outs + draft.outs == crate::rules::OUTS_PER_TURN;
        match draft.home_ahead {
            Some(most) if third && most > 0 => (0..=most)
                .map(|n| draft.call.clone().home_first(n))
                .collect(),
            _ => alloc::vec![draft.call.clone()],
        }
    }
}
