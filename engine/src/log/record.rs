//! A game as one author recorded it: the verified chain and the game it folds
//! to, always in step.

use alloc::vec::Vec;

use crate::Problems;
use crate::message::localized;

use super::body::{Body, Care, CoSign, CodeAnswer, CodeCheck, LeftOpen, Ruling, Statement};
use super::bounds::TooLarge;
use super::chain::{Chain, ChainError, PushOutcome, entry_number};
use super::entry::Entry;
use super::officiating::{Crew, Incident, ProtestCase};
use super::setup::SetupObjection;
use super::signed::{Unsigned, Verified};
use super::takeover::Takeover;
use super::{Decision, Draw, Event, Hash, History, Opening, PublicKey, RecordObjection, Role};

/// Why an entry cannot be recorded.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RecordError {
    /// The entry or its place in the chain.
    #[message(transparent)]
    Chain(#[from] ChainError),
    /// A field is too long.
    #[message(transparent)]
    TooLarge(#[from] TooLarge),
    /// The setup gives no game: every objection to it.
    #[message(objections = _0)]
    Setup(Problems<SetupObjection>),
    /// The event does not fit the game.
    #[message(transparent)]
    Refused(RecordObjection),
    /// A final statement that says something else than the entries do.
    #[message(transparent)]
    Misstated(Misstatement),
}

/// A signed final statement that its own log contradicts.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[message(
    differs = self.difference(),
    seq = entry_number(*seq),
    guests = signed.score.guest,
    home = signed.score.home,
    recorded_guests = recorded.score.guest,
    recorded_home = recorded.score.home,
    plays = signed.plays,
    conflicts = signed.conflicts,
    recorded_plays = recorded.plays,
    recorded_conflicts = recorded.conflicts
)]
pub struct Misstatement {
    /// Sequence number of the statement.
    pub seq: u64,
    /// What is signed.
    pub signed: Statement,
    /// What the entries before it give.
    pub recorded: Statement,
}

impl Misstatement {
    /// What differs first.
    fn difference(&self) -> &'static str {
        let Self {
            signed, recorded, ..
        } = self;
        if signed.score != recorded.score {
            "score"
        } else if signed.finish != recorded.finish {
            "finish"
        } else {
            "plays"
        }
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
    misstatements: Vec<Misstatement>,
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
        let fixture = chain.opening().fixture();
        let mut history = History::new(fixture.map_err(RecordError::Setup)?);
        let mut misstatements = Vec::new();
        for entry in chain.entries() {
            fold(&mut history, &mut misstatements, entry);
        }
        Ok(Self {
            chain,
            history,
            misstatements,
        })
    }

    /// Judges a body and prepares the next entry.
    ///
    /// # Errors
    /// When an event does not fit the game, or a field is too long.
    pub fn draft(&self, body: Body, claimed_ms: u64) -> Result<Unsigned, RecordError> {
        if let Some(event) = event_of(&body) {
            self.history.check(&event).map_err(RecordError::Refused)?;
        }
        if let Body::Statement(signed) = &body {
            let seq = self.next_seq();
            let wrong = misstated(&self.history, seq, signed);
            wrong.map_or(Ok(()), |wrong| Err(RecordError::Misstated(wrong)))?;
        }
        Ok(self.chain.draft(body, claimed_ms)?)
    }

    /// Adds a verified entry and folds it.
    ///
    /// # Errors
    /// When it does not continue the chain; nothing changes then, but that a
    /// fork is kept as proof.
    pub fn push(&mut self, entry: Entry<Verified>) -> Result<PushOutcome, RecordError> {
        let before = self.chain.entries().len();
        let pushed = self.chain.push(entry)?;
        self.fold_from(before);
        Ok(pushed)
    }

    /// Reads, verifies and adds an entry.
    ///
    /// # Errors
    /// As [`GameRecord::push`], and when the bytes are no entry.
    pub fn push_bytes(&mut self, bytes: &[u8]) -> Result<PushOutcome, RecordError> {
        let before = self.chain.entries().len();
        let pushed = self.chain.push_bytes(bytes)?;
        self.fold_from(before);
        Ok(pushed)
    }

    fn fold_from(&mut self, before: usize) {
        let fresh = self.chain.entries().get(before..).unwrap_or_default();
        for entry in fresh {
            fold(&mut self.history, &mut self.misstatements, entry);
        }
    }

    /// The final statement of the record as it now stands, to be drafted.
    #[must_use]
    pub fn statement(&self) -> Body {
        let (head, entries) = (self.head(), self.next_seq());
        Body::Statement(stated(&self.history, head, entries))
    }

    /// Every final statement that says something else than the entries before
    /// it do, in order.
    #[must_use]
    pub fn misstatements(&self) -> &[Misstatement] {
        &self.misstatements
    }

    /// What is wrong with the last final statement, when nothing that changes
    /// the game was recorded after it: then the record is not signed off.
    #[must_use]
    pub fn misstatement(&self) -> Option<&Misstatement> {
        let (entry, _) = self.last_statement()?;
        let seq = entry.payload().seq;
        self.misstatements.iter().find(|m| m.seq == seq)
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
        /// Who umpired where, the last one counts.
        crews -> Crew,
        /// Incident reports.
        incidents -> Incident,
        /// Protests filed and decided.
        protest_cases -> ProtestCase,
        /// Final statements, the last one counts.
        statements -> Statement,
        /// Signatures under statements.
        co_signs -> CoSign,
        /// Marks that it goes on from another official's record.
        takeovers -> Takeover,
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

    /// Whether the official found the same code on both phones after the last
    /// ruling and the last difference left standing: the other phone has them.
    #[must_use]
    pub fn found_same_since_rulings(&self) -> bool {
        let left = self.left_open().map(|(seq, _)| seq);
        let last = self.rulings().map(|(seq, _)| seq).chain(left).max();
        let mut same = self.code_checks().rev();
        same.any(|(seq, c)| c.answer == CodeAnswer::Same && Some(seq) > last)
    }

    /// The final statement in force: the last one, if nothing that changes the
    /// game was recorded after it, and it says what the entries say.
    #[must_use]
    pub fn signed_off(&self) -> Option<(&Entry<Verified>, &Statement)> {
        let last = self.last_statement();
        last.filter(|_| self.misstatement().is_none())
    }

    fn last_statement(&self) -> Option<(&Entry<Verified>, &Statement)> {
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

/// The final statement of a history, under this entry and after so many.
fn stated(history: &History, head: Hash, entries: u64) -> Statement {
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Statement {
        score: history.game().score(),
        finish: history.game().ending().into(),
        head,
        entries,
        plays: count(history.plays().count()),
        conflicts: count(history.conflicts().count()),
    }
}

/// How a statement at this place contradicts the history before it, if it does.
fn misstated(history: &History, seq: u64, signed: &Statement) -> Option<Misstatement> {
    // Its place in the chain is checked there.
    let recorded = stated(history, signed.head, signed.entries);
    (recorded != *signed).then(|| Misstatement {
        seq,
        signed: signed.clone(),
        recorded,
    })
}

/// What an entry does to the game, and whether it says what the game is.
fn fold(history: &mut History, wrong: &mut Vec<Misstatement>, entry: &Entry<Verified>) {
    let seq = entry.payload().seq;
    match (entry.body(), event_of(entry.body())) {
        (_, Some(event)) => history.push(seq, event),
        (Body::Statement(signed), None) => wrong.extend(misstated(history, seq, signed)),
        _ => {}
    }
}

/// What a body does to the game, if anything.
pub(super) fn event_of(body: &Body) -> Option<Event> {
    match body {
        Body::Event(event) => Some(event.clone()),
        Body::Ruling(ruling) => ruling.correction.clone().map(Event::Settle),
        _ => None,
    }
}
