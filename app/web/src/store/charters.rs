//! Event charters kept on the phone: every version as signed, by event.

use engine::charter::{Belonging, CharterHistory, SignedCharter};
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
    history: CharterHistory,
    /// Versions of which an earlier one has not come yet.
    waiting: Vec<SignedCharter<Verified>>,
    /// Versions found that do not verify, with the reason.
    pub damaged: Vec<String>,
}

impl KeptCharter {
    /// An event that is new here; `None` without a charter. The newest of what
    /// came counts, with those that it follows from.
    pub fn new(charters: &[SignedCharter<Verified>]) -> Option<Self> {
        let newest = charters.iter().max_by_key(|c| c.charter().version)?;
        let has_it = |h: &CharterHistory| h.version(newest.hash()).is_some();
        let all = CharterHistory::gather(charters.iter().cloned());
        let history = all.into_iter().find(has_it)?;
        Some(Self {
            event: history.first().hash().to_string(),
            history,
            waiting: Vec::new(),
            damaged: Vec::new(),
        })
    }

    /// With what else has come of this event. What follows from nothing here
    /// yet waits.
    pub fn with(&self, charters: &[SignedCharter<Verified>]) -> Self {
        let known = self.history.first().hash();
        let all = self.history.all().chain(&self.waiting).chain(charters);
        let mut together = self.clone();
        let all: Vec<_> = all.cloned().collect();
        let gathered = CharterHistory::gather(all.clone()).into_iter();
        for history in gathered.filter(|h| h.version(known).is_some()) {
            together.history = history;
        }
        together.waiting.clear();
        for charter in all {
            let waits = matches!(together.history.judge(&charter), Belonging::Waits { .. });
            let here = together.history.version(charter.hash()).is_some();
            if waits && !here && !together.waiting.contains(&charter) {
                together.waiting.push(charter);
            }
        }
        together
    }

    /// Its versions in order.
    pub fn history(&self) -> &CharterHistory {
        &self.history
    }

    /// The versions of which an earlier one has not come yet.
    pub fn waiting(&self) -> &[SignedCharter<Verified>] {
        &self.waiting
    }

    /// Every version, those that wait last.
    pub fn all(&self) -> impl Iterator<Item = &SignedCharter<Verified>> {
        self.history.all().chain(&self.waiting)
    }

    /// Whether a version is here, if only to wait.
    pub fn has(&self, hash: &Hash) -> bool {
        self.all().any(|v| v.hash() == *hash)
    }

    /// The version that holds.
    pub fn in_force(&self) -> Option<&SignedCharter<Verified>> {
        Some(self.history.in_force())
    }

    /// Whether it is practice, as the made-up event is.
    pub fn is_practice(&self) -> bool {
        self.history.in_force().charter().practice
    }

    /// The version with a hash, as a game's setup names it.
    pub fn version(&self, hash: &Hash) -> Option<&SignedCharter<Verified>> {
        self.history.version(*hash)
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
        let named = versions.iter().find(|v| v.hash().to_string() == event);
        let first = named.or(versions.first())?;
        let kept = Self {
            event,
            history: CharterHistory::new(first.clone()),
            waiting: Vec::new(),
            damaged,
        };
        Some(kept.with(&versions))
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

    /// Keeps an event's versions. Some are added; none is ever taken away.
    ///
    /// # Errors
    /// When there is no room; nothing was changed then.
    pub async fn keep_charter(&self, charter: &KeptCharter) -> Result<(), Trouble> {
        let versions: Array = charter
            .history
            .all()
            .chain(&charter.waiting)
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
