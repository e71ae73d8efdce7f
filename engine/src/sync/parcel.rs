//! What a uploader delivers.

use alloc::format;
use alloc::string::String;

use crate::log::{Hash, LogName};

/// What is delivered, piece by piece and in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parcel {
    /// An event's charter, named by the hash of its first version. Its pieces
    /// are its versions, the first one being piece 0.
    Charter(Hash),
    /// A log. Its pieces are its entries, by sequence number.
    Log(LogName),
}

impl Parcel {
    /// Its path at a collector, as `PROTOCOL.md` of the collector has it:
    /// `/api/charters/EVENT` or `/api/logs/GAME/AUTHOR`, all in hexadecimal.
    #[must_use]
    pub fn path(&self) -> String {
        match self {
            Self::Charter(event) => format!("/api/charters/{event}"),
            Self::Log(log) => format!("/api/logs/{}/{}", log.game, log.author),
        }
    }
}

impl LogName {
    /// The path of a log at a collector.
    #[must_use]
    pub fn path(&self) -> String {
        Parcel::Log(*self).path()
    }
}

impl From<LogName> for Parcel {
    fn from(log: LogName) -> Self {
        Self::Log(log)
    }
}
