//! Why something read was not taken.

use super::{Kind, TransferId};
use crate::message::localized;

/// Why something read was not taken. Nothing received before it is lost,
/// except with [`Refusal::Contradiction`], where the transfer starts afresh.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// A code or text of another making.
    NotOurs,
    /// Ours, but cut short or altered on the way: its check disagrees, or its
    /// header cannot be right.
    Damaged,
    /// Sent in a later packet format than this build reads.
    Newer {
        /// The format it was sent in.
        format: u8,
    },
    /// A kind of payload this build does not know.
    UnknownKind {
        /// Its byte.
        code: u8,
    },
    /// Another kind of payload than the one asked for.
    OtherKind {
        /// The kind asked for.
        wanted: Kind,
        /// The kind read.
        got: Kind,
    },
    /// A piece of another transfer than the one under way.
    OtherTransfer {
        /// The transfer under way.
        under_way: TransferId,
        /// The one read.
        got: TransferId,
    },
    /// Larger than any transfer may be.
    TooLarge,
    /// The pieces do not fit together: the whole fails its SHA-256 or does not
    /// unpack. All pieces of this transfer were dropped.
    Contradiction,
}
