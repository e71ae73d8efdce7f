//! Making one object of many: a record delivered entry by entry lies in as many
//! objects, and each costs a request when its event is read again.
//!
//! The larger object holds the same bytes in the order of their numbers, so that
//! collectors which know the same entries make the same object. It is read like
//! any other, and an entry that stands in several counts once: at every moment any
//! mix of the larger one and those merged is the same record. These are removed
//! only once the larger one was there for a while and was read back. Whatever is
//! removed stands in an object that is there, or in one that this was merged into
//! in turn; a collector stopped anywhere leaves more than is needed, never less.

use std::collections::HashSet;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use engine::log::{Hash, LogName};
use futures_util::{StreamExt as _, stream};

use super::held::lock;
use super::{Collector, HeldEvent, Log, StoreDown};
use crate::event::EventId;
use crate::store::{FetchedObject, SegmentName, cause};

/// Logs merged at a time: each takes as much memory again as its entries.
const AT_ONCE: usize = 4;
/// After so long the others wait until everything else has had its turn.
const AT_MOST: Duration = Duration::from_secs(2);
/// For how many times the wait before removal a log must have been quiet to be
/// merged however few its objects are.
const QUIET: u32 = 5;

/// What was merged.
#[derive(Debug)]
pub(super) struct Merged {
    /// The larger object.
    into: SegmentName,
    /// Others that hold nothing besides.
    others: Vec<SegmentName>,
    since: Instant,
}

impl Collector {
    /// Merges the objects of logs held that lie in many, and removes what was
    /// merged before.
    ///
    /// # Errors
    /// When the store does not do it: nothing is lost, and it is tried again.
    pub async fn merge(&self) -> Result<(), StoreDown> {
        if self.is_store_down() || self.orders().pauses().is_some() {
            return Ok(());
        }
        let begun = Instant::now();
        for event in self.held() {
            let due = event.all().into_iter();
            let due: Vec<_> = due.filter(|(_, log)| self.is_to_be_merged(log)).collect();
            if due.is_empty() || matches!(event.id, EventId::Awaiting(_)) {
                continue;
            }
            let waited = self.logs_that_waited(event.id).await?;
            let mut merging = stream::iter(due)
                .filter(|(name, _)| std::future::ready(!waited.contains(name)))
                .take_while(|_| std::future::ready(begun.elapsed() < AT_MOST))
                .map(|(name, log)| {
                    let event = event.clone();
                    async move {
                        // What is not verified stays in the objects that it came in.
                        let verified = !log.taken_back.load(Ordering::Relaxed)
                            || self.judge_log_again(&event, name, &log).await;
                        if verified {
                            self.merge_log(&event, name, &log).await?;
                        }
                        Ok(())
                    }
                })
                .buffer_unordered(AT_ONCE);
            while let Some(done) = merging.next().await {
                done?;
            }
        }
        Ok(())
    }

    fn is_to_be_merged(&self, log: &Log) -> bool {
        let wait = Duration::from_secs(self.limits.merge_wait);
        if log.is_doubtful.load(Ordering::Relaxed) {
            return false;
        }
        if let Some(merged) = &*lock(&log.merged) {
            return merged.since.elapsed() >= wait;
        }
        let objects = log.objects.load(Ordering::Relaxed);
        let quiet = lock(&log.added).elapsed() >= wait * QUIET;
        objects >= self.limits.objects || (quiet && objects > 1)
    }

    /// Logs of which copies lie where they waited for a version of the charter:
    /// from there they would come back.
    async fn logs_that_waited(&self, event: EventId) -> Result<HashSet<LogName>, StoreDown> {
        let mut waited = HashSet::new();
        for hash in self.waited_for(event) {
            let listed = self.store.runs_in(EventId::Awaiting(hash)).await;
            let listed = listed.map_err(|e| self.down(&e))?;
            waited.extend(listed.names.iter().map(|run| run.log));
        }
        Ok(waited)
    }

    async fn merge_log(
        &self,
        event: &HeldEvent,
        name: LogName,
        log: &Log,
    ) -> Result<(), StoreDown> {
        let mut known = log.known.lock().await;
        if self.orders().erases(Some(event.id), name).is_some() {
            return Ok(());
        }
        let before = lock(&log.merged).take();
        let merged = match before {
            Some(merged) => merged,
            None => {
                let Some(merged) = self.put_merged(event, name, log, &mut known).await? else {
                    return Ok(());
                };
                if self.limits.merge_wait > 0 {
                    *lock(&log.merged) = Some(merged);
                    return Ok(());
                }
                merged
            }
        };
        match self.store.get_run(&merged.into).await {
            Ok(FetchedObject::Good(_)) => {}
            // Put again the next time.
            Ok(FetchedObject::Damaged | FetchedObject::Unreadable) => {
                known.remove(&merged.into);
                return Ok(());
            }
            // Another collector merged it with more.
            Err(object_store::Error::NotFound { .. }) => return Ok(()),
            Err(error) => return Err(self.down(&error)),
        }
        if let Err(error) = self.store.remove_runs(&merged.others).await {
            self.metrics.store_failures.add(1);
            tracing::error!(
                why = cause(&error),
                "objects that were merged are still there"
            );
            return Err(StoreDown);
        }
        for other in &merged.others {
            known.remove(other);
        }
        let left = log.objects.load(Ordering::Relaxed);
        let left = left.saturating_sub(merged.others.len());
        log.objects.store(left.max(1), Ordering::Relaxed);
        event.recount_room(log, left.saturating_sub(1));
        self.metrics.merged.add(merged.others.len());
        Ok(())
    }

    /// Puts one object with all entries of a log beside the others; `None` where
    /// there is no other.
    async fn put_merged(
        &self,
        event: &HeldEvent,
        name: LogName,
        log: &Log,
        known: &mut HashSet<SegmentName>,
    ) -> Result<Option<Merged>, StoreDown> {
        let listed = self.store.runs_of(event.id, name).await;
        let listed = listed.map_err(|e| self.down(&e))?;
        let (first, content) = {
            let branches = log.branches();
            let mut entries = branches.entries();
            entries.sort_by_key(|e| (e.payload().seq, e.hash()));
            let content: Vec<u8> = entries.iter().flat_map(|e| e.bytes()).copied().collect();
            (entries.first().map_or(0, |e| e.payload().seq), content)
        };
        let into = SegmentName {
            event: event.id,
            log: name,
            first,
            hash: Hash::of(&content),
        };
        let is_there = known.contains(&into) && listed.contains(&into);
        // Of what is known here every entry is in it.
        let others = listed.into_iter();
        let others = others.filter(|run| *run != into && known.contains(run));
        let others: Vec<SegmentName> = others.collect();
        log.objects.store(others.len() + 1, Ordering::Relaxed);
        if others.is_empty() {
            return Ok(None);
        }
        if !is_there {
            let put = self.store.put_run(&into, content.into()).await;
            put.map_err(|e| self.not_put(&e))?;
            known.insert(into.clone());
        }
        Ok(Some(Merged {
            into,
            others,
            since: Instant::now(),
        }))
    }
}
