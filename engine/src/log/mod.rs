//! The play log: what is recorded, how it is signed and chained, and how it
//! folds into a game.
//!
//! The log is append-only. Corrections are entries too: an [`Amendment`]
//! points to an earlier play, an undo to the last thing recorded. [`History`]
//! folds the events of one author into the effective game and names every
//! play that a correction made impossible.
//!
//! Each [`Entry`] is signed by its author and names the one before it; a
//! [`Chain`] is one author's verified entries of one game, and a
//! [`GameRecord`] holds a chain and the game it folds to in step. The form on
//! the wire is described in `LOG_FORMAT.md`.

mod body;
mod chain;
mod charter;
mod cose;
mod digest;
mod entry;
mod event;
mod file;
mod fold;
mod key;
mod record;
#[cfg(test)]
mod sample;
mod setup;
#[cfg(test)]
mod tests;
mod wordlist;

pub use body::{
    Body, Captain, Care, CoSign, CodeAnswer, CodeCheck, Finish, HalfInning, KeyChange, LeftOpen,
    Migrated, Ruling, Statement, TooLarge,
};
pub use chain::{Chain, ChainError, Fork, Pushed};
pub use charter::{
    Charter, CharterFault, CharterObjection, Privacy, Scheduled, SignedCharter, SupersedeError,
    Team, UnsignedCharter,
};
pub use cose::{Domain, EnvelopeError};
pub use digest::{Fingerprint, GameId, Hash, Mark};
pub use entry::{Entry, EntryError, FORMAT, Payload, Unsigned, Unverified, Verified};
pub use event::{Amendment, Correction, Event};
pub use file::{Damage, FileError, LogFile};
pub use fold::{FoldedNotice, FoldedPlay, History, RecordObjection, Step};
pub use key::{KeyError, Phrase, PublicKey, SecretKey};
pub use record::{GameRecord, RecordError};
pub use setup::{
    Author, EditionText, EditionTextError, HomeBy, Opening, Role, Setup, SetupObjection,
};
