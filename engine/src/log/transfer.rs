//! What one phone hands to another outside a log: a setup, in the bytes that
//! name the game, and an official's card, for a charter to list.
//!
//! ```text
//! fixture = [ "chalkbook:game", setup ]        ; deterministic CBOR; its SHA-256 is the game id
//! card    = [ "chalkbook:official", author ]   ; deterministic CBOR; plain: whose it is, people
//!                                              ; say by comparing the key's phrase
//! ```

use alloc::vec::Vec;

use crate::Problems;
use crate::message::localized;

use super::OutOfTime;
use super::body;
use super::bounds::{Field, TooLarge, at_most};
use super::setup::{Author, Setup, SetupObjection};
use super::text::{ControlCharacter, control_in};

const CARD: &str = "chalkbook:official";
const MARK: &str = "chalkbook:game";

/// Why bytes handed over give no game to join.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TransferError {
    /// They are no setup in its one exact encoding.
    Malformed,
    /// A field is longer than a log keeps.
    #[message(transparent)]
    TooLarge(TooLarge),
    /// A text holds a character that no log keeps.
    #[message(transparent)]
    ControlCharacter(ControlCharacter),
    /// It is to start at a time that no log may name.
    #[message(transparent)]
    OutOfTime(OutOfTime),
    /// The edition or the cards make no game: every objection.
    #[message(objections = _0)]
    Setup(Problems<SetupObjection>),
}

impl Setup {
    /// The bytes to hand over; their SHA-256 is the game id.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        // Writing to memory cannot fail.
        minicbor::to_vec((MARK, self)).unwrap_or_default()
    }

    /// Reads what was handed over. Whoever keeps a log of it keeps one of the
    /// same game.
    ///
    /// # Errors
    /// When the bytes are no setup, or it makes no game.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, TransferError> {
        let (mark, setup): (&str, Self) =
            minicbor::decode(bytes).map_err(|_| TransferError::Malformed)?;
        if mark != MARK || setup.to_bytes() != bytes {
            return Err(TransferError::Malformed);
        }
        body::setup_fits(&setup).map_err(TransferError::TooLarge)?;
        control_in(bytes).map_err(TransferError::ControlCharacter)?;
        let starts = setup.starts.map_or(Ok(()), OutOfTime::check);
        starts.map_err(TransferError::OutOfTime)?;
        setup.fixture().map_err(TransferError::Setup)?;
        Ok(setup)
    }
}

/// Why bytes handed over are no official's card.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CardError {
    /// They are no card in its one exact encoding, or its key is none.
    Malformed,
    /// The name is longer than a charter keeps.
    #[message(transparent)]
    TooLarge(TooLarge),
    /// The name holds a character that no log keeps.
    #[message(transparent)]
    ControlCharacter(ControlCharacter),
}

impl Author {
    /// The card to hand to an organiser: name, role and public key.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        // Writing to memory cannot fail.
        minicbor::to_vec((CARD, self)).unwrap_or_default()
    }

    /// Reads a card handed over.
    ///
    /// # Errors
    /// When the bytes are no card, or the name is too long.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, CardError> {
        let (mark, author): (&str, Self) =
            minicbor::decode(bytes).map_err(|_| CardError::Malformed)?;
        if mark != CARD || author.to_bytes() != bytes {
            return Err(CardError::Malformed);
        }
        at_most(Field::OfficialName, author.name.len(), Setup::NAME_LIMIT)
            .map_err(CardError::TooLarge)?;
        control_in(bytes).map_err(CardError::ControlCharacter)?;
        Ok(author)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use super::super::{Hash, sample};
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_setup_handed_over_is_the_same_game() {
        let setup = sample::setup(3);
        let bytes = setup.to_bytes();
        let read = Setup::from_bytes(&bytes).unwrap();
        assert_eq!(read.game_id(), setup.game_id());
        assert_eq!(Hash::of(&bytes).0, setup.game_id().0);
        assert_eq!(read, setup);
    }

    #[test]
    fn what_makes_no_game_is_refused_with_the_reason() {
        let mut setup = sample::setup(3);
        setup.cards.home.hitters[1] = setup.cards.home.hitters[0].clone();
        let refused = Setup::from_bytes(&setup.to_bytes());
        assert!(matches!(refused, Err(TransferError::Setup(why)) if !why.is_empty()));
        let mut setup = sample::setup(3);
        setup.title = Some("x".repeat(Setup::TITLE_LIMIT + 1));
        let refused = Setup::from_bytes(&setup.to_bytes());
        assert!(matches!(refused, Err(TransferError::TooLarge(_))));
        let bytes = sample::setup(3).to_bytes();
        let longer = [&bytes[..], &[0]].concat();
        for odd in [&bytes[..9], &longer, b""] {
            assert_eq!(Setup::from_bytes(odd), Err(TransferError::Malformed));
        }
    }

    #[test]
    fn an_officials_card_is_read_back_or_refused() {
        let mut author = sample::opening(7, &sample::secret(1)).author;
        let bytes = author.to_bytes();
        assert_eq!(Author::from_bytes(&bytes), Ok(author.clone()));
        let setup = sample::setup(3).to_bytes();
        let longer = [&bytes[..], &[0]].concat();
        for odd in [&bytes[..9], &longer, &setup, b""] {
            assert_eq!(Author::from_bytes(odd), Err(CardError::Malformed));
        }
        author.name = "x".repeat(Setup::NAME_LIMIT + 1);
        let refused = Author::from_bytes(&author.to_bytes());
        assert!(matches!(refused, Err(CardError::TooLarge(_))));
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_or_refused(at in 0usize..400, with in any::<u8>()) {
            let mut bytes = sample::setup(3).to_bytes();
            let at = at % bytes.len();
            bytes[at] = with;
            if let Ok(read) = Setup::from_bytes(&bytes) {
                prop_assert_eq!(read.to_bytes(), bytes);
            }
        }
    }
}
