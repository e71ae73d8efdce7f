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

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;
use core::cmp::Reverse;

use super::body::Body;
use super::chain::{Chain, ChainError, LogName, PushOutcome};
use super::entry::{Entry, Payload};
use super::signed::Verified;
use super::{Fingerprint, Hash, PublicKey};

/// Where an entry stands: its sequence number, and its hash.
type Place = (u64, Hash);

fn place(entry: &Entry<Verified>) -> Place {
    (entry.payload().seq, entry.hash())
}

/// Where the entry before it stands.
fn parent(entry: &Entry<Verified>) -> Option<Place> {
    let Payload { seq, previous, .. } = *entry.payload();
    seq.checked_sub(1).zip(previous)
}

/// The key that signs what follows an entry.
fn signs_on(entry: &Entry<Verified>) -> Fingerprint {
    match entry.body() {
        Body::KeyChange(change) => change.key.fingerprint(),
        _ => entry.kid(),
    }
}

/// One log with all its branches.
#[derive(Clone, Debug)]
pub struct AuthorLog {
    name: LogName,
    shown: Option<Chain>,
    /// Found by place, so that a log with thousands beside the line shown costs
    /// each further entry no more than others do.
    aside: BTreeMap<Place, Entry<Verified>>,
    /// Every key that signs on any line.
    keys: BTreeSet<Fingerprint>,
    /// Entries that went from one line to another.
    #[cfg(test)]
    moved: usize,
}

/// Entries judged good, not yet added: so that they can be stored first.
#[derive(Clone, Debug, Default)]
pub struct StagedEntries {
    fresh: Vec<Entry<Verified>>,
    /// Where in `fresh` they are.
    places: BTreeMap<Place, usize>,
}

impl StagedEntries {
    /// The entries that are new, in the order given.
    #[must_use]
    pub fn fresh(&self) -> &[Entry<Verified>] {
        &self.fresh
    }
}

impl AuthorLog {
    /// Most entries beside the line shown.
    pub const ASIDE_LIMIT: usize = Chain::ENTRIES_LIMIT;

    /// A log of which nothing is there yet.
    #[must_use]
    pub const fn new(name: LogName) -> Self {
        Self {
            name,
            shown: None,
            aside: BTreeMap::new(),
            keys: BTreeSet::new(),
            #[cfg(test)]
            moved: 0,
        }
    }

    /// A log with one line.
    pub(super) fn of(chain: Chain) -> Self {
        let name = chain.name();
        Self {
            keys: chain.entries().iter().map(signs_on).collect(),
            shown: Some(chain),
            ..Self::new(name)
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

    /// Entries beside the line shown, by sequence number.
    pub fn aside(&self) -> impl Iterator<Item = &Entry<Verified>> {
        self.aside.values()
    }

    /// Whether this key signs on any line of the log.
    #[must_use]
    pub fn has_key(&self, kid: Fingerprint) -> bool {
        self.keys.contains(&kid)
    }

    /// The first sequence number that the author signed twice.
    #[must_use]
    pub fn forked_at(&self) -> Option<u64> {
        self.aside.keys().next().map(|(seq, _)| *seq)
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
        let mut all: Vec<_> = shown.iter().chain(self.aside()).collect();
        all.sort_by_key(|e| e.payload().seq);
        all
    }

    /// Judges the next entry of a batch without adding it; those staged before
    /// count as there.
    ///
    /// # Errors
    /// When the bytes are no entry of this log, or follow from none that is
    /// there.
    pub fn stage(
        &self,
        staged: &mut StagedEntries,
        bytes: &[u8],
    ) -> Result<PushOutcome, ChainError> {
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
        if self.has(staged, (seq, entry.hash())) {
            return Ok(PushOutcome::AlreadyThere);
        }
        let key = match previous {
            None => opening_key(&entry, self.name)?,
            Some(previous) => self.key_after(staged, seq, previous)?,
        };
        if entry.kid() != key.fingerprint() {
            return Err(ChainError::WrongAuthor {
                found: entry.kid(),
                expected: key.fingerprint(),
            });
        }
        let entry = entry.verify(&key)?;
        let limit = u64::try_from(Chain::ENTRIES_LIMIT).unwrap_or(u64::MAX);
        if seq >= limit || (seq < self.next_with(staged) && self.beside(staged) >= limit) {
            return Err(ChainError::Full);
        }
        match entry.body() {
            Body::Opening(_) if previous.is_some() => {
                return Err(ChainError::SecondOpening { seq });
            }
            Body::Statement(s) if Some(s.head) != previous || s.entries != seq => {
                return Err(ChainError::StatementOfAnotherRecord { seq });
            }
            Body::KeyChange(change) => {
                let new = change.key.fingerprint();
                if !change.is_proven(game, entry.kid(), seq) {
                    return Err(ChainError::UnprovenKey { seq });
                }
                if new == entry.kid() || self.used_before(staged, new, parent(&entry)) {
                    return Err(ChainError::KeyUsedBefore { seq });
                }
            }
            _ => {}
        }
        staged.places.insert(place(&entry), staged.fresh.len());
        staged.fresh.push(entry);
        Ok(PushOutcome::Added)
    }

    /// The next sequence number of the longest line once everything is added.
    fn next_with(&self, staged: &StagedEntries) -> u64 {
        let last = |places: Option<&Place>| places.map_or(0, |(seq, _)| seq + 1);
        last(staged.places.keys().next_back())
            .max(last(self.aside.keys().next_back()))
            .max(self.next_seq())
    }

    /// How many entries then stand beside the longest line.
    fn beside(&self, staged: &StagedEntries) -> u64 {
        let all = u64::try_from(self.aside.len() + staged.fresh.len()).unwrap_or(u64::MAX);
        (self.next_seq() + all).saturating_sub(self.next_with(staged))
    }

    /// Whether the entry with this number and hash is here, on any line.
    pub(super) fn holds(&self, seq: u64, hash: Hash) -> bool {
        self.has(&StagedEntries::default(), (seq, hash))
    }

    /// Whether a key signs before what follows the entry at this place.
    fn used_before(&self, staged: &StagedEntries, key: Fingerprint, mut at: Option<Place>) -> bool {
        while let Some(entry) = at.and_then(|at| self.find(staged, at)) {
            if entry.kid() == key {
                return true;
            }
            at = parent(entry);
        }
        false
    }

    fn has(&self, staged: &StagedEntries, place: Place) -> bool {
        self.find(staged, place).is_some()
    }

    fn find<'a>(&'a self, staged: &'a StagedEntries, place: Place) -> Option<&'a Entry<Verified>> {
        let shown = || self.shown.as_ref()?.at(place.0);
        let fresh = || staged.fresh.get(*staged.places.get(&place)?);
        let shown = shown().filter(|e| e.hash() == place.1);
        shown.or_else(|| self.aside.get(&place)).or_else(fresh)
    }

    /// The key that signs what follows after the entry with this hash.
    fn key_after(
        &self,
        staged: &StagedEntries,
        seq: u64,
        previous: Hash,
    ) -> Result<PublicKey, ChainError> {
        let before = seq.checked_sub(1).ok_or(ChainError::BrokenLink { seq })?;
        if let Some(parent) = self.find(staged, (before, previous)) {
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
    pub fn add(&mut self, staged: StagedEntries) {
        self.add_unsettled(staged);
        self.settle();
    }

    /// Adds entries without choosing anew which line is shown: [`settle`] must
    /// follow when all have come.
    ///
    /// [`settle`]: Self::settle
    pub(super) fn add_unsettled(&mut self, staged: StagedEntries) {
        for entry in staged.fresh {
            self.push(entry);
        }
    }

    fn push(&mut self, entry: Entry<Verified>) {
        if self.has(&StagedEntries::default(), place(&entry)) {
            return;
        }
        self.keys.insert(signs_on(&entry));
        let Some(chain) = &mut self.shown else {
            // An opening: it was judged as one.
            self.shown = Chain::open(entry).ok();
            return;
        };
        let follows = entry.payload().previous == Some(chain.head());
        if follows && chain.push(entry.clone()).is_ok() {
            return;
        }
        self.aside.insert(place(&entry), entry);
    }

    /// Shows the line that the entries alone decide on.
    pub(super) fn settle(&mut self) {
        self.choose();
        self.note_forks();
    }

    /// What both lines have in common stays where it is.
    fn choose(&mut self) {
        let Some(((seq, _), chain)) = self.aside.keys().next_back().zip(self.shown.as_ref()) else {
            return;
        };
        // Of the last number beside it, the smallest hash.
        let best = self.aside.range((*seq, Hash([0; Hash::LEN]))..).next();
        let Some(best) = best.map(|(place, _)| *place) else {
            return;
        };
        let shown = (Reverse(chain.next_seq().saturating_sub(1)), chain.head());
        if (Reverse(best.0), best.1) >= shown {
            return;
        }
        let mut line = Vec::new();
        let mut next = Some(best);
        // Ends where the line leaves the one shown.
        while let Some(entry) = next.and_then(|at| self.aside.remove(&at)) {
            next = parent(&entry);
            line.push(entry);
        }
        let from = line.last().map_or(0, |e| e.payload().seq);
        let (mut kept, rest) = match self.shown.take() {
            Some(chain) => chain.cut(from),
            None => (None, Vec::new()),
        };
        #[cfg(test)]
        {
            self.moved += line.len() + rest.len();
        }
        for entry in line.into_iter().rev() {
            match &mut kept {
                // Judged before; the chain's own checks are the same.
                Some(chain) => {
                    let _ = chain.push(entry);
                }
                None => kept = Chain::open(entry).ok(),
            }
        }
        self.aside.extend(rest.into_iter().map(|e| (place(&e), e)));
        self.shown = kept;
    }

    /// Lets the chain keep its proofs of what was signed twice.
    fn note_forks(&mut self) {
        let Some(chain) = &mut self.shown else { return };
        let mut aside = self.aside.values();
        while chain.forks().len() < Chain::FORKS_LIMIT
            && let Some(entry) = aside.next()
        {
            chain.note_fork(entry);
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
