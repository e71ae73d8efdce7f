//! The desk and a collector: records fetched, decisions that get there by themselves, proof of a log
//! signed twice, and lines from another phone's screen.

use std::fs;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, ensure};
use browser::{Coast, Phone, SMALL, TALL, is, starts, with};
use demoday::{DemoDay, DemoGame, Story, play_day};
use engine::link::{Kind, Sender, SymbolSize, text};
use engine::log::{GameRecord, LogFile, LogName};
use engine::sync::Receipt;
use faults::proxy::Weather;

use crate::hands::{charter_for, choose, choose_new, key_of, look};

const PROGRAM: &str = env!("CARGO_BIN_EXE_collector_in_test");

fn name(record: &GameRecord) -> LogName {
    record.chain().name()
}

fn game(day: &DemoDay, story: Story) -> Result<&DemoGame> {
    let found = day.games.iter().find(|g| g.story == story);
    found.context("no such game")
}

/// An organiser's phone at a collector that serves the day's event, with the key listed there and the
/// charter on the phone.
async fn organiser(coast: &Coast, day: &DemoDay, name: &str, size: browser::Size) -> Result<Phone> {
    let folder = tempfile::tempdir()?;
    let phone = Phone::new(name, size).await?;
    phone.open(&format!("{}desk?part=in", coast.url())).await?;
    phone.offline_ready().await?;
    let charter = charter_for(day, key_of(&phone).await?)?;
    let answer = coast.put_charter(charter.bytes()).await?;
    ensure!(answer.status == 200, "{}", answer.status);
    let files =
        [("first", day.charter.bytes()), ("second", charter.bytes())].map(|(name, bytes)| {
            let file = folder.path().join(format!("{name}.charter"));
            fs::write(&file, bytes).map(|()| file)
        });
    let files = files.into_iter().collect::<std::io::Result<Vec<_>>>()?;
    choose_new(&phone, &files).await?;
    phone.read("2 files are kept.").await?;
    Ok(phone)
}

/// Waits until the public page of a game says something.
async fn published(coast: &Coast, path: &str, words: &str) -> Result<()> {
    let from = Instant::now();
    loop {
        let page = coast.get(path).await?;
        let page = String::from_utf8_lossy(&page.body).into_owned();
        if page.contains(words) {
            return Ok(());
        }
        ensure!(
            from.elapsed() < Duration::from_secs(40),
            "\"{words}\" is not on {path}, which is\n{page}"
        );
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_decision_gets_to_the_public_by_itself() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let coast = Coast::of(PROGRAM, day.charter.bytes(), &[]).await?;
    let event = day.charter.hash();
    let mut phone = organiser(&coast, &day, "desk-decides", SMALL).await?;

    // Nothing is there yet, then what two officials delivered.
    let desk = format!("{}desk?event={event}", coast.url());
    phone.open(&format!("{desk}&part=in")).await?;
    phone.tap("button", &is("Fetch records")).await?;
    phone
        .read("The collector has no game of this event yet.")
        .await?;
    let disputed = game(&day, Story::LeftOpen)?;
    for record in &disputed.records {
        let answer = coast
            .put_log(name(record), &record.chain().to_bytes())
            .await?;
        ensure!(answer.status == 200, "{}", answer.status);
    }
    phone.tap("button", &is("Fetch records")).await?;
    phone
        .read("1 game there; more came of 2 logs, each signature checked.")
        .await?;
    look(&phone, "fetched").await?;
    phone.tap("button", &is("Fetch records")).await?;
    phone
        .read("1 game there; everything is here already.")
        .await?;
    phone.tap("button", &is("Send decisions")).await?;
    phone
        .read("There is no decision of this phone to send.")
        .await?;

    // No signal, and the dispute is settled.
    coast.proxy.turn(Weather::Gone);
    phone.tap("button", &is("Fetch records")).await?;
    phone.read("Nobody answers there").await?;
    phone.tap("link", &is("Games")).await?;
    let fixture = disputed.fixture;
    phone.tap("link", &with(format!("game {fixture},"))).await?;
    let choice = phone
        .see("radio", &starts("Umpire's record stands"))
        .await?;
    phone.touch(&choice).await?;
    let why = "Both captains agree with the umpire.";
    phone.fill("textbox", &is("Why"), why).await?;
    phone.tap("button", &is("Sign the decision")).await?;
    phone.read("Decided by the organiser").await?;
    // The collector is known: the charter went there by itself.
    phone.read("2 waiting").await?;
    look(&phone, "decided-without-signal").await?;

    // Dead and started again: it still waits.
    phone.die_and_start_again().await?;
    phone.open(&format!("{}delivery", coast.url())).await?;
    phone.read("Decisions of organiser").await?;
    phone.read("2 entries stored here").await?;
    look(&phone, "delivery-waits").await?;
    let page = format!("/results/{event}/games/{}", name(&disputed.records[0]).game);
    let before = coast.get(&page).await?;
    let before = String::from_utf8_lossy(&before.body).into_owned();
    ensure!(
        before.contains("The records differ") && !before.contains(why),
        "{before}"
    );

    // The signal returns, and nobody touches anything.
    coast.proxy.turn(Weather::Fair);
    phone
        .evaluate("dispatchEvent(new Event('online')), true")
        .await?;
    published(&coast, &page, why).await?;
    phone.read("● delivered").await?;
    look(&phone, "delivery-done").await?;
    phone
        .open(&format!("{}{}", coast.url(), &page[1..]))
        .await?;
    phone.read("Decided by the organiser").await?;
    phone.picture("public").await?;

    // By hand too, as often as one likes; and after a restart it is known to be there.
    phone.open(&format!("{desk}&part=in")).await?;
    phone.tap("button", &is("Send decisions")).await?;
    phone.read("The decisions on 1 game are delivered.").await?;
    coast.proxy.turn(Weather::Gone);
    phone.die_and_start_again().await?;
    phone.open(&desk).await?;
    phone.tap("link", &with(format!("game {fixture},"))).await?;
    phone.read("● delivered").await?;
    look(&phone, "decided-and-delivered").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_decision_that_is_refused_says_why() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    // A collector of another event: no charter that lists this organiser's.
    let coast = Coast::with(PROGRAM, &[]).await?;
    let folder = tempfile::tempdir()?;
    let phone = Phone::new("desk-refused", TALL).await?;
    phone.open(&format!("{}desk?part=in", coast.url())).await?;
    let free = demoday::play_day(5).map_err(|e| anyhow::anyhow!("{e}"))?;
    drop(day);
    let charter = charter_for(&free, key_of(&phone).await?)?;
    let record = &free.games[0].records[0];
    let parts = [
        ("first.charter", free.charter.bytes().to_vec()),
        ("second.charter", charter.bytes().to_vec()),
        ("one.log", LogFile::write([record.chain()])),
    ];
    let mut files = Vec::new();
    for (name, bytes) in parts {
        files.push(folder.path().join(name));
        fs::write(folder.path().join(name), bytes)?;
    }
    choose_new(&phone, &files).await?;
    phone.read("3 files are kept.").await?;
    phone
        .open(&format!(
            "{}desk?event={}",
            coast.url(),
            free.charter.hash()
        ))
        .await?;
    phone.tap("link", &with("game 1,")).await?;
    let choice = phone.see("radio", &starts("It does not count")).await?;
    phone.touch(&choice).await?;
    phone
        .fill("textbox", &is("Why"), "Played by mistake.")
        .await?;
    phone.tap("button", &is("Sign the decision")).await?;
    // The collector keeps it, and says at the charter why it shows nothing of it.
    phone.read("there, not shown yet").await?;
    look(&phone, "refused").await?;
    phone.tap("link", &is("Delivery")).await?;
    phone.read("This collector serves").await?;
    look(&phone, "delivery-refused").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn proof_of_a_log_signed_twice_gets_there_by_itself() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let coast = Coast::of(PROGRAM, day.charter.bytes(), &[]).await?;
    let phone = organiser(&coast, &day, "desk-proof", TALL).await?;
    let forked = game(&day, Story::Forked)?;
    let other = forked.second_line.as_ref().context("the other line")?;
    let same = |r: &&GameRecord| r.chain().author() == other.chain().author();
    let record = forked.records.iter().find(same).context("its line")?;
    let log = name(record);
    // The collector has one line; the phone gets both from files.
    coast.put_log(log, &record.chain().to_bytes()).await?;
    let head = coast.get(&format!("{}/head", log.path())).await?;
    ensure!(
        Receipt::read(&head.body)
            .context("a receipt")?
            .forked_at
            .is_none()
    );
    let folder = tempfile::tempdir()?;
    let mut files = Vec::new();
    for (at, line) in [record, other].into_iter().enumerate() {
        let file = folder.path().join(format!("line-{}.log", at + 1));
        fs::write(&file, LogFile::write([line.chain()]))?;
        files.push(file);
    }
    choose(&phone, "Records and charters", &files).await?;
    phone.read("2 files are kept.").await?;
    let from = Instant::now();
    loop {
        let head = coast.get(&format!("{}/head", log.path())).await?;
        let receipt = Receipt::read(&head.body).context("a receipt")?;
        if receipt.forked_at.is_some() {
            break;
        }
        ensure!(from.elapsed() < Duration::from_secs(40), "{receipt:?}");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let page = format!("/results/{}/games/{}", day.charter.hash(), log.game);
    published(&coast, &page, "was altered").await?;
    phone.open(&format!("{}delivery", coast.url())).await?;
    phone
        .read("beside it, signed with the same numbers")
        .await?;
    phone.read("● delivered").await?;
    phone
        .read("Its author signed two different entries with one number")
        .await?;
    look(&phone, "delivery-proof").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn the_desk_takes_from_another_phones_screen() -> Result<()> {
    let day = play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let coast = Coast::of(PROGRAM, day.charter.bytes(), &[]).await?;
    let event = day.charter.hash();
    let phone = organiser(&coast, &day, "desk-take", SMALL).await?;
    let at = format!("{}desk?event={event}&part=in", coast.url());
    phone.open(&at).await?;
    phone.tap("link", &is("Take with the camera")).await?;
    phone.see("heading", &is("Take from another phone")).await?;
    ensure!(phone.address().await?.contains("/take?desk="));
    phone.tap("button", &is("Text")).await?;
    let record = day.games[0].records[0].chain();
    let lines = |kind, bytes: &[u8]| -> Result<String> {
        let sender =
            Sender::new(kind, bytes, SymbolSize::new(200)).map_err(|e| anyhow::anyhow!("{e:?}"))?;
        Ok(text::lines(&sender, 2))
    };
    let field = starts("Paste the lines");
    let cut = lines(Kind::Entries, &record.to_bytes())?;
    phone.fill("textbox", &field, &cut[..40]).await?;
    phone.tap("button", &is("Read the lines")).await?;
    phone
        .read("Some of the lines are cut short or altered.")
        .await?;
    phone.fill("textbox", &field, &cut).await?;
    phone.tap("button", &is("Read the lines")).await?;
    // Back at the desk, which says what came.
    phone.read("1 file is kept.").await?;
    phone.read("Every signature in it is good.").await?;
    phone
        .read(&format!("{} new entries.", record.entries().len()))
        .await?;
    look(&phone, "taken").await?;
    // What was said is not said again.
    phone.tap("link", &is("Games")).await?;
    phone.read("1 of 16 scheduled games are in").await?;
    phone.tap("link", &is("Collect")).await?;
    phone.see("heading", &is("What came")).await?;
    ensure!(!phone.text().await?.contains("1 file is kept."));

    // Without an event in the address, a charter comes too.
    phone.open(&format!("{}take?desk=any", coast.url())).await?;
    phone.tap("button", &is("Text")).await?;
    let other = demoday::play_day(7).map_err(|e| anyhow::anyhow!("{e}"))?;
    let lines = lines(Kind::Charter, other.charter.bytes())?;
    phone.fill("textbox", &field, &lines).await?;
    phone.tap("button", &is("Read the lines")).await?;
    phone.read("new on this phone").await?;
    look(&phone, "charter-taken").await?;
    // Not before somebody has compared its words.
    let all = phone.all("link", &starts("Harbour Day")).await?;
    ensure!(all.is_empty(), "{all:?}");
    let keep = is("The words are the same: keep it");
    phone.tap("button", &keep).await?;
    phone.gone("button", &keep).await?;
    phone.tap("link", &is("Back")).await?;
    let events = phone.all("link", &starts("Harbour Day")).await?;
    ensure!(events.len() == 2, "{events:?}");
    Ok(())
}
