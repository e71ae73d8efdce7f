//! The event charter: what an organiser fixes and signs before the day, and
//! the versions of it that follow each other.
//!
//! ```text
//! payload = [format: 1, charter]     ; in a COSE_Sign1 like an entry's,
//!                                    ; external_aad "chalkbook:charter"
//! ```

use alloc::string::String;
use alloc::vec::Vec;

use crate::Problems;
use crate::log::text::cleaned;
use crate::log::{Author, Draw, EditionText, Hash, PublicKey};
use crate::team::Player;

mod arranged;
mod ended;
mod faults;
#[cfg(feature = "link")]
mod file;
mod history;
mod objection;
mod pairings;
mod signed;
#[cfg(test)]
mod tests;

pub use arranged::Arrangement;
pub use ended::{EndedKey, GoodPart};
pub use faults::CharterFault;
#[cfg(feature = "link")]
pub use file::CharterFileError;
pub use history::{Belonging, CharterHistory};
pub use objection::CharterObjection;
pub use pairings::{NotPairings, Pairing, Pairings};
pub use signed::{SignedCharter, SupersedeError, UnsignedCharter};

/// A team of the event and everyone who may play for it.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Team {
    /// Its name, as line-up cards give it.
    #[n(0)]
    pub name: String,
    /// Its roster.
    #[n(1)]
    pub roster: Vec<Player>,
}

/// One game of the schedule.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Scheduled {
    /// Its number in the schedule.
    #[n(0)]
    pub number: u32,
    /// What it is, as "Group A" or "Final".
    #[n(1)]
    pub title: String,
    /// The guests, once known.
    #[n(2)]
    pub guest: Option<String>,
    /// The home side, once known.
    #[n(3)]
    pub home: Option<String>,
    /// The court.
    #[n(4)]
    pub court: String,
    /// Start, milliseconds since 1970 UTC.
    #[n(5)]
    pub starts: u64,
    /// Which of the charter's editions holds, counted from 0.
    #[n(6)]
    pub edition: u8,
}

/// How players' names may be shown to others than the officials. For events
/// with minors choose initials or numbers, and follow local rules.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Privacy {
    /// Names in full.
    #[n(0)]
    Names,
    /// Initials and number.
    #[n(1)]
    Initials,
    /// Number only.
    #[n(2)]
    #[default]
    Numbers,
}

impl Privacy {
    /// A player as others may see them.
    #[must_use]
    pub fn shown(self, player: &Player) -> String {
        let number = player.shirt;
        let initials = || {
            let firsts = player
                .name
                .split_whitespace()
                .filter_map(|w| w.chars().next());
            firsts.flat_map(|c| [c, '.']).collect::<String>()
        };
        match (self, player.name.trim()) {
            (Self::Numbers, _) | (_, "") => alloc::format!("Number {number}"),
            (Self::Names, name) => alloc::format!("{name}, {number}"),
            (Self::Initials, _) => alloc::format!("{}, {number}", initials()),
        }
    }
}

/// What an organiser fixes for an event.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Charter {
    /// The event's name.
    #[n(0)]
    pub event: String,
    /// First day, as `2026-06-13` (RFC 3339 full-date).
    #[n(1)]
    pub date: String,
    /// Where.
    #[n(2)]
    pub place: String,
    /// The editions of the rules played; the first one where nothing else is said.
    #[n(3)]
    pub editions: Vec<EditionText>,
    /// The teams.
    #[n(4)]
    pub teams: Vec<Team>,
    /// The officials with their keys.
    #[n(5)]
    pub officials: Vec<Author>,
    /// The schedule.
    #[n(6)]
    pub fixtures: Vec<Scheduled>,
    /// How names may be shown.
    #[n(7)]
    pub privacy: Privacy,
    /// Whether someone with a key that is not listed may keep a log too.
    #[n(8)]
    pub open: bool,
    /// Version, from 1.
    #[n(9)]
    pub version: u32,
    /// Hash of the version it takes the place of.
    #[n(10)]
    pub supersedes: Option<Hash>,
    /// Who signs it.
    #[n(11)]
    pub organiser: Author,
    /// How the competition is arranged, where the app made its schedule: then
    /// its tables and its knock-out follow from the games.
    #[n(12)]
    pub arranged: Option<Arrangement>,
    /// Whether this is an event of practice, as a made-up one: its games are
    /// practice, count among themselves, and are no result of anybody.
    #[cbor(n(13), skip_if = "is_false")]
    pub practice: bool,
    /// The collectors whose receipts the organiser trusts: key and name; the
    /// role says nothing.
    #[cbor(n(14), default, skip_if = "Vec::is_empty")]
    pub collectors: Vec<Author>,
    /// Officials whose keys end from here on.
    #[cbor(n(15), default, skip_if = "Vec::is_empty")]
    pub ended: Vec<EndedKey>,
}

/// What is not practice says nothing of it.
fn is_false(practice: &bool) -> bool {
    !practice
}

impl Charter {
    /// Most teams.
    pub const TEAMS_LIMIT: usize = Draw::ORDER_LIMIT;
    /// Most officials.
    pub const OFFICIALS_LIMIT: usize = 256;
    /// Most fixtures.
    pub const FIXTURES_LIMIT: usize = 1024;
    /// Most collectors.
    pub const COLLECTORS_LIMIT: usize = 16;
    /// Most editions.
    pub const EDITIONS_LIMIT: usize = 8;

    /// The first version for an event of which nothing else is fixed yet: no
    /// teams, officials or schedule, names not published, logs of listed
    /// officials alone.
    #[must_use]
    pub fn new(event: &str, date: &str, organiser: Author) -> Self {
        Self {
            event: event.into(),
            date: date.into(),
            place: String::new(),
            editions: Vec::new(),
            teams: Vec::new(),
            officials: Vec::new(),
            fixtures: Vec::new(),
            privacy: Privacy::default(),
            open: false,
            version: 1,
            supersedes: None,
            organiser,
            arranged: None,
            practice: false,
            collectors: Vec::new(),
            ended: Vec::new(),
        }
    }

    /// A team by name.
    #[must_use]
    pub fn team(&self, name: &str) -> Option<&Team> {
        self.teams.iter().find(|t| t.name == name)
    }

    /// A fixture by number.
    #[must_use]
    pub fn fixture(&self, number: u32) -> Option<&Scheduled> {
        self.fixtures.iter().find(|g| g.number == number)
    }

    /// The edition a fixture is played under; the first one where none is said.
    #[must_use]
    pub fn edition_of(&self, fixture: Option<u32>) -> Option<&EditionText> {
        let named = fixture.and_then(|n| self.fixture(n));
        let index = named.map_or(0, |g| usize::from(g.edition));
        self.editions.get(index)
    }

    /// What a key is endorsed for: the name and role it is listed with.
    #[must_use]
    pub fn endorsement(&self, key: &PublicKey) -> Option<&Author> {
        let listed = self.officials.iter().chain([&self.organiser]);
        listed.into_iter().find(|o| o.key == *key)
    }

    /// Prepares the charter for signing with the organiser's key. Control
    /// characters in its texts are left out.
    ///
    /// # Errors
    /// Everything that is wrong inside it.
    pub fn draft(self) -> Result<UnsignedCharter, Problems<CharterFault>> {
        let charter = cleaned(self);
        Problems::none(charter.faults())?;
        let key = charter.organiser.key;
        Ok(UnsignedCharter::new(charter, key).map_err(CharterFault::TooLarge)?)
    }
}
