//! The charter's form for keys: a collector is listed by the key that it tells, and a lost phone's key ends
//! with what was good.

use anyhow::{Context as _, Result, ensure};
use browser::{Coast, Phone, SMALL, is, starts};
use data_encoding::HEXLOWER;
use engine::charter::SignedCharter;
use engine::log::SecretKey;

use super::paper::{paste, shown_text};
use super::{look, set};

const PROGRAM: &str = env!("CARGO_BIN_EXE_collector_in_test");

#[tokio::test(flavor = "multi_thread")]
async fn a_collector_is_listed_by_its_key_and_a_lost_key_ends() -> Result<()> {
    let coast = Coast::start(PROGRAM).await?;
    let phone = Phone::new("charter-keys", SMALL).await?;
    let form = format!("{}charter", coast.url());
    phone.open(&form).await?;
    phone
        .fill("textbox", &is("Name of the event"), "Harbour Cup")
        .await?;
    set(&phone, "event-date", "2026-06-13").await?;
    for (at, name) in [(1, "Quay Street"), (2, "Tram Yard")] {
        let field = is(format!("Name of team {at}"));
        phone.fill("textbox", &field, name).await?;
    }
    phone
        .tap("DisclosureTriangle", &is("Type a public key instead"))
        .await?;
    phone
        .fill("textbox", &is("Name of the official"), "Signe Vale")
        .await?;
    let lost = SecretKey::from_random(&[77; 32]).public();
    let digits = HEXLOWER.encode(lost.as_bytes());
    phone
        .fill("textbox", &starts("Public key"), &digits)
        .await?;
    phone.tap("button", &is("Add this official")).await?;
    phone.see("textbox", &is("Name of official 1")).await?;
    phone
        .fill("textbox", &starts("Your name"), "Maren Holt")
        .await?;
    phone.press("Tab").await?;
    phone.tap("button", &is("Sign the charter")).await?;
    phone.read("Signed and kept: version 1.").await?;

    phone.tap("link", &starts("Make a new version")).await?;
    phone.tap("button", &starts("Ask ")).await?;
    phone
        .read("says that these six words are its key's")
        .await?;
    look(&phone, "collector-asked").await?;
    phone
        .tap("button", &is("They are the same: list this key"))
        .await?;
    phone.tap("DisclosureTriangle", &is("End this key")).await?;
    look(&phone, "end-key").await?;
    set(&phone, "end-0", "2026-06-13T14:00").await?;
    phone.tap("button", &is("End it from here on")).await?;
    phone
        .read("No receipt here by a listed collector dates a record")
        .await?;
    set(&phone, "end-0", "").await?;
    phone.tap("button", &is("End it from here on")).await?;
    phone.read("This key ends.").await?;
    look(&phone, "key-ended").await?;
    phone.tap("button", &is("Sign the charter")).await?;
    phone.read("Signed and kept: version 2.").await?;

    // What is handed on says both.
    phone.tap("link", &is("Show to another phone")).await?;
    let lines = shown_text(&phone).await?;
    let versions = SignedCharter::read_all(lines.as_bytes())?;
    let newest = versions.iter().max_by_key(|v| v.charter().version);
    let charter = newest.context("a charter")?.charter();
    let told = coast.get("/api/key").await?.body;
    let told = String::from_utf8(told)?;
    let listed: Vec<String> = charter
        .collectors
        .iter()
        .map(|c| HEXLOWER.encode(c.key.as_bytes()))
        .collect();
    ensure!(listed == [told.trim()], "{listed:?} {told}");
    ensure!(charter.ended(&lost).is_some() && charter.officials.is_empty());
    // Another phone reads it.
    let other = Phone::new("charter-keys-other", SMALL).await?;
    other.open(&format!("{}take", coast.url())).await?;
    paste(&other, &lines).await?;
    other.read("Signed by Maren Holt").await?;
    Ok(())
}
