//! How far each record has come at each collector, and what that comes to.

use std::collections::BTreeMap;

use engine::sync::{Parcel, ParcelProgress, Refusal, Trouble};

/// A parcel's name in texts: of a record game and author in hexadecimal, of a
/// charter [`CHARTER`] and the event.
pub type Key = (String, String);

/// In place of the game where a charter is meant.
const CHARTER: &str = "charter";

/// The name of a parcel as a [`Key`].
pub fn key(parcel: impl Into<Parcel>) -> Key {
    match parcel.into() {
        Parcel::Log(log) => (log.game.to_string(), log.author.to_string()),
        Parcel::Charter(event) => (CHARTER.to_string(), event.to_string()),
    }
}

/// How far one record has come at one collector, as last heard.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordProgress {
    /// Entries from the first on that it acknowledged.
    pub delivered: u64,
    /// Entries beside the record that it acknowledged.
    pub beside: u64,
    /// The first entry that it does not take, and why.
    pub refused: Option<(u64, Refusal)>,
    /// It keeps all of it and does not show it yet: the version of the charter
    /// that the game was set up under is not there.
    pub awaits: bool,
    /// It holds a second line of this record.
    pub forked: bool,
    /// It has more of this record than the phone.
    pub ahead: bool,
    /// When it said so (ms since 1970, by the phone's clock).
    pub at: u64,
}

impl RecordProgress {
    /// What the uploader has heard; `None` when it heard nothing yet.
    pub fn of(progress: &ParcelProgress, at: u64) -> Option<Self> {
        (progress.heard || progress.refused.is_some()).then(|| Self {
            delivered: progress.delivered,
            beside: progress.beside_delivered,
            refused: progress.refused.clone(),
            awaits: progress.awaits,
            forked: progress.forked,
            ahead: progress.ahead,
            at,
        })
    }

    /// Entries of a record that wait.
    pub fn waiting(&self, record: &Held) -> u64 {
        let line = record.stored.saturating_sub(self.delivered);
        line + record.beside.saturating_sub(self.beside)
    }
}

/// One collector.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Collector {
    /// Its address.
    pub address: String,
    /// The app was served from there.
    pub own: bool,
    /// A request is on its way.
    pub sending: bool,
    /// Why nothing gets through just now.
    pub trouble: Option<Trouble>,
    /// When it is tried again (ms since 1970).
    pub again: Option<u64>,
    /// How far each record has come.
    pub places: BTreeMap<Key, RecordProgress>,
}

impl Collector {
    /// When it was last heard (ms since 1970).
    pub fn heard(&self) -> Option<u64> {
        self.places.values().map(|p| p.at).max()
    }

    /// How a record stands at this collector.
    pub fn standing(&self, record: &Held) -> Standing {
        let nothing = RecordProgress::default();
        let place = self.places.get(&record.key).unwrap_or(&nothing);
        match (place.waiting(record), &place.refused) {
            (0, _) if place.awaits => Standing::Awaits,
            (0, _) => Standing::Delivered,
            (_, Some(_)) => Standing::Refused,
            (waiting, None) => Standing::Waiting(waiting),
        }
    }
}

/// A record on this phone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// Which.
    pub key: Key,
    /// Entries.
    pub stored: u64,
    /// Entries that its author signed beside it: proof.
    pub beside: u64,
    /// An organiser's decisions, no record of the game.
    pub decides: bool,
    /// Of this phone, not taken from another.
    pub own: bool,
    /// Who keeps it, as "scorer, Sam".
    pub by: String,
}

impl Held {
    /// Whether it is a charter with its versions.
    pub fn is_charter(&self) -> bool {
        self.key.0 == CHARTER
    }
}

/// A charter on this phone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeldCharter {
    /// The event, as its charter calls it.
    pub event: String,
    /// Its versions, as far as they are delivered like entries of a record.
    pub versions: Held,
}

/// What goes to collectors of a game that this phone does not keep: decisions
/// about it, and logs that were signed twice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromDesk {
    /// The game, as "Quay Street at Tram Yard".
    pub teams: String,
    /// The log.
    pub record: Held,
}

/// How something stands, from best to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// All of it is there.
    Delivered,
    /// All of it is there, and is not shown before its charter has come.
    Awaits,
    /// So many entries wait.
    Waiting(u64),
    /// Part of it is not taken.
    Refused,
    /// No collector is named.
    OnlyHere,
}

impl Standing {
    /// A record at the collector where it stands best: one that has it all is
    /// enough for the organiser.
    pub fn of(record: &Held, collectors: &[Collector]) -> Self {
        let each = collectors
            .iter()
            .map(|collector| collector.standing(record));
        each.min().unwrap_or(Self::OnlyHere)
    }

    /// Several records together: as the worst of them, waiting entries in sum.
    pub fn all(records: &[Held], collectors: &[Collector]) -> Self {
        let each = records.iter().map(|record| Self::of(record, collectors));
        each.fold(Self::Delivered, |a, b| match (a, b) {
            (Self::Waiting(a), Self::Waiting(b)) => Self::Waiting(a + b),
            (a, b) => a.max(b),
        })
    }

    /// A shape that says it without colour.
    pub const fn shape(self) -> &'static str {
        match self {
            Self::Delivered => "●",
            Self::Awaits => "◐",
            Self::Waiting(_) => "○",
            Self::Refused => "✗",
            Self::OnlyHere => "–",
        }
    }

    /// In a word or two.
    pub fn words(self) -> String {
        match self {
            Self::Delivered => "delivered".into(),
            Self::Awaits => "there, not shown yet".into(),
            Self::Waiting(n) => format!("{n} waiting"),
            Self::Refused => "refused".into(),
            Self::OnlyHere => "only here".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(name: &str, stored: u64) -> Held {
        Held {
            key: (name.into(), "a".into()),
            stored,
            beside: 0,
            decides: false,
            own: true,
            by: String::new(),
        }
    }

    fn collector(places: &[(&str, u64, bool)]) -> Collector {
        let place = |(name, delivered, refused): &(&str, u64, bool)| {
            let refusal = Refusal {
                at: 0,
                name: "unlisted-key".into(),
                sentence: "Not listed.".into(),
            };
            let place = RecordProgress {
                delivered: *delivered,
                refused: refused.then_some((*delivered, refusal)),
                ..RecordProgress::default()
            };
            ((name.to_string(), "a".to_string()), place)
        };
        Collector {
            places: places.iter().map(place).collect(),
            ..Collector::default()
        }
    }

    #[test]
    fn one_collector_that_has_it_all_is_enough() {
        let game = record("g", 9);
        assert_eq!(Standing::of(&game, &[]), Standing::OnlyHere);
        assert_eq!(Standing::of(&game, &[collector(&[])]), Standing::Waiting(9));
        let (half, no, whole) = (
            collector(&[("g", 5, false)]),
            collector(&[("g", 2, true)]),
            collector(&[("g", 9, false)]),
        );
        assert_eq!(
            Standing::of(&game, std::slice::from_ref(&no)),
            Standing::Refused
        );
        assert_eq!(
            Standing::of(&game, &[no.clone(), half.clone()]),
            Standing::Waiting(4)
        );
        assert_eq!(Standing::of(&game, &[no, half, whole]), Standing::Delivered);
    }

    #[test]
    fn several_records_stand_as_the_worst_of_them() {
        let games = [record("g", 9), record("h", 4)];
        let both = collector(&[("g", 7, false), ("h", 1, false)]);
        assert_eq!(Standing::all(&games, &[both]), Standing::Waiting(5));
        let one = collector(&[("g", 9, false), ("h", 0, true)]);
        assert_eq!(Standing::all(&games, &[one]), Standing::Refused);
        assert_eq!(Standing::all(&[], &[collector(&[])]), Standing::Delivered);
    }

    #[test]
    fn proof_beside_a_record_waits_too() {
        let done = collector(&[("g", 9, false)]);
        let proof = Held {
            beside: 2,
            ..record("g", 9)
        };
        assert_eq!(done.standing(&proof), Standing::Waiting(2));
    }

    #[test]
    fn more_entries_on_the_phone_wait_again() {
        let done = collector(&[("g", 9, false)]);
        assert_eq!(done.standing(&record("g", 9)), Standing::Delivered);
        assert_eq!(done.standing(&record("g", 12)), Standing::Waiting(3));
    }
}
