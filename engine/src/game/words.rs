//! What a play did, in plain words: one sentence a person.

use alloc::string::String;
use alloc::vec::Vec;

use super::force::is_force;
use super::{Change, End, Fate, Game, Movement, Notice, Outcome, ResolvedCall};
use crate::message::{Attribute, Localized, Message, Speech, isolated, says, text};
use crate::play::{Advance, BatterFate, BeforeFirst, Continuation, Goal, IllegalAct, PutOut};
use crate::play::{Reach, RunnerFate};
use crate::team::{BySide, Position};

/// Attributes of the reasons, as arguments.
macro_rules! attribute {
    ($($method:ident: $type:ty = $attribute:ident;)+) => { $(
        fn $method(of: &$type) -> Attribute<'_, $type> {
            Attribute(of, stringify!($attribute), of.$attribute())
        }
    )+ };
}

attribute! {
    reached: Reach = clause;
    advanced: Advance = clause;
    put_out: PutOut = sentence;
    before_first: BeforeFirst = sentence;
    illegal: IllegalAct = sentence;
}

/// Where somebody is out; nothing where that is not said.
struct OutAt(Option<Goal>);

impl OutAt {
    fn say<S: Speech>(&self) -> S {
        match self.0 {
            None => text!("out-at-nowhere"),
            Some(Goal::Home) => text!("out-at-home"),
            Some(base) => text!("out-at-base", base),
        }
    }
}

/// What followed when a base was reached, as the end of a sentence.
struct Then(Option<Continuation>);

impl Then {
    fn say<S: Speech>(&self) -> S {
        match self.0 {
            None => text!("then-nothing"),
            Some(Continuation::Out(out)) => {
                let (place, why) = (OutAt(Some(out.at)), put_out(&out.how));
                text!("then-out", place, why)
            }
            Some(Continuation::Base(further)) => {
                let on = advanced(&further.on);
                match further.to {
                    Goal::Home => text!("then-home", on),
                    base => text!("then-base", base, on),
                }
            }
        }
    }
}

/// A reason after a colon, or the end of the sentence.
struct Told<'a>(&'a str);

impl Told<'_> {
    fn say<S: Speech>(&self) -> S {
        match self.0.trim().trim_end_matches('.') {
            "" => text!("told-nothing"),
            words => text!("told-words", words),
        }
    }
}

/// "first base and shortstop".
struct ErrorsBy<'a>(&'a [Position]);

impl ErrorsBy<'_> {
    fn say<S: Speech>(&self) -> S {
        match self.0 {
            [] => text!("errors-by-nobody"),
            [who] => text!("errors-by-one", who),
            [who, others @ ..] => text!("errors-by-several", who, others = ErrorsBy(others)),
        }
    }
}

says!(ErrorsBy<'_>, OutAt, Then, Told<'_>);

impl Localized for Movement {
    fn message(&self) -> Message {
        self.say()
    }
}

impl Movement {
    /// One plain sentence: who, what, and why if out.
    #[must_use]
    pub fn sentence(&self) -> String {
        self.say()
    }

    fn say<S: Speech>(&self) -> S {
        let who = self.who;
        let late = self.end == End::TooLate;
        if self.end == End::AtBat && self.fate != Fate::Batter(BatterFate::NoHit) {
            return text!("movement-bats-first", who);
        }
        match self.fate {
            Fate::Batter(BatterFate::Safe { at, on, then }) => match at {
                Goal::Home => text!("movement-all-the-way", who, on = reached(&on), late),
                at => {
                    let (on, then) = (reached(&on), Then(then));
                    text!("movement-safe", who, at, on, then, late)
                }
            },
            Fate::Batter(BatterFate::OutBeforeFirst(how)) => {
                text!("movement-out", who, why = before_first(&how))
            }
            Fate::Batter(BatterFate::NoHit) => text!("movement-no-hit", who),
            Fate::Batter(BatterFate::Caught) => text!("movement-caught", who),
            Fate::Batter(BatterFate::Illegal(act)) => {
                text!("movement-out", who, why = illegal(&act))
            }
            Fate::Runner(RunnerFate::Holds) => match self.from {
                Some(base) => text!("movement-stays-on", who, base),
                None => text!("movement-stays", who),
            },
            Fate::Runner(RunnerFate::To { goal, on, then }) => {
                let on = advanced(&on);
                match goal {
                    Goal::Home if then.is_none() && late => text!("movement-too-late", who, on),
                    Goal::Home if then.is_none() => text!("movement-scores", who, on),
                    goal => text!("movement-to", who, goal, on, then = Then(then), late),
                }
            }
            Fate::Runner(RunnerFate::Out { at, how }) => {
                let (place, why) = (OutAt(at), put_out(&how));
                text!("movement-put-out", who, place, why)
            }
        }
    }

    /// The same in a few words, for a button: "23 to 2nd".
    #[must_use]
    pub fn brief(&self) -> String {
        let who = self.who;
        match (self.end, self.from) {
            (End::Scored, _) => text!("brief-scores", who),
            (End::TooLate, _) => text!("brief-too-late", who),
            (End::Out, _) => text!("brief-out", who),
            (End::On(base), Some(from)) if from == base => text!("brief-stays", who, base),
            (End::On(base), Some(_)) => text!("brief-to", who, base),
            (End::On(base), None) => text!("brief-safe", who, base),
            (End::AtBat, _) => text!("brief-no-hit"),
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
        self.say()
    }

    /// The same as messages.
    #[must_use]
    pub fn messages(&self) -> Vec<Message> {
        self.say()
    }

    fn say<S: Speech>(&self) -> Vec<S> {
        let told = |at: usize| {
            let m = &self.movements[at];
            match m.fate {
                Fate::Runner(RunnerFate::Out {
                    at: place,
                    how: PutOut::Tagged | PutOut::Shared,
                }) if is_force(&self.movements, at) => {
                    text!("movement-forced", who = m.who, place = OutAt(place))
                }
                _ => m.say(),
            }
        };
        let people = (0..self.movements.len()).rev();
        let told = people.filter(|at| self.is_worth_telling(*at)).map(told);
        let errors = &self.scoring.errors;
        let by = (!errors.is_empty()).then(|| text!("outcome-errors", by = ErrorsBy(errors)));
        told.chain(by).collect()
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
        self.say(names)
    }

    /// The same as a message.
    #[must_use]
    pub fn message(&self, names: &BySide<&str>) -> Message {
        self.say(names)
    }

    fn say<S: Speech>(&self, names: &BySide<&str>) -> S {
        let named = |side| isolated(names[side]);
        match self {
            Self::Substitution { side, out, by } => {
                text!("notice-substitution", team = named(*side), by, out)
            }
            Self::Ejection { side, who, by } => match by {
                Some(by) => text!("notice-ejection-replaced", team = named(*side), who, by),
                None => text!("notice-ejection", team = named(*side), who),
            },
            Self::Injury { side, who, by } => match by {
                Some(by) => text!("notice-injury-replaced", team = named(*side), who, by),
                None => text!("notice-injury", team = named(*side), who),
            },
            Self::TimeOut { side } => text!("notice-time-out", team = named(*side)),
            Self::Warning { side, to, text } => {
                text!("notice-warning", to, team = named(*side), told = Told(text))
            }
            Self::Protest { side, text } => {
                text!("notice-protest", team = named(*side), told = Told(text))
            }
            Self::Hold(why) => text!("notice-hold", why = why.reason()),
            Self::Resume => text!("notice-resume"),
            Self::CourtesyRunner { by } => text!("notice-courtesy-runner", by),
            Self::Forfeit { side, text } => {
                text!("notice-forfeit", team = named(*side), told = Told(text))
            }
            Self::Defence { side, .. } => text!("notice-defence", team = named(*side)),
            Self::Remark { text } => text!("notice-remark", text),
            Self::CoachEjection { side, name } => match name.trim() {
                "" => text!("notice-coach-ejection", team = named(*side)),
                name => text!("notice-coach-ejection-named", team = named(*side), name),
            },
            Self::NoPlay { text } => text!("notice-no-play", told = Told(text)),
            Self::GameCalled { why, text } => {
                text!("notice-game-called", why, told = Told(text))
            }
            Self::ForfeitBoth { text } => text!("notice-forfeit-both", told = Told(text)),
            Self::Renumber { side, from, to } => {
                text!("notice-renumber", team = named(*side), from, to)
            }
            Self::Reserve { side, player } => {
                text!("notice-reserve", team = named(*side), who = player.shirt)
            }
        }
    }
}

impl Game {
    /// The half-inning in words: "Top of 3rd".
    #[must_use]
    pub fn inning_words(&self) -> String {
        crate::play::half_inning(self.inning(), self.at_bat())
    }
}
