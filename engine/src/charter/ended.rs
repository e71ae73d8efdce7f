//! A key that ends from here on: what was good before stays good.

use alloc::vec::Vec;

use super::Charter;
use crate::log::{Author, Chain, GameId, Hash, PublicKey, SignedReceipt};

/// A log as far as it stays good.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct GoodPart {
    /// The game.
    #[n(0)]
    pub game: GameId,
    /// Entries, 1 or more.
    #[n(1)]
    pub entries: u64,
    /// Hash of the last of them.
    #[n(2)]
    pub head: Hash,
}

/// An official whom a charter listed, and whose key ends: lost, stolen, or used
/// by somebody else.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct EndedKey {
    /// The official, as listed before.
    #[n(0)]
    pub author: Author,
    /// The logs opened with this key, as far as they stay good. Of any other
    /// log of the key nothing counts.
    #[cbor(n(1), default, skip_if = "Vec::is_empty")]
    pub good: Vec<GoodPart>,
}

impl EndedKey {
    /// Most logs of one key that stay good.
    pub const GOOD_LIMIT: usize = 256;

    /// Ends a key at a moment (ms since 1970 UTC): what receipts of these
    /// collectors date before it stays good. Claimed times say nothing: whoever
    /// has the key claims what they like.
    #[must_use]
    pub fn at<'a>(
        author: Author,
        moment_ms: u64,
        receipts: impl IntoIterator<Item = &'a SignedReceipt>,
        collectors: &[Author],
    ) -> Self {
        let mut good: Vec<GoodPart> = Vec::new();
        for receipt in receipts {
            let claim = receipt.content();
            let trusted = collectors.iter().any(|c| c.key == claim.collector);
            let of_key = claim.log.author == author.key.fingerprint();
            if !trusted || !of_key || claim.received_ms >= moment_ms {
                continue;
            }
            let part = GoodPart {
                game: claim.log.game,
                entries: claim.entries,
                head: claim.head,
            };
            match good.iter_mut().find(|g| g.game == part.game) {
                Some(known) if known.entries < part.entries => *known = part,
                Some(_) => {}
                None => good.push(part),
            }
        }
        good.truncate(Self::GOOD_LIMIT);
        Self { author, good }
    }
}

impl Charter {
    /// Most keys that one charter ends.
    pub const ENDED_LIMIT: usize = 64;

    /// The end of a key, where the charter says so.
    #[must_use]
    pub fn ended(&self, key: &PublicKey) -> Option<&EndedKey> {
        self.ended.iter().find(|e| e.author.key == *key)
    }

    /// Who a key is or was: listed, or ended from some entry on.
    #[must_use]
    pub fn listed_or_ended(&self, key: &PublicKey) -> Option<&Author> {
        let ended = || self.ended(key).map(|e| &e.author);
        self.endorsement(key).or_else(ended)
    }

    /// A log as far as this charter lets it count: all of it, unless the key
    /// that opened it ended.
    #[must_use]
    pub fn good_part(&self, chain: &Chain) -> Option<Chain> {
        let Some(ended) = self.ended(chain.author()) else {
            return Some(chain.clone());
        };
        let part = ended.good.iter().find(|g| g.game == chain.game())?;
        let last = chain.at(part.entries.checked_sub(1)?);
        let as_it_was = last.is_some_and(|e| e.hash() == part.head);
        // Of a log that is shorter here all of it was good then.
        let older = part.entries > chain.next_seq();
        (as_it_was || older).then(|| chain.first(part.entries))?
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use super::*;
    use crate::charter::tests::charter;
    use crate::log::{ReceiptClaim, Role, sample};
    use crate::play::Goal;

    #[test]
    fn what_a_trusted_collector_dates_before_the_moment_stays_good() {
        let (thief, shop, other) = (sample::secret(1), sample::secret(8), sample::secret(7));
        let author =
            |key: &crate::log::SecretKey| Author::new(key.public(), "Official", Role::Umpire);
        let mut record = sample::record(1, &thief);
        let mut receipts = Vec::new();
        for (at, goal) in (1..).zip([Goal::First, Goal::Second, Goal::First]) {
            sample::play(&mut record, &thief, sample::safe(goal));
            let claim = |by: &crate::log::SecretKey, received_ms| {
                let chain = record.chain();
                let log = chain.name();
                let claim = ReceiptClaim {
                    log,
                    entries: chain.next_seq(),
                    head: chain.head(),
                    received_ms,
                    collector: by.public(),
                };
                claim.sign(by).unwrap()
            };
            receipts.push(claim(&shop, 1_781_344_800_000 + at * 1000));
            // Nobody trusts this one, whatever it dates.
            receipts.push(claim(&other, 1_000_000_000_000));
        }
        let ended = EndedKey::at(
            author(&thief),
            1_781_344_803_000,
            &receipts,
            &[author(&shop)],
        );
        let mut ended_by = charter();
        ended_by.officials.retain(|o| o.key != thief.public());
        let before = ended_by.clone();
        ended_by.ended = Vec::from([ended]);
        let part = ended_by.good_part(record.chain()).unwrap();
        assert_eq!(part.next_seq(), 3);
        assert_eq!(before.good_part(record.chain()).unwrap().next_seq(), 4);
        assert!(ended_by.endorsement(&thief.public()).is_none());
        let another = sample::record(2, &thief);
        assert!(ended_by.good_part(another.chain()).is_none());
        // Written anew before the end: not what was good.
        let mut anew = sample::record(1, &thief);
        for goal in [Goal::Third, Goal::First, Goal::Second] {
            sample::play(&mut anew, &thief, sample::safe(goal));
        }
        assert!(ended_by.good_part(anew.chain()).is_none());
        // The charter goes over the wire as it is, and lists no ended key.
        ended_by.officials.push(author(&thief));
        assert!(ended_by.draft().is_err());
    }
}
