//! What whoever runs the service hides, erases, blocks and pauses.

use engine::log::{OrderAction, SignedOrder, Subject};
use engine::sync::CharterReceipt;
use object_store::ObjectStore;
use object_store::path::Path;

use super::admission::{next_version, opened, put_charter};
use super::*;
use crate::orders::issue;

pub(super) async fn order(
    place: Arc<dyn ObjectStore>,
    measure: OrderAction,
    holds: bool,
    reason: &str,
) -> SignedOrder {
    let store = Store::of(place);
    let secret = store.receipt_key([0; 32]).await.unwrap();
    let signer = SecretKey::from_random(&secret);
    let given = issue(&store, &signer, measure, holds, reason).await;
    given.unwrap().remove(0)
}

/// As a command on the storage gives it, and the service at work learns of it.
async fn ordered(s: &Service, measure: OrderAction, holds: bool) -> SignedOrder {
    let order = order(s.place.clone(), measure, holds, "A parent asked.").await;
    s.collector.refresh().await.unwrap();
    order
}

async fn kept(s: &Service, under: &str) -> usize {
    use futures_util::TryStreamExt as _;
    let listed = s.place.list(Some(&Path::from(under)));
    listed.try_collect::<Vec<_>>().await.unwrap().len()
}

fn demo() -> EventId {
    EventId::Charter(day().charter.hash())
}

#[tokio::test]
async fn an_erased_game_is_gone_everywhere_and_not_kept_when_it_comes_again() {
    let s = service().await;
    s.fill().await;
    let (r, other) = (record(0), record(1));
    let game = r.chain().game();
    let folder = format!("logs/{}/{game}", demo());
    let page = format!("/results/{}/games/{game}", demo());
    assert!(kept(&s, &folder).await > 0);
    assert_eq!(s.get(&page).await.status, StatusCode::OK);
    ordered(&s, OrderAction::Erase(Subject::Game(game)), true).await;
    assert_eq!(kept(&s, &folder).await, 0);
    assert_eq!(s.get(&page).await.status, StatusCode::NOT_FOUND);
    let games = s.get(&format!("/api/events/{}/games.json", demo())).await;
    assert!(!games.text().contains(&game.to_string()));
    for path in [format!("/api/games/{game}"), name(r).path()] {
        let got = s.get(&path).await;
        assert_eq!(got.status, StatusCode::GONE, "{path}: {}", got.text());
    }
    // Every phone that still has it is told so, whatever part it sends.
    for part in [part(r, 0..3), part(r, 3..5), r.chain().to_bytes()] {
        let got = s.put(name(r), part).await;
        assert_eq!(
            (got.status, got.refusal().as_str(), got.receipt().next),
            (StatusCode::GONE, "erased", 0)
        );
        let sentence = got.receipt().refusal.unwrap().sentence;
        assert!(sentence.ends_with("A parent asked."), "{sentence}");
    }
    let head = s.get(&format!("{}/head", name(r).path())).await;
    assert_eq!(head.refusal(), "erased");
    assert_eq!(kept(&s, &folder).await, 0);
    // The signed order explains a copy held elsewhere, and names nobody.
    let order = s.get(&format!("/api/games/{game}/order")).await;
    let order = SignedOrder::read(&order.body).unwrap();
    let own = order.content().logs.iter();
    let mut own = own.filter(|l| l.author == name(r).author);
    let log = own.next().unwrap();
    assert_eq!((log.entries, log.head), (r.next_seq(), r.head()));
    assert_eq!(s.collector.receipt_key(), Some(*order.key()));
    // Another game is as it was; so is what a collector started anew serves.
    let again = service_with(s.place.clone(), &[], limits()).await;
    for s in [&s, &again] {
        let path = format!("/results/{}/games/{}", demo(), other.chain().game());
        assert_eq!(s.get(&path).await.status, StatusCode::OK);
        assert_eq!(s.get(&page).await.status, StatusCode::NOT_FOUND);
    }
    // One that had not heard of the order, or an older copy of the storage, puts
    // nothing back.
    let run = Path::from(format!("{folder}/{}/00003-{}", name(r).author, r.head()));
    let stale = object_store::PutPayload::from_static(b"left over");
    use object_store::ObjectStoreExt as _;
    s.place.put(&run, stale).await.unwrap();
    s.collector.refresh().await.unwrap();
    assert_eq!(kept(&s, &folder).await, 0);
    // Taken back: the phone delivers it again.
    ordered(&s, OrderAction::Erase(Subject::Game(game)), false).await;
    s.put_record(r).await;
    assert_eq!(s.get(&page).await.status, StatusCode::OK);
}

#[tokio::test]
async fn what_is_hidden_is_taken_and_kept_and_nobody_is_shown_it() {
    let s = service().await;
    let (r, other) = (record(0), record(1));
    s.put(name(r), part(r, 0..3)).await;
    s.put_record(other).await;
    let game = r.chain().game();
    let all = [
        format!("/results/{}/games/{game}", demo()),
        format!("/api/games/{game}/report.json"),
        format!("/api/games/{game}"),
        name(r).path(),
    ];
    let hidden = [
        Subject::Game(game),
        Subject::Key(name(r).author),
        Subject::Event(day().charter.hash()),
    ];
    for subject in hidden {
        let measure = OrderAction::Hide(subject);
        ordered(&s, measure, true).await;
        for path in &all {
            let got = s.get(path).await.status;
            assert_eq!(got, StatusCode::NOT_FOUND, "{path} {subject:?}");
        }
        s.put_record(r).await;
        let hides_all = matches!(subject, Subject::Event(_));
        let event = s.get(&format!("/results/{}", demo())).await.status;
        assert_eq!(event == StatusCode::NOT_FOUND, hides_all);
        let listed = s.get("/api/events").await.text();
        assert_eq!(listed.contains("\"events\":[]"), hides_all, "{listed}");
        let charter = format!("/api/charters/{}", day().charter.hash());
        let charter = s.get(&charter).await.status;
        assert_eq!(charter == StatusCode::NOT_FOUND, hides_all);
        ordered(&s, measure, false).await;
        for path in &all {
            assert_eq!(s.get(path).await.status, StatusCode::OK, "{path}");
        }
    }
}

#[tokio::test]
async fn an_erased_event_takes_its_charters_along_and_is_not_served_again() {
    let s = service().await;
    s.fill().await;
    let later = next_version(|c| c.place = "Elsewhere".into());
    assert_eq!(put_charter(&s, later.clone()).await, StatusCode::OK);
    let event = day().charter.hash();
    ordered(&s, OrderAction::Erase(Subject::Event(event)), true).await;
    assert_eq!((kept(&s, "logs").await, kept(&s, "charters").await), (0, 0));
    let got = s.get(&format!("/results/{}", demo())).await.status;
    assert_eq!(got, StatusCode::NOT_FOUND);
    assert_eq!(put_charter(&s, later).await, StatusCode::GONE);
    let path = format!("/api/charters/{event}");
    assert_eq!(s.get(&path).await.status, StatusCode::GONE);
    // Given again at the start, too, as its unit file does.
    let charter = Bytes::copy_from_slice(day().charter.bytes());
    let again = service_with(s.place.clone(), &[charter], limits()).await;
    assert_eq!(again.collector.events().ids().count(), 0);
    for s in [&s, &again] {
        let r = record(0);
        let got = s.put(name(r), part(r, 0..3)).await;
        assert_eq!(
            (got.status, got.refusal().as_str()),
            (StatusCode::GONE, "erased")
        );
    }
    assert_eq!((kept(&s, "logs").await, kept(&s, "charters").await), (0, 0));
}

#[tokio::test]
async fn a_blocked_key_adds_nothing_and_reads_nothing() {
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..3)).await;
    let measure = OrderAction::Block(name(r).author);
    ordered(&s, measure, true).await;
    let got = s.put(name(r), part(r, 3..5)).await;
    assert_eq!(
        (got.status, got.refusal().as_str(), got.receipt().next),
        (StatusCode::FORBIDDEN, "blocked-key", 3)
    );
    let report = format!("/api/games/{}/report.json", r.chain().game());
    assert_eq!(
        s.get(&report).await.status,
        StatusCode::OK,
        "what was kept stays"
    );
    // Nor does an organiser's key that was stolen sign the event's charter anew.
    let organiser = day().organiser.public().fingerprint();
    ordered(&s, OrderAction::Block(organiser), true).await;
    let got = put_charter(&s, next_version(|c| c.officials.clear())).await;
    assert_eq!(got, StatusCode::UNPROCESSABLE_ENTITY);
    ordered(&s, measure, false).await;
    s.put_record(r).await;
}

#[tokio::test]
async fn while_writing_is_paused_that_is_said_and_nothing_is_lost() {
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..3)).await;
    ordered(&s, OrderAction::Pause, true).await;
    let got = s.put(name(r), part(r, 3..5)).await;
    assert_eq!(
        (got.status, got.refusal().as_str(), got.receipt().next),
        (StatusCode::SERVICE_UNAVAILABLE, "paused", 3)
    );
    let event = day().charter.hash();
    let request = Request::put(format!("/api/charters/{event}"))
        .header("content-type", "application/cbor-seq");
    let charter = next_version(|c| c.place = "Elsewhere".into());
    let got = s.ask(request.body(charter.into()).unwrap()).await;
    assert_eq!(got.status, StatusCode::SERVICE_UNAVAILABLE);
    let why = CharterReceipt::read(&got.body).unwrap().refusal.unwrap();
    assert_eq!(why.name, "paused");
    let ready = s.get("/api/ready").await;
    assert_eq!(ready.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(ready.text().contains("paused"), "{}", ready.text());
    assert_eq!(s.get(&name(r).path()).await.status, StatusCode::OK);
    ordered(&s, OrderAction::Pause, false).await;
    s.put_record(r).await;
    assert_eq!(s.get("/api/ready").await.status, StatusCode::OK);
}

#[tokio::test]
async fn in_a_folder_nothing_of_an_erased_game_is_left_and_only_the_places_own_key_orders() {
    let place = tempfile::tempdir().unwrap();
    let store = || Store::folder(place.path()).unwrap();
    let charter = [day().charter.clone()];
    let open = Collector::open(store(), &charter, false, limits());
    let collector = open.await.unwrap();
    let (r, other) = (record(0), record(1));
    let whole = |r: &GameRecord| r.chain().to_bytes();
    for r in [r, other] {
        collector.take_in(name(r), &whole(r)).await.unwrap();
    }
    let game = r.chain().game();
    let folder = place.path().join(format!("logs/{}/{game}", demo()));
    let log = folder.join(name(r).author.to_string());
    std::fs::write(log.join("00005-ab#1"), "half of a write").unwrap();
    let measure = OrderAction::Erase(Subject::Game(game));
    // Signed by anyone else it is not followed.
    let stranger = SecretKey::from_random(&[5; 32]);
    let elsewhere = tempfile::tempdir().unwrap();
    let foreign = Store::folder(elsewhere.path()).unwrap();
    let foreign = issue(&foreign, &stranger, measure, true, "").await.unwrap();
    store().put_order(&foreign[0]).await.unwrap();
    collector.refresh().await.unwrap();
    assert!(next_seq(&collector, r).await.is_some());
    let secret = store().receipt_key([0; 32]).await.unwrap();
    let signer = SecretKey::from_random(&secret);
    issue(&store(), &signer, measure, true, "").await.unwrap();
    assert!(!folder.exists());
    collector.refresh().await.unwrap();
    assert!(next_seq(&collector, r).await.is_none());
    assert!(next_seq(&collector, other).await.is_some());
    // Taken back, it is kept again, and lasts.
    issue(&store(), &signer, measure, false, "").await.unwrap();
    collector.refresh().await.unwrap();
    let taken = collector.take_in(name(r), &whole(r)).await.unwrap();
    assert_eq!(taken.receipt.next, r.next_seq());
    let open = Collector::open(store(), &[], false, limits());
    assert!(next_seq(&open.await.unwrap(), r).await.is_some());
}

#[tokio::test]
async fn who_looks_at_an_erased_game_is_told_to_look_again() {
    let s = service().await;
    let r = record(0);
    s.put_record(r).await;
    let game = name(r).game;
    let live = Request::get(format!("/api/events/{}/live", demo()));
    let live = live.body(Body::empty()).unwrap();
    let answer = s.router.clone().oneshot(live).await.unwrap();
    let mut body = answer.into_body();
    let mut heard = String::new();
    let mut until = async |word: &str| {
        while !heard.contains(word) {
            let frame = body.frame().await.unwrap().unwrap();
            heard.push_str(std::str::from_utf8(&frame.into_data().unwrap()).unwrap());
        }
        std::mem::take(&mut heard)
    };
    assert!(until("event: game").await.contains(&game.to_string()));
    ordered(&s, OrderAction::Erase(Subject::Game(game)), true).await;
    let told = until("event: again").await;
    assert!(!told.contains(&game.to_string()), "{told}");
    // So it is when names are kept shorter.
    let shorter = next_version(|c| c.privacy = Privacy::Numbers);
    assert_eq!(put_charter(&s, shorter).await, StatusCode::OK);
    until("event: again").await;
}

#[tokio::test]
async fn room_is_given_back_with_what_is_erased() {
    let small = Limits {
        event_mib: 1,
        logs_per_game: 1000,
        ..limits()
    };
    let charter = Bytes::copy_from_slice(day().charter.bytes());
    let s = service_with(Arc::default(), &[charter], small).await;
    let log = |n: u8| opened(0, &SecretKey::from_random(&[n; 32]), None);
    let put = async |n| s.put(name(&log(n)), log(n).chain().to_bytes()).await;
    let mut next = 100;
    while put(next).await.status == StatusCode::OK {
        next += 1;
    }
    assert_eq!(put(next).await.refusal(), "full");
    let gone = name(&log(100)).author;
    ordered(&s, OrderAction::Erase(Subject::Key(gone)), true).await;
    assert_eq!(put(next).await.status, StatusCode::OK);
    assert_eq!(put(next + 1).await.refusal(), "full");
}
