//! A phone that was in use before: its storage in the first layout opens in the present one.

use std::fs;

use anyhow::{Context as _, Result, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use browser::{Phone, SMALL, Site, is, with};
use engine::log::{GameRecord, LogFile, split};
use engine::team::Side;
use serde_json::{Value, json};
use xtask::place;

/// The stores of the first layout, as `app/web/src/store` made them then, and what is put into them.
const WRITE: &str = "new Promise((done, fail) => { const r = indexedDB.open('chalkbook', 1); r.onerror = fail; \
    r.onupgradeneeded = () => { const db = r.result; \
    db.createObjectStore('entries', { keyPath: ['game', 'author', 'seq'] }); \
    db.createObjectStore('games', { keyPath: ['game', 'author'] }); \
    db.createObjectStore('keys', { keyPath: 'name' }); \
    db.createObjectStore('charters', { keyPath: 'event' }); }; \
    r.onsuccess = () => { const tx = r.result.transaction(['entries', 'games'], 'readwrite'); \
    for (const game of ROWS.games) tx.objectStore('games').add(game); \
    for (const e of ROWS.entries) tx.objectStore('entries').add({ ...e, \
    bytes: Uint8Array.from(atob(e.bytes), c => c.charCodeAt(0)) }); \
    tx.onerror = fail; tx.oncomplete = () => { r.result.close(); done(true); }; }; })";

const READ: &str = "new Promise((done, fail) => { const r = indexedDB.open('chalkbook'); r.onerror = fail; \
    r.onsuccess = () => { const db = r.result; const names = [...db.objectStoreNames]; \
    const all = db.transaction('entries').objectStore('entries').getAll(); \
    all.onsuccess = () => { db.close(); done({ version: db.version, names, entries: all.result.map(e => ({ ...e, \
    bytes: btoa(String.fromCharCode(...e.bytes)) })) }); }; }; })";

#[tokio::test(flavor = "multi_thread")]
async fn games_kept_in_the_first_layout_are_all_there_in_the_present_one() -> Result<()> {
    let fixtures = place::top().join("tests/logformat/fixtures");
    let mut rows = json!({ "games": [], "entries": [] });
    let mut records = Vec::new();
    for (at, name) in ["good-whole-game", "good-without-an-end"]
        .iter()
        .enumerate()
    {
        let bytes = fs::read(fixtures.join(format!("{name}.log")))?;
        let file = LogFile::read(&bytes);
        let chain = file.chains.first().context("no log")?.clone();
        let (game, author) = (
            chain.game().to_string(),
            chain.author().fingerprint().to_string(),
        );
        let begun = 1_750_000_000_000_u64 + at as u64;
        push(
            &mut rows,
            "games",
            json!({ "game": game, "author": author, "demo": false, "begun": begun }),
        );
        for (seq, item) in split(&bytes).enumerate() {
            let bytes = BASE64_STANDARD.encode(item.map_err(|e| anyhow::anyhow!("{e}"))?);
            push(
                &mut rows,
                "entries",
                json!({ "game": game, "author": author, "seq": seq, "bytes": bytes }),
            );
        }
        records.push(GameRecord::replay(chain)?);
    }

    let site = Site::start()?;
    let phone = Phone::new("older", SMALL).await?;
    // A file of the same site, not the app: the storage is written before the app has ever run.
    phone
        .open(&format!("{}manifest.webmanifest", site.url()))
        .await?;
    let written = phone
        .evaluate(&WRITE.replace("ROWS", &format!("({rows})")))
        .await?;
    ensure!(written == true, "{written}");

    phone.open(&site.url()).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    for record in &records {
        let game = record.history().game();
        let team = |side: Side| game.fixture().lineups()[side].team().to_owned();
        let score = game.score();
        let row = format!("{} {}", team(Side::Guest), score[Side::Guest]);
        let found = phone.see("link", &with(row.clone())).await;
        found.with_context(|| row)?;
        ensure!(
            phone
                .sees(
                    "link",
                    &with(format!("{} {}", team(Side::Home), score[Side::Home]))
                )
                .await?,
            "the home side's runs"
        );
    }
    phone.picture("games").await?;
    let now = phone.evaluate(READ).await?;
    ensure!(now["version"].as_u64() >= Some(2), "{}", now["version"]);
    for name in [
        "entries",
        "games",
        "keys",
        "charters",
        "delivered",
        "arrivals",
    ] {
        let there = now["names"]
            .as_array()
            .is_some_and(|n| n.contains(&name.into()));
        ensure!(there, "no store {name} in {}", now["names"]);
    }
    let by = |v: &Value| {
        let mut all = v.as_array().cloned().unwrap_or_default();
        all.sort_by_key(|e| (e["game"].to_string(), e["seq"].as_u64()));
        all
    };
    ensure!(
        by(&now["entries"]) == by(&rows["entries"]),
        "entries differ"
    );
    // The browser asks for an icon beside the bare file; of the app there is nothing to complain of.
    let mut complaints = phone.complaints().await?;
    complaints.retain(|c| !c.contains("favicon.ico"));
    ensure!(complaints.is_empty(), "{complaints:?}");
    Ok(())
}

fn push(rows: &mut Value, to: &str, row: Value) {
    if let Some(list) = rows[to].as_array_mut() {
        list.push(row);
    }
}
