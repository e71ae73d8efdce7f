//! What is fixed before the first play, and who keeps the log.

use alloc::string::{String, ToString};
use alloc::sync::Arc;
use alloc::vec::Vec;
use core::fmt;

use super::{GameId, GameMark, Hash, PublicKey};
use crate::Problems;
use crate::game::{Fixture, FixtureObjection};
use crate::message::localized;
use crate::rules::{BuiltIn, Edition, SettingError};
use crate::team::{BySide, Card, Side};

/// An edition of the rules as text: a built-in one and the values changed.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct EditionText {
    /// Name of the built-in edition.
    #[n(0)]
    pub base: String,
    /// The changed values as `(name, text)`, in the order of
    /// [`Edition::NAMES`].
    #[n(1)]
    pub changes: Vec<(String, String)>,
}

impl From<&Edition> for EditionText {
    fn from(edition: &Edition) -> Self {
        Self {
            base: edition.base().to_string(),
            changes: edition
                .changes()
                .into_iter()
                .map(|(name, text)| (name.to_string(), text))
                .collect(),
        }
    }
}

impl fmt::Display for EditionText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the {} rules", self.base)?;
        for (i, (name, value)) in self.changes.iter().enumerate() {
            write!(f, "{}{name} {value}", if i == 0 { " with " } else { ", " })?;
        }
        Ok(())
    }
}

/// Why the text of an edition gives none.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditionTextError {
    /// No built-in edition has this name.
    #[message(name = _0)]
    UnknownBase(String),
    /// A change is refused.
    #[message(transparent)]
    Setting(SettingError),
}

impl EditionText {
    /// The edition.
    ///
    /// # Errors
    /// When the built-in name is unknown or a change is refused.
    pub fn edition(&self) -> Result<Edition, EditionTextError> {
        let base: BuiltIn = self
            .base
            .parse()
            .map_err(|_| EditionTextError::UnknownBase(self.base.clone()))?;
        let changes = self.changes.iter().map(|(n, t)| (n.as_str(), t.as_str()));
        Edition::built_in(base)
            .with_all(changes)
            .map_err(EditionTextError::Setting)
    }
}

/// How it was decided who is home.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum HomeBy {
    /// By a toss.
    #[n(0)]
    Toss {
        /// The side that won the toss.
        #[n(0)]
        won_by: Side,
    },
    /// By the schedule.
    #[n(1)]
    Schedule,
    /// By agreement.
    #[n(2)]
    Agreement,
}

/// What both officials fix before the first play. Its hash is the game id, so
/// the second phone takes the setup from the first (or both from one charter)
/// and each then writes its own log of the same game.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Setup {
    /// Keeps two games of the same teams apart: random, or [`GameMark::scheduled`].
    #[n(0)]
    pub mark: GameMark,
    /// Both line-up cards, as handed over.
    #[n(1)]
    pub cards: BySide<Card>,
    /// The edition of the rules.
    #[n(2)]
    pub edition: EditionText,
    /// Whether this is a practice game with invented teams.
    #[n(3)]
    pub demo: bool,
    /// What the game is, as "Harbour Cup, semi-final".
    #[n(4)]
    pub title: Option<String>,
    /// Name of the court.
    #[n(5)]
    pub court: Option<String>,
    /// Scheduled start, milliseconds since 1970 UTC.
    #[n(6)]
    pub starts: Option<u64>,
    /// Hash of the charter in force, where there is one.
    #[n(7)]
    pub charter: Option<Hash>,
    /// Number of the fixture in that charter.
    #[n(8)]
    pub fixture_number: Option<u32>,
    /// The court as set out, in the form the court tool writes.
    #[n(9)]
    #[cbor(with = "minicbor::bytes")]
    pub court_used: Option<Vec<u8>>,
    /// How it was decided who is home.
    #[n(10)]
    pub home_by: Option<HomeBy>,
}

/// Why a setup gives no game.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SetupObjection {
    /// The edition.
    #[message(transparent)]
    Edition(EditionTextError),
    /// One card.
    #[message(transparent)]
    Card(FixtureObjection),
    /// The log was opened by a program that knows other values of these rules.
    OtherValues {
        /// The program.
        program: String,
    },
}

impl Setup {
    /// Most bytes of a team's, player's or official's name.
    pub const NAME_LIMIT: usize = 120;
    /// Most bytes of a title or of a court's name.
    pub const TITLE_LIMIT: usize = 200;
    /// Most bytes of the court as set out.
    pub const COURT_LIMIT: usize = 4096;
    /// Most players on one card that a log keeps, whatever the edition allows.
    pub const PLAYERS_LIMIT: usize = 64;

    /// A setup of the two cards and an edition, everything else left out.
    #[must_use]
    pub fn new(mark: GameMark, cards: BySide<Card>, edition: &Edition) -> Self {
        Self {
            mark,
            cards,
            edition: edition.into(),
            demo: false,
            title: None,
            court: None,
            starts: None,
            charter: None,
            fixture_number: None,
            court_used: None,
            home_by: None,
        }
    }

    /// The game id: SHA-256 of the deterministic encoding of
    /// `["chalkbook:game", setup]`.
    #[must_use]
    pub fn game_id(&self) -> GameId {
        GameId(Hash::of(&self.to_bytes()).0)
    }

    /// The edition and line-ups that the game is played with. A card of fewer than
    /// five is taken too: of such a game only the forfeit can be recorded.
    ///
    /// # Errors
    /// Every objection to the edition and the cards.
    pub fn fixture(&self) -> Result<Arc<Fixture>, Problems<SetupObjection>> {
        let edition = self.edition.edition().map_err(SetupObjection::Edition)?;
        let fixture = Fixture::new(edition, &self.cards);
        fixture
            .map(Arc::new)
            .map_err(|wrong| wrong.map(SetupObjection::Card))
    }
}

/// What an official does.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Role {
    /// Umpire.
    #[n(0)]
    Umpire,
    /// Scorer.
    #[n(1)]
    Scorer,
    /// Organiser.
    #[n(2)]
    Organiser,
    /// Anyone else.
    #[n(3)]
    Other,
}

/// Who keeps a log: name and role as they say, and the key.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Author {
    /// Public key of the first entries.
    #[n(0)]
    pub key: PublicKey,
    /// Name, as the official gives it.
    #[n(1)]
    pub name: String,
    /// Role.
    #[n(2)]
    pub role: Role,
}

impl Author {
    /// Who keeps a log.
    #[must_use]
    pub fn new(key: PublicKey, name: impl Into<String>, role: Role) -> Self {
        let name = name.into();
        Self { key, name, role }
    }
}

/// The first entry of a log.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Opening {
    /// What both officials fixed.
    #[n(0)]
    pub setup: Setup,
    /// Who keeps this log.
    #[n(1)]
    pub author: Author,
    /// With what it was made: filled in when the opening is drafted.
    #[n(2)]
    pub made: Option<Provenance>,
}

/// The program that opened a log, and the rule values it judged by.
///
/// A built-in edition is named in a setup, its values stand in the program. So
/// that a later program never folds an old log by other values without a word,
/// the values are pinned by their hash.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Provenance {
    /// Name and version.
    #[n(0)]
    pub program: String,
    /// How many rule values there were, the first so many of
    /// [`Edition::NAMES`]: later programs only add at the end.
    #[n(1)]
    pub values: u8,
    /// Hash of these values ([`Edition::pin`]).
    #[n(2)]
    pub pin: Hash,
}

impl Provenance {
    /// This program, and an edition as it knows it.
    #[must_use]
    pub fn of(edition: &Edition) -> Self {
        let values = u8::try_from(Edition::NAMES.len()).unwrap_or(u8::MAX);
        Self {
            program: concat!("chalkbook ", env!("CARGO_PKG_VERSION")).to_string(),
            values,
            pin: edition.pin(values),
        }
    }
}

impl Opening {
    /// What opens an official's log of a game.
    #[must_use]
    pub const fn new(setup: Setup, author: Author) -> Self {
        Self {
            setup,
            author,
            made: None,
        }
    }

    /// The edition and line-ups that the game is played with, by the very rule
    /// values that the log was opened with.
    ///
    /// # Errors
    /// Every objection to the edition and the cards, or that this program knows
    /// other values.
    pub fn fixture(&self) -> Result<Arc<Fixture>, Problems<SetupObjection>> {
        let fixture = self.setup.fixture()?;
        match &self.made {
            Some(made) if fixture.edition().pin(made.values) != made.pin => {
                let program = made.program.clone();
                Err(SetupObjection::OtherValues { program }.into())
            }
            _ => Ok(fixture),
        }
    }
}
