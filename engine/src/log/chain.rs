//! One author's entries of one game, each bound to the one before.

use alloc::string::String;
use alloc::vec::Vec;

use super::body::Body;
use super::entry::{Entry, Payload};
use super::signed::{EntryError, Unsigned, Unverified, Verified};
use super::{
    Fingerprint, GameId, Hash, KeyChange, Opening, OutOfTime, Provenance, PublicKey, SecretKey,
    TooLarge, text,
};
use crate::message::localized;

/// Why an entry does not continue a chain.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChainError {
    /// The entry itself.
    #[message(transparent)]
    Entry(#[from] EntryError),
    /// A log starts with its opening.
    NotAnOpening,
    /// An opening that names another game than its own setup gives.
    OpeningOfAnotherGame,
    /// An opening after the first entry.
    #[message(seq = entry_number(*seq))]
    SecondOpening {
        /// Its sequence number.
        seq: u64,
    },
    /// Of another game.
    WrongGame {
        /// The game the entry is of.
        found: GameId,
    },
    /// By someone else than the author of this log.
    #[message(found = found.phrase(), expected = expected.phrase())]
    WrongAuthor {
        /// The key that signed it.
        found: Fingerprint,
        /// The key in force at its place.
        expected: Fingerprint,
    },
    /// Entries before it are missing.
    #[message(expected = entry_number(*expected), found = entry_number(*found))]
    Gap {
        /// The sequence number that comes next.
        expected: u64,
        /// The sequence number found.
        found: u64,
    },
    /// The missing entry comes later in the same file.
    #[message(found = entry_number(*found), expected = entry_number(*expected))]
    Reordered {
        /// The sequence number that comes next.
        expected: u64,
        /// The sequence number found.
        found: u64,
    },
    /// The author signed two different entries with one sequence number.
    #[message(seq = entry_number(*seq))]
    Fork {
        /// The sequence number.
        seq: u64,
    },
    /// Does not name the entry before it.
    #[message(seq = entry_number(*seq))]
    BrokenLink {
        /// Its sequence number.
        seq: u64,
    },
    /// A final statement that signs off another record than the one before it.
    #[message(seq = entry_number(*seq))]
    StatementOfAnotherRecord {
        /// Its sequence number.
        seq: u64,
    },
    /// A change to a key whose holder did not agree to it.
    #[message(seq = entry_number(*seq))]
    UnprovenKey {
        /// Its sequence number.
        seq: u64,
    },
    /// A change to a key that signed in this log before.
    #[message(seq = entry_number(*seq))]
    KeyUsedBefore {
        /// Its sequence number.
        seq: u64,
    },
    /// More entries than a log keeps.
    #[message(most = Chain::ENTRIES_LIMIT)]
    Full,
}

/// The number of an entry for people, who count from 1, as the entries of a file
/// are counted; sequence numbers count from 0.
#[must_use]
pub const fn entry_number(seq: u64) -> u64 {
    seq.saturating_add(1)
}

/// What became of an entry that fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PushOutcome {
    /// It is now the head.
    Added,
    /// The same bytes were there before; nothing changed.
    AlreadyThere,
}

/// Proof that an author signed two different entries with one sequence number:
/// both carry the author's good signature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fork {
    /// The entry in the chain.
    pub kept: Entry<Verified>,
    /// The other one.
    pub other: Entry<Verified>,
}

impl Fork {
    /// The sequence number signed twice.
    #[must_use]
    pub fn seq(&self) -> u64 {
        self.other.payload().seq
    }

    /// Both entries as a CBOR sequence. Whoever knows the author's key can
    /// check the proof without the rest of the log.
    #[must_use]
    pub fn proof(&self) -> Vec<u8> {
        [self.kept.bytes(), self.other.bytes()].concat()
    }
}

/// What names a log: the game, and the key with which its author opened it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LogName {
    /// The game.
    pub game: GameId,
    /// Fingerprint of the key that the log was opened with.
    pub author: Fingerprint,
}

/// One author's verified entries of one game.
#[derive(Clone, Debug)]
pub struct Chain {
    opening: Opening,
    game: GameId,
    entries: Vec<Entry<Verified>>,
    /// Each key with the sequence number from which it signs.
    keys: Vec<(u64, PublicKey)>,
    forks: Vec<Fork>,
}

impl Chain {
    /// Most entries of one author in one game.
    pub const ENTRIES_LIMIT: usize = 2000;
    /// Most forks kept; each is a proof of its own.
    pub const FORKS_LIMIT: usize = 16;

    /// Starts a chain with its opening.
    ///
    /// # Errors
    /// When the entry is no opening, or contradicts itself.
    pub fn open(first: Entry<Verified>) -> Result<Self, ChainError> {
        let Body::Opening(opening) = first.body() else {
            return Err(ChainError::NotAnOpening);
        };
        let Payload {
            game,
            seq,
            previous,
            ..
        } = first.payload();
        if *seq != 0 {
            return Err(ChainError::SecondOpening { seq: *seq });
        }
        if previous.is_some() {
            return Err(ChainError::BrokenLink { seq: 0 });
        }
        if *game != opening.setup.game_id() {
            return Err(ChainError::OpeningOfAnotherGame);
        }
        let author = opening.author.key;
        if *first.key() != author {
            return Err(ChainError::WrongAuthor {
                found: first.key().fingerprint(),
                expected: author.fingerprint(),
            });
        }
        Ok(Self {
            opening: opening.clone(),
            game: *game,
            keys: alloc::vec![(0, author)],
            entries: alloc::vec![first],
            forks: Vec::new(),
        })
    }

    /// Starts a chain from the bytes of its opening, checked with the key it
    /// gives for itself.
    ///
    /// # Errors
    /// As [`Entry::parse`], [`Entry::verify`] and [`Chain::open`].
    pub fn open_bytes(bytes: &[u8]) -> Result<Self, ChainError> {
        let entry = Entry::parse(bytes)?;
        let key = *entry.opening_key().ok_or(ChainError::NotAnOpening)?;
        Self::open(entry.verify(&key)?)
    }

    /// What names the log.
    #[must_use]
    pub fn name(&self) -> LogName {
        LogName {
            game: self.game,
            author: self.author().fingerprint(),
        }
    }

    /// Prepares the opening of a new log. Sign it, then [`Chain::open`].
    /// It says which program made it and by which rule values. Control
    /// characters in its texts are left out, and a clock that was never
    /// set claims the nearest time that a log may name.
    ///
    /// # Errors
    /// When a field is longer than a log keeps.
    pub fn draft_opening(opening: Opening, claimed_ms: u64) -> Result<Unsigned, TooLarge> {
        let mut opening = text::cleaned(opening);
        opening.setup.starts = opening.setup.starts.map(OutOfTime::nearest);
        let edition = opening.setup.edition.edition();
        opening.made = edition.ok().map(|edition| Provenance::of(&edition));
        let key = opening.author.key;
        let payload = Payload {
            game: opening.setup.game_id(),
            seq: 0,
            previous: None,
            claimed_ms: OutOfTime::nearest(claimed_ms),
            body: Body::Opening(opening),
        };
        Unsigned::new(payload, key)
    }

    /// Prepares the next entry. Sign it, then [`Chain::push`]. Control
    /// characters and times are as in [`Chain::draft_opening`].
    ///
    /// # Errors
    /// When a field is longer than a log keeps.
    pub fn draft(&self, body: Body, claimed_ms: u64) -> Result<Unsigned, TooLarge> {
        let payload = Payload {
            game: self.game,
            seq: self.next_seq(),
            previous: Some(self.head()),
            claimed_ms: OutOfTime::nearest(claimed_ms),
            body: text::cleaned(body),
        };
        Unsigned::new(payload, *self.key())
    }

    /// The change to a key held here, as the next entry of this chain.
    #[must_use]
    pub fn key_change(&self, new: &SecretKey, reason: String) -> KeyChange {
        KeyChange::signed(
            self.game,
            self.key().fingerprint(),
            self.next_seq(),
            new,
            reason,
        )
    }

    /// Adds the next entry. The same entry again changes nothing; another with
    /// a sequence number already there, after the same entry, is kept as a
    /// [`Fork`].
    ///
    /// # Errors
    /// When the entry does not continue this chain.
    pub fn push(&mut self, entry: Entry<Verified>) -> Result<PushOutcome, ChainError> {
        let Payload {
            game,
            seq,
            previous,
            ..
        } = entry.payload();
        let (game, seq, previous) = (*game, *seq, *previous);
        if game != self.game {
            return Err(ChainError::WrongGame { found: game });
        }
        let next = self.next_seq();
        if !self.follows(seq, previous) {
            return Err(match seq > next {
                true => ChainError::Gap {
                    expected: next,
                    found: seq,
                },
                false => ChainError::BrokenLink { seq },
            });
        }
        let expected = self.key_at(seq);
        if entry.key() != expected {
            return Err(ChainError::WrongAuthor {
                found: entry.kid(),
                expected: expected.fingerprint(),
            });
        }
        if let Some(there) = self.at(seq) {
            if there.bytes() == entry.bytes() {
                return Ok(PushOutcome::AlreadyThere);
            }
            self.note_fork(&entry);
            return Err(ChainError::Fork { seq });
        }
        if self.entries.len() >= Self::ENTRIES_LIMIT {
            return Err(ChainError::Full);
        }
        match entry.body() {
            Body::Opening(_) => return Err(ChainError::SecondOpening { seq }),
            Body::KeyChange(change) if !change.is_proven(game, entry.kid(), seq) => {
                return Err(ChainError::UnprovenKey { seq });
            }
            Body::KeyChange(change) if self.keys.iter().any(|(_, k)| *k == change.key) => {
                return Err(ChainError::KeyUsedBefore { seq });
            }
            Body::Statement(s) if s.head != self.head() || s.entries != seq => {
                return Err(ChainError::StatementOfAnotherRecord { seq });
            }
            Body::KeyChange(change) => self.keys.push((seq.saturating_add(1), change.key)),
            _ => {}
        }
        self.entries.push(entry);
        Ok(PushOutcome::Added)
    }

    /// Keeps the proof that a number of this chain was signed twice, up to
    /// [`Chain::FORKS_LIMIT`] of them. What another key signed proves nothing.
    pub(super) fn note_fork(&mut self, other: &Entry<Verified>) {
        let seq = other.payload().seq;
        if self.forks.len() >= Self::FORKS_LIMIT || self.key_at(seq) != other.key() {
            return;
        }
        let known = self.forks.iter().any(|f| f.other.hash() == other.hash());
        if let (Some(kept), false) = (self.at(seq).cloned(), known) {
            let other = other.clone();
            self.forks.push(Fork { kept, other });
        }
    }

    /// The first so many entries as a chain, without its forks; `None` for 0.
    #[must_use]
    pub fn first(&self, entries: u64) -> Option<Self> {
        self.clone().cut(entries).0
    }

    /// Takes the entries from a sequence number on out of the chain; `None` in
    /// its place where none is left. Its forks are no longer known.
    pub(super) fn cut(mut self, from: u64) -> (Option<Self>, Vec<Entry<Verified>>) {
        let at = usize::try_from(from).unwrap_or(usize::MAX);
        let rest = self.entries.split_off(at.min(self.entries.len()));
        self.keys.retain(|(signs_from, _)| *signs_from <= from);
        self.forks.clear();
        let kept = (!self.entries.is_empty()).then_some(self);
        (kept, rest)
    }

    /// Reads, verifies and adds the next entry.
    ///
    /// # Errors
    /// When the bytes are no entry, or it does not continue this chain.
    pub fn push_bytes(&mut self, bytes: &[u8]) -> Result<PushOutcome, ChainError> {
        let entry = Entry::parse(bytes)?;
        self.push_unverified(entry)
    }

    pub(super) fn push_unverified(
        &mut self,
        entry: Entry<Unverified>,
    ) -> Result<PushOutcome, ChainError> {
        let Payload {
            game,
            seq,
            previous,
            ..
        } = *entry.payload();
        if game != self.game {
            return Err(ChainError::WrongGame { found: game });
        }
        // Where it follows from an entry that is here, that entry says whose
        // signature it needs. Elsewhere its own word does, and nothing is added.
        let in_force = *self.key_at(seq);
        let key = match self.follows(seq, previous) {
            true => (entry.kid() == in_force.fingerprint()).then_some(in_force),
            false => self.key_named(entry.kid()).copied(),
        };
        let key = key.ok_or(ChainError::WrongAuthor {
            found: entry.kid(),
            expected: in_force.fingerprint(),
        })?;
        self.push(entry.verify(&key)?)
    }

    /// Whether an entry with this number names the entry of this chain before
    /// that number; an opening has none.
    pub(super) fn follows(&self, seq: u64, previous: Option<Hash>) -> bool {
        match (seq.checked_sub(1), previous) {
            (None, None) => true,
            (Some(before), Some(previous)) => self.at(before).is_some_and(|e| e.hash() == previous),
            _ => false,
        }
    }

    /// The opening.
    #[must_use]
    pub fn opening(&self) -> &Opening {
        &self.opening
    }

    /// The game.
    #[must_use]
    pub fn game(&self) -> GameId {
        self.game
    }

    /// The key the log was opened with: the author's identity in this game.
    #[must_use]
    pub fn author(&self) -> &PublicKey {
        &self.opening.author.key
    }

    /// The key that signs the next entry.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        self.keys.last().map_or(self.author(), |(_, key)| key)
    }

    /// Every key of this log with the sequence number from which it signs.
    #[must_use]
    pub fn keys(&self) -> &[(u64, PublicKey)] {
        &self.keys
    }

    /// The key in force at a sequence number.
    #[must_use]
    pub fn key_at(&self, seq: u64) -> &PublicKey {
        let later = self.keys.partition_point(|(from, _)| *from <= seq);
        let earlier = later.checked_sub(1).and_then(|at| self.keys.get(at));
        earlier.map_or(self.author(), |(_, key)| key)
    }

    pub(super) fn key_named(&self, kid: Fingerprint) -> Option<&PublicKey> {
        let named = |(_, key): &&(u64, PublicKey)| key.fingerprint() == kid;
        self.keys.iter().rev().find(named).map(|(_, key)| key)
    }

    /// The entries in order, the opening first.
    #[must_use]
    pub fn entries(&self) -> &[Entry<Verified>] {
        &self.entries
    }

    /// The entry with a sequence number.
    #[must_use]
    pub fn at(&self, seq: u64) -> Option<&Entry<Verified>> {
        self.entries.get(usize::try_from(seq).ok()?)
    }

    /// Hash of the last entry.
    #[must_use]
    pub fn head(&self) -> Hash {
        let last = self.entries.last();
        last.map_or(Hash([0; Hash::LEN]), Entry::hash)
    }

    /// The sequence number of the next entry.
    #[must_use]
    pub fn next_seq(&self) -> u64 {
        u64::try_from(self.entries.len()).unwrap_or(u64::MAX)
    }

    /// The forks found.
    #[must_use]
    pub fn forks(&self) -> &[Fork] {
        &self.forks
    }

    /// The whole log as a CBOR sequence, byte for byte as it was signed.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        self.entries
            .iter()
            .flat_map(|e| e.bytes())
            .copied()
            .collect()
    }
}

#[cfg(test)]
mod tests;
