//! A charter under its organiser's signature.

use alloc::vec::Vec;
use core::fmt;

use super::Charter;
use crate::log::{
    Content, Domain, EntryError, FORMAT, Field, OutOfTime, Role, Signed, TooLarge, Unsigned,
    Unverified, Verified,
};
use crate::message::localized;

/// Why a charter does not take another's place.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SupersedeError {
    /// Signed by neither the organiser nor a listed organiser of the older one.
    OtherOrganiser,
    /// It names another charter as the one it replaces.
    OtherCharter,
    /// Its version is not the next one.
    #[message(newer = found > expected, have = expected.saturating_sub(1))]
    Version {
        /// The version it should have.
        expected: u32,
        /// The version it has.
        found: u32,
    },
}

/// A charter that waits for the organiser's signature.
pub type UnsignedCharter = Unsigned<Charter>;

/// A signed charter.
pub type SignedCharter<State> = Signed<Charter, State>;

impl Content for Charter {
    const NAME: Field = Field::Charter;
    const BYTES_LIMIT: usize = 512 * 1024;
    const MEMBERS: u64 = 2;

    fn domain(&self) -> Domain {
        Domain::Charter
    }

    fn to_bytes(&self) -> Vec<u8> {
        // Writing to memory cannot fail.
        minicbor::to_vec((FORMAT, self)).unwrap_or_default()
    }

    fn read_members(d: &mut minicbor::Decoder<'_>) -> Result<Self, minicbor::decode::Error> {
        d.decode()
    }

    fn fits(&self) -> Result<(), TooLarge> {
        self.check_bounds()
    }

    fn check_times(&self) -> Result<(), OutOfTime> {
        let mut starts = self.fixtures.iter().map(|g| g.starts);
        starts.try_for_each(OutOfTime::check)
    }
}

impl<State> SignedCharter<State> {
    /// What was signed.
    #[must_use]
    pub fn charter(&self) -> &Charter {
        self.content()
    }
}

impl SignedCharter<Unverified> {
    /// Checks the signature with the organiser's key that the charter gives.
    /// Whether that is the organiser one means is for people to say: compare
    /// the key's phrase.
    ///
    /// # Errors
    /// When the signature does not fit.
    pub fn verify(self) -> Result<SignedCharter<Verified>, EntryError> {
        let key = self.charter().organiser.key;
        self.verify_with(&key)
    }
}

impl SignedCharter<Verified> {
    /// Whether it takes the place of an older one.
    ///
    /// # Errors
    /// When it is by another organiser, replaces another charter, or skips a
    /// version.
    pub fn supersedes(&self, older: &Self) -> Result<(), SupersedeError> {
        let listed = older.charter().endorsement(self.key());
        let organiser = listed
            .is_some_and(|o| o.role == Role::Organiser || o.key == older.charter().organiser.key);
        let expected = older.charter().version.saturating_add(1);
        if !organiser {
            Err(SupersedeError::OtherOrganiser)
        } else if self.charter().version != expected {
            Err(SupersedeError::Version {
                expected,
                found: self.charter().version,
            })
        } else if self.charter().supersedes != Some(older.hash()) {
            Err(SupersedeError::OtherCharter)
        } else {
            Ok(())
        }
    }
}

impl fmt::Display for SignedCharter<Verified> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let c = self.charter();
        write!(
            f,
            "{}, {}, {}: version {}, signed by {}",
            c.event, c.date, c.place, c.version, c.organiser.name
        )
    }
}
