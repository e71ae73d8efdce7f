//! Getting the records and charters of this phone to collectors.
//!
//! [`Uploader`](engine::sync::Uploader) decides everything: which request
//! is due, when, and what an answer means. [`Delivery`] makes the requests,
//! hears the triggers and keeps what was acknowledged, from when the first
//! screen stands. [`Collectors`] is what every screen shows of it.

mod address;
mod at_work;
mod collectors;
mod records;
mod status;
mod upload;

pub use address::{Named, NotAnAddress, Own, own, read as read_address};
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
