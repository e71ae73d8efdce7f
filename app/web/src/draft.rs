//! A fixture that is still being written: kept in small pieces of text, so
//! that a half-filled card outlives a dead phone.

use engine::rules::{BuiltIn, Edition, SettingError};
use engine::team::{BySide, Card, Gender, Hitter, Player, Position, Shirt, Side};
use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

const KEY: &str = "chalkbook-draft";

/// Hitters and reserves that a card has room for at first.
const HITTERS: usize = engine::rules::FIVE;

/// One line of a card as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Line {
    /// The number as typed.
    pub number: String,
    /// The name, if any.
    pub name: String,
    /// Gender, where the competition needs it: `F` or `M`.
    pub gender: Option<char>,
    /// Index of the position, if any.
    pub position: Option<usize>,
}

impl Line {
    /// The gender, where it is said.
    pub fn gender(&self) -> Option<Gender> {
        self.gender.and_then(Gender::from_letter)
    }
}

/// One team's card as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Team {
    /// The team's name.
    pub name: String,
    /// Five hitters in order, then the reserves.
    pub lines: Vec<Line>,
    /// Fewer than five came: the game is set up for the forfeit only.
    pub forfeits: bool,
}

/// A fixture as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Draft {
    /// The built-in edition, by its documented name.
    pub edition: String,
    /// Values that the competition changed.
    pub changes: Vec<(String, String)>,
    /// The two teams, in the order they were entered.
    pub teams: [Team; 2],
    /// Which of the two is home.
    pub home: Option<usize>,
    /// Whether a coin decided it on this phone.
    pub coin: bool,
    /// Name of the place.
    pub court_name: String,
    /// The court as set out, in the form that goes with a fixture.
    pub court_used: Option<Vec<u8>>,
    /// The event it is played in, by its name on this phone.
    pub event: Option<String>,
    /// The number of the game in the event's schedule.
    pub fixture: Option<u32>,
    /// Whether the schedule says who is home.
    pub by_schedule: bool,
}

impl Default for Team {
    fn default() -> Self {
        Self {
            name: String::new(),
            lines: vec![Line::default(); HITTERS + 3],
            forfeits: false,
        }
    }
}

impl Default for Draft {
    fn default() -> Self {
        Self {
            edition: BuiltIn::Federation.to_string(),
            changes: Vec::new(),
            teams: [Team::default(), Team::default()],
            home: None,
            coin: false,
            court_name: String::new(),
            court_used: None,
            event: None,
            fixture: None,
            by_schedule: false,
        }
    }
}

/// Something typed that is not even a card yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadLine {
    /// Which line.
    pub line: usize,
    /// What is wrong, and what would be right.
    pub what: String,
}

impl Draft {
    /// As kept on the phone, or a fresh one.
    pub fn load() -> Self {
        let mut draft: Self = LocalStorage::get(KEY).unwrap_or_default();
        for team in &mut draft.teams {
            let room = team.lines.len().max(HITTERS);
            team.lines.resize(room, Line::default());
        }
        draft
    }

    /// Keeps it.
    pub fn save(&self) {
        let _ = LocalStorage::set(KEY, self);
    }

    /// Forgets it: the game has begun.
    pub fn forget() {
        LocalStorage::delete(KEY);
    }

    /// The edition with its changes.
    ///
    /// # Errors
    /// When two changed values contradict each other.
    pub fn edition(&self) -> Result<Edition, SettingError> {
        let base = self.edition.parse().unwrap_or(BuiltIn::Federation);
        let changes = self.changes.iter().map(|(n, v)| (n.as_str(), v.as_str()));
        Edition::built_in(base).with_all(changes)
    }

    /// Changes one value, or changes it back when it is the edition's own.
    ///
    /// # Errors
    /// When the text is no value of that name; nothing is changed then.
    pub fn set(&mut self, name: &str, text: &str) -> Result<(), SettingError> {
        let mut changes = self.changes.clone();
        changes.retain(|(n, _)| n != name);
        let base = Edition::built_in(self.edition.parse().unwrap_or(BuiltIn::Federation));
        let own = base
            .settings()
            .into_iter()
            .find(|s| s.name == name)
            .map(|s| s.value);
        if own.as_deref() != Some(text) {
            changes.push((name.into(), text.into()));
        }
        let next = Self {
            changes,
            ..self.clone()
        };
        next.edition()?;
        *self = next;
        Ok(())
    }
}

impl Team {
    /// Fills in a card that the team gave before.
    pub fn fill(&mut self, card: &Card) {
        let line = |player: &Player, position: Option<Position>| Line {
            number: player.shirt.to_string(),
            name: player.name.clone(),
            gender: player.gender.map(Gender::letter),
            position: position.map(Position::index),
        };
        let hitters = card.hitters.iter().map(|h| line(&h.player, h.position));
        let reserves = card.reserves.iter().map(|p| line(p, None));
        self.lines = hitters.chain(reserves).collect();
    }

    /// The card, from the lines that have a number.
    ///
    /// # Errors
    /// Every line that is no number from 0 to 99.
    pub fn card(&self) -> Result<Card, Vec<BadLine>> {
        let mut bad = Vec::new();
        let mut card = Card {
            team: self.name.trim().to_string(),
            ..Card::default()
        };
        for (at, line) in self.lines.iter().enumerate() {
            let text = line.number.trim();
            if text.is_empty() {
                if !line.name.trim().is_empty() {
                    let what =
                        format!("{} has no number: give one from 0 to 99.", line.name.trim());
                    bad.push(BadLine { line: at, what });
                }
                continue;
            }
            let Ok(shirt) = text.parse::<Shirt>() else {
                let what = format!("\"{text}\" is no shirt number: give one from 0 to 99.");
                bad.push(BadLine { line: at, what });
                continue;
            };
            let player = Player {
                gender: line.gender(),
                ..Player::new(shirt, line.name.trim())
            };
            if at < HITTERS {
                let position = line.position.and_then(|p| Position::ALL.get(p).copied());
                card.hitters.push(Hitter { player, position });
            } else {
                card.reserves.push(player);
            }
        }
        if bad.is_empty() { Ok(card) } else { Err(bad) }
    }
}

/// The two cards by side.
///
/// # Errors
/// `None` while it is not decided who is home, or a card has bad lines.
pub fn by_side(draft: &Draft) -> Option<BySide<Card>> {
    let home = draft.home?;
    let card = |at: usize| draft.teams.get(at)?.card().ok();
    let (guest, home) = (card(1 - home.min(1))?, card(home.min(1))?);
    Some(BySide::from_fn(|s| {
        if s == Side::Guest {
            guest.clone()
        } else {
            home.clone()
        }
    }))
}
