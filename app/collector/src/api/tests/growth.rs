//! What start, memory and one request depend on: what is asked for, not all
//! that was ever kept.

use std::sync::atomic::Ordering;

use engine::log::{Entry, Event, KeyChange, OrderAction, Payload, Subject, Unsigned};
use futures_util::TryStreamExt as _;
use object_store::path::Path;
use object_store::{ObjectStore, ObjectStoreExt as _};

use super::admission::{changed, opened};
use super::orders::order;
use super::place::{Place, Raw};
use super::together::Counting;
use super::*;

const EVENTS: usize = 5;

fn key() -> SecretKey {
    SecretKey::from_random(&[60; 32])
}

/// First charters of several events.
fn charters() -> Vec<SignedCharter<Verified>> {
    let one = |n| changed(|c| c.event = format!("Cup {n}"));
    let read = |bytes: Bytes| SignedCharter::parse(&bytes).unwrap().verify().unwrap();
    (0..EVENTS).map(one).map(read).collect()
}

fn id(event: usize) -> EventId {
    EventId::Charter(charters()[event].hash())
}

/// One game of an event: an opening and some remarks.
fn game(event: usize) -> GameRecord {
    let mut record = opened(event, &key(), Some(charters()[event].hash()));
    for n in 0..5 {
        remark(&mut record, &format!("Remark {n}."));
    }
    record
}

fn says(text: &str) -> Says {
    Says::Event(Event::Notice(engine::game::Notice::Remark {
        text: text.into(),
    }))
}

fn remark(record: &mut GameRecord, text: &str) {
    let signed = record.draft(says(text), 5).unwrap().sign(&key()).unwrap();
    record.push(signed).unwrap();
}

/// A place with a game of each event, each in two objects.
async fn filled() -> Arc<Place<Counting>> {
    let place = Counting::place();
    let s = on(&place, &charters(), limits()).await;
    for event in 0..EVENTS {
        let record = game(event);
        for part in [part(&record, 0..2), part(&record, 2..6)] {
            assert_eq!(s.put(name(&record), part).await.status, StatusCode::OK);
        }
    }
    place
}

async fn on(
    place: &Arc<Place<Counting>>,
    charters: &[SignedCharter<Verified>],
    limits: Limits,
) -> Service {
    let collector = Collector::open(Store::of(place.clone()), charters, false, limits)
        .await
        .unwrap();
    Service {
        place: Arc::default(),
        router: router(Gate::new(collector.clone(), &[], false).unwrap(), None).unwrap(),
        collector,
    }
}

/// Objects with entries that were read since this was last asked.
fn read(place: &Counting) -> Vec<String> {
    let all = std::mem::take(&mut *place.gets.lock().unwrap());
    let logs = all.iter().filter(|path| path.as_ref().starts_with("logs"));
    logs.map(ToString::to_string).collect()
}

fn page(event: usize) -> String {
    format!("/results/{}", id(event))
}

fn held(s: &Service) -> i64 {
    s.collector.metrics.events_held.load(Ordering::Relaxed)
}

#[tokio::test]
async fn what_is_read_is_what_is_asked_for() {
    let place = filled().await;
    read(&place);
    let s = on(&place, &[], limits()).await;
    assert_eq!(s.collector.events().ids().count(), EVENTS);
    s.collector.refresh().await.unwrap();
    assert!(read(&place).is_empty(), "a start reads names and charters");
    let first = s.get(&page(1)).await;
    assert_eq!(first.status, StatusCode::OK);
    let of = format!("logs/{}", id(1));
    let objects = read(&place);
    assert_eq!(objects.len(), 2);
    assert!(objects.iter().all(|at| at.starts_with(&of)), "{objects:?}");
    let lists = place.lists.load(Ordering::Relaxed);
    assert_eq!(s.get(&page(1)).await.body, first.body);
    assert!(read(&place).is_empty() && place.lists.load(Ordering::Relaxed) == lists);
    // A game's address does not say of which event it is.
    let record = game(3);
    for path in [
        format!("{}/head", name(&record).path()),
        name(&record).path(),
        format!("/api/games/{}", name(&record).game),
        format!("/api/games/{}/report.json", name(&record).game),
    ] {
        let s = on(&place, &[], limits()).await;
        read(&place);
        let lists = place.lists.load(Ordering::Relaxed);
        assert_eq!(s.get(&path).await.status, StatusCode::OK, "{path}");
        assert_eq!(read(&place).len(), 2, "{path}");
        let lists = place.lists.load(Ordering::Relaxed) - lists;
        assert_eq!(lists, 1, "it is known of which event it is: {path}");
    }
    // Charters that are known are looked at again, not all of them each time.
    place.gets.lock().unwrap().clear();
    s.collector.refresh().await.unwrap();
    let again = place.gets.lock().unwrap().len();
    assert!(again <= EVENTS, "{again}");
}

#[tokio::test]
async fn an_event_let_go_comes_back_as_it_was_and_whoever_looks_keeps_it() {
    let place = filled().await;
    let small = Limits {
        held_mib: 0,
        ..limits()
    };
    let s = on(&place, &[], small).await;
    let all = on(&place, &[], limits()).await;
    for _ in 0..2 {
        for event in 0..EVENTS {
            let log = name(&game(event)).path();
            for path in [page(event), log] {
                let got = [s.get(&path).await, all.get(&path).await].map(|g| g.body);
                assert_eq!(got[0], got[1], "{path}");
            }
        }
    }
    assert_eq!((held(&all), held(&s)), (5, 1));
    // A live scoreboard keeps its event for as long as it is open.
    let path = format!("/api/events/{}/live", id(0));
    let seat = Request::get(path).body(Body::empty()).unwrap();
    let seat = s.router.clone().oneshot(seat).await.unwrap();
    for event in 1..EVENTS {
        s.get(&page(event)).await;
    }
    read(&place);
    s.get(&page(0)).await;
    assert!(read(&place).is_empty(), "it was there");
    drop(seat);
    for event in 1..EVENTS {
        s.get(&page(event)).await;
    }
    assert_eq!(held(&s), 1);
}

#[tokio::test]
async fn nothing_is_forgotten_with_an_event_that_is_let_go() {
    let place = filled().await;
    let tight = Limits {
        held_mib: 0,
        games: 1,
        log_mib: 4,
        ..limits()
    };
    let s = on(&place, &[], tight).await;
    let stranger = SecretKey::from_random(&[61; 32]);
    // Bounds: another game, by a key that the charter does not list.
    let second = opened(7, &stranger, Some(charters()[0].hash()));
    let got = s.put(name(&second), second.chain().to_bytes()).await;
    assert_eq!(got.refusal(), "full");
    // Going on where it was.
    for event in 0..EVENTS {
        let mut record = game(event);
        remark(&mut record, "One more.");
        let got = s.put(name(&record), part(&record, 6..7)).await;
        assert_eq!((got.status, got.receipt().next), (StatusCode::OK, 7));
    }
    for event in 0..EVENTS {
        let got = s.get(&format!("{}/head", name(&game(event)).path())).await;
        assert_eq!(got.receipt().next, 7);
    }
    // Orders: how far a record has come is said all the same.
    let give = async |measure| {
        let place: Arc<dyn ObjectStore> = place.clone();
        order(place, measure, true, "").await;
        s.collector.refresh().await.unwrap();
    };
    give(OrderAction::Pause).await;
    let mut record = game(1);
    remark(&mut record, "Another.");
    let got = s.put(name(&record), part(&record, 6..7)).await;
    assert_eq!((got.refusal().as_str(), got.receipt().next), ("paused", 7));
    // Erased, and come back with a copy of the storage: not shown, and removed.
    let record = game(2);
    give(OrderAction::Erase(Subject::Game(name(&record).game))).await;
    let bytes = record.chain().to_bytes();
    let at = format!(
        "logs/{}/{}/{}/00000-{}",
        id(2),
        name(&record).game,
        name(&record).author,
        Hash::of(&bytes)
    );
    let at = Path::from(at);
    let s = on(&place, &[], limits()).await;
    for asked in [true, false] {
        place.put(&at, bytes.clone().into()).await.unwrap();
        match asked {
            true => {
                let shown = s.get(&page(2)).await.text();
                assert!(!shown.contains(&name(&record).game.to_string()));
            }
            false => s.collector.purge().await.unwrap(),
        }
        assert!(place.raw.get(&at).await.is_err(), "{asked}");
    }
}

#[tokio::test]
async fn what_others_took_of_an_event_not_held_is_found() {
    let place = filled().await;
    let (a, b) = (
        on(&place, &[], limits()).await,
        on(&place, &[], limits()).await,
    );
    let record = opened(9, &key(), Some(charters()[4].hash()));
    a.put_record(&record).await;
    let path = format!("/api/games/{}", name(&record).game);
    assert_eq!(b.get(&path).await.status, StatusCode::OK);
    // An event that is held learns of it at the next refresh.
    let other = opened(10, &key(), Some(charters()[4].hash()));
    a.put_record(&other).await;
    b.collector.refresh().await.unwrap();
    let page = b.get(&page(4)).await.text();
    assert!(page.contains(&name(&other).game.to_string()));
}

#[tokio::test]
async fn a_game_of_one_event_among_many_is_found_by_a_look_at_all() {
    const MANY: usize = 70;
    let one = |n| changed(|c| c.event = format!("Cup {n}"));
    let read = |bytes: Bytes| SignedCharter::parse(&bytes).unwrap().verify().unwrap();
    let charters: Vec<_> = (0..MANY).map(one).map(read).collect();
    let place = Counting::place();
    let (a, b) = (
        on(&place, &charters, limits()).await,
        on(&place, &[], limits()).await,
    );
    // Not one of those that are asked for each game that is not known.
    let EventId::Charter(far) = b.collector.events().ids().last().unwrap() else {
        panic!("an event with a charter");
    };
    let record = opened(9, &key(), Some(far));
    a.put_record(&record).await;
    let path = format!("/api/games/{}", name(&record).game);
    let ask = async || b.get(&path).await.status;
    for lists in [64, 0] {
        let before = place.lists.load(Ordering::Relaxed);
        assert_eq!(ask().await, StatusCode::NOT_FOUND);
        assert_eq!(place.lists.load(Ordering::Relaxed) - before, lists);
    }
    // All are looked at once a minute, where somebody looked in vain.
    b.collector.refresh().await.unwrap();
    assert_eq!(ask().await, StatusCode::NOT_FOUND);
    let minute_ago = std::time::Instant::now().checked_sub(std::time::Duration::from_secs(61));
    *b.collector.games_looked_at.lock().await = minute_ago;
    b.collector.refresh().await.unwrap();
    assert_eq!(ask().await, StatusCode::OK);
    // A phone that goes on there, or begins again, is of the same event at once.
    let c = on(&place, &[], limits()).await;
    let other = opened(10, &key(), Some(far));
    a.put_record(&other).await;
    c.put_record(&other).await;
    let folder = Path::from(format!("logs/{far}/{}", name(&other).game));
    let kept = place.raw.list(Some(&folder)).try_collect::<Vec<_>>().await;
    assert_eq!(kept.unwrap().len(), 1, "in one place");
}

/// Rounds of verifying again until all was, and how many records were.
async fn recheck(s: &Service) -> u64 {
    let rechecked = || s.collector.metrics.rechecked.get();
    loop {
        let before = rechecked();
        s.collector.recheck().await.unwrap();
        if rechecked() == before {
            return before;
        }
    }
}

#[tokio::test]
async fn damage_in_what_nobody_asks_for_is_found_and_said() {
    let place = filled().await;
    let s = on(&place, &[], limits()).await;
    assert_eq!(recheck(&s).await, 5);
    let ready = async |s: &Service| s.get("/api/ready").await.text();
    assert_eq!(ready(&s).await, "The collector takes records.\n");
    let of = async |event| {
        let under = Path::from(format!("logs/{}", id(event)));
        let listed = place.raw.list(Some(&under)).try_collect::<Vec<_>>().await;
        let mut at: Vec<Path> = listed.unwrap().into_iter().map(|o| o.location).collect();
        at.sort_unstable();
        at
    };
    // A byte of one object turned; the first object of another record gone; of a
    // third, an entry that its author signed over.
    let [_, second] = of(1).await.try_into().unwrap();
    let whole = place.get(&second).await.unwrap().bytes().await.unwrap();
    place.put(&second, spoilt(&whole).into()).await.unwrap();
    place.delete(&of(2).await[0]).await.unwrap();
    for at in of(3).await {
        place.delete(&at).await.unwrap();
    }
    let r = game(3);
    let mut forged = entries(&r);
    forged[4] = spoilt(&forged[4]);
    forged[5] = follows(r.chain().at(5).unwrap(), 5, &forged[4], &key());
    put_there(&place.raw, id(3), name(&r), &forged).await;
    // It is not looked at again within a day, and a collector that starts does.
    read(&place);
    assert_eq!(recheck(&s).await, 5);
    assert!(read(&place).is_empty());
    let s = on(&place, &[], limits()).await;
    assert_eq!(recheck(&s).await, 5);
    let said = ready(&s).await;
    assert!(said.contains(" 3 are damaged"), "{said}");
    assert_eq!(s.get("/api/ready").await.status, StatusCode::OK);
    let metrics = s.get("/api/metrics").await.text();
    assert!(metrics.contains("collector_records_damaged 3"), "{metrics}");
    assert_eq!(held(&s), 0, "nothing was asked for, and nothing is held");
    // Delivered again the first two are mended.
    for event in 1..3 {
        let r = game(event);
        let got = s.put(name(&r), r.chain().to_bytes()).await;
        assert_eq!(got.receipt().next, 6, "{event}");
    }
    let s = on(&place, &[], limits()).await;
    recheck(&s).await;
    let said = ready(&s).await;
    assert!(said.contains(" 1 are damaged"), "{said}");
}

#[tokio::test]
async fn verifying_again_takes_little_at_a_time() {
    let place = filled().await;
    let s = on(&place, &charters(), limits()).await;
    for event in 0..EVENTS {
        for n in 0..14 {
            let of = Some(charters()[event].hash());
            s.put_record(&opened(n, &SecretKey::from_random(&[90; 32]), of))
                .await;
        }
    }
    let s = on(&place, &[], limits()).await;
    read(&place);
    s.collector.recheck().await.unwrap();
    let first = read(&place).len();
    assert!((40..=64).contains(&first), "{first}");
    recheck(&s).await;
    assert_eq!(first + read(&place).len(), EVENTS * (14 + 2));
}

/// Puts a log into an event's folder as it is, in one object.
async fn put_there(place: &Raw, event: EventId, name: LogName, entries: &[Bytes]) {
    let whole = entries.concat();
    let at = format!(
        "logs/{event}/{}/{}/00000-{}",
        name.game,
        name.author,
        Hash::of(&whole)
    );
    place.put(&Path::from(at), whole.into()).await.unwrap();
}

fn entries(record: &GameRecord) -> Vec<Bytes> {
    let all = record.chain().entries().iter();
    all.map(|e| Bytes::copy_from_slice(e.bytes())).collect()
}

/// The last byte of an entry is its signature's.
fn spoilt(entry: &Bytes) -> Bytes {
    let mut bytes = entry.to_vec();
    *bytes.last_mut().unwrap() ^= 1;
    bytes.into()
}

/// An entry that follows another one's bytes, whatever those are.
fn follows(of: &Entry<Verified>, seq: u64, previous: &Bytes, signer: &SecretKey) -> Bytes {
    let payload = Payload {
        previous: Some(Hash::of(previous)),
        seq,
        ..of.payload().clone()
    };
    let signed = Unsigned::new(payload, signer.public()).unwrap();
    Bytes::copy_from_slice(signed.sign(signer).unwrap().bytes())
}

#[tokio::test]
async fn whoever_writes_to_the_storage_is_not_believed() {
    let thief = SecretKey::from_random(&[66; 32]);
    let r = game(0);
    let good = entries(&r);
    let at = |n: u64| r.chain().at(n).unwrap();
    // The last entry signed with another key; one changed under the others; the
    // record handed over to a key by a change that its author never signed.
    let mut by_another = good.clone();
    by_another[5] = follows(at(5), 5, &good[4], &thief);
    let mut changed = good.clone();
    changed[3] = spoilt(&good[3]);
    let change: KeyChange = r.chain().key_change(&thief, "Mine.".into());
    let draft = r.chain().draft(Says::KeyChange(change), 6).unwrap();
    let change = draft.sign(&key()).unwrap();
    let change = spoilt(&Bytes::copy_from_slice(change.bytes()));
    let mut handed = good.clone();
    let last = follows(at(5), 7, &change, &thief);
    handed.extend([change, last]);
    for (forged, why) in [(by_another, "key"), (changed, "entry"), (handed, "change")] {
        let place = Counting::place();
        put_there(&place.raw, id(0), name(&r), &forged).await;
        let s = on(&place, &charters(), limits()).await;
        let got = s.get(&format!("{}/head", name(&r).path())).await;
        assert_eq!(got.receipt().next, 0, "{why}");
        assert_eq!(s.collector.metrics.damaged.get(), 1, "{why}");
        // Sent again it is as it was signed.
        let got = s.put(name(&r), r.chain().to_bytes()).await;
        assert_eq!(
            (got.status, got.receipt().next),
            (StatusCode::OK, 6),
            "{why}"
        );
    }
}

#[tokio::test]
async fn a_bad_signature_that_its_author_signed_over_is_found_afterwards() {
    let r = game(0);
    let mut forged = entries(&r);
    forged[3] = spoilt(&forged[3]);
    for (n, seq) in [(4, 4), (5, 5)] {
        let of = r.chain().at(seq).unwrap();
        forged[n] = follows(of, seq, &forged[n - 1], &key());
    }
    let place = Counting::place();
    put_there(&place.raw, id(0), name(&r), &forged).await;
    put_there(&place.raw, id(1), name(&game(1)), &entries(&game(1))).await;
    let s = on(&place, &charters(), limits()).await;
    let next = async |event| {
        let head = format!("{}/head", name(&game(event)).path());
        s.get(&head).await.receipt().next
    };
    assert_eq!((next(0).await, next(1).await), (6, 6));
    s.collector.judge_again().await;
    assert_eq!((next(0).await, next(1).await), (3, 6));
    let metrics = s.get("/api/metrics").await.text();
    assert!(metrics.contains("collector_records_not_good_again_total 1"));
    // Once is enough, until the event is read again.
    let verified = s.collector.metrics.verified.get();
    s.collector.judge_again().await;
    assert_eq!(s.collector.metrics.verified.get(), verified);
}
