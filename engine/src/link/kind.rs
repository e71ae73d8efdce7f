//! What a payload is.

use crate::message::localized;

/// What a payload is, so that a phone never takes one thing for another.
///
/// The link does not look inside; the receiver asks for the kind it wants.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Kind {
    /// Fixture, edition and line-ups: what the second phone needs to join.
    Fixture,
    /// Entries of a game's log.
    Entries,
    /// An event charter.
    Charter,
    /// Agreed rulings on differences between two records.
    Rulings,
    /// An official's name, role and public key, for a charter to list.
    Official,
    /// Who plays in the games that were open in a schedule.
    Pairings,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::Fixture,
        Self::Entries,
        Self::Charter,
        Self::Rulings,
        Self::Official,
        Self::Pairings,
    ];

    /// The kind's byte in a packet; never reused for another meaning. 5 was a
    /// final statement alone, which the entries that a phone lacks hold anyway.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Fixture => 1,
            Self::Entries => 2,
            Self::Charter => 3,
            Self::Rulings => 4,
            Self::Official => 6,
            Self::Pairings => 7,
        }
    }

    /// The kind of a byte in a packet; `None` for one this version lacks.
    #[must_use]
    pub fn from_code(code: u8) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.code() == code)
    }
}
