//! Every reader of the engine that takes bytes from outside, at once.

use engine::charter::{Pairings, SignedCharter};
use engine::court::CourtUsed;
use engine::crosscheck::{Agreement, CheckCode, Exchange};
use engine::evidence::Evidence;
use engine::link::{Packet, text};
use engine::log::{
    Author, Chain, Content as _, Entry, LogFile, LogSet, Order, Payload, ReceiptClaim, Setup,
    SignedOrder, SignedReceipt,
};
use engine::sync::{CharterReceipt, Heads, ReadPass, Receipt};

/// Reads bytes as everything that they could be, holds what is taken to be
/// written as it was read, and folds and words what makes a record.
///
/// # Panics
/// When a reader does, or writes something else.
pub fn read(bytes: &[u8]) {
    if let Ok(payload) = Payload::parse(bytes) {
        assert_eq!(payload.to_bytes(), bytes, "an entry's payload");
    }
    if let Ok(entry) = Entry::parse(bytes) {
        assert_eq!(entry.bytes(), bytes, "an entry");
    }
    if let Ok(setup) = Setup::from_bytes(bytes) {
        assert_eq!(setup.to_bytes(), bytes, "a setup");
    }
    if let Ok(author) = Author::from_bytes(bytes) {
        assert_eq!(author.to_bytes(), bytes, "a card");
    }
    let _ = ReceiptClaim::parse(bytes);
    let _ = Order::parse(bytes);
    let _ = engine::charter::Charter::parse(bytes);
    let _ = Chain::open_bytes(bytes);
    let _ = SignedReceipt::read(bytes);
    let _ = SignedOrder::read(bytes);
    let _ = SignedCharter::parse(bytes).and_then(SignedCharter::verify);
    let _ = Exchange::from_bytes(bytes);
    let _ = Agreement::from_bytes(bytes);
    let _ = Pairings::from_bytes(bytes);
    let _ = minicbor::decode::<CourtUsed>(bytes);
    let _ = (Receipt::read(bytes), CharterReceipt::read(bytes));
    let _ = Heads::read(bytes);
    let _ = Packet::from_bytes(bytes);
    if let Ok(text) = core::str::from_utf8(bytes) {
        let _ = text::read(text).whole();
        let _ = (ReadPass::read(text), CheckCode::read(text));
    }
    let mut logs = LogSet::new();
    let taken = logs.take(bytes);
    let file = LogFile::read(bytes);
    if file.damage.is_none() && file.chains.iter().all(|c| c.forks().is_empty()) {
        assert!(taken.faults.is_empty(), "{:?}", taken.faults);
    }
    if !file.chains.is_empty() || file.entries > 0 || SignedCharter::parse(bytes).is_ok() {
        let found = Evidence::of([("", bytes)]);
        for log in &found.logs {
            let _ = (log.game(), log.listed(), log.witnesses(), log.dated(&found));
            let _ = (log.misstatements(), log.co_signers());
        }
    }
}
