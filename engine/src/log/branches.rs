//! Every verified entry that one author signed in one game, forks and what
//! follows from them included.
//!
//! A phone set back to an earlier state signs other entries with numbers it has
//! used before, and goes on from there. Whoever receives both must keep both:
//! nothing recorded is ever lost, and two entries with one number are proof.
//! A [`Chain`] is one line of entries; this holds the line that is shown and
//! beside it all others. Which one is shown depends on the entries alone, not
//! on the order in which they came: the longest, and of two equally long ones
//! the one whose last entry has the smaller hash.

use alloc::vec::Vec;

use super::body::Body;
use super::chain::{Chain, ChainError, Pushed};
use super::entry::{Entry, Payload, Verified};
use super::{Fingerprint, GameId, Hash, PublicKey};

/// What names a log: the game, and the key with which its author opened it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LogName {
    /// The game.
    pub game: GameId,
    /// Fingerprint of the key that the log was opened with.
    pub author: Fingerprint,
}

/// One log with all its branches.
#[derive(Clone, Debug)]
pub struct Branches {
    name: LogName,
    shown: Option<Chain>,
    aside: Vec<Entry<Verified>>,
}

/// Entries judged good, not yet added: so that they can be stored first.
#[derive(Clone, Debug, Default)]
pub struct Staged {
    fresh: Vec<Entry<Verified>>,
}

impl Staged {
    /// The entries that are new, in the order given.
    #[must_use]
    pub fn fresh(&self) -> &[Entry<Verified>] {
        &self.fresh
    }
}

impl Branches {
    /// Most entries beside the line shown.
    pub const ASIDE_LIMIT: usize = Chain::ENTRIES_LIMIT;

    /// A log of which nothing is there yet.
    #[must_use]
    pub const fn new(name: LogName) -> Self {
        Self {
            name,
            shown: None,
            aside: Vec::new(),
        }
    }

    /// What names it.
    #[must_use]
    pub const fn name(&self) -> LogName {
        self.name
    }

    /// The line shown; `None` while nothing is there.
    #[must_use]
    pub const fn shown(&self) -> Option<&Chain> {
        self.shown.as_ref()
    }

    /// Entries beside the line shown.
    #[must_use]
    pub fn aside(&self) -> &[Entry<Verified>] {
        &self.aside
    }

    /// The first sequence number that the author signed twice.
    #[must_use]
    pub fn forked_at(&self) -> Option<u64> {
        self.aside.iter().map(|e| e.payload().seq).min()
    }

    /// The next sequence number of the line shown.
    #[must_use]
    pub fn next_seq(&self) -> u64 {
        self.shown.as_ref().map_or(0, Chain::next_seq)
    }

    /// Hash of the last entry of the line shown.
    #[must_use]
    pub fn head(&self) -> Option<Hash> {
        self.shown.as_ref().map(Chain::head)
    }

    /// All entries, those beside the line shown too, by sequence number.
    #[must_use]
    pub fn entries(&self) -> Vec<&Entry<Verified>> {
        let shown = self.shown.as_ref().map_or(&[][..], Chain::entries);
        let mut all: Vec<_> = shown.iter().chain(&self.aside).collect();
        all.sort_by_key(|e| e.payload().seq);
        all
    }

    /// Judges the next entry of a batch without adding it; those staged before
    /// count as there.
    ///
    /// # Errors
    /// When the bytes are no entry of this log, or follow from none that is
    /// there.
    pub fn stage(&self, staged: &mut Staged, bytes: &[u8]) -> Result<Pushed, ChainError> {
        let entry = Entry::parse(bytes)?;
        let Payload {
            game,
            seq,
            previous,
            ..
        } = *entry.payload();
        if game != self.name.game {
            return Err(ChainError::WrongGame { found: game });
        }
        if self.has(staged, seq, bytes) {
            return Ok(Pushed::AlreadyThere);
        }
        let key = match previous {
            None => opening_key(&entry, self.name)?,
            Some(previous) => {
                let key = self.key_after(staged, seq, previous)?;
                if let Body::Opening(_) = entry.body() {
                    return Err(ChainError::SecondOpening { seq });
                }
                key
            }
        };
        if entry.kid() != key.fingerprint() {
            return Err(ChainError::WrongAuthor {
                found: entry.kid(),
                expected: key.fingerprint(),
            });
        }
        if let Body::Statement(s) = entry.body()
            && (Some(s.head) != previous || s.entries != seq)
        {
            return Err(ChainError::StatementOfAnotherRecord { seq });
        }
        let longest = u64::try_from(Chain::ENTRIES_LIMIT).unwrap_or(u64::MAX);
        let beside = self.aside.len() + staged.fresh.len();
        if seq >= longest || (seq < self.next_seq() && beside >= Self::ASIDE_LIMIT) {
            return Err(ChainError::Full);
        }
        staged.fresh.push(entry.verify(&key)?);
        Ok(Pushed::Added)
    }

    fn has(&self, staged: &Staged, seq: u64, bytes: &[u8]) -> bool {
        let shown = self.shown.as_ref().and_then(|c| c.at(seq));
        let aside = self.aside.iter().chain(&staged.fresh);
        shown
            .into_iter()
            .chain(aside.filter(|e| e.payload().seq == seq))
            .any(|e| e.bytes() == bytes)
    }

    /// The key that signs what follows after the entry with this hash.
    fn key_after(
        &self,
        staged: &Staged,
        seq: u64,
        previous: Hash,
    ) -> Result<PublicKey, ChainError> {
        let before = seq.checked_sub(1).ok_or(ChainError::BrokenLink { seq })?;
        let shown = self.shown.as_ref().and_then(|c| c.at(before));
        let beside = self.aside.iter().chain(&staged.fresh).rev();
        let named = |e: &&Entry<Verified>| e.payload().seq == before && e.hash() == previous;
        // Staged entries first: that is where a batch goes on.
        if let Some(parent) = beside.chain(shown).find(named) {
            return Ok(match parent.body() {
                Body::KeyChange(change) => change.key,
                _ => *parent.key(),
            });
        }
        let last = staged.fresh.last().map(|e| e.payload().seq + 1);
        let expected = last.unwrap_or(0).max(self.next_seq());
        if seq > expected {
            Err(ChainError::Gap {
                expected,
                found: seq,
            })
        } else {
            Err(ChainError::BrokenLink { seq })
        }
    }

    /// Adds what was staged with this log as it is.
    pub fn add(&mut self, staged: Staged) {
        for entry in staged.fresh {
            self.push(entry);
        }
    }

    fn push(&mut self, entry: Entry<Verified>) {
        let Payload { seq, previous, .. } = *entry.payload();
        if self.shown.is_none() {
            // An opening: it was judged as one.
            self.shown = Chain::open(entry).ok();
            return;
        }
        if self.has(&Staged::default(), seq, entry.bytes()) {
            return;
        }
        let follows = previous == self.head();
        if let (Some(chain), true) = (&mut self.shown, follows)
            && chain.push(entry.clone()).is_ok()
        {
            return;
        }
        self.aside.push(entry);
        self.choose();
    }

    /// Shows the line that the entries alone decide on.
    fn choose(&mut self) {
        let key = |e: &Entry<Verified>| (core::cmp::Reverse(e.payload().seq), e.hash());
        let last = self.shown.as_ref().and_then(|c| c.entries().last());
        let best = self.aside.iter().map(key).min();
        if best >= last.map(key) {
            return self.note_forks();
        }
        let mut rest: Vec<Entry<Verified>> = Vec::new();
        let shown = self.shown.take();
        rest.extend(shown.iter().flat_map(|c| c.entries().iter().cloned()));
        rest.append(&mut self.aside);
        let mut line = Vec::new();
        let mut next = rest
            .iter()
            .enumerate()
            .min_by_key(|(_, e)| key(e))
            .map(|(at, _)| at);
        while let Some(at) = next {
            let entry = rest.swap_remove(at);
            let before = (entry.payload().seq.checked_sub(1), entry.payload().previous);
            line.push(entry);
            next = rest
                .iter()
                .position(|e| before.0 == Some(e.payload().seq) && before.1 == Some(e.hash()));
        }
        let mut line = line.into_iter().rev();
        self.shown = line.next().and_then(|opening| Chain::open(opening).ok());
        if let Some(chain) = &mut self.shown {
            for entry in line {
                // Judged before; the chain's own checks are the same.
                let _ = chain.push(entry);
            }
        }
        self.aside = rest;
        self.note_forks();
    }

    /// Lets the chain keep its proofs of what was signed twice.
    fn note_forks(&mut self) {
        if let Some(chain) = &mut self.shown {
            for entry in &self.aside {
                // Always refused as a fork: that is how the proof gets there.
                let _ = chain.push(entry.clone());
            }
        }
    }
}

/// The key of an opening that opens this log.
fn opening_key<S>(entry: &Entry<S>, name: LogName) -> Result<PublicKey, ChainError> {
    let Body::Opening(opening) = entry.body() else {
        return Err(ChainError::NotAnOpening);
    };
    let seq = entry.payload().seq;
    if seq != 0 {
        return Err(ChainError::SecondOpening { seq });
    }
    if opening.setup.game_id() != name.game {
        return Err(ChainError::OpeningOfAnotherGame);
    }
    let found = opening.author.key.fingerprint();
    if found != name.author {
        return Err(ChainError::WrongAuthor {
            found,
            expected: name.author,
        });
    }
    Ok(opening.author.key)
}

#[cfg(test)]
mod tests;
