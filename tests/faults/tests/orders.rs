//! What whoever runs the service orders, on a bucket.
#![allow(clippy::unwrap_used)]

use std::time::Duration;

use demoday::Official;
use engine::log::Setup;
use faults::phone::small_game;
use faults::service::{Plan, free_port, s3};
use faults::wire;

const PROGRAM: &str = env!("CARGO_BIN_EXE_faults");

/// Objects in a folder and below it whose names have this in them.
fn objects(folder: &std::path::Path, part: &str) -> usize {
    let entries = std::fs::read_dir(folder).unwrap().map(Result::unwrap);
    let of = |entry: std::fs::DirEntry| {
        let path = entry.path();
        match path.is_dir() {
            true => objects(&path, part),
            false => usize::from(path.to_string_lossy().contains(part)),
        }
    };
    entries.map(of).sum()
}

#[tokio::test(flavor = "multi_thread")]
async fn an_erased_game_is_gone_from_a_bucket_and_from_every_collector_on_it() {
    let place = tempfile::tempdir().unwrap();
    let day = demoday::play_day(1).unwrap();
    let charter = place.path().join("charter");
    std::fs::write(&charter, day.charter.bytes()).unwrap();
    let kept = place.path().join("kept");
    let mut plan = Plan {
        program: PROGRAM.to_owned(),
        port: free_port().await.unwrap(),
        storage: "s3://event/day".to_owned(),
        charter: charter.display().to_string(),
        environment: s3(&kept).await.unwrap().0,
        more: Vec::new(),
    };
    let template = day.games[0].records[0].opening();
    let setup = Setup {
        fixture_number: None,
        ..template.setup.clone()
    };
    let official = Official {
        author: template.author.clone(),
        pen: demoday::key(1, 1),
    };
    let games = [1, 2].map(|n| small_game(&setup, &official, n, 3).unwrap());
    let [erased, other] = games.each_ref().map(|g| g.chain().name());
    let first = plan.start().await.unwrap();
    let put = async |port, game: &engine::log::GameRecord| {
        let body = game.chain().to_bytes();
        let path = game.chain().name().path();
        let request = wire::request("PUT", &path, "application/cbor-seq", &body);
        let answer = wire::exchange(port, &request).await.unwrap();
        wire::answer(&answer).unwrap().status
    };
    for game in &games {
        assert_eq!(put(plan.port, game).await, 200);
    }
    let folder = |game: engine::log::GameId| format!("/{game}/");
    assert_eq!(objects(&kept, &folder(erased.game)), 1);
    let game = erased.game.to_string();
    plan.order(&["erase", "game", &game, "--yes"])
        .await
        .unwrap();
    assert_eq!(objects(&kept, &folder(erased.game)), 0);
    assert_eq!(objects(&kept, &folder(other.game)), 1);
    let status = async |port, path: String| wire::get(port, &path).await.unwrap().status;
    // The one at work follows, and so does one that starts now.
    for _ in 0..100 {
        if status(plan.port, erased.path()).await == 410 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let before = plan.port;
    plan.port = free_port().await.unwrap();
    let second = plan.start().await.unwrap();
    for port in [before, plan.port] {
        assert_eq!(status(port, erased.path()).await, 410);
        assert_eq!(status(port, other.path()).await, 200);
        assert_eq!(put(port, &games[0]).await, 410);
    }
    assert_eq!(objects(&kept, &folder(erased.game)), 0);
    // Taken back, a phone that has it brings it again.
    plan.order(&["erase", "game", &game, "--lift"])
        .await
        .unwrap();
    first.kill().await.unwrap();
    second.kill().await.unwrap();
    let third = plan.start().await.unwrap();
    assert_eq!(put(plan.port, &games[0]).await, 200);
    third.kill().await.unwrap();
}
