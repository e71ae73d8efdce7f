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

/// What is kept of one game, by author.
pub type FoundGame = BTreeMap<String, FoundOf>;

/// A log as its rows name it: the game, and the author with what stands in the
/// name of one for an entry that contradicts another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The game id in hexadecimal.
    pub game: String,
    author: String,
}

impl Row {
    /// The author's fingerprint in hexadecimal.
    pub fn author(&self) -> &str {
        let parts = self.author.split_once(AGAINST);
        parts.map_or(self.author.as_str(), |(author, _)| author)
    }

    /// It is kept apart because it contradicts the author's record.
    pub fn contradicts(&self) -> bool {
        self.author.contains(AGAINST)
    }
}

impl Store {
    /// The logs of which something is kept, of every game or of one. Their
    /// entries are leapt over, so that a long day costs little.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn logs(&self, game: Option<&str>) -> Result<Vec<Row>, Trouble> {
        let tx = self.db.transaction(&[ENTRIES], TransactionMode::ReadOnly)?;
        let store = tx.object_store(ENTRIES)?;
        // A list sorts after every text, an empty one before every other.
        let last: JsValue = Array::new().into();
        let (mut from, to) = match game {
            Some(game) => (key(&[game.into()]), key(&[game.into(), last.clone()])),
            None => (key(&[]), key(core::slice::from_ref(&last))),
        };
        let mut rows = Vec::new();
        loop {
            let next = Query::from(KeyRange::bound(&from, &to, Some(true), None)?);
            let Some(found) = store.get_key(next)?.await? else {
                return Ok(rows);
            };
            let parts: Array = Array::from(&found);
            let (game, author) = (parts.get(0), parts.get(1));
            from = key(&[game.clone(), author.clone(), last.clone()]);
            if let (Some(game), Some(author)) = (game.as_string(), author.as_string()) {
                rows.push(Row { game, author });
            }
        }
    }

    /// The bytes of a log's opening.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn opening_of(&self, row: &Row) -> Result<Option<Vec<u8>>, Trouble> {
        let tx = self.db.transaction(&[ENTRIES], TransactionMode::ReadOnly)?;
        let first = key(&[
            row.game.as_str().into(),
            row.author.as_str().into(),
            0.into(),
        ]);
        let found = tx.object_store(ENTRIES)?.get(Query::from(first))?.await?;
        Ok(found.as_ref().and_then(kept).map(|(_, bytes)| bytes))
    }

    /// Everything kept of a game, by author.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn all_of(&self, game: &str) -> Result<FoundGame, Trouble> {
        let tx = self.db.transaction(&[ENTRIES], TransactionMode::ReadOnly)?;
        let all = Query::from(of_game(game)?);
        let rows = tx.object_store(ENTRIES)?.get_all(Some(all), None)?.await?;
        let mut found = FoundGame::new();
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
