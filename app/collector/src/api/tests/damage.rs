//! What may go wrong with what is kept, and what is shown and said then.

use futures_util::TryStreamExt as _;
use object_store::path::Path;
use object_store::{ObjectStore as _, ObjectStoreExt as _};

use super::admission::{changed, put_charter};
use super::*;
use crate::store::cause;

/// Cuts the objects under a folder to half of what they were.
async fn halve(place: &InMemory, under: &str, which: &str) -> usize {
    let objects: Vec<_> = place
        .list(Some(&Path::from(under)))
        .try_collect()
        .await
        .unwrap();
    let mut count = 0;
    for object in objects {
        let at = &object.location;
        if at.filename().unwrap().contains(which) {
            let whole = place.get(at).await.unwrap().bytes().await.unwrap();
            let half = whole.slice(..whole.len() / 2);
            place.put(at, half.into()).await.unwrap();
            count += 1;
        }
    }
    count
}

async fn next(s: &Service, r: &GameRecord) -> u64 {
    let path = format!("{}/head", name(r).path());
    s.get(&path).await.receipt().next
}

async fn metric(s: &Service, name: &str) -> String {
    let text = s.get("/api/metrics").await.text();
    let line = text.lines().find(|l| l.starts_with(name)).unwrap();
    line.rsplit(' ').next().unwrap().to_owned()
}

#[tokio::test]
async fn entries_sent_again_mend_the_damaged_object_with_their_name() {
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..4)).await;
    assert_eq!(halve(&s.place, "logs", "").await, 1);
    let again = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(next(&again, r).await, 0);
    let got = again.put(name(r), part(r, 0..4)).await;
    assert_eq!((got.status, got.receipt().next), (StatusCode::OK, 4));
    // What was acknowledged is kept.
    let third = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(next(&third, r).await, 4);
    assert_eq!(metric(&third, "collector_objects_damaged_total").await, "0");
}

#[tokio::test]
async fn a_damaged_charter_puts_no_older_one_back_and_shows_no_more() {
    let names = changed(|c| c.privacy = Privacy::Names);
    let first = SignedCharter::parse(&names).unwrap().verify().unwrap();
    let mut charter = first.charter().clone();
    charter.version = 2;
    charter.supersedes = Some(first.hash());
    charter.privacy = Privacy::Initials;
    let second = charter.draft().unwrap().sign(&day().organiser).unwrap();
    let newer = Bytes::copy_from_slice(second.bytes());
    let s = service_with(Arc::default(), &[names], limits()).await;
    assert_eq!(put_charter(&s, newer.clone()).await, StatusCode::OK);
    let event = s.collector.events().ids().next().unwrap();
    let stands = |s: &Service| {
        let events = s.collector.events();
        (
            events.charter(event).unwrap().charter().version,
            events.privacy(event),
        )
    };
    assert_eq!(stands(&s), (2, Privacy::Initials));
    let spoil = async || {
        let damaged = halve(&s.place, "charters", &second.hash().to_string()).await;
        assert_eq!(damaged, 1);
    };
    spoil().await;
    // Started while it is so, a collector cannot know what it said.
    let blind = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(stands(&blind), (1, Privacy::Numbers));
    assert_eq!(metric(&blind, "collector_charters_damaged").await, "1");
    let r = record(0);
    let path = format!("/api/charters/{}", first.hash());
    assert_eq!(blind.get(&path).await.status, StatusCode::UNAUTHORIZED);
    let view = blind.collector.view(event).await.unwrap();
    assert_eq!(view.charter().unwrap().privacy, Privacy::Numbers);
    // The one that knew it goes on as before, and puts it back for the other.
    s.collector.refresh().await.unwrap();
    assert_eq!(stands(&s), (2, Privacy::Initials));
    assert_eq!(metric(&s, "collector_objects_damaged_total").await, "1");
    blind.collector.refresh().await.unwrap();
    assert_eq!(stands(&blind), (2, Privacy::Initials));
    assert_eq!(metric(&blind, "collector_charters_damaged").await, "0");
    // Given again at a start, it is mended as well.
    spoil().await;
    let mended = service_with(s.place.clone(), &[newer], limits()).await;
    assert_eq!(stands(&mended), (2, Privacy::Initials));
    let last = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(stands(&last), (2, Privacy::Initials));
    assert_eq!(next(&last, r).await, 0);
}

#[cfg(unix)]
#[tokio::test]
async fn one_stray_name_or_huge_file_costs_itself_and_not_the_start() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt as _;
    let place = tempfile::tempdir().unwrap();
    let charter = day().charter.clone();
    let open = async || {
        let store = Store::folder(place.path()).unwrap();
        let charter = std::slice::from_ref(&charter);
        Collector::open(store, charter, false, limits())
            .await
            .unwrap()
    };
    let r = record(0);
    let running = open().await;
    running.take_in(name(r), &part(r, 0..4)).await.unwrap();
    let logs = place.path().join("logs");
    std::fs::write(logs.join(OsStr::from_bytes(b"caf\xe9")), "x").unwrap();
    std::os::unix::fs::symlink(&logs, logs.join("abc")).unwrap();
    std::os::unix::fs::symlink(logs.join("ab"), logs.join("ab")).unwrap();
    // Far larger than any charter, and named as one: not to be read at all.
    let huge = place.path().join("charters").join("0".repeat(64));
    let huge = std::fs::File::create(huge).unwrap();
    huge.set_len(8 << 30).unwrap();
    let begun = std::time::Instant::now();
    running.refresh().await.unwrap();
    let second = open().await;
    assert!(begun.elapsed() < std::time::Duration::from_secs(20));
    for c in [&running, &second] {
        assert_eq!(next_seq(c, r).await, Some(4));
        let unreadable = &c.metrics.unreadable;
        // The name in another encoding, and the link to itself.
        assert!(unreadable.load(std::sync::atomic::Ordering::Relaxed) >= 2);
        let damaged = &c.metrics.charters_damaged;
        assert_eq!(damaged.load(std::sync::atomic::Ordering::Relaxed), 1);
    }
}

#[test]
fn the_cause_of_a_fault_is_said_without_the_objects_name() {
    let io = std::io::Error::from(std::io::ErrorKind::StorageFull);
    let full = object_store::Error::Generic {
        store: "folder",
        source: Box::new(io),
    };
    assert_eq!(cause(&full), "no storage space");
    let missing = object_store::Error::NotFound {
        path: "logs/open/ab/cd/00000-ef".into(),
        source: "no".into(),
    };
    assert!(missing.to_string().contains("logs/open"));
    assert!(!cause(&missing).contains("logs"));
}

#[tokio::test]
async fn results_that_cannot_be_computed_are_a_fault_here_and_not_a_missing_event() {
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..4)).await;
    let event = s.collector.events().ids().next().unwrap();
    let breaks = &s.collector.breaks;
    breaks.store(true, std::sync::atomic::Ordering::Relaxed);
    for path in [
        format!("/api/events/{event}/games.json"),
        format!("/api/events/{event}/live"),
        format!("/results/{event}"),
        format!("/results/{event}/games/{}", name(r).game),
    ] {
        let got = s.get(&path).await;
        assert_eq!(got.status, StatusCode::INTERNAL_SERVER_ERROR, "{path}");
        assert!(got.text().contains("could not be computed"));
    }
    assert_eq!(metric(&s, "collector_results_failed_total").await, "4");
    let nobody = EventId::Charter(Hash([9; 32]));
    let got = s.get(&format!("/api/events/{nobody}/games.json")).await;
    assert_eq!(got.status, StatusCode::NOT_FOUND);
    breaks.store(false, std::sync::atomic::Ordering::Relaxed);
    let got = s.get(&format!("/results/{event}")).await;
    assert_eq!(got.status, StatusCode::OK);
}
