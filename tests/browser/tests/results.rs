//! The public results of the demo event, as `cargo xtask serve` shows them: accessible on a phone and on a
//! projector, and fit to be handed out on paper.

use std::ops::Range;
use std::time::Duration;

use anyhow::{Context as _, Result, bail, ensure};
use browser::{Coast, Phone, SMALL, TALL, WIDE};
use serve::Server;
use xtask::place;

/// Where the demo event and its games are.
async fn addresses(phone: &Phone, server: &Server) -> Result<Vec<(String, String)>> {
    phone.open(&format!("{}results", server.url())).await?;
    let event = "[...document.querySelectorAll('.rows a')].map(a => a.href)[0]";
    let event = phone.evaluate(event).await?;
    let event = event.as_str().context("no event is listed")?.to_owned();
    phone.open(&event).await?;
    let games = "[...new Set([...document.querySelectorAll('main a')].map(a => a.href)\
                 .filter(a => /\\/games\\/[0-9a-f]{64}$/.test(a)))]";
    let games = phone.evaluate(games).await?;
    let games: Vec<_> = games.as_array().into_iter().flatten().collect();
    ensure!(games.len() >= 12, "{} games are linked", games.len());
    let mut all = vec![
        ("all".to_owned(), format!("{}results", server.url())),
        ("event".to_owned(), event),
        (
            "missing".to_owned(),
            format!("{}results/none", server.url()),
        ),
    ];
    for at in [0, 4, 6, 9] {
        let game = games[at].as_str().context("an address")?;
        all.push((format!("game-{}", at + 1), game.to_owned()));
        all.push((format!("sheet-{}", at + 1), format!("{game}/sheet")));
    }
    Ok(all)
}

/// How the phone shows colours.
enum Colours {
    Noon,
    Night,
    Forced,
}

async fn look_at_all(name: &str, size: browser::Size, colours: Colours) -> Result<()> {
    let kept = tempfile::tempdir()?;
    let server =
        tokio::task::block_in_place(|| Server::with_collector(&place::dist(), kept.path(), 0))?;
    let phone = Phone::new(name, size).await?;
    match colours {
        Colours::Forced => phone.force_colours().await?,
        colours => phone.prefer(matches!(colours, Colours::Night)).await?,
    }
    let mut wrong = Vec::new();
    for (what, address) in addresses(&phone, &server).await? {
        phone.open(&address).await?;
        phone.picture(&what).await?;
        if let Err(why) = phone.audit(&what).await {
            wrong.push(format!("{why:#}"));
        }
        if let Some(why) = phone.too_small().await? {
            wrong.push(format!("{what}: {why}"));
        }
    }
    if wrong.is_empty() {
        Ok(())
    } else {
        bail!("{}", wrong.join("\n\n"))
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_a_phone_at_noon() -> Result<()> {
    look_at_all("results-noon", SMALL, Colours::Noon).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_a_phone_at_night() -> Result<()> {
    look_at_all("results-night", TALL, Colours::Night).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_a_projector() -> Result<()> {
    look_at_all("results-projector", WIDE, Colours::Noon).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_the_narrowest_phone_in_forced_colours() -> Result<()> {
    look_at_all("results-narrow", (320, 568), Colours::Forced).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_a_phone_on_its_side() -> Result<()> {
    look_at_all("results-landscape", (740, 360), Colours::Night).await
}

/// The pages of an event and of a game, open before the game goes on.
#[tokio::test(flavor = "multi_thread")]
async fn pages_that_are_open_follow_a_game() -> Result<()> {
    let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let coast = Coast::of(
        env!("CARGO_BIN_EXE_collector_in_test"),
        day.charter.bytes(),
        &[],
    )
    .await?;
    let chain = day.games[0].records[0].chain();
    let log = chain.name();
    let part = |range: Range<usize>| -> Vec<u8> {
        let entries = chain.entries().get(range).into_iter().flatten();
        entries.flat_map(|e| e.bytes()).copied().collect()
    };
    let all = chain.entries().len();
    coast.put_log(log, &part(0..2)).await?;
    let event = format!("{}results/{}", coast.direct(), day.charter.hash());
    let (one, other) = (
        Phone::new("results-live-event", SMALL).await?,
        Phone::new("results-live-game", SMALL).await?,
    );
    one.open(&event).await?;
    one.read("Being played").await?;
    one.evaluate("document.querySelector('details').open = true")
        .await?;
    one.evaluate("window.stays = true").await?;
    other
        .open(&format!("{event}/games/{}", chain.game()))
        .await?;
    other.read("Top of 1st").await?;
    other.evaluate("window.stays = true").await?;
    // The pages say at first what they know; then the game goes on.
    tokio::time::sleep(Duration::from_secs(1)).await;
    coast.put_log(log, &part(2..all / 2)).await?;
    for phone in [&one, &other] {
        phone
            .until("/(Top|Bottom) of [23]/.test(document.querySelector('.board').innerText)")
            .await?;
        phone.picture("goes-on").await?;
    }
    // Innings and players follow on the game's own page.
    other
        .until("document.querySelectorAll('.line thead th').length > 5")
        .await?;
    coast.put_log(log, &part(all / 2..all)).await?;
    // Over: the board goes, what was open stays open, and the page was not loaded again.
    one.until("document.querySelector('#now') === null").await?;
    one.until("document.querySelector('details').open && window.stays")
        .await?;
    other.read("How it stands").await?;
    other.until("window.stays").await?;
    for phone in [&one, &other] {
        phone.picture("over").await?;
        phone.quiet().await?;
    }
    // Taken out, it is on no screen any more, though nobody loads a page again.
    let game = chain.game().to_string();
    coast.order(&["erase", "game", &game, "--yes"]).await?;
    other.read("There is nothing under this address.").await?;
    one.until("document.querySelector('[data-game]') === null")
        .await?;
    for phone in [&one, &other] {
        phone.until("window.stays").await?;
        phone.picture("erased").await?;
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_score_sheet_fits_on_one_or_two_sheets_of_paper() -> Result<()> {
    let kept = tempfile::tempdir()?;
    let server =
        tokio::task::block_in_place(|| Server::with_collector(&place::dist(), kept.path(), 0))?;
    let phone = Phone::new("results-paper", WIDE).await?;
    for (what, address) in addresses(&phone, &server).await? {
        phone.open(&address).await?;
        let most = if what == "event" { 3 } else { 2 };
        phone.prints_on(&what, most).await?;
    }
    Ok(())
}
