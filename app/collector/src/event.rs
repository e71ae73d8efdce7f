//! The events served: each a line of charter versions, and the open event.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use engine::charter::{Charter, Privacy, SignedCharter};
use engine::log::{Hash, PublicKey, Verified};

use crate::hex;

/// What names an event: the hash of its first charter. Games without a charter
/// belong to the open event, where there is one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EventId {
    /// Of games without a charter.
    Open,
    /// Of a charter.
    Charter(Hash),
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open => f.write_str("open"),
            Self::Charter(hash) => hash.fmt(f),
        }
    }
}

impl FromStr for EventId {
    type Err = ();
    fn from_str(text: &str) -> Result<Self, ()> {
        match text {
            "open" => Ok(Self::Open),
            other => hex(other).map(|h| Self::Charter(Hash(h))).ok_or(()),
        }
    }
}

/// Every charter known, by event.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Events {
    /// The versions of each event in order, the one in force last.
    lines: BTreeMap<EventId, Vec<SignedCharter<Verified>>>,
    open: bool,
    /// A charter is kept that cannot be read: it may be the one in force.
    unsure: bool,
}

impl Events {
    /// Puts charters in order. What follows from no first version is left out;
    /// of two that replace the same one, the one with the smaller hash holds,
    /// whichever came first.
    #[must_use]
    pub fn new(charters: Vec<SignedCharter<Verified>>, open: bool) -> Self {
        let mut lines = BTreeMap::new();
        for first in charters.iter().filter(|c| c.charter().version == 1) {
            let mut line = vec![first.clone()];
            while let Some(last) = line.last() {
                let later = charters.iter().filter(|c| c.supersedes(last).is_ok());
                match later.min_by_key(|c| c.hash()) {
                    Some(next) => line.push(next.clone()),
                    None => break,
                }
            }
            lines.insert(EventId::Charter(first.hash()), line);
        }
        Self {
            lines,
            open,
            unsure: false,
        }
    }

    /// The same while a charter is kept that cannot be read: until it is mended
    /// nothing more than numbers is shown of any event with a charter.
    #[must_use]
    pub fn unsure(self, unsure: bool) -> Self {
        Self { unsure, ..self }
    }

    /// Every charter of every event.
    pub fn charters(&self) -> impl Iterator<Item = &SignedCharter<Verified>> {
        self.lines.values().flatten()
    }

    /// The charter in force with the privacy that holds.
    #[must_use]
    pub fn in_force(&self, event: EventId) -> Option<Charter> {
        let mut charter = self.charter(event)?.charter().clone();
        charter.privacy = self.privacy(event);
        Some(charter)
    }

    /// Whether the charter in force lists a key.
    #[must_use]
    pub fn lists(&self, event: EventId, key: &PublicKey) -> bool {
        self.charter(event)
            .is_some_and(|c| c.charter().endorsement(key).is_some())
    }

    /// The events.
    pub fn ids(&self) -> impl Iterator<Item = EventId> + '_ {
        self.lines
            .keys()
            .copied()
            .chain(self.open.then_some(EventId::Open))
    }

    /// Whether there is this event.
    #[must_use]
    pub fn has(&self, event: EventId) -> bool {
        match event {
            EventId::Open => self.open,
            EventId::Charter(_) => self.lines.contains_key(&event),
        }
    }

    /// The charter in force.
    #[must_use]
    pub fn charter(&self, event: EventId) -> Option<&SignedCharter<Verified>> {
        self.lines.get(&event)?.last()
    }

    /// A version of a charter by its hash, and its event.
    #[must_use]
    pub fn version(&self, hash: Hash) -> Option<(EventId, &SignedCharter<Verified>)> {
        self.lines.iter().find_map(|(event, line)| {
            let found = line.iter().find(|c| c.hash() == hash)?;
            Some((*event, found))
        })
    }

    /// The event of a game whose setup names this charter.
    #[must_use]
    pub fn of_setup(&self, charter: Option<Hash>) -> Option<EventId> {
        match charter {
            None => self.open.then_some(EventId::Open),
            Some(hash) => self.version(hash).map(|(event, _)| event),
        }
    }

    /// Whether someone may keep a log of an event now.
    #[must_use]
    pub fn admits(&self, event: EventId, key: &PublicKey) -> bool {
        match self.charter(event).map(SignedCharter::charter) {
            Some(charter) => charter.open || charter.endorsement(key).is_some(),
            None => event == EventId::Open && self.open,
        }
    }

    /// Whether a log that was kept is of someone who was ever admitted.
    #[must_use]
    pub fn admitted(&self, event: EventId, key: &PublicKey) -> bool {
        let ever = |c: &SignedCharter<Verified>| {
            c.charter().open || c.charter().endorsement(key).is_some()
        };
        match self.lines.get(&event) {
            Some(line) => line.iter().any(ever),
            None => event == EventId::Open && self.open,
        }
    }

    /// The event that a new charter is the next version of.
    #[must_use]
    pub fn superseded_by(&self, charter: &SignedCharter<Verified>) -> Option<EventId> {
        let follows = |line: &Vec<SignedCharter<Verified>>| {
            line.last()
                .is_some_and(|last| charter.supersedes(last).is_ok())
        };
        let found = self.lines.iter().find(|(_, line)| follows(line));
        found.map(|(event, _)| *event)
    }

    /// How names may be shown to everyone.
    #[must_use]
    pub fn privacy(&self, event: EventId) -> Privacy {
        match self.charter(event) {
            Some(charter) if !self.unsure => charter.charter().privacy,
            _ => Privacy::Numbers,
        }
    }

    /// The event's name.
    #[must_use]
    pub fn name(&self, event: EventId) -> &str {
        let charter = self.charter(event).map(SignedCharter::charter);
        charter.map_or("Open event", |c: &Charter| c.event.as_str())
    }
}
