//! What is kept, and found again by others; nothing is acknowledged before.

use std::sync::atomic::{AtomicBool, Ordering};

use object_store::ObjectStore as _;
use object_store::path::Path;
use tokio::sync::Semaphore;

use engine::charter::SignedCharter;
use engine::log::Verified;

use super::place::{Call, Place, Watch};
use super::*;

#[tokio::test]
async fn another_collector_on_the_same_place_knows_everything() {
    let s = service().await;
    s.fill().await;
    let other = service_with(s.place.clone(), &[], limits()).await;
    for game in &day().games {
        for r in &game.records {
            let path = format!("{}/head", name(r).path());
            let [a, b] = [&s, &other].map(|s| async { s.get(&path).await.receipt() });
            // They date it differently.
            let [a, b] = [a.await, b.await].map(|r| Receipt { signed: None, ..r });
            assert_eq!(a, b, "game {}", game.fixture);
        }
    }
    let event = s.collector.events().ids().next().unwrap();
    for file in ["standings.json", "games.csv", "leaders.json"] {
        let path = format!("/api/events/{event}/{file}");
        assert_eq!(s.get(&path).await.body, other.get(&path).await.body);
    }
}

#[tokio::test]
async fn a_phone_that_changes_collectors_in_mid_game_finds_no_gap() {
    let a = service().await;
    let b = service_with(a.place.clone(), &[], limits()).await;
    let r = record(0);
    let n = name(r);
    for at in 0..20 {
        let to = if at % 2 == 0 { &a } else { &b };
        let got = to.put(n, part(r, at..at + 1)).await;
        assert_eq!(
            got.status,
            StatusCode::OK,
            "entry {at}: {:?}",
            got.receipt()
        );
    }
    a.collector.refresh().await.unwrap();
    let path = format!("{}/head", n.path());
    assert_eq!(a.get(&path).await.receipt().next, 20);
}

#[tokio::test]
async fn objects_damaged_or_put_there_by_others_are_not_shown() {
    use futures_util::TryStreamExt as _;
    use object_store::ObjectStoreExt as _;
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..4)).await;
    s.put(name(r), part(r, 4..8)).await;
    let objects: Vec<_> = s
        .place
        .list(Some(&Path::from("logs")))
        .try_collect()
        .await
        .unwrap();
    let second = objects
        .iter()
        .find(|o| o.location.filename().unwrap().starts_with("00004"))
        .unwrap();
    s.place
        .put(
            &second.location,
            Bytes::from_static(b"something else").into(),
        )
        .await
        .unwrap();
    let stray = Path::from(format!("{}/../readme", second.location));
    s.place
        .put(&stray, Bytes::from_static(b"hello").into())
        .await
        .unwrap();
    let other = service_with(s.place.clone(), &[], limits()).await;
    let receipt = other
        .get(&format!("{}/head", name(r).path()))
        .await
        .receipt();
    assert_eq!(receipt.next, 4);
    assert!(
        other
            .get("/api/metrics")
            .await
            .text()
            .contains("objects_damaged_total 1")
    );
}

/// Lets an object in only when it is let go.
#[derive(Debug)]
struct Slow {
    asked: Semaphore,
    let_go: Semaphore,
    /// Nothing more is written.
    full: AtomicBool,
    /// Nothing is read.
    unread: AtomicBool,
}

impl Slow {
    fn place(let_go: usize) -> Arc<Place<Self>> {
        let slow = Self {
            asked: Semaphore::new(0),
            let_go: Semaphore::new(let_go),
            full: AtomicBool::new(false),
            unread: AtomicBool::new(false),
        };
        Place::new(Arc::new(InMemory::new()), slow)
    }
}

#[async_trait::async_trait]
impl Watch for Slow {
    async fn before(&self, call: Call<'_>) -> object_store::Result<()> {
        let (fails, kind) = match call {
            Call::Put(_) => (&self.full, std::io::ErrorKind::StorageFull),
            _ => (&self.unread, std::io::ErrorKind::TimedOut),
        };
        if fails.load(Ordering::Relaxed) {
            return Err(object_store::Error::Generic {
                store: "watched",
                source: Box::new(std::io::Error::from(kind)),
            });
        }
        let Call::Put(to) = call else { return Ok(()) };
        if to.as_ref().starts_with("logs") {
            self.asked.add_permits(1);
            self.let_go.acquire().await.unwrap().forget();
        }
        Ok(())
    }
}

/// Lets every task that can do something do it.
async fn until_all_wait() {
    for _ in 0..200 {
        tokio::task::yield_now().await;
    }
}

#[tokio::test]
async fn nothing_is_acknowledged_or_shown_before_it_is_kept_and_logs_do_not_wait_for_each_other() {
    let slow = Slow::place(0);
    let charter = day().charter.clone();
    let collector = Collector::open(Store::of(slow.clone()), &[charter], false, limits())
        .await
        .unwrap();
    let routes = router(Gate::new(collector.clone(), &[], false).unwrap(), None).unwrap();
    let s = Arc::new(Service {
        place: Arc::default(),
        collector,
        router: routes,
    });
    // Two phones with a log each, and one of them sends its batch twice.
    let mut sent = Vec::new();
    for r in [record(0), record(1), record(0)] {
        let s = s.clone();
        sent.push(tokio::spawn(
            async move { s.put(name(r), part(r, 0..5)).await },
        ));
    }
    // Both logs are on their way at once; the doubled batch waits for the first.
    slow.asked.acquire_many(2).await.unwrap().forget();
    until_all_wait().await;
    assert_eq!(slow.asked.available_permits(), 0);
    assert!(sent.iter().all(|answer| !answer.is_finished()));
    let head = |r| format!("{}/head", name(r).path());
    assert_eq!(s.get(&head(record(0))).await.receipt().next, 0);
    slow.let_go.add_permits(2);
    for answer in sent {
        let got = answer.await.unwrap();
        assert_eq!((got.status, got.receipt().next), (StatusCode::OK, 5));
    }
    assert_eq!(slow.asked.available_permits(), 0, "nothing is put twice");
    assert_eq!(s.get(&head(record(1))).await.receipt().next, 5);
}

/// A collector killed between naming an object and flushing leaves what this
/// makes by hand: folders and a file that nobody flushed.
#[tokio::test]
async fn a_folder_with_what_others_left_is_taken_over() {
    let place = tempfile::tempdir().unwrap();
    let charter = day().charter.clone();
    let r = record(0);
    let open = async || {
        let store = Store::folder(place.path()).unwrap();
        Collector::open(store, std::slice::from_ref(&charter), false, limits())
            .await
            .unwrap()
    };
    let first = open().await;
    first.take_in(name(r), &part(r, 0..4)).await.unwrap();
    let second = open().await;
    // Both take in the same at the same moment: one finds the name taken.
    let (body, other) = (part(r, 4..9), part(record(1), 0..3));
    let both = tokio::join!(
        first.take_in(name(r), &body),
        second.take_in(name(r), &body),
        second.take_in(name(record(1)), &other),
    );
    for (taken, next) in [(both.0, 9), (both.1, 9), (both.2, 3)] {
        assert_eq!(taken.unwrap().receipt.next, next);
    }
    let third = open().await;
    assert_eq!(next_seq(&third, r).await, Some(9));
    assert!(place.path().join("logs").is_dir());
}

#[tokio::test]
async fn a_disk_that_takes_nothing_more_is_served_from_and_that_is_said() {
    let disk = Slow::place(Semaphore::MAX_PERMITS);
    let open = async || {
        let charters = [day().charter.clone()];
        let store = Store::of(disk.clone());
        let collector = Collector::open(store, &charters, false, limits());
        let collector = collector.await.unwrap();
        let gate = Gate::new(collector.clone(), &[], false).unwrap();
        Service {
            place: Arc::default(),
            router: router(gate, None).unwrap(),
            collector,
        }
    };
    let before = open().await;
    before.put_record(record(0)).await;
    assert_eq!(before.get("/api/ready").await.status, StatusCode::OK);
    disk.full.store(true, Ordering::Relaxed);
    // It starts, with the charter that it already has.
    let s = open().await;
    let served = s.collector.events().ids().count();
    assert_eq!(served, 1);
    let whole = record(0).chain().next_seq();
    let head = s.get(&format!("{}/head", name(record(0)).path())).await;
    assert_eq!(head.receipt().next, whole);
    // What is there is acknowledged again; what is new is not.
    s.put_record(record(0)).await;
    let new = s.put(name(record(1)), part(record(1), 0..3)).await;
    assert_eq!(new.status, StatusCode::SERVICE_UNAVAILABLE);
    let ready = s.get("/api/ready").await.status;
    assert_eq!(ready, StatusCode::SERVICE_UNAVAILABLE);
    assert!(s.collector.metrics.text().contains("storage_down 1"));
    // That it can be read changes nothing.
    s.collector.refresh().await.unwrap();
    let ready = s.get("/api/ready").await.status;
    assert_eq!(ready, StatusCode::SERVICE_UNAVAILABLE);
    // Room again.
    disk.full.store(false, Ordering::Relaxed);
    s.put_record(record(1)).await;
    assert_eq!(s.get("/api/ready").await.status, StatusCode::OK);
    // Nobody writes for a while after a moment in which nothing could be read.
    disk.unread.store(true, Ordering::Relaxed);
    s.collector.refresh().await.unwrap_err();
    let ready = s.get("/api/ready").await.status;
    assert_eq!(ready, StatusCode::SERVICE_UNAVAILABLE);
    disk.unread.store(false, Ordering::Relaxed);
    s.collector.refresh().await.unwrap();
    assert_eq!(s.get("/api/ready").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_copy_of_the_folder_is_a_backup() {
    fn copy(from: &std::path::Path, to: &std::path::Path) {
        std::fs::create_dir_all(to).unwrap();
        for entry in std::fs::read_dir(from).unwrap() {
            let entry = entry.unwrap();
            let to = to.join(entry.file_name());
            match entry.file_type().unwrap().is_dir() {
                true => copy(&entry.path(), &to),
                false => drop(std::fs::copy(entry.path(), to).unwrap()),
            }
        }
    }
    let place = tempfile::tempdir().unwrap();
    let (kept, copied) = (place.path().join("kept"), place.path().join("copied"));
    let charter = day().charter.clone();
    let open = async |folder: &std::path::Path, charters: &[SignedCharter<Verified>]| {
        let store = Store::folder(folder).unwrap();
        Collector::open(store, charters, false, limits()).await
    };
    let first = open(&kept, &[charter]).await.unwrap();
    let (a, b) = (record(0), record(1));
    first.take_in(name(a), &a.chain().to_bytes()).await.unwrap();
    copy(&kept, &copied);
    first.take_in(name(b), &b.chain().to_bytes()).await.unwrap();
    let restored = open(&copied, &[]).await.unwrap();
    let head = async |c: &Collector, r| {
        let found = c.find(name(r)).await.unwrap();
        found.and_then(|(_, log)| log.branches().head())
    };
    assert_eq!(head(&restored, a).await, Some(a.head()));
    assert_eq!(head(&restored, b).await, None, "it came after the copy");
    restored
        .take_in(name(b), &b.chain().to_bytes())
        .await
        .unwrap();
    assert_eq!(head(&restored, b).await, Some(b.head()));
}

#[tokio::test]
async fn acknowledgements_carry_a_receipt_by_a_key_that_lasts() {
    let service = service().await;
    let one = record(0);
    let half = part(one, 0..3);
    let first = service.put(name(one), half).await.receipt();
    let signed = first.signed().unwrap();
    assert_eq!(
        (signed.content().log, signed.content().entries),
        (name(one), 3)
    );
    assert!(signed.content().begins(one.chain()));
    let now = std::time::SystemTime::now();
    let now = now.duration_since(std::time::UNIX_EPOCH).unwrap();
    let late = u128::from(signed.content().received_ms).abs_diff(now.as_millis());
    assert!(late < 60_000, "{late} ms");
    service.put_record(one).await;
    // Another collector of the same storage, or the same one started again.
    let again = service_with(service.place.clone(), &[], limits()).await;
    let head = again.get(&format!("{}/head", name(one).path())).await;
    let signed_again = head.receipt().signed().unwrap();
    assert_eq!(signed_again.key(), signed.key());
    assert_eq!(signed_again.content().entries, one.chain().next_seq());
    assert_eq!(again.collector.receipt_key(), Some(*signed.key()));
    // It says which key that is, so that a charter can list it.
    let told = again.get("/api/key").await.text();
    let key: Hash = told.trim().parse().unwrap();
    assert_eq!(key.as_bytes(), signed.key().as_bytes());
    // The file with the log says so to anyone.
    let file = [&one.chain().to_bytes()[..], signed.bytes()].concat();
    let found = engine::evidence::Evidence::of([("a.log", &file[..])]);
    assert!(found.is_good());
    assert_eq!(found.logs[0].witnessed.dated[0].seq, 2);
    let nothing = service
        .get(&format!("{}/head", name(record(1)).path()))
        .await;
    assert_eq!(nothing.receipt().signed, None);
}
