//! What there is to say of an event itself; its results are written by
//! [`engine::report::publish`].

use engine::charter::Privacy;
use serde::Serialize;

use crate::event::{EventId, Events as Served};

/// The events served.
#[derive(Debug, Serialize)]
pub struct Events<'a> {
    /// Each of them.
    pub events: Vec<Event<'a>>,
}

/// An event.
#[derive(Debug, Serialize)]
pub struct Event<'a> {
    /// What names it.
    pub event: String,
    /// Its name.
    pub name: &'a str,
    /// Its first day.
    pub date: Option<&'a str>,
    /// Where it is.
    pub place: Option<&'a str>,
    /// The charter's version in force.
    pub version: Option<u32>,
    /// The hash of that version in hexadecimal.
    pub charter: Option<String>,
    /// How players are named: `names`, `initials` or `numbers`.
    pub privacy: &'static str,
    /// Whether anyone may keep a record.
    pub open: bool,
}

impl<'a> Event<'a> {
    /// An event as it stands.
    #[must_use]
    pub fn new(events: &'a Served, id: EventId) -> Self {
        let signed = events.charter(id);
        let charter = signed.map(|c| c.charter());
        Self {
            event: id.to_string(),
            name: events.name(id),
            date: charter.map(|c| c.date.as_str()),
            place: charter.map(|c| c.place.as_str()),
            version: charter.map(|c| c.version),
            charter: signed.map(|c| c.hash().to_string()),
            privacy: match events.privacy(id) {
                Privacy::Names => "names",
                Privacy::Initials => "initials",
                Privacy::Numbers => "numbers",
            },
            open: charter.is_none_or(|c| c.open),
        }
    }
}
