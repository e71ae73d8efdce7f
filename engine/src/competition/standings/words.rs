//! The steps in plain words.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use super::super::fraction::places_for;
use super::super::{Entrants, Fraction};
use super::ladder::{Criterion, Gap, LadderStep, Record, Value};
use super::result::joined;
use super::{StandingsProblem, Table};
use crate::message::{Message, Speech, says, text};
use crate::rules::OUTS_PER_TURN;

/// `2-1`, and `2-1-1` with tied games.
impl fmt::Display for Record {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.wins, self.losses)?;
        match self.ties {
            0 => Ok(()),
            n => write!(f, "-{n}"),
        }
    }
}

/// Innings from outs, as `17` or `16 2/3`.
fn innings(outs: u64) -> String {
    let per = u64::from(OUTS_PER_TURN);
    match (outs / per, outs % per) {
        (whole, 0) => whole.to_string(),
        (0, part) => format!("{part}/{per}"),
        (whole, part) => format!("{whole} {part}/{per}"),
    }
}

/// A value with enough decimals to look different from the others of its step.
#[derive(Clone, Copy)]
struct ValueWords {
    value: Value,
    places: Option<usize>,
    earned: bool,
}

impl ValueWords {
    fn say<S: Speech>(&self) -> S {
        let exact = |text: fn(Fraction, usize) -> String| match (self.value.rank(), self.places) {
            (Some(rank), Some(places)) => text(rank, places),
            (Some(rank), None) => rank.to_string(),
            (None, _) => "none".into(),
        };
        match self.value {
            Value::Record(record) if record.games() == 0 => text!("value-no-game"),
            Value::Record(record) => text!("value-record", record),
            Value::Balance(totals) => {
                let (balance, runs) = (exact(Fraction::signed), totals.scored);
                let (batted, allowed) = (innings(totals.batted_outs), totals.allowed);
                let defended = innings(totals.defence_outs);
                let earned = self.earned;
                text!(
                    "value-balance",
                    balance,
                    runs,
                    earned,
                    batted,
                    allowed,
                    defended
                )
            }
            Value::Average { hits, at_bats } => {
                let average = exact(Fraction::average_to);
                text!("value-average", average, hits, turns = at_bats)
            }
            Value::Lot(place) => {
                text!("value-lot", place = super::super::schedule::ordinal(place))
            }
        }
    }
}

/// Each team with its value.
struct ValuesOf<'a>(&'a [(&'a str, ValueWords)]);

impl ValuesOf<'_> {
    fn say<S: Speech>(&self) -> S {
        match self.0 {
            [] => text!("values-of-nobody"),
            [(team, value)] => text!("values-of-one", team, value),
            [(team, value), others @ ..] => {
                text!("values-of-several", team, value, others = ValuesOf(others))
            }
        }
    }
}

/// Why there is nothing to compare.
struct GapWords<'a>(Gap, &'a Entrants);

impl GapWords<'_> {
    fn say<S: Speech>(&self) -> S {
        let name = |team| self.1.name(team);
        match self.0 {
            Gap::NoGame(team) => text!("gap-no-game", team = name(team)),
            Gap::NoInning(team) => text!("gap-no-inning", team = name(team)),
            Gap::EarnedUnknown(game) => text!("gap-earned-unknown", game),
            Gap::BattingUnknown(game) => text!("gap-batting-unknown", game),
            Gap::NoAtBat(team) => text!("gap-no-at-bat", team = name(team)),
            Gap::NotDrawn(team) => text!("gap-not-drawn", team = name(team)),
        }
    }
}

/// What a step compares, and among whom.
struct Compared<'a>(&'a LadderStep, &'a Entrants);

impl Compared<'_> {
    fn say<S: Speech>(&self) -> S {
        match self.0.criterion {
            Criterion::WinsLosses => text!("compared-wins-losses"),
            criterion => {
                let teams = joined(self.1, &self.0.among);
                text!("compared-among", teams, criterion)
            }
        }
    }
}

says!(ValueWords, ValuesOf<'_>, GapWords<'_>, Compared<'_>);

impl LadderStep {
    /// The step in plain words, one or two sentences.
    ///
    /// As: `Among Bell Lane, Quay Street and Tram Yard, results among the tied:
    /// each 1-1. This separates no one.`
    #[must_use]
    pub fn words(&self, entrants: &Entrants) -> String {
        self.say(entrants)
    }

    /// The same as a message.
    #[must_use]
    pub fn message(&self, entrants: &Entrants) -> Message {
        self.say(entrants)
    }

    fn say<S: Speech>(&self, entrants: &Entrants) -> S {
        let compared = Compared(self, entrants);
        if let Some(gap) = self.gap {
            let gap = GapWords(gap, entrants);
            return match self.criterion {
                Criterion::Lot => text!("step-not-drawn", compared, gap),
                _ => text!("step-gap", compared, gap),
            };
        }
        let ranks: Vec<Fraction> = self.values.iter().filter_map(|(_, v)| v.rank()).collect();
        let places = places_for(&ranks);
        let earned = self.criterion == Criterion::EarnedBalance;
        let words = |value| ValueWords {
            value,
            places,
            earned,
        };
        if let [(_, value), others @ ..] = &*self.values
            && !others.is_empty()
            && others.iter().all(|(_, other)| other == value)
        {
            return text!("step-each", compared, value = words(*value));
        }
        // Best first, as the groups are.
        let best_first = self.groups.iter().flatten().filter_map(|team| {
            let (_, value) = self.values.iter().find(|(t, _)| t == team)?;
            Some((entrants.name(*team), words(*value)))
        });
        let values: Vec<(&str, ValueWords)> = best_first.collect();
        let values = ValuesOf(&values);
        if !self.separates() {
            return match self.among.len() > 1 {
                true => text!("step-separates-no-one", compared, values),
                false => text!("step-separates", compared, values),
            };
        }
        let tied = self.groups.iter().filter(|g| g.len() > 1);
        let tied: Vec<String> = tied.map(|g| joined(entrants, g)).collect();
        match tied.is_empty() {
            true => text!("step-separates", compared, values),
            false => text!("step-still-tied", compared, values, tied = tied.join("; ")),
        }
    }
}

impl Table {
    /// Every step in plain words, then the games left out.
    #[must_use]
    pub fn words(&self, entrants: &Entrants) -> Vec<String> {
        let steps = self.steps().iter().map(|s| s.words(entrants));
        steps.chain(self.notes()).collect()
    }

    /// The games that do not count, and why, in a sentence each kind: what a
    /// reader of the table has to know to add it up.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        let note = |of: &[u32], say: fn(usize, String) -> String| {
            let games: Vec<String> = of.iter().map(ToString::to_string).collect();
            (!games.is_empty()).then(|| say(games.len(), games.join(", ")))
        };
        let notes = [
            note(self.left_out(), |count, games| {
                text!("table-left-out", count, games)
            }),
            note(self.ties_left_out(), |count, games| {
                text!("table-ties-left-out", count, games)
            }),
            note(self.closed(), |count, games| {
                text!("table-closed", count, games)
            }),
        ];
        notes.into_iter().flatten().collect()
    }
}

impl StandingsProblem {
    /// The problem with the team's name where [`fmt::Display`] only has its
    /// place in the list.
    #[must_use]
    pub fn words(&self, entrants: &Entrants) -> String {
        match self {
            Self::Group(team) if entrants.contains(*team) => {
                text!("table-twice-in-the-group", team = entrants.name(*team))
            }
            Self::Lot(team) if entrants.contains(*team) => {
                text!("table-twice-in-the-lot", team = entrants.name(*team))
            }
            other => other.to_string(),
        }
    }
}
