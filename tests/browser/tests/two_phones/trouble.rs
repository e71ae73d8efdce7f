//! What goes wrong between two phones, and what is said then: no camera allowed, codes of other
//! things, a reader that does not start; and what a camera offers beyond its picture.

use std::path::Path;
use std::process::Command;
use std::{fs, iter};

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, QUAY_STREET, SMALL, Site, TRAM_YARD, is, starts, with};
use engine::link::qr::{Code, draw};
use engine::link::{Inbox, Kind, Sender, SymbolSize, text};
use engine::play::{BatterFate, Call};
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

use crate::official::{hand_over, joined, lines};

/// A film of codes, each shown for a third of a second, straight before the camera.
fn film(lines: &[String], folder: &Path, to: &Path) -> Result<()> {
    for (n, line) in lines.iter().enumerate() {
        let code = draw(line)?;
        let side = code.side() + 2 * Code::QUIET;
        let dark = |at: usize| {
            let (x, y) = (at % side, at / side);
            x >= Code::QUIET && y >= Code::QUIET && code.dark(x - Code::QUIET, y - Code::QUIET)
        };
        let mut picture = format!("P5\n{side} {side}\n255\n").into_bytes();
        picture.extend((0..side * side).map(|at| if dark(at) { 0u8 } else { 255 }));
        fs::write(folder.join(format!("code-{n:03}.pgm")), picture)?;
    }
    // Each code in turn, made as large as the picture allows.
    let done = Command::new("ffmpeg")
        .args(["-loglevel", "error", "-y", "-framerate", "3", "-start_number", "0", "-i"])
        .arg(folder.join("code-%03d.pgm"))
        .args([
            "-vf",
            "scale=640:640:flags=neighbor,pad=1280:720:(ow-iw)/2:(oh-ih)/2:color=gray,fps=15,format=yuv420p",
            "-f",
            "yuv4mpegpipe",
        ])
        .arg(to)
        .status()
        .context("ffmpeg: `cargo xtask test browser` installs it")?;
    ensure!(done.success(), "ffmpeg made no film");
    for n in 0..lines.len() {
        fs::remove_file(folder.join(format!("code-{n:03}.pgm")))?;
    }
    Ok(())
}

/// Points the camera at a new film.
async fn point_again(phone: &Phone) -> Result<()> {
    phone.tap("button", &is("Text")).await?;
    phone.see("textbox", &starts("Paste the lines")).await?;
    phone.tap("button", &is("Camera")).await?;
    Ok(())
}

/// A payload as the lines of its codes.
fn codes(kind: Kind, payload: &[u8]) -> Result<Vec<String>> {
    let sender = Sender::new(kind, payload, SymbolSize::QR)?;
    Ok(sender.batch(2).map(|packet| text::line(&packet)).collect())
}

/// A packet as a later version would make it: another first byte, and a right check.
fn of_a_later_version() -> Result<String> {
    let sender = Sender::new(Kind::Entries, &[7; 300], SymbolSize::QR)?;
    let mut bytes = sender.packet(0).to_bytes();
    let end = bytes.len() - 4;
    bytes[0] += 1;
    let check = Sha256::digest(&bytes[..end]);
    bytes[end..].copy_from_slice(&check[..4]);
    let body = data_encoding::BASE32_NOPAD.encode(&bytes);
    Ok(format!("CHALK:{body}."))
}

/// What one phone shows, put together again.
fn payload(shown: &str) -> Result<(Kind, Vec<u8>)> {
    let mut inbox = Inbox::new();
    for packet in text::read(shown).packets {
        inbox.accept(&packet)?;
    }
    let whole = inbox.take().pop().context("the lines make no whole")?;
    Ok((whole.kind, whole.payload))
}

#[tokio::test(flavor = "multi_thread")]
async fn codes_of_other_things_are_named() -> Result<()> {
    let folder = tempfile::Builder::new()
        .prefix("chalkbook-film-")
        .tempdir()?;
    let path = folder.path().join("film.y4m");
    let site = Site::start()?;
    // Another phone with another game.
    let other = Phone::new("wrong-code-other", SMALL).await?;
    other.open(&site.url()).await?;
    other.new_game(&TRAM_YARD, &QUAY_STREET).await?;
    other.tap("button", &is("More")).await?;
    other.tap("link", &is("Second phone")).await?;
    let (kind, record) = payload(&lines(&other, "Show mine").await?)?;
    ensure!(kind == Kind::Entries, "{kind}");

    let phone = Phone::with_camera("wrong-code", SMALL, Some(&path)).await?;
    film(
        &["HTTPS://EXAMPLE.ORG/MENU".to_owned()],
        folder.path(),
        &path,
    )?;
    phone.open(&format!("{}take", site.url())).await?;
    phone.read("This is another kind of code.").await?;
    phone.picture("another-kind").await?;
    phone.audit("another kind of code").await?;

    film(&[of_a_later_version()?], folder.path(), &path)?;
    point_again(&phone).await?;
    phone.read("The other phone runs a newer version.").await?;
    phone.picture("newer").await?;

    film(&codes(Kind::Entries, &record)?, folder.path(), &path)?;
    point_again(&phone).await?;
    phone.read("a game that is not on this phone").await?;
    phone.picture("game-not-here").await?;

    // With a game open, only what belongs to it is taken.
    phone.open(&site.url()).await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Second phone")).await?;
    phone.tap("link", &with("Take theirs")).await?;
    phone
        .read("This is another game: Tram Yard at Quay Street.")
        .await?;
    phone.picture("another-game").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_camera_that_is_not_allowed_or_not_read_says_so() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("not-allowed", SMALL).await?;
    let denied = "navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', 'NotAllowedError'));";
    phone.before_each_page(denied).await?;
    phone.open(&format!("{}take", site.url())).await?;
    phone
        .read("The camera is not allowed for this page.")
        .await?;
    phone.see("button", &is("Try the camera again")).await?;
    phone.picture("not-allowed").await?;
    phone.audit("camera not allowed").await?;
    phone.quiet().await?;

    let folder = tempfile::Builder::new()
        .prefix("chalkbook-film-")
        .tempdir()?;
    let path = folder.path().join("film.y4m");
    film(&["A CODE".to_owned()], folder.path(), &path)?;
    let phone = Phone::with_camera("no-reader", SMALL, Some(&path)).await?;
    let broken = "window.Worker = class { constructor() { setTimeout(() => this.onerror && this.onerror({})); } \
        postMessage() {} terminate() {} };";
    phone.before_each_page(broken).await?;
    phone.open(&format!("{}take", site.url())).await?;
    phone
        .read("This browser does not start the reader of codes.")
        .await?;
    phone.picture("no-reader").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn light_and_zoom_are_there_where_the_camera_offers_them() -> Result<()> {
    let folder = tempfile::Builder::new()
        .prefix("chalkbook-film-")
        .tempdir()?;
    let path = folder.path().join("film.y4m");
    film(&["A CODE".to_owned()], folder.path(), &path)?;
    let site = Site::start()?;
    let phone = Phone::with_camera("light-and-zoom", SMALL, Some(&path)).await?;
    phone.open(&format!("{}take", site.url())).await?;
    phone.read("This is another kind of code.").await?;
    let buttons = phone.all("button", &is("Light")).await?;
    let sliders = phone.all("slider", &is("nearer")).await?;
    ensure!(
        buttons.is_empty() && sliders.is_empty(),
        "{buttons:?} {sliders:?}"
    );

    let offers = "window.asked = []; \
        MediaStreamTrack.prototype.getCapabilities = () => ({ torch: true, zoom: { min: 1, max: 4 } }); \
        MediaStreamTrack.prototype.applyConstraints = async how => { window.asked.push(how.advanced[0]); };";
    phone.before_each_page(offers).await?;
    phone.reload().await?;
    phone.see("slider", &is("nearer")).await?;
    phone.picture("offered").await?;
    phone.audit("light and zoom").await?;
    phone.tap("button", &is("Light")).await?;
    phone
        .until("window.asked.some(one => one.torch === true)")
        .await?;
    phone.tap("button", &is("Light")).await?;
    phone
        .until("window.asked.some(one => one.torch === false)")
        .await?;
    let pull = "(slider => { slider.value = 3; slider.dispatchEvent(new Event('input', { bubbles: true })); })\
        (document.querySelector('input[type=range]'))";
    phone.evaluate(pull).await?;
    phone
        .until("window.asked.some(one => one.zoom === 3)")
        .await?;
    phone.quiet().await
}

/// A file, passed on by the phone's own sheet, is read on the other phone; and what the second
/// exchange sends is short.
#[tokio::test(flavor = "multi_thread")]
async fn a_file_crosses_and_the_next_holds_only_what_is_new() -> Result<()> {
    let (_site, mut a, mut b) = joined("file", None).await?;
    let sheet = "navigator.canShare = () => true; \
        navigator.share = async what => { window.passedOn = [what.files[0].name, await what.files[0].text()]; };";
    // Screens turn without loading a page.
    a.phone
        .evaluate(&format!("(() => {{ {sheet} return true; }})()"))
        .await?;
    let out = Call::new(BatterFate::OUT);
    for call in iter::repeat_n(out, 3) {
        a.call(&call).await?;
        b.call(&call).await?;
    }
    for official in [&a, &b] {
        official.phone.tap("button", &is("not the same")).await?;
        official.phone.see("heading", &is("Second phone")).await?;
    }
    a.phone.tap("link", &with("Show mine")).await?;
    a.phone.tap("button", &is("File")).await?;
    a.phone.tap("button", &is("Pass the file on")).await?;
    a.phone.read("Passed on.").await?;
    let passed = a.phone.evaluate("window.passedOn").await?;
    ensure!(passed[0] == "chalkbook-record.txt", "{passed}");
    let first = passed[1].as_str().context("no text")?.to_owned();

    let folder = tempfile::Builder::new()
        .prefix("chalkbook-file-")
        .tempdir()?;
    let file = folder.path().join("chalkbook-record.txt");
    fs::write(&file, &first)?;
    b.phone.tap("link", &with("Take theirs")).await?;
    b.phone.tap("button", &is("File")).await?;
    b.phone
        .until("document.querySelector('input[type=file]') !== null")
        .await?;
    choose(&b.phone, &file).await?;
    b.phone.see("region", &is("Comparison")).await?;
    b.phone.read("Both records tell the same game.").await?;

    // B's answer says what arrived; from then on A leaves it out.
    a.phone.tap("link", &is("Done")).await?;
    hand_over(&b.phone, "Show mine", &a.phone).await?;
    a.phone.see("region", &is("Comparison")).await?;
    let second = lines(&a.phone, "Show mine").await?;
    ensure!(
        second.len() * 3 < first.len(),
        "{} after {}",
        second.len(),
        first.len()
    );
    println!(
        "first {} characters, then {} when the other has it all",
        first.len(),
        second.len()
    );
    b.phone.tap("link", &with("Take theirs")).await?;
    crate::official::paste(&b.phone, &second).await?;
    b.phone.read("Both records tell the same game.").await?;

    // A phone that lacks what was left out says so and takes the whole.
    b.phone.evaluate(FORGET).await?;
    b.phone.reload().await?;
    b.phone.tap("link", &with("Take theirs")).await?;
    crate::official::paste(&b.phone, &second).await?;
    b.phone.read("Show all of it").await?;
    b.phone.picture("lacks").await?;
    a.phone.tap("link", &with("Show mine")).await?;
    a.phone.picture("only-what-is-new").await?;
    a.phone.audit("only what is new").await?;
    a.phone.tap("button", &is("Show all of it")).await?;
    a.phone.tap("button", &is("Text")).await?;
    a.phone.see("textbox", &is("Lines to send")).await?;
    let whole = a
        .phone
        .evaluate("document.querySelector('textarea').value")
        .await?;
    let whole = whole.as_str().context("no text")?;
    ensure!(
        whole.len() + 200 > first.len(),
        "{} after {}",
        whole.len(),
        first.len()
    );
    b.phone
        .fill("textbox", &starts("Paste the lines"), whole)
        .await?;
    b.phone.tap("button", &is("Read the lines")).await?;
    b.phone.read("Both records tell the same game.").await?;
    for official in [&a, &b] {
        official.phone.quiet().await?;
    }
    Ok(())
}

/// Takes every entry of other officials from the phone, as a phone that lost them.
const FORGET: &str = "new Promise((done, failed) => { const open = indexedDB.open('chalkbook'); \
    open.onerror = () => failed('no database'); \
    open.onsuccess = () => { const db = open.result; const t = db.transaction(['entries', 'games'], 'readwrite'); \
        t.oncomplete = () => { db.close(); done(true); }; \
        t.objectStore('games').getAll().onsuccess = games => { \
            const own = new Set(games.target.result.map(game => game.author)); \
            t.objectStore('entries').openCursor().onsuccess = found => { const at = found.target.result; \
                if (!at) return; if (!own.has(at.value.author)) at.delete(); at.continue(); }; }; }; })";

/// Chooses a file in the field on the screen.
async fn choose(phone: &Phone, file: &Path) -> Result<()> {
    let field = phone
        .protocol(
            "Runtime.evaluate",
            json!({ "expression": "document.querySelector('input[type=file]')" }),
        )
        .await?;
    let object = field.pointer("/result/objectId").and_then(Value::as_str);
    let object = object.context("there is no field for a file")?;
    let what = json!({ "files": [file.display().to_string()], "objectId": object });
    phone.protocol("DOM.setFileInputFiles", what).await?;
    Ok(())
}
