//! The events served: each a line of charter versions, and the open event.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use engine::charter::{Charter, CharterHistory, Privacy, SignedCharter};
use engine::log::{GameId, Hash, PublicKey, Verified};

use crate::hex;
use crate::orders::Orders;

/// What names an event: the hash of its first charter. Games without a charter
/// belong to the open event, where there is one; those under a version that is
/// not known yet wait for it in a place of their own, which nobody is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EventId {
    /// Of games without a charter.
    Open,
    /// Of a charter.
    Charter(Hash),
    /// Of games set up under a version with this hash, which has not come yet.
    Awaiting(Hash),
}

impl EventId {
    const AWAITING: &'static str = "awaits-";

    /// The event of a folder's name, those that wait included.
    #[must_use]
    pub fn of_folder(name: &str) -> Option<Self> {
        match name.strip_prefix(Self::AWAITING) {
            Some(hash) => hex(hash).map(|h| Self::Awaiting(Hash(h))),
            None => name.parse().ok(),
        }
    }
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open => f.write_str("open"),
            Self::Charter(hash) => hash.fmt(f),
            Self::Awaiting(hash) => write!(f, "{}{hash}", Self::AWAITING),
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
    histories: BTreeMap<EventId, CharterHistory>,
    /// Good versions of which an earlier one has not come yet.
    waiting: Vec<SignedCharter<Verified>>,
    open: bool,
    /// A charter is kept that cannot be read: it may be the one in force.
    unsure: bool,
    /// Nobody is shown these.
    hidden: Vec<EventId>,
}

impl Events {
    /// Puts charters in order. What follows from no first version waits.
    #[must_use]
    pub fn new(charters: Vec<SignedCharter<Verified>>, open: bool) -> Self {
        let mut histories = BTreeMap::new();
        let mut waiting = Vec::new();
        for history in CharterHistory::gather(charters) {
            if history.first().charter().version == 1 {
                histories.insert(EventId::Charter(history.first().hash()), history);
            } else {
                waiting.extend(history.all().cloned());
            }
        }
        Self {
            histories,
            waiting,
            open,
            unsure: false,
            hidden: Vec::new(),
        }
    }

    /// The same while nobody is shown what an order hides.
    #[must_use]
    pub fn hiding(mut self, orders: &Orders) -> Self {
        let all = self.histories.keys().copied();
        self.hidden = all.filter(|event| orders.hides_event(*event)).collect();
        self
    }

    /// The same while a charter is kept that cannot be read: until it is mended
    /// nothing more than numbers is shown of any event with a charter.
    #[must_use]
    pub fn unsure(self, unsure: bool) -> Self {
        Self { unsure, ..self }
    }

    /// Every charter of every event, those that wait included.
    pub fn charters(&self) -> impl Iterator<Item = &SignedCharter<Verified>> {
        let all = self.histories.values().flat_map(CharterHistory::all);
        all.chain(&self.waiting)
    }

    /// The versions of an event's charter.
    #[must_use]
    pub fn history(&self, event: EventId) -> Option<&CharterHistory> {
        self.histories.get(&event)
    }

    /// Good versions of which an earlier one has not come yet.
    #[must_use]
    pub fn waiting(&self) -> &[SignedCharter<Verified>] {
        &self.waiting
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

    /// The events that everyone is shown.
    pub fn shown(&self) -> impl Iterator<Item = EventId> + '_ {
        self.ids().filter(|event| !self.hidden.contains(event))
    }

    /// Whether everyone is shown this event.
    #[must_use]
    pub fn shows(&self, event: EventId) -> bool {
        self.has(event) && !self.hidden.contains(&event)
    }

    /// The events.
    pub fn ids(&self) -> impl Iterator<Item = EventId> + '_ {
        self.histories
            .keys()
            .copied()
            .chain(self.open.then_some(EventId::Open))
    }

    /// Whether there is this event.
    #[must_use]
    pub fn has(&self, event: EventId) -> bool {
        match event {
            EventId::Open => self.open,
            EventId::Charter(_) => self.histories.contains_key(&event),
            EventId::Awaiting(_) => false,
        }
    }

    /// The charter in force.
    #[must_use]
    pub fn charter(&self, event: EventId) -> Option<&SignedCharter<Verified>> {
        self.histories.get(&event).map(CharterHistory::in_force)
    }

    /// A version of a charter by its hash, and its event.
    #[must_use]
    pub fn version(&self, hash: Hash) -> Option<(EventId, &SignedCharter<Verified>)> {
        let mut all = self.histories.iter();
        all.find_map(|(event, history)| Some((*event, history.version(hash)?)))
    }

    /// The event that what waits for a version belongs to once that is known;
    /// any other is its own.
    #[must_use]
    pub fn home(&self, event: EventId) -> EventId {
        match event {
            EventId::Awaiting(hash) => self.version(hash).map_or(event, |(event, _)| event),
            other => other,
        }
    }

    /// The event of a game whose setup names this charter: a version that is
    /// not known here may still come, where any event has a charter.
    #[must_use]
    pub fn of_setup(&self, charter: Option<Hash>) -> Option<EventId> {
        match charter {
            None => self.open.then_some(EventId::Open),
            Some(hash) => (!self.histories.is_empty()).then(|| self.home(EventId::Awaiting(hash))),
        }
    }

    /// Whether someone may keep a log of an event now.
    #[must_use]
    pub fn admits(&self, event: EventId, key: &PublicKey) -> bool {
        match self.charter(event).map(SignedCharter::charter) {
            Some(charter) if charter.ended(key).is_some() => false,
            Some(charter) => charter.open || charter.endorsement(key).is_some(),
            None => self.admits_all(event),
        }
    }

    /// Whether of a log whose key ended something is missing that stays good.
    #[must_use]
    pub fn completes(&self, event: EventId, key: &PublicKey, game: GameId, have: u64) -> bool {
        let charter = self.charter(event).map(SignedCharter::charter);
        let ended = charter.and_then(|c| c.ended(key));
        let good = ended.and_then(|e| e.good.iter().find(|g| g.game == game));
        good.is_some_and(|g| have < g.entries)
    }

    /// Whether an organiser took a key off: the charter in force does not list
    /// it, and an earlier one did.
    #[must_use]
    pub fn removed(&self, event: EventId, key: &PublicKey) -> bool {
        let listed = |c: &SignedCharter<Verified>| c.charter().endorsement(key).is_some();
        let ever = self
            .histories
            .get(&event)
            .is_some_and(|h| h.all().any(listed));
        ever && !self.lists(event, key)
    }

    /// Where nobody knows whom to admit yet, or anyone may keep a log.
    fn admits_all(&self, event: EventId) -> bool {
        match event {
            EventId::Open => self.open,
            EventId::Awaiting(_) => true,
            EventId::Charter(_) => false,
        }
    }

    /// Whether a log that was kept is of someone who was ever admitted.
    #[must_use]
    pub fn admitted(&self, event: EventId, key: &PublicKey) -> bool {
        let ever = |c: &SignedCharter<Verified>| {
            c.charter().open || c.charter().endorsement(key).is_some()
        };
        match self.histories.get(&event) {
            Some(history) => history.all().any(ever),
            None => self.admits_all(event),
        }
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
