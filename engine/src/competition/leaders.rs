//! The leading players of a competition.

use alloc::string::String;
use alloc::vec::Vec;
use core::cmp::Reverse;
use core::fmt;

use super::{Entrant, Fraction};
use crate::Problems;
use crate::message::{localized, text};
use crate::rules::{AGame, Edition};
use crate::team::Shirt;

/// One player's totals over the games that count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PlayerLine {
    /// The team.
    pub team: Entrant,
    /// The shirt number.
    pub shirt: Shirt,
    /// Games of the team that these totals are taken from, those without the
    /// player included.
    pub games: u32,
    /// Turns at bat (plate appearances).
    pub turns: u32,
    /// Times at bat, no more than the turns.
    pub at_bats: u32,
    /// Hits, no more than the at-bats.
    pub hits: u32,
    /// Bases reached on hits: one to four for each.
    pub total_bases: u32,
    /// Runs.
    pub runs: u32,
    /// Runs batted in.
    pub runs_batted_in: u32,
    /// Putouts.
    pub putouts: u32,
    /// Assists.
    pub assists: u32,
    /// Errors.
    pub errors: u32,
}

/// What players are ranked by.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Category {
    /// Hits / at-bats.
    BattingAverage,
    /// Total bases / at-bats.
    SluggingAverage,
    /// Hits.
    Hits,
    /// Runs.
    Runs,
    /// Runs batted in.
    RunsBattedIn,
    /// Putouts.
    Putouts,
    /// Assists.
    Assists,
    /// (Putouts + assists) / (putouts + assists + errors).
    FieldingAverage,
}

impl Category {
    /// Every category, in the order of a leaders' page.
    pub const ALL: [Self; 8] = [
        Self::BattingAverage,
        Self::SluggingAverage,
        Self::Hits,
        Self::Runs,
        Self::RunsBattedIn,
        Self::Putouts,
        Self::Assists,
        Self::FieldingAverage,
    ];
}

/// What a player needs for each game of the team to be ranked by an average.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Minimums {
    /// Turns at bat, for the batting and slugging averages.
    pub turns: AGame,
    /// Chances (putouts, assists and errors), for the fielding average.
    pub chances: AGame,
}

impl Minimums {
    /// Those of a competition under this edition.
    #[must_use]
    pub fn of(edition: &Edition) -> Self {
        Self {
            turns: **edition.leaders_turns(),
            chances: **edition.leaders_chances(),
        }
    }

    /// What a category asks for, as it stands with the list; `None` where
    /// everyone is ranked.
    #[must_use]
    pub fn sentence(self, category: Category) -> Option<String> {
        let (least, at_bat) = match category {
            Category::BattingAverage | Category::SluggingAverage => (self.turns, true),
            Category::FieldingAverage => (self.chances, false),
            _ => return None,
        };
        if least.over(10) == 0 {
            return None;
        }
        Some(match (at_bat, least.over(10) == 10) {
            (true, true) => text!("least-turn", least),
            (true, false) => text!("least-turns", least),
            (false, true) => text!("least-chance", least),
            (false, false) => text!("least-chances", least),
        })
    }
}

/// What a leader has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LeaderValue {
    /// A count.
    Count(u32),
    /// An average, exact; printed to three places, half up.
    Average(Fraction),
}

impl fmt::Display for LeaderValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count(n) => n.fmt(f),
            Self::Average(fraction) => f.write_str(&fraction.average()),
        }
    }
}

/// A player on the list of leaders.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Leader {
    /// Place, from 1; players of equal value share one.
    pub place: usize,
    /// Whether another player has the same place.
    pub shared: bool,
    /// The team.
    pub team: Entrant,
    /// The shirt number.
    pub shirt: Shirt,
    /// What they have.
    pub value: LeaderValue,
}

/// What is wrong with a player's totals.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum LineProblem {
    /// The player is listed twice.
    #[message(team = _0.index() + 1, shirt = _1)]
    Twice(Entrant, Shirt),
    /// More at-bats than turns.
    #[message(team = _0.index() + 1, shirt = _1)]
    AtBats(Entrant, Shirt),
    /// More hits than at-bats.
    #[message(team = _0.index() + 1, shirt = _1)]
    Hits(Entrant, Shirt),
    /// Total bases are not one to four for each hit.
    #[message(team = _0.index() + 1, shirt = _1)]
    TotalBases(Entrant, Shirt),
}

fn problems(lines: &[PlayerLine]) -> Vec<LineProblem> {
    let mut problems = Vec::new();
    let mut players: Vec<_> = lines.iter().map(|l| (l.team, l.shirt)).collect();
    players.sort_unstable();
    let twice = players.chunk_by(|a, b| a == b).filter(|c| c.len() > 1);
    problems.extend(twice.map(|c| LineProblem::Twice(c[0].0, c[0].1)));
    for l in lines {
        if l.at_bats > l.turns {
            problems.push(LineProblem::AtBats(l.team, l.shirt));
        }
        if l.hits > l.at_bats {
            problems.push(LineProblem::Hits(l.team, l.shirt));
        }
        let most = u64::from(l.hits) * 4;
        if !(u64::from(l.hits)..=most).contains(&u64::from(l.total_bases)) {
            problems.push(LineProblem::TotalBases(l.team, l.shirt));
        }
    }
    problems
}

fn value(line: &PlayerLine, category: Category, least: Minimums) -> Option<LeaderValue> {
    let average = |part: u64, whole: u64| Fraction::of(part, whole).map(LeaderValue::Average);
    let batting = |part: u32| {
        (u64::from(line.turns) >= least.turns.over(line.games))
            .then(|| average(u64::from(part), u64::from(line.at_bats)))
            .flatten()
    };
    match category {
        Category::BattingAverage => batting(line.hits),
        Category::SluggingAverage => batting(line.total_bases),
        Category::Hits => Some(LeaderValue::Count(line.hits)),
        Category::Runs => Some(LeaderValue::Count(line.runs)),
        Category::RunsBattedIn => Some(LeaderValue::Count(line.runs_batted_in)),
        Category::Putouts => Some(LeaderValue::Count(line.putouts)),
        Category::Assists => Some(LeaderValue::Count(line.assists)),
        Category::FieldingAverage => {
            let clean = u64::from(line.putouts) + u64::from(line.assists);
            let chances = clean + u64::from(line.errors);
            (chances >= least.chances.over(line.games))
                .then(|| average(clean, chances))
                .flatten()
        }
    }
}

/// The leaders of a category down to place `top`: everyone on the last place
/// that is shown is shown. Nobody leads with nothing, so zeros are left out.
///
/// Players of equal value share a place and stand in the order of team and
/// shirt. Averages are compared exactly, not as printed.
///
/// # Errors
/// Every problem of the totals at once.
pub fn leaders(
    lines: &[PlayerLine],
    category: Category,
    least: Minimums,
    top: usize,
) -> Result<Vec<Leader>, Problems<LineProblem>> {
    let problems = problems(lines);
    Problems::none(problems)?;
    let nothing = Fraction::of(0, 1);
    let mut ranked: Vec<_> = lines
        .iter()
        .filter_map(|line| {
            let value = value(line, category, least)?;
            let rank = match value {
                LeaderValue::Count(n) => Fraction::of(u64::from(n), 1),
                LeaderValue::Average(fraction) => Some(fraction),
            };
            (rank > nothing).then_some((Reverse(rank), line.team, line.shirt, value))
        })
        .collect();
    ranked.sort_unstable_by_key(|(rank, team, shirt, _)| (*rank, *team, *shirt));
    let mut out = Vec::new();
    for together in ranked.chunk_by(|a, b| a.0 == b.0) {
        let place = out.len() + 1;
        if place > top {
            break;
        }
        out.extend(together.iter().map(|(_, team, shirt, value)| Leader {
            place,
            shared: together.len() > 1,
            team: *team,
            shirt: *shirt,
            value: *value,
        }));
    }
    Ok(out)
}

/// More players than this on one place are a number, not leaders.
const CROWD: usize = 8;

/// The leaders down to the first place that more than eight share: half an
/// event with an average of 1.000 leads nobody. For people; files have all.
#[must_use]
pub fn named(list: &[Leader]) -> &[Leader] {
    let places = list.chunk_by(|a, b| a.place == b.place);
    let few = places.take_while(|together| together.len() <= CROWD);
    list.get(..few.map(<[Leader]>::len).sum())
        .unwrap_or_default()
}

impl Leader {
    /// The place as it is printed: `1`, or `1=` when shared.
    #[must_use]
    pub fn place_text(&self) -> String {
        alloc::format!("{}{}", self.place, if self.shared { "=" } else { "" })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use alloc::string::ToString;
    use alloc::vec;
    use proptest::prelude::*;

    fn line(shirt: u8, turns: u32, at_bats: u32, hits: u32) -> PlayerLine {
        PlayerLine {
            team: Entrant::at(u16::from(shirt % 2)),
            shirt: Shirt::new(shirt).unwrap(),
            games: 3,
            turns,
            at_bats,
            hits,
            total_bases: hits,
            runs: 0,
            runs_batted_in: 0,
            putouts: 0,
            assists: 0,
            errors: 0,
        }
    }

    fn least(turns: &str, chances: &str) -> Minimums {
        let edition = Edition::federation()
            .with_all([("leaders-turns", turns), ("leaders-chances", chances)]);
        Minimums::of(&edition.unwrap())
    }

    fn list(found: &[Leader]) -> Vec<String> {
        found
            .iter()
            .map(|l| alloc::format!("{} {} {}", l.place_text(), l.shirt, l.value))
            .collect()
    }

    /// Averages: Official Baseball Rules, chapter 9 (published), as hits by
    /// at-bats and (putouts + assists) by chances, to three places.
    #[test]
    fn ties_are_shown_as_ties_and_minimums_hold() {
        let mut lines = vec![
            line(4, 8, 8, 4),
            line(7, 12, 12, 6),
            line(9, 3, 3, 3),
            line(2, 9, 9, 3),
            line(5, 9, 9, 0),
            line(6, 9, 0, 0),
        ];
        let least = least("2.7", "1");
        let found = leaders(&lines, Category::BattingAverage, least, 1).unwrap();
        assert_eq!(list(&found), ["1= 4 .500", "1= 7 .500"]);
        let found = leaders(&lines, Category::BattingAverage, least, 9).unwrap();
        assert_eq!(list(&found), ["1= 4 .500", "1= 7 .500", "3 2 .333"]);
        let found = leaders(&lines, Category::Hits, least, 3).unwrap();
        assert_eq!(list(&found), ["1 7 6", "2 4 4", "3= 2 3", "3= 9 3"]);
        (lines[0].putouts, lines[0].assists, lines[0].errors) = (10, 5, 1);
        (lines[1].putouts, lines[1].errors) = (2, 0);
        let found = leaders(&lines, Category::FieldingAverage, least, 3).unwrap();
        assert_eq!(list(&found), ["1 4 .938"], "15 in 16 is .9375: half up");
    }

    /// Official Baseball Rules 9.22(a), from memory: 162 games times 3.1 is
    /// 502.2, and 502 turns qualify; 140 times 2.7 is 378.
    #[test]
    fn the_least_grows_with_the_games_of_the_team() {
        let needed = |text: &str, games| text.parse::<AGame>().unwrap().over(games);
        assert_eq!([needed("3.1", 162), needed("2.7", 140)], [502, 378]);
        assert_eq!(
            [needed("3.1", 5), needed("0", 9), needed("9.9", 0)],
            [16, 0, 0]
        );
        let mut one = line(4, 501, 501, 200);
        one.games = 162;
        let three = least("3.1", "1");
        let found = leaders(&[one], Category::BattingAverage, three, 5).unwrap();
        assert!(found.is_empty());
        (one.turns, one.at_bats) = (502, 501);
        let found = leaders(&[one], Category::BattingAverage, three, 5).unwrap();
        assert_eq!(list(&found), ["1 4 .399"]);
    }

    #[test]
    fn a_crowd_on_one_place_does_not_lead() {
        let mut lines: Vec<_> = (1..=9).map(|n| line(n, 9, 9, 3)).collect();
        lines.push(line(10, 9, 9, 4));
        let found = leaders(&lines, Category::Hits, least("0", "0"), 5).unwrap();
        assert_eq!((found.len(), named(&found).len()), (10, 1));
        lines.remove(0);
        let found = leaders(&lines, Category::Hits, least("0", "0"), 5).unwrap();
        assert_eq!(named(&found).len(), 9, "eight are still named");
    }

    #[test]
    fn a_list_says_what_it_asks_for() {
        let said = |least: Minimums, c| least.sentence(c).unwrap_or_default();
        let three = least("3.1", "1");
        assert_eq!(
            said(three, Category::SluggingAverage),
            "At least 3.1 turns at bat for each game of the team."
        );
        assert_eq!(
            said(three, Category::FieldingAverage),
            "At least 1 chance in the field for each game of the team."
        );
        assert_eq!(said(three, Category::Hits), "");
        assert_eq!(said(least("0", "1"), Category::BattingAverage), "");
    }

    #[test]
    fn totals_that_cannot_be_are_named() {
        let mut wrong = line(4, 1, 2, 3);
        wrong.total_bases = 13;
        let found = leaders(&[wrong, wrong], Category::Hits, least("0", "0"), 5);
        let sentences: Vec<_> = found.unwrap_err().iter().map(ToString::to_string).collect();
        assert_eq!(
            sentences[..4],
            [
                "Number 4 of team 1 of the list is listed twice; add the games up first.",
                "Number 4 of team 1 of the list has more at-bats than turns at bat.",
                "Number 4 of team 1 of the list has more hits than at-bats.",
                "Number 4 of team 1 of the list must have one to four bases for each hit.",
            ]
        );
    }

    proptest! {
        #[test]
        fn nobody_above_has_less_and_nobody_better_is_missing(
            bats in prop::collection::vec((0u32..20, 0u32..20), 1..30), top in 0usize..12,
        ) {
            let lines: Vec<_> = bats.iter().enumerate().map(|(at, (a, b))| {
                line(at as u8, (*a).max(*b), (*a).max(*b), (*a).min(*b))
            }).collect();
            let found = leaders(&lines, Category::BattingAverage, least("1", "0"), top).unwrap();
            let share = |l: &PlayerLine| (l.turns >= 3 && l.hits > 0).then(|| f64::from(l.hits) / f64::from(l.at_bats));
            for l in &found {
                let own = lines.iter().find(|x| (x.team, x.shirt) == (l.team, l.shirt)).and_then(share).unwrap();
                let better = lines.iter().filter_map(share).filter(|s| *s > own).count();
                prop_assert_eq!(l.place, better + 1);
                prop_assert!(l.place <= top);
            }
            let ranked = lines.iter().filter_map(share).count();
            prop_assert!(found.len() >= ranked.min(top));
        }
    }
}
