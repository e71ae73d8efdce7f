#![allow(clippy::unwrap_used, clippy::panic)]
//! Every endpoint through the router, against a store in memory.

use std::sync::{Arc, OnceLock};

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode};
use bytes::Bytes;
use demoday::{DemoDay, play_day};
use engine::log::sync::{Heads, ReadPass, Receipt};
use engine::log::{
    Author, Body as Says, Branches, Charter, Considered, Decided, Decision, GameRecord, LogName,
    Opening, Privacy, Role, SecretKey, Staged, split,
};
use http_body_util::BodyExt as _;
use object_store::memory::InMemory;
use tower::ServiceExt as _;

use crate::collector::Collector;
use crate::serve::{Gate, router};
use crate::settings::Limits;
use crate::store::Store;

fn day() -> &'static DemoDay {
    static DAY: OnceLock<DemoDay> = OnceLock::new();
    DAY.get_or_init(|| play_day(1).unwrap())
}

struct Service {
    place: Arc<InMemory>,
    collector: Arc<Collector>,
    router: Router,
}

fn limits() -> Limits {
    Limits {
        requests_per_minute: 0,
        ..Limits::default()
    }
}

async fn service_with(place: Arc<InMemory>, charters: &[Bytes], limits: Limits) -> Service {
    let store = Store::of(place.clone());
    let collector = Collector::open(store, charters, false, limits)
        .await
        .unwrap();
    let gate = Gate::new(collector.clone(), &["https://app.example".into()], false).unwrap();
    Service {
        place,
        router: router(gate, None).unwrap(),
        collector,
    }
}

async fn service() -> Service {
    let charter = Bytes::copy_from_slice(day().charter.bytes());
    service_with(Arc::default(), &[charter], limits()).await
}

struct Got {
    status: StatusCode,
    headers: axum::http::HeaderMap,
    body: Bytes,
}

impl Got {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
    fn receipt(&self) -> Receipt {
        Receipt::read(&self.body)
            .unwrap_or_else(|| panic!("no receipt: {} {}", self.status, self.text()))
    }
    fn refusal(&self) -> String {
        self.receipt().refusal.map(|r| r.name).unwrap_or_default()
    }
}

impl Service {
    async fn ask(&self, request: Request<Body>) -> Got {
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = answer.into_parts();
        Got {
            status: parts.status,
            headers: parts.headers,
            body: body.collect().await.unwrap().to_bytes(),
        }
    }
    async fn get(&self, path: &str) -> Got {
        self.ask(Request::get(path).body(Body::empty()).unwrap())
            .await
    }
    async fn put(&self, name: LogName, body: Vec<u8>) -> Got {
        let request = Request::put(name.path()).header("content-type", "application/cbor-seq");
        self.ask(request.body(body.into()).unwrap()).await
    }
    async fn put_record(&self, record: &GameRecord) {
        let got = self.put(name(record), record.chain().to_bytes()).await;
        assert_eq!(got.status, StatusCode::OK, "{:?}", got.receipt());
    }
    /// Everything the officials recorded.
    async fn fill(&self) {
        for game in &day().games {
            for record in game.records.iter().chain(&game.second_line) {
                self.put_record(record).await;
            }
        }
    }
}

fn name(record: &GameRecord) -> LogName {
    LogName {
        game: record.chain().game(),
        author: record.chain().author().fingerprint(),
    }
}

fn record(game: usize) -> &'static GameRecord {
    &day().games[game].records[0]
}

fn part(record: &GameRecord, range: std::ops::Range<usize>) -> Vec<u8> {
    let entries = &record.chain().entries()[range];
    entries.iter().flat_map(|e| e.bytes()).copied().collect()
}

#[tokio::test]
async fn a_log_goes_in_by_parts_and_comes_out_byte_for_byte() {
    let s = service().await;
    let r = record(0);
    let (n, all) = (name(r), r.chain().entries().len());
    let head = s.get(&format!("{}/head", n.path())).await;
    assert_eq!((head.status, head.receipt().next), (StatusCode::OK, 0));
    for (from, to) in [(0, 10), (5, 20), (0, 20), (20, all), (0, all)] {
        let got = s.put(n, part(r, from..to)).await;
        assert_eq!(got.status, StatusCode::OK);
        assert_eq!(got.headers["content-type"], "application/cbor");
    }
    let receipt = s.get(&format!("{}/head", n.path())).await.receipt();
    assert_eq!((receipt.next, receipt.head), (all as u64, Some(r.head())));
    let whole = s.get(&n.path()).await;
    assert_eq!(whole.body, r.chain().to_bytes());
    let rest = s.get(&format!("{}?from=10", n.path())).await;
    assert_eq!(rest.body, part(r, 10..all));
    let heads = Heads::read(&s.get(&format!("/api/games/{}", n.game)).await.body).unwrap();
    assert_eq!(heads.logs.len(), 1);
    assert_eq!(heads.logs[0].next, all as u64);
}

#[tokio::test]
async fn what_is_wrong_stops_there_and_what_came_before_is_kept() {
    let s = service().await;
    let r = record(0);
    let n = name(r);
    let mut damaged = part(r, 0..10);
    let last = damaged.len() - 1;
    damaged[last] ^= 1;
    let got = s.put(n, damaged).await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
    let receipt = got.receipt();
    assert_eq!((receipt.next, receipt.refusal.unwrap().at), (9, 9));
    let got = s.put(n, part(r, 12..14)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::CONFLICT, "gap")
    );
    let mut half = part(r, 9..12);
    half.truncate(half.len() - 7);
    let got = s.put(n, half).await;
    assert_eq!(got.refusal(), "cut-short");
    assert_eq!(got.receipt().next, 11);
    // Nothing of a log is there without its opening.
    let other = record(1);
    let got = s.put(name(other), part(other, 3..5)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::CONFLICT, "gap")
    );
    assert_eq!(
        s.get(&name(other).path()).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn the_tampered_file_is_taken_up_to_the_change_only() {
    let s = service().await;
    let whole = day()
        .games
        .iter()
        .find(|g| g.fixture == day().tampered_fixture)
        .unwrap();
    let r = &whole.records[0];
    let got = s.put(name(r), day().tampered.clone()).await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
    let receipt = got.receipt();
    assert!(receipt.next < r.next_seq() && receipt.next > 0);
    assert_eq!(
        receipt.head,
        r.chain().at(receipt.next - 1).map(engine::log::Entry::hash)
    );
}

#[tokio::test]
async fn another_collector_on_the_same_place_knows_everything() {
    let s = service().await;
    s.fill().await;
    let other = service_with(s.place.clone(), &[], limits()).await;
    for game in &day().games {
        for r in &game.records {
            let path = format!("{}/head", name(r).path());
            let (a, b) = (s.get(&path).await.body, other.get(&path).await.body);
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
async fn forks_are_kept_shown_and_the_same_everywhere() {
    let s = service().await;
    let game = day()
        .games
        .iter()
        .find(|g| g.second_line.is_some())
        .unwrap();
    let (first, second) = (&game.records[1], game.second_line.as_ref().unwrap());
    let n = name(first);
    s.put_record(first).await;
    s.put_record(second).await;
    let receipt = s.get(&format!("{}/head", n.path())).await.receipt();
    let forked_at = second.next_seq() - 1;
    assert_eq!(
        (receipt.forked_at, receipt.head),
        (Some(forked_at), Some(first.head()))
    );
    let other = service().await;
    other.put_record(second).await;
    other.put_record(first).await;
    assert_eq!(s.get(&n.path()).await.body, other.get(&n.path()).await.body);
    let all = s.get(&n.path()).await.body;
    assert_eq!(split(&all).count() as u64, first.next_seq() + 1);
    let mut log = Branches::new(n);
    let mut staged = Staged::default();
    for item in split(&all) {
        log.stage(&mut staged, item.unwrap()).unwrap();
    }
    log.add(staged);
    assert_eq!(log.forked_at(), Some(forked_at));
}

/// The demo charter changed and signed again by its organiser.
fn changed(change: impl FnOnce(&mut Charter)) -> Bytes {
    let mut charter = day().charter.charter().clone();
    change(&mut charter);
    let signed = charter.draft().unwrap().sign(&day().organiser).unwrap();
    Bytes::copy_from_slice(signed.bytes())
}

fn next_version(change: impl FnOnce(&mut Charter)) -> Bytes {
    changed(|c| {
        c.version = 2;
        c.supersedes = Some(day().charter.hash());
        change(c);
    })
}

async fn put_charter(s: &Service, charter: Bytes) -> StatusCode {
    let request = Request::put("/api/charters").header("content-type", "application/cbor");
    s.ask(request.body(charter.into()).unwrap()).await.status
}

#[tokio::test]
async fn only_listed_keys_are_admitted_unless_the_event_is_open() {
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..5)).await;
    let closed = next_version(|c| {
        c.open = false;
        c.officials.clear();
    });
    assert_eq!(put_charter(&s, closed.clone()).await, StatusCode::OK);
    assert_eq!(
        put_charter(&s, closed).await,
        StatusCode::OK,
        "again changes nothing"
    );
    let got = s.put(name(r), part(r, 5..6)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::FORBIDDEN, "unlisted-key")
    );
    assert_eq!(got.receipt().next, 5, "what was taken in stays");
    let other = record(1);
    let got = s.put(name(other), part(other, 0..5)).await;
    assert_eq!(got.status, StatusCode::FORBIDDEN);
    // A charter that is not served here.
    let elsewhere = service_with(Arc::default(), &[], limits()).await;
    let got = elsewhere.put(name(r), part(r, 0..5)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::FORBIDDEN, "other-event")
    );
}

#[tokio::test]
async fn a_charter_is_replaced_by_its_organiser_only() {
    let s = service().await;
    let stranger = engine::log::SecretKey::from_random(&[7; 32]);
    let mut charter = day().charter.charter().clone();
    charter.version = 2;
    charter.supersedes = Some(day().charter.hash());
    charter.organiser.key = stranger.public();
    let forged = charter.draft().unwrap().sign(&stranger).unwrap();
    let forged = Bytes::copy_from_slice(forged.bytes());
    assert_eq!(
        put_charter(&s, forged).await,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let another = changed(|c| c.event = "Another day".into());
    assert_eq!(
        put_charter(&s, another).await,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        put_charter(&s, Bytes::from_static(b"<html>")).await,
        StatusCode::UNPROCESSABLE_ENTITY
    );
}

#[tokio::test]
async fn where_names_are_kept_short_nothing_public_has_one() {
    for (privacy, word) in [(Privacy::Initials, "."), (Privacy::Numbers, "Number ")] {
        let s = service().await;
        s.fill().await;
        assert_eq!(
            put_charter(&s, next_version(|c| c.privacy = privacy)).await,
            StatusCode::OK
        );
        let event = s.collector.events().ids().next().unwrap();
        let game = record(0).chain().game();
        let mut paths = vec![
            "/results".into(),
            format!("/results/{event}"),
            format!("/results/{event}/games/{game}"),
            format!("/results/{event}/games/{game}/sheet"),
            format!("/api/games/{game}"),
            format!("/api/games/{game}/report.json"),
            "/api/events".into(),
            "/api/metrics".into(),
        ];
        for file in [
            "event.json",
            "games.json",
            "games.csv",
            "standings.json",
            "standings-1.csv",
            "standings-2.csv",
            "schedule.json",
            "schedule.csv",
            "schedule.ics",
            "leaders.json",
            "leaders.csv",
        ] {
            paths.push(format!("/api/events/{event}/{file}"));
        }
        let players = day().charter.charter().teams.iter().flat_map(|t| &t.roster);
        let names: Vec<&str> = players.map(|p| p.name.as_str()).collect();
        for path in paths {
            let got = s.get(&path).await;
            assert_eq!(got.status, StatusCode::OK, "{path}");
            let text = got.text();
            for name in &names {
                assert!(!text.contains(name), "{name} in {path}");
            }
            if path.ends_with(&game.to_string()) && path.starts_with("/results") {
                assert!(text.contains(word), "{path}");
            }
        }
        // Logs and charters hold them in full: for the officials only.
        let n = name(record(0));
        let charter = format!("/api/charters/{}", day().charter.hash());
        for path in [n.path(), charter] {
            assert_eq!(
                s.get(&path).await.status,
                StatusCode::UNAUTHORIZED,
                "{path}"
            );
            let now = std::time::SystemTime::now()
                .duration_since(std::time::UNIX_EPOCH)
                .unwrap()
                .as_secs();
            for (key, expected) in [
                (demoday::key(1, 2), StatusCode::OK),
                (day().organiser.clone(), StatusCode::OK),
                (
                    engine::log::SecretKey::from_random(&[7; 32]),
                    StatusCode::UNAUTHORIZED,
                ),
            ] {
                let signature = key.sign(&ReadPass::to_be_signed(&path, now));
                let pass = ReadPass::new(key.public(), now, signature);
                let request = Request::get(&path).header("authorization", pass.header());
                let got = s.ask(request.body(Body::empty()).unwrap()).await;
                assert_eq!(got.status, expected, "{path}");
            }
        }
    }
}

#[tokio::test]
async fn bounds_hold_and_are_said() {
    let r = record(0);
    let charter = || Bytes::copy_from_slice(day().charter.bytes());
    let tight = Limits {
        body: 2048,
        games: 1,
        ..limits()
    };
    let s = service_with(Arc::default(), &[charter()], tight).await;
    let got = s.put(name(r), r.chain().to_bytes()).await;
    assert_eq!(got.status, StatusCode::PAYLOAD_TOO_LARGE);
    let got = s.put(name(r), part(r, 0..1)).await;
    assert_eq!(got.status, StatusCode::OK);
    let other = record(1);
    let got = s.put(name(other), part(other, 0..1)).await;
    assert_eq!(
        (got.status, got.refusal().as_str()),
        (StatusCode::UNPROCESSABLE_ENTITY, "full")
    );
    let request = Request::put(name(r).path())
        .body(Body::from(part(r, 1..2)))
        .unwrap();
    assert_eq!(
        s.ask(request).await.status,
        StatusCode::UNSUPPORTED_MEDIA_TYPE
    );
}

#[tokio::test]
async fn pages_of_other_addresses_may_write_only_where_allowed() {
    let s = service().await;
    let r = record(0);
    let put = |origin: &str| {
        let request = Request::put(name(r).path())
            .header("content-type", "application/cbor-seq")
            .header("host", "collector.example")
            .header("origin", origin);
        request.body(Body::from(part(r, 0..2))).unwrap()
    };
    let got = s.ask(put("https://elsewhere.example")).await;
    assert_eq!(got.status, StatusCode::FORBIDDEN);
    assert!(!got.headers.contains_key("access-control-allow-origin"));
    let got = s.ask(put("https://app.example")).await;
    assert_eq!(got.status, StatusCode::OK);
    assert_eq!(
        got.headers["access-control-allow-origin"],
        "https://app.example"
    );
    let got = s.ask(put("https://collector.example")).await;
    assert_eq!(got.status, StatusCode::OK);
    let ask = |origin: &str| {
        let request = Request::options(name(r).path()).header("origin", origin);
        request.body(Body::empty()).unwrap()
    };
    let got = s.ask(ask("https://app.example")).await;
    assert_eq!(got.status, StatusCode::NO_CONTENT);
    assert_eq!(got.headers["access-control-allow-methods"], "GET, PUT");
    assert_eq!(
        s.ask(ask("https://elsewhere.example")).await.status,
        StatusCode::FORBIDDEN
    );
    assert!(Gate::new(s.collector.clone(), &["app.example".into()], false).is_err());
}

#[tokio::test]
async fn objects_damaged_or_put_there_by_others_are_not_shown() {
    use futures_util::TryStreamExt as _;
    use object_store::{ObjectStore as _, ObjectStoreExt as _, path::Path};
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

#[tokio::test]
async fn live_scoreboards_hear_of_a_play_and_end_with_the_service() {
    let s = service().await;
    let r = record(0);
    s.put(name(r), part(r, 0..1)).await;
    let event = s.collector.events().ids().next().unwrap();
    let request = Request::get(format!("/api/events/{event}/live"))
        .body(Body::empty())
        .unwrap();
    let answer = s.router.clone().oneshot(request).await.unwrap();
    assert_eq!(answer.headers()["content-type"], "text/event-stream");
    let mut body = answer.into_body();
    let mut heard = String::new();
    while heard.matches("event: game").count() < 1 {
        let frame = body.frame().await.unwrap().unwrap().into_data().unwrap();
        heard.push_str(std::str::from_utf8(&frame).unwrap());
    }
    s.put(name(r), part(r, 1..9)).await;
    while heard.matches("event: game").count() < 2 {
        let frame = body.frame().await.unwrap().unwrap().into_data().unwrap();
        heard.push_str(std::str::from_utf8(&frame).unwrap());
    }
    assert!(heard.contains(&name(r).game.to_string()));
    s.collector.stop();
    assert!(body.frame().await.is_none());
    assert_eq!(
        s.collector
            .metrics
            .live
            .load(std::sync::atomic::Ordering::Relaxed),
        0
    );
}

#[tokio::test]
async fn results_are_those_of_the_engine() {
    let s = service().await;
    s.fill().await;
    let event = s.collector.events().ids().next().unwrap();
    let reports: Vec<_> = day()
        .games
        .iter()
        .map(|g| demoday::report(g, day().charter.charter()).unwrap())
        .collect();
    let plain: Vec<_> = reports.iter().collect();
    let expected = engine::competition::day::EventReport::of(day().charter.charter(), &plain);
    let (schedule, results) = (expected.schedule().unwrap(), expected.results().unwrap());
    for (n, table) in (1..).zip(results.tables()) {
        let got = s
            .get(&format!("/api/events/{event}/standings-{n}.csv"))
            .await;
        assert_eq!(
            got.text(),
            engine::competition::csv::standings(&table.table, schedule.entrants())
        );
    }
    let got = s.get(&format!("/api/events/{event}/schedule.csv")).await;
    assert_eq!(
        got.text(),
        engine::competition::csv::schedule(schedule, Some(results.progress()))
    );
    let calendar = s
        .get(&format!("/api/events/{event}/schedule.ics"))
        .await
        .text();
    assert_eq!(calendar.matches("BEGIN:VEVENT").count(), 16);
    // The first game of the day begins at nine on a wall two hours ahead.
    assert!(calendar.contains("DTSTART:20260613T070000Z"));
    let page = s.get(&format!("/results/{event}")).await;
    assert!(
        page.headers["content-security-policy"]
            .to_str()
            .unwrap()
            .starts_with("default-src 'none'")
    );
    let first = results.podium()[0].unwrap();
    let text = page.text();
    assert!(text.contains(&format!("<li>{}</li>", schedule.entrants().name(first))));
    for word in [
        "tampered",
        "disputed",
        "single record",
        "agreed and co-signed",
    ] {
        assert!(text.contains(word), "{word}");
    }
}

#[tokio::test]
async fn too_many_requests_are_told_when_to_come_back() {
    let charter = Bytes::copy_from_slice(day().charter.bytes());
    let tight = Limits {
        requests_per_minute: 2,
        ..limits()
    };
    let store = Store::of(Arc::new(InMemory::new()));
    let collector = Collector::open(store, &[charter], false, tight)
        .await
        .unwrap();
    let gate = Gate::new(collector, &[], true).unwrap();
    let router = router(gate, None).unwrap();
    let ask = |sender: &str| {
        let request =
            Request::get("/api/events").header("x-forwarded-for", format!("203.0.113.9, {sender}"));
        router.clone().oneshot(request.body(Body::empty()).unwrap())
    };
    for _ in 0..2 {
        assert_eq!(ask("192.0.2.1").await.unwrap().status(), StatusCode::OK);
    }
    let busy = ask("192.0.2.1").await.unwrap();
    assert_eq!(busy.status(), StatusCode::TOO_MANY_REQUESTS);
    assert!(busy.headers().contains_key("retry-after"));
    assert_eq!(ask("192.0.2.2").await.unwrap().status(), StatusCode::OK);
}

/// A log of one decision about a game: the umpire's record stands.
fn decided(game: usize, key: &SecretKey, reason: &str) -> GameRecord {
    let records = &day().games[game].records;
    let opening = Opening {
        setup: records[0].opening().setup.clone(),
        author: Author {
            key: key.public(),
            name: "Harbour master".into(),
            role: Role::Organiser,
        },
    };
    let draft = GameRecord::draft_opening(opening, 1).unwrap();
    let mut log = GameRecord::open(draft.sign(key).unwrap()).unwrap();
    let seen = |r: &GameRecord| Considered {
        author: name(r).author,
        head: r.head(),
    };
    let decision = Says::Decision(Decision {
        considered: records.iter().map(seen).collect(),
        decided: Decided::Stands {
            author: name(&records[0]).author,
        },
        reason: reason.into(),
    });
    let entry = log.draft(decision, 2).unwrap().sign(key).unwrap();
    log.push(entry).unwrap();
    log
}

#[tokio::test]
async fn the_organisers_decision_is_taken_in_and_shown_a_strangers_has_no_effect() {
    let s = service().await;
    s.fill().await;
    let event = s.collector.events().ids().next().unwrap();
    let at = day()
        .games
        .iter()
        .position(|g| g.story == demoday::Story::LeftOpen)
        .unwrap();
    let game = name(record(at)).game;
    let shown = async || {
        let games = s.get(&format!("/api/events/{event}/games.json")).await;
        let all: serde_json::Value = serde_json::from_slice(&games.body).unwrap();
        let list = all["games"].as_array().unwrap();
        let id = game.to_string();
        list.iter()
            .find(|g| g["game"] == id.as_str())
            .cloned()
            .unwrap()
    };
    // The demo event is open: anyone may keep a log, nobody else may decide.
    let stranger = SecretKey::from_random(&[77; 32]);
    s.put_record(&decided(at, &stranger, "Because.")).await;
    assert_eq!(shown().await["state"], "disputed");
    s.put_record(&decided(at, &day().organiser, "Both were <heard>."))
        .await;
    let now = shown().await;
    assert_eq!(now["state"], "decided by the organiser");
    assert_eq!(
        now["decided"],
        "Decided by the organiser: the umpire's record stands."
    );
    assert_eq!(now["decided_because"], "Both were <heard>.");
    let csv = s
        .get(&format!("/api/events/{event}/games.csv"))
        .await
        .text();
    assert!(
        csv.lines()
            .next()
            .unwrap()
            .ends_with(",counts,decided,decided_because")
    );
    let page = s
        .get(&format!("/results/{event}/games/{game}"))
        .await
        .text();
    assert!(page.contains("<p>Decided by the organiser: the umpire&#39;s record stands.</p>"));
    assert!(page.contains("<blockquote>Both were &lt;heard&gt;.</blockquote>"));
    assert!(page.contains("By itself the record is disputed."));
    // The event is open; who kept a record with another key is said all the same.
    assert!(!page.contains("Against the charter"));
    let opening = record(at).opening();
    let stranger = SecretKey::from_random(&[78; 32]);
    let author = Author {
        key: stranger.public(),
        name: "Someone Named".into(),
        role: Role::Other,
    };
    let opening = Opening {
        setup: opening.setup.clone(),
        author,
    };
    let draft = GameRecord::draft_opening(opening, 1).unwrap();
    s.put_record(&GameRecord::open(draft.sign(&stranger).unwrap()).unwrap())
        .await;
    let page = s
        .get(&format!("/results/{event}/games/{game}"))
        .await
        .text();
    assert!(page.contains("<p>Against the charter:</p><ul><li>A record was kept with a key"));
    assert!(!page.contains("Someone Named"));
}
