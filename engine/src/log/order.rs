//! A collector's signed order: what it hides, erases or takes no more.
//!
//! ```text
//! payload = [format: 1, "order", measure, holds: bool, issued: uint, reason: tstr,
//!            logs: [* [game, author, entries: uint, head]], charters: [* hash],
//!            collector: bstr .size 32]
//! measure = [0, [subject]] / [1, [subject]] / [2, [key: fingerprint]] / [3, []]
//! subject = [0, [game]] / [1, [key: fingerprint]] / [2, [event: hash]]
//! ```
//! In the envelope of an entry, `external_aad` `chalkbook:order`. Where something
//! is erased the order takes its place: `logs` and `charters` keep the hashes, so
//! that a copy held elsewhere can be shown to be what was here, and no name.

use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec::Vec;

use minicbor::Decoder;
use minicbor::decode::Error;

use super::bounds::{Field, at_most, text};
use super::cose::{Domain, Envelope};
use super::receipt::second_is;
use super::signed::{Content, EntryError, FORMAT, Signed, Unsigned, Verified};
use super::text::cleaned;
use super::{
    AuthorLog, Fingerprint, GameId, Hash, LogName, OutOfTime, PublicKey, SecretKey, TooLarge,
};
use crate::message::localized;

/// What an order is about.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
pub enum Subject {
    /// Every log of a game.
    #[n(0)]
    Game(#[n(0)] GameId),
    /// Every log that a key opened.
    #[n(1)]
    Key(#[n(0)] Fingerprint),
    /// An event, by its first charter: its charters and every log of its games.
    #[n(2)]
    Event(#[n(0)] Hash),
}

/// What is ordered.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
pub enum OrderAction {
    /// It is kept and taken, and nobody is shown it.
    #[n(0)]
    Hide(#[n(0)] Subject),
    /// It is neither kept nor taken.
    #[n(1)]
    Erase(#[n(0)] Subject),
    /// Nothing more by this key is taken, and it reads nothing that is not
    /// public.
    #[n(2)]
    Block(#[n(0)] Fingerprint),
    /// Nothing at all is taken for now.
    #[n(3)]
    Pause,
}

/// How far a log had come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct ErasedLog {
    /// The game.
    #[n(0)]
    pub game: GameId,
    /// The key that opened the log.
    #[n(1)]
    pub author: Fingerprint,
    /// Entries.
    #[n(2)]
    pub entries: u64,
    /// Hash of the last of them.
    #[n(3)]
    pub head: Hash,
}

impl ErasedLog {
    /// The line of a log that is shown, as it stands; `None` while nothing is
    /// there.
    #[must_use]
    pub fn of(log: &AuthorLog) -> Option<Self> {
        let LogName { game, author } = log.name();
        Some(Self {
            game,
            author,
            entries: log.next_seq(),
            head: log.head()?,
        })
    }
}

/// An order, before it is signed.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Order {
    /// What is ordered.
    pub measure: OrderAction,
    /// Whether it holds from here on, or no longer does.
    pub holds: bool,
    /// When, by the clock of whoever ordered it (ms since 1970 UTC).
    pub issued_ms: u64,
    /// Why, in a sentence that everyone may read.
    pub reason: String,
    /// What was erased by it.
    pub logs: Vec<ErasedLog>,
    /// The versions of the event's charter, where an event is meant.
    pub charters: Vec<Hash>,
    /// The key of the collector that it is for.
    pub collector: PublicKey,
}

impl Order {
    /// Most logs that one order names; more go into another.
    pub const LOGS_LIMIT: usize = 1024;
    /// Most versions of a charter that one order names.
    pub const CHARTERS_LIMIT: usize = 256;

    /// Whether an item says that it is an order, good or not.
    #[must_use]
    pub fn is_one(item: &[u8]) -> bool {
        Envelope::parse(item, Self::BYTES_LIMIT).is_ok_and(|e| second_is(e.payload(), MARK))
    }

    /// Signs it. Control characters in the reason are left out.
    ///
    /// # Errors
    /// When it is longer than is kept, or this is not the key that it names.
    pub fn sign(mut self, collector: &SecretKey) -> Result<SignedOrder, OrderError> {
        self.reason = cleaned(self.reason);
        self.issued_ms = OutOfTime::nearest(self.issued_ms);
        let key = self.collector;
        let signed = Unsigned::new(self, key)?.sign(collector);
        signed.map_err(|_| OrderError::OtherKey)
    }
}

/// Why an order is not signed.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OrderError {
    /// Something in it is longer than is kept.
    #[message(transparent)]
    TooLarge(#[from] TooLarge),
    /// It names another key as the collector's.
    OtherKey,
}

const MARK: &str = "order";

impl Content for Order {
    const NAME: Field = Field::Order;
    const BYTES_LIMIT: usize = 128 * 1024;
    const MEMBERS: u64 = 9;

    fn domain(&self) -> Domain {
        Domain::Order
    }

    fn to_bytes(&self) -> Vec<u8> {
        let fields = (
            FORMAT,
            MARK,
            self.measure,
            self.holds,
            self.issued_ms,
            &self.reason,
            &self.logs,
            &self.charters,
            self.collector,
        );
        // Writing to memory cannot fail.
        minicbor::to_vec(fields).unwrap_or_default()
    }

    fn read_members(d: &mut Decoder<'_>) -> Result<Self, Error> {
        if d.str()? != MARK {
            return Err(Error::message("no order"));
        }
        Ok(Self {
            measure: d.decode()?,
            holds: d.decode()?,
            issued_ms: d.u64()?,
            reason: d.decode()?,
            logs: d.decode()?,
            charters: d.decode()?,
            collector: d.decode()?,
        })
    }

    fn fits(&self) -> Result<(), TooLarge> {
        text(Field::Reason, &self.reason)?;
        at_most(Field::Logs, self.logs.len(), Self::LOGS_LIMIT)?;
        at_most(Field::Charters, self.charters.len(), Self::CHARTERS_LIMIT)
    }

    fn check_times(&self) -> Result<(), OutOfTime> {
        OutOfTime::check(self.issued_ms)
    }
}

/// An order with the exact bytes it came in, its signature checked with the
/// key that it names.
pub type SignedOrder = Signed<Order, Verified>;

impl SignedOrder {
    /// Reads one order and nothing else, and checks its signature.
    ///
    /// # Errors
    /// When the bytes are no order, or the signature does not fit.
    pub fn read(bytes: &[u8]) -> Result<Self, EntryError> {
        let order = Signed::<Order, _>::parse(bytes)?;
        let key = order.content().collector;
        order.verify_with(&key)
    }

    /// The orders that hold, by what they order: those issued after the last
    /// one that lifts it, of equal times by hash.
    #[must_use]
    pub fn in_force(all: impl IntoIterator<Item = Self>) -> BTreeMap<OrderAction, Vec<Self>> {
        let mut by_measure: BTreeMap<OrderAction, Vec<Self>> = BTreeMap::new();
        for order in all {
            let same = by_measure.entry(order.content().measure).or_default();
            if !same.contains(&order) {
                same.push(order);
            }
        }
        for same in by_measure.values_mut() {
            same.sort_by_key(|o| (o.content().issued_ms, o.hash()));
            // Several that hold beside one another each name a part of what is erased.
            let lifted = same.iter().rposition(|o| !o.content().holds);
            if let Some(lifted) = lifted {
                same.drain(..=lifted);
            }
        }
        by_measure.retain(|_, same| !same.is_empty());
        by_measure
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use super::super::{EnvelopeError, sample};
    use super::*;

    const NOON: u64 = 1_781_344_800_000;

    fn order(by: &SecretKey, measure: OrderAction) -> Order {
        Order {
            measure,
            holds: true,
            issued_ms: NOON,
            reason: "A parent asked.\u{1b}[2J".into(),
            logs: Vec::new(),
            charters: Vec::new(),
            collector: by.public(),
        }
    }

    #[test]
    fn an_order_is_read_as_signed_and_by_nobody_else() {
        let (shop, other) = (sample::secret(9), sample::secret(8));
        let one = sample::record(1, &other);
        let mut erase = order(&shop, OrderAction::Erase(Subject::Game(one.chain().game())));
        erase.logs.push(ErasedLog {
            game: one.chain().game(),
            author: other.public().fingerprint(),
            entries: 1,
            head: one.chain().head(),
        });
        let signed = erase.clone().sign(&shop).unwrap();
        assert_eq!(signed.content().reason, "A parent asked.[2J");
        assert_eq!(SignedOrder::read(signed.bytes()).unwrap(), signed);
        assert_eq!(
            erase.clone().sign(&other).unwrap_err(),
            OrderError::OtherKey
        );
        let mut bytes = signed.bytes().to_vec();
        *bytes.last_mut().unwrap() ^= 1;
        let bad = SignedOrder::read(&bytes).unwrap_err();
        assert_eq!(bad, EnvelopeError::BadSignature.into());
        erase.logs = alloc::vec![erase.logs[0]; Order::LOGS_LIMIT + 1];
        assert!(matches!(erase.sign(&shop), Err(OrderError::TooLarge(_))));
    }

    #[test]
    fn the_last_word_about_the_same_holds_in_whatever_order_they_come() {
        let shop = sample::secret(9);
        let at = |measure, ms, holds| {
            let mut order = order(&shop, measure);
            (order.issued_ms, order.holds) = (NOON + ms, holds);
            order.sign(&shop).unwrap()
        };
        let key = OrderAction::Block(shop.public().fingerprint());
        let mut all = [
            at(key, 0, true),
            at(key, 1, false),
            at(OrderAction::Pause, 2, true),
            at(key, 3, true),
            at(OrderAction::Pause, 4, false),
        ];
        for _ in 0..all.len() {
            all.rotate_left(1);
            let holds = SignedOrder::in_force(all.clone());
            let found: Vec<_> = holds.keys().copied().collect();
            assert_eq!(found, [key]);
            assert_eq!(holds[&key].len(), 1);
            assert_eq!(holds[&key][0].content().issued_ms, NOON + 3);
        }
    }
}
