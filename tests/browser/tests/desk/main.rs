//! The organiser's desk with no network: a whole day taken in from files, with its slips, the log signed
//! twice and the damaged file; every verdict the engine's, the tables those of a collector that got the
//! same logs; a dispute settled by a signed decision; what is given out; and all of it still there after
//! a reload.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

mod absurd;
mod check;
mod collector;
mod hands;
mod kept;
mod lot;

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, SMALL, Site, TALL, is, starts, with};
use demoday::{DemoDay, Story, play_day, report};
use engine::charter::SignedCharter;
use engine::log::{LogFile, Verified};
use engine::report::publish::PublishedEvent;
use engine::report::{EventReport, GameReport};
use hands::{charter_for, choose_new, files, key_of, look};
use serde_json::{Value, json};

/// Taps a button that saves a file, and gives what was saved.
async fn saved(phone: &Phone, folder: &Path, button: &str, name: &str) -> Result<String> {
    let file = folder.join(name);
    let _ = fs::remove_file(&file);
    phone.tap("button", &starts(button)).await?;
    let from = Instant::now();
    // The browser makes the file before it fills it.
    while fs::metadata(&file).map_or(0, |m| m.len()) == 0 {
        ensure!(
            from.elapsed() < Duration::from_secs(20),
            "{name} was not saved"
        );
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    Ok(fs::read_to_string(&file)?)
}

/// What a collector gives out of the same logs: it writes with the same engine.
fn expected(day: &DemoDay, charter: &SignedCharter<Verified>, file: &str) -> Result<String> {
    let reports: Vec<GameReport> = day
        .games
        .iter()
        .filter_map(|g| report(g, charter.charter()))
        .collect();
    let plain: Vec<&GameReport> = reports.iter().collect();
    let event = EventReport::of(charter.charter(), &plain);
    let published = PublishedEvent {
        event: &day.charter.hash().to_string(),
        charter: Some(charter.charter()),
        games: &plain,
        report: Some(&event),
    };
    let file = published.file(file).context("no such file")?;
    Ok(file.content)
}

#[tokio::test(flavor = "multi_thread")]
async fn a_day_from_files_alone() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let folder = tempfile::tempdir()?;
    let down = folder.path().join("down");
    fs::create_dir_all(&down)?;
    let mut site = Site::start()?;
    let phone = Phone::new("desk", SMALL).await?;
    let params = json!({ "behavior": "allow", "downloadPath": down.display().to_string() });
    phone
        .protocol("Browser.setDownloadBehavior", params)
        .await?;
    phone.open(&site.url()).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.offline_ready().await?;
    // From here on there is no network at all.
    site.stop();
    phone.tap("link", &starts("Organiser's desk")).await?;
    phone.see("heading", &is("Organiser's desk")).await?;
    let charter = charter_for(&day, key_of(&phone).await?)?;
    let mut all = vec![folder.path().join("first.charter")];
    fs::write(&all[0], day.charter.bytes())?;
    all.extend(files(&day, &charter, folder.path())?);

    look(&phone, "events-none").await?;
    phone.tap("link", &is("Collect files")).await?;
    phone.see("heading", &is("Files")).await?;
    look(&phone, "take-in").await?;
    let from = Instant::now();
    choose_new(&phone, &all).await?;
    phone
        .read(&format!("{} files are kept.", all.len()))
        .await?;
    println!("{} files taken in {:?}", all.len(), from.elapsed());
    phone.read("damaged.log").await?;
    look(&phone, "taken-in").await?;

    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &starts("Harbour Day")).await?;
    phone.see("heading", &is("Fish market")).await?;
    phone
        .read("16 of 16 scheduled games are in, 1 disputed, 1 tampered.")
        .await?;
    look(&phone, "games").await?;
    // Every game stands as the engine says.
    for game in &day.games {
        let expected = report(game, day.charter.charter()).context("a report")?;
        let row = phone
            .see("link", &with(format!("game {},", game.fixture)))
            .await?;
        let words = expected.verdict.to_string();
        ensure!(
            row.name.to_lowercase().contains(&words),
            "game {}: {} is not {words}",
            game.fixture,
            row.name
        );
        for side in engine::team::Side::BOTH {
            let line = format!("{}{}", expected.teams[side], expected.score[side]);
            let plain: String = row.name.split_whitespace().collect();
            let line: String = line.split_whitespace().collect();
            ensure!(plain.contains(&line), "{} has not {line}", row.name);
        }
    }
    evidence(&phone, &day).await?;

    phone.tap("link", &is("Publish")).await?;
    phone.see("button", &starts("Save games.csv")).await?;
    look(&phone, "give-out").await?;
    for name in [
        "games.csv",
        "games.json",
        "standings.json",
        "standings-1.csv",
        "schedule.csv",
        "schedule.ics",
        "leaders.csv",
        "leaders.json",
    ] {
        let given = saved(&phone, &down, &format!("Save {name}"), name).await?;
        ensure!(
            given == expected(&day, &charter, name)?,
            "{name} is not the engine's:\n{given}"
        );
    }
    paper(&phone).await?;
    settle(&phone, &day, &down).await?;
    after_reload(&phone, &site, &down).await?;
    phone.quiet().await
}

/// What is wrong is one tap away, in sentences.
async fn evidence(phone: &Phone, day: &DemoDay) -> Result<()> {
    let find = |story| {
        day.games
            .iter()
            .find(|g| g.story == story)
            .map(|g| g.fixture)
    };
    let forked = find(Story::Forked).context("a fork")?;
    phone.tap("link", &with(format!("game {forked},"))).await?;
    phone.read("was signed twice: in the line shown").await?;
    look(phone, "tampered").await?;
    phone.tap("link", &is("Back")).await?;
    phone
        .tap("link", &with(format!("game {},", day.tampered_fixture)))
        .await?;
    phone.read("damaged.log: Entry").await?;
    look(phone, "damaged-file").await?;
    phone.tap("link", &is("Back")).await?;
    Ok(())
}

/// The results on paper: tables, finals with their scores, every game, leaders.
async fn paper(phone: &Phone) -> Result<()> {
    phone.prints_on("desk-results", 2).await
}

/// The dispute is settled, and the table follows.
async fn settle(phone: &Phone, day: &DemoDay, down: &Path) -> Result<()> {
    let disputed = day.games.iter().find(|g| g.story == Story::LeftOpen);
    let disputed = disputed.context("a dispute")?;
    let before = saved(phone, down, "Save standings.json", "standings.json").await?;
    phone.tap("link", &is("Games")).await?;
    phone
        .tap("link", &with(format!("game {},", disputed.fixture)))
        .await?;
    phone.see("heading", &is("Settle it")).await?;
    look(phone, "disputed").await?;
    phone.tap("button", &is("Sign the decision")).await?;
    phone.read("Choose first what stands.").await?;
    let now = report(disputed, day.charter.charter()).context("a report")?;
    let winner = match now.score.guest > now.score.home {
        true => now.teams.guest,
        false => now.teams.home,
    };
    let forfeit = phone
        .see("radio", &is(format!("{winner} forfeited")))
        .await?;
    phone.touch(&forfeit).await?;
    phone
        .fill("textbox", &is("Why"), "A player was not on the roster.")
        .await?;
    phone.tap("button", &is("Sign the decision")).await?;
    phone
        .read(&format!("Decided by the organiser: {winner} forfeited."))
        .await?;
    look(phone, "decided").await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &is("Tables")).await?;
    phone.see("heading", &is("Leaders")).await?;
    look(phone, "tables").await?;
    phone.tap("link", &is("Publish")).await?;
    let after = saved(phone, down, "Save standings.json", "standings.json").await?;
    ensure!(before != after, "the decision did not move the table");
    let csv = saved(phone, down, "Save games.csv", "games.csv").await?;
    let line = csv
        .lines()
        .find(|l| l.contains("A player was not on the roster."));
    ensure!(
        line.is_some_and(|l| l.contains("decided by the organiser,forfeit,yes")),
        "{csv}"
    );
    // What was signed is a log like any other, good for every verifier.
    let log = saved(phone, down, "Save the decisions", "decisions.playlog").await;
    let bytes = match log {
        Ok(text) => text.into_bytes(),
        Err(_) => fs::read(down.join("decisions.playlog"))?,
    };
    let file = LogFile::read(&bytes);
    ensure!(
        file.damage.is_none() && file.entries == 2,
        "{:?}",
        file.damage
    );
    Ok(())
}

/// Everything is still there, the decision too.
async fn after_reload(phone: &Phone, site: &Site, down: &Path) -> Result<()> {
    let games = fs::read_to_string(down.join("games.csv"))?;
    let standings = fs::read_to_string(down.join("standings.json"))?;
    // As on a phone four times slower.
    phone.slow_down(4.0).await?;
    phone.open(&format!("{}desk", site.url())).await?;
    let from = Instant::now();
    phone.see("link", &starts("Harbour Day")).await?;
    println!("the desk opens again in {:?}", from.elapsed());
    phone.tap("link", &starts("Harbour Day")).await?;
    phone
        .read("16 of 16 scheduled games are in, 1 tampered.")
        .await?;
    println!("and has read all 16 games in {:?}", from.elapsed());
    phone.slow_down(1.0).await?;
    phone.tap("link", &is("Collect")).await?;
    phone.read("damaged.log").await?;
    phone.tap("link", &is("Publish")).await?;
    let again = saved(phone, down, "Save games.csv", "games.csv").await?;
    ensure!(again == games, "{again}");
    let again = saved(phone, down, "Save standings.json", "standings.json").await?;
    ensure!(again == standings, "{again}");
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn the_desk_fits_a_common_phone() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let folder = tempfile::tempdir()?;
    let site = Site::start()?;
    let phone = Phone::new("desk-tall", TALL).await?;
    phone.open(&format!("{}desk?part=in", site.url())).await?;
    phone.see("heading", &is("Files")).await?;
    let all = files(&day, &day.charter, folder.path())?;
    choose_new(&phone, &all).await?;
    phone.read("files are kept.").await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &starts("Harbour Day")).await?;
    phone.see("heading", &is("Slipway")).await?;
    look(&phone, "games").await?;
    phone.tap("link", &with("game 7,")).await?;
    // This phone's key is not the organiser's.
    phone.read("Only the organiser decides").await?;
    look(&phone, "not-the-organiser").await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &is("Tables")).await?;
    phone.see("heading", &is("Leaders")).await?;
    look(&phone, "tables").await?;
    let value: Value = phone
        .evaluate("document.querySelectorAll('table').length")
        .await?;
    ensure!(value.as_u64().unwrap_or_default() >= 3, "{value}");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_team_that_did_not_come() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let folder = tempfile::tempdir()?;
    let site = Site::start()?;
    let phone = Phone::new("desk-absent", TALL).await?;
    phone.open(&format!("{}desk", site.url())).await?;
    phone.see("link", &is("Collect files")).await?;
    let charter = charter_for(&day, key_of(&phone).await?)?;
    let file = folder.path().join("harbour-day.charter");
    fs::write(&file, charter.bytes())?;
    phone.tap("link", &is("Collect files")).await?;
    choose_new(&phone, &[file]).await?;
    phone.read("1 file is kept.").await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &starts("Harbour Day")).await?;
    phone
        .read("0 of 16 scheduled games are in, 12 missing.")
        .await?;
    phone.tap("link", &with("game 1,")).await?;
    phone
        .see("heading", &is("A team did not come, or it is called off"))
        .await?;
    look(&phone, "missing").await?;
    let absent = phone.see("radio", &with("forfeited")).await?;
    phone.touch(&absent).await?;
    phone
        .fill("textbox", &is("Why"), "Only three players came.")
        .await?;
    phone.tap("button", &is("Sign the decision")).await?;
    phone.read("This game is decided.").await?;
    phone.tap("link", &is("Back")).await?;
    phone
        .read("1 of 16 scheduled games are in, 11 missing.")
        .await?;
    phone.tap("link", &with("game 1,")).await?;
    phone.read("Only three players came.").await?;
    phone.read("No official's record is here.").await?;
    phone.tap("link", &is("Back")).await?;
    // A game that is called off closes its place; nobody gets a win by it.
    phone.tap("link", &with("game 2,")).await?;
    let off = phone.see("radio", &starts("It will not be played")).await?;
    phone.touch(&off).await?;
    phone
        .fill("textbox", &is("Why"), "Thunder all afternoon.")
        .await?;
    phone.tap("button", &is("Sign the decision")).await?;
    phone.read("This game is decided.").await?;
    phone.tap("link", &is("Back")).await?;
    phone
        .read("1 of 16 scheduled games are in, 10 missing.")
        .await?;
    phone.tap("link", &with("game 2,")).await?;
    phone
        .read("It does not count and will not be played: the organiser decided so.")
        .await?;
    look(&phone, "called-off").await?;
    phone.tap("link", &is("Back")).await?;
    phone.tap("link", &is("Tables")).await?;
    phone
        .read("Game 2 will not be played: the table is complete without it.")
        .await?;
    phone.quiet().await
}
