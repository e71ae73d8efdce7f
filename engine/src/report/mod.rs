//! What signed logs come to: how each game stands, the event that follows, and
//! the files that are given out of it.
//!
//! - [`GameReport`]: one game from every log of it.
//! - [`EventReport`]: the tables, the knock-out and the leaders of an event.
//! - [`csv`]: tables for other programs; [`publish`]: every file of an event.

mod authority;
mod basis;
pub mod csv;
mod event;
mod fixture;
mod game;
mod lots;
mod outcome;
pub mod publish;
mod ruled;
#[cfg(test)]
mod tests;

pub use authority::{Authority, Backing};
pub use event::EventReport;
pub use game::{GameReport, Kept, Verdict};
pub use ruled::{Drawn, Ruled};
