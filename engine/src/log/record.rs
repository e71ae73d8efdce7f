//! A game as one author recorded it: the verified chain and the game it folds
//! to, always in step.

use alloc::vec::Vec;
use core::fmt;

use super::body::{Body, Care, CoSign, CodeCheck, LeftOpen, Migrated, Ruling, Statement, TooLarge};
use super::chain::{Chain, ChainError, Pushed};
use super::entry::{Entry, Unsigned, Verified};
use super::setup::SetupObjection;
use super::{Decision, Draw, Event, Hash, History, Opening, PublicKey, RecordObjection, Role};

/// Why an entry cannot be recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RecordError {
    /// The entry or its place in the chain.
    Chain(ChainError),
    /// A field is too long.
    TooLarge(TooLarge),
    /// The setup gives no game: every objection to it.
    Setup(Vec<SetupObjection>),
    /// The event does not fit the game.
    Refused(RecordObjection),
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Chain(e) => e.fmt(f),
            Self::TooLarge(e) => e.fmt(f),
            Self::Refused(e) => e.fmt(f),
            Self::Setup(wrong) => {
                for (i, o) in wrong.iter().enumerate() {
                    write!(f, "{}{o}", if i == 0 { "" } else { " " })?;
                }
                Ok(())
            }
        }
    }
}

impl core::error::Error for RecordError {}

impl From<ChainError> for RecordError {
    fn from(e: ChainError) -> Self {
        Self::Chain(e)
    }
}

impl From<TooLarge> for RecordError {
    fn from(e: TooLarge) -> Self {
        Self::TooLarge(e)
    }
}

/// A verified log with the game it records.
///
/// Recording is three steps, so that the signature can be made elsewhere:
/// [`GameRecord::draft`] judges the body and prepares the entry, the caller
/// signs [`Unsigned::to_be_signed`] and [`Unsigned::assemble`]s it, and
/// [`GameRecord::push`] adds it. Store [`Entry::bytes`] before showing it as
/// recorded.
#[derive(Clone, Debug)]
pub struct GameRecord {
    chain: Chain,
    history: History,
}

/// The entries of one kind with their sequence numbers.
macro_rules! of_kind {
    ($( $(#[$doc:meta])* $method:ident -> $kind:ident ),+ $(,)?) => { $(
        $(#[$doc])*
        pub fn $method(&self) -> impl DoubleEndedIterator<Item = (u64, &$kind)> {
            self.chain.entries().iter().filter_map(|e| match e.body() {
                Body::$kind(body) => Some((e.payload().seq, body)),
                _ => None,
            })
        }
    )+ };
}

impl GameRecord {
    /// Prepares the opening of a new log.
    ///
    /// # Errors
    /// When the setup gives no game, or a field is too long.
    pub fn draft_opening(opening: Opening, claimed_ms: u64) -> Result<Unsigned, RecordError> {
        opening.setup.fixture().map_err(RecordError::Setup)?;
        Ok(Chain::draft_opening(opening, claimed_ms)?)
    }

    /// Starts a record with its opening.
    ///
    /// # Errors
    /// When the entry is no opening, or its setup gives no game.
    pub fn open(opening: Entry<Verified>) -> Result<Self, RecordError> {
        Self::replay(Chain::open(opening)?)
    }

    /// Folds a verified chain. Entries that do not fit the game are kept and
    /// named by the history, never dropped.
    ///
    /// # Errors
    /// When the setup gives no game.
    pub fn replay(chain: Chain) -> Result<Self, RecordError> {
        let fixture = chain.opening().setup.fixture();
        let mut history = History::new(fixture.map_err(RecordError::Setup)?);
        for entry in chain.entries() {
            if let Some(event) = event_of(entry.body()) {
                history.push(entry.payload().seq, event);
            }
        }
        Ok(Self { chain, history })
    }

    /// Judges a body and prepares the next entry.
    ///
    /// # Errors
    /// When an event does not fit the game, or a field is too long.
    pub fn draft(&self, body: Body, claimed_ms: u64) -> Result<Unsigned, RecordError> {
        if let Some(event) = event_of(&body) {
            self.history.check(&event).map_err(RecordError::Refused)?;
        }
        Ok(self.chain.draft(body, claimed_ms)?)
    }

    /// Adds a verified entry and folds it.
    ///
    /// # Errors
    /// When it does not continue the chain; nothing changes then, but that a
    /// fork is kept as proof.
    pub fn push(&mut self, entry: Entry<Verified>) -> Result<Pushed, RecordError> {
        let event = event_of(entry.body());
        let seq = entry.payload().seq;
        let pushed = self.chain.push(entry)?;
        if let (Pushed::Added, Some(event)) = (pushed, event) {
            self.history.push(seq, event);
        }
        Ok(pushed)
    }

    /// Reads, verifies and adds an entry.
    ///
    /// # Errors
    /// As [`GameRecord::push`], and when the bytes are no entry.
    pub fn push_bytes(&mut self, bytes: &[u8]) -> Result<Pushed, RecordError> {
        let before = self.chain.entries().len();
        let pushed = self.chain.push_bytes(bytes)?;
        if let Some(entry) = self.chain.entries().get(before)
            && let Some(event) = event_of(entry.body())
        {
            self.history.push(entry.payload().seq, event);
        }
        Ok(pushed)
    }

    /// The final statement of the record as it now stands, to be drafted.
    #[must_use]
    pub fn statement(&self) -> Body {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Body::Statement(Statement {
            score: self.history.game().score(),
            finish: self.history.game().ending().into(),
            head: self.head(),
            entries: self.next_seq(),
            plays: count(self.history.plays().count()),
            conflicts: count(self.history.conflicts().count()),
        })
    }

    /// The game in force, every event, and what a correction made impossible.
    #[must_use]
    pub fn history(&self) -> &History {
        &self.history
    }

    /// The verified entries.
    #[must_use]
    pub fn chain(&self) -> &Chain {
        &self.chain
    }

    /// The opening.
    #[must_use]
    pub fn opening(&self) -> &Opening {
        self.chain.opening()
    }

    /// Hash of the last entry.
    #[must_use]
    pub fn head(&self) -> Hash {
        self.chain.head()
    }

    /// The sequence number of the next entry.
    #[must_use]
    pub fn next_seq(&self) -> u64 {
        self.chain.next_seq()
    }

    /// The key that signs the next entry.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        self.chain.key()
    }

    of_kind! {
        /// Comparisons of check codes.
        code_checks -> CodeCheck,
        /// Agreed rulings.
        rulings -> Ruling,
        /// Differences left standing, settled ones included.
        left_open -> LeftOpen,
        /// Precautions checked.
        care -> Care,
        /// Final statements, the last one counts.
        statements -> Statement,
        /// Signatures under statements.
        co_signs -> CoSign,
        /// Marks of a log taken over from the unsigned form.
        migrated -> Migrated,
        /// An organiser's decisions, the last one counts.
        decisions -> Decision,
        /// Lots that an organiser drew.
        draws -> Draw,
    }

    /// Whether it is an organiser's log of decisions, in which no play or
    /// notice was recorded: no further record of the game.
    #[must_use]
    pub fn is_of_desk(&self) -> bool {
        self.opening().author.role == Role::Organiser && self.history.steps().is_empty()
    }

    /// The differences left standing that no later ruling names.
    pub fn disputes(&self) -> impl Iterator<Item = (u64, &LeftOpen)> {
        self.left_open().filter(|(at, open)| {
            let settles =
                |(seq, r): (u64, &Ruling)| seq > *at && r.own == open.own && r.other == open.other;
            !self.rulings().any(settles)
        })
    }

    /// The final statement in force: the last one, if nothing that changes the
    /// game was recorded after it.
    #[must_use]
    pub fn signed_off(&self) -> Option<(&Entry<Verified>, &Statement)> {
        for entry in self.chain.entries().iter().rev() {
            match entry.body() {
                Body::Statement(s) => return Some((entry, s)),
                Body::Event(_) | Body::Ruling(_) | Body::LeftOpen(_) => return None,
                _ => {}
            }
        }
        None
    }
}

/// What a body does to the game, if anything.
fn event_of(body: &Body) -> Option<Event> {
    match body {
        Body::Event(event) => Some(event.clone()),
        Body::Ruling(ruling) => ruling.correction.clone().map(Event::Settle),
        _ => None,
    }
}
