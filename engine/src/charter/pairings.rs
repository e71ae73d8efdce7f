//! Who plays in the games of a schedule whose sides were to be played for.
//!
//! ```text
//! pairings = [ "chalkbook:pairings", event, [* [number, guest, home]] ]
//! event    = bytes .size 32   ; hash of the charter's first version
//! number   = uint             ; of the fixture
//! ```
//! It is a proposal for a form, signed by nobody: the game itself is held
//! against the charter, and the tables follow from the signed records alone.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Charter, Scheduled};
use crate::competition::bracket::Progress;
use crate::competition::schedule::{Participant, Schedule};
use crate::log::Hash;
use crate::message::localized;

/// Two teams that meet in a fixture.
#[derive(Clone, Debug, PartialEq, Eq, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Pairing {
    /// The fixture's number.
    #[n(0)]
    pub fixture: u32,
    /// The guests.
    #[n(1)]
    pub guest: String,
    /// The home side.
    #[n(2)]
    pub home: String,
}

/// The pairings of an event that follow from its results so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pairings {
    /// The event: the hash of its charter's first version.
    pub event: Hash,
    /// One for each fixture that was open in the charter and is known now.
    pub games: Vec<Pairing>,
}

/// The bytes are no pairings.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub struct NotPairings;

impl Pairings {
    const MARK: &'static str = "chalkbook:pairings";

    /// What the results say of the fixtures that the charter leaves open.
    #[must_use]
    pub fn of(event: Hash, charter: &Charter, schedule: &Schedule, progress: &Progress) -> Self {
        let name = |side: Participant| {
            let team = progress.team(side)?;
            Some(schedule.entrants().name(team).to_string())
        };
        let known = charter.fixtures.iter().filter_map(|fixture| {
            let game = schedule.game(fixture.number)?;
            Some(Pairing {
                fixture: fixture.number,
                guest: name(game.guest)?,
                home: name(game.home)?,
            })
        });
        let mut all = Self {
            event,
            games: known.collect(),
        };
        all.keep_fitting(charter);
        all
    }

    /// Leaves out what the charter does not leave open, and teams that are not
    /// its own: what comes from elsewhere fills gaps and nothing more.
    pub fn keep_fitting(&mut self, charter: &Charter) {
        let is_open = |p: &Pairing| {
            let fixture = charter.fixture(p.fixture);
            fixture.is_some_and(|f| f.guest.is_none() || f.home.is_none())
        };
        let are_teams = |p: &Pairing| {
            let known = |name: &str| charter.team(name).is_some();
            known(&p.guest) && known(&p.home) && p.guest != p.home
        };
        self.games.retain(|p| is_open(p) && are_teams(p));
        self.games.dedup_by_key(|p| p.fixture);
    }

    /// A fixture with its open sides filled in, as far as they are known here.
    #[must_use]
    pub fn fill(&self, fixture: &Scheduled) -> Scheduled {
        let mut filled = fixture.clone();
        if let Some(found) = self.games.iter().find(|p| p.fixture == fixture.number) {
            filled.guest.get_or_insert_with(|| found.guest.clone());
            filled.home.get_or_insert_with(|| found.home.clone());
        }
        filled
    }

    /// The bytes to show or keep.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        // Writing to memory cannot fail.
        minicbor::to_vec((Self::MARK, self.event, &self.games)).unwrap_or_default()
    }

    /// Reads pairings; whether they fit a charter is not looked at.
    ///
    /// # Errors
    /// [`NotPairings`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, NotPairings> {
        let mut d = minicbor::Decoder::new(bytes);
        let read: Result<(String, Hash, Vec<Pairing>), _> = d.decode();
        let (mark, event, games) = read.map_err(|_| NotPairings)?;
        if mark != Self::MARK || d.position() != bytes.len() {
            return Err(NotPairings);
        }
        Ok(Self { event, games })
    }
}
