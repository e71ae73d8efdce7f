//! Why something read was not taken.

use super::{Kind, TransferId};

/// Why something read was not taken. Nothing received before it is lost,
/// except with [`Refusal::Contradiction`], where the transfer starts afresh.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// A code or text of another making.
    #[error("This is another kind of code. Point at the code on the other phone.")]
    NotOurs,
    /// Ours, but cut short or altered on the way: its check disagrees, or its
    /// header cannot be right.
    #[error("This piece arrived damaged and was left out. Another will replace it.")]
    Damaged,
    /// Sent in a later packet format than this build reads.
    #[error("The other phone runs a newer version. Update this one while you have a signal.")]
    Newer {
        /// The format it was sent in.
        format: u8,
    },
    /// A kind of payload this build does not know.
    #[error("The other phone runs a newer version. Update this one while you have a signal.")]
    UnknownKind {
        /// Its byte.
        code: u8,
    },
    /// Another kind of payload than the one asked for.
    #[error("This is {got}; {wanted} is wanted here. Show that on the other phone.")]
    OtherKind {
        /// The kind asked for.
        wanted: Kind,
        /// The kind read.
        got: Kind,
    },
    /// A piece of another transfer than the one under way.
    #[error("This belongs to another transfer. Keep to one phone, or start again with this one.")]
    OtherTransfer {
        /// The transfer under way.
        under_way: TransferId,
        /// The one read.
        got: TransferId,
    },
    /// Larger than any transfer may be.
    #[error("This is too large to pass between phones. Send the file another way.")]
    TooLarge,
    /// The pieces do not fit together: the whole fails its SHA-256 or does not
    /// unpack. All pieces of this transfer were dropped.
    #[error("The pieces do not fit together, so none was kept. Keep pointing to start again.")]
    Contradiction,
}
