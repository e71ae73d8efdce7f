//! What collectors acknowledged, kept so that it is known without a signal.
//! Losing it loses nothing: a collector is asked again.

use engine::log::SignedReceipt;
use engine::sync::Refusal;
use idb::{KeyRange, ObjectStore, Query, TransactionMode};
use js_sys::{Array, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};

use super::{DELIVERED, RECEIPTS, Store, Trouble};
use crate::delivery::{Key, NamedCollectors, OwnAddress, RecordProgress};
use crate::js;

/// How far one record has come at one collector.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Acknowledgement {
    /// Address of the collector.
    pub collector: String,
    /// Which record.
    pub key: Key,
    /// How far.
    pub place: RecordProgress,
}

impl Acknowledgement {
    fn to_js(&self) -> JsValue {
        let (game, author) = &self.key;
        let row = js::object(&[
            ("collector", self.collector.as_str().into()),
            ("game", game.as_str().into()),
            ("author", author.as_str().into()),
            ("delivered", (self.place.delivered as f64).into()),
            ("beside", (self.place.beside as f64).into()),
            ("awaits", self.place.awaits.into()),
            ("forked", self.place.forked.into()),
            ("ahead", self.place.ahead.into()),
            ("at", (self.place.at as f64).into()),
        ]);
        if let Some((seq, refusal)) = &self.place.refused {
            js::set(&row, "refused", *seq as f64);
            js::set(&row, "reason", refusal.name.as_str());
            js::set(&row, "sentence", refusal.sentence.as_str());
        }
        row
    }

    fn from_js(row: &JsValue) -> Option<Self> {
        let number = |name| js::member(row, name)?.as_f64().map(|n| n as u64);
        let truth = |name| js::member(row, name).is_some_and(|v| v.is_truthy());
        let refusal = || {
            let refusal = Refusal {
                at: 0,
                name: js::text(row, "reason")?,
                sentence: js::text(row, "sentence")?,
            };
            Some((number("refused")?, refusal))
        };
        Some(Self {
            collector: js::text(row, "collector")?,
            key: (js::text(row, "game")?, js::text(row, "author")?),
            place: RecordProgress {
                delivered: number("delivered")?,
                beside: number("beside").unwrap_or(0),
                refused: refusal(),
                awaits: truth("awaits"),
                forked: truth("forked"),
                ahead: truth("ahead"),
                at: number("at")?,
            },
        })
    }
}

impl Store {
    /// What all collectors acknowledged.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn acknowledged(&self) -> Result<Vec<Acknowledgement>, Trouble> {
        let tx = self
            .db
            .transaction(&[DELIVERED], TransactionMode::ReadOnly)?;
        let rows = tx.object_store(DELIVERED)?.get_all(None, None)?.await?;
        Ok(rows.iter().filter_map(Acknowledgement::from_js).collect())
    }

    /// Keeps what a collector acknowledged, in place of what it said before.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn keep_acknowledged(&self, row: &Acknowledgement) -> Result<(), Trouble> {
        self.put_delivered(&row.to_js()).await
    }

    /// The collectors that are named. They lie here because a browser that is
    /// killed forgets the last seconds of its smaller storage.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn collectors(&self) -> Result<NamedCollectors, Trouble> {
        let tx = self
            .db
            .transaction(&[DELIVERED], TransactionMode::ReadOnly)?;
        let rows: Vec<JsValue> = tx.object_store(DELIVERED)?.get_all(None, None)?.await?;
        let row = rows.iter().find(|r| js::text(r, "own").is_some());
        let own = match row.and_then(|r| js::text(r, "own")).as_deref() {
            Some("used") => OwnAddress::Used,
            Some("off") => OwnAddress::Off,
            _ => OwnAddress::Unknown,
        };
        let others = row.and_then(|r| js::member(r, "others")?.dyn_into::<Array>().ok());
        let others = others.map(|all| all.iter().filter_map(|o| o.as_string()).collect());
        Ok(NamedCollectors {
            own,
            others: others.unwrap_or_default(),
        })
    }

    /// Keeps which collectors are named.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn keep_collectors(&self, named: &NamedCollectors) -> Result<(), Trouble> {
        let own = match named.own {
            OwnAddress::Unknown => "unknown",
            OwnAddress::Used => "used",
            OwnAddress::Off => "off",
        };
        let others: Array = named.others.iter().map(JsValue::from).collect();
        let nowhere = ["collector", "game", "author"].map(|name| (name, JsValue::from("")));
        let row = js::object(&nowhere);
        js::set(&row, "own", own);
        js::set(&row, "others", others);
        self.put_delivered(&row).await
    }

    /// Keeps a collector's receipt. Where it gave one for as many entries before,
    /// that one stays: the earlier date says more.
    ///
    /// # Errors
    /// When the browser cannot write.
    pub async fn keep_receipt(&self, receipt: &SignedReceipt) -> Result<(), Trouble> {
        let claim = receipt.content();
        let [game, author, collector] = [
            claim.log.game.to_string(),
            claim.log.author.to_string(),
            receipt.key().fingerprint().to_string(),
        ];
        let tx = self
            .db
            .transaction(&[RECEIPTS], TransactionMode::ReadWrite)?;
        let store: ObjectStore = tx.object_store(RECEIPTS)?;
        let at: Array = [
            JsValue::from(game.as_str()),
            author.as_str().into(),
            (claim.entries as f64).into(),
            collector.as_str().into(),
        ]
        .iter()
        .collect();
        if store.get(JsValue::from(at))?.await?.is_none() {
            let row = js::object(&[
                ("game", game.as_str().into()),
                ("author", author.as_str().into()),
                ("entries", (claim.entries as f64).into()),
                ("collector", collector.as_str().into()),
                ("bytes", Uint8Array::from(receipt.bytes()).into()),
            ]);
            store.put(&row, None)?.await?;
        }
        tx.commit()?.await?;
        Ok(())
    }

    /// The receipts for a log, one after another, as they were signed.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub async fn receipts(&self, game: &str, author: &str) -> Result<Vec<u8>, Trouble> {
        let tx = self
            .db
            .transaction(&[RECEIPTS], TransactionMode::ReadOnly)?;
        let end = |last: Option<JsValue>| -> JsValue {
            let parts = [JsValue::from(game), author.into()];
            Array::from_iter(parts.into_iter().chain(last)).into()
        };
        // A list sorts after every number.
        let (from, to) = (end(None), end(Some(Array::new().into())));
        let all = Query::from(KeyRange::bound(&from, &to, None, None)?);
        let rows = tx.object_store(RECEIPTS)?.get_all(Some(all), None)?.await?;
        let bytes = |row: &JsValue| js::member(row, "bytes")?.dyn_into::<Uint8Array>().ok();
        Ok(rows
            .iter()
            .filter_map(bytes)
            .flat_map(|b| b.to_vec())
            .collect())
    }

    async fn put_delivered(&self, row: &JsValue) -> Result<(), Trouble> {
        // The disk is not waited for: a call being recorded comes first.
        let tx = self
            .db
            .transaction(&[DELIVERED], TransactionMode::ReadWrite)?;
        let store: ObjectStore = tx.object_store(DELIVERED)?;
        store.put(row, None)?.await?;
        tx.commit()?.await?;
        Ok(())
    }
}
