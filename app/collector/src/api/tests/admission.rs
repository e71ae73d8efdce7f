//! Who may write and read, and how much.

use super::*;

/// The demo charter changed and signed again by its organiser.
pub(super) fn changed(change: impl FnOnce(&mut Charter)) -> Bytes {
    let mut charter = day().charter.charter().clone();
    change(&mut charter);
    let signed = charter.draft().unwrap().sign(&day().organiser).unwrap();
    Bytes::copy_from_slice(signed.bytes())
}

pub(super) fn next_version(change: impl FnOnce(&mut Charter)) -> Bytes {
    changed(|c| {
        c.version = 2;
        c.supersedes = Some(day().charter.hash());
        change(c);
    })
}

pub(super) async fn put_charter(s: &Service, charter: Bytes) -> StatusCode {
    let read = SignedCharter::parse(&charter);
    let event = read.map_or(day().charter.hash(), |c| {
        c.charter().supersedes.unwrap_or(c.hash())
    });
    let request = Request::put(format!("/api/charters/{event}"))
        .header("content-type", "application/cbor-seq");
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
    // Nothing with a charter is served here.
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
    assert_eq!(put_charter(&s, another).await, StatusCode::FORBIDDEN);
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
                let here = "https://scores.example";
                let ask = async |signed_for: &str, host: &str| {
                    let signed = ReadPass::to_be_signed(signed_for, &path, now);
                    let pass = ReadPass::new(key.public(), now, key.sign(&signed));
                    let request = Request::get(&path)
                        .header("authorization", pass.header())
                        .header("host", host);
                    s.ask(request.body(Body::empty()).unwrap()).await.status
                };
                let _ = s.collector.called.set(vec![here.into()]);
                assert_eq!(ask(here, "scores.example").await, expected, "{path}");
                // Asked for by someone else, on the official's own machine too, and
                // asked again here, whatever he says.
                for other in ["https://hostile.example", "http://localhost:8505"] {
                    for host in ["scores.example", "hostile.example", "localhost:8505"] {
                        let status = ask(other, host).await;
                        assert_eq!(status, StatusCode::UNAUTHORIZED, "{path}");
                    }
                }
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
    let stranger = opened(1, &SecretKey::from_random(&[70; 32]), None);
    let got = s.put(name(&stranger), stranger.chain().to_bytes()).await;
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
    let origin = |got: &Got| got.headers.get("access-control-allow-origin").cloned();
    let got = s.ask(ask("https://app.example")).await;
    assert!(got.status.is_success());
    assert_eq!(origin(&got).unwrap(), "https://app.example");
    assert_eq!(got.headers["access-control-allow-methods"], "GET,PUT");
    let headers = &got.headers["access-control-allow-headers"];
    assert_eq!(headers, "content-type,authorization");
    assert!(!got.headers.contains_key("access-control-allow-credentials"));
    let got = s.ask(ask("https://elsewhere.example")).await;
    assert_eq!(origin(&got), None);
    // What they may read of an answer, and that it may be theirs at all.
    let read = Request::get("/api/events").header("origin", "https://app.example");
    let got = s.ask(read.body(Body::empty()).unwrap()).await;
    assert_eq!(
        got.headers["access-control-expose-headers"],
        "chalkbook-next,retry-after"
    );
    assert_eq!(got.headers["cross-origin-resource-policy"], "cross-origin");
    let varies = got.headers.get_all("vary").iter();
    assert!(
        varies
            .flat_map(|v| v.to_str())
            .any(|v| v.contains("origin"))
    );
    assert!(Gate::new(s.collector.clone(), &["app.example".into()], false).is_err());
}

#[tokio::test]
async fn too_many_requests_are_told_when_to_come_back() {
    let charter = day().charter.clone();
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

/// A log with nothing but its opening, of the game or, under another charter, of
/// one like it.
pub(super) fn opened(game: usize, key: &SecretKey, under: Option<Hash>) -> GameRecord {
    let mut setup = record(game).opening().setup.clone();
    setup.charter = under.or(setup.charter);
    let author = Author::new(key.public(), "Someone", Role::Umpire);
    let draft = GameRecord::draft_opening(Opening::new(setup, author), 1).unwrap();
    GameRecord::open(draft.sign(key).unwrap()).unwrap()
}

#[tokio::test]
async fn strangers_of_an_open_event_keep_nobody_out_whom_the_charter_lists() {
    let charter = || Bytes::copy_from_slice(day().charter.bytes());
    let strangers = (80..84).map(|n| SecretKey::from_random(&[n; 32]));
    let put = async |s: &Service, r: &GameRecord| {
        let got = s.put(name(r), r.chain().to_bytes()).await;
        let refusal = got.receipt().refusal;
        (got.status, refusal.map_or(String::new(), |r| r.sentence))
    };
    // Games, and logs of one game.
    let few = Limits {
        games: 1,
        logs_per_game: 2,
        ..limits()
    };
    let s = service_with(Arc::default(), &[charter()], few).await;
    let mut said = Vec::new();
    for key in strangers {
        said.push(put(&s, &opened(0, &key, None)).await.0);
    }
    assert_eq!(
        said,
        [
            StatusCode::OK,
            StatusCode::OK,
            StatusCode::UNPROCESSABLE_ENTITY,
            StatusCode::UNPROCESSABLE_ENTITY
        ]
    );
    let stranger = SecretKey::from_random(&[90; 32]);
    let (status, sentence) = put(&s, &opened(1, &stranger, None)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(sentence.ends_with("ask the organiser to add your key to the charter."));
    for at in [0, 1] {
        assert_eq!(put(&s, record(at)).await.0, StatusCode::OK);
    }
    // Bytes.
    let little = Limits {
        event_mib: 0,
        ..limits()
    };
    let s = service_with(Arc::default(), &[charter()], little).await;
    let (status, sentence) = put(&s, &opened(0, &stranger, None)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(sentence.contains("0 MiB of records are kept from everyone: ask the organiser"));
    assert_eq!(put(&s, record(0)).await.0, StatusCode::OK);
}

#[tokio::test]
async fn one_log_has_a_bound_in_bytes_whoever_keeps_it_and_what_was_found_counts() {
    let charter = || Bytes::copy_from_slice(day().charter.bytes());
    let r = record(0);
    let small = Limits {
        log_mib: 1,
        ..limits()
    };
    let s = service_with(Arc::default(), &[charter()], small).await;
    let key = demoday::key(1, 2);
    let mut log = opened(0, &key, None);
    // As long an entry as there is: a lot of every team that an event may have.
    let lot = Says::Draw(engine::log::Draw {
        order: vec!["n".repeat(120); engine::log::Draw::ORDER_LIMIT],
        note: String::new(),
        replaces: Vec::new(),
    });
    s.put(name(&log), part(&log, 0..1)).await;
    let mut refused = None;
    while refused.is_none() && log.next_seq() < 50 {
        let from = log.chain().entries().len();
        for _ in 0..10 {
            let entry = log.draft(lot.clone(), 2).unwrap().sign(&key).unwrap();
            log.push(entry).unwrap();
        }
        let got = s.put(name(&log), part(&log, from..from + 10)).await;
        refused = got.receipt().refusal;
        assert_eq!(refused.is_some(), got.receipt().next == from as u64);
    }
    // About 31 kB each, a little over thirty in a MiB.
    assert_eq!(log.chain().entries().len(), 41);
    let refused = refused.unwrap();
    assert_eq!(refused.name, "full");
    assert!(
        refused
            .sentence
            .starts_with("This record is full: at most 1 MiB")
    );
    assert_eq!(s.put(name(r), part(r, 0..2)).await.status, StatusCode::OK);
    let other = service_with(s.place.clone(), &[], small).await;
    let got = other.put(name(&log), part(&log, 31..41)).await;
    assert_eq!(got.refusal(), "full", "found again, it counts the same");
    assert_eq!(got.receipt().next, 31);
}

#[tokio::test]
async fn a_key_that_ended_reads_nothing_more_and_adds_nothing_to_what_stays_good() {
    let v1 = Bytes::copy_from_slice(day().charter.bytes());
    let s = service_with(Arc::default(), std::slice::from_ref(&v1), limits()).await;
    let r = record(0);
    assert_eq!(s.put(name(r), part(r, 0..5)).await.status, StatusCode::OK);
    let older = day().charter.charter();
    let key = r.chain().author();
    let keeper = older.endorsement(key).unwrap().clone();
    let mut next = Charter {
        version: 2,
        supersedes: Some(day().charter.hash()),
        privacy: Privacy::Numbers,
        ..older.clone()
    };
    next.officials.retain(|o| o.key != *key);
    next.ended = vec![engine::charter::EndedKey {
        author: keeper,
        good: vec![engine::charter::GoodPart {
            game: name(r).game,
            entries: 8,
            head: r.chain().at(7).unwrap().hash(),
        }],
    }];
    let next = next.draft().unwrap().sign(&day().organiser).unwrap();
    let v2 = Bytes::copy_from_slice(next.bytes());
    let s = service_with(s.place.clone(), &[v1, v2], limits()).await;
    // The event is open to anyone, but not to this key any more.
    let mut all = day().games.iter().flat_map(|g| &g.records);
    let other = all.find(|o| o.chain().author() != key).unwrap();
    let got = s.put(name(other), part(other, 0..2)).await;
    assert_eq!(got.status, StatusCode::OK);
    let _ = s
        .collector
        .called
        .set(vec!["https://scores.example".into()]);
    let secret = (1..10)
        .map(|n| demoday::key(1, n))
        .find(|k| k.public() == *key)
        .unwrap();
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let now = now.unwrap().as_secs();
    let path = name(r).path();
    let ask = async |secret: &engine::log::SecretKey| {
        let signed = ReadPass::to_be_signed("https://scores.example", &path, now);
        let pass = ReadPass::new(secret.public(), now, secret.sign(&signed));
        let request = Request::get(&path).header("authorization", pass.header());
        s.ask(request.body(Body::empty()).unwrap()).await.status
    };
    assert_eq!(ask(&day().organiser).await, StatusCode::OK);
    assert_eq!(ask(&secret).await, StatusCode::UNAUTHORIZED);
    // What is missing of the good part may still come, from any phone.
    assert_eq!(s.put(name(r), part(r, 5..8)).await.status, StatusCode::OK);
    let more = s.put(name(r), part(r, 8..9)).await;
    assert_eq!(
        (more.status, more.refusal()),
        (StatusCode::FORBIDDEN, "unlisted-key".to_owned())
    );
    assert_eq!(more.receipt().next, 8);
}
