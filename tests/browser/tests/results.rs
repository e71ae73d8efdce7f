//! The public results of the demo event, as `cargo xtask serve` shows them: accessible on a phone and on a
//! projector, and fit to be handed out on paper.

use std::fs;

use anyhow::{Context as _, Result, bail, ensure};
use base64::Engine as _;
use browser::{Phone, SMALL, TALL, WIDE};
use serde_json::json;
use xtask::place;
use xtask::serve::Server;

/// Where the demo event and its games are.
async fn addresses(phone: &Phone, server: &Server) -> Result<Vec<(String, String)>> {
    phone.open(&format!("{}results", server.url())).await?;
    let event = "[...document.querySelectorAll('.events a')].map(a => a.href)[0]";
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

async fn look_at_all(name: &str, size: browser::Size, dark: bool) -> Result<()> {
    let kept = tempfile::tempdir()?;
    let server =
        tokio::task::block_in_place(|| Server::with_collector(&place::dist(), kept.path(), 0))?;
    let phone = Phone::new(name, size).await?;
    phone.prefer(dark).await?;
    let mut wrong = Vec::new();
    for (what, address) in addresses(&phone, &server).await? {
        phone.open(&address).await?;
        phone.picture(&what).await?;
        if let Err(why) = phone.audit(&what).await {
            wrong.push(format!("{why:#}"));
        }
        let wide = phone
            .evaluate("document.documentElement.scrollWidth - innerWidth")
            .await?;
        if wide.as_i64().unwrap_or(1) > 0 {
            wrong.push(format!("{what} is {wide} pixels wider than the screen"));
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
    look_at_all("results-noon", SMALL, false).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_a_phone_at_night() -> Result<()> {
    look_at_all("results-night", TALL, true).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_public_page_on_a_projector() -> Result<()> {
    look_at_all("results-projector", WIDE, false).await
}

/// Prints a page as Chromium does, on A4; gives the number of sheets.
async fn print(phone: &Phone, name: &str) -> Result<usize> {
    let paper = json!({ "paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": true });
    let printed = phone.protocol("Page.printToPDF", paper).await?;
    let data = printed["data"].as_str().context("nothing printed")?;
    let pdf = base64::prelude::BASE64_STANDARD.decode(data)?;
    let folder = place::artefacts().join("paper");
    fs::create_dir_all(&folder)?;
    fs::write(folder.join(format!("{name}.pdf")), &pdf)?;
    // ISO 32000: each sheet is an object of this type; the list of them is another.
    let text = String::from_utf8_lossy(&pdf).into_owned();
    Ok(text.matches("/Type /Page\n").count())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_score_sheet_fits_on_one_or_two_sheets_of_paper() -> Result<()> {
    let kept = tempfile::tempdir()?;
    let server =
        tokio::task::block_in_place(|| Server::with_collector(&place::dist(), kept.path(), 0))?;
    let phone = Phone::new("results-paper", WIDE).await?;
    for (what, address) in addresses(&phone, &server).await? {
        phone.open(&address).await?;
        let sheets = print(&phone, &what).await?;
        println!("{what}: {sheets} sheets");
        ensure!(sheets > 0, "{what}: nothing is printed");
        if what.starts_with("sheet") {
            ensure!(sheets <= 2, "{what} takes {sheets} sheets");
        }
    }
    Ok(())
}
