//! The steps in plain words.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use super::super::fraction::places_for;
use super::super::{Entrants, Fraction};
use super::ladder::{Criterion, Gap, Record, Step, Totals, Value};
use super::result::joined;
use super::{StandingsProblem, Table};
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

fn plural(n: u64, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// A value with enough decimals to look different from the others of its step.
fn value_words(value: Value, places: Option<usize>, earned: bool) -> String {
    let exact = |rank: Option<Fraction>, text: fn(Fraction, usize) -> String| match (rank, places) {
        (Some(rank), Some(places)) => text(rank, places),
        (Some(rank), None) => rank.to_string(),
        (None, _) => "none".into(),
    };
    match value {
        Value::Record(record) if record.games() == 0 => "no game yet".into(),
        Value::Record(record) => record.to_string(),
        Value::Balance(totals) => {
            let Totals {
                scored,
                batted_outs,
                allowed,
                defence_outs,
            } = totals;
            let runs = match earned {
                true => plural(scored, "earned run", "earned runs"),
                false => plural(scored, "run", "runs"),
            };
            format!(
                "{} ({runs} in {} innings at bat, {allowed} allowed in {} on defence)",
                exact(totals.balance(), Fraction::signed),
                innings(batted_outs),
                innings(defence_outs)
            )
        }
        Value::Average { hits, at_bats } => format!(
            "{} ({} in {})",
            exact(value.rank(), Fraction::average_to),
            plural(hits, "hit", "hits"),
            plural(at_bats, "at-bat", "at-bats")
        ),
        Value::Lot(place) => format!("drawn {}", super::super::schedule::ordinal(place)),
    }
}

impl Gap {
    fn words(self, entrants: &Entrants) -> String {
        match self {
            Self::NoGame(team) => format!(
                "{} has no game against the others that counts",
                entrants.name(team)
            ),
            Self::NoInning(team) => format!(
                "{} has no out at bat or none on defence",
                entrants.name(team)
            ),
            Self::EarnedUnknown(game) => {
                format!("the earned runs of game {game} were not kept")
            }
            Self::BattingUnknown(game) => {
                format!("the at-bats and hits of game {game} were not kept")
            }
            Self::NoAtBat(team) => format!("{} has no at-bat", entrants.name(team)),
            Self::NotDrawn(team) => format!("{} has not been drawn", entrants.name(team)),
        }
    }
}

impl Step {
    /// The step in plain words, one or two sentences.
    ///
    /// As: `Among Bell Lane, Quay Street and Tram Yard, results among the tied:
    /// each 1-1. This separates no one.`
    #[must_use]
    pub fn words(&self, entrants: &Entrants) -> String {
        let mut text = match self.criterion {
            Criterion::WinsLosses => "Wins and losses: ".to_string(),
            criterion => format!("Among {}, {criterion}: ", joined(entrants, &self.among)),
        };
        if let Some(gap) = self.gap {
            text.push_str(&gap.words(entrants));
            text.push_str(match self.criterion {
                Criterion::Lot => ". They share the place until a lot is drawn.",
                _ => ", so this cannot be compared and separates no one.",
            });
            return text;
        }
        let ranks: Vec<Fraction> = self.values.iter().filter_map(|(_, v)| v.rank()).collect();
        let places = places_for(&ranks);
        let earned = self.criterion == Criterion::EarnedBalance;
        let of = |value| value_words(value, places, earned);
        let first = self.values.first().map(|(_, v)| *v);
        match first {
            Some(same) if self.values.len() > 1 && self.values.iter().all(|(_, v)| *v == same) => {
                text.push_str("each ");
                text.push_str(&of(same));
            }
            _ => {
                // Best first, as the groups are.
                for (at, team) in self.groups.iter().flatten().enumerate() {
                    let value = self.values.iter().find(|(t, _)| t == team);
                    if let Some((_, value)) = value {
                        let gap = if at == 0 { "" } else { ", " };
                        text.push_str(&format!("{gap}{} {}", entrants.name(*team), of(*value)));
                    }
                }
            }
        }
        text.push('.');
        if !self.separates() {
            if self.among.len() > 1 {
                text.push_str(" This separates no one.");
            }
            return text;
        }
        let tied: Vec<String> = self
            .groups
            .iter()
            .filter(|g| g.len() > 1)
            .map(|g| joined(entrants, g))
            .collect();
        if !tied.is_empty() {
            text.push_str(&format!(" Still tied: {}.", tied.join("; ")));
        }
        text
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
        let one_or_many = |numbers: &[u32], one: &str, many: &str| match numbers {
            [] => None,
            [number] => Some(format!("Game {number} {one}.")),
            all => {
                let all: Vec<String> = all.iter().map(ToString::to_string).collect();
                Some(format!("Games {} {many}.", all.join(", ")))
            }
        };
        let sentences = [
            one_or_many(
                self.left_out(),
                "is left out until it is settled",
                "are left out until they are settled",
            ),
            one_or_many(
                self.ties_left_out(),
                "ended in a tie and does not count: this competition leaves ties out of the table",
                "ended in ties and do not count: this competition leaves ties out of the table",
            ),
            one_or_many(
                self.closed(),
                "will not be played: the table is complete without it",
                "will not be played: the table is complete without them",
            ),
        ];
        sentences.into_iter().flatten().collect()
    }
}

impl StandingsProblem {
    /// The problem with the team's name where [`fmt::Display`] only has its
    /// place in the list.
    #[must_use]
    pub fn words(&self, entrants: &Entrants) -> String {
        match self {
            Self::Group(team) if entrants.contains(*team) => {
                format!("{} is twice in the group.", entrants.name(*team))
            }
            Self::Lot(team) if entrants.contains(*team) => {
                format!("{} is twice in the lot.", entrants.name(*team))
            }
            other => other.to_string(),
        }
    }
}
