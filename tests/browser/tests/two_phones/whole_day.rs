//! From the README's first command to the public results: two phones load the app from it, are without a
//! signal for a whole game, and deliver both records when the signal is back.

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, SMALL, TALL, WIDE, is, starts, with};
use engine::game::Change;
use engine::team::Side;
use serve::Server;
use xtask::place;

use super::official::join;
use super::{CAUGHT, HOME};

#[tokio::test(flavor = "multi_thread")]
async fn two_phones_without_signal_all_day_and_the_results_are_right() -> Result<()> {
    // What `cargo xtask serve` runs: the app, and a collector with the demo event.
    let kept = tempfile::tempdir()?;
    let server =
        tokio::task::block_in_place(|| Server::with_collector(&place::dist(), kept.path(), 0))?;
    let port = server.port();
    let url = format!("http://localhost:{port}/");
    let a = Phone::new("whole-day-a", SMALL).await?;
    let b = Phone::new("whole-day-b", TALL).await?;
    for phone in [&a, &b] {
        phone.open(&url).await?;
        phone.offline_ready().await?;
    }
    drop(server);

    let (mut a, mut b) = join(a, b).await?;
    let mut first = true;
    while a.game.ending().is_none() {
        let call = if first { HOME } else { CAUGHT };
        first = false;
        for official in [&mut a, &mut b] {
            let change = official.call(&call).await?;
            if change == Change::Sides && official.game.ending().is_none() {
                let game = official.phone.ready(official.game.clone()).await?;
                official.game = game;
            }
        }
    }
    let score = [Side::Guest, Side::Home].map(|side| a.game.score()[side]);
    ensure!(score == [1, 0], "{score:?}");
    for official in [&a, &b] {
        official.phone.open(&url).await?;
        official.phone.see("link", &starts("Delivery")).await?;
        official.phone.read("only here").await?;
    }

    let server =
        tokio::task::block_in_place(|| Server::with_collector(&place::dist(), kept.path(), port))?;
    for official in [&a, &b] {
        let back = "dispatchEvent(new Event('online')), true";
        official.phone.evaluate(back).await?;
        official.phone.read("● delivered").await?;
        official.phone.picture("delivered").await?;
    }

    // The public pages, as anyone sees them.
    let anyone = Phone::new("whole-day-results", WIDE).await?;
    anyone
        .open(&format!("{}results/open", server.url()))
        .await?;
    anyone.read("Quay Street").await?;
    anyone.picture("open-event").await?;
    let games = "fetch('/api/events/open/games.json').then(r => r.json())";
    let games = anyone.evaluate(games).await?;
    let game = &games["games"][0];
    ensure!(game["score"] == serde_json::json!([1, 0]), "{games}");
    ensure!(
        game["over"] == true && game["inning"] == "Bottom of 5th",
        "{games}"
    );
    let id = game["game"].as_str().context("its name")?;
    let logs = kept.path().join("logs").join("open").join(id);
    ensure!(
        std::fs::read_dir(logs)?.count() == 2,
        "one record of each official"
    );
    anyone.tap("link", &with("Quay Street")).await?;
    anyone.see("heading", &starts("Quay Street")).await?;
    anyone.picture("game").await?;
    anyone.audit("results of the game").await?;
    anyone.see("link", &is("Score sheet to print")).await?;
    anyone.quiet().await
}
