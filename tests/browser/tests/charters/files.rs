//! Files: saved by the app, chosen, dropped, and damaged on the way. The logs saved here are real ones,
//! kept for the verifiers of the Python checks.

use std::fs;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use anyhow::{Result, bail, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use browser::{Phone, QUAY_STREET, SMALL, Site, TALL, TRAM_YARD, fresh_game, is, starts, with};
use engine::link::Kind;
use engine::log::{Author, Body, GameRecord, LogFile, Opening, Role, SecretKey, Setup, split};
use serde_json::json;
use xtask::place;

use super::paper::{charter, paste, shown_text, sign, text_of};
use super::{FIRST, OUT, look, phone};

fn folder() -> PathBuf {
    place::artefacts().join("logs")
}

/// Saves the record of the open game by the app's own button, from the calling screen; the log goes to
/// the artefacts. Leaves the phone on the screen that shows the record.
pub async fn keep_log(phone: &Phone, name: &str) -> Result<Vec<u8>> {
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Second phone")).await?;
    phone.tap("link", &with("Show mine")).await?;
    phone.tap("button", &is("File")).await?;
    let bytes = saved(phone, "Save it as signed").await?;
    fs::create_dir_all(folder())?;
    fs::write(folder().join(format!("{name}.log")), &bytes)?;
    phone.tap("link", &is("Done")).await?;
    phone.see("heading", &is("Second phone")).await?;
    Ok(bytes)
}

/// The file that a button saves.
async fn saved(phone: &Phone, button: &str) -> Result<Vec<u8>> {
    let to = tempfile::tempdir()?;
    phone
        .protocol(
            "Browser.setDownloadBehavior",
            json!({ "behavior": "allow", "downloadPath": to.path() }),
        )
        .await?;
    phone.tap("button", &starts(button)).await?;
    let from = Instant::now();
    loop {
        let files = fs::read_dir(to.path())?.filter_map(|e| Some(e.ok()?.path()));
        let whole = files
            .filter(|p| p.extension().is_none_or(|e| e != "crdownload"))
            .find(|p| {
                p.file_name()
                    .is_some_and(|n| !n.to_string_lossy().starts_with('.'))
            });
        if let Some(file) = whole {
            let bytes = fs::read(file)?;
            if !bytes.is_empty() {
                return Ok(bytes);
            }
        }
        if from.elapsed() > Duration::from_secs(10) {
            bail!("the app saved no file");
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// Drops a file onto the page.
async fn drop_file(phone: &Phone, name: &str, bytes: &[u8]) -> Result<()> {
    let bytes = BASE64_STANDARD.encode(bytes);
    phone
        .evaluate(&format!(
            "(() => {{ const bytes = Uint8Array.from(atob('{bytes}'), c => c.charCodeAt(0)); \
             const t = new DataTransfer(); t.items.add(new File([bytes], '{name}')); \
             for (const kind of ['dragover', 'drop']) document.body.dispatchEvent(new DragEvent(kind, \
             {{ dataTransfer: t, bubbles: true, cancelable: true }})); return true; }})()"
        ))
        .await?;
    Ok(())
}

/// Chooses a file in the field of the screen.
async fn choose_file(phone: &Phone, bytes: &[u8]) -> Result<()> {
    let mut file = tempfile::NamedTempFile::new()?;
    std::io::Write::write_all(&mut file, bytes)?;
    phone.tap("button", &is("File")).await?;
    phone.read("The file from the other phone").await?;
    let page = phone
        .protocol("DOM.getDocument", json!({ "depth": 0 }))
        .await?;
    let field = phone
        .protocol(
            "DOM.querySelector",
            json!({ "nodeId": page["root"]["nodeId"], "selector": "input[type=file]" }),
        )
        .await?;
    phone
        .protocol(
            "DOM.setFileInputFiles",
            json!({ "files": [file.path()], "nodeId": field["nodeId"] }),
        )
        .await?;
    // The page reads it in its own time.
    tokio::time::sleep(Duration::from_millis(300)).await;
    Ok(())
}

/// The record of an official with a key of the test's own, of the same game.
fn second_record(setup: Setup, n: u8) -> Result<GameRecord> {
    let key = SecretKey::from_random(&[n; 32]);
    let author = Author::new(key.public(), "Signe Vale", Role::Scorer);
    let opening = Opening::new(setup, author);
    let mut record = GameRecord::open(GameRecord::draft_opening(opening, 1)?.sign(&key)?)?;
    for call in [FIRST, OUT, OUT, OUT] {
        let play = record.history().next_play(call);
        let entry = record.draft(Body::Event(play), 2)?.sign(&key)?;
        record.push(entry)?;
    }
    let next = SecretKey::from_random(&[n + 1; 32]);
    let change = record
        .chain()
        .key_change(&next, "the phone was dropped".into());
    let entry = record.draft(Body::KeyChange(change), 3)?.sign(&key)?;
    record.push(entry)?;
    Ok(record)
}

/// How many entries the phone keeps, by author.
async fn kept(phone: &Phone) -> Result<Vec<usize>> {
    let records = phone.records().await?;
    let mut counts: Vec<_> = records.values().map(|log| split(log).count()).collect();
    counts.sort_unstable();
    Ok(counts)
}

#[tokio::test(flavor = "multi_thread")]
async fn damaged_and_dropped_files_leave_the_good_part_and_touch_nothing_else() -> Result<()> {
    let site = Site::start()?;
    let a = phone("files-a", SMALL, false, &site).await?;
    let b = phone("files-b", TALL, false, &site).await?;
    a.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    a.enter(&game, &FIRST).await?;
    a.record().await?;
    a.read("At bat 22").await?;

    // During a call nothing is taken: a play may stand half entered.
    drop_file(&a, "record.log", b"something").await?;
    a.read("Files are not taken during a game.").await?;
    a.picture("not-during-a-game").await?;
    a.tap("button", &is("Put away")).await?;

    // The second phone joins, and each keeps a log of the game.
    a.tap("button", &is("More")).await?;
    a.tap("link", &is("Second phone")).await?;
    a.read("Without a charter.").await?;
    a.tap("link", &is("Show this game to a second phone"))
        .await?;
    let text = shown_text(&a).await?;
    b.tap("link", &is("Second phone")).await?;
    paste(&b, &text).await?;
    b.read("Without a charter.").await?;
    b.tap("button", &is("Keep my own record")).await?;
    b.enter(&game, &OUT).await?;
    b.record().await?;
    b.read("At bat 22").await?;
    keep_log(&b, "second-author").await?;
    a.tap("link", &is("Done")).await?;
    a.tap("link", &is("Back")).await?;
    let log = keep_log(&a, "short").await?;
    let file = LogFile::read(&log);
    ensure!(file.damage.is_none() && file.entries == 2, "{file:?}");
    let setup = file.chains[0].opening().setup.clone();

    // Another official's record arrives damaged in its fourth entry.
    let theirs = second_record(setup.clone(), 42)?;
    let good = theirs.chain().to_bytes();
    let fourth_ends: usize = split(&good)
        .take(4)
        .map(|item| item.map_or(0, <[u8]>::len))
        .sum();
    let mut bad = good.clone();
    bad[fourth_ends - 1] ^= 1;
    a.open(&site.url()).await?;
    a.see("heading", &is("Chalkbook")).await?;
    drop_file(&a, "record.log", &bad).await?;
    a.read("Part of this record is damaged. Entry 4 of the file:")
        .await?;
    a.read("3 new entries were kept").await?;
    look(&a, "damaged").await?;
    ensure!(kept(&a).await? == [2, 3], "{:?}", kept(&a).await?);
    a.tap("link", &is("Compare with what is good")).await?;
    a.see("heading", &is("Second phone")).await?;
    // Dropped again on the very screen of the game, whole: the rest is added.
    drop_file(&a, "record.log", &good).await?;
    a.see("heading", &is("Second phone")).await?;
    a.read("theirs").await?;
    let mut now = kept(&a).await?;
    for _ in 0..40 {
        if now == [2, 6] {
            break;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
        now = kept(&a).await?;
    }
    ensure!(now == [2, 6], "{now:?}");
    a.read("Signe Vale signs with another key from entry 6 on")
        .await?;
    a.read("the phone was dropped").await?;
    // The same official by name, with a third key.
    let third = second_record(setup, 52)?.chain().to_bytes();
    drop_file(&a, "record.log", &third).await?;
    a.read("Signe Vale signed other games of this day with another key")
        .await?;
    look(&a, "another-key").await?;

    // Chosen instead of dropped: no record at all, an empty file, a record of another game.
    let other = sign(9, charter(9, &[]))?;
    for (bytes, words) in [
        (
            &b"no record"[..],
            "This file is no good record and no good charter",
        ),
        (&b""[..], "The file is empty."),
        (
            &fs::read(place::top().join("tests/logformat/fixtures/good-short.log"))?[..],
            "This record is of a game that is not on this phone: ",
        ),
    ] {
        a.open(&format!("{}take", site.url())).await?;
        choose_file(&a, bytes).await?;
        a.read(words).await?;
    }
    look(&a, "not-here").await?;
    ensure!(kept(&a).await? == [2, 6, 6], "something was kept");
    a.open(&format!("{}take", site.url())).await?;
    choose_file(&a, other.bytes()).await?;
    a.read("Signed by Maren Holt").await?;
    a.open(&format!("{}take", site.url())).await?;
    a.see("heading", &is("Take from another phone")).await?;
    drop_file(
        &a,
        "lines.txt",
        text_of(Kind::Charter, other.bytes())?.as_bytes(),
    )
    .await?;
    a.read("Signed by Maren Holt").await?;

    branch(&a, &site).await?;
    for phone in [&a, &b] {
        phone.quiet().await?;
    }
    Ok(())
}

/// The phone loses its last entry, as one set back from an old copy would, and calls another play: a
/// second, equally signed branch of its log.
async fn branch(phone: &Phone, site: &Site) -> Result<()> {
    phone.open(&site.url()).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    let own = LogFile::read(&fs::read(folder().join("short.log"))?);
    let author = own.chains[0].author().fingerprint().to_string();
    let gone = phone
        .evaluate(&format!(
            "new Promise((done, fail) => {{ const r = indexedDB.open('chalkbook'); r.onerror = fail; \
             r.onsuccess = () => {{ const tx = r.result.transaction('entries', 'readwrite'); \
             tx.objectStore('entries').delete(['{}', '{author}', 1]); \
             tx.oncomplete = () => {{ r.result.close(); done(true); }}; }}; }})",
            own.chains[0].game()
        ))
        .await?;
    ensure!(gone == true, "{gone}");
    phone.reload().await?;
    phone.tap("link", &starts("Quay Street")).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    phone.enter(&game, &OUT).await?;
    phone.record().await?;
    phone.read("At bat 22").await?;
    let log = keep_log(phone, "other-branch").await?;
    let file = LogFile::read(&log);
    ensure!(file.damage.is_none() && file.entries == 2, "{file:?}");
    Ok(())
}
