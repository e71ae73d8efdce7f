//! The versions of an event's charter, put in order from whatever has come.
//!
//! Versions come in any order: by camera, as files, from a collector. Each
//! names the one it takes the place of, so their order follows from what they
//! say and who signed them, never from when they came: every phone and every
//! collector with the same versions has the same one in force.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;
use core::cmp::Reverse;

use super::{SignedCharter, SupersedeError};
use crate::log::{Hash, PublicKey, Role, Verified};

/// One event's charter versions that follow from each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CharterHistory {
    /// The line: each takes the place of the one before it. Never empty.
    versions: Vec<SignedCharter<Verified>>,
    /// Good versions beside the line, by version and hash: the organisers
    /// signed two that replace the same one.
    beside: Vec<SignedCharter<Verified>>,
}

impl CharterHistory {
    /// Most versions of one event that are kept, those beside the line
    /// included.
    pub const VERSIONS_LIMIT: usize = 256;

    /// A history of one version.
    #[must_use]
    pub fn new(first: SignedCharter<Verified>) -> Self {
        Self {
            versions: alloc::vec![first],
            beside: Vec::new(),
        }
    }

    /// Puts charters of any number of events in order: one history for each
    /// that replaces none of the others, by the hash of its first version.
    ///
    /// Where two replace the same one, the longer line holds, of equally long
    /// ones the one whose next version has the smaller hash. The others are
    /// kept beside it.
    #[must_use]
    pub fn gather(charters: impl IntoIterator<Item = SignedCharter<Verified>>) -> Vec<Self> {
        let mut all: BTreeMap<Hash, SignedCharter<Verified>> = BTreeMap::new();
        for charter in charters {
            all.entry(charter.hash()).or_insert(charter);
        }
        let mut next: BTreeMap<Hash, Vec<Hash>> = BTreeMap::new();
        let mut firsts = Vec::new();
        for (hash, charter) in &all {
            let older = charter.charter().supersedes.and_then(|h| all.get(&h));
            match older.filter(|older| charter.supersedes(older).is_ok()) {
                Some(older) => next.entry(older.hash()).or_default().push(*hash),
                None => firsts.push(*hash),
            }
        }
        // A version is one higher than the one it replaces, so the highest
        // numbers are the ends.
        let mut by_version: Vec<&Hash> = all.keys().collect();
        by_version.sort_by_key(|h| Reverse(all.get(*h).map(|c| c.charter().version)));
        let mut best: BTreeMap<Hash, (usize, Option<Hash>)> = BTreeMap::new();
        for hash in by_version {
            let later = next.get(hash).into_iter().flatten();
            let longest = later
                .map(|h| (best.get(h).map_or(1, |(length, _)| *length), Reverse(*h)))
                .max();
            let of_this = longest.map_or((1, None), |(length, Reverse(h))| (length + 1, Some(h)));
            best.insert(*hash, of_this);
        }
        let take = |first: Hash| {
            let mut line = alloc::vec![first];
            while let Some((_, Some(later))) = line.last().and_then(|h| best.get(h)) {
                line.push(*later);
            }
            let mut beside = Vec::new();
            let mut open = alloc::vec![first];
            while let Some(hash) = open.pop() {
                let later = next.get(&hash).into_iter().flatten();
                open.extend(later);
                if !line.contains(&hash) {
                    beside.push(hash);
                }
            }
            let get = |hash: &Hash| all.get(hash).cloned();
            let mut beside: Vec<_> = beside.iter().filter_map(get).collect();
            beside.sort_by_key(|c| (c.charter().version, c.hash()));
            Self {
                versions: line.iter().filter_map(get).collect(),
                beside,
            }
        };
        firsts.into_iter().map(take).collect()
    }

    /// The first version known, by whose hash an event is named when it is the
    /// very first.
    #[must_use]
    pub fn first(&self) -> &SignedCharter<Verified> {
        // Never empty: every way to make one puts a version in.
        #[allow(clippy::indexing_slicing)]
        &self.versions[0]
    }

    /// The version that holds.
    #[must_use]
    pub fn in_force(&self) -> &SignedCharter<Verified> {
        self.versions.last().unwrap_or_else(|| self.first())
    }

    /// The versions from the first known to the one in force.
    #[must_use]
    pub fn versions(&self) -> &[SignedCharter<Verified>] {
        &self.versions
    }

    /// Good versions that another one stands in place of.
    #[must_use]
    pub fn beside(&self) -> &[SignedCharter<Verified>] {
        &self.beside
    }

    /// Every version, those beside the line last.
    pub fn all(&self) -> impl Iterator<Item = &SignedCharter<Verified>> {
        self.versions.iter().chain(&self.beside)
    }

    /// The version with this hash, as setups name it.
    #[must_use]
    pub fn version(&self, hash: Hash) -> Option<&SignedCharter<Verified>> {
        self.all().find(|v| v.hash() == hash)
    }

    /// The first version of which the organisers signed two different ones.
    #[must_use]
    pub fn forked_at(&self) -> Option<u32> {
        self.beside.iter().map(|c| c.charter().version).min()
    }

    /// Whether some version lists this key as an organiser's.
    #[must_use]
    pub fn is_organiser(&self, key: &PublicKey) -> bool {
        self.all().any(|v| {
            let charter = v.charter();
            charter.organiser.key == *key
                || charter
                    .endorsement(key)
                    .is_some_and(|o| o.role == Role::Organiser)
        })
    }

    /// What a version that is not part of this history is to it.
    #[must_use]
    pub fn judge(&self, charter: &SignedCharter<Verified>) -> Belonging {
        let replaced = charter.charter().supersedes;
        if let Some(older) = replaced.and_then(|hash| self.version(hash)) {
            return match charter.supersedes(older) {
                Ok(()) => Belonging::Follows,
                Err(why) => Belonging::Refused(why),
            };
        }
        if self.first().supersedes(charter).is_ok() {
            return Belonging::Precedes;
        }
        let same_event = self.in_force().charter().event == charter.charter().event;
        if !same_event || !self.is_organiser(charter.key()) {
            return Belonging::Stranger;
        }
        // What is missing lies before it, or between it and the first one here.
        let first = self.first().charter();
        let (later, missing) = match charter.charter().version < first.version {
            true => (first.version, first.supersedes),
            false => (charter.charter().version, replaced),
        };
        missing.map_or(Belonging::Stranger, |missing| Belonging::Waits {
            version: later.saturating_sub(1),
            missing,
        })
    }

    /// What to hand to another phone or collector: every version as it was
    /// signed, one after another, oldest first, as a CBOR sequence (RFC 8742).
    /// When that is more than `most` bytes the oldest are left out.
    #[must_use]
    pub fn to_bytes(&self, most: usize) -> Vec<u8> {
        let mut all: Vec<&SignedCharter<Verified>> = self.all().collect();
        all.sort_by_key(|c| c.charter().version);
        let mut room = most;
        let newest = all.iter().rev().take_while(|c| {
            let fits = room.checked_sub(c.bytes().len());
            room = fits.unwrap_or(0);
            fits.is_some()
        });
        let kept: BTreeSet<Hash> = newest.map(|c| c.hash()).collect();
        let sent = all.into_iter().filter(|c| kept.contains(&c.hash()));
        sent.flat_map(|c| c.bytes()).copied().collect()
    }
}

/// What a version is to an event's history that does not have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Belonging {
    /// It takes the place of a version there.
    Follows,
    /// The first version there takes its place.
    Precedes,
    /// An organiser of the event signed it, and the version that it takes the
    /// place of has not come yet.
    Waits {
        /// The number of the version that is missing.
        version: u32,
        /// Its hash.
        missing: Hash,
    },
    /// It says that it takes the place of a version there, and does not.
    Refused(SupersedeError),
    /// It is of another event, as far as can be seen.
    Stranger,
}
