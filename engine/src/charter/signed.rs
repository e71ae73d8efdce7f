//! A charter under its organiser's signature.

use alloc::vec::Vec;
use core::fmt;

use super::Charter;
use crate::log::cose::{self, Domain, Envelope};
use crate::log::{EntryError, Fingerprint, Hash, PublicKey, Role, SecretKey, Unverified, Verified};

/// Why a charter does not take another's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SupersedeError {
    /// Signed by neither the organiser nor a listed organiser of the older one.
    OtherOrganiser,
    /// It names another charter as the one it replaces.
    OtherCharter,
    /// Its version is not the next one.
    Version {
        /// The version it should have.
        expected: u32,
        /// The version it has.
        found: u32,
    },
}

impl fmt::Display for SupersedeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OtherOrganiser => f.write_str(
                "It is signed by someone who is not the organiser of the charter you have.",
            ),
            Self::OtherCharter => f.write_str("It replaces another charter than the one you have."),
            Self::Version { expected, found } if found < expected => write!(
                f,
                "It is version {found}, but you have version {} already, and it stays in force.",
                expected - 1
            ),
            Self::Version { expected, found } => write!(
                f,
                "It is version {found}, but version {expected} comes next: a version is missing."
            ),
        }
    }
}

impl core::error::Error for SupersedeError {}

/// A charter that waits for the organiser's signature.
#[derive(Clone, Debug)]
pub struct UnsignedCharter {
    charter: Charter,
    encoded: Vec<u8>,
}

impl UnsignedCharter {
    pub(super) fn new(charter: Charter, encoded: Vec<u8>) -> Self {
        Self { charter, encoded }
    }

    /// What is to be signed.
    #[must_use]
    pub fn charter(&self) -> &Charter {
        &self.charter
    }

    /// The bytes to sign with Ed25519 (pure, no pre-hash).
    #[must_use]
    pub fn to_be_signed(&self) -> Vec<u8> {
        let kid = self.charter.organiser.key.fingerprint();
        cose::to_be_signed(Domain::Charter, &kid, &self.encoded)
    }

    /// Puts the charter together and checks the signature.
    ///
    /// # Errors
    /// When the signature does not fit.
    pub fn assemble(self, signature: &[u8; 64]) -> Result<SignedCharter<Verified>, EntryError> {
        let kid = self.charter.organiser.key.fingerprint();
        let unverified = SignedCharter {
            envelope: Envelope::assemble(kid, self.encoded, *signature),
            charter: self.charter,
            state: Unverified::new(),
        };
        unverified.verify()
    }

    /// Signs with a key held here.
    ///
    /// # Errors
    /// When it is not the organiser's key.
    pub fn sign(self, secret: &SecretKey) -> Result<SignedCharter<Verified>, EntryError> {
        let signature = secret.sign(&self.to_be_signed());
        self.assemble(&signature)
    }
}

/// A signed charter with the exact bytes it came in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignedCharter<State> {
    envelope: Envelope,
    charter: Charter,
    state: State,
}

impl<State> SignedCharter<State> {
    /// Most bytes of a charter.
    pub const BYTES_LIMIT: usize = 512 * 1024;

    /// What was signed.
    #[must_use]
    pub fn charter(&self) -> &Charter {
        &self.charter
    }

    /// The exact signed bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        self.envelope.bytes()
    }

    /// SHA-256 of the exact bytes, which setups and later versions name.
    #[must_use]
    pub fn hash(&self) -> Hash {
        self.envelope.hash()
    }

    /// The fingerprint of the key that is said to have signed it.
    #[must_use]
    pub fn kid(&self) -> Fingerprint {
        self.envelope.kid()
    }
}

impl SignedCharter<Unverified> {
    /// Reads one charter and nothing else.
    ///
    /// # Errors
    /// When the bytes are no charter. A good form says nothing of the signature.
    pub fn parse(bytes: &[u8]) -> Result<Self, EntryError> {
        let envelope = Envelope::parse(bytes, Self::BYTES_LIMIT)?;
        let charter = Charter::from_payload(envelope.payload())?;
        Ok(Self {
            envelope,
            charter,
            state: Unverified::new(),
        })
    }

    /// Checks the signature with the organiser's key that the charter gives.
    /// Whether that is the organiser one means is for people to say: compare
    /// the key's phrase.
    ///
    /// # Errors
    /// When the signature does not fit.
    pub fn verify(self) -> Result<SignedCharter<Verified>, EntryError> {
        let key = self.charter.organiser.key;
        self.envelope.verify(Domain::Charter, &key)?;
        Ok(SignedCharter {
            envelope: self.envelope,
            charter: self.charter,
            state: Verified::by(key),
        })
    }
}

impl SignedCharter<Verified> {
    /// The organiser's key.
    #[must_use]
    pub fn key(&self) -> &PublicKey {
        self.state.key()
    }

    /// Whether it takes the place of an older one.
    ///
    /// # Errors
    /// When it is by another organiser, replaces another charter, or skips a
    /// version.
    pub fn supersedes(&self, older: &Self) -> Result<(), SupersedeError> {
        let listed = older.charter.endorsement(self.key());
        let organiser = listed
            .is_some_and(|o| o.role == Role::Organiser || o.key == older.charter.organiser.key);
        let expected = older.charter.version.saturating_add(1);
        if !organiser {
            Err(SupersedeError::OtherOrganiser)
        } else if self.charter.version != expected {
            Err(SupersedeError::Version {
                expected,
                found: self.charter.version,
            })
        } else if self.charter.supersedes != Some(older.hash()) {
            Err(SupersedeError::OtherCharter)
        } else {
            Ok(())
        }
    }
}

impl fmt::Display for SignedCharter<Verified> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let c = &self.charter;
        write!(
            f,
            "{}, {}, {}: version {}, signed by {}",
            c.event, c.date, c.place, c.version, c.organiser.name
        )
    }
}
