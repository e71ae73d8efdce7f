//! What a collector answers.
//!
//! ```text
//! receipt = ["chalkbook:receipt", 1, game, author, next: uint, head: bstr / null,
//!            forked_at: uint / null, refusal / null, signed: bstr / null]
//! refusal = [at: uint, name: tstr, sentence: tstr]
//! heads   = ["chalkbook:heads", 1, game, [* [author, next, head, forked_at]]]
//! ```

use alloc::string::String;
use alloc::vec::Vec;

use minicbor::bytes::ByteVec;

use crate::log::{
    AuthorLog, Chain, Fingerprint, GameId, Hash, LogName, ReceiptClaim, SignedReceipt,
};

/// Why an entry was not taken.
#[derive(Clone, Debug, PartialEq, Eq, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Refusal {
    /// Which entry of the batch, from 0; those before it are stored.
    #[n(0)]
    pub at: u64,
    /// The documented name of the reason.
    #[n(1)]
    pub name: String,
    /// The reason in a plain sentence.
    #[n(2)]
    pub sentence: String,
}

impl Refusal {
    /// The name of what is no refusal yet: everything sent is kept, and is
    /// shown as soon as the version of the charter has come that the game was
    /// set up under. `at` is then the number of entries sent.
    pub const AWAITS_CHARTER: &'static str = "awaits-charter";
    /// The name of what whoever runs the collector took out of it for good.
    pub const ERASED: &'static str = "erased";
    /// The name of the answer while whoever runs the collector lets it take
    /// nothing.
    pub const PAUSED: &'static str = "paused";
}

/// How far a log has come at a collector, and what it refused if anything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The log.
    pub log: LogName,
    /// The next sequence number there.
    pub next: u64,
    /// Hash of the last entry there.
    pub head: Option<Hash>,
    /// The first sequence number that was signed twice.
    pub forked_at: Option<u64>,
    /// What was not taken.
    pub refusal: Option<Refusal>,
    /// The collector's signed and dated receipt for what it holds.
    pub signed: Option<ByteVec>,
}

impl Receipt {
    /// The first item of every receipt.
    pub const MARK: &'static str = "chalkbook:receipt";
    const FORM: u8 = 1;
    /// Most bytes looked at.
    pub const BYTES_LIMIT: usize = 8 * 1024;

    /// The receipt of a log as it stands.
    #[must_use]
    pub fn of(log: &AuthorLog) -> Self {
        Self {
            log: log.name(),
            next: log.next_seq(),
            head: log.head(),
            forked_at: log.forked_at(),
            refusal: None,
            signed: None,
        }
    }

    /// The signed receipt, where it is good and says the same as the rest.
    #[must_use]
    pub fn signed(&self) -> Option<SignedReceipt> {
        let signed = SignedReceipt::read(self.signed.as_ref()?).ok()?;
        let ReceiptClaim {
            log, entries, head, ..
        } = *signed.content();
        let same = (log, entries, Some(head)) == (self.log, self.next, self.head);
        same.then_some(signed)
    }

    /// As CBOR.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let LogName { game, author } = self.log;
        let all = (
            Self::MARK,
            Self::FORM,
            game,
            author,
            self.next,
            self.head,
            self.forked_at,
            &self.refusal,
            &self.signed,
        );
        // Writing to memory cannot fail.
        minicbor::to_vec(all).unwrap_or_default()
    }

    /// Reads a receipt; `None` for anything else, a portal's page for one.
    #[must_use]
    pub fn read(bytes: &[u8]) -> Option<Self> {
        if bytes.len() > Self::BYTES_LIMIT {
            return None;
        }
        let mut d = minicbor::Decoder::new(bytes);
        if d.array().ok()? != Some(9) || d.str().ok()? != Self::MARK || d.u8().ok()? != Self::FORM {
            return None;
        }
        let log = LogName {
            game: d.decode().ok()?,
            author: d.decode().ok()?,
        };
        let receipt = Self {
            log,
            next: d.u64().ok()?,
            head: d.decode().ok()?,
            forked_at: d.decode().ok()?,
            refusal: d.decode().ok()?,
            signed: d.decode().ok()?,
        };
        let bounded = receipt.next <= Chain::ENTRIES_LIMIT as u64;
        (d.position() == bytes.len() && bounded).then_some(receipt)
    }
}

/// How far one author's log has come.
#[derive(Clone, Debug, PartialEq, Eq, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct LogHead {
    /// Whose log.
    #[n(0)]
    pub author: Fingerprint,
    /// The next sequence number there.
    #[n(1)]
    pub next: u64,
    /// Hash of the last entry there.
    #[n(2)]
    pub head: Option<Hash>,
    /// The first sequence number that was signed twice.
    #[n(3)]
    pub forked_at: Option<u64>,
}

/// The logs of one game that a collector has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heads {
    /// The game.
    pub game: GameId,
    /// Its logs.
    pub logs: Vec<LogHead>,
}

impl Heads {
    /// The first item.
    pub const MARK: &'static str = "chalkbook:heads";
    /// Most logs of one game.
    pub const LOGS_LIMIT: usize = 64;

    /// As CBOR.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        // Writing to memory cannot fail.
        minicbor::to_vec((Self::MARK, 1u8, self.game, &self.logs)).unwrap_or_default()
    }

    /// Reads the list; `None` for anything else.
    #[must_use]
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let mut d = minicbor::Decoder::new(bytes);
        if d.array().ok()? != Some(4) || d.str().ok()? != Self::MARK || d.u8().ok()? != 1 {
            return None;
        }
        let heads = Self {
            game: d.decode().ok()?,
            logs: d.decode().ok()?,
        };
        (d.position() == bytes.len() && heads.logs.len() <= Self::LOGS_LIMIT).then_some(heads)
    }

    /// What to fetch: each author of whom there is more or something else than
    /// `have` (entries held, hash of the last), and from which number on.
    #[must_use]
    pub fn missing(
        &self,
        have: impl Fn(Fingerprint) -> (u64, Option<Hash>),
    ) -> Vec<(Fingerprint, u64)> {
        let wanted = |log: &LogHead| {
            let (count, last) = have(log.author);
            if (log.next, log.head) == (count, last) && log.forked_at.is_none() {
                None
            } else if log.next > count && log.forked_at.is_none() {
                Some((log.author, count))
            } else if log.forked_at.is_some() || log.head != last && log.next == count {
                Some((log.author, 0))
            } else {
                None
            }
        };
        self.logs.iter().filter_map(wanted).collect()
    }
}
