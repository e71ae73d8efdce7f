//! What a play did, in plain words: one sentence a person.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::force::is_force;
use super::{Change, End, Fate, Game, Movement, Notice, Outcome, ResolvedCall, WarningRecipient};
use crate::message::isolated;
use crate::play::{BatterFate, Continuation, Goal, PutOut, RunnerFate};
use crate::team::BySide;

/// What followed when a base was reached, as the end of a sentence.
fn then_words(then: Continuation) -> String {
    match then {
        Continuation::Out(out) => format!(", then {}", out_words(Some(out.at), out.how)),
        Continuation::Base(further) => {
            let place = match further.to {
                Goal::Home => "home".into(),
                goal => format!("to {goal}"),
            };
            format!(", then {place}{}", further.on.clause())
        }
    }
}

fn out_words(at: Option<Goal>, how: PutOut) -> String {
    out_for(at, how.sentence())
}

fn out_for(at: Option<Goal>, why: &str) -> String {
    let place = at.map_or_else(String::new, |g| match g {
        Goal::Home => " at home".into(),
        _ => format!(" at {g}"),
    });
    format!("out{place}: {why}")
}

impl Movement {
    /// One plain sentence: who, what, and why if out.
    #[must_use]
    pub fn sentence(&self) -> String {
        let who = self.who;
        let late = if self.end == End::TooLate {
            "; the run does not count"
        } else {
            ""
        };
        if self.end == End::AtBat {
            return match self.fate {
                Fate::Batter(BatterFate::NoHit) => format!("No hit: {who} is still at bat."),
                _ => format!("The third out came before the hit: {who} bats first next time."),
            };
        }
        match self.fate {
            Fate::Batter(BatterFate::Safe {
                at: Goal::Home, on, ..
            }) => format!("{who} goes all the way home{}{late}.", on.clause()),
            Fate::Batter(BatterFate::Safe { at, on, then }) => {
                let then = then.map_or_else(String::new, then_words);
                format!("{who} is safe at {at}{}{then}{late}.", on.clause())
            }
            Fate::Batter(BatterFate::OutBeforeFirst(how)) => {
                format!("{who} is out: {}.", how.sentence())
            }
            Fate::Batter(BatterFate::NoHit) => format!("No hit: {who} is still at bat."),
            Fate::Batter(BatterFate::Caught) => {
                format!("{who} is out: the hit was caught before the ground.")
            }
            Fate::Batter(BatterFate::Illegal(act)) => {
                format!("{who} is out: {}.", act.sentence())
            }
            Fate::Runner(RunnerFate::Holds) => match self.from {
                Some(base) => format!("{who} stays on {base}."),
                None => format!("{who} stays."),
            },
            Fate::Runner(RunnerFate::To {
                goal,
                on,
                then: None,
            }) => match goal {
                Goal::Home if self.end == End::TooLate => {
                    format!("{who} is home too late{}{late}.", on.clause())
                }
                Goal::Home => format!("{who} scores{}.", on.clause()),
                _ => format!("{who} to {goal}{}.", on.clause()),
            },
            Fate::Runner(RunnerFate::To {
                goal,
                on,
                then: Some(then),
            }) => format!("{who} to {goal}{}{}{late}.", on.clause(), then_words(then)),
            Fate::Runner(RunnerFate::Out { at, how }) => {
                format!("{who} is {}.", out_words(at, how))
            }
        }
    }

    /// The same in a few words, for a button: "23 to 2nd".
    #[must_use]
    pub fn brief(&self) -> String {
        let who = self.who;
        match (self.end, self.from) {
            (End::Scored, _) => format!("{who} scores"),
            (End::TooLate, _) => format!("{who} home too late"),
            (End::Out, _) => format!("{who} out"),
            (End::On(base), Some(from)) if from == base => format!("{who} stays on {base}"),
            (End::On(base), Some(_)) => format!("{who} to {base}"),
            (End::On(base), None) => format!("{who} safe at {base}"),
            (End::AtBat, _) => "no hit".into(),
        }
    }
}

/// The parts of a play in a few words, batter first, those who stay left out.
fn brief_of(movements: &[Movement]) -> String {
    let moved = |m: &&Movement| !matches!((m.end, m.from), (End::On(b), Some(f)) if b == f);
    let parts: Vec<String> = movements
        .iter()
        .rev()
        .filter(moved)
        .map(Movement::brief)
        .collect();
    parts.join(", ")
}

impl ResolvedCall {
    /// What the call would do, in a few words: "24 safe at 1st, 23 to 2nd".
    #[must_use]
    pub fn brief(&self) -> String {
        brief_of(&self.movements)
    }
}

impl Outcome {
    /// The play in plain sentences, the batter first, whose error it was last.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let told = |at: usize| {
            let m = &self.movements[at];
            match m.fate {
                Fate::Runner(RunnerFate::Out {
                    at: place,
                    how: PutOut::Tagged | PutOut::Shared,
                }) if is_force(&self.movements, at) => {
                    format!(
                        "{} is {}.",
                        m.who,
                        out_for(place, "forced to run, tagged before the next base")
                    )
                }
                _ => m.sentence(),
            }
        };
        let people = (0..self.movements.len()).rev();
        let told = people.filter(|at| self.is_worth_telling(*at)).map(told);
        told.chain(self.errors_sentence()).collect()
    }

    /// Where runners got to when the sides change tells a reader nothing, but for
    /// a run that an out came before.
    fn is_worth_telling(&self, at: usize) -> bool {
        let m = &self.movements[at];
        let ran = m.from.is_some() && matches!(m.end, End::On(_) | End::TooLate);
        let close = m.end == End::TooLate && self.was_time_play();
        self.change != Change::Sides || !ran || close
    }

    /// Whether an out of the play was neither a force nor before first base, a
    /// catch or an illegal hit: then it had to be seen who was home before it.
    fn was_time_play(&self) -> bool {
        (0..self.movements.len()).any(|at| {
            let m = &self.movements[at];
            let further = match m.fate {
                Fate::Batter(BatterFate::Safe { .. }) => true,
                Fate::Batter(_) => false,
                Fate::Runner(fate) => !fate.left_early() && !is_force(&self.movements, at),
            };
            m.end == End::Out && further
        })
    }

    /// The play in a few words.
    #[must_use]
    pub fn brief(&self) -> String {
        brief_of(&self.movements)
    }
}

impl Notice {
    /// One plain sentence; `names` are the two teams'.
    #[must_use]
    pub fn sentence(&self, names: &BySide<&str>) -> String {
        let names = BySide::from_fn(|side| isolated(names[side]));
        match self {
            Self::Substitution { side, out, by } => {
                format!("{}: {by} comes in for {out}.", names[*side])
            }
            Self::Ejection { side, who, by } => match by {
                Some(by) => format!("{}: {who} is sent off, {by} comes in.", names[*side]),
                None => format!("{}: {who} is sent off.", names[*side]),
            },
            Self::Injury { side, who, by } => match by {
                Some(by) => format!("{}: {who} leaves injured, {by} comes in.", names[*side]),
                None => format!("{}: {who} leaves injured.", names[*side]),
            },
            Self::TimeOut { side } => format!("Time-out, {}.", names[*side]),
            Self::Warning { side, to, text } => {
                let whom = match to {
                    WarningRecipient::Player(who) => who.to_string(),
                    WarningRecipient::Bench => "the bench".into(),
                    WarningRecipient::Coach => "the coach".into(),
                };
                format!("Warning to {whom} of {}{}", names[*side], told(text))
            }
            Self::Protest { side, text } => format!("{} protests{}", names[*side], told(text)),
            Self::Hold(why) => format!("The game is stopped: {}.", why.reason()),
            Self::Resume => "The game goes on.".into(),
            Self::CourtesyRunner { by } => format!("{by} runs for the batter due."),
            Self::Forfeit { side, text } => format!("{} forfeits{}", names[*side], told(text)),
            Self::Defence { side, .. } => format!("{} changes positions.", names[*side]),
            Self::Remark { text } => text.clone(),
            Self::CoachEjection { side, name } if name.trim().is_empty() => {
                format!("{}: the coach is sent off.", names[*side])
            }
            Self::CoachEjection { side, name } => {
                format!("{}: {} (coach) is sent off.", names[*side], name.trim())
            }
            Self::NoPlay { text } => {
                format!("No play, the batter hits again{}", told(text))
            }
            Self::GameCalled { why, text } => {
                format!("The umpire calls the game because of {}{}", why, told(text))
            }
            Self::ForfeitBoth { text } => format!("Both sides forfeit{}", told(text)),
            Self::Renumber { side, from, to } => {
                format!("{}: number {from} on the card is {to}.", names[*side])
            }
            Self::Reserve { side, player } => {
                format!("{}: {} comes as a reserve.", names[*side], player.shirt)
            }
        }
    }
}

/// A reason after a colon, or the end of the sentence.
fn told(text: &str) -> String {
    let text = text.trim().trim_end_matches('.');
    if text.is_empty() {
        ".".into()
    } else {
        format!(": {text}.")
    }
}

impl Game {
    /// The half-inning in words: "Top of 3rd".
    #[must_use]
    pub fn inning_words(&self) -> String {
        crate::play::half_inning(self.inning(), self.at_bat())
    }
}
