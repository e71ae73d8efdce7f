//! The batter due stands on base: who runs for them.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Game, NoticeObjection, Runner};
use crate::message::{Attribute, text};
use crate::play::Base;
use crate::rules::LoadedRunner;
use crate::team::{Shirt, Side, SubObjection};

impl Game {
    /// Who may run for the batter due, when that is needed; never empty then.
    ///
    /// As the edition says. Where it leaves nobody, as with no reserve on the
    /// card, the other of its choices; where that leaves nobody either, any of
    /// the five who is not on base: the game must go on. Source: from memory,
    /// a policy.
    #[must_use]
    pub fn courtesy_runners(&self) -> Vec<Shirt> {
        self.runners_for_due().0
    }

    /// Who runs for the batter due, in a sentence, when that is needed.
    #[must_use]
    pub fn courtesy_runner_sentence(&self) -> Option<String> {
        self.needs_courtesy_runner()
            .then(|| self.runners_for_due().1)
    }

    fn runners_for_due(&self) -> (Vec<Shirt>, String) {
        if !self.needs_courtesy_runner() {
            return Default::default();
        }
        let policy = **self.edition().loaded_runner();
        let squad = &self.squads[self.at_bat];
        let on_base = |who: Shirt| {
            let mut bases = Base::ALL.iter();
            bases.any(|b| self.bases[*b].is_some_and(|r| r.shirt == who))
        };
        let last: Vec<Shirt> = self.last_out.filter(|n| !on_base(*n)).into_iter().collect();
        let bench = squad.members().iter().map(|m| m.shirt);
        let bench: Vec<Shirt> = bench
            .filter(|n| squad.is_reserve(*n, self.edition()) && !on_base(*n))
            .collect();
        let (chosen, other, instead) = match policy {
            LoadedRunner::Either => ([last, bench].concat(), Vec::new(), policy),
            LoadedRunner::LastOut => (last, bench, LoadedRunner::Reserve),
            LoadedRunner::Reserve => (bench, last, LoadedRunner::LastOut),
        };
        let meaning = |it| Attribute(it, "meaning", LoadedRunner::meaning(*it));
        let who = meaning(&policy);
        if !chosen.is_empty() {
            return (chosen, text!("courtesy-runner-is", who));
        }
        if !other.is_empty() {
            let instead = meaning(&instead);
            return (other, text!("courtesy-runner-instead", who, instead));
        }
        let five = crate::team::Place::ALL.map(|p| squad.at(p));
        let free = five.into_iter().filter(|n| !on_base(*n)).collect();
        (free, text!("courtesy-runner-any", who))
    }

    pub(super) fn courtesy_runner(&mut self, by: Shirt) -> Result<(), NoticeObjection> {
        if !self.needs_courtesy_runner() {
            return Err(NoticeObjection::CourtesyRunnerNotNeeded);
        }
        let (may, rule) = self.runners_for_due();
        if !may.contains(&by) {
            return Err(NoticeObjection::CourtesyRunnerNotAllowed { by, rule, may });
        }
        let due = self.due();
        for runner in self.bases.0.iter_mut().flatten() {
            if runner.shirt == due {
                *runner = Runner {
                    shirt: by,
                    stands_in_for: Some(due),
                };
            }
        }
        Ok(())
    }

    /// A reserve who runs for the batter due is busy until the play is over.
    pub(super) fn not_standing_in(&self, side: Side, by: Shirt) -> Result<(), NoticeObjection> {
        match self.standing_in(side, by) {
            None => Ok(()),
            Some(_) => {
                let why = SubObjection::OnBase(by);
                Err(NoticeObjection::Substitution { side, why })
            }
        }
    }

    /// Takes a reserve off the base held for the batter due, who stands there
    /// again until somebody else runs: an injury does not wait for the play.
    pub(super) fn call_back(&mut self, side: Side, who: Shirt) -> Result<(), NoticeObjection> {
        let Some(base) = self.standing_in(side, who) else {
            return Ok(());
        };
        let due = self.due();
        // After a play that did not fit the batter may have batted meanwhile.
        if self.bases[base].and_then(|r| r.stands_in_for) != Some(due) {
            return self.not_standing_in(side, who);
        }
        self.bases[base] = Some(Runner {
            shirt: due,
            stands_in_for: None,
        });
        Ok(())
    }

    /// The base that a reserve holds for the batter due.
    fn standing_in(&self, side: Side, who: Shirt) -> Option<Base> {
        let reserve = side == self.at_bat && self.squads[side].place_of(who).is_none();
        let holds =
            |b: &Base| self.bases[*b].is_some_and(|r| r.shirt == who && r.stands_in_for.is_some());
        Base::ALL.into_iter().find(holds).filter(|_| reserve)
    }
}

/// "26", "26 or 27", "26, 27 or 28".
pub(super) fn one_of(shirts: &[Shirt]) -> String {
    match shirts {
        [] => text!("one-of-none"),
        [one] => one.to_string(),
        [rest @ .., last] => {
            let rest: Vec<String> = rest.iter().map(ToString::to_string).collect();
            text!("one-of", rest = rest.join(", "), last)
        }
    }
}
