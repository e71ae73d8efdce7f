//! One signed entry of a log.
//!
//! ```text
//! payload = [format: 1, game: bstr .size 32, seq: uint,
//!            previous: bstr .size 32 / null, claimed: uint, body]
//! ```

use alloc::vec::Vec;

use super::cose::Domain;
use super::signed::{Content, EntryError, FORMAT, Signed, Unverified, Verified};
use super::{Body, Field, GameId, Hash, OutOfTime, PublicKey, TooLarge};

/// What an entry's author signs.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Payload {
    /// The game.
    pub game: GameId,
    /// The author's sequence number in this game, from 0.
    pub seq: u64,
    /// Hash of the author's previous entry; `None` for the opening.
    pub previous: Option<Hash>,
    /// When it was recorded as the phone's clock had it, milliseconds since
    /// 1970 UTC. A claim: clocks are wrong and can be set.
    pub claimed_ms: u64,
    /// What it says.
    pub body: Body,
}

impl Content for Payload {
    const NAME: Field = Field::Entry;
    const BYTES_LIMIT: usize = 32 * 1024;
    const MEMBERS: u64 = 6;

    fn domain(&self) -> Domain {
        self.body.domain()
    }

    fn to_bytes(&self) -> Vec<u8> {
        let fields = (
            FORMAT,
            &self.game,
            self.seq,
            self.previous,
            self.claimed_ms,
            &self.body,
        );
        // Writing to memory cannot fail.
        minicbor::to_vec(fields).unwrap_or_default()
    }

    fn read_members(d: &mut minicbor::Decoder<'_>) -> Result<Self, minicbor::decode::Error> {
        Ok(Self {
            game: d.decode()?,
            seq: d.u64()?,
            previous: d.decode()?,
            claimed_ms: d.u64()?,
            body: d.decode()?,
        })
    }

    fn fits(&self) -> Result<(), TooLarge> {
        self.body.fits()
    }

    fn check_times(&self) -> Result<(), OutOfTime> {
        OutOfTime::check(self.claimed_ms)?;
        match &self.body {
            Body::Opening(opening) => opening.setup.starts.map_or(Ok(()), OutOfTime::check),
            _ => Ok(()),
        }
    }
}

/// A signed entry. Only an `Entry<Verified>` enters a [`Chain`](super::Chain).
pub type Entry<State> = Signed<Payload, State>;

impl<State> Entry<State> {
    /// What was signed.
    #[must_use]
    pub fn payload(&self) -> &Payload {
        self.content()
    }

    /// What it says.
    #[must_use]
    pub fn body(&self) -> &Body {
        &self.payload().body
    }
}

impl Entry<Unverified> {
    /// The key that an opening gives for itself. An opening checked with it
    /// proves that whoever holds that key wrote it, not who that is.
    #[must_use]
    pub fn opening_key(&self) -> Option<&PublicKey> {
        match self.body() {
            Body::Opening(o) => Some(&o.author.key),
            _ => None,
        }
    }

    /// Checks the signature.
    ///
    /// # Errors
    /// When the entry names another key, or the signature does not fit.
    pub fn verify(self, key: &PublicKey) -> Result<Entry<Verified>, EntryError> {
        self.verify_with(key)
    }
}

#[cfg(test)]
mod tests;
