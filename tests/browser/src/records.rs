//! What a phone keeps of games, read from the browser's own storage.

use std::collections::BTreeMap;

use anyhow::{Context as _, Result};
use base64::Engine as _;
use engine::log::LogName;

use crate::Phone;

const READ: &str = "new Promise((done, fail) => { const open = indexedDB.open('chalkbook'); open.onerror = fail; \
    open.onsuccess = () => { const all = open.result.transaction('entries').objectStore('entries').getAll(); \
    all.onerror = fail; all.onsuccess = () => { open.result.close(); done(all.result.map(row => ({ \
    game: row.game, author: row.author, bytes: btoa(String.fromCharCode(...row.bytes)) }))); }; }; })";

impl Phone {
    /// The signed entries of every log kept on the phone, one after another.
    ///
    /// # Errors
    /// When the storage cannot be read.
    pub async fn records(&self) -> Result<BTreeMap<LogName, Vec<u8>>> {
        let rows = self.evaluate(READ).await?;
        let mut all = BTreeMap::new();
        for row in rows.as_array().context("no rows")? {
            let text = |name: &str| row[name].as_str().unwrap_or_default();
            let name = LogName {
                game: text("game").parse()?,
                author: text("author").parse()?,
            };
            let bytes = base64::prelude::BASE64_STANDARD.decode(text("bytes"))?;
            // The rows come in the order of their numbers.
            all.entry(name).or_insert_with(Vec::new).extend(bytes);
        }
        Ok(all)
    }
}
