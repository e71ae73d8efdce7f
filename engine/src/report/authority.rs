//! Whose records and whose decisions count.

use crate::charter::Charter;
use crate::log::{Author, PublicKey, Role};
use crate::message::text;

/// Whose word counts about a game.
#[derive(Clone, Copy, Debug)]
pub enum Authority<'a> {
    /// The charter in force: the records of the officials it lists come before
    /// any other, and its organisers decide.
    Charter(&'a Charter),
    /// No charter, and the organiser's key: on the organiser's own phone. Every
    /// record counts alike.
    Own(&'a PublicKey),
    /// No charter and nobody who decides. Every record counts alike.
    Nobody,
}

impl<'a> Authority<'a> {
    /// The charter, where there is one.
    #[must_use]
    pub const fn charter(self) -> Option<&'a Charter> {
        match self {
            Self::Charter(charter) => Some(charter),
            Self::Own(_) | Self::Nobody => None,
        }
    }

    /// Whether decisions and lots signed with this key count: by a charter those
    /// of who signed it and of every official listed as organiser.
    #[must_use]
    pub fn decides(self, key: &PublicKey) -> bool {
        match self {
            Self::Charter(charter) => {
                let listed = charter.officials.iter();
                let mut organisers = listed.filter(|o| o.role == Role::Organiser);
                let ended = charter.ended(key).map(|e| e.author.role);
                charter.organiser.key == *key
                    || organisers.any(|o| o.key == *key)
                    || ended == Some(Role::Organiser)
            }
            Self::Own(own) => own == key,
            Self::Nobody => false,
        }
    }

    /// Whether a record of this author comes before those of strangers. Without
    /// a charter nobody is a stranger.
    pub(super) fn knows(self, author: &Author) -> bool {
        self.charter()
            .is_none_or(|c| c.listed_or_ended(&author.key).is_some())
    }

    /// Whether the charter ends this author's key.
    pub(super) fn ends(self, author: &Author) -> bool {
        let charter = self.charter();
        charter.is_some_and(|c| c.ended(&author.key).is_some())
    }

    /// The role that counts: the charter's, not what a log says of itself.
    pub(super) fn role(self, author: &Author) -> Role {
        let listed = self.charter().and_then(|c| c.listed_or_ended(&author.key));
        listed.map_or(author.role, |o| o.role)
    }

    /// A record as sentences for everyone name it.
    pub(super) fn record_of(self, author: &Author) -> alloc::string::String {
        let role = self.role(author);
        match self.knows(author) {
            true => text!("record-listed", role),
            false => text!("record-unlisted", role),
        }
    }
}

/// Whose records a game stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Backing {
    /// There is no charter: those of whoever kept one.
    Free,
    /// Those of officials whom the charter lists, this many of them.
    Listed(usize),
    /// Nobody listed kept one, and in this event anyone may.
    Anyone,
    /// Nobody listed kept one, and only listed officials may: the game counts
    /// once the organiser decides or lists the key.
    Strangers,
    /// Nobody kept one.
    None,
}

impl Backing {
    pub(super) fn of(authority: Authority<'_>, listed: usize, others: usize) -> Self {
        match (authority.charter(), listed, others) {
            (_, 0, 0) => Self::None,
            (None, ..) => Self::Free,
            (Some(charter), 0, _) if charter.open => Self::Anyone,
            (Some(_), 0, _) => Self::Strangers,
            (Some(_), listed, _) => Self::Listed(listed),
        }
    }
}
