//! The charters in force: learnt from the store, never unlearnt while the
//! service runs.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use bytes::Bytes;
use engine::charter::SignedCharter;
use engine::log::{Hash, PublicKey, Verified};

use super::recall::Aside;
use super::{Collector, StoreDown, write};
use crate::event::{EventId, Events};

/// When the charters were last looked through, and what was found damaged.
#[derive(Debug, Default)]
pub(super) struct Looked {
    at: Option<Instant>,
    damaged: BTreeSet<Hash>,
}

/// How far behind another collector this one may be before it refuses someone.
pub(super) const BEHIND: Duration = Duration::from_secs(1);

fn read(bytes: &Bytes) -> Option<SignedCharter<Verified>> {
    SignedCharter::parse(bytes)
        .and_then(SignedCharter::verify)
        .ok()
}

impl Collector {
    /// Learns of charters that other collectors took, unless it did so within
    /// this time. What was once in force stays known: an object damaged since
    /// puts no older version back, and is put again from here.
    pub(super) async fn refresh_charters(&self, within: Duration) -> Result<(), StoreDown> {
        let mut looked = self.charters.lock().await;
        if looked.at.is_some_and(|at| at.elapsed() < within) {
            return Ok(());
        }
        let kept = self.store.charters().await.map_err(|e| self.down(&e))?;
        looked.at = Some(Instant::now());
        let before = self.events();
        let mut damaged = BTreeSet::new();
        for hash in kept.damaged {
            if let Some((_, known)) = before.version(hash) {
                let bytes = Bytes::copy_from_slice(known.bytes());
                let put = self.store.put_charter(bytes).await;
                put.map_err(|e| self.down(&e))?;
                self.metrics.damaged.add(1);
                continue;
            }
            damaged.insert(hash);
            if !looked.damaged.contains(&hash) {
                self.metrics.damaged.add(1);
                tracing::error!(
                    charter = %hash,
                    "a charter in the storage is not what its name says and may be the one in force: until it is given again with --charter, or taken away, only numbers are shown"
                );
            }
        }
        let count = i64::try_from(damaged.len()).unwrap_or(i64::MAX);
        let gauge = &self.metrics.charters_damaged;
        gauge.store(count, Ordering::Relaxed);
        let known = before.charters().cloned();
        let found = kept.good.iter().filter_map(read);
        let all: BTreeMap<Hash, _> = known.chain(found).map(|c| (c.hash(), c)).collect();
        let events = Events::new(all.into_values().collect(), self.open).unsure(count > 0);
        looked.damaged = damaged;
        if events != *before {
            *write(&self.events) = Arc::new(events);
            self.generation.fetch_add(1, Ordering::AcqRel);
            // Whoever was not listed may be now.
            let mut aside = self.aside.lock().await;
            aside.retain(|_, why| *why != Aside::Unlisted);
        }
        Ok(())
    }

    /// The events, once this is true of them; else as they are when every
    /// charter that others took has been looked at.
    pub(super) async fn events_where(
        &self,
        holds: impl Fn(&Events) -> bool,
    ) -> Result<Arc<Events>, StoreDown> {
        let events = self.events();
        if holds(&events) {
            return Ok(events);
        }
        self.refresh_charters(BEHIND).await?;
        Ok(self.events())
    }

    /// The events that admit a key, if any do.
    pub(super) async fn events_for(
        &self,
        event: EventId,
        key: &PublicKey,
    ) -> Result<Arc<Events>, StoreDown> {
        self.events_where(|events| events.admits(event, key)).await
    }

    /// Which of these charters are not served though they are good: versions
    /// before them are missing.
    #[must_use]
    pub fn left_out(&self, charters: &[Bytes]) -> Vec<usize> {
        let events = self.events();
        let served = |c: &Bytes| read(c).is_some_and(|c| events.version(c.hash()).is_some());
        let out = charters.iter().enumerate().filter(|(_, c)| !served(c));
        out.map(|(at, _)| at).collect()
    }

    /// Takes a new version of an event's charter.
    ///
    /// # Errors
    /// When the store does not take it.
    pub async fn take_charter(&self, bytes: Bytes) -> Result<Result<EventId, String>, StoreDown> {
        let charter = match SignedCharter::parse(&bytes).and_then(SignedCharter::verify) {
            Ok(charter) => charter,
            Err(e) => return Ok(Err(e.to_string())),
        };
        // Another collector may have taken one meanwhile. Who is no organiser
        // here makes it look less often.
        let follows = self.events().superseded_by(&charter).is_some();
        let within = if follows { Duration::ZERO } else { BEHIND };
        self.refresh_charters(within).await?;
        let events = self.events();
        if let Some((event, _)) = events.version(charter.hash()) {
            return Ok(Ok(event));
        }
        let Some(event) = events.superseded_by(&charter) else {
            return Ok(Err(
                "It is not the next version of a charter served here.".into()
            ));
        };
        if let Some(fault) = charter.charter().faults().first() {
            return Ok(Err(fault.to_string()));
        }
        self.store
            .put_charter(bytes)
            .await
            .map_err(|e| self.down(&e))?;
        self.refresh().await?;
        Ok(Ok(event))
    }
}
