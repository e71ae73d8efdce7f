//! Results, live scoreboards and decisions.

use super::admission::opened;
use super::*;
use axum::http::header;
use engine::log::LogFile;
use engine::report::GameReport;
use engine::team::Side;

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
    let expected = engine::report::EventReport::of(day().charter.charter(), &plain);
    let (schedule, results) = (expected.schedule().unwrap(), expected.results().unwrap());
    for (n, table) in (1..).zip(results.tables()) {
        let got = s
            .get(&format!("/api/events/{event}/standings-{n}.csv"))
            .await;
        assert_eq!(
            got.text(),
            engine::report::csv::standings(&table.table, schedule.entrants())
        );
    }
    let got = s.get(&format!("/api/events/{event}/schedule.csv")).await;
    assert_eq!(
        got.text(),
        engine::report::csv::schedule(schedule, Some(results.progress()))
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
    let winner = format!("<h2>Winner: {}</h2>", schedule.entrants().name(first));
    assert!(text.contains(&winner));
    // Fair words, and none of a game whose records tell the same.
    for word in [
        "One official&#39;s record was altered; the umpire&#39;s record is shown",
        "The records differ; the umpire&#39;s record is shown",
        "One official&#39;s record",
    ] {
        assert!(
            text.contains(word) || text.contains(&word.replace("&#39;", "'")),
            "{word}"
        );
    }
    for word in ["ampered", "ncomplete", "co-signed", "<script>"] {
        assert!(!text.contains(word), "{word}");
    }
    // Newest first: the final before any game of a pool.
    let rows = text.split("id=\"games\"").nth(1).unwrap();
    assert!(rows.find("Final").unwrap() < rows.find("Pool A").unwrap());
}

/// The cells of a side's row in the line score of a page: an inning each, runs, hits, errors.
fn line_of(page: &str, side: Side) -> Vec<String> {
    let table = page.split("<table class=\"line\">").nth(1).unwrap();
    let rows: Vec<&str> = table.split("<tr>").skip(2).collect();
    let cells = rows[usize::from(side == Side::Home)].split("<td").skip(1);
    let text = |cell: &str| {
        let inner = cell.split_once('>').unwrap().1;
        let inner = inner.split("</td>").next().unwrap();
        inner.replace("<b>", "").replace("</b>", "")
    };
    cells.map(text).collect()
}

/// That a cross stands for a half-inning that the home side had no need to bat is common practice of
/// score books, no source.
#[tokio::test]
async fn a_game_under_way_is_being_played_and_no_inning_is_crossed_out_before_its_time() {
    let s = service().await;
    let event = s.collector.events().ids().next().unwrap();
    // One that ends without the home side's last turn.
    let last = |r: &GameReport| r.line.runs_in(r.line.innings(), Side::Home).is_none();
    let whole = |r: &GameReport| r.ending.is_some() && r.line.innings() > 2 && last(r);
    let mut games = day().games.iter();
    let game =
        games.find(|g| demoday::report(g, day().charter.charter()).is_some_and(|r| whole(&r)));
    let r = &game.unwrap().records[0];
    let name = name(r);
    let at_top_of_2nd = |n: &usize| {
        let file = LogFile::read(&part(r, 0..*n));
        let so_far = GameRecord::replay(file.chains.into_iter().next().unwrap()).unwrap();
        let game = so_far.history().game().clone();
        (game.inning(), game.at_bat(), game.outs()) == (2, Side::Guest, 1)
    };
    let begun = (2..r.chain().entries().len()).find(at_top_of_2nd).unwrap();

    s.put(name, part(r, 0..begun)).await;
    let page = s.get(&format!("/results/{event}")).await.text();
    assert!(page.contains("<h2>Being played</h2>"), "{page}");
    assert!(!page.contains("ncomplete"), "{page}");
    let path = format!("/results/{event}/games/{}", name.game);
    for path in [path.clone(), format!("{path}/sheet")] {
        let page = s.get(&path).await.text();
        assert!(page.contains("Top of 2nd, 1 out"), "{page}");
        assert!(!page.contains("ncomplete"), "{page}");
        let (guest, home) = (line_of(&page, Side::Guest), line_of(&page, Side::Home));
        assert_eq!((guest.len(), home.len()), (5, 5), "two innings are begun");
        assert!(guest[1].parse::<u16>().is_ok(), "{guest:?}");
        assert_eq!(home[1], "", "it has not batted yet");
    }
    let csv = s.get(&format!("/api/events/{event}/games.csv")).await;
    assert!(csv.text().contains(",being played,"), "{}", csv.text());

    s.put_record(r).await;
    let page = s.get(&path).await.text();
    let home = line_of(&page, Side::Home);
    assert_eq!(home[home.len() - 4], "x", "{home:?}");
    let page = s.get(&format!("/results/{event}")).await.text();
    assert!(!page.contains("<h2>Being played</h2>"), "{page}");
}

/// A log of one decision about a game: the umpire's record stands.
fn decided(game: usize, key: &SecretKey, reason: &str) -> GameRecord {
    let records = &day().games[game].records;
    let opening = Opening::new(
        records[0].opening().setup.clone(),
        Author::new(key.public(), "Harbour master", Role::Organiser),
    );
    let draft = GameRecord::draft_opening(opening, 1).unwrap();
    let mut log = GameRecord::open(draft.sign(key).unwrap()).unwrap();
    let seen = |r: &GameRecord| ConsideredLog {
        author: name(r).author,
        head: r.head(),
    };
    let decision = Says::Decision(Decision {
        considered: records.iter().map(seen).collect(),
        decided: Disposition::Stands {
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
    assert!(page.contains("<p>Decided by the organiser: the umpire's record stands.</p>"));
    assert!(page.contains("<blockquote>Both were &lt;heard&gt;.</blockquote>"));
    assert!(page.contains("Without the decision: disputed."));
    // The event is open; who kept a record with another key is said all the same.
    assert!(!page.contains("Against the charter"));
    let opening = record(at).opening();
    let stranger = SecretKey::from_random(&[78; 32]);
    let author = Author::new(stranger.public(), "Someone Named", Role::Other);
    let opening = Opening::new(opening.setup.clone(), author);
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

/// A calendar keeps an event with a lower `SEQUENCE` or an earlier `DTSTAMP` for an
/// old one (RFC 5546 2.1.5): when a result names a side, both must follow.
#[tokio::test]
async fn the_calendar_is_a_new_revision_when_results_name_a_side() {
    let s = service().await;
    let event = s.collector.events().ids().next().unwrap();
    let path = format!("/api/events/{event}/schedule.ics");
    let head = |text: &str| {
        let line = |name: &str| {
            let found = text.lines().find_map(|l| l.strip_prefix(name));
            found.unwrap().to_owned()
        };
        let sequence: u32 = line("SEQUENCE:").parse().unwrap();
        (sequence, line("DTSTAMP:"))
    };
    let sides = |text: &str| -> Vec<String> {
        let lines = text.lines().filter(|l| l.starts_with("SUMMARY:"));
        lines.map(str::to_owned).collect()
    };
    let before = s.get(&path).await.text();
    assert_eq!(head(&before).0, 0);
    s.fill().await;
    let after = s.get(&path).await.text();
    assert_ne!(sides(&before), sides(&after), "the bracket fills");
    let (old, new) = (head(&before), head(&after));
    assert!(new.0 > old.0 && new.1 > old.1, "{old:?} {new:?}");
    assert_eq!(s.get(&path).await.text(), after, "nothing new, no revision");
}

#[tokio::test]
async fn what_a_reader_has_already_is_not_sent_again() {
    let s = service().await;
    s.put_record(record(0)).await;
    let event = s.collector.events().ids().next().unwrap();
    for path in [
        format!("/api/events/{event}/games.json"),
        format!("/results/{event}"),
    ] {
        let first = s.get(&path).await;
        let tag = first.headers[header::ETAG].clone();
        let again = Request::get(&path).header("if-none-match", tag.clone());
        let again = again.body(Body::empty()).unwrap();
        let same = s.ask(again).await;
        assert_eq!(
            (same.status, same.body.len()),
            (StatusCode::NOT_MODIFIED, 0)
        );
        assert_eq!(same.headers[header::ETAG], tag);
    }
    let path = format!("/api/events/{event}/games.json");
    let tag = s.get(&path).await.headers[header::ETAG].clone();
    s.put_record(record(1)).await;
    let changed = Request::get(&path).header("if-none-match", tag);
    let changed = s.ask(changed.body(Body::empty()).unwrap()).await;
    assert_eq!(changed.status, StatusCode::OK);
    // Compressed for whoever can read that, under the same tag.
    for (asked, given) in [("br", "br"), ("gzip", "gzip"), ("identity", "")] {
        let request = Request::get(&path).header("accept-encoding", asked);
        let got = s.ask(request.body(Body::empty()).unwrap()).await;
        let coding = got.headers.get(header::CONTENT_ENCODING);
        assert_eq!(coding.map_or("", |c| c.to_str().unwrap()), given);
        let plain = s.get(&path).await;
        assert_eq!(got.headers[header::ETAG], plain.headers[header::ETAG]);
        assert_eq!(got.body.len() < plain.body.len(), !given.is_empty());
        let varies = got.headers.get_all(header::VARY).iter();
        let varies: Vec<_> = varies.map(|v| v.to_str().unwrap()).collect();
        assert!(varies.contains(&"origin"), "{varies:?}");
        assert!(varies.contains(&"accept-encoding"), "{varies:?}");
    }
    // A log is for officials, and read anew.
    let log = s.get(&format!("{}/head", name(record(0)).path())).await;
    assert!(!log.headers.contains_key(header::ETAG));
}

/// A report of what hurt somebody is for the officials: no page and no file of
/// the results has a word of it, and the log that it stands in is given to nobody
/// else. Everything else stays public, the same log before the report too.
#[tokio::test]
async fn only_officials_read_an_incident() {
    let s = service().await;
    s.fill().await;
    let event = s.collector.events().ids().next().unwrap();
    let mut told = record(0).clone();
    let keys = (0..=u8::MAX).map(|n| demoday::key(1, n));
    let key = keys
        .into_iter()
        .find(|k| k.public() == *told.key())
        .unwrap();
    let incident = Says::Incident(engine::log::Incident {
        half: None,
        player: None,
        other: "marker-who".into(),
        what: "marker-what".into(),
        witness: "marker-saw".into(),
        first_aid: "marker-aid".into(),
        stopped_min: 6,
    });
    let last = told.chain().entries().last().unwrap().payload().claimed_ms;
    let entry = told.draft(incident, last).unwrap().sign(&key).unwrap();
    told.push(entry).unwrap();
    s.put_record(record(0)).await;
    let path = name(&told).path();
    assert_eq!(s.get(&path).await.status, StatusCode::OK);
    s.put_record(&told).await;

    let game = name(&told).game;
    let view = s.collector.view(event).await.unwrap();
    let names = view.published(|p| p.names());
    assert!(names.len() > 5, "{names:?}");
    let files = names.iter().map(|n| format!("/api/events/{event}/{n}"));
    let pages = [
        "/results".into(),
        "/api/events".into(),
        format!("/api/events/{event}/event.json"),
        format!("/api/games/{game}"),
        format!("/api/games/{game}/report.json"),
        format!("/results/{event}"),
        format!("/results/{event}/games/{game}"),
        format!("/results/{event}/games/{game}/sheet"),
    ];
    for page in pages.into_iter().chain(files) {
        let got = s.get(&page).await;
        assert_eq!(got.status, StatusCode::OK, "{page}");
        let body = String::from_utf8_lossy(&got.body).into_owned();
        assert!(!body.contains("marker-"), "{page}");
    }
    let refused = s.get(&path).await;
    assert_eq!(refused.status, StatusCode::UNAUTHORIZED);
    assert!(
        refused.text().contains("the report of an incident"),
        "{}",
        refused.text()
    );
    // What is asked for from the middle on is no way round it.
    let part = s.get(&format!("{path}?from=1")).await;
    assert_eq!(part.status, StatusCode::UNAUTHORIZED);
    // The other official's log of the game has no report: it stays public.
    let other = &day().games[0].records[1];
    assert_eq!(s.get(&name(other).path()).await.status, StatusCode::OK);

    // Whoever opens a log of the game in this open event is no official by it.
    let stranger = SecretKey::from_random(&[71; 32]);
    s.put_record(&opened(0, &stranger, None)).await;
    let here = "https://scores.example";
    let _ = s.collector.called.set(vec![here.into()]);
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let now = now.unwrap().as_secs();
    for (reader, may) in [(&key, true), (&day().organiser, true), (&stranger, false)] {
        let signed = ReadPass::to_be_signed(here, &path, now);
        let pass = ReadPass::new(reader.public(), now, reader.sign(&signed));
        let request = Request::get(&path)
            .header("authorization", pass.header())
            .header("host", "scores.example");
        let got = s.ask(request.body(Body::empty()).unwrap()).await;
        let expected = if may {
            StatusCode::OK
        } else {
            StatusCode::UNAUTHORIZED
        };
        assert_eq!(got.status, expected);
        if may {
            // Byte for byte, so that the chain can be checked.
            assert_eq!(got.body, told.chain().to_bytes());
        }
    }
}
