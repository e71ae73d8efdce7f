//! What came to the organiser's desk: entries of every game, and each file as
//! it came.

use engine::log::Hash;
use idb::TransactionMode;
use js_sys::{Array, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};

use super::{ARRIVALS, Store, Trouble, committed};
use crate::js;

/// Something wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// The game it is of, by name, where it can be read.
    pub game: Option<String>,
    /// What is wrong, in words.
    pub sentence: String,
    /// Whether it may fit once what goes before it has come.
    pub waits: bool,
}

/// A file or text that came to the desk. Its bytes are never changed or
/// removed: what is wrong with it can be looked at again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FiledDocument {
    /// SHA-256 of its bytes: the same file again is the same.
    pub hash: Hash,
    /// The file's name, or how it came.
    pub name: String,
    /// When it came first, ms since 1970 as this phone's clock had it.
    pub at_ms: u64,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// What it brought, in words.
    pub what: String,
    /// What is wrong with it.
    pub wrong: Vec<Wrong>,
}

impl FiledDocument {
    /// What came just now.
    pub fn new(name: String, at_ms: u64, bytes: Vec<u8>) -> Self {
        Self {
            hash: Hash::of(&bytes),
            name,
            at_ms,
            bytes,
            what: String::new(),
            wrong: Vec::new(),
        }
    }

    fn from_js(row: &JsValue) -> Option<Self> {
        let bytes = js::member(row, "bytes")?.dyn_into::<Uint8Array>().ok()?;
        let name = js::text(row, "name")?;
        let at = js::member(row, "at")?.as_f64()?;
        let wrong = js::member(row, "wrong").and_then(|w| w.dyn_into::<Array>().ok());
        let wrong = wrong.unwrap_or_default();
        let wrong = wrong.iter().filter_map(|w| {
            Some(Wrong {
                game: js::text(&w, "game"),
                sentence: js::text(&w, "sentence")?,
                waits: js::member(&w, "waits").is_some_and(|v| v.is_truthy()),
            })
        });
        Some(Self {
            what: js::text(row, "what").unwrap_or_default(),
            wrong: wrong.collect(),
            ..Self::new(name, at as u64, bytes.to_vec())
        })
    }

    fn to_js(&self) -> JsValue {
        let wrong: Array = self
            .wrong
            .iter()
            .map(|w| {
                let game = w.game.as_deref().map_or(JsValue::NULL, JsValue::from);
                js::object(&[
                    ("game", game),
                    ("sentence", w.sentence.as_str().into()),
                    ("waits", w.waits.into()),
                ])
            })
            .collect();
        js::object(&[
            ("hash", self.hash.to_string().into()),
            ("name", self.name.as_str().into()),
            ("at", (self.at_ms as f64).into()),
            ("bytes", Uint8Array::from(self.bytes.as_slice()).into()),
            ("what", self.what.as_str().into()),
            ("wrong", wrong.into()),
        ])
    }
}

impl Store {
    /// Every file that came, newest first.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn arrivals(&self) -> Result<Vec<FiledDocument>, Trouble> {
        let tx = self
            .db
            .transaction(&[ARRIVALS], TransactionMode::ReadOnly)?;
        let rows = tx.object_store(ARRIVALS)?.get_all(None, None)?.await?;
        let mut all: Vec<FiledDocument> = rows.iter().filter_map(FiledDocument::from_js).collect();
        all.sort_by_key(|a| core::cmp::Reverse((a.at_ms, a.hash)));
        Ok(all)
    }

    /// Keeps a file as it came. The row is named by the hash of its bytes: the
    /// same file again changes only what is said of it.
    ///
    /// # Errors
    /// When there is no room; nothing was changed then.
    pub async fn keep_arrival(&self, filed: &FiledDocument) -> Result<(), Trouble> {
        let raw = self.strict(&[ARRIVALS])?;
        let tx = idb::Transaction::from(raw.clone());
        tx.object_store(ARRIVALS)?.put(&filed.to_js(), None)?;
        committed(&raw).await
    }
}
