//! An author who goes on with another key.
//!
//! The entry is signed with the old key and holds a proof by the new one, so
//! that nobody can name a key that somebody else holds.

use alloc::string::String;
use alloc::vec::Vec;

use super::cose::{self, Domain};
use super::{Fingerprint, GameId, PublicKey, SecretKey, Signature};

/// The author goes on with another key. Signed with the old one.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct KeyChange {
    /// The key of all later entries.
    #[n(0)]
    pub key: PublicKey,
    /// Why.
    #[n(1)]
    pub reason: String,
    /// The new key's signature over the game, the old key's fingerprint and the
    /// number of this entry ([`KeyChange::to_be_signed`]).
    #[n(2)]
    pub proof: Signature,
}

impl KeyChange {
    /// The bytes that the new key signs: the `Sig_structure` (RFC 9052 4.4) of
    /// `[game, fingerprint of the old key, number of the entry]`.
    #[must_use]
    pub fn to_be_signed(game: GameId, old: Fingerprint, seq: u64, new: &PublicKey) -> Vec<u8> {
        // Writing to memory cannot fail.
        let content = minicbor::to_vec((game, old, seq)).unwrap_or_default();
        cose::to_be_signed(Domain::NewKey, &new.fingerprint(), &content)
    }

    /// A change to a key held here, as entry `seq` of a log whose key in force
    /// is `old`.
    #[must_use]
    pub fn signed(
        game: GameId,
        old: Fingerprint,
        seq: u64,
        new: &SecretKey,
        reason: String,
    ) -> Self {
        let key = new.public();
        let proof = Signature(new.sign(&Self::to_be_signed(game, old, seq, &key)));
        Self { key, reason, proof }
    }

    /// Whether the holder of the new key agreed to this very change.
    #[must_use]
    pub fn is_proven(&self, game: GameId, old: Fingerprint, seq: u64) -> bool {
        let signed = Self::to_be_signed(game, old, seq, &self.key);
        self.key.accepts(&signed, self.proof.as_bytes())
    }
}
