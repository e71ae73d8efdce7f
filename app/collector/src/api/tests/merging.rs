//! Records in many objects become records in one: stopped anywhere, and while
//! others read and write, nothing is lost and nothing counts twice.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use futures_util::future::BoxFuture;
use futures_util::{FutureExt as _, TryStreamExt as _};
use object_store::local::LocalFileSystem;
use object_store::path::Path;
use object_store::{ObjectStore as _, ObjectStoreExt as _};
use tempfile::TempDir;

use super::charters::{put as put_charters, versions};
use super::place::{Call, Place, Raw, Watch};
use super::*;

type Meanwhile = Arc<dyn Fn() -> BoxFuture<'static, ()> + Send + Sync>;

/// Does something before a call, or is gone from one on, as for a collector that
/// is killed there.
struct Steps {
    calls: AtomicUsize,
    gone_at: usize,
    meanwhile: Option<(usize, Meanwhile)>,
}

impl Steps {
    fn gone_at(raw: &Raw, call: usize) -> Arc<Place<Self>> {
        Self::watch(raw, call, None)
    }

    /// Does something before one call.
    fn at(raw: &Raw, call: usize, meanwhile: Meanwhile) -> Arc<Place<Self>> {
        Self::watch(raw, usize::MAX, Some((call, meanwhile)))
    }

    fn watch(raw: &Raw, gone_at: usize, meanwhile: Option<(usize, Meanwhile)>) -> Arc<Place<Self>> {
        let calls = AtomicUsize::default();
        let steps = Self {
            calls,
            gone_at,
            meanwhile,
        };
        Place::new(raw.clone(), steps)
    }

    fn calls(&self) -> usize {
        self.calls.load(Ordering::Relaxed)
    }
}

#[async_trait::async_trait]
impl Watch for Steps {
    async fn before(&self, _: Call<'_>) -> object_store::Result<()> {
        let call = self.calls.fetch_add(1, Ordering::Relaxed);
        if let Some((at, meanwhile)) = &self.meanwhile
            && *at == call
        {
            meanwhile().await;
        }
        match call >= self.gone_at {
            true => Err(object_store::Error::Generic {
                store: "stepped",
                source: "the collector is gone".into(),
            }),
            false => Ok(()),
        }
    }
}

/// Merges whatever lies in two objects, and removes at once.
fn at_once() -> Limits {
    Limits {
        objects: 2,
        merge_wait: 0,
        ..limits()
    }
}

async fn on(place: Raw, limits: Limits) -> Option<Arc<Collector>> {
    let charter = std::slice::from_ref(&day().charter);
    let opened = Collector::open(Store::of(place), charter, false, limits).await;
    opened.ok()
}

fn event() -> EventId {
    EventId::Charter(day().charter.hash())
}

fn object(of: LogName, first: usize, content: &[u8]) -> Path {
    let hash = Hash::of(content);
    let (game, author) = (of.game, of.author);
    Path::from(format!(
        "logs/{}/{game}/{author}/{first:05}-{hash}",
        event()
    ))
}

/// Every log that was put, whole.
type Put = Vec<(LogName, Vec<Vec<u8>>)>;

/// Puts three logs: one entry by entry, one in parts that overlap, and one that
/// was signed twice.
async fn fill(place: &Raw) -> Put {
    let forked = day()
        .games
        .iter()
        .find(|g| g.second_line.is_some())
        .unwrap();
    let other = forked.second_line.as_ref().unwrap();
    let same = |r: &&GameRecord| name(r) == name(other);
    let line = forked.records.iter().find(same).unwrap();
    let entries = |r: &GameRecord, most| -> Vec<Vec<u8>> {
        let all = r.chain().entries().iter().take(most);
        all.map(|e| e.bytes().to_vec()).collect()
    };
    let put = async |of: LogName, first, entries: &[Vec<u8>]| {
        let content = entries.concat();
        let at = object(of, first, &content);
        place.put(&at, content.into()).await.unwrap();
    };
    let [single, parts] = [entries(record(0), 8), entries(record(1), 12)];
    for (n, _) in single.iter().enumerate() {
        put(name(record(0)), n, &single[n..=n]).await;
    }
    for range in [0..4, 2..7, 5..12, 5..6] {
        put(name(record(1)), range.start, &parts[range]).await;
    }
    let mut both = entries(line, usize::MAX);
    for line in [both.clone(), entries(other, usize::MAX)] {
        for (n, part) in line.chunks(40).enumerate() {
            put(name(other), n * 40, part).await;
        }
        let more = line.into_iter().filter(|e| !both.contains(e));
        let more: Vec<_> = more.collect();
        both.extend(more);
    }
    vec![
        (name(record(0)), single),
        (name(record(1)), parts),
        (name(other), both),
    ]
}

/// Everything is there, once, in memory and in what is counted.
async fn whole(collector: &Arc<Collector>, put: &Put) {
    for (name, entries) in put {
        let found = collector.find(*name).await.unwrap();
        let (_, log) = found.unwrap_or_else(|| panic!("{name:?} is lost"));
        let branches = log.branches();
        let mut there: Vec<&[u8]> = branches.entries().iter().map(|e| e.bytes()).collect();
        let mut meant: Vec<&[u8]> = entries.iter().map(Vec::as_slice).collect();
        there.sort_unstable();
        meant.sort_unstable();
        assert!(there == meant, "{} of {}", there.len(), meant.len());
        let bytes: usize = meant.iter().map(|e| e.len()).sum();
        assert_eq!(log.bytes.load(Ordering::Relaxed), bytes as u64);
    }
    assert_eq!(collector.metrics.damaged.get(), 0);
}

/// A collector that was just started finds everything.
async fn found_by_another(place: &Raw, put: &Put) {
    let another = on(place.clone(), limits()).await.unwrap();
    another.load(event()).await.unwrap().unwrap();
    whole(&another, put).await;
}

/// Reads the event and merges, as long as the place is there.
async fn merge(place: Raw) {
    if let Some(collector) = on(place, at_once()).await
        && collector.load(event()).await.is_ok()
    {
        collector.judge_again().await;
        let _ = collector.merge().await;
    }
}

async fn objects(place: &Raw) -> usize {
    let listed = place.list(Some(&Path::from("logs")));
    listed.try_collect::<Vec<_>>().await.unwrap().len()
}

/// A place in memory and one in a folder.
fn places() -> [(Raw, Option<TempDir>); 2] {
    let folder = tempfile::tempdir().unwrap();
    let local = LocalFileSystem::new_with_prefix(folder.path()).unwrap();
    [
        (Arc::new(InMemory::new()), None),
        (Arc::new(local), Some(folder)),
    ]
}

/// Tries something at every call to a filled place of either kind, until the
/// place that it gives back saw no such call; how many calls there were.
async fn at_every_call(test: impl AsyncFn(&Raw, &Put, usize) -> Arc<Place<Steps>>) -> [usize; 2] {
    let mut tried = [0; 2];
    for (kind, tried) in tried.iter_mut().enumerate() {
        loop {
            let (raw, _folder) = places().into_iter().nth(kind).unwrap();
            let put = fill(&raw).await;
            if test(&raw, &put, *tried).await.calls() <= *tried {
                break;
            }
            *tried += 1;
        }
    }
    tried
}

#[tokio::test]
async fn stopped_at_any_call_nothing_is_lost_and_the_next_one_goes_on() {
    let tried = at_every_call(async |raw, put, call| {
        let place = Steps::gone_at(raw, call);
        merge(place.clone()).await;
        found_by_another(raw, put).await;
        merge(raw.clone()).await;
        assert_eq!(objects(raw).await, put.len(), "stopped at {call}");
        found_by_another(raw, put).await;
        place
    });
    let tried = tried.await;
    assert!(
        tried.iter().all(|calls| *calls > 40),
        "stopped everywhere: {tried:?}"
    );
}

#[tokio::test]
async fn whoever_reads_before_any_call_of_the_one_that_merges_finds_everything() {
    at_every_call(async |raw, put, call| {
        let (of, meant) = (raw.clone(), put.clone());
        let read: Meanwhile = Arc::new(move || {
            let (of, meant) = (of.clone(), meant.clone());
            async move { found_by_another(&of, &meant).await }.boxed()
        });
        let place = Steps::at(raw, call, read);
        merge(place.clone()).await;
        assert_eq!(objects(raw).await, put.len());
        place
    })
    .await;
}

#[tokio::test]
async fn whoever_merges_before_any_call_of_one_that_reads_hides_nothing_from_it() {
    at_every_call(async |raw, put, call| {
        let of = raw.clone();
        let merging: Meanwhile = Arc::new(move || merge(of.clone()).boxed());
        let place = Steps::at(raw, call, merging);
        let reader = on(place.clone(), limits()).await.unwrap();
        reader.load(event()).await.unwrap().unwrap();
        whole(&reader, put).await;
        place
    })
    .await;
}

#[tokio::test]
async fn a_batch_sent_again_while_it_is_merged_is_acknowledged_and_kept() {
    let r = record(0);
    for call in 0.. {
        let raw: Raw = Arc::new(InMemory::new());
        let one = on(raw.clone(), at_once()).await.unwrap();
        one.take_in(name(r), &part(r, 0..4)).await.unwrap();
        one.take_in(name(r), &part(r, 4..6)).await.unwrap();
        let merging: Meanwhile = Arc::new(move || {
            let one = one.clone();
            async move { one.merge().await.unwrap() }.boxed()
        });
        let place = Steps::at(&raw, call, merging);
        let other = on(place.clone(), limits()).await.unwrap();
        let sent = other.take_in(name(r), &part(r, 4..6)).await.unwrap();
        assert_eq!(sent.receipt.next, 6, "{call}");
        let put = vec![(name(r), (0..6).map(|n| part(r, n..n + 1)).collect())];
        found_by_another(&raw, &put).await;
        if place.calls() <= call {
            break;
        }
    }
}

#[tokio::test]
async fn what_another_took_in_since_it_was_read_is_not_removed() {
    let raw: Raw = Arc::new(InMemory::new());
    let r = record(0);
    let [one, other] = [
        on(raw.clone(), at_once()).await.unwrap(),
        on(raw.clone(), limits()).await.unwrap(),
    ];
    for n in 0..3 {
        one.take_in(name(r), &part(r, n..n + 1)).await.unwrap();
    }
    one.refresh().await.unwrap();
    other.take_in(name(r), &part(r, 3..5)).await.unwrap();
    one.merge().await.unwrap();
    assert_eq!(objects(&raw).await, 2);
    let put = vec![(name(r), (0..5).map(|n| part(r, n..n + 1)).collect())];
    found_by_another(&raw, &put).await;
}

#[tokio::test]
async fn an_object_that_is_gone_while_it_is_put_is_put_again() {
    let r = record(0);
    let bytes = part(r, 0..4);
    let hash = Hash::of(&bytes);
    for call in 0..2 {
        let raw: Raw = Arc::new(InMemory::new());
        let run = crate::store::SegmentName {
            event: event(),
            log: name(r),
            first: 0,
            hash,
        };
        let store = Store::of(raw.clone());
        store.put_run(&run, bytes.clone().into()).await.unwrap();
        let (of, at) = (raw.clone(), object(name(r), 0, &bytes));
        let gone: Meanwhile = Arc::new(move || {
            let (of, at) = (of.clone(), at.clone());
            async move { drop(of.delete(&at).await) }.boxed()
        });
        let store = Store::of(Steps::at(&raw, call, gone));
        store.put_run(&run, bytes.clone().into()).await.unwrap();
        let there = raw.get(&object(name(r), 0, &bytes)).await.is_ok();
        assert!(there, "gone before call {call}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn two_that_take_in_and_merge_on_one_folder_at_once_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let open = || Store::folder(folder.path()).unwrap();
    let charter = std::slice::from_ref(&day().charter);
    let start = async || {
        Collector::open(open(), charter, false, at_once())
            .await
            .unwrap()
    };
    let both = [start().await, start().await];
    let records: Vec<&GameRecord> = (0..4).map(record).collect();
    let done = Arc::new(AtomicUsize::new(0));
    let mut workers = Vec::new();
    for collector in &both {
        let (collector, done) = (collector.clone(), done.clone());
        workers.push(tokio::spawn(async move {
            while done.load(Ordering::Relaxed) == 0 {
                collector.judge_again().await;
                collector.merge().await.unwrap();
                collector.refresh().await.unwrap();
                tokio::task::yield_now().await;
            }
        }));
    }
    let most = 24;
    for n in 0..most {
        for r in &records {
            let collector = &both[(n + r.chain().entries().len()) % 2];
            let taken = collector.take_in(name(r), &part(r, n..n + 1)).await;
            let next = taken.unwrap().receipt.next;
            assert_eq!(next, n as u64 + 1);
        }
        // Whoever starts now finds all that was acknowledged.
        let cold = start().await;
        for r in &records {
            assert_eq!(next_seq(&cold, r).await, Some(n as u64 + 1));
        }
    }
    done.store(1, Ordering::Relaxed);
    for worker in workers {
        worker.await.unwrap();
    }
    let put = records.iter().map(|r| {
        let entries = (0..most).map(|n| part(r, n..n + 1));
        (name(r), entries.collect())
    });
    let put: Put = put.collect();
    let raw: Raw = Arc::new(LocalFileSystem::new_with_prefix(folder.path()).unwrap());
    merge(raw.clone()).await;
    assert_eq!(objects(&raw).await, records.len());
    found_by_another(&raw, &put).await;
    for collector in &both {
        whole(collector, &put).await;
    }
}

#[tokio::test]
async fn merged_objects_stay_for_a_while_and_until_the_larger_one_is_proven() {
    let waits = Limits {
        objects: 8,
        merge_wait: 1,
        ..limits()
    };
    let raw: Raw = Arc::new(InMemory::new());
    let put = fill(&raw).await;
    let before = objects(&raw).await;
    let s = on(raw.clone(), waits).await.unwrap();
    s.load(event()).await.unwrap();
    let verified = || usize::try_from(s.metrics.verified.get()).unwrap();
    let at_first = verified();
    for _ in 0..3 {
        s.merge().await.unwrap();
        assert_eq!(objects(&raw).await, before + 1, "of the log in eight");
    }
    let judged = verified() - at_first;
    assert_eq!(
        judged,
        put[0].1.len(),
        "it was taken back by its signatures"
    );
    let larger = object(put[0].0, 0, &put[0].1.concat());
    let good = raw.get(&larger).await.unwrap().bytes().await.unwrap();
    raw.put(&larger, good.slice(1..).into()).await.unwrap();
    tokio::time::sleep(Duration::from_millis(1100)).await;
    s.merge().await.unwrap();
    assert_eq!(
        objects(&raw).await,
        before + 1,
        "what is damaged proves nothing"
    );
    s.merge().await.unwrap();
    assert_eq!(raw.get(&larger).await.unwrap().bytes().await.unwrap(), good);
    tokio::time::sleep(Duration::from_millis(1100)).await;
    s.merge().await.unwrap();
    assert_eq!(objects(&raw).await, before + 1 - 8);
    assert_eq!(s.metrics.merged.get(), 8);
    found_by_another(&raw, &put).await;
    // The others, too, once nothing came for a while.
    tokio::time::sleep(Duration::from_millis(3000)).await;
    s.merge().await.unwrap();
    tokio::time::sleep(Duration::from_millis(1100)).await;
    s.merge().await.unwrap();
    assert_eq!(objects(&raw).await, put.len());
    whole(&s, &put).await;
    found_by_another(&raw, &put).await;
}

#[tokio::test]
async fn what_waited_for_a_charter_stays_as_it_is() {
    let charter = Bytes::copy_from_slice(day().charter.bytes());
    let s = service_with(Arc::default(), &[charter], at_once()).await;
    let key = SecretKey::from_random(&[61; 32]);
    let [second, ..] = versions(&key);
    let mut log = super::admission::opened(0, &key, Some(second.hash()));
    let opening = log.chain().to_bytes();
    assert_eq!(
        s.put(name(&log), opening).await.status,
        StatusCode::ACCEPTED
    );
    assert_eq!(put_charters(&s, &[&second]).await.0, StatusCode::OK);
    s.collector.refresh().await.unwrap();
    let says = Says::Event(engine::log::Event::Notice(engine::game::Notice::Remark {
        text: "On time.".into(),
    }));
    log.push(log.draft(says, 5).unwrap().sign(&key).unwrap())
        .unwrap();
    assert_eq!(
        s.put(name(&log), part(&log, 1..2)).await.status,
        StatusCode::OK
    );
    let raw: Raw = s.place.clone();
    let before = objects(&raw).await;
    for _ in 0..3 {
        s.collector.refresh().await.unwrap();
        s.collector.judge_again().await;
        s.collector.merge().await.unwrap();
    }
    assert_eq!(objects(&raw).await, before);
    assert_eq!(next_seq(&s.collector, &log).await, Some(2));
}
