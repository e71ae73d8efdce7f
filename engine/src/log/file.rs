//! Log files: entries one after another, of one or more authors and games.
//!
//! ```text
//! file = *Envelope        ; a CBOR sequence, RFC 8742
//! ```
//! An author's entries stand in order, the opening first; logs of several
//! authors may alternate. A repeated entry is no error. Receipts of collectors
//! may stand anywhere among them.

use alloc::vec::Vec;

use super::chain::{Chain, ChainError, PushOutcome};
use super::cose::{self, EnvelopeError};
use super::entry::{Entry, Payload};
use super::receipt::{Item, SignedReceipt};
use super::signed::{EntryError, Unverified};
use crate::message::localized;

/// What is wrong with one entry of a file.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// The entry, or its place in its author's log.
    #[message(transparent)]
    Chain(ChainError),
    /// Nothing before it is of its log.
    NoOpening,
    /// There is nothing in the file.
    Empty,
    /// More logs than one file keeps.
    #[message(most = LogFile::LOGS_LIMIT)]
    TooManyLogs,
}

impl<E: Into<ChainError>> From<E> for FileError {
    fn from(e: E) -> Self {
        Self::Chain(e.into())
    }
}

impl From<EnvelopeError> for ChainError {
    fn from(e: EnvelopeError) -> Self {
        Self::Entry(EntryError::Envelope(e))
    }
}

/// Where a file stops being good, and why.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Damage {
    /// The entry, counted from 1 in the order of the file.
    pub entry: usize,
    /// Where it starts, bytes from the beginning.
    pub offset: usize,
    /// What is wrong with it.
    pub error: FileError,
}

/// A file as far as it is good.
#[derive(Clone, Debug, Default)]
pub struct LogFile {
    /// The logs, in the order in which they were opened.
    pub chains: Vec<Chain>,
    /// Receipts of collectors, each once, of logs in the file or not.
    pub receipts: Vec<SignedReceipt>,
    /// Good items, repeated ones included.
    pub entries: usize,
    /// What stopped the reading; `None` when the whole file is good.
    pub damage: Option<Damage>,
}

impl LogFile {
    /// The media type of a play log: in the tree of those that are not
    /// registered (RFC 6838, section 3.4), with the suffix of a CBOR sequence
    /// (RFC 8742, section 6.3).
    pub const MEDIA_TYPE: &'static str = "application/x.chalkbook-log+cbor-seq";
    /// Most logs in one file.
    pub const LOGS_LIMIT: usize = 1024;

    /// Reads and verifies a file up to its first fault. What came before is
    /// good and kept; a fork is kept in its chain as proof.
    #[must_use]
    pub fn read(bytes: &[u8]) -> Self {
        let mut file = Self::default();
        let mut offset = 0;
        if bytes.is_empty() {
            file.stop(offset, FileError::Empty);
        }
        while let Some(rest) = bytes.get(offset..).filter(|r| !r.is_empty()) {
            match file.take(rest) {
                Ok(length) => {
                    file.entries += 1;
                    offset += length;
                }
                Err(error) => {
                    file.stop(offset, error);
                    break;
                }
            }
        }
        file
    }

    /// The logs, of a file that is good to its end.
    ///
    /// # Errors
    /// The first damage. The logs as far as they are good stay in
    /// [`chains`](Self::chains).
    pub fn whole(&self) -> Result<&[Chain], Damage> {
        match &self.damage {
            Some(damage) => Err(damage.clone()),
            None => Ok(&self.chains),
        }
    }

    fn stop(&mut self, offset: usize, error: FileError) {
        self.damage = Some(Damage {
            entry: self.entries + 1,
            offset,
            error,
        });
    }

    /// Adds the entry that starts `rest` and gives its length.
    fn take(&mut self, rest: &[u8]) -> Result<usize, FileError> {
        let length = cose::item_end(rest)?;
        let (item, later) = rest.split_at(length);
        let entry = match Item::parse(item)? {
            Item::Entry(entry) => entry,
            Item::Receipt(receipt) => {
                if !self.receipts.contains(&receipt) {
                    self.receipts.push(receipt);
                }
                return Ok(length);
            }
        };
        let known = self.log_of(&entry).map(|at| &mut self.chains[at]);
        match (known, entry.opening_key().copied()) {
            (Some(chain), _) => match chain.push_unverified(entry) {
                Ok(PushOutcome::Added | PushOutcome::AlreadyThere) => {}
                Err(ChainError::Gap { expected, found }) if is_later(later, chain, expected) => {
                    return Err(ChainError::Reordered { expected, found }.into());
                }
                Err(e) => return Err(e.into()),
            },
            (None, Some(key)) => {
                if self.chains.len() >= Self::LOGS_LIMIT {
                    return Err(FileError::TooManyLogs);
                }
                self.chains.push(Chain::open(entry.verify(&key)?)?);
            }
            (None, None) => return Err(FileError::NoOpening),
        }
        Ok(length)
    }

    /// The log that an entry belongs to: an opening to the one that its own
    /// author opened, any other to the one that holds the entry before it. One
    /// whose predecessor is nowhere belongs to none; the log that its key signs
    /// in then only says what is missing.
    fn log_of(&self, entry: &Entry<Unverified>) -> Option<usize> {
        let Payload {
            game,
            seq,
            previous,
            ..
        } = *entry.payload();
        let find = |is: &dyn Fn(&Chain) -> bool| {
            let mut chains = self.chains.iter();
            chains.position(|c| c.game() == game && is(c))
        };
        if let Some(key) = entry.opening_key() {
            return find(&|c| c.author() == key);
        }
        let holds = previous.and_then(|_| find(&|c| c.follows(seq, previous)));
        let opened = || find(&|c| c.author().fingerprint() == entry.kid());
        let signs = || find(&|c| c.key_named(entry.kid()).is_some());
        holds.or_else(opened).or_else(signs)
    }

    /// Writes logs one after another, byte for byte as they were signed.
    #[must_use]
    pub fn write<'a>(chains: impl IntoIterator<Item = &'a Chain>) -> Vec<u8> {
        chains.into_iter().flat_map(Chain::to_bytes).collect()
    }
}

/// The items of a CBOR sequence (RFC 8742), one after another. After one that
/// is damaged or cut short nothing more comes.
pub fn split(mut bytes: &[u8]) -> impl Iterator<Item = Result<&[u8], EntryError>> {
    core::iter::from_fn(move || {
        if bytes.is_empty() {
            return None;
        }
        let end = cose::item_end(bytes);
        let (item, rest) = bytes.split_at(*end.as_ref().unwrap_or(&bytes.len()));
        bytes = rest;
        Some(end.map(|_| item).map_err(EntryError::Envelope))
    })
}

/// Whether an entry of this chain with this number stands in what follows.
fn is_later(mut rest: &[u8], chain: &Chain, seq: u64) -> bool {
    while let Ok(length) = cose::item_end(rest) {
        let (item, later) = rest.split_at(length);
        rest = later;
        if let Ok(entry) = Entry::<Unverified>::parse(item)
            && entry.payload().game == chain.game()
            && entry.payload().seq == seq
            && chain.key_named(entry.kid()).is_some()
        {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests;
