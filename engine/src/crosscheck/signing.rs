//! The signatures under a game: who has to give which, and which are given.

use alloc::vec::Vec;

use crate::log::GameRecord;

/// One signature under a game: an official's own final statement, or that
/// official's under another one's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SigningTask {
    /// Whose hand: the place of the record in the list.
    pub by: usize,
    /// Under whose statement; one's own where it is the same as `by`.
    pub under: usize,
    /// Whether it is given, in the records at hand.
    pub done: bool,
}

impl SigningTask {
    /// Whether it waits for another one: a statement is there before it is
    /// co-signed.
    #[must_use]
    pub fn waits(&self, all: &[Self]) -> bool {
        let own = |t: &Self| t.by == self.under && t.under == self.under;
        self.by != self.under && all.iter().any(|t| own(t) && !t.done)
    }
}

/// Every signature that the game wants: each official signs their own
/// statement, and co-signs that of every other one. Own statements come first.
#[must_use]
pub fn signing_tasks(records: &[&GameRecord]) -> Vec<SigningTask> {
    let statements: Vec<_> = records
        .iter()
        .map(|r| r.signed_off().map(|(entry, _)| entry.hash()))
        .collect();
    let statement = |at: usize| statements.get(at).copied().flatten();
    let co_signs = |by: &GameRecord, under: usize| {
        // A captain's name in the log is not the official's own.
        let mut signs = by.co_signs().filter(|(_, c)| c.captain.is_none());
        statement(under).is_some_and(|hash| signs.any(|(_, c)| c.statement == hash))
    };
    let own = (0..records.len()).map(|by| SigningTask {
        by,
        under: by,
        done: statement(by).is_some(),
    });
    let others = records.iter().enumerate().flat_map(|(by, record)| {
        let under = (0..records.len()).filter(move |under| *under != by);
        under.map(move |under| SigningTask {
            by,
            under,
            done: co_signs(record, under),
        })
    });
    own.chain(others).collect()
}
