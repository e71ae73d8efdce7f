//! What the desk keeps, read again: at once and without a stop on a slow phone, and never shown as good
//! when it was changed where it lies.

use std::path::PathBuf;
use std::time::Duration;

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, SMALL, Site, is, starts, with};
use demoday::{DemoDay, Story, play_day};
use tempfile::TempDir;

use crate::hands::{choose, choose_new, files, look};

/// Notes every task of the page that takes longer than 50 ms (W3C Long Tasks).
const NOTE: &str = "window.long = []; new PerformanceObserver(l => l.getEntries().forEach(e => \
    long.push([e.startTime, e.duration]))).observe({ type: 'longtask', buffered: true });";

/// A day whose files a phone has taken in at the desk, with the folder that they lie in.
async fn kept(name: &str) -> Result<(DemoDay, TempDir, Site, Phone, Vec<PathBuf>)> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let folder = tempfile::tempdir()?;
    let site = Site::start()?;
    let phone = Phone::new(name, SMALL).await?;
    phone.open(&format!("{}desk?part=in", site.url())).await?;
    let all = files(&day, &day.charter, folder.path())?;
    choose_new(&phone, &all).await?;
    phone
        .read(&format!("{} files are kept.", all.len()))
        .await?;
    Ok((day, folder, site, phone, all))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_slow_phone_shows_the_day_at_once() -> Result<()> {
    let (day, _folder, site, phone, _) = kept("desk-slow").await?;

    // From another screen: what loads the app is not the desk's.
    phone.before_each_page(NOTE).await?;
    phone.open(&format!("{}settings", site.url())).await?;
    phone.see("heading", &is("Settings")).await?;
    phone.slow_down(4.0).await?;
    tokio::time::sleep(Duration::from_secs(1)).await;
    let to = format!("/desk?event={}", day.charter.hash());
    let turn = format!(
        "new Promise(done => {{ const from = performance.now(); let first = 0, looks = 0; \
         const a = document.createElement('a'); a.href = '{to}'; document.body.append(a); a.click(); a.remove(); \
         const look = () => {{ const text = document.body.innerText; \
         if (text.includes('game 1,')) {{ if (!first) first = performance.now() - from; looks += 1 }} \
         if (text.includes('16 of 16 scheduled games are in')) setTimeout(() => done([first, performance.now() - from, \
         Math.max(0, ...long.filter(([at]) => at > from).map(([, took]) => took)), looks]), 300); \
         else setTimeout(look, 20) }}; look() }})"
    );
    let figures = phone.evaluate(&turn).await?;
    let figure = |at: usize| figures[at].as_f64().context("a figure");
    let (first, whole, longest) = (figure(0)?, figure(1)? - 300.0, figure(2)?);
    // Figures, not verdicts, for they depend on the machine and on the build.
    let missed = if longest < 200.0 { "" } else { ", missed" };
    println!(
        "36 files at a quarter of the speed: the list after {first:.0} ms, all of it after {whole:.0} ms, \
         the longest task {longest:.0} ms (budget 200 ms{missed})"
    );
    // Work done in one piece would show the list and the whole in the same look.
    let looks = figures[3].as_u64().context("a count")?;
    ensure!(
        looks >= 3,
        "the list stood for {looks} looks before all was checked"
    );
    phone.slow_down(1.0).await?;
    phone.quiet().await
}

/// Changes one byte of an entry where it lies; gives whether there was one.
async fn spoil(phone: &Phone, game: &str, author: &str, seq: u64, from_end: u64) -> Result<()> {
    let change = format!(
        "new Promise((done, fail) => {{ const o = indexedDB.open('chalkbook'); o.onerror = fail; \
         o.onsuccess = () => {{ const t = o.result.transaction('entries', 'readwrite'); \
         const s = t.objectStore('entries'); const q = s.get(['{game}', '{author}', {seq}]); \
         q.onsuccess = () => {{ const row = q.result; row.bytes[row.bytes.length - {from_end}] ^= 1; s.put(row); }}; \
         t.oncomplete = () => {{ o.result.close(); done(true) }}; t.onabort = fail; }} }})"
    );
    phone.until(&change).await
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_changed_where_it_lies_is_never_shown_as_good() -> Result<()> {
    let (day, _folder, site, phone, all) = kept("desk-spoilt").await?;

    // Of four games: a signature in the middle, a byte of a play, the last signature, and the opening.
    let plain: Vec<_> = day
        .games
        .iter()
        .filter(|g| g.story == Story::Plain)
        .take(4)
        .collect();
    ensure!(plain.len() == 4, "{} plain games", plain.len());
    let lasts = plain.iter().map(|g| g.records[0].next_seq() - 1);
    let at = [(9, 1), (12, 80), (0, 1), (0, 1)];
    for ((game, last), (n, (seq, from_end))) in
        plain.iter().zip(lasts).zip(at.into_iter().enumerate())
    {
        let chain = game.records[0].chain();
        let author = chain.author().fingerprint().to_string();
        let seq = if n == 2 { last } else { seq };
        spoil(&phone, &chain.game().to_string(), &author, seq, from_end).await?;
    }
    let desk = format!("{}desk?event={}", site.url(), day.charter.hash());
    phone.open(&desk).await?;
    phone.read("16 of 16 scheduled games are in").await?;
    phone
        .read("Something kept on this phone is damaged and does not count.")
        .await?;
    look(&phone, "games").await?;
    for (n, game) in plain.iter().enumerate() {
        let row = with(format!("game {},", game.fixture));
        let row = phone.see("link", &row).await?;
        phone.touch(&row).await?;
        phone.see("heading", &is("Damaged on this phone")).await?;
        let said = phone.text().await?;
        let whole = format!("{} entries.", game.records[0].chain().entries().len());
        match n {
            0 => ensure!(said.contains("9 entries."), "{said}"),
            1 => ensure!(said.contains("12 entries."), "{said}"),
            _ => {}
        }
        ensure!(said.matches(&whole).count() <= 1, "{whole}\n{said}");
        if n == 0 {
            look(&phone, "game").await?;
        }
        phone.tap("link", &is("Back")).await?;
    }

    // The same records again, from the officials: everything is good once more.
    phone.tap("link", &is("Collect")).await?;
    choose(&phone, "Records and charters", &all).await?;
    phone
        .read(&format!("{} files are kept.", all.len()))
        .await?;
    phone.open(&desk).await?;
    phone.read("16 of 16 scheduled games are in").await?;
    phone.see("heading", &is("Slipway")).await?;
    let said = phone.text().await?;
    ensure!(!said.contains("damaged"), "{said}");
    phone
        .tap("link", &with(format!("game {},", plain[0].fixture)))
        .await?;
    phone.see("heading", &starts("The records")).await?;
    ensure!(!phone.sees("heading", &is("Damaged on this phone")).await?);
    phone.quiet().await
}
