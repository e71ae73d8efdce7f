//! An official with a phone: what they write is judged and signed.

use engine::log::{
    Author, Body, Entry, GameRecord, Hash, Opening, SecretKey, Setup, Unsigned, Verified,
};

use crate::{Fault, fault};

/// What signs for an official. A phone's browser takes its time over it; a key
/// in memory does not.
pub trait Pen {
    /// Signs an entry.
    ///
    /// # Errors
    /// When nothing is signed.
    fn sign(&self, entry: Unsigned) -> impl Future<Output = Result<Entry<Verified>, Fault>>;
}

impl Pen for SecretKey {
    async fn sign(&self, entry: Unsigned) -> Result<Entry<Verified>, Fault> {
        entry.sign(self).map_err(fault)
    }
}

/// An official.
#[derive(Clone, Debug)]
pub struct Official<P = SecretKey> {
    /// As the charter lists them.
    pub author: Author,
    /// Their key.
    pub pen: P,
}

impl<P: Pen> Official<P> {
    /// Opens a record of a game.
    ///
    /// # Errors
    /// When the setup gives no game.
    pub async fn open(&self, setup: &Setup, at: u64) -> Result<GameRecord, Fault> {
        let opening = Opening::new(setup.clone(), self.author.clone());
        let draft = GameRecord::draft_opening(opening, at).map_err(fault)?;
        GameRecord::open(self.pen.sign(draft).await?).map_err(fault)
    }

    /// Writes an entry and gives its hash; the clock goes on a little.
    ///
    /// # Errors
    /// When the record does not take it.
    pub async fn write(
        &self,
        record: &mut GameRecord,
        body: Body,
        at: &mut u64,
    ) -> Result<Hash, Fault> {
        *at += 4_000;
        let draft = record.draft(body, *at).map_err(fault)?;
        let entry = self.pen.sign(draft).await?;
        let hash = entry.hash();
        record.push(entry).map_err(fault)?;
        Ok(hash)
    }
}
