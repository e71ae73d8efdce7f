//! An official with a phone: what they write is judged and signed.

use engine::log::{Author, Body, GameRecord, Hash, Opening, SecretKey, Setup};

use crate::{Fault, fault};

/// An official.
#[derive(Clone, Debug)]
pub struct Official {
    /// As the charter lists them.
    pub author: Author,
    /// Their key.
    pub key: SecretKey,
}

impl Official {
    /// Opens a record of a game.
    ///
    /// # Errors
    /// When the setup gives no game.
    pub fn open(&self, setup: &Setup, at: u64) -> Result<GameRecord, Fault> {
        let opening = Opening {
            setup: setup.clone(),
            author: self.author.clone(),
            made: None,
        };
        let draft = GameRecord::draft_opening(opening, at).map_err(fault)?;
        GameRecord::open(draft.sign(&self.key).map_err(fault)?).map_err(fault)
    }

    /// Writes an entry and gives its hash; the clock goes on a little.
    ///
    /// # Errors
    /// When the record does not take it.
    pub fn write(&self, record: &mut GameRecord, body: Body, at: &mut u64) -> Result<Hash, Fault> {
        *at += 4_000;
        let entry = record.draft(body, *at).map_err(fault)?;
        let entry = entry.sign(&self.key).map_err(fault)?;
        let hash = entry.hash();
        record.push(entry).map_err(fault)?;
        Ok(hash)
    }
}
