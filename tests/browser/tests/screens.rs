//! Every screen in both themes: judged by the accessibility checker, and its picture taken.

use std::fs;

use anyhow::{Context as _, Result, bail};
use browser::{Phone, SMALL, Site, TALL, WIDE, is, starts, with};
use xtask::place;

/// Judges the screen, takes its picture, and goes on, so that one run names every violation.
async fn look(phone: &Phone, screen: &str, wrong: &mut Vec<String>) -> Result<()> {
    phone.settled().await?;
    let picture = phone.picture(screen).await?;
    let readme = [
        ("screens-noon", "calling", "calling-noon.png"),
        ("screens-night", "calling", "calling-night.png"),
        ("screens-noon", "games", "games.png"),
        ("screens-noon", "statement", "statement.png"),
    ];
    for (walk, shown, name) in readme {
        if phone.name() == walk && screen == shown {
            let folder = place::artefacts().join("readme");
            fs::create_dir_all(&folder)?;
            fs::copy(&picture, folder.join(name))?;
        }
    }
    if let Err(why) = phone.audit(screen).await {
        wrong.push(format!("{why:#}"));
    }
    // Calling on the narrowest phone is measured state by state in a test of its own.
    let calling =
        phone.name() == "screens-narrow" && ["calling", "more", "substitution"].contains(&screen);
    if let Some(why) = phone.too_small().await?.filter(|_| !calling) {
        wrong.push(format!("{screen}: {why}"));
    }
    Ok(())
}

/// The walk through every screen, with the demo day on the phone.
async fn walk(phone: &Phone, site: &Site, wrong: &mut Vec<String>) -> Result<()> {
    phone.open(&site.url()).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    look(phone, "games-none", wrong).await?;
    phone.demo_day().await?;
    look(phone, "games", wrong).await?;

    phone.tap("link", &is("Settings")).await?;
    phone.see("heading", &is("Settings")).await?;
    look(phone, "settings", wrong).await?;
    // Also without the server: it is a file of the app like any other.
    phone
        .tap("DisclosureTriangle", &starts("Libraries by others"))
        .await?;
    phone
        .until("document.body.innerText.includes('Permission is hereby granted')")
        .await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &is("Care list")).await?;
    phone.see("link", &is("Back")).await?;
    look(phone, "care", wrong).await?;
    phone.tap("link", &is("Back")).await?;

    phone.tap("link", &is("New game")).await?;
    phone.see("textbox", &is("One team")).await?;
    look(phone, "new-game", wrong).await?;
    phone.name_teams("Quay Street", "Tram Yard").await?;
    phone.see("textbox", &is("number of hitter 1")).await?;
    look(phone, "card", wrong).await?;
    phone.tap("button", &is("Next card")).await?;
    phone.see("alert", &starts("")).await?;
    look(phone, "card-objections", wrong).await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &is("Back")).await?;

    // A game of the demo day that is being played.
    phone
        .until("document.querySelectorAll('a[href*=\"call?game=\"]').length > 0")
        .await?;
    let live = phone.all("link", &with("out")).await?;
    let live = live
        .iter()
        .find(|link| link.name.contains("Top of") || link.name.contains("Bottom of"));
    phone
        .touch(live.context("the demo day has no game that is being played")?)
        .await?;
    phone.see("button", &is("More")).await?;
    look(phone, "calling", wrong).await?;
    phone.tap("button", &is("More")).await?;
    phone.see("heading", &is("More")).await?;
    look(phone, "more", wrong).await?;
    phone.tap("button", &is("Substitution")).await?;
    phone.see("heading", &starts("Who comes in")).await?;
    look(phone, "substitution", wrong).await?;
    phone.tap("button", &is("Back to the game")).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Play by play")).await?;
    phone.see("link", &is("Back")).await?;
    look(phone, "story", wrong).await?;

    phone.open(&site.url()).await?;
    let over = phone.see("link", &with("Over")).await?;
    phone.touch(&over).await?;
    phone.see("link", &is("Back")).await?;
    look(phone, "statement", wrong).await?;
    phone.prints_on("statement", 2).await?;
    for (screen, way) in [
        ("events", "events"),
        ("charter", "charter"),
        ("court", "court"),
        ("delivery", "delivery"),
        ("desk", "desk"),
        ("take", "take"),
        ("card-of-mine", "show?what=card"),
    ] {
        phone.open(&format!("{}{way}", site.url())).await?;
        phone.see("link", &is("Back")).await?;
        look(phone, screen, wrong).await?;
    }
    phone.open(&format!("{}sheet", site.url())).await?;
    phone.see("link", &is("Back")).await?;
    look(phone, "component-sheet", wrong).await?;
    phone.open(&format!("{}no/such/screen", site.url())).await?;
    phone.see("heading", &starts("")).await?;
    look(phone, "no-such-screen", wrong).await?;
    phone.quiet().await
}

async fn walk_all(name: &str, size: browser::Size, colours: Option<bool>) -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new(name, size).await?;
    match colours {
        Some(dark) => phone.prefer(dark).await?,
        None => phone.force_colours().await?,
    }
    let mut wrong = Vec::new();
    walk(&phone, &site, &mut wrong).await?;
    if wrong.is_empty() {
        Ok(())
    } else {
        bail!("{}", wrong.join("\n\n"))
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_at_noon() -> Result<()> {
    walk_all("screens-noon", SMALL, Some(false)).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_at_night() -> Result<()> {
    walk_all("screens-night", TALL, Some(true)).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_on_a_desktop() -> Result<()> {
    walk_all("screens-desktop", WIDE, Some(false)).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_on_its_side() -> Result<()> {
    walk_all("screens-landscape", (740, 360), Some(true)).await
}

#[tokio::test(flavor = "multi_thread")]
async fn every_screen_on_the_narrowest_phone_in_forced_colours() -> Result<()> {
    walk_all("screens-narrow", (320, 568), None).await
}
