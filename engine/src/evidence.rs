//! The whole verdict on a set of files: what each is, who wrote what in it,
//! whom a charter lists, what is signed by whom, what is missing, where a log
//! was signed twice, and up to where it is witnessed and dated.
//!
//! Everything that a verifier shows is a value here; it decides only on words.
//!
//! ```
//! use engine::evidence::{Evidence, FileContent};
//!
//! let found = Evidence::of([("notes.txt", &b"Quay Street won."[..])]);
//! assert!(matches!(found.files[0].content, FileContent::Unknown(_)));
//! assert!(!found.is_good());
//! ```

mod words;

use alloc::boxed::Box;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use chrono::Timelike as _;

use crate::charter::{CharterHistory, SignedCharter};
#[cfg(feature = "link")]
use crate::crosscheck::Exchange;
#[cfg(feature = "link")]
use crate::link::{Kind, text};
use crate::log::{
    Author, Body, Captain, Chain, Damage, EntryError, Fingerprint, Fork, GameRecord, Hash, LogFile,
    Order, RecordError, SignedOrder, SignedReceipt, Unverified, Verified, WitnessReport, split,
};

/// What one file is.
#[derive(Clone, Debug)]
pub enum FileContent {
    /// A play log, good as far as `damage` says.
    Log {
        /// Good items.
        entries: usize,
        /// Receipts of collectors among them.
        receipts: usize,
        /// What stopped the reading; `None` when all of it is good.
        damage: Option<Damage>,
    },
    /// Versions of a charter, each with a good signature.
    Charter(Vec<SignedCharter<Verified>>),
    /// A charter that is not good.
    BadCharter(EntryError),
    /// What whoever runs a collector orders there, with a good signature. It
    /// is no evidence of a game.
    Order(Box<SignedOrder>),
    /// An order that is not good.
    BadOrder(EntryError),
    /// None of these: a text, a picture, a page. What a log's reader says of its
    /// first byte.
    Unknown(Damage),
}

/// One file.
#[derive(Clone, Debug)]
pub struct FileVerdict {
    /// Its name, as given: a stranger's text.
    pub name: String,
    /// What it is.
    pub content: FileContent,
}

impl FileVerdict {
    /// Whether all of it is good.
    #[must_use]
    pub const fn is_good(&self) -> bool {
        matches!(
            self.content,
            FileContent::Log { damage: None, .. } | FileContent::Charter(_) | FileContent::Order(_)
        )
    }
}

/// What a charter says of a log's author.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Listing {
    /// None of the charters given is the log's.
    NoCharter,
    /// Its charter does not list the key.
    NotListed,
    /// Its charter ends the key: this official's, of whose log so many entries
    /// stay good.
    Ended(Box<Author>, u64),
    /// Its charter lists the key with this name and role.
    Listed(Box<Author>),
}

/// A signature that closes a game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// Whose key signed it: the fingerprint that opened the log it stands in.
    pub by: Fingerprint,
    /// Sequence number there.
    pub seq: u64,
    /// The captain whom it names. It is signed with the official's key, on the
    /// official's phone: it is the official who says that the captain agreed.
    pub captain: Option<Captain>,
}

/// One log of a file.
#[derive(Clone, Debug)]
pub struct LogVerdict {
    /// Which file, counted from 0.
    pub file: usize,
    /// Its entries.
    pub chain: Chain,
    /// Numbers that its author signed twice, here and in the other files.
    pub forks: Vec<Fork>,
    /// What its charter says of its author.
    pub listing: Listing,
    /// The game it folds to, or why there is none.
    pub record: Result<GameRecord, RecordError>,
    /// What others and collectors sign of it, in all files.
    pub witnessed: WitnessReport,
    /// Who co-signed its final statement, in all files.
    pub co_signed: Vec<Signature>,
}

impl LogVerdict {
    /// Whether nothing that is signed contradicts it. A log that others saw
    /// longer is old, not wrong.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let said = self.record.as_ref().map_or(0, |r| r.misstatements().len());
        let rewritten = self.witnessed.contradictions.iter().any(|c| !c.cut);
        said == 0 && !rewritten && self.forks.is_empty()
    }

    /// Entries from this number on are named by nobody else's signature.
    #[must_use]
    pub fn unwitnessed_from(&self) -> u64 {
        let named = self.witnessed.by.iter().map(|w| w.seq + 1);
        let dated = self.witnessed.dated.iter().map(|d| d.seq + 1);
        named.chain(dated).max().unwrap_or(0)
    }
}

/// What a set of files shows together.
#[derive(Clone, Debug)]
pub struct Evidence {
    /// Each file, in the order given.
    pub files: Vec<FileVerdict>,
    /// The charters found, by event.
    pub charters: Vec<CharterHistory>,
    /// The logs found, file by file.
    pub logs: Vec<LogVerdict>,
    /// Receipts found, each once.
    pub receipts: Vec<SignedReceipt>,
}

impl Evidence {
    /// Judges files, given by name and content.
    #[must_use]
    pub fn of<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Self {
        Self::under(Vec::new(), files)
    }

    /// Judges files beside charters that are known already.
    #[must_use]
    pub fn under<'a>(
        mut charters: Vec<SignedCharter<Verified>>,
        files: impl IntoIterator<Item = (&'a str, &'a [u8])>,
    ) -> Self {
        let mut found = Self {
            files: Vec::new(),
            charters: Vec::new(),
            logs: Vec::new(),
            receipts: Vec::new(),
        };
        let mut chains = Vec::new();
        for (at, (name, bytes)) in files.into_iter().enumerate() {
            let content = match (charter_in(bytes), order_in(bytes)) {
                (Some(Ok(versions)), _) => {
                    charters.extend(versions.iter().cloned());
                    FileContent::Charter(versions)
                }
                (Some(Err(why)), _) => FileContent::BadCharter(why),
                (None, Some(Ok(order))) => FileContent::Order(Box::new(order)),
                (None, Some(Err(why))) => FileContent::BadOrder(why),
                (None, None) => {
                    let (content, log) = log_in(bytes);
                    chains.extend(log.chains.into_iter().map(|chain| (at, chain)));
                    for receipt in log.receipts {
                        if !found.receipts.contains(&receipt) {
                            found.receipts.push(receipt);
                        }
                    }
                    content
                }
            };
            let name = name.to_string();
            found.files.push(FileVerdict { name, content });
        }
        found.charters = CharterHistory::gather(charters);
        let logs = chains.iter().map(|(file, chain)| LogVerdict {
            file: *file,
            listing: found.listing(chain),
            record: GameRecord::replay(chain.clone()),
            witnessed: WitnessReport::of(chain, chains.iter().map(|(_, c)| c), &found.receipts),
            forks: forks(chain, chains.iter().map(|(_, c)| c)),
            co_signed: co_signatures(chain, chains.iter().map(|(_, c)| c)),
            chain: chain.clone(),
        });
        found.logs = logs.collect();
        found
    }

    /// Whether every file is good and nothing that is signed contradicts a log.
    #[must_use]
    pub fn is_good(&self) -> bool {
        self.files.iter().all(FileVerdict::is_good) && self.logs.iter().all(LogVerdict::is_sound)
    }

    /// The name that a charter found gives a collector's key.
    #[must_use]
    pub fn collector(&self, key: Fingerprint) -> Option<&Author> {
        let in_force = self.charters.iter().map(|h| h.in_force().charter());
        let mut named = in_force.flat_map(|c| &c.collectors);
        named.find(|c| c.key.fingerprint() == key)
    }

    fn listing(&self, chain: &Chain) -> Listing {
        let opening = chain.opening();
        let of = |hash: Hash| self.charters.iter().find(|h| h.version(hash).is_some());
        let Some(history) = opening.setup.charter.and_then(of) else {
            return Listing::NoCharter;
        };
        let charter = history.in_force().charter();
        if let Some(ended) = charter.ended(&opening.author.key) {
            let good = charter.good_part(chain).map_or(0, |c| c.next_seq());
            return Listing::Ended(Box::new(ended.author.clone()), good);
        }
        match charter.endorsement(&opening.author.key) {
            Some(author) => Listing::Listed(Box::new(author.clone())),
            None => Listing::NotListed,
        }
    }
}

/// What proves that an author signed two entries with one number: in a log, or
/// between two copies of it.
fn forks<'a>(of: &Chain, all: impl Iterator<Item = &'a Chain>) -> Vec<Fork> {
    let mut found = of.forks().to_vec();
    let same = |c: &&Chain| c.game() == of.game() && c.author() == of.author();
    for copy in all.filter(same) {
        let both = of.entries().iter().zip(copy.entries());
        let mut differing = both.filter(|(a, b)| a.hash() != b.hash());
        // What follows from the first one proves nothing more.
        if let Some((kept, other)) = differing.next() {
            let fork = Fork {
                kept: kept.clone(),
                other: other.clone(),
            };
            if !found.contains(&fork) {
                found.push(fork);
            }
        }
    }
    found
}

/// The co-signatures of a log's last statement that is in force or not.
fn co_signatures<'a>(of: &Chain, all: impl Iterator<Item = &'a Chain>) -> Vec<Signature> {
    let is_statement = |e: &&crate::log::Entry<Verified>| matches!(e.body(), Body::Statement(_));
    let last = of.entries().iter().rev().find(is_statement);
    let Some(hash) = last.map(crate::log::Entry::hash) else {
        return Vec::new();
    };
    let mut found: Vec<Signature> = Vec::new();
    for chain in all.filter(|c| c.game() == of.game()) {
        for entry in chain.entries() {
            if let Body::CoSign(sign) = entry.body()
                && sign.statement == hash
            {
                let signature = Signature {
                    by: chain.author().fingerprint(),
                    seq: entry.payload().seq,
                    captain: sign.captain.clone(),
                };
                if !found.contains(&signature) {
                    found.push(signature);
                }
            }
        }
    }
    found
}

/// The versions in a file that is one of a charter; `None` for any other.
fn charter_in(bytes: &[u8]) -> Option<Result<Vec<SignedCharter<Verified>>, EntryError>> {
    #[cfg(feature = "link")]
    if let Ok(charters) = SignedCharter::read_all(bytes) {
        return Some(Ok(charters));
    }
    let is_one = |item: &[u8]| SignedCharter::<Unverified>::parse(item).is_ok();
    let first = split(bytes).next()?.ok()?;
    is_one(first).then(|| {
        split(bytes)
            .map(|item| SignedCharter::parse(item?)?.verify())
            .collect()
    })
}

/// The order that a file is; `None` for any other.
fn order_in(bytes: &[u8]) -> Option<Result<SignedOrder, EntryError>> {
    let first = split(bytes).next()?.ok()?;
    Order::is_one(first).then(|| SignedOrder::read(bytes))
}

/// Reads a file as a log: its bytes, or the lines that the app saves.
fn log_in(bytes: &[u8]) -> (FileContent, LogFile) {
    #[cfg(feature = "link")]
    let lines = entries_in_lines(bytes);
    #[cfg(not(feature = "link"))]
    let lines: Option<Vec<u8>> = None;
    let log = LogFile::read(lines.as_deref().unwrap_or(bytes));
    // Every item of a log begins with the tag of a COSE_Sign1.
    let strange = bytes.first().is_some_and(|b| *b != 0xd2) && lines.is_none();
    let content = match &log.damage {
        Some(damage) if strange && log.entries == 0 => FileContent::Unknown(damage.clone()),
        damage => FileContent::Log {
            entries: log.entries,
            receipts: log.receipts.len(),
            damage: damage.clone(),
        },
    };
    (content, log)
}

/// The log in lines of text for another phone, where it is there whole.
#[cfg(feature = "link")]
fn entries_in_lines(bytes: &[u8]) -> Option<Vec<u8>> {
    let whole = text::read(core::str::from_utf8(bytes).ok()?)
        .whole()
        .into_iter();
    let mut entries = whole.filter(|whole| whole.kind == Kind::Entries);
    let sent = Exchange::from_bytes(&entries.next()?.payload).ok()?;
    Some(sent.log)
}

/// A moment as people write it, in UTC: `2026-06-13T10:00:00Z` (RFC 3339).
#[must_use]
pub fn utc(ms: u64) -> String {
    let at = i64::try_from(ms).ok();
    let at = at.and_then(chrono::DateTime::from_timestamp_millis);
    at.map_or_else(String::new, |at| {
        let at = at.naive_utc();
        let (date, time) = (at.date(), at.time());
        let (h, m, s) = (time.hour(), time.minute(), time.second());
        alloc::format!("{date}T{h:02}:{m:02}:{s:02}Z")
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use super::*;
    use crate::log::{ErasedLog, OrderAction, Subject, sample};

    #[test]
    fn a_collectors_order_is_said_in_words_and_is_no_evidence_of_a_game() {
        let shop = sample::secret(9);
        let record = sample::short_game(1, &sample::secret(1));
        let game = record.chain().game();
        let order = |measure, holds| Order {
            measure,
            holds,
            issued_ms: 1_781_344_800_000,
            reason: "A parent asked.".into(),
            logs: Vec::from([ErasedLog {
                game,
                author: record.chain().author().fingerprint(),
                entries: 5,
                head: record.head(),
            }]),
            charters: Vec::new(),
            collector: shop.public(),
        };
        let said = |bytes: &[u8]| {
            let found = Evidence::of([("order", bytes), ("log", &record.chain().to_bytes())]);
            assert_eq!((found.logs.len(), found.logs[0].file), (1, 1));
            found.files[0].clone()
        };
        let subject = Subject::Game(game);
        for (measure, asks) in [
            (
                OrderAction::Hide(subject),
                alloc::format!("nobody is shown game {game}"),
            ),
            (
                OrderAction::Erase(subject),
                alloc::format!("game {game} is neither kept nor taken"),
            ),
            (
                OrderAction::Block(shop.public().fingerprint()),
                "nothing more by key".into(),
            ),
            (OrderAction::Pause, "nothing at all is taken".into()),
        ] {
            for (holds, word) in [(true, "Ordered"), (false, "No longer ordered")] {
                let signed = order(measure, holds).sign(&shop).unwrap();
                let file = said(signed.bytes());
                assert!(file.is_good());
                let FileContent::Order(order) = file.content else {
                    unreachable!("an order was read: {:?}", file.content);
                };
                let said = order.says().join(" ");
                assert!(said.starts_with(word) && said.contains(&asks), "{said}");
                let key = shop.public().fingerprint();
                for part in [
                    &key.to_string(),
                    &key.phrase().to_string(),
                    "A parent asked.",
                ] {
                    assert!(said.contains(part), "{said}");
                }
                assert!(said.contains("proves nothing about a game"), "{said}");
            }
        }
        let mut altered = order(OrderAction::Pause, true)
            .sign(&shop)
            .unwrap()
            .bytes()
            .to_vec();
        *altered.last_mut().unwrap() ^= 1;
        let file = said(&altered);
        assert!(!file.is_good());
        assert!(matches!(file.content, FileContent::BadOrder(_)));
    }
}
