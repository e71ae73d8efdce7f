//! What a call comes to, in the few words that fit on a button.

use alloc::string::String;
use alloc::vec::Vec;

use super::{Change, End, Fate, Movement, Outcome};
use crate::message::text;
use crate::play::{Advance, BatterFate, BeforeFirst, Continuation, PutOut, Reach, RunnerFate};

impl Outcome {
    /// The batter, the outs, the runs, whose error it was and what follows:
    /// "24 safe at 1st, 1 run", "2 outs, no run, change sides".
    ///
    /// Who of the runners went where is left out: the lanes say it.
    #[must_use]
    pub fn consequence(&self) -> String {
        let mut parts = Vec::new();
        let out = |m: &&Movement| m.end == End::Out;
        if self.outs > 1 {
            parts.push(text!("consequence-outs", outs = self.outs));
        } else {
            parts.extend(self.movements.iter().find(out).map(out_words));
        }
        let batter = self.movements.last().filter(|m| m.end != End::Out);
        parts.extend(batter.map(batter_words));
        let late = self.movements.iter().any(|m| m.end == End::TooLate);
        match self.runs {
            0 if late || self.outs > 1 => parts.push(text!("consequence-no-run")),
            0 => {}
            runs => parts.push(text!("consequence-runs", runs)),
        }
        match self.scoring.errors.as_slice() {
            [] if self.movements.iter().any(|m| on_error(m.fate)) => {
                parts.push(text!("consequence-on-an-error"))
            }
            [] => {}
            [who] => parts.push(text!("consequence-error-by", who)),
            several => parts.push(text!("consequence-errors", errors = several.len())),
        }
        match self.change {
            Change::NextBatter => {}
            Change::Sides => parts.push(text!("consequence-change-sides")),
            Change::Over(_) => parts.push(text!("consequence-game-over")),
        }
        parts.join(", ")
    }
}

/// "24 safe at 1st", "24 safe at 1st, to 2nd", "24 scores".
fn batter_words(m: &Movement) -> String {
    match m.fate {
        Fate::Batter(BatterFate::Safe {
            at,
            then: Some(Continuation::Base(further)),
            ..
        }) => text!("consequence-safe", who = m.who, at, to = further.to),
        _ => m.brief(),
    }
}

/// "24 out", with the reason where nobody had to say it.
fn out_words(m: &Movement) -> String {
    let why = match m.fate {
        Fate::Batter(BatterFate::Illegal(act)) => act.word(),
        Fate::Batter(BatterFate::OutBeforeFirst(how)) if how != BeforeFirst::Base => how.word(),
        Fate::Runner(RunnerFate::Out { how, .. }) if rare(how) => how.word(),
        _ => return m.brief(),
    };
    text!("consequence-out", who = m.who, why)
}

const fn rare(how: PutOut) -> bool {
    !matches!(how, PutOut::Forced | PutOut::Tagged)
}

fn on_error(fate: Fate) -> bool {
    let (first, then) = match fate {
        Fate::Batter(BatterFate::Safe { on, then, .. }) => (on == Reach::Error, then),
        Fate::Runner(RunnerFate::To { on, then, .. }) => (on == Advance::Error, then),
        Fate::Batter(_) | Fate::Runner(_) => return false,
    };
    first
        || then
            .and_then(Continuation::base)
            .is_some_and(|further| further.on == Advance::Error)
}
