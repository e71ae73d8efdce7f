//! A lot for teams that nothing separates: three teams that each won one game and lost one by forfeit.

use std::fs;

use anyhow::{Result, ensure};
use browser::{Phone, SMALL, Site, is, starts, with};
use engine::charter::Charter;
use engine::competition::schedule::Format;
use engine::log::{Author, Role};

use crate::hands::{choose_new, key_of, look};

#[tokio::test(flavor = "multi_thread")]
async fn a_lot_is_drawn_and_signed() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("desk-lot", SMALL).await?;
    phone.open(&format!("{}desk?part=in", site.url())).await?;
    let organiser = Author::new(key_of(&phone).await?, "Harbour office", Role::Organiser);
    let mut charter = demoday::charter(1);
    charter.teams.truncate(3);
    charter.officials.push(organiser);
    if let Some(arranged) = &mut charter.arranged {
        arranged.format = Format::RoundRobin { twice: false };
    }
    let charter = Charter {
        fixtures: Vec::new(),
        ..charter
    };
    let charter = charter
        .with_fixtures()
        .map_err(|wrong| anyhow::anyhow!("{wrong:?}"))?;
    let unsigned = charter.clone();
    let signed = unsigned
        .draft()
        .map_err(|wrong| anyhow::anyhow!("{wrong:?}"))?
        .sign(&demoday::key(1, 9))
        .map_err(|wrong| anyhow::anyhow!("{wrong}"))?;
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("three.charter");
    fs::write(&file, signed.bytes())?;
    choose_new(&phone, &[file]).await?;
    phone.read("1 file is kept.").await?;
    let desk = format!("{}desk?event={}", site.url(), signed.hash());
    phone.open(&desk).await?;

    // Who forfeits, so that each team loses once: the one before it in the list wins.
    let names: Vec<&str> = charter.teams.iter().map(|t| t.name.as_str()).collect();
    for fixture in &charter.fixtures {
        let sides = [&fixture.guest, &fixture.home].map(|s| s.clone().unwrap_or_default());
        let at = |team: &str| names.iter().position(|n| *n == team).unwrap_or_default();
        let [a, b] = [at(&sides[0]), at(&sides[1])];
        let loser = if (a + 1) % 3 == b {
            &sides[1]
        } else {
            &sides[0]
        };
        phone
            .tap("link", &with(format!("game {},", fixture.number)))
            .await?;
        let choice = phone
            .see("radio", &is(format!("{loser} forfeited")))
            .await?;
        phone.touch(&choice).await?;
        phone
            .fill("textbox", &is("Why"), "They did not come.")
            .await?;
        phone.tap("button", &is("Sign the decision")).await?;
        phone.read("This game is decided.").await?;
        phone.tap("link", &is("Back")).await?;
    }
    phone.read("3 of 3 scheduled games are in").await?;
    look(&phone, "games").await?;
    phone.tap("link", &is("Tables")).await?;
    phone.see("heading", &is("A lot is needed")).await?;
    look(&phone, "lot-needed").await?;

    // Not half of it, and not without a word on how it was drawn.
    phone.tap("button", &is("Sign the lot")).await?;
    phone.read("Tap every team, in the order drawn.").await?;
    let drawn = [names[2], names[0], names[1]];
    phone.tap("button", &is(names[1])).await?;
    phone.tap("button", &is("Begin again")).await?;
    for (at, team) in drawn.iter().enumerate() {
        phone.tap("button", &is(*team)).await?;
        phone
            .see("button", &is(format!("{}: {team}", at + 1)))
            .await?;
    }
    // A second touch changes nothing.
    phone.tap("button", &is(format!("1: {}", drawn[0]))).await?;
    phone.tap("button", &is("Sign the lot")).await?;
    phone.read("Say how and before whom it was drawn.").await?;
    phone
        .fill(
            "textbox",
            &starts("How and before whom"),
            "Slips from a cap, before the captains.",
        )
        .await?;
    look(&phone, "lot-drawn").await?;
    phone.tap("button", &is("Sign the lot")).await?;
    phone.gone("heading", &is("A lot is needed")).await?;
    for (at, team) in drawn.iter().enumerate() {
        phone
            .see("rowheader", &is(format!("{} {team}", at + 1)))
            .await?;
    }
    phone.read("lot").await?;
    look(&phone, "lot-signed").await?;
    // It stays.
    phone.open(&format!("{desk}&part=tables")).await?;
    phone
        .see("rowheader", &is(format!("1 {}", drawn[0])))
        .await?;
    ensure!(!phone.sees("heading", &is("A lot is needed")).await?);
    phone.quiet().await
}
