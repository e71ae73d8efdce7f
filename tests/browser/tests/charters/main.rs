//! Event charters: made on one phone, taken on another, and what they say to a game before its first
//! play; files that are damaged or dropped; phones that were in use before.

mod day;
mod effort;
mod files;
mod final_teams;
mod keys;
mod listed;
mod midday;
mod older;
mod paper;
mod roster;

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, QUAY_STREET, SMALL, Site, TALL, TRAM_YARD, fresh_game, is, starts, with};
use engine::link::Kind;
use engine::log::{Author, Role, SecretKey};
use engine::play::{BatterFate, Call, Goal};
use paper::{charter, next, paste, shown_text, sign, take_charter, text_of};

const OUT: Call = Call::new(BatterFate::OUT);
const FIRST: Call = Call::new(BatterFate::safe(Goal::First));

/// A phone at the first screen.
async fn phone(name: &str, size: browser::Size, dark: bool, site: &Site) -> Result<Phone> {
    let phone = Phone::new(name, size).await?;
    phone.prefer(dark).await?;
    phone.open(&site.url()).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    Ok(phone)
}

/// Judges the screen and takes its picture.
async fn look(phone: &Phone, screen: &str) -> Result<()> {
    phone.settled().await?;
    phone.picture(screen).await?;
    phone.audit(screen).await?;
    if let Some(why) = phone.too_small().await? {
        anyhow::bail!("{screen}: {why}");
    }
    Ok(())
}

/// Gives the official of a phone a name.
async fn named(phone: &Phone, name: &str) -> Result<()> {
    phone.tap("link", &is("Settings")).await?;
    phone.fill("textbox", &starts("Your name"), name).await?;
    phone.press("Tab").await?;
    phone.tap("link", &is("Back")).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    Ok(())
}

/// Sets a field of the page that no text can be typed into.
async fn set(phone: &Phone, id: &str, value: &str) -> Result<()> {
    let done = phone
        .evaluate(&format!(
            "(() => {{ const e = document.getElementById('{id}'); e.value = '{value}'; \
             e.dispatchEvent(new Event('input', {{bubbles: true}})); return e.value; }})()"
        ))
        .await?;
    ensure!(done == value, "{id} does not take {value}: {done}");
    Ok(())
}

/// The six words of a phone's key, as its screen of the settings has them.
async fn phrase(phone: &Phone) -> Result<String> {
    let words = phone
        .evaluate("document.querySelector('.phrase')?.innerText ?? ''")
        .await?;
    Ok(words.as_str().unwrap_or_default().trim().to_owned())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_charter_is_made_taken_and_played_under() -> Result<()> {
    let site = Site::start()?;
    let a = phone("charter-a", SMALL, false, &site).await?;
    let b = phone("charter-b", TALL, true, &site).await?;

    // B's card.
    named(&b, "Jonas Reed").await?;
    b.tap("link", &starts("Events")).await?;
    b.see("heading", &is("Events")).await?;
    look(&b, "events-none").await?;
    b.tap("link", &starts("Show my card")).await?;
    b.read("Jonas Reed, umpire").await?;
    look(&b, "card").await?;
    let umpire = phrase(&b).await?;
    let card = shown_text(&b).await?;

    // A makes the charter; first with slips.
    a.tap("link", &starts("Events")).await?;
    a.tap("link", &starts("Make a charter")).await?;
    a.fill("textbox", &is("Name of the event"), "Harbour Cup")
        .await?;
    a.fill("textbox", &is("Where"), "The old fish market")
        .await?;
    a.fill("textbox", &is("Name of team 1"), "Quay Street")
        .await?;
    a.tap("button", &is("Sign the charter")).await?;
    a.read("things are to be put right first").await?;
    a.read("Choose the first day.").await?;
    a.read("Team 2 has no name.").await?;
    a.read("Give your name").await?;
    look(&a, "make-slips").await?;
    set(&a, "event-date", "2026-06-13").await?;
    let roster = |hand: &browser::CardInHand<'_>, names: &str| {
        let numbers = hand.hitters.iter().chain(&hand.reserves);
        let lines = numbers.map(|n| format!("{n} {names}{n}\n"));
        lines.collect::<String>()
    };
    a.fill("textbox", &is("Name of team 2"), "Tram Yard")
        .await?;
    for (at, hand) in [(0, &QUAY_STREET), (1, &TRAM_YARD)] {
        let field = a.all("textbox", &starts("Roster")).await?;
        let field = field.get(at).context("a roster for each team")?;
        a.touch(field).await?;
        let text = roster(hand, "Wren");
        a.protocol("Input.insertText", serde_json::json!({ "text": text }))
            .await?;
    }
    a.fill("textbox", &starts("Your name"), "Maren Holt")
        .await?;
    a.press("Tab").await?;

    // B's card is listed; the form is as it was left.
    a.tap("link", &is("Take an official's card")).await?;
    paste(&a, &card).await?;
    a.read("Jonas Reed, umpire").await?;
    ensure!(phrase(&a).await? == umpire, "two phrases of one key");
    look(&a, "card-taken").await?;
    a.tap("button", &starts("The words are the same")).await?;
    a.see("textbox", &is("Name of official 1")).await?;
    a.reload().await?;
    let name = a.see("textbox", &is("Name of team 2")).await?;
    let kept = a.on_node(
        &name,
        "function() { return this.value; }",
        serde_json::json!([]),
    );
    ensure!(
        kept.await? == "Tram Yard",
        "the draft did not outlive a reload"
    );
    a.read("1 game in the schedule.").await?;
    look(&a, "make").await?;
    a.tap("button", &is("Sign the charter")).await?;
    a.read("Signed and kept: version 1.").await?;
    look(&a, "event-signed").await?;
    let organiser = phrase(&a).await?;
    a.tap("link", &is("Show to another phone")).await?;
    look(&a, "charter-shown").await?;
    let text = shown_text(&a).await?;

    // B takes it, compares the words once, and plays the first game of the schedule.
    b.tap("link", &is("Done")).await?;
    b.tap("link", &is("Take a charter")).await?;
    paste(&b, &text).await?;
    b.read("Signed by Maren Holt").await?;
    ensure!(phrase(&b).await? == organiser, "two phrases of one key");
    look(&b, "compare").await?;
    b.tap("button", &starts("The words are the same")).await?;
    b.read("This phone's key is listed: Jonas Reed, umpire.")
        .await?;
    look(&b, "event").await?;
    b.tap("link", &starts("Game 1,")).await?;
    let guest = b.see("combobox", &is("One team")).await?;
    let guest = b
        .on_node(
            &guest,
            "function() { return this.value; }",
            serde_json::json!([]),
        )
        .await?;
    let (guest, home) = if guest == "Quay Street" {
        (&QUAY_STREET, &TRAM_YARD)
    } else {
        (&TRAM_YARD, &QUAY_STREET)
    };
    look(&b, "new-game").await?;
    b.tap("button", &is("Line-up cards")).await?;
    for (card, on) in [(guest, "Next card"), (home, "Toss for home")] {
        b.see("textbox", &is("number of hitter 1")).await?;
        b.see("region", &is("Roster")).await?;
        look(&b, "roster").await?;
        for number in card.hitters.iter().chain(&card.reserves) {
            b.tap("button", &is(format!("{number} Wren{number}")))
                .await?;
        }
        b.tap("button", &is(on)).await?;
    }
    b.read("The schedule says").await?;
    b.read("Under the charter of Harbour Cup, game 1.").await?;
    look(&b, "toss").await?;
    b.tap("button", &is("Play ball")).await?;
    let mut game = fresh_game(guest, home)?;
    b.see_in(&is("Record"), "button", &starts("Record")).await?;
    for call in [&FIRST, &OUT, &OUT] {
        b.enter(&game, call).await?;
        b.record().await?;
        game = match game.apply(call) {
            Ok(played) => played.game,
            Err(refused) => anyhow::bail!("{}", refused.objection),
        };
        b.shows(&game).await?;
    }
    files::keep_log(&b, "charter-game").await?;
    b.read("Under the charter of Harbour Cup, game 1.").await?;
    look(&b, "second-phone").await?;

    // The organiser lists a scorer by a typed key; the new version arrives at B.
    a.tap("link", &is("Done")).await?;
    a.tap("link", &starts("Make a new version")).await?;
    a.tap("DisclosureTriangle", &is("Type a public key instead"))
        .await?;
    a.fill("textbox", &is("Name of the official"), "Signe Vale")
        .await?;
    let scorer = SecretKey::from_random(&[77; 32]).public();
    let digits = data_encoding::HEXLOWER.encode(scorer.as_bytes());
    a.fill("textbox", &starts("Public key"), &digits[1..])
        .await?;
    a.tap("button", &is("Add this official")).await?;
    a.read("A public key has 64 digits").await?;
    a.fill("textbox", &starts("Public key"), &digits).await?;
    a.tap("button", &is("Add this official")).await?;
    a.see("textbox", &is("Name of official 2")).await?;
    a.tap("button", &is("Sign the charter")).await?;
    a.read("Signed and kept: version 2.").await?;
    a.read("replaced, kept").await?;
    a.tap("link", &is("Show to another phone")).await?;
    let newer = shown_text(&a).await?;
    b.open(&format!("{}take", site.url())).await?;
    paste(&b, &newer).await?;
    b.read("Newer version taken: version 2.").await?;
    look(&b, "newer").await?;
    b.open(&format!("{}take", site.url())).await?;
    paste(&b, &text).await?;
    b.read("This charter is on this phone already.").await?;
    b.read("Version 2, signed by").await?;
    for phone in [&a, &b] {
        phone.quiet().await?;
    }
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn what_the_charter_says_against_a_game_is_said_before_its_first_play() -> Result<()> {
    let site = Site::start()?;
    let phone = phone("charter-against", SMALL, true, &site).await?;
    // A game without one is marked.
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    phone.open(&site.url()).await?;
    phone.see("link", &with("Without a charter.")).await?;

    let first = sign(9, charter(9, &[]))?;
    take_charter(&phone, first.bytes()).await?;
    phone.read("This phone's key is not listed.").await?;
    look(&phone, "not-listed").await?;
    // A game of the schedule has its teams from the charter; another one may have any.
    phone
        .tap("link", &is("A game that is not in the schedule"))
        .await?;
    phone
        .fill("combobox", &is("The other team"), "Tram Yard")
        .await?;
    phone.tap("radio", &starts("Youth")).await?;
    phone
        .read("The event plays by the federation rules")
        .await?;
    phone
        .fill("combobox", &is("One team"), "Quay Streat")
        .await?;
    phone
        .read("Quay Streat is not a team of this event.")
        .await?;
    look(&phone, "wrong-rules-and-team").await?;
    phone.tap("button", &is("Line-up cards")).await?;
    let mut stranger = QUAY_STREET;
    stranger.team = "Quay Streat";
    phone.card(&stranger).await?;
    phone.tap("button", &is("Next card")).await?;
    let mut guests = TRAM_YARD;
    guests.reserves[2] = 99;
    phone.card(&guests).await?;
    phone.tap("button", &is("Toss for home")).await?;
    phone.tap("button", &is("Tram Yard home")).await?;
    let said = [
        "The event plays by the federation rules, this game is set to the youth rules",
        "Quay Streat is not a team of this event",
        "Number 99 is not on this team's roster",
        "The charter does not list the key",
        "ask the organiser to add it",
    ];
    for words in said {
        phone.read(words).await?;
    }
    look(&phone, "toss-against").await?;
    phone.tap("button", &is("Play ball")).await?;
    phone.see("heading", &is("Not as the charter says")).await?;
    for words in said {
        phone.read(words).await?;
    }
    look(&phone, "before-the-first-play").await?;
    phone.tap("button", &is("Play all the same")).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    phone.open(&site.url()).await?;
    phone.see("link", &with("Not as the charter says.")).await?;

    // Versions: a skipped one, another organiser's, the next one.
    let second = sign(9, next(&first, 9))?;
    let third = sign(9, next(&second, 9))?;
    let rival = sign(8, next(&first, 8))?;
    for (signed, words) in [
        (
            &third,
            "A later version is kept here and does not hold yet.",
        ),
        (&rival, "not the organiser of the charter you have"),
    ] {
        phone.open(&format!("{}take", site.url())).await?;
        paste(&phone, &text_of(Kind::Charter, signed.bytes())?).await?;
        phone.read(words).await?;
    }
    look(&phone, "refused-version").await?;
    phone.open(&format!("{}take", site.url())).await?;
    paste(&phone, &text_of(Kind::Charter, second.bytes())?).await?;
    // The one that waited for it holds now.
    phone.read("Newer version taken: version 3.").await?;

    // An event of the same name with another key.
    let namesake = sign(8, charter(8, &[]))?;
    phone.open(&format!("{}take", site.url())).await?;
    paste(&phone, &text_of(Kind::Charter, namesake.bytes())?).await?;
    phone.read("signed with another key").await?;
    phone.tap("button", &starts("Other words")).await?;
    phone.see("heading", &is("Events")).await?;
    let rows = phone.all("link", &starts("Harbour Cup")).await?;
    ensure!(rows.len() == 1, "{rows:?}");

    // A card where a charter is wanted is shown as a card, and an altered charter is refused.
    let card = Author::new(
        SecretKey::from_random(&[7; 32]).public(),
        "Nils Aker",
        Role::Scorer,
    );
    phone.open(&format!("{}take", site.url())).await?;
    paste(&phone, &text_of(Kind::Official, &card.to_bytes())?).await?;
    phone.read("Nils Aker, scorer").await?;
    let mut altered = second.bytes().to_vec();
    let at = altered.len() / 2;
    altered[at] ^= 1;
    phone.open(&format!("{}take", site.url())).await?;
    paste(&phone, &text_of(Kind::Charter, &altered)?).await?;
    phone.read("This charter cannot be trusted.").await?;
    look(&phone, "altered").await?;
    phone.quiet().await
}
