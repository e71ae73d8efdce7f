//! What signed logs come to: how each game stands, the event that follows, and
//! the files that are given out of it.
//!
//! - [`GameReport`]: one game from every log of it.
//! - [`EventView`]: an event with its games, as every list and file shows it;
//!   [`Reports`] remembers what has not changed.
//! - [`EventReport`]: the tables, the knock-out and the leaders of an event.
//! - [`csv`]: tables for other programs; [`publish`]: every file of an event.

mod authority;
mod basis;
pub mod csv;
mod event;
mod fixture;
mod for_everyone;
mod game;
mod lots;
mod outcome;
pub mod publish;
mod ruled;
mod suspension;
#[cfg(test)]
mod tests;
mod view;

pub use authority::{Authority, Backing};
pub use event::{EventReport, PlannedFixture};
pub use game::{GameReport, heard};

pub use crate::crosscheck::{KeptRecord, Verdict};
pub use ruled::{DecisionInForce, DrawnLot};
pub use suspension::Suspension;
pub use view::{EventView, Judges, OfFixture, Reports};
