//! A collector's signed and dated receipt: that it held a log so far at a
//! moment.
//!
//! ```text
//! payload = [format: 1, "receipt", game: bstr .size 32, author: bstr .size 16,
//!            entries: uint, head: bstr .size 32, received: uint, collector: bstr .size 32]
//! ```
//! In the envelope of an entry, `external_aad` `chalkbook:receipt`. The head
//! commits to every entry before it, so one receipt dates all of them, and the
//! way from any entry to the head is the log itself.
//!
//! Learnt from RFC 9162, where a log signs a promise with a time and a tree
//! head, and from the COSE receipts (RFC 9942), a COSE_Sign1 over what a proof
//! of inclusion leads to. Their Merkle tree joins the entries of strangers, so
//! that short proofs lead to one head and monitors can compare heads. Here each
//! log is a chain of its own that is handed over whole: the tree would prove
//! nothing more of it.

use alloc::vec::Vec;

use minicbor::Decoder;
use minicbor::decode::Error;

use super::cose::{Domain, Envelope};
use super::entry::{Entry, Payload};
use super::file::split;
use super::signed::{Content, EntryError, FORMAT, Signed, Unsigned, Unverified, Verified};
use super::{
    AuthorLog, Chain, Field, Fingerprint, Hash, LogName, OutOfTime, PublicKey, SecretKey, TooLarge,
};

/// What a receipt says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ReceiptClaim {
    /// The log.
    pub log: LogName,
    /// Entries that it had, 1 or more.
    pub entries: u64,
    /// Hash of the last of them.
    pub head: Hash,
    /// When the collector had them, by its clock (ms since 1970 UTC).
    pub received_ms: u64,
    /// The collector's key. Whose that is, a charter or people say.
    pub collector: PublicKey,
}

impl ReceiptClaim {
    /// The line of a log that is shown, as it stands; `None` while nothing is
    /// there.
    #[must_use]
    pub fn of(log: &AuthorLog, received_ms: u64, collector: PublicKey) -> Option<Self> {
        Some(Self {
            log: log.name(),
            entries: log.next_seq(),
            head: log.head()?,
            received_ms: OutOfTime::nearest(received_ms),
            collector,
        })
    }

    /// Signs it; `None` with another key than it names.
    #[must_use]
    pub fn sign(self, collector: &SecretKey) -> Option<SignedReceipt> {
        let unsigned = Unsigned::new(self, self.collector).ok()?;
        unsigned.sign(collector).ok()
    }

    /// Whether these are the first entries of a log, word for word.
    #[must_use]
    pub fn begins(&self, chain: &Chain) -> bool {
        let last = self.entries.checked_sub(1).and_then(|seq| chain.at(seq));
        last.is_some_and(|entry| entry.hash() == self.head)
    }
}

const MARK: &str = "receipt";

impl Content for ReceiptClaim {
    const NAME: Field = Field::Receipt;
    const BYTES_LIMIT: usize = Payload::BYTES_LIMIT;
    const MEMBERS: u64 = 8;

    fn domain(&self) -> Domain {
        Domain::Receipt
    }

    fn to_bytes(&self) -> Vec<u8> {
        let fields = (
            FORMAT,
            MARK,
            self.log.game,
            self.log.author,
            self.entries,
            self.head,
            self.received_ms,
            self.collector,
        );
        // Writing to memory cannot fail.
        minicbor::to_vec(fields).unwrap_or_default()
    }

    fn read_members(d: &mut Decoder<'_>) -> Result<Self, Error> {
        if d.str()? != MARK {
            return Err(Error::message("no receipt"));
        }
        let log = LogName {
            game: d.decode()?,
            author: d.decode()?,
        };
        let entries = d.u64()?;
        if !(1..=Chain::ENTRIES_LIMIT as u64).contains(&entries) {
            return Err(Error::message("of no log's length"));
        }
        Ok(Self {
            log,
            entries,
            head: d.decode()?,
            received_ms: d.u64()?,
            collector: d.decode()?,
        })
    }

    fn fits(&self) -> Result<(), TooLarge> {
        Ok(())
    }

    fn check_times(&self) -> Result<(), OutOfTime> {
        OutOfTime::check(self.received_ms)
    }
}

/// A receipt with the exact bytes it came in, its signature checked with the
/// key that it names.
pub type SignedReceipt = Signed<ReceiptClaim, Verified>;

impl SignedReceipt {
    /// Reads one receipt and nothing else, and checks its signature.
    ///
    /// # Errors
    /// When the bytes are no receipt, or the signature does not fit.
    pub fn read(bytes: &[u8]) -> Result<Self, EntryError> {
        checked(Signed::parse(bytes)?)
    }

    /// Every good receipt in a file, whatever else is in it and whether that
    /// has its place: a damaged entry makes no date untrue.
    pub fn all_in(file: &[u8]) -> impl Iterator<Item = Self> {
        let items = split(file).map_while(Result::ok);
        items.filter_map(|item| Self::read(item).ok())
    }
}

fn checked(receipt: Signed<ReceiptClaim, Unverified>) -> Result<SignedReceipt, EntryError> {
    let key = receipt.content().collector;
    receipt.verify_with(&key)
}

/// Whether the second member of a payload is this word.
pub(super) fn second_is(payload: &[u8], word: &str) -> bool {
    let mut d = Decoder::new(payload);
    let second = d.array().and_then(|_| d.skip()).and_then(|()| d.str());
    second.is_ok_and(|second| second == word)
}

/// One item of a file.
// It lives until it is looked at: a box would cost every entry more.
#[allow(clippy::large_enum_variant)]
#[derive(Clone, Debug)]
pub(super) enum Item {
    /// An entry of a log.
    Entry(Entry<Unverified>),
    /// What a collector signed of one.
    Receipt(SignedReceipt),
}

impl Item {
    /// Reads one item; of a receipt the signature is checked too. A payload
    /// whose second member is the word is a receipt's.
    pub(super) fn parse(bytes: &[u8]) -> Result<Self, EntryError> {
        let envelope = Envelope::parse(bytes, Payload::BYTES_LIMIT)?;
        match second_is(envelope.payload(), MARK) {
            true => checked(Signed::of(envelope)?).map(Self::Receipt),
            false => Signed::of(envelope).map(Self::Entry),
        }
    }
}

/// That entries of a log existed before a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DatedHead {
    /// The collector that says so: the fingerprint of its key.
    pub by: Fingerprint,
    /// Sequence number of the last entry that it held.
    pub seq: u64,
    /// When it held it (ms since 1970 UTC, by its clock).
    pub before_ms: u64,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use super::super::{EnvelopeError, LogFile, WitnessPlace, WitnessReport, cose, sample};
    use super::*;
    use crate::play::Goal;

    const NOON: u64 = 1_781_344_800_000;

    fn claim(chain: &Chain, collector: &SecretKey) -> ReceiptClaim {
        ReceiptClaim {
            log: chain.name(),
            entries: chain.next_seq(),
            head: chain.head(),
            received_ms: NOON,
            collector: collector.public(),
        }
    }

    #[test]
    fn a_receipt_in_a_file_dates_the_log_and_shows_what_was_written_anew() {
        let (a, shop) = (sample::secret(1), sample::secret(9));
        let mut one = sample::record(1, &a);
        sample::play(&mut one, &a, sample::safe(Goal::First));
        let opening = one.chain().clone().cut(1).0.unwrap();
        let receipt = claim(one.chain(), &shop).sign(&shop).unwrap();
        assert_eq!(SignedReceipt::read(receipt.bytes()).unwrap(), receipt);
        sample::play(&mut one, &a, sample::safe(Goal::Second));
        let mut anew = super::super::GameRecord::replay(opening.clone()).unwrap();
        for goal in [Goal::Third, Goal::Second] {
            sample::play(&mut anew, &a, sample::safe(goal));
        }
        let by = shop.public().fingerprint();
        // Also behind an entry that has no place, and beside one that is bad.
        let mut bad = receipt.bytes().to_vec();
        *bad.last_mut().unwrap() ^= 1;
        let last = one.chain().entries()[2].bytes();
        let file = [last, &bad, receipt.bytes()].concat();
        assert_eq!(LogFile::read(&file).receipts, []);
        assert!(SignedReceipt::all_in(&file).eq([receipt.clone()]));
        let judged = |chain: &Chain| {
            let bytes = [receipt.bytes(), &chain.to_bytes(), receipt.bytes()].concat();
            let file = LogFile::read(&bytes);
            assert_eq!((&file.damage, file.receipts.len()), (&None, 1));
            WitnessReport::of(&file.chains[0], [], &file.receipts)
        };
        let dated = DatedHead {
            by,
            seq: 1,
            before_ms: NOON,
        };
        assert_eq!(judged(one.chain()).dated, [dated]);
        assert_eq!(judged(one.chain()).contradictions, []);
        for (chain, cut) in [(&opening, true), (anew.chain(), false)] {
            let found = judged(chain);
            assert_eq!(found.dated, []);
            let wrong = &found.contradictions[0];
            assert_eq!((wrong.by, wrong.entries, wrong.cut), (by, 2, cut));
            assert_eq!(wrong.place, WitnessPlace::Receipt { received_ms: NOON });
        }
    }

    #[test]
    fn another_key_or_a_changed_time_is_no_receipt() {
        let (a, shop) = (sample::secret(1), sample::secret(9));
        let one = sample::record(1, &a);
        let claim = claim(one.chain(), &shop);
        let kid = shop.public().fingerprint();
        let refused = |claim: ReceiptClaim, kid, signature| {
            let envelope = Envelope::assemble(kid, claim.to_bytes(), signature);
            SignedReceipt::read(envelope.bytes()).unwrap_err()
        };
        let signature = shop.sign(&cose::to_be_signed(
            Domain::Receipt,
            &kid,
            &claim.to_bytes(),
        ));
        let earlier = ReceiptClaim {
            received_ms: NOON - 1,
            ..claim
        };
        let bad = EntryError::from(EnvelopeError::BadSignature);
        assert_eq!(refused(earlier, kid, signature), bad);
        // The signature of a play over the same words is none either.
        let as_play = shop.sign(&cose::to_be_signed(Domain::Log, &kid, &claim.to_bytes()));
        assert_eq!(refused(claim, kid, as_play), bad);
        // Nor does an official's key make one in the collector's name.
        assert!(claim.sign(&a).is_none());
        assert!(matches!(
            refused(claim, a.public().fingerprint(), signature),
            EntryError::Envelope(EnvelopeError::OtherKey { .. })
        ));
        let none = ReceiptClaim {
            entries: 0,
            ..claim
        };
        let refused = refused(none, kid, signature);
        assert_eq!(refused, EntryError::MalformedPayload);
        let good = claim.sign(&shop).unwrap();
        assert!(Entry::parse(good.bytes()).is_err());
    }
}
