//! A charter that changes in the middle of the day: an official who missed a version, one who was
//! listed late, and a second scorer who taps the scheduled game.

use std::time::Duration;

use anyhow::{Context as _, Result, ensure};
use browser::{Coast, Phone, QUAY_STREET, SMALL, TRAM_YARD, is, starts};
use engine::charter::CharterHistory;
use engine::link::Kind;
use engine::log::{Author, Hash, Role};
use engine::sync::CharterReceipt;
use serde_json::Value;

use super::paper::{charter, paste, received, shown_text, sign, take_charter, text_of};

const PROGRAM: &str = env!("CARGO_BIN_EXE_collector_in_test");

/// The official of a phone, from the card that it shows.
async fn card(phone: &Phone, coast: &Coast) -> Result<Author> {
    let lines = card_text(phone, &coast.url(), "Ada Quint", "Umpire").await?;
    let (_, card) = received(&lines)?;
    Author::from_bytes(&card).map_err(|why| anyhow::anyhow!("{why}"))
}

/// The card of a phone as it is shown, once its official has a name and said what their part is.
pub async fn card_text(phone: &Phone, app: &str, name: &str, part: &str) -> Result<String> {
    phone.open(&format!("{app}show?what=card")).await?;
    // A card without a name is not shown: it would list nobody.
    phone.fill("textbox", &starts("Your name"), name).await?;
    phone.tap("radio", &is(part)).await?;
    phone.tap("button", &is("Show my card")).await?;
    shown_text(phone).await
}

/// How far the charter has come at the collector.
pub async fn versions(coast: &Coast, event: Hash) -> Result<u64> {
    let answer = coast.get(&format!("/api/charters/{event}/head")).await?;
    Ok(CharterReceipt::read(&answer.body)
        .context("a receipt")?
        .next)
}

pub async fn games(coast: &Coast, event: Hash) -> Result<Vec<Value>> {
    let answer = coast
        .get(&format!("/api/events/{event}/games.json"))
        .await?;
    let all: Value = serde_json::from_slice(&answer.body)?;
    Ok(all["games"].as_array().cloned().unwrap_or_default())
}

/// From the form of a scheduled game to its first pitch, with both cards typed.
async fn set_up(phone: &Phone) -> Result<()> {
    phone.tap("button", &is("Line-up cards")).await?;
    for (card, on) in [(&QUAY_STREET, "Next card"), (&TRAM_YARD, "Toss for home")] {
        phone.card(card).await?;
        phone.tap("button", &is(on)).await?;
    }
    phone.tap("button", &is("Play ball")).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_charter_changed_in_mid_event_reaches_everyone_by_itself() -> Result<()> {
    let first = sign(9, charter(9, &[]))?;
    let event = first.hash();
    let coast = Coast::of(PROGRAM, first.bytes(), &[]).await?;
    let umpire = Phone::new("midday-umpire", SMALL).await?;
    umpire.open(&coast.url()).await?;
    take_charter(&umpire, first.bytes()).await?;
    umpire.read("This phone's key is not listed.").await?;
    let scorer = Phone::new("midday-scorer", SMALL).await?;
    scorer.open(&coast.url()).await?;

    // Two versions later both are listed; the umpire missed the one between.
    let mut officials = [card(&umpire, &coast).await?, card(&scorer, &coast).await?];
    officials[0].role = Role::Umpire;
    officials[1].role = Role::Scorer;
    let mut second = charter(9, &officials);
    (second.version, second.supersedes) = (2, Some(event));
    let second = sign(9, second)?;
    let mut third = second.charter().clone();
    (third.version, third.supersedes) = (3, Some(second.hash()));
    third.place = "The tram depot, hall 2".into();
    let third = sign(9, third)?;
    let all = CharterHistory::gather([first, second, third]);
    let chain = all.first().context("a history")?.to_bytes(usize::MAX);
    umpire.open(&format!("{}take", coast.url())).await?;
    paste(&umpire, &text_of(Kind::Charter, &chain)?).await?;
    umpire.read("Newer version taken: version 3.").await?;
    umpire.picture("newer").await?;

    // The collector, which knew the first only, hears of both by itself.
    let from = std::time::Instant::now();
    while versions(&coast, event).await? < 3 {
        ensure!(
            from.elapsed() < Duration::from_secs(20),
            "it does not get there by itself"
        );
        tokio::time::sleep(Duration::from_millis(250)).await;
    }
    umpire.open(&format!("{}delivery", coast.url())).await?;
    umpire
        .read("The charter on this phone is delivered.")
        .await?;
    umpire.read("Versions 1 to 3 stored here.").await?;
    umpire.picture("delivered").await?;

    // The late official's game is shown.
    umpire
        .open(&format!("{}event?event={event}", coast.url()))
        .await?;
    umpire.tap("link", &starts("Game 1,")).await?;
    set_up(&umpire).await?;
    umpire.open(&format!("{}delivery", coast.url())).await?;
    umpire
        .read("All delivered: 1 record and 1 charter on this phone.")
        .await?;
    let shown = games(&coast, event).await?;
    ensure!(shown.len() == 1, "{shown:?}");
    ensure!(shown[0]["state"] == "being played", "{shown:?}");

    // The second scorer, who taps the same game, is asked for the umpire's first.
    take_charter_at(&scorer, &coast, &chain).await?;
    scorer.tap("link", &starts("Game 1,")).await?;
    scorer
        .see("heading", &is("Does the umpire keep it already?"))
        .await?;
    scorer.see("link", &is("Take it from their phone")).await?;
    scorer.picture("asked-first").await?;
    scorer.audit("asked first").await?;
    ensure!(scorer.too_small().await?.is_none());
    scorer.tap("button", &starts("no umpire keeps it")).await?;
    scorer.see("combobox", &is("One team")).await?;

    // The umpire, who taps it again, is led to the game; a further one takes nine taps at most.
    umpire
        .open(&format!("{}event?event={event}", coast.url()))
        .await?;
    umpire.see("link", &starts("Game 1,")).await?;
    let before = umpire.taps();
    umpire.tap("link", &starts("Game 1,")).await?;
    umpire
        .see("heading", &is("You keep this game already."))
        .await?;
    umpire.picture("kept-already").await?;
    umpire.tap("button", &starts("set it up anew")).await?;
    umpire.tap("button", &is("Line-up cards")).await?;
    for on in ["Next card", "Toss for home"] {
        umpire.tap("button", &starts("The last card again")).await?;
        umpire.tap("button", &is(on)).await?;
    }
    umpire.tap("button", &is("Play ball")).await?;
    umpire
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    let taps = umpire.taps() - before;
    println!("from the event to the first pitch: {taps} taps");
    ensure!(taps <= 9, "{taps} taps");
    umpire.quiet().await?;
    scorer.quiet().await
}

/// Takes a charter that is new on a phone that stands elsewhere.
async fn take_charter_at(phone: &Phone, coast: &Coast, charter: &[u8]) -> Result<()> {
    phone.open(&coast.url()).await?;
    take_charter(phone, charter).await
}
