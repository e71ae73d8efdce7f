//! Files checked on a phone with no network, and nothing taken in: a good log under its charter, one that
//! was altered, one that was signed twice, a collector's order, and a file of another kind.

use std::fs;

use anyhow::{Context as _, Result};
use browser::{Phone, SMALL, Site, is};
use demoday::{Story, play_day};
use engine::log::{LogFile, Order, OrderAction, SecretKey, Subject};

use crate::hands::choose;

#[tokio::test(flavor = "multi_thread")]
async fn a_captain_checks_the_files_that_were_sent() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let folder = tempfile::tempdir()?;
    let put = |name: &str, bytes: &[u8]| -> Result<_> {
        let path = folder.path().join(name);
        fs::write(&path, bytes)?;
        Ok(path)
    };
    let forked = day.games.iter().find(|g| g.story == Story::Forked);
    let forked = forked.context("a game that was signed twice")?;
    let other = forked.second_line.as_ref().context("its other line")?;
    let good = &day.games.first().context("a game")?.records;
    let own = good.first().context("a record")?.chain();
    let shop = SecretKey::from_random(&[8; 32]);
    let order = Order {
        measure: OrderAction::Hide(Subject::Game(own.game())),
        holds: true,
        issued_ms: 1_781_344_800_000,
        reason: "A parent asked.".into(),
        logs: Vec::new(),
        charters: Vec::new(),
        collector: shop.public(),
    };
    let order = order.sign(&shop)?;
    let mut site = Site::start()?;
    let phone = Phone::new("check", SMALL).await?;
    phone.open(&site.url()).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.offline_ready().await?;
    site.stop();
    phone.tap("link", &is("Check a file")).await?;
    phone.see("heading", &is("Check a file")).await?;

    choose(
        &phone,
        "Files to check",
        &[put("umpire.log", &LogFile::write([own]))?],
    )
    .await?;
    phone.read("every signature good").await?;
    phone
        .read("It does not say that what was recorded happened")
        .await?;
    phone.read("No charter given says who this is").await?;
    phone
        .read("nothing here proves that they are the newest")
        .await?;

    let files = [
        put("charter.cbor", day.charter.bytes())?,
        put("altered.log", &day.tampered)?,
        put(
            "first.log",
            &LogFile::write(forked.records.iter().map(|r| r.chain())),
        )?,
        put("second.log", &LogFile::write([other.chain()]))?,
        put("notes.txt", b"Quay Street won.")?,
        put("hidden.order", order.bytes())?,
    ];
    choose(&phone, "Files to check", &files).await?;
    phone
        .read("This is no play log, no charter and no order")
        .await?;
    phone
        .read("An order by whoever runs a collector. Ordered: nobody is shown game")
        .await?;
    phone.read("The reason given: A parent asked.").await?;
    phone.read("proves nothing about a game").await?;
    phone.read("was signed twice with different words").await?;
    phone.read("that is not good from entry").await?;
    phone
        .read("Listed in the charter: scorer, Scorer, slipway")
        .await?;
    phone.picture("check").await?;
    phone.audit("check").await?;

    // Nothing was taken in.
    let kept = "window.kept = -1, indexedDB.open('chalkbook').onsuccess = e => { const all = \
        e.target.result.transaction('entries').objectStore('entries').count(); \
        all.onsuccess = () => window.kept = all.result }, true";
    phone.until(kept).await?;
    phone.until("window.kept === 0").await?;
    Ok(())
}
