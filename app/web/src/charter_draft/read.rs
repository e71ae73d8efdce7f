//! What was typed, read; and what is wrong, with its place in the form.

use core::fmt::Write as _;

use engine::Problems;
use engine::charter::CharterFault;
use engine::competition::schedule::ScheduleProblem;
use engine::team::{Gender, Player, Shirt};

use super::CharterDraft;

/// A part of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The event's name and place.
    Event,
    /// The first day.
    Date,
    /// The rules.
    Rules,
    /// A team, by its place in the list.
    Team(usize),
    /// The officials.
    Officials,
    /// The schedule.
    Schedule,
    /// Who signs.
    Organiser,
}

/// Something wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// The part of the form it concerns.
    pub place: Place,
    /// What is wrong, and what would be right.
    pub what: String,
}

impl Wrong {
    /// At a place.
    pub fn at(place: Place, what: impl Into<String>) -> Self {
        Self {
            place,
            what: what.into(),
        }
    }

    /// Problems of the arrangement.
    pub fn of_schedule(problems: Problems<ScheduleProblem>) -> Vec<Self> {
        let at = |problem: ScheduleProblem| Self::at(Place::Schedule, problem.to_string());
        problems.into_iter().map(at).collect()
    }
}

impl CharterDraft {
    /// Each fault beside what it concerns.
    pub(super) fn placed(&self, faults: Vec<CharterFault>) -> Vec<Wrong> {
        let team = |name: &str| {
            let at = self.teams.iter().rposition(|t| t.name.trim() == name);
            at.map_or(Place::Schedule, Place::Team)
        };
        let place = |fault: &CharterFault| match fault {
            CharterFault::NoEdition | CharterFault::Edition(_) => Place::Rules,
            CharterFault::TeamTwice(name) => team(name),
            CharterFault::NumberTwice { team: name, .. } => team(name),
            CharterFault::KeyTwice(_) => Place::Officials,
            CharterFault::FixtureTwice(_)
            | CharterFault::FixtureTeam { .. }
            | CharterFault::FixtureAlone(_)
            | CharterFault::FixtureEdition(_)
            | CharterFault::FixtureTime(_)
            | CharterFault::Arranged(_) => Place::Schedule,
            CharterFault::Date(_) => Place::Date,
            CharterFault::Version | CharterFault::TooLarge(_) => Place::Organiser,
        };
        let at = |fault: CharterFault| Wrong::at(place(&fault), fault.to_string());
        faults.into_iter().map(at).collect()
    }
}

/// A roster: one player a line, the number first, then the name. In a mixed
/// competition a letter F or M stands between them.
///
/// # Errors
/// Every line that is none.
pub fn read_roster(text: &str, mixed: bool) -> Result<Vec<Player>, Vec<String>> {
    let (mut players, mut wrong) = (Vec::new(), Vec::new());
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() {
            continue;
        }
        let (number, rest) = line
            .split_once(|c: char| c.is_whitespace() || c == ',')
            .unwrap_or((line, ""));
        let shirt = match number.parse::<Shirt>() {
            Ok(shirt) => shirt,
            Err(why) => {
                wrong.push(format!("Line {}: {why} The number comes first.", at + 1));
                continue;
            }
        };
        let rest = rest.trim_start_matches([',', ' ', '\t']).trim();
        let (letter, after) = rest.split_once(' ').unwrap_or((rest, ""));
        let gender = match letter {
            "F" | "f" if mixed => Some(Gender::Female),
            "M" | "m" if mixed => Some(Gender::Male),
            _ => None,
        };
        let name = if gender.is_some() { after } else { rest };
        players.push(Player {
            shirt,
            name: name.trim().into(),
            gender,
        });
    }
    if wrong.is_empty() {
        Ok(players)
    } else {
        Err(wrong)
    }
}

/// A roster as it is typed.
pub fn write_roster(roster: &[Player], mixed: bool) -> String {
    let mut text = String::new();
    for player in roster {
        // Writing to memory cannot fail.
        let _ = write!(text, "{}", player.shirt);
        let letter = match player.gender {
            Some(Gender::Female) if mixed => " F",
            Some(Gender::Male) if mixed => " M",
            _ => "",
        };
        text.push_str(letter);
        if !player.name.is_empty() {
            text.push(' ');
            text.push_str(&player.name);
        }
        text.push('\n');
    }
    text
}
