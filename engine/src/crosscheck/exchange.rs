//! One official's record on its way to another phone: only what that phone
//! lacks, and what this one has of others, so that the answer is short too.
//!
//! ```text
//! exchange = [ "chalkbook:exchange", game, author, after, [* held], log ]
//! game     = bytes .size 32     ; the game id
//! author   = bytes .size 16     ; whose log this is: the fingerprint of its first key
//! after    = [ count, head ] / null   ; the log goes on after that many entries, the last
//!                               ; of which hashes to head; null: it is the whole log
//! held     = [ author, count, head ]  ; what the sender has of another author's log
//! log      = bytes              ; the entries, a CBOR sequence
//! ```
//! What the other phone has is only a guess from what it last said. A wrong
//! guess loses nothing: the receiver sees that entries are missing between
//! and asks for the whole.

use alloc::vec::Vec;

use crate::log::{Chain, Fingerprint, GameId, GameRecord, Hash};
use crate::message::localized;

/// How far a log goes: its number of entries and the hash of the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// Entries, from 1.
    pub count: u64,
    /// Hash of the last of them.
    pub head: Hash,
}

impl Extent {
    /// How far a log goes.
    #[must_use]
    pub fn of(chain: &Chain) -> Self {
        Self {
            count: chain.next_seq(),
            head: chain.head(),
        }
    }

    /// Whether these are the first entries of this log, word for word.
    fn begins(self, chain: &Chain) -> bool {
        let last = self.count.checked_sub(1).and_then(|seq| chain.at(seq));
        last.is_some_and(|entry| entry.hash() == self.head)
    }
}

/// What a phone has of an author's log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Held {
    /// Whose log.
    pub author: Fingerprint,
    /// How much of it.
    pub extent: Extent,
}

/// An official's log, whole or from where the receiver's copy ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exchange {
    /// The game.
    pub game: GameId,
    /// Whose log.
    pub author: Fingerprint,
    /// What is left out because the receiver should have it.
    pub after: Option<Extent>,
    /// What the sender has of other authors.
    pub held: Vec<Held>,
    /// The entries, a CBOR sequence.
    pub log: Vec<u8>,
}

/// Why an exchange cannot be used.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ExchangeObjection {
    /// The bytes are no exchange.
    Malformed,
    /// It goes on from entries that are not here, or are others here.
    #[message(fewer = have < need)]
    Lacks {
        /// Entries of that log that are here.
        have: u64,
        /// Entries that it takes for granted.
        need: u64,
    },
}

impl Exchange {
    /// Most other authors that one exchange speaks of.
    pub const HELD_LIMIT: usize = 16;
    const MARK: &'static str = "chalkbook:exchange";

    /// This phone's record for another phone. `told` is what the receiver last
    /// said to have of it; what does not agree with the record is not counted
    /// on, and the whole is sent.
    #[must_use]
    pub fn new<'a>(
        mine: &GameRecord,
        others: impl IntoIterator<Item = &'a GameRecord>,
        told: Option<Extent>,
    ) -> Self {
        let chain = mine.chain();
        let after = told.filter(|extent| extent.begins(chain));
        let skipped = after.map_or(0, |extent| extent.count);
        let skipped = usize::try_from(skipped).unwrap_or(usize::MAX);
        let held = others.into_iter().map(|other| Held {
            author: other.chain().author().fingerprint(),
            extent: Extent::of(other.chain()),
        });
        let new = chain.entries().iter().skip(skipped);
        Self {
            game: chain.game(),
            author: chain.author().fingerprint(),
            after,
            held: held.take(Self::HELD_LIMIT).collect(),
            log: new.flat_map(|e| e.bytes()).copied().collect(),
        }
    }

    /// The whole log as far as it is known: what is here already, then what
    /// arrived. Nothing is verified here.
    ///
    /// # Errors
    /// [`ExchangeObjection::Lacks`].
    pub fn whole<'a>(
        &self,
        known: impl IntoIterator<Item = &'a Chain>,
    ) -> Result<Vec<u8>, ExchangeObjection> {
        let Some(after) = self.after else {
            return Ok(self.log.clone());
        };
        let ours = |chain: &&Chain| {
            chain.game() == self.game && chain.author().fingerprint() == self.author
        };
        let known = known.into_iter().find(ours);
        let lacks = |have| ExchangeObjection::Lacks {
            have,
            need: after.count,
        };
        let known = known.ok_or_else(|| lacks(0))?;
        if !after.begins(known) {
            return Err(lacks(known.next_seq()));
        }
        Ok([known.to_bytes(), self.log.clone()].concat())
    }

    /// What the sender has of an author's log.
    #[must_use]
    pub fn held_of(&self, author: Fingerprint) -> Option<Extent> {
        let of = |held: &&Held| held.author == author;
        self.held.iter().find(of).map(|held| held.extent)
    }

    /// The bytes to send.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let pair = |extent: &Extent| (extent.count, extent.head);
        let held: Vec<_> = self
            .held
            .iter()
            .map(|h| (h.author, h.extent.count, h.extent.head))
            .collect();
        let after = self.after.as_ref().map(pair);
        let log = minicbor::bytes::ByteVec::from(self.log.clone());
        let fields = (Self::MARK, self.game, self.author, after, held, log);
        // Writing to memory cannot fail.
        minicbor::to_vec(fields).unwrap_or_default()
    }

    /// Whether the bytes begin as an exchange does, good or damaged.
    #[must_use]
    pub fn is_one(bytes: &[u8]) -> bool {
        let mut d = minicbor::Decoder::new(bytes);
        matches!(d.array(), Ok(Some(6))) && d.str().is_ok_and(|mark| mark == Self::MARK)
    }

    /// Reads an exchange.
    ///
    /// # Errors
    /// [`ExchangeObjection::Malformed`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, ExchangeObjection> {
        let read = |d: &mut minicbor::Decoder<'_>| -> Result<Self, minicbor::decode::Error> {
            let wrong = minicbor::decode::Error::message;
            if d.array()? != Some(6) || d.str()? != Self::MARK {
                return Err(wrong("no exchange"));
            }
            let (game, author) = (d.decode()?, d.decode()?);
            let after: Option<(u64, Hash)> = d.decode()?;
            let count = d.array()?.ok_or_else(|| wrong("of no stated length"))?;
            if count > Self::HELD_LIMIT as u64 {
                return Err(wrong("too many authors"));
            }
            let one = |d: &mut minicbor::Decoder<'_>| -> Result<Held, minicbor::decode::Error> {
                let (author, count, head) = d.decode()?;
                let extent = Extent { count, head };
                Ok(Held { author, extent })
            };
            let held = (0..count).map(|_| one(d)).collect::<Result<_, _>>()?;
            Ok(Self {
                game,
                author,
                after: after.map(|(count, head)| Extent { count, head }),
                held,
                log: d.bytes()?.to_vec(),
            })
        };
        let mut d = minicbor::Decoder::new(bytes);
        let exchange = read(&mut d).map_err(|_| ExchangeObjection::Malformed)?;
        if d.position() != bytes.len() {
            return Err(ExchangeObjection::Malformed);
        }
        Ok(exchange)
    }
}

#[cfg(test)]
mod tests;
