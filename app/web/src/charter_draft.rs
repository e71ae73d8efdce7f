//! A charter that is still being written: kept in small pieces of text, so
//! that it outlives a reload, and made into one that can be signed.

mod keys;
mod read;
mod schedule;
#[cfg(test)]
mod tests;

pub use keys::EndedText;
pub use read::{Place, Wrong, read_roster, write_roster};
pub use schedule::{FORMATS, MovedGame, Plan, ahead};

use engine::charter::{Charter, Privacy, Scheduled, SignedCharter, Team, UnsignedCharter};
use engine::competition::schedule::{Request, Schedule};
use engine::log::{Author, EditionText, Hash, PublicKey, Role, Verified};
use engine::message::isolated;
use engine::rules::{BuiltIn, Edition};
use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

const KEY: &str = "chalkbook-charter";

fn kept_under(event: Option<&str>) -> String {
    event.map_or_else(|| KEY.into(), |event| format!("{KEY} {event}"))
}

/// A team as typed: its name, and its roster with one player a line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct TeamText {
    /// The name.
    pub name: String,
    /// One player a line: number, then the name.
    pub roster: String,
}

/// An official as typed or taken from a card.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct OfficialText {
    /// The public key in hexadecimal.
    pub key: String,
    /// The name.
    pub name: String,
    /// The role, in the word that the log uses.
    pub role: String,
}

/// A charter as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct CharterDraft {
    /// The event here that gets a new version; `None` for a new event.
    pub event: Option<String>,
    /// The event's name.
    pub name: String,
    /// First day, as `2026-06-13`.
    pub date: String,
    /// Where.
    pub place: String,
    /// The built-in edition, by its documented name.
    pub edition: String,
    /// Values that the competition changed.
    pub changes: Vec<(String, String)>,
    /// The teams, in seeding order or in the order of the draw.
    pub teams: Vec<TeamText>,
    /// The officials besides the organiser.
    pub officials: Vec<OfficialText>,
    /// Officials whose keys end from here on.
    pub ended: Vec<EndedText>,
    /// The collectors whose receipts count.
    pub collectors: Vec<OfficialText>,
    /// Whether the organiser calls games too, as umpire.
    pub umpires_too: bool,
    /// The schedule to be arranged.
    pub plan: Plan,
    /// How names may be shown: `numbers`, `initials` or `names`.
    pub privacy: String,
    /// Whether anyone may keep a log.
    pub open: bool,
}

impl Default for CharterDraft {
    fn default() -> Self {
        Self {
            event: None,
            name: String::new(),
            date: String::new(),
            place: String::new(),
            edition: BuiltIn::Federation.to_string(),
            changes: Vec::new(),
            teams: vec![TeamText::default(); 2],
            officials: Vec::new(),
            ended: Vec::new(),
            collectors: Vec::new(),
            umpires_too: false,
            plan: Plan::default(),
            privacy: privacy_word(Privacy::default()).into(),
            open: false,
        }
    }
}

/// The word that a draft keeps for a way of showing names.
pub const fn privacy_word(privacy: Privacy) -> &'static str {
    match privacy {
        Privacy::Names => "names",
        Privacy::Initials => "initials",
        Privacy::Numbers => "numbers",
    }
}

impl CharterDraft {
    /// As kept on the phone for a new event, or for the next version of one.
    pub fn load(event: Option<&str>) -> Option<Self> {
        LocalStorage::get(kept_under(event)).ok()
    }

    /// Keeps it.
    pub fn save(&self) {
        let _ = LocalStorage::set(kept_under(self.event.as_deref()), self);
    }

    /// Forgets it: the charter is signed.
    pub fn forget(&self) {
        LocalStorage::delete(kept_under(self.event.as_deref()));
    }

    /// Takes over the teams of another event, with their rosters.
    pub fn copy_teams(&mut self, charter: &Charter) {
        let mixed = self.edition().gender_minimum().get() > 0;
        let text = |team: &Team| TeamText {
            name: team.name.clone(),
            roster: write_roster(&team.roster, mixed),
        };
        self.teams = charter.teams.iter().map(text).collect();
    }

    /// The next version of a charter, to be changed.
    pub fn of(event: &str, signed: &SignedCharter<Verified>) -> Self {
        let charter = signed.charter();
        let edition = charter.edition_of(None);
        let own = charter.organiser.key;
        let mixed = edition
            .and_then(|e| e.edition().ok())
            .is_some_and(|e| e.gender_minimum().get() > 0);
        Self {
            event: Some(event.into()),
            name: charter.event.clone(),
            date: charter.date.clone(),
            place: charter.place.clone(),
            edition: edition.map_or_else(String::new, |e| e.base.clone()),
            changes: edition.map_or_else(Vec::new, |e| e.changes.clone()),
            teams: charter
                .teams
                .iter()
                .map(|team| TeamText {
                    name: team.name.clone(),
                    roster: write_roster(&team.roster, mixed),
                })
                .collect(),
            officials: charter
                .officials
                .iter()
                .filter(|o| o.key != own)
                .map(OfficialText::of)
                .collect(),
            ended: charter.ended.iter().map(EndedText::of).collect(),
            collectors: charter.collectors.iter().map(OfficialText::of).collect(),
            umpires_too: charter.officials.iter().any(|o| o.key == own),
            plan: Plan::of(charter),
            privacy: privacy_word(charter.privacy).into(),
            open: charter.open,
        }
    }

    /// How names may be shown.
    pub fn privacy(&self) -> Privacy {
        let all = [Privacy::Names, Privacy::Initials, Privacy::Numbers];
        let named = all.into_iter().find(|p| privacy_word(*p) == self.privacy);
        named.unwrap_or_default()
    }

    /// The edition with its changes.
    pub fn edition(&self) -> Edition {
        let base = self.edition.parse().unwrap_or(BuiltIn::Federation);
        let changes = self.changes.iter().map(|(n, v)| (n.as_str(), v.as_str()));
        let plain = || Edition::built_in(base);
        plain().with_all(changes).unwrap_or_else(|_| plain())
    }

    /// Adds an official, or gives the one with this key the new name and role.
    pub fn add_official(&mut self, author: &Author) {
        let official = OfficialText::of(author);
        match self.officials.iter_mut().find(|o| o.key == official.key) {
            Some(known) => *known = official,
            None => self.officials.push(official),
        }
    }

    /// Why the schedule cannot be arranged, by the number of teams, the courts
    /// and the hours alone: nothing else of the form need be there.
    pub fn schedule_slips(&self) -> Vec<String> {
        let arranged = match self.plan.arranged(&self.date) {
            Ok(Some(arranged)) => arranged,
            Ok(None) => return Vec::new(),
            Err(slips) => return slips,
        };
        let request = Request {
            teams: (1..=self.teams.len())
                .map(|n| format!("Team {n}"))
                .collect(),
            format: arranged.format,
            courts: arranged.courts,
            windows: arranged.windows,
            game: arranged.game,
            turnaround: arranged.turnaround,
            rest: arranged.rest,
        };
        let made = Schedule::arrange(&request, &self.edition());
        let problems = made.err().map(engine::Problems::into_vec);
        let problems = problems.unwrap_or_default().into_iter();
        problems.map(|p| p.to_string()).collect()
    }

    /// What can be signed, with the one it takes the place of.
    ///
    /// # Errors
    /// Everything that is wrong, each with the part of the form it concerns.
    pub fn charter(
        &self,
        organiser: Author,
        older: Option<&SignedCharter<Verified>>,
    ) -> Result<UnsignedCharter, Vec<Wrong>> {
        let mut wrong = Vec::new();
        let mixed = self.edition().gender_minimum().get() > 0;
        let mut teams = Vec::new();
        for (at, team) in self.teams.iter().enumerate() {
            match read_roster(&team.roster, mixed) {
                Ok(roster) => teams.push(Team {
                    name: team.name.trim().into(),
                    roster,
                }),
                Err(lines) => {
                    let here = |what| Wrong::at(Place::Team(at), what);
                    wrong.extend(lines.into_iter().map(here));
                }
            }
            if team.name.trim().is_empty() {
                wrong.push(Wrong::at(
                    Place::Team(at),
                    format!("Team {} has no name.", at + 1),
                ));
            }
        }
        let mut officials = Vec::new();
        for official in &self.officials {
            match official.author() {
                Ok(author) => officials.push(author),
                Err(what) => wrong.push(Wrong::at(Place::Officials, what)),
            }
        }
        if self.umpires_too {
            officials.push(Author {
                role: Role::Umpire,
                ..organiser.clone()
            });
        }
        let mut collectors = Vec::new();
        for collector in &self.collectors {
            match collector.author() {
                Ok(author) => collectors.push(author),
                Err(what) => wrong.push(Wrong::at(Place::Collectors, what)),
            }
        }
        let mut ended = Vec::new();
        for key in &self.ended {
            match key.ended() {
                Ok(key) => ended.push(key),
                Err(what) => wrong.push(Wrong::at(Place::Officials, what)),
            }
        }
        let missing = [
            (Place::Event, &self.name, "Give the event a name."),
            (Place::Date, &self.date, "Choose the first day."),
            (
                Place::Organiser,
                &organiser.name,
                "Give your name: the charter says who signed it.",
            ),
        ];
        for (place, text, what) in missing {
            if text.trim().is_empty() {
                wrong.push(Wrong::at(place, what));
            }
        }
        let older_charter = older.map(SignedCharter::charter);
        // As signed where nothing of it was touched: the form shows less than
        // an arrangement may hold, as a second opening time.
        let untouched = older_charter
            .filter(|o| o.date == self.date && self.plan.is_of(o))
            .map(|o| o.arranged.clone());
        let arranged = match untouched.map_or_else(|| self.plan.arranged(&self.date), Ok) {
            Ok(arranged) => arranged,
            Err(slips) => {
                wrong.extend(slips.into_iter().map(|w| Wrong::at(Place::Schedule, w)));
                None
            }
        };
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let mut editions = older.map_or_else(Vec::new, |o| o.charter().editions.clone());
        let first = EditionText {
            base: self.edition.clone(),
            changes: self.changes.clone(),
        };
        // In the one order that the format knows, where the values make an edition.
        let first = first.edition().map_or(first, |e| EditionText::from(&e));
        match editions.first_mut() {
            Some(edition) => *edition = first,
            None => editions.push(first),
        }
        // What the form does not show stays as it was.
        let base = older_charter
            .cloned()
            .unwrap_or_else(|| Charter::new("", "", organiser.clone()));
        let charter = Charter {
            event: self.name.trim().into(),
            date: self.date.trim().into(),
            place: self.place.trim().into(),
            editions,
            teams,
            officials,
            ended,
            collectors,
            privacy: self.privacy(),
            open: self.open,
            version: older.map_or(1, |o| o.charter().version.saturating_add(1)),
            supersedes: older.map(SignedCharter::hash),
            organiser,
            arranged,
            ..base
        };
        let charter = if same_schedule(&charter, older) {
            self.plan.moved(charter)
        } else {
            charter
                .with_fixtures()
                .map(|charter| self.plan.moved(charter))
                .map_err(Wrong::of_schedule)?
        };
        charter
            .draft()
            .map_err(|faults| self.placed(faults.into_vec()))
    }
}

/// Whether the games need not be arranged anew: what was moved or filled in by
/// hand stays then.
fn same_schedule(new: &Charter, older: Option<&SignedCharter<Verified>>) -> bool {
    let names = |teams: &[Team]| teams.iter().map(|t| t.name.clone()).collect::<Vec<_>>();
    older.is_some_and(|older| {
        let older = older.charter();
        new.arranged == older.arranged
            && new.date == older.date
            && names(&new.teams) == names(&older.teams)
    })
}

impl OfficialText {
    fn of(author: &Author) -> Self {
        Self {
            key: Hash(*author.key.as_bytes()).to_string(),
            name: author.name.clone(),
            role: author.role.to_string(),
        }
    }

    /// The role; the umpire's when none is said.
    pub fn role(&self) -> Role {
        let all = [Role::Umpire, Role::Scorer, Role::Organiser, Role::Other];
        let named = all.into_iter().find(|r| r.to_string() == self.role);
        named.unwrap_or(Role::Umpire)
    }

    /// The official for the charter.
    ///
    /// # Errors
    /// When the key is none.
    pub fn author(&self) -> Result<Author, String> {
        let name = self.name.trim();
        if name.is_empty() {
            return Err("An official has no name: give it.".into());
        }
        let key = read_key(&self.key).map_err(|why| format!("{name}: {why}"))?;
        Ok(Author::new(key, name, self.role()))
    }
}

/// A public key from the 64 hexadecimal digits that a phone shows.
///
/// # Errors
/// What is wrong with it.
pub fn read_key(text: &str) -> Result<PublicKey, String> {
    let digits: Vec<u8> = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .filter_map(|c| c.to_digit(16))
        .filter_map(|d| u8::try_from(d).ok())
        .collect();
    let odd = text
        .chars()
        .any(|c| !c.is_whitespace() && !c.is_ascii_hexdigit());
    if odd || digits.len() != 2 * PublicKey::LEN {
        return Err(format!(
            "A public key has {} digits and letters from a to f; here are {}{}.",
            2 * PublicKey::LEN,
            digits.len(),
            if odd { " and other signs" } else { "" }
        ));
    }
    let bytes: Vec<u8> = digits
        .chunks(2)
        .map(|pair| pair[0] << 4 | pair[1])
        .collect();
    PublicKey::from_bytes(&bytes).map_err(|why| why.to_string())
}

/// A game of the schedule in one line, as an official looks for it.
pub fn fixture_line(charter: &Charter, game: &Scheduled) -> String {
    let when = charter
        .clock(game)
        .map_or_else(|| crate::clock::time_of_day(game.starts), |c| c.to_string());
    let side = |team: &Option<String>| match team {
        Some(team) => isolated(team).into_owned(),
        None => "to be played for".into(),
    };
    let teams = match (&game.guest, &game.home) {
        (None, None) => "teams to be played for".to_string(),
        (guest, home) => format!("{} at {}", side(guest), side(home)),
    };
    format!("{when}, {}: {teams}", game.court)
}
