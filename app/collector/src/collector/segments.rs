//! What is kept of an event: read, verified again and added.

use std::collections::{HashMap, HashSet};
use std::sync::RwLock;
use std::sync::atomic::Ordering;

use bytes::Bytes;
use engine::log::{AuthorLog, Body, ChainError, Hash, LogName, split};
use futures_util::{StreamExt as _, stream};

use super::held::lock;
use super::intake::judge;
use super::{Collector, HeldEvent, Log, StoreDown, read, write};
use crate::event::{EventId, Events};
use crate::store::{AT_ONCE, FetchedObject, SegmentName};

/// Why an object in the store is not shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SetAside {
    /// It is not what its name says, or what is in it is not good.
    Damaged(&'static str),
    /// By someone whom no charter lists that is known here: another collector
    /// may know a newer one.
    Unlisted,
    /// It cannot be read just now.
    Unreadable,
}

/// How often a log is looked at anew when what was listed is gone: each time
/// another collector merged it meanwhile.
const LOOKS: usize = 8;
/// Entries judged again between two refreshes, some tenths of a second of work.
const JUDGED_AGAIN: usize = 2_000;

impl Collector {
    /// Learns what is new of an event in the store.
    ///
    /// # Errors
    /// When the store does not answer.
    pub(super) async fn catch_up(&self, event: &HeldEvent) -> Result<(), StoreDown> {
        let listed = self.store.runs_in(event.id).await;
        let listed = listed.map_err(|e| self.down(&e))?;
        event.unreadable.store(listed.unreadable, Ordering::Relaxed);
        let mut kept = self.without_erased(listed.names).await;
        self.admit_waiting(event, &mut kept).await?;
        let mut by_log: HashMap<LogName, Vec<SegmentName>> = HashMap::new();
        for run in kept {
            by_log.entry(run.log).or_default().push(run);
        }
        let mut reading = stream::iter(by_log)
            .map(|(name, runs)| self.read_into(event, name, runs))
            .buffer_unordered(AT_ONCE);
        while let Some(done) = reading.next().await {
            done?;
        }
        Ok(())
    }

    /// Adds objects to the log that they are of, made where nothing of it is here;
    /// false where something before one of them is missing.
    pub(super) async fn read_into(
        &self,
        event: &HeldEvent,
        name: LogName,
        runs: Vec<SegmentName>,
    ) -> Result<bool, StoreDown> {
        let log = event.enter(name);
        let mut known = log.known.lock().await;
        let listed = runs.clone();
        let read = self.read_segments(event, &log, name, &mut known, listed);
        let is_whole = read.await?;
        let objects = runs.iter().filter(|run| known.contains(run)).count();
        log.objects.store(objects, Ordering::Relaxed);
        Ok(is_whole)
    }

    /// Learns what is new of one log in the store.
    pub(super) async fn read_log(
        &self,
        event: &HeldEvent,
        log: &Log,
        name: LogName,
        known: &mut HashSet<SegmentName>,
    ) -> Result<(), StoreDown> {
        let runs = self.store.runs_of(event.id, name).await;
        let runs = runs.map_err(|e| self.down(&e))?;
        self.read_segments(event, log, name, known, runs).await?;
        Ok(())
    }

    /// Fetches objects of one log and adds what verifies. Where some are gone, or
    /// what is before them, another collector may have merged them since they were
    /// listed: then it looks again; false where something is missing all the same.
    async fn read_segments(
        &self,
        event: &HeldEvent,
        log: &Log,
        name: LogName,
        known: &mut HashSet<SegmentName>,
        mut runs: Vec<SegmentName>,
    ) -> Result<bool, StoreDown> {
        for _ in 0..LOOKS {
            if let Some(contents) = self.fetch(event, known, &runs).await?
                && self.add_segments(event, log, name, known, contents).await?
            {
                return Ok(true);
            }
            let before: HashSet<SegmentName> = runs.into_iter().collect();
            let listed = self.store.runs_of(event.id, name).await;
            runs = listed.map_err(|e| self.down(&e))?;
            if runs.iter().all(|run| before.contains(run)) && runs.len() == before.len() {
                return Ok(false);
            }
        }
        tracing::warn!("the objects of a log change quicker than they can be read");
        Err(StoreDown)
    }

    /// Objects of one log that are not known, as far as they are good, parents
    /// before children; `None` where one is gone.
    async fn fetch(
        &self,
        event: &HeldEvent,
        known: &HashSet<SegmentName>,
        runs: &[SegmentName],
    ) -> Result<Option<Vec<(SegmentName, Bytes)>>, StoreDown> {
        let is_new = |run: &&SegmentName| !known.contains(*run) && event.is_to_be_read(run);
        let new: Vec<SegmentName> = runs.iter().filter(is_new).cloned().collect();
        let fetched = stream::iter(new)
            .map(|run| async move { (self.store.get_run(&run).await, run) })
            .buffer_unordered(8)
            .collect::<Vec<_>>()
            .await;
        let mut contents = Vec::new();
        for (content, run) in fetched {
            match content {
                Ok(FetchedObject::Good(content)) => contents.push((run, content)),
                Ok(FetchedObject::Damaged) => {
                    self.set_aside(event, run, SetAside::Damaged("content"));
                }
                Ok(FetchedObject::Unreadable) => self.set_aside(event, run, SetAside::Unreadable),
                Err(object_store::Error::NotFound { .. }) => return Ok(None),
                Err(error) => return Err(self.down(&error)),
            }
        }
        // By sequence number, then by object.
        contents.sort_by(|a, b| a.0.cmp(&b.0));
        Ok(Some(contents))
    }

    /// Adds what verifies; false where something before it is missing.
    async fn add_segments(
        &self,
        event: &HeldEvent,
        log: &Log,
        name: LogName,
        known: &mut HashSet<SegmentName>,
        mut contents: Vec<(SegmentName, Bytes)>,
    ) -> Result<bool, StoreDown> {
        if known.is_empty() && self.take_back(event, log, name, &contents).await? {
            for (run, _) in contents {
                self.found(event, log, known, run).await;
            }
            self.changed(event, name.game);
            return Ok(true);
        }
        let mut added = false;
        loop {
            let before = contents.len();
            let mut waiting = Vec::new();
            for (run, content) in contents {
                let (staged, fault) = judge(&log.branches, &content).await;
                match fault {
                    Some((_, ChainError::Gap { .. } | ChainError::BrokenLink { .. })) => {
                        waiting.push((run, content));
                    }
                    Some((_, fault)) => {
                        self.set_aside(event, run, SetAside::Damaged(fault.name()));
                    }
                    None => {
                        let opening = staged.fresh().iter().find_map(|e| match e.body() {
                            Body::Opening(o) => Some(o.author.key),
                            _ => None,
                        });
                        if let Some(key) = opening {
                            let listed = |events: &Events| events.admitted(event.id, &key);
                            if !listed(&*self.events_where(listed).await?) {
                                self.set_aside(event, run, SetAside::Unlisted);
                                continue;
                            }
                        }
                        added |= !staged.fresh().is_empty();
                        event.add(log, staged);
                        self.found(event, log, known, run).await;
                    }
                }
            }
            contents = waiting;
            if contents.len() == before || contents.is_empty() {
                break;
            }
        }
        if added {
            self.changed(event, name.game);
        }
        Ok(contents.is_empty())
    }

    /// Notes an object whose content is here.
    async fn found(
        &self,
        event: &HeldEvent,
        log: &Log,
        known: &mut HashSet<SegmentName>,
        run: SegmentName,
    ) {
        event.not_aside(&run);
        log.unsettled.lock().await.push(run.clone());
        *lock(&log.added) = std::time::Instant::now();
        known.insert(run);
    }

    /// Reads a whole log by its author's last signatures: collectors put nothing
    /// into the store of which they did not check every signature, and each entry
    /// names the hash of the one before it. False where it is not as it was put
    /// there, or has more than one line: its entries are judged one by one then.
    async fn take_back(
        &self,
        event: &HeldEvent,
        log: &Log,
        name: LogName,
        contents: &[(SegmentName, Bytes)],
    ) -> Result<bool, StoreDown> {
        let mut seen = HashSet::new();
        let mut sizes = Vec::new();
        // The same may stand in several: put by two collectors at once, in other
        // parts, or merged.
        let items = contents.iter().flat_map(|(_, content)| {
            let items = split(content).filter_map(Result::ok);
            let new: Vec<&[u8]> = items.filter(|item| seen.insert(*item)).collect();
            sizes.push(new.iter().map(|item| item.len()).sum());
            new
        });
        let Some(back) = AuthorLog::take_back(name, items) else {
            return Ok(false);
        };
        let listed = |events: &Events| {
            let author = back.shown().map(|chain| *chain.author());
            author.is_some_and(|key| events.admitted(event.id, &key))
        };
        if !listed(&*self.events_where(listed).await?) {
            return Ok(false);
        }
        log.taken_back.store(true, Ordering::Relaxed);
        *write(&log.branches) = back;
        for size in sizes {
            event.count(log, size);
        }
        Ok(true)
    }

    /// Judges logs that were taken back, some each time, entry by entry like a
    /// stranger's. Of one that is not good only what is good stays.
    pub async fn judge_again(&self) {
        let mut judged = 0;
        for event in self.held() {
            for (name, log) in event.all() {
                if judged >= JUDGED_AGAIN {
                    return;
                }
                if log.taken_back.load(Ordering::Relaxed) {
                    judged += log.branches().entries().len();
                    self.judge_log_again(&event, name, &log).await;
                }
            }
        }
    }

    /// Judges one; false where it is not good.
    pub(super) async fn judge_log_again(
        &self,
        event: &HeldEvent,
        name: LogName,
        log: &Log,
    ) -> bool {
        let _one = log.known.lock().await;
        let whole: Vec<u8> = {
            let branches = log.branches();
            let entries = branches.entries();
            entries.iter().flat_map(|e| e.bytes()).copied().collect()
        };
        let again = RwLock::new(AuthorLog::new(name));
        let (staged, fault) = judge(&again, &whole).await;
        self.metrics.verified.add(staged.fresh().len());
        log.taken_back.store(false, Ordering::Relaxed);
        let Some((_, fault)) = fault else {
            return true;
        };
        log.is_doubtful.store(true, Ordering::Relaxed);
        write(&again).add(staged);
        *write(&log.branches) = read(&again).clone();
        self.metrics.not_good_again.add(1);
        tracing::error!(
            why = fault.name(),
            "a log in the storage has an entry that nobody could have taken in: what follows it is not shown"
        );
        self.changed(event, name.game);
        false
    }

    fn set_aside(&self, event: &HeldEvent, run: SegmentName, why: SetAside) {
        let object = run.hash;
        if event.put_aside(run, why) {
            self.metrics.damaged.add(1);
            tracing::warn!(?why, %object, "an object in the storage is not shown");
        }
    }

    /// The versions of an event's charter that games once waited for.
    pub(super) fn waited_for(&self, event: EventId) -> Vec<Hash> {
        let events = self.events();
        let versions = events.history(event).into_iter().flat_map(|h| h.all());
        let hashes = versions.map(|version| version.hash());
        let awaited = read(&self.awaited);
        hashes.filter(|hash| awaited.contains(hash)).collect()
    }

    /// Adds to the objects of an event what waited for a version of its charter
    /// that is known now. They are put under the event too; any collector does
    /// it, and twice changes nothing.
    async fn admit_waiting(
        &self,
        event: &HeldEvent,
        kept: &mut Vec<SegmentName>,
    ) -> Result<(), StoreDown> {
        for hash in self.waited_for(event.id) {
            let there: HashSet<SegmentName> = kept.iter().cloned().collect();
            let listed = self.store.runs_in(EventId::Awaiting(hash)).await;
            let listed = listed.map_err(|e| self.down(&e))?.names;
            for run in self.without_erased(listed).await {
                let moved = SegmentName {
                    event: event.id,
                    ..run.clone()
                };
                if there.contains(&moved) {
                    continue;
                }
                match self.store.get_run(&run).await {
                    Ok(FetchedObject::Good(content)) => {
                        match self.store.put_run(&moved, content).await {
                            Ok(()) => kept.push(moved),
                            // What is there is read all the same.
                            Err(error) => drop(self.not_put(&error)),
                        }
                    }
                    Ok(FetchedObject::Damaged) => {
                        self.set_aside(event, run, SetAside::Damaged("content"));
                    }
                    Ok(FetchedObject::Unreadable) => {
                        self.set_aside(event, run, SetAside::Unreadable);
                    }
                    Err(object_store::Error::NotFound { .. }) => {}
                    Err(error) => return Err(self.down(&error)),
                }
            }
        }
        Ok(())
    }
}
