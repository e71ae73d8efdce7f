//! What one phone shows, seen by the camera of the other: its real screen, photographed, turned, out
//! of focus, shrunk, noisy, and with three frames of ten lost.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;
use std::{fs, os::unix::fs::symlink};

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, Rng, SMALL, Site, is, likely_call, starts, with};

use crate::official::{joined, lines, paste};

/// Frames a second of the camera, and codes a second of the screen.
const FRAMES: usize = 15;
const CODES: usize = 10;

/// Photographs the codes on a phone's screen one by one, as many as `count`.
async fn photographs(phone: &Phone, folder: &Path, count: usize) -> Result<Vec<PathBuf>> {
    let mut pictures = Vec::new();
    let mut last = String::new();
    while pictures.len() < count {
        // The same code twice would be no loss, only a shorter film.
        let code = "document.querySelector('.qr path').getAttribute('d')";
        let now = phone.evaluate(code).await?;
        let now = now.as_str().unwrap_or_default().to_owned();
        ensure!(!now.is_empty(), "no code on the screen");
        if now == last {
            continue;
        }
        last = now;
        let file = folder.join(format!("code-{:03}.png", pictures.len()));
        fs::write(&file, phone.photograph().await?)?;
        pictures.push(file);
    }
    Ok(pictures)
}

/// Where the code is on the screen, and the screen's width: CSS pixels.
struct Place {
    top: f64,
    side: f64,
    width: f64,
}

impl Place {
    async fn on(phone: &Phone) -> Result<Self> {
        let place = "(r => [r.top, r.height, innerWidth])(document.querySelector('.qr svg').getBoundingClientRect())";
        let place = phone.evaluate(place).await?;
        let number = |at: usize| place[at].as_f64().context("the code has no place");
        Ok(Self {
            top: number(0)?,
            side: number(1)?,
            width: number(2)?,
        })
    }

    /// What a camera held over the code sees of the screen, 1280 by 720: the code fills most of it.
    fn seen(&self) -> String {
        const CODE: f64 = 590.0;
        const MARGIN: f64 = 400.0;
        let scale = CODE / self.side;
        let width = (self.width * scale).round();
        let from = (MARGIN + (self.top + self.side / 2.0) * scale - 360.0).round();
        format!(
            "scale={width}:-1,pad=iw:ih+{}:0:{MARGIN}:color=gray,crop={width}:720:0:{from},gblur=sigma=1.1,\
             pad=1280:720:(ow-iw)/2:0:color=gray,rotate=6*PI/180:ow=1280:oh=720:fillcolor=gray,\
             eq=contrast=0.8:brightness=0.05,noise=alls=8:allf=t,format=yuv420p",
            2.0 * MARGIN
        )
    }
}

/// Makes a film of the photographs as a camera in a hand would see them.
fn film(
    codes: &[PathBuf],
    place: &Place,
    folder: &Path,
    to: &Path,
    rng: &mut Rng,
) -> Result<usize> {
    let frames = codes.len() * FRAMES / CODES;
    let mut lost = 0;
    let mut shown = 0;
    for frame in 0..frames {
        let code = frame * CODES / FRAMES;
        // A frame that is lost leaves the one before it standing.
        if frame > 0 && rng.u8(..10) < 3 {
            lost += 1;
        } else {
            shown = code;
        }
        let link = folder.join(format!("frame-{frame:04}.png"));
        symlink(codes.get(shown).context("no such code")?, link)?;
    }
    let done = Command::new("ffmpeg")
        .args([
            "-loglevel",
            "error",
            "-y",
            "-framerate",
            &FRAMES.to_string(),
            "-i",
        ])
        .arg(folder.join("frame-%04d.png"))
        .args(["-vf", &place.seen(), "-f", "yuv4mpegpipe"])
        .arg(to)
        .status()
        .context("ffmpeg: `cargo xtask test browser` installs it")?;
    ensure!(done.success(), "ffmpeg made no film");
    let pictures = xtask::place::artefacts().join("camera");
    fs::create_dir_all(&pictures)?;
    let still = pictures.join("what-the-camera-sees.png");
    let done = Command::new("ffmpeg")
        .args(["-loglevel", "error", "-y", "-i"])
        .arg(to)
        .args(["-frames:v", "1"])
        .arg(still)
        .status()?;
    ensure!(done.success(), "ffmpeg took no still");
    Ok(lost)
}

/// Takes the other record by camera, and says how long that took from the first picture on: a
/// figure, not a verdict, for it depends on the machine.
async fn cross(phone: &Phone, how: &str) -> Result<()> {
    phone.tap("link", &with("Take theirs")).await?;
    phone
        .until("document.querySelector('video')?.readyState >= 2")
        .await?;
    let seen = Instant::now();
    phone.picture("camera").await?;
    phone.until("location.pathname.endsWith('/cross')").await?;
    let took = seen.elapsed().as_secs_f64();
    phone.see("region", &is("Comparison")).await?;
    let missed = if took < 6.0 { "" } else { ", missed" };
    println!("a whole game by camera, {how}: {took:.1} s (budget 6 s{missed})");
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_whole_game_crosses_by_camera() -> Result<()> {
    let folder = tempfile::Builder::new()
        .prefix("chalkbook-film-")
        .tempdir()?;
    let path = folder.path().join("film.y4m");
    let (_site, mut a, b) = joined("camera", Some(&path)).await?;
    let mut rng = Rng::with_seed(5);
    let mut plays = 0;
    while a.game.ending().is_none() {
        let call = likely_call(&a.game, &mut rng);
        (a.game, _) = a.phone.call(a.game.clone(), &call).await?;
        plays += 1;
    }
    a.phone.tap("link", &is("Final statement")).await?;
    a.phone.tap("link", &is("Second phone")).await?;
    a.phone.tap("link", &with("Show mine")).await?;
    a.phone.see("image", &starts("Code for the other")).await?;
    a.phone.read("codes shown").await?;
    let said = a.phone.text().await?;
    let needed: usize = said
        .split(" of ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next()?.parse().ok())
        .or_else(|| said.split("the ").nth(1)?.split(' ').next()?.parse().ok())
        .with_context(|| format!("how many codes? {said}"))?;
    a.phone.picture("codes").await?;
    a.phone.audit("codes").await?;
    let codes = photographs(&a.phone, folder.path(), needed * 2).await?;
    let place = Place::on(&a.phone).await?;
    let lost = film(&codes, &place, folder.path(), &path, &mut rng)?;

    b.second_phone().await?;
    println!(
        "{plays} plays in {needed} codes, a film of {} frames of which {lost} lost",
        codes.len() * FRAMES / CODES,
    );
    cross(&b.phone, "at full speed").await?;
    b.phone.picture("taken").await?;
    b.phone.slow_down(4.0).await?;
    cross(&b.phone, "at a quarter of the speed").await?;
    b.phone.slow_down(1.0).await?;
    // The camera is given back.
    b.phone
        .until("document.querySelector('video') === null")
        .await?;

    // The same record by text adds nothing: it is all here.
    a.phone.tap("link", &is("Done")).await?;
    let text = lines(&a.phone, "Show mine").await?;
    b.phone.tap("link", &with("Take theirs")).await?;
    paste(&b.phone, &text).await?;
    b.phone.see("region", &is("Comparison")).await?;
    b.phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_camera_the_other_ways_are_named() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("no-camera", SMALL).await?;
    phone.open(&format!("{}take", site.url())).await?;
    phone.see("button", &is("Try the camera again")).await?;
    let said = phone.text().await?;
    ensure!(said.contains("as text or as a file"), "{said}");
    phone.picture("no-camera").await?;
    phone.audit("no camera").await?;
    phone.tap("button", &is("Text")).await?;
    phone.see("textbox", &starts("Paste the lines")).await?;
    phone.quiet().await
}
