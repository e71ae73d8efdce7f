//! Entries of other authors, kept beside one's own record of the game.

use std::collections::BTreeMap;

use engine::log::{Entry, Verified};
use idb::{KeyRange, Query, TransactionMode};
use js_sys::{Array, Uint8Array};
use wasm_bindgen::JsValue;

use super::{ENTRIES, Store, Trouble, committed, kept};
use crate::js;

/// What stands in the name of an author for entries that contradict others of
/// the same number.
pub(super) const AGAINST: &str = " against ";

/// An entry of another author, to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Foreign {
    author: String,
    seq: u64,
    bytes: Vec<u8>,
    /// It contradicts an entry that is known already.
    pub contradicts: bool,
}

impl Foreign {
    /// An entry that continues its author's record.
    pub fn entry(author: &str, entry: &Entry<Verified>) -> Self {
        Self {
            author: author.into(),
            seq: entry.payload().seq,
            bytes: entry.bytes().to_vec(),
            contradicts: false,
        }
    }

    /// An entry that contradicts its author's record; proof, kept apart.
    pub fn contradiction(author: &str, entry: &Entry<Verified>) -> Self {
        Self {
            author: format!("{author}{AGAINST}{}", entry.hash()),
            contradicts: true,
            ..Self::entry(author, entry)
        }
    }
}

/// The bytes found of one author.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FoundOf {
    /// By number.
    pub entries: BTreeMap<u64, Vec<u8>>,
    /// What contradicts them.
    pub against: Vec<Vec<u8>>,
}

impl Store {
    /// Everything kept of a game, by author.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn all_of(&self, game: &str) -> Result<BTreeMap<String, FoundOf>, Trouble> {
        let tx = self.db.transaction(&[ENTRIES], TransactionMode::ReadOnly)?;
        let all = Query::from(of_game(game)?);
        let rows = tx.object_store(ENTRIES)?.get_all(Some(all), None)?.await?;
        let mut found: BTreeMap<String, FoundOf> = BTreeMap::new();
        for row in &rows {
            let (Some(author), Some((seq, bytes))) = (js::text(row, "author"), kept(row)) else {
                continue;
            };
            match author.split_once(AGAINST) {
                Some((author, _)) => found.entry(author.into()).or_default().against.push(bytes),
                None => {
                    let of = found.entry(author).or_default();
                    of.entries.insert(seq, bytes);
                }
            }
        }
        Ok(found)
    }

    /// Keeps entries of other authors, all or none.
    ///
    /// # Errors
    /// When there is no room; nothing was changed then.
    pub async fn keep_foreign(&self, game: &str, rows: &[Foreign]) -> Result<(), Trouble> {
        if rows.is_empty() {
            return Ok(());
        }
        let raw = self.strict(&[ENTRIES])?;
        let tx = idb::Transaction::from(raw.clone());
        let store = tx.object_store(ENTRIES)?;
        for row in rows {
            let row = js::object(&[
                ("game", game.into()),
                ("author", row.author.as_str().into()),
                ("seq", (row.seq as f64).into()),
                ("bytes", Uint8Array::from(row.bytes.as_slice()).into()),
            ]);
            store.put(&row, None)?;
        }
        committed(&raw).await
    }
}

/// The rows of one game: a list sorts after every text.
pub fn of_game(game: &str) -> Result<KeyRange, Trouble> {
    let (from, to) = (
        key(&[game.into()]),
        key(&[game.into(), Array::new().into()]),
    );
    Ok(KeyRange::bound(&from, &to, None, None)?)
}

fn key(parts: &[JsValue]) -> JsValue {
    parts.iter().collect::<Array>().into()
}
