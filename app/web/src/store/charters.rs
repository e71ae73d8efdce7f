//! Event charters kept on the phone: every version as signed, by event.

use engine::charter::SignedCharter;
use engine::log::{Hash, Verified};
use idb::TransactionMode;
use js_sys::{Array, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};

use super::{CHARTERS, Store, Trouble, committed};
use crate::js;

/// The charter of one event, with every version that this phone has seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptCharter {
    /// The event's name here: the hash of the first version this phone took.
    pub event: String,
    /// Oldest first; never empty.
    versions: Vec<SignedCharter<Verified>>,
    /// Versions found that do not verify, with the reason.
    pub damaged: Vec<String>,
}

impl KeptCharter {
    /// Of the first version taken.
    pub fn first(signed: SignedCharter<Verified>) -> Self {
        Self {
            event: signed.hash().to_string(),
            versions: vec![signed],
            damaged: Vec::new(),
        }
    }

    /// With the version that takes the newest one's place.
    pub fn with(mut self, newer: SignedCharter<Verified>) -> Self {
        self.versions.push(newer);
        self
    }

    /// The version that holds.
    pub fn in_force(&self) -> Option<&SignedCharter<Verified>> {
        self.versions.last()
    }

    /// The version with a hash, as a game's setup names it.
    pub fn version(&self, hash: &Hash) -> Option<&SignedCharter<Verified>> {
        self.versions.iter().find(|v| v.hash() == *hash)
    }

    /// Every version, oldest first.
    pub fn versions(&self) -> &[SignedCharter<Verified>] {
        &self.versions
    }

    fn read(row: &JsValue) -> Option<Self> {
        let event = js::text(row, "event")?;
        let rows = js::member(row, "versions")?.dyn_into::<Array>().ok()?;
        let (mut versions, mut damaged) = (Vec::new(), Vec::new());
        for bytes in rows.iter() {
            let bytes = bytes.dyn_into::<Uint8Array>().map(|b| b.to_vec());
            match SignedCharter::parse(&bytes.unwrap_or_default()).and_then(SignedCharter::verify) {
                Ok(signed) => versions.push(signed),
                Err(why) => damaged.push(why.to_string()),
            }
        }
        (!versions.is_empty()).then_some(Self {
            event,
            versions,
            damaged,
        })
    }
}

impl Store {
    /// Every charter of this phone.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn charters(&self) -> Result<Vec<KeptCharter>, Trouble> {
        let tx = self
            .db
            .transaction(&[CHARTERS], TransactionMode::ReadOnly)?;
        let rows = tx.object_store(CHARTERS)?.get_all(None, None)?.await?;
        Ok(rows.iter().filter_map(KeptCharter::read).collect())
    }

    /// Keeps an event's versions. One is added at the end; none is ever taken away.
    ///
    /// # Errors
    /// When there is no room; nothing was changed then.
    pub async fn keep_charter(&self, charter: &KeptCharter) -> Result<(), Trouble> {
        let versions: Array = charter
            .versions
            .iter()
            .map(|v| JsValue::from(Uint8Array::from(v.bytes())))
            .collect();
        let row = js::object(&[
            ("event", charter.event.as_str().into()),
            ("versions", versions.into()),
        ]);
        let raw = self.strict(&[CHARTERS])?;
        let tx = idb::Transaction::from(raw.clone());
        tx.object_store(CHARTERS)?.put(&row, None)?;
        committed(&raw).await
    }
}
