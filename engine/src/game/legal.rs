//! The legal calls, listed.
//!
//! The list is built up from the batter to the lead runner, each person only
//! ever offered what the people behind leave open. It shares no code with the
//! judging of a call, so that a law can hold the two equal.

use alloc::vec::Vec;

use super::{Game, Stage};
use crate::play::{
    Advance, Base, BatterFate, Call, Continuation, FurtherBase, Goal, IllegalAct, PutOut, Reach,
    RunnerFate, TrailingOut,
};
use crate::rules::{LeftEarly, OUTS_PER_TURN};

/// How far the list has got, from the batter forward.
#[derive(Clone)]
struct Draft {
    call: Call,
    /// Those ahead must end at this number or further.
    least: u8,
    outs: u8,
    /// Outs that came before the hit.
    early: u8,
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

/// Every way to be safe at one base and out at it or trying for a further one.
fn stretches() -> impl Iterator<Item = (Goal, TrailingOut)> {
    let reached = [Goal::First, Goal::Second, Goal::Third];
    reached.into_iter().flat_map(|n| {
        let at_least = Goal::ALL.into_iter().filter(move |m| *m >= n);
        at_least.map(move |at| {
            let how = PutOut::Tagged;
            (n, TrailingOut { at, how })
        })
    })
}

/// Every way to reach one base and to go on to a further one.
fn errors_after() -> impl Iterator<Item = (Goal, FurtherBase)> {
    Goal::ALL.into_iter().flat_map(|n| {
        let beyond = Goal::ALL.into_iter().filter(move |m| *m > n);
        beyond.map(move |to| {
            let on = Advance::Error;
            (n, FurtherBase { to, on })
        })
    })
}

impl Game {
    /// Every legal call by shape: each fate given explicitly, clean hits, tags,
    /// forces and appeals, a bounce in the no-hit zone for every illegal act, an
    /// error for every further base. The reasons that only colour a call (error,
    /// choice, throw, award, the rarer ways of being put out) are left out, and
    /// who hit out of turn; see [`Game::resolve`] for any call.
    #[must_use]
    pub fn legal_calls(&self) -> Vec<Call> {
        if self.stage != Stage::Playing || self.needs_courtesy_runner() || self.is_short() {
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
        self.outs + draft.outs < OUTS_PER_TURN
    }

    fn batter_drafts(&self) -> Vec<Draft> {
        let blank = |fate| Draft {
            call: Call::new(fate),
            least: 0,
            outs: 0,
            early: 0,
            home: 0,
            home_ahead: None,
        };
        let hit = |at, then| BatterFate::Safe {
            at,
            on: Reach::Hit,
            then,
        };
        let safe = Goal::ALL
            .into_iter()
            .map(|at| blank(BatterFate::safe(at)).safe(at));
        let further = errors_after().map(|(at, further)| {
            let then = Some(Continuation::Base(further));
            blank(hit(at, then)).safe(further.to)
        });
        let stretched = stretches().map(|(at, out)| {
            let then = Some(Continuation::Out(out));
            blank(hit(at, then)).out(out.at.number(), true)
        });
        let outs = [
            BatterFate::OUT,
            BatterFate::Caught,
            BatterFate::Illegal(IllegalAct::NoHitZone),
        ];
        safe.chain(further)
            .chain(stretched)
            .chain(outs.into_iter().map(|f| blank(f).out(0, false)))
            .chain([blank(BatterFate::NoHit)])
            .collect()
    }

    fn runner_drafts(&self, draft: &Draft, base: Base) -> Vec<Draft> {
        let own = base.goal();
        let batter = draft.call.batter;
        let mut list = Vec::new();
        if own.number() >= draft.least {
            list.push(draft.safe(own).with(base, RunnerFate::Holds));
        }
        let dead = matches!(batter, BatterFate::Illegal(_) | BatterFate::NoHit);
        let stops = **self.edition().left_early() == LeftEarly::Dead;
        let out = |at, how| RunnerFate::Out { at, how };
        if self.room(draft) && (batter == BatterFate::NoHit || !stops) {
            let mut early = draft.out(0, false);
            early.early += 1;
            list.push(early.with(base, out(None, PutOut::LeftEarly)));
        }
        if dead {
            return list;
        }
        let to = |goal, then| RunnerFate::To {
            goal,
            on: Advance::Hit,
            then,
        };
        for goal in Goal::ALL.into_iter().filter(|g| *g > own) {
            if goal.number() >= draft.least {
                list.push(draft.safe(goal).with(base, to(goal, None)));
            }
            for (_, further) in errors_after().filter(|(n, _)| *n == goal) {
                if further.to.number() >= draft.least {
                    let then = Some(Continuation::Base(further));
                    list.push(draft.safe(further.to).with(base, to(goal, then)));
                }
            }
        }
        if !self.room(draft) {
            return list;
        }
        list.extend(stretches().filter(|(n, _)| *n > own).map(|(goal, then)| {
            let fate = to(goal, Some(Continuation::Out(then)));
            draft.out(then.at.number(), true).with(base, fate)
        }));
        let mut behind = Base::ALL.iter().filter(|b| **b < base);
        let taken = |b: &Base| {
            let early = Some(out(None, PutOut::LeftEarly));
            self.bases[*b].is_some() && draft.call.runners()[*b] != early
        };
        let had_to = batter != BatterFate::Caught && behind.all(taken);
        // Short of the next base a tag is a force, while all behind are safe.
        let still_had_to = had_to && draft.outs == 0;
        list.extend(Goal::ALL.into_iter().filter(|g| *g >= own).map(|g| {
            let timed = !still_had_to || g > base.next();
            draft
                .out(g.number(), timed)
                .with(base, out(Some(g), PutOut::Tagged))
        }));
        // An appeal at the base forced to is a force, whoever else is out.
        list.extend(Goal::ALL.into_iter().filter(|g| *g > own).map(|g| {
            let timed = !had_to || g > base.next();
            draft
                .out(g.number(), timed)
                .with(base, out(Some(g), PutOut::Missed))
        }));
        if Base::ALL
            .iter()
            .any(|b| *b > base && self.bases[*b].is_some())
        {
            let passed = draft.out(0, true);
            list.push(passed.with(base, out(None, PutOut::Passed)));
        }
        let batter_came = matches!(batter, BatterFate::Safe { .. });
        if batter_came || self.on_base() > 1 {
            let shared = draft.out(0, !still_had_to);
            list.push(shared.with(base, out(None, PutOut::Shared)));
        }
        if batter == BatterFate::Caught {
            let back = draft.out(own.number(), true);
            list.push(back.with(base, out(Some(own), PutOut::NotBack)));
        } else if had_to {
            let next = base.next();
            let forced = draft.out(next.number(), false);
            list.push(forced.with(base, out(Some(next), PutOut::Forced)));
        }
        list
    }

    /// The call once, or once for each answer to "how many were home first?".
    fn answered(&self, draft: &Draft) -> Vec<Call> {
        let third = self.outs + draft.outs == OUTS_PER_TURN;
        let before_the_hit = self.outs + draft.early == OUTS_PER_TURN;
        match draft.home_ahead {
            Some(most) if third && !before_the_hit && most > 0 => (0..=most)
                .map(|n| draft.call.clone().with_home_first(n))
                .collect(),
            _ => alloc::vec![draft.call.clone()],
        }
    }
}
