//! Charters as they are handed over: every version one after another.
//!
//! ```text
//! charters = *Envelope         ; a CBOR sequence, RFC 8742, each as it was signed
//! ```
//! The same as lines of text, as the [link](crate::link::text) writes them.

use alloc::vec::Vec;

use super::SignedCharter;
use crate::link::{Kind, text};
use crate::log::{EntryError, Verified};
use crate::message::localized;

/// Why a file gives no charters.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CharterFileError {
    /// There is nothing in it.
    Empty,
    /// One of the charters in it is not good.
    Charter {
        /// Which, counted from 1.
        at: usize,
        /// What is wrong with it.
        error: EntryError,
    },
    /// Lines of text, and some of them are missing or altered.
    Incomplete,
    /// Lines of text that hold something else.
    #[message(kind = _0)]
    OtherKind(Kind),
}

impl SignedCharter<Verified> {
    /// Reads every charter of a file or a hand-over, in any form that the app
    /// saves, and checks each signature.
    ///
    /// # Errors
    /// When one of them is not good: nothing is taken then.
    pub fn read_all(bytes: &[u8]) -> Result<Vec<Self>, CharterFileError> {
        let found = core::str::from_utf8(bytes).map(text::read);
        let found = found.unwrap_or_default();
        if found.packets.is_empty() && found.refused.is_empty() {
            return sequence(bytes);
        }
        let mut charters = Vec::new();
        let mut other = None;
        for whole in found.whole() {
            match whole.kind {
                Kind::Charter => charters.extend(sequence(&whole.payload)?),
                kind => other = Some(kind),
            }
        }
        match (charters.is_empty(), other) {
            (false, _) => Ok(charters),
            (true, Some(kind)) => Err(CharterFileError::OtherKind(kind)),
            (true, None) => Err(CharterFileError::Incomplete),
        }
    }
}

fn sequence(bytes: &[u8]) -> Result<Vec<SignedCharter<Verified>>, CharterFileError> {
    if bytes.is_empty() {
        return Err(CharterFileError::Empty);
    }
    let each = (1..).zip(crate::log::split(bytes));
    let read = |(at, item): (usize, Result<&[u8], _>)| {
        let signed = item
            .and_then(SignedCharter::parse)
            .and_then(SignedCharter::verify);
        signed.map_err(|error| CharterFileError::Charter { at, error })
    };
    each.map(read).collect()
}
