//! What is wrong with a card.

use engine::rules::Edition;
use engine::team::{CardObjection, Position};

use crate::draft::{Draft, Line};

/// What is wrong with a card: by line, and in general.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Wrong {
    pub(super) lines: Vec<(usize, String)>,
    pub(super) general: Vec<String>,
    /// Nothing else is wrong than that there are fewer hitters than five: so many.
    pub(super) short: Option<usize>,
}

impl Wrong {
    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.general.is_empty()
    }

    /// Every objection to one team's card.
    pub(super) fn with(draft: &Draft, at: usize, edition: &Edition) -> Self {
        let Some(team) = draft.teams.get(at) else {
            return Self::default();
        };
        let card = match team.card() {
            Ok(card) => card,
            Err(bad) => {
                let lines = bad.into_iter().map(|b| (b.line, b.what)).collect();
                return Self {
                    lines,
                    ..Self::default()
                };
            }
        };
        let as_short = card.check_short(edition);
        let objections = match (&as_short, team.forfeits) {
            (Ok(_), true) => None,
            _ => card.check(edition).err(),
        };
        let mut wrong = Self {
            short: as_short.is_ok().then_some(card.hitters.len()),
            ..Self::default()
        };
        for objection in objections.into_iter().flatten() {
            let words = objection.to_string();
            let on = |line: &Line| match &objection {
                CardObjection::NumberTwice(n)
                | CardObjection::GenderMissing(n)
                | CardObjection::NotOnRoster(n) => line.number.trim().parse() == Ok(*n),
                CardObjection::PositionTwice(p) => {
                    line.position.and_then(|i| Position::ALL.get(i)) == Some(p)
                }
                _ => false,
            };
            match team.lines.iter().rposition(on) {
                Some(line) => wrong.lines.push((line, words)),
                None => wrong.general.push(words),
            }
        }
        wrong
    }
}
