//! What a play did, in plain words: one sentence a person.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::force::is_force;
use super::{Change, End, Fate, Game, Hold, Movement, Notice, Outcome, Resolved};
use crate::play::{
    Advance, BatterFate, Goal, PutOut, Reach, RunnerFate, act_sentence, put_out_sentence,
};
use crate::team::BySide;

fn advance_words(on: Advance) -> &'static str {
    match on {
        Advance::Hit => "",
        Advance::Throw => " on a throw out of play",
        Advance::Error => " on an error",
        Advance::Award => ", given by the umpire",
    }
}

fn reach_words(on: Reach) -> &'static str {
    match on {
        Reach::Hit => "",
        Reach::Error => " on an error",
        Reach::Choice => " on a fielder's choice",
    }
}

fn goal_words(goal: Goal) -> String {
    match goal {
        Goal::Home => "home".into(),
        _ => format!("at {goal}"),
    }
}

fn out_words(at: Option<Goal>, how: PutOut) -> String {
    out_for(at, put_out_sentence(how))
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
        match self.fate {
            Fate::Batter(BatterFate::Safe { at, on, then: None }) => match at {
                Goal::Home => format!("{who} goes all the way home{}{late}.", reach_words(on)),
                _ => format!("{who} is safe at {at}{}.", reach_words(on)),
            },
            Fate::Batter(BatterFate::Safe {
                at,
                on,
                then: Some(then),
            }) => format!(
                "{who} is safe {}{}, then {}.",
                goal_words(at),
                reach_words(on),
                out_words(Some(then.at), then.how)
            ),
            Fate::Batter(BatterFate::OutBeforeFirst) => {
                format!("{who} is out: first base was touched with the ball before the batter.")
            }
            Fate::Batter(BatterFate::Caught) => {
                format!("{who} is out: the hit was caught before the ground.")
            }
            Fate::Batter(BatterFate::Illegal(act)) => {
                format!("{who} is out: {}.", act_sentence(act))
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
                    format!("{who} is home too late{}{late}.", advance_words(on))
                }
                Goal::Home => format!("{who} scores{}.", advance_words(on)),
                _ => format!("{who} to {goal}{}.", advance_words(on)),
            },
            Fate::Runner(RunnerFate::To {
                goal,
                on,
                then: Some(then),
            }) => format!(
                "{who} to {goal}{}, then {}.",
                advance_words(on),
                out_words(Some(then.at), then.how)
            ),
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

impl Resolved {
    /// What the call would do, in a few words: "24 safe at 1st, 23 to 2nd".
    #[must_use]
    pub fn brief(&self) -> String {
        brief_of(&self.movements)
    }
}

impl Outcome {
    /// The play in plain sentences, the batter first.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let told = |at: usize| {
            let m = &self.movements[at];
            match m.fate {
                Fate::Runner(RunnerFate::Out {
                    at: place,
                    how: PutOut::Tagged,
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
        (0..self.movements.len()).rev().map(told).collect()
    }

    /// The play in a few words.
    #[must_use]
    pub fn brief(&self) -> String {
        brief_of(&self.movements)
    }

    /// What follows, in a sentence, when the turn at bat or the game is over.
    #[must_use]
    pub fn change_sentence(&self) -> Option<String> {
        match self.change {
            Change::NextBatter => None,
            Change::Sides => Some("Three out: change sides.".into()),
            Change::Over(ending) => Some(format!("The game is over. {ending}")),
        }
    }
}

impl Notice {
    /// One plain sentence; `names` are the two teams'.
    #[must_use]
    pub fn sentence(&self, names: &BySide<&str>) -> String {
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
            Self::Warning {
                side,
                who: Some(who),
                text,
            } => {
                format!("Warning to {who} of {}{}", names[*side], told(text))
            }
            Self::Warning {
                side,
                who: None,
                text,
            } => {
                format!("Warning to the bench of {}{}", names[*side], told(text))
            }
            Self::Protest { side, text } => format!("{} protests{}", names[*side], told(text)),
            Self::Hold(why) => format!("The game is stopped: {}.", hold_words(*why)),
            Self::Resume => "The game goes on.".into(),
            Self::StandIn { by } => {
                format!("{by} takes third base for the batter due.")
            }
            Self::Forfeit { side, text } => format!("{} forfeits{}", names[*side], told(text)),
            Self::Defence { side, .. } => format!("{} changes positions.", names[*side]),
            Self::Remark { text } => text.clone(),
        }
    }
}

/// Why a game is stopped, in words.
fn hold_words(why: Hold) -> &'static str {
    match why {
        Hold::Weather => "weather",
        Hold::Lightning => "thunder or lightning",
        Hold::Heat => "heat",
        Hold::Other => "the umpire's decision",
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
