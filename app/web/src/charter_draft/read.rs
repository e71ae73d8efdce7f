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
    /// The collectors.
    Collectors,
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

/// A roster pasted from any list or sheet: one player a line, the number before
/// or after the name, set apart by spaces, tabs, commas or semicolons. In a mixed
/// competition a letter F or M stands somewhere beside them. A first line with
/// the words of a heading is none.
///
/// # Errors
/// Every line that is none.
pub fn read_roster(text: &str, mixed: bool) -> Result<Vec<Player>, Vec<String>> {
    let (mut players, mut wrong) = (Vec::new(), Vec::new());
    let mut first = true;
    for (at, line) in text.lines().enumerate() {
        let apart = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | '|');
        let mut words: Vec<&str> = line.split(apart).filter(|w| !w.is_empty()).collect();
        if words.is_empty() {
            continue;
        }
        let is_heading = core::mem::take(&mut first)
            && words.iter().all(|word| {
                let word = word.trim_end_matches('.').to_lowercase();
                HEADING.contains(&word.as_str())
            });
        if is_heading {
            continue;
        }
        let is_number = |word: &&str| {
            let bare = bare_number(word);
            !bare.is_empty() && bare.bytes().all(|b| b.is_ascii_digit())
        };
        let last = words.len().saturating_sub(1);
        let number = match (words.first().filter(|w| is_number(w)), words.last()) {
            (Some(_), _) => 0,
            (None, Some(word)) if is_number(word) => last,
            _ => words.iter().position(is_number).unwrap_or(0),
        };
        let shirt = match bare_number(words.remove(number)).parse::<Shirt>() {
            Ok(shirt) => shirt,
            Err(why) => {
                wrong.push(format!(
                    "Line {}: {why} It stands before or after the name.",
                    at + 1
                ));
                continue;
            }
        };
        let letter = |word: &&str| word.parse().ok().and_then(Gender::from_letter);
        let gender = mixed
            .then(|| words.iter().position(|w| letter(w).is_some()))
            .flatten();
        let gender = gender.and_then(|at| letter(&words.remove(at)));
        players.push(Player {
            shirt,
            name: words.join(" "),
            gender,
        });
    }
    if wrong.is_empty() {
        Ok(players)
    } else {
        Err(wrong)
    }
}

/// The words of a heading over a list of players.
const HEADING: [&str; 10] = [
    "#", "no", "nr", "number", "shirt", "jersey", "player", "players", "name", "names",
];

/// A number as lists write it, "#7" or "7.", without the marks.
fn bare_number(word: &str) -> &str {
    word.trim_start_matches('#')
        .trim_end_matches(['.', ')', ':'])
}

/// A roster as it is typed.
pub fn write_roster(roster: &[Player], mixed: bool) -> String {
    let mut text = String::new();
    for player in roster {
        // Writing to memory cannot fail.
        let _ = write!(text, "{}", player.shirt);
        if let Some(gender) = player.gender.filter(|_| mixed) {
            let _ = write!(text, " {}", gender.letter());
        }
        if !player.name.is_empty() {
            text.push(' ');
            text.push_str(&player.name);
        }
        text.push('\n');
    }
    text
}
