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
//!
//! # Recording with a key that stays elsewhere
//!
//! The engine neither draws keys nor needs to hold them. Where the browser
//! signs (`crypto.subtle.sign("Ed25519", key, bytes)` with a private key that
//! cannot be taken out), it is given [`Unsigned::to_be_signed`] and its 64
//! bytes go to [`Unsigned::assemble`]; where it cannot, a [`SecretKey`] made
//! from 32 random bytes signs. Both are checked by the engine before the entry
//! exists. Nothing else may be recorded between draft and push, so the caller
//! queues: draft, sign, store [`Entry::bytes`], push.
//!
//! ```
//! # fn card(team: &str, first: u8) -> engine::team::Card {
//! #     let player = |n| engine::team::Player::numbered(engine::team::Shirt::new(n).unwrap());
//! #     let hitters = (first..first + 5)
//! #         .map(|n| engine::team::Hitter { player: player(n), position: None })
//! #         .collect();
//! #     engine::team::Card { team: team.into(), hitters, reserves: Vec::new() }
//! # }
//! use engine::log::{Author, Body, GameRecord, LogFile, GameMark, Opening, Role, SecretKey, Setup};
//! use engine::play::{BatterFate, Call, Goal};
//! use engine::{rules::Edition, team::BySide};
//!
//! let random = [7; 32]; // from the system's random source
//! let key = SecretKey::from_random(&random);
//! let cards = BySide { guest: card("Quay Street", 21), home: card("Tram Yard", 11) };
//! let opening = Opening {
//!     setup: Setup::new(GameMark([1; 16]), cards, &Edition::federation()),
//!     author: Author::new(key.public(), "Official", Role::Umpire),
//!     made: None,
//! };
//! let first = GameRecord::draft_opening(opening, 1_781_344_800_000)?.sign(&key)?;
//! let mut record = GameRecord::open(first)?;
//!
//! let play = record.history().next_play(Call::new(BatterFate::safe(Goal::First)));
//! let draft = record.draft(Body::Event(play), 1_781_344_820_000)?;
//! let signature = key.sign(&draft.to_be_signed()); // or the browser
//! let entry = draft.assemble(&signature)?;
//! // ... store entry.bytes() here ...
//! record.push(entry)?;
//!
//! let file = LogFile::read(&LogFile::write([record.chain()]));
//! assert!(file.damage.is_none());
//! let again = GameRecord::replay(file.chains[0].clone())?;
//! assert_eq!(again.history().game(), record.history().game());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod author_log;
pub(crate) mod body;
pub(crate) mod bounds;
mod cbor;
mod chain;
mod clock;
pub(crate) mod cose;
mod decision;
mod digest;
mod entry;
mod event;
mod file;
mod fold;
mod game_clocks;
mod history;
mod key;
mod key_change;
mod log_set;
mod officiating;
mod order;
mod receipt;
mod record;
mod reopen;
#[cfg(test)]
pub(crate) mod sample;
mod setup;
mod signed;
mod takeover;
#[cfg(test)]
pub(crate) mod tests;
pub(crate) mod text;
mod transfer;
mod witness;
mod wordlist;

pub use author_log::{AuthorLog, StagedEntries};
pub use body::{
    Body, Captain, Care, CoSign, CodeAnswer, CodeCheck, Finish, HeldLog, LeftOpen, Ruling,
    Statement,
};
pub use bounds::{Field, HalfInning, TooLarge};
pub use chain::{Chain, ChainError, Fork, LogName, PushOutcome, entry_number};
pub use clock::OutOfTime;
pub use cose::{Domain, EnvelopeError};
pub use decision::{Close, ConsideredLog, Decision, Disposition, Draw};
pub use digest::{Fingerprint, GameId, GameMark, Hash, NotHexadecimal, Signature};
pub use entry::{Entry, Payload};
pub use event::{Amendment, Correction, Event};
pub use file::{Damage, FileError, LogFile, split};
pub use fold::{FoldedNotice, FoldedPlay, Step};
pub use game_clocks::{ClockReading, ClockState, GameClock, GameClocks};
pub use history::{History, RecordObjection};
pub use key::{KeyError, Phrase, PublicKey, SecretKey};
pub use key_change::KeyChange;
pub use log_set::{AddedEntries, Fault, LogSet};
pub use officiating::{
    BEFORE_THE_GAME, Crew, Incident, InvolvedPlayer, ProtestCase, ProtestDecision,
};
pub use order::{ErasedLog, Order, OrderAction, OrderError, SignedOrder, Subject};
pub use receipt::{DatedHead, ReceiptClaim, SignedReceipt};
pub use record::{GameRecord, Misstatement, RecordError};
pub use setup::{
    Author, EditionText, EditionTextError, HomeBy, Opening, Provenance, Role, Setup, SetupObjection,
};
pub use signed::{Content, EntryError, FORMAT, Signed, Unsigned, Unverified, Verified};
pub use takeover::Takeover;
pub use text::{ControlCharacter, Visible, is_control};
pub use transfer::{CardError, TransferError};
pub use witness::{Contradiction, Witness, WitnessPlace, WitnessReport};
