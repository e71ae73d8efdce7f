//! Bad input at every endpoint: never a 5xx, never a connection without an
//! answer, and good input is still taken afterwards.
#![allow(clippy::unwrap_used)]

use fastrand::Rng;
use faults::service::{Plan, free_port};
use faults::wire;

#[tokio::test(flavor = "multi_thread")]
async fn nothing_sent_brings_it_down() {
    let place = tempfile::tempdir().unwrap();
    let day = demoday::play_day(1).unwrap();
    let program = env!("CARGO_BIN_EXE_faults");
    let port = free_port().await.unwrap();
    let plan = Plan::on_folder(program, place.path(), day.charter.bytes(), port).unwrap();
    let service = plan.start().await.unwrap();
    let record = &day.games[0].records[0];
    let good = record.chain().to_bytes();
    let name = record.chain().name();
    let event = day.charter.hash();
    let log = name.path();
    let files = [
        "event.json",
        "games.json",
        "games.csv",
        "standings.json",
        "standings-1.csv",
        "schedule.json",
        "schedule.csv",
        "schedule.ics",
        "leaders.json",
        "leaders.csv",
        "live",
    ];
    let mut paths = vec![
        log.clone(),
        format!("{log}/head"),
        format!("{log}?from=99999999999999999999"),
        format!("{log}?from=-1&from=%00"),
        "/api/logs/0/0".to_owned(),
        format!("/api/games/{}", name.game),
        format!("/api/games/{}/report.json", name.game),
        format!("/api/charters/{event}"),
        format!("/api/charters/{event}/head"),
        format!("/api/charters/{event}/all"),
        "/api/events".to_owned(),
        format!("/api/events/{event}/standings.json"),
        format!("/api/events/{event}/standings-0.csv"),
        format!("/api/events/{event}/standings-99999999999999999999.csv"),
        "/api/events/open/schedule.ics".to_owned(),
        "/api/health".to_owned(),
        "/api/metrics".to_owned(),
        "/api/nothing/here".to_owned(),
        "/results".to_owned(),
        "/results/look.css".to_owned(),
        "/results/live.js".to_owned(),
        format!("/results/{event}"),
        format!("/results/{event}/games/{}", name.game),
        format!("/results/{event}/games/{}/sheet", name.game),
        "/results/%00/games/%ff".to_owned(),
        "/".to_owned(),
        "//".to_owned(),
    ];
    paths.extend(files.map(|file| format!("/api/events/{event}/{file}")));
    let mut rng = Rng::with_seed(3);
    let mut settled = None;
    let mut asked = 0;
    for round in 0..120 {
        if round == 30 {
            // By now every path has been taken often enough for its tables to be there.
            settled = service.memory();
        }
        for path in &paths {
            let mut path = path.clone();
            if round % 3 == 2 {
                // A part of the path replaced or cut.
                let at = rng.usize(..path.len()).max(1);
                path.truncate(at);
                path.push_str(["%2e%2e", "zz", "%ff", "?", "", "ÿ"][rng.usize(..6)]);
            }
            let method =
                ["GET", "PUT", "PUT", "POST", "DELETE", "OPTIONS", "PATCH"][rng.usize(..7)];
            let kind = [
                "application/cbor-seq",
                "application/cbor",
                "text/html",
                "",
                "\u{1}",
            ][rng.usize(..4)];
            let body = match rng.usize(..6) {
                0 => Vec::new(),
                1 => (0..rng.usize(..300)).map(|_| rng.u64(..) as u8).collect(),
                // Deep nesting and lengths that promise too much.
                2 => vec![0x81; 20_000],
                3 => vec![0x9b, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff],
                4 => {
                    let mut changed = good.clone();
                    for _ in 0..=rng.usize(..4) {
                        let at = rng.usize(..changed.len());
                        changed[at] ^= 1 << rng.usize(..8);
                    }
                    changed
                }
                _ => good[..rng.usize(..good.len())].to_vec(),
            };
            // The answer with live scoreboards never ends; it is asked for below.
            if path.ends_with("/live") && method == "GET" {
                continue;
            }
            let bytes = wire::request(method, &path, kind, &body);
            let answer = wire::exchange(plan.port, &bytes).await.unwrap();
            let status = String::from_utf8_lossy(&answer[..answer.len().min(12)]).into_owned();
            assert!(
                status.starts_with("HTTP/1.1 "),
                "{method} {path}: {status:?}"
            );
            assert!(
                !status.starts_with("HTTP/1.1 5"),
                "{method} {path}: {status}"
            );
            asked += 1;
        }
    }
    assert!(asked > 4_000);
    if let (Some(before), Some(after)) = (settled, service.memory()) {
        println!("{asked} requests; memory {before} kB, then {after} kB");
        assert!(
            after < before + 8 * 1024,
            "it grew from {before} to {after} kB"
        );
    }
    // Live scoreboards, left by their readers in the middle.
    for _ in 0..300 {
        let ask = wire::request("GET", &format!("/api/events/{event}/live"), "", b"");
        let asked = wire::exchange(plan.port, &ask);
        let left = tokio::time::timeout(std::time::Duration::from_millis(2), asked).await;
        assert!(left.is_err() || left.is_ok_and(|a| a.is_ok()));
    }
    assert_eq!(
        wire::get(plan.port, "/api/health").await.unwrap().status,
        200
    );
    // Not even HTTP.
    for junk in [
        &b"\x16\x03\x01\x02\x00"[..],
        b"GET\r\n\r\n",
        b"PUT / HTTP/1.1\r\ncontent-length: x\r\n\r\n",
    ] {
        let answer = wire::exchange(plan.port, junk).await.unwrap_or_default();
        assert!(!answer.starts_with(b"HTTP/1.1 5"));
    }
    let put = wire::request("PUT", &log, "application/cbor-seq", &good);
    let taken = wire::answer(&wire::exchange(plan.port, &put).await.unwrap()).unwrap();
    assert_eq!(taken.status, 200);
    let shown = wire::get(plan.port, &log).await.unwrap();
    assert_eq!(shown.body, good);
    service.kill().await.unwrap();
}
