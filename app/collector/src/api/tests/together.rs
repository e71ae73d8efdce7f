//! Several collectors on one place, and several things at once in one.

use std::sync::atomic::{AtomicUsize, Ordering};

use object_store::path::Path;

use super::admission::{changed, next_version, opened, put_charter};
use super::place::{Call, Place, Watch};
use super::*;

/// Its first charter lists nobody and is closed, its second lists the key.
fn two_versions(key: &SecretKey) -> (SignedCharter<Verified>, Bytes) {
    let read = |b: &Bytes| SignedCharter::parse(b).unwrap().verify().unwrap();
    let first = read(&changed(|c| {
        c.open = false;
        c.officials.clear();
    }));
    let mut charter = first.charter().clone();
    charter.version = 2;
    charter.supersedes = Some(first.hash());
    charter
        .officials
        .push(Author::new(key.public(), "New", Role::Umpire));
    let second = charter.draft().unwrap().sign(&day().organiser).unwrap();
    (first, Bytes::copy_from_slice(second.bytes()))
}

#[tokio::test]
async fn a_log_of_someone_newly_listed_is_hidden_nowhere() {
    let key = SecretKey::from_random(&[60; 32]);
    let (first, second) = two_versions(&key);
    let given = [Bytes::copy_from_slice(first.bytes())];
    let a = service_with(Arc::default(), &given, limits()).await;
    let log = opened(0, &key, Some(first.hash()));
    // Before the new charter nobody takes it.
    assert_eq!(
        a.put(name(&log), log.chain().to_bytes()).await.status,
        StatusCode::FORBIDDEN
    );
    let b = service_with(a.place.clone(), &[], limits()).await;
    assert_eq!(put_charter(&a, second).await, StatusCode::OK);
    a.put_record(&log).await;
    // The other one has just looked and does not know of it.
    let path = format!("{}/head", name(&log).path());
    b.get(&path).await;
    b.collector.refresh().await.unwrap();
    assert_eq!(b.get(&path).await.receipt().next, 1);
    assert_eq!(
        b.get(&format!("/api/games/{}", name(&log).game))
            .await
            .status,
        StatusCode::OK
    );
}

#[tokio::test]
async fn someone_newly_listed_is_not_sent_away_by_a_collector_that_lags() {
    let key = SecretKey::from_random(&[61; 32]);
    let (first, second) = two_versions(&key);
    let given = [Bytes::copy_from_slice(first.bytes())];
    let a = service_with(Arc::default(), &given, limits()).await;
    let b = service_with(a.place.clone(), &[], limits()).await;
    assert_eq!(put_charter(&a, second).await, StatusCode::OK);
    tokio::time::sleep(std::time::Duration::from_millis(1100)).await;
    b.put_record(&opened(0, &key, Some(first.hash()))).await;
}

#[tokio::test]
async fn of_two_versions_that_replace_the_same_one_every_collector_shows_the_same() {
    let a = service().await;
    let b = service_with(a.place.clone(), &[], limits()).await;
    let one = next_version(|c| c.open = false);
    let rival = next_version(|c| c.place = "Elsewhere".into());
    assert_eq!(put_charter(&a, one.clone()).await, StatusCode::OK);
    assert_eq!(put_charter(&b, rival.clone()).await, StatusCode::OK);
    let event = a.collector.events().ids().next().unwrap();
    let smaller = Hash::of(&one).min(Hash::of(&rival));
    for collector in [&a.collector, &b.collector] {
        collector.refresh().await.unwrap();
        let events = collector.events();
        assert_eq!(events.charter(event).unwrap().hash(), smaller);
        let history = events.history(event).unwrap();
        assert_eq!(history.forked_at(), Some(2), "and it is said");
        // A game set up under the other one is of this event all the same.
        let other = Hash::of(&one).max(Hash::of(&rival));
        assert_eq!(events.of_setup(Some(other)), Some(event));
    }
}

#[tokio::test]
async fn results_begun_before_a_new_charter_do_not_stay_after_it() {
    let s = service().await;
    let event = s.collector.events().ids().next().unwrap();
    let held = s.collector.load(event).await.unwrap().unwrap();
    let others = held.view.lock().await;
    let collector = s.collector.clone();
    let asked = tokio::spawn(async move { collector.view(event).await });
    // It waits for the others now.
    for _ in 0..50 {
        tokio::task::yield_now().await;
    }
    let stricter = next_version(|c| c.privacy = Privacy::Numbers);
    assert_eq!(put_charter(&s, stricter).await, StatusCode::OK);
    drop(others);
    asked.await.unwrap().unwrap();
    let view = s.collector.view(event).await.unwrap();
    assert_eq!(view.charter().unwrap().privacy, Privacy::Numbers);
    assert_eq!(view.charter().unwrap().version, 2);
}

/// Counts how often names are listed, and notes which objects are read.
#[derive(Debug, Default)]
pub(super) struct Counting {
    pub lists: AtomicUsize,
    pub gets: std::sync::Mutex<Vec<Path>>,
}

impl Counting {
    pub fn place() -> Arc<Place<Self>> {
        Place::new(Arc::new(InMemory::new()), Self::default())
    }
}

#[async_trait::async_trait]
impl Watch for Counting {
    async fn before(&self, call: Call<'_>) -> object_store::Result<()> {
        match call {
            Call::Get(from) => self.gets.lock().unwrap().push(from.clone()),
            Call::List => drop(self.lists.fetch_add(1, Ordering::Relaxed)),
            Call::Put(_) | Call::Delete | Call::ListFolder => {}
        }
        Ok(())
    }
}

#[tokio::test]
async fn asking_for_what_is_not_there_costs_one_look_and_not_one_each_time() {
    let place = Counting::place();
    let charter = day().charter.clone();
    let collector = Collector::open(Store::of(place.clone()), &[charter], false, limits())
        .await
        .unwrap();
    let gate = Gate::new(collector.clone(), &[], false).unwrap();
    let s = Service {
        place: Arc::default(),
        router: router(gate, None).unwrap(),
        collector,
    };
    let before = place.lists.load(Ordering::Relaxed);
    let path = name(record(0)).path();
    for _ in 0..20 {
        assert_eq!(s.get(&path).await.status, StatusCode::NOT_FOUND);
        let head = s.get(&format!("{path}/head")).await;
        assert_eq!(head.receipt().next, 0);
    }
    assert_eq!(place.lists.load(Ordering::Relaxed) - before, 1);
    // It is looked for again after the next refresh, and a phone may begin it.
    s.collector.refresh().await.unwrap();
    let before = place.lists.load(Ordering::Relaxed);
    s.get(&path).await;
    assert_eq!(place.lists.load(Ordering::Relaxed) - before, 1);
    s.put_record(record(0)).await;
}
