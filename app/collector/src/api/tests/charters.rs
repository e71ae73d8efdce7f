//! Versions of a charter, and games set up under one that has not come yet.

use super::admission::{next_version, opened};
use super::*;
use engine::sync::CharterReceipt;

/// Three more versions of the demo charter; the second lists `key`.
pub(super) fn versions(key: &SecretKey) -> [SignedCharter<Verified>; 3] {
    let second = SignedCharter::parse(&next_version(|c| {
        c.open = false;
        c.officials
            .push(Author::new(key.public(), "Late", Role::Umpire));
    }));
    let second = second.unwrap().verify().unwrap();
    let follow = |older: &SignedCharter<Verified>| {
        let mut charter = older.charter().clone();
        charter.version += 1;
        charter.supersedes = Some(older.hash());
        charter.draft().unwrap().sign(&day().organiser).unwrap()
    };
    let third = follow(&second);
    let fourth = follow(&third);
    [second, third, fourth]
}

pub(super) async fn put(
    s: &Service,
    charters: &[&SignedCharter<Verified>],
) -> (StatusCode, CharterReceipt) {
    let event = day().charter.hash();
    let body: Vec<u8> = charters.iter().flat_map(|c| c.bytes()).copied().collect();
    let request = Request::put(format!("/api/charters/{event}"));
    let request = request.header("content-type", "application/cbor-seq");
    let got = s.ask(request.body(body.into()).unwrap()).await;
    let receipt = CharterReceipt::read(&got.body);
    (
        got.status,
        receipt.unwrap_or_else(|| panic!("{}", got.text())),
    )
}

fn in_force(s: &Service) -> u32 {
    let events = s.collector.events();
    let event = EventId::Charter(day().charter.hash());
    events.charter(event).unwrap().charter().version
}

#[tokio::test]
async fn versions_come_in_any_order_and_hold_once_those_between_are_there() {
    let s = service().await;
    let key = SecretKey::from_random(&[60; 32]);
    let [second, third, fourth] = versions(&key);
    let (status, receipt) = put(&s, &[&fourth]).await;
    assert_eq!((status, receipt.next), (StatusCode::CONFLICT, 1));
    let refusal = receipt.refusal.unwrap();
    assert_eq!((refusal.name.as_str(), refusal.at), ("gap", 1));
    assert!(
        refusal.sentence.contains("version 3"),
        "{}",
        refusal.sentence
    );
    assert_eq!(in_force(&s), 1);
    // Another collector on the same place, started now, waits as well.
    let later = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(later.collector.events().waiting().len(), 1);
    let (status, receipt) = put(&later, &[&second, &third]).await;
    assert_eq!(
        (status, receipt.next, receipt.refusal),
        (StatusCode::OK, 4, None)
    );
    assert_eq!(receipt.head, Some(fourth.hash()));
    s.collector.refresh().await.unwrap();
    assert_eq!((in_force(&s), in_force(&later)), (4, 4));
    // Every version is given out together, to officials where names are short.
    let path = format!("/api/charters/{}/all", fourth.hash());
    let got = s.get(&path).await;
    if got.status == StatusCode::OK {
        assert_eq!(SignedCharter::read_all(&got.body).unwrap().len(), 4);
    }
    // Again changes nothing.
    assert_eq!(put(&s, &[&third, &second, &fourth]).await.0, StatusCode::OK);
}

#[tokio::test]
async fn a_stranger_puts_no_version_there_and_no_other_event_is_taken() {
    let s = service().await;
    let stranger = SecretKey::from_random(&[7; 32]);
    let mut forged = day().charter.charter().clone();
    forged.version = 3;
    forged.supersedes = Some(Hash([9; 32]));
    forged.organiser.key = stranger.public();
    let forged = forged.draft().unwrap().sign(&stranger).unwrap();
    let (status, receipt) = put(&s, &[&forged]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(receipt.refusal.unwrap().name, "other-event");
    assert!(s.collector.events().waiting().is_empty());
    let nowhere = Hash([8; 32]);
    let request = Request::put(format!("/api/charters/{nowhere}"));
    let request = request.header("content-type", "application/cbor-seq");
    let body = day().charter.bytes().to_vec();
    let got = s.ask(request.body(body.into()).unwrap()).await;
    assert_eq!(got.status, StatusCode::FORBIDDEN);
    let refusal = CharterReceipt::read(&got.body).unwrap().refusal.unwrap();
    let name = &day().charter.charter().event;
    assert!(
        refusal.sentence.contains(name.as_str()),
        "it says what is served: {refusal:?}"
    );
}

#[tokio::test]
async fn a_game_under_a_version_not_known_yet_is_kept_and_shown_when_it_comes() {
    let s = service().await;
    let event = EventId::Charter(day().charter.hash());
    let key = SecretKey::from_random(&[61; 32]);
    let [second, ..] = versions(&key);
    let log = opened(0, &key, Some(second.hash()));
    let got = s.put(name(&log), log.chain().to_bytes()).await;
    assert_eq!(got.status, StatusCode::ACCEPTED);
    let receipt = got.receipt();
    let refusal = receipt.refusal.clone().unwrap();
    assert_eq!((receipt.next, refusal.at), (1, 1), "all of it is kept");
    assert_eq!(refusal.name, engine::sync::Refusal::AWAITS_CHARTER);
    let head = format!("{}/head", name(&log).path());
    assert_eq!(s.get(&head).await.refusal(), "awaits-charter");
    // Nobody is shown what is nobody's yet.
    let shown = async |s: &Service| s.collector.view(event).await.unwrap().games().len();
    assert_eq!(shown(&s).await, 0);
    let waiting = EventId::Awaiting(second.hash());
    for path in [
        format!("/results/{waiting}"),
        format!("/api/events/{waiting}/games.json"),
    ] {
        assert_ne!(s.get(&path).await.status, StatusCode::OK, "{path}");
    }
    // It is there after a new start too, and at another collector.
    let later = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(later.get(&head).await.refusal(), "awaits-charter");
    assert_eq!(put(&later, &[&second]).await.0, StatusCode::OK);
    s.collector.refresh().await.unwrap();
    for s in [&s, &later] {
        assert_eq!(shown(s).await, 1);
        let got = s.get(&head).await.receipt();
        assert_eq!((got.next, got.refusal), (1, None));
    }
    let third = service_with(s.place.clone(), &[], limits()).await;
    assert_eq!(shown(&third).await, 1);
}

#[tokio::test]
async fn games_that_wait_are_bounded_and_keep_no_listed_official_out() {
    let s = service().await;
    let mut status = StatusCode::ACCEPTED;
    let mut count = 0;
    while status == StatusCode::ACCEPTED && count < 300 {
        let mut seed = [0; 32];
        seed[..2].copy_from_slice(&(1000 + count as u16).to_be_bytes());
        let key = SecretKey::from_random(&seed);
        let log = opened(0, &key, Some(Hash(seed)));
        let got = s.put(name(&log), log.chain().to_bytes()).await;
        status = got.status;
        count += 1;
    }
    assert_eq!((status, count), (StatusCode::UNPROCESSABLE_ENTITY, 257));
    s.put_record(record(0)).await;
}
