//! What there is to say of an event itself; its results are written by
//! [`engine::report::publish`].

use serde_json::{Value, json};

use crate::event::{EventId, Events};

/// An event: `event`, `name`, `date`, `place`, `version`, `charter` (hash of the
/// version in force), `privacy`, `open`.
#[must_use]
pub fn event(events: &Events, id: EventId) -> Value {
    let signed = events.charter(id);
    let charter = signed.map(|c| c.charter());
    json!({
        "event": id.to_string(),
        "name": events.name(id),
        "date": charter.map(|c| &c.date),
        "place": charter.map(|c| &c.place),
        "version": charter.map(|c| c.version),
        "charter": signed.map(|c| c.hash().to_string()),
        "privacy": match events.privacy(id) {
            engine::charter::Privacy::Names => "names",
            engine::charter::Privacy::Initials => "initials",
            engine::charter::Privacy::Numbers => "numbers",
        },
        "open": charter.is_none_or(|c| c.open),
    })
}
