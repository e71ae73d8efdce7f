//! What an umpire keeps beside the plays: the competition's clocks, warnings, who umpires where, ticks
//! before the game, whose putout it was, protests and reports of incidents.

use anyhow::{Context as _, Result, anyhow, ensure};
use browser::{Phone, QUAY_STREET, SMALL, Site, TRAM_YARD, fresh_game, game_by, is, starts};
use engine::game::{Game, Notice};
use engine::play::{Advance, Base, BatterFate, Call, Continuation, FurtherBase, Goal, RunnerFate};
use engine::rules::Edition;
use engine::team::{Player, Shirt, Side};

const OUT: Call = Call::new(BatterFate::OUT);

/// Keeps what the phone was told to do with its motor.
const FEELS: &str = "window.felt = [], Object.defineProperty(navigator, 'vibrate', \
    { configurable: true, value: p => { window.felt.push(String(p)); return true; } }), true";

async fn more(phone: &Phone, what: &str) -> Result<()> {
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is(what)).await
}

/// Until a tap is no second tap any more.
async fn settle() {
    tokio::time::sleep(std::time::Duration::from_millis(400)).await;
}

async fn felt(phone: &Phone) -> Result<String> {
    Ok(phone.evaluate("window.felt.join(' ')").await?.to_string())
}

fn shirt(number: u8) -> Result<Shirt> {
    Shirt::new(number).context("a shirt number")
}

/// The game after a notice.
fn told(game: Game, notice: &Notice) -> Result<Game> {
    game.note(notice).map_err(|refused| anyhow!("{refused:?}"))
}

/// The game after a call.
fn played(game: Game, call: &Call) -> Result<Game> {
    let done = game.apply(call);
    Ok(done
        .map_err(|refused| anyhow!("{}", refused.objection))?
        .game)
}

#[tokio::test(flavor = "multi_thread")]
async fn clocks_are_seen_felt_and_said_and_outlive_a_dead_phone() -> Result<()> {
    let site = Site::start()?;
    let mut phone = Phone::new("clocks", SMALL).await?;
    let clocks = [
        ("game-clock", "45 no-new-inning"),
        ("half-inning-clock", "90"),
        ("hit-clock", "4"),
        ("time-out-clock", "60"),
    ];
    phone
        .begin(&site, [&QUAY_STREET, &TRAM_YARD], &clocks)
        .await?;
    phone.offline_ready().await?;
    phone.see("timer", &is("game clock 45:00")).await?;
    phone.evaluate(FEELS).await?;

    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (game, _) = phone.call(game, &OUT).await?;
    phone.see("timer", &starts("game clock 44:")).await?;
    phone.see("timer", &starts("hit clock 0:0")).await?;
    let up = "The time until the hit is over: you decide.";
    phone
        .until(&format!(
            "document.querySelector('.field-view').innerText.includes('{up}')"
        ))
        .await?;
    phone.picture("hit-clock-up").await?;
    ensure!(
        felt(&phone).await?.contains("300,150,300"),
        "it is felt when a clock is up"
    );
    // It decided nothing: the same batter is due, and the play goes in as ever.
    phone.shows(&game).await?;

    // A page that comes up again says it without shaking the hand.
    phone.reload().await?;
    phone.see("timer", &is("hit clock 0:00")).await?;
    phone.evaluate(FEELS).await?;
    tokio::time::sleep(std::time::Duration::from_millis(600)).await;
    ensure!(!felt(&phone).await?.contains("300"), "no news is no tick");

    more(&phone, "Time-out").await?;
    phone.tap("button", &is(QUAY_STREET.team)).await?;
    phone.tap("button", &is("Record")).await?;
    phone.see("timer", &starts("time-out clock 0:5")).await?;
    let address = phone.address().await?;
    phone.die_and_start_again().await?;
    phone.open(&address).await?;
    phone.see("timer", &starts("time-out clock 0:")).await?;
    phone.tap("button", &is("Undo last")).await?;
    phone.see("timer", &is("hit clock 0:00")).await?;

    let (game, _) = phone.call(game, &OUT).await?;
    phone.enter(&game, &OUT).await?;
    phone.record().await?;
    phone.see("heading", &is("Change sides")).await?;
    phone.see("timer", &starts("sides clock 1:")).await?;
    phone.picture("between-half-innings").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn an_umpire_keeps_what_is_beside_the_plays() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("beside-the-plays", SMALL).await?;
    let rules = [
        ("second-warning", "ejection"),
        ("illegal-putout", "nearest"),
    ];
    phone
        .begin(&site, [&QUAY_STREET, &TRAM_YARD], &rules)
        .await?;

    // Ticks before the first play go into the log, with who looked.
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Checks before play")).await?;
    phone.fill("textbox", &is("Who looks?"), "Ines").await?;
    for tick in ["Line-up cards exchanged", "Bare hands"] {
        phone.tap("button", &is(tick)).await?;
    }
    phone
        .until("document.querySelectorAll('[aria-label=\"Before the first play\"] [aria-pressed=true]').length === 2")
        .await?;
    phone.audit("checks-before-play").await?;
    phone.picture("checks-before-play").await?;
    phone.tap("link", &is("Back")).await?;

    // Who umpires where, and the rotation.
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Umpires")).await?;
    phone.fill("textbox", &is("home"), "Ines").await?;
    phone.fill("textbox", &is("first base"), "Jo").await?;
    phone.tap("button", &is("Note it")).await?;
    phone.read("Top of 1st").await?;
    settle().await;
    phone.tap("button", &is("Rotate")).await?;
    phone.tap("button", &is("Note it")).await?;
    phone.read("home Jo, first base Ines.").await?;
    phone.audit("umpires").await?;
    phone.picture("umpires").await?;
    phone.tap("link", &is("Back")).await?;

    // Whose putout it was: a star in the sheet of the play.
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    phone.enter(&game, &OUT).await?;
    more(&phone, "Who touched it").await?;
    for touch in ["shortstop", "second base", "first base"] {
        phone
            .tap_in(&is("Who touched the ball"), "button", &starts(touch))
            .await?;
    }
    phone.see("button", &starts("putout by touch 3")).await?;
    phone.tap("button", &starts("putout by touch 2")).await?;
    let starred = phone.see("button", &starts("putout by touch 2")).await?;
    ensure!(starred.on, "the second touch was the putout");
    phone.picture("putout").await?;
    phone.tap("button", &is("Back to the game")).await?;
    phone.record().await?;
    settle().await;

    // A throw out of play: an error or none, and what was batted in, are the scorer's to say.
    let single = Call::new(BatterFate::safe(Goal::First));
    let (game, _) = phone.call(played(game, &OUT)?, &single).await?;
    let thrown = single.clone().with_runner(
        Base::First,
        RunnerFate::To {
            goal: Goal::Third,
            on: Advance::Hit,
            then: Some(Continuation::Base(FurtherBase {
                to: Goal::Home,
                on: Advance::Throw,
            })),
        },
    );
    phone.enter(&game, &thrown).await?;
    more(&phone, "Who touched it").await?;
    phone.read("Thrown out of play: an error?").await?;
    let by_rule = phone
        .see("button", &is("batted in: by the rule, 0"))
        .await?;
    ensure!(by_rule.on, "not on the throw, unless the scorer says so");
    phone.tap("button", &is("batted in: 1")).await?;
    phone.audit("who-touched-it").await?;
    phone.picture("batted-in").await?;
    phone.tap("button", &is("Back to the game")).await?;
    phone.record().await?;
    settle().await;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Score sheet")).await?;
    phone.see("columnheader", &is("Batted in")).await?;
    let row = "(() => { const t = [...document.querySelectorAll('table')].find(t => t.innerText.includes('Batted in')); \
        const at = [...t.rows[0].cells].findIndex(c => c.innerText === 'Batted in'); \
        return [...t.rows].find(r => r.innerText.startsWith('23')).cells[at].innerText; })()";
    ensure!(
        phone.evaluate(row).await? == "1",
        "the sheet has the scorer's word"
    );
    phone.tap("link", &is("Back")).await?;

    // The second warning proposes the ejection; the umpire decides.
    for time in ["first", "second"] {
        more(&phone, "Warning").await?;
        phone.tap("button", &is(QUAY_STREET.team)).await?;
        phone.tap("button", &starts("23 Clementine")).await?;
        phone
            .fill("textbox", &starts("What for"), "shouting at the umpire")
            .await?;
        phone.tap("button", &is("Record")).await?;
        if time == "first" {
            phone.read("Warning to 23").await?;
        }
        settle().await;
    }
    phone
        .see("heading", &is("Send off after a second warning?"))
        .await?;
    phone.read("You decide.").await?;
    phone.picture("send-off-proposed").await?;
    let comes_in = "[...document.querySelectorAll('dialog .btn.start')].find(b => b.innerText.startsWith('26')).click(), true";
    phone.evaluate(comes_in).await?;
    phone.tap("button", &is("Record")).await?;
    phone.read("23 is sent off, 26 comes in.").await?;
    phone.quiet().await
}

/// Files a protest against the play that the list names so.
async fn protest(phone: &Phone, play: &str, rule: &str, about: &str) -> Result<()> {
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Protest")).await?;
    let form = is("A new protest");
    phone.tap_in(&form, "button", &is(QUAY_STREET.team)).await?;
    phone.choose(&is("Against which play"), play).await?;
    phone.fill("textbox", &is("Rule cited"), rule).await?;
    phone.fill("textbox", &is("What about"), about).await?;
    phone
        .tap_in(&form, "button", &is("File the protest"))
        .await?;
    phone.read(&format!("Rule cited: {rule}.")).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_protest_keeps_the_state_it_was_made_in_and_is_replayed_from_there() -> Result<()> {
    let site = Site::start()?;
    let mut phone = Phone::new("protest", SMALL).await?;
    phone.begin(&site, [&QUAY_STREET, &TRAM_YARD], &[]).await?;
    let calls = [
        Call::new(BatterFate::safe(Goal::First)),
        OUT,
        Call::new(BatterFate::safe(Goal::Second)),
    ];
    let mut stood = Vec::new();
    let mut game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    for call in &calls {
        stood.push(game.clone());
        (game, _) = phone.call(game, call).await?;
    }

    // The game goes on under protest; how it stood before the play stays.
    protest(
        &phone,
        "play 2: 22 out",
        "5.09(c)",
        "touched the base before the throw",
    )
    .await?;
    let before = "Against play 2: 22 out. Before the play: Top of 1st, no outs, 22 Bo at bat, 21 on 1st. Quay Street 0, Tram Yard 0.";
    phone.read(before).await?;
    phone.picture("protest-filed").await?;
    phone.tap("link", &is("Back")).await?;
    let (after, _) = phone.call(game, &OUT).await?;

    // Denied: it is kept, and the game stands.
    protest(
        &phone,
        "play 3: 23 safe at 2nd, 21 to 3rd",
        "rundown",
        "obstructed",
    )
    .await?;
    phone
        .see("heading", &starts("Top of 1st: Quay Street"))
        .await?;
    let cases = phone.all("button", &is("Denied")).await?;
    ensure!(cases.len() == 2, "two are open: {cases:?}");
    phone.audit("protests").await?;
    settle().await;
    phone.touch(&cases[1]).await?;
    phone.read("Denied.").await?;
    phone.tap("link", &is("Back")).await?;
    phone.shows(&after).await?;

    // Upheld, by whom and why, after the phone died: the game goes on from before the play.
    let address = phone.address().await?;
    phone.die_and_start_again().await?;
    phone.open(&address).await?;
    phone.shows(&after).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Protest")).await?;
    phone.read(before).await?;
    phone
        .fill(
            "textbox",
            &is("Decided by whom, and why"),
            "The organiser: she was on the base first",
        )
        .await?;
    phone
        .tap("button", &is("Upheld: replay from the play"))
        .await?;
    phone
        .read("Upheld: The organiser: she was on the base first")
        .await?;
    phone.read(before).await?;
    let plays = phone.all("option", &starts("play ")).await?;
    ensure!(
        plays.len() == 1,
        "what does not count is not protested: {plays:?}"
    );
    phone.picture("protest-upheld").await?;
    phone.tap("link", &is("Back")).await?;
    phone.shows(&stood[1]).await?;
    let (_, taps) = phone
        .call(stood[1].clone(), &Call::new(BatterFate::safe(Goal::First)))
        .await?;
    ensure!(taps <= 2, "called again as ever");

    // What was taken out of the game is still in the record.
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Play by play")).await?;
    phone
        .evaluate("document.querySelector('details').open = true, true")
        .await?;
    phone
        .read("A protest was upheld: the game is played again from")
        .await?;
    phone.picture("protest-in-the-story").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn an_incident_is_reported_printed_and_told_nowhere_else() -> Result<()> {
    let site = Site::start()?;
    let mut phone = Phone::new("incident", SMALL).await?;
    phone.begin(&site, [&QUAY_STREET, &TRAM_YARD], &[]).await?;
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let (game, _) = phone.call(game, &OUT).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Incident report")).await?;
    let ready = phone.see("button", &is("Record the report")).await?;
    ensure!(ready.disabled, "nobody and nothing is no report");
    phone.choose(&is("Who"), "Quay Street: 24 Dov").await?;
    let what = "Turned the ankle on the kerb beyond first base";
    phone.fill("textbox", &is("What happened"), what).await?;
    phone.fill("textbox", &is("Who saw it"), "Ines").await?;
    phone
        .fill(
            "textbox",
            &is("First aid, and by whom"),
            "Ice, by the guests' coach",
        )
        .await?;
    phone
        .fill("textbox", &is("Play stopped for, in minutes"), "6")
        .await?;
    phone.audit("incident-report").await?;
    phone.picture("incident-form").await?;
    phone.tap("button", &is("Record the report")).await?;
    let rows = [
        "Top of 1st",
        "Quay Street: 24 Dov",
        what,
        "Ines",
        "Ice, by the guests' coach",
        "6 min",
    ];
    for row in rows {
        phone.see("cell", &is(row)).await?;
    }
    phone.picture("incident-report").await?;
    phone.prints_on("incident-report", 1).await?;

    // It outlives the phone's death, and changes nothing of the game.
    let address = phone.address().await?;
    phone.die_and_start_again().await?;
    phone.open(&address).await?;
    phone.see("cell", &is(what)).await?;
    phone.tap("link", &is("Back")).await?;
    phone.shows(&game).await?;

    // Nobody else reads it: not the story, not the sheet that is signed and hung up.
    for screen in ["Play by play", "Score sheet"] {
        phone.tap("button", &is("More")).await?;
        phone.tap("link", &is(screen)).await?;
        phone.see("heading", &is(screen)).await?;
        phone
            .evaluate("document.querySelectorAll('details').forEach(d => d.open = true), true")
            .await?;
        let said = phone
            .evaluate("document.body.textContent")
            .await?
            .to_string();
        ensure!(!said.contains("ankle"), "{screen} tells it");
        phone.tap("link", &is("Back")).await?;
    }
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_rarer_notices_of_a_real_day_are_recorded_and_taken_back() -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("rarer-notices", SMALL).await?;
    let rules = [
        ("roster-limit", "9"),
        ("called-game", "1"),
        ("ties", "played-on"),
    ];
    phone
        .begin(&site, [&QUAY_STREET, &TRAM_YARD], &rules)
        .await?;
    let edition = Edition::federation().with_all(rules)?;
    let mut game = game_by(edition, &QUAY_STREET, &TRAM_YARD)?;

    // The number on the card was wrong; one more came late.
    more(&phone, "Wrong number").await?;
    phone.tap("button", &is(QUAY_STREET.team)).await?;
    phone.tap("button", &is("21 Ada")).await?;
    phone.fill("textbox", &is("Number worn"), "42").await?;
    phone.tap("button", &is("Record")).await?;
    phone
        .read("Quay Street: number 21 on the card is 42.")
        .await?;
    settle().await;
    more(&phone, "Late reserve").await?;
    phone.tap("button", &is(QUAY_STREET.team)).await?;
    phone.fill("textbox", &is("Number worn"), "29").await?;
    phone.fill("textbox", &is("Name, if known"), "Ines").await?;
    phone.tap("button", &is("Record")).await?;
    phone.read("29").await?;
    settle().await;
    let (side, name) = (Side::Guest, "Ines".to_owned());
    let (from, to) = (shirt(21)?, shirt(42)?);
    game = told(game, &Notice::Renumber { side, from, to })?;
    let player = Player::new(shirt(29)?, name);
    game = told(game, &Notice::Reserve { side, player })?;
    phone.shows(&game).await?;

    // A ball from the next court: nothing counts.
    more(&phone, "No play").await?;
    phone.tap("button", &is("Record")).await?;
    settle().await;
    phone.shows(&game).await?;

    // Rain after one inning, level: it is played on, from where it stood.
    for _ in 0..6 {
        (game, _) = phone.call(game, &OUT).await?;
        game = phone.ready(game).await?;
    }
    more(&phone, "End the game").await?;
    phone.tap("button", &is("the weather")).await?;
    phone.tap("button", &is("Record")).await?;
    phone.see("button", &is("Play on")).await?;
    phone.audit("suspended").await?;
    phone.picture("suspended").await?;
    settle().await;
    phone.tap("button", &is("Play on")).await?;
    phone.shows(&game).await?;
    (game, _) = phone
        .call(game, &Call::new(BatterFate::safe(Goal::Home)))
        .await?;

    // Both give up, which is taken back; then the game is called, and counts. Somebody is sent
    // off after the end, and nobody comes in.
    more(&phone, "Forfeit").await?;
    phone.tap("button", &is("both")).await?;
    phone.tap("button", &is("Record")).await?;
    phone.read("Both sides forfeit").await?;
    settle().await;
    phone.tap("button", &is("Undo last")).await?;
    phone.shows(&game).await?;
    more(&phone, "End the game").await?;
    phone.tap("button", &starts("darkness")).await?;
    phone.tap("button", &is("Record")).await?;
    phone.read("Quay Street 1").await?;
    settle().await;
    more(&phone, "Send off").await?;
    phone.tap("button", &is(TRAM_YARD.team)).await?;
    phone.tap("button", &is("13 Clementine")).await?;
    let nobody = !phone.sees("heading", &is("Comes in")).await?;
    ensure!(nobody, "nobody comes in after the end");
    phone.picture("send-off").await?;
    phone.tap("button", &is("Record")).await?;
    phone.read("13").await?;
    phone.picture("sent-off-after-the-end").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_side_of_four_forfeits_before_the_start() -> Result<()> {
    let (_site, phone) = Phone::on_site("four-came", SMALL).await?;
    phone.tap("link", &is("New game")).await?;
    phone.name_teams(QUAY_STREET.team, TRAM_YARD.team).await?;
    for digit in ["2", "1", "2", "2", "2", "3", "2", "4"] {
        phone
            .tap_in(&is("Number pad"), "button", &is(digit))
            .await?;
    }
    let only = starts("Only 4 came");
    ensure!(!phone.sees("button", &only).await?, "a fifth may follow");
    phone.tap("button", &is("Next card")).await?;
    phone.see("button", &only).await?;
    phone.audit("four-came").await?;
    phone.picture("four-came").await?;
    phone.tap("button", &only).await?;
    phone.card(&TRAM_YARD).await?;
    phone.tap("button", &is("Toss for home")).await?;
    phone
        .tap_in(&is("Who is home"), "button", &starts(TRAM_YARD.team))
        .await?;
    phone.tap("button", &is("Play ball")).await?;
    phone.read("The guests have fewer than five").await?;
    phone.picture("four-can-only-forfeit").await?;
    more(&phone, "Forfeit").await?;
    phone.tap("button", &is(QUAY_STREET.team)).await?;
    phone.tap("button", &is("Record")).await?;
    phone.see("link", &is("Final statement")).await?;
    phone.read("Tram Yard win 5 to 0.").await?;
    phone.quiet().await
}
