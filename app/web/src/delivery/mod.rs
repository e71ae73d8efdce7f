//! Getting the records and charters of this phone to collectors.
//!
//! [`Courier`](engine::sync::Courier) decides everything: which request
//! is due, when, and what an answer means. [`Delivery`] makes the requests,
//! hears the triggers and keeps what was acknowledged, from when the first
//! screen stands. [`Posts`] is what every screen shows of it.

mod address;
mod at_work;
mod place;
mod posts;
mod records;
mod round;

pub use address::{Named, NotAnAddress, Own, own, read as read_address};
pub use at_work::Delivery;
pub use place::{FromDesk, Held, HeldCharter, Key, Place, Post, Standing, key};
pub use posts::{Posts, held};

use leptos::prelude::expect_context;

/// The name of the line on which tabs hear that a collector acknowledged
/// something, or that another is named.
const LINE: &str = "chalkbook-delivery";

/// The shared context of every screen: deliveries at work.
pub fn delivery() -> Delivery {
    expect_context()
}

/// The shared context of every screen: how deliveries stand.
pub fn posts() -> Posts {
    expect_context()
}
