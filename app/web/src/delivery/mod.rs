//! Getting the records and charters of this phone to collectors.
//!
//! [`Uploader`](engine::sync::Uploader) decides everything: which request
//! is due, when, and what an answer means. [`Delivery`] makes the requests,
//! hears the triggers and keeps what was acknowledged, from when the first
//! screen stands. [`Collectors`] is what every screen shows of it.
//!
//! It is woken by `online`, by the uploader's own waits, by hand, a second
//! after an entry was kept, when the page is looked at again, and by Background
//! Sync where the browser has it: then the service worker wakes the pages that
//! are open.
//!
//! Charters go first, every version of each whose first version is here. Then
//! the records, other officials' too: whoever delivers, each entry is checked
//! by its own signature. So are an organiser's decisions and lots, and of a log
//! that was signed twice both lines. Made-up games and what was only taken in
//! at the desk are not sent.

mod address;
mod at_work;
mod collectors;
mod records;
mod status;
mod upload;

pub use address::{NamedCollectors, NotAnAddress, OwnAddress, host, own, read as read_address};
pub use at_work::Delivery;
pub use collectors::{Collectors, held};
pub use status::{Collector, FromDesk, Held, HeldCharter, Key, RecordProgress, Standing, key};

use leptos::prelude::expect_context;

/// The name of the line on which tabs hear that a collector acknowledged
/// something, or that another is named.
const LINE: &str = "chalkbook-delivery";

/// The shared context of every screen: deliveries at work.
pub fn delivery() -> Delivery {
    expect_context()
}

/// The shared context of every screen: how deliveries stand.
pub fn collectors() -> Collectors {
    expect_context()
}
