//! The play log: what is recorded, and how it folds into a game.
//!
//! The log is append-only. Corrections are entries too: an [`Amendment`]
//! points to an earlier play, an undo to the last thing recorded. [`History`]
//! folds the events of one author into the effective game and names every
//! play that a correction made impossible.

mod event;
mod fold;
#[cfg(test)]
mod tests;

pub use event::{Amendment, Correction, Event};
pub use fold::{FoldedNotice, FoldedPlay, History, RecordObjection, Step};
