//! Slips of a tired thumb, and what happens beside the screen at a bad moment: the second tap of a
//! double tap, a game left while it is being read or written, thunder before the storage is open,
//! another tab's entry.

use std::time::Duration;

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, QUAY_STREET, SMALL, Site, TRAM_YARD, fresh_game, is, starts};
use engine::game::Game;
use engine::play::{BatterFate, Call, Goal};
use serde_json::json;

const FIRST: Call = Call::new(BatterFate::safe(Goal::First));
const OUT: Call = Call::new(BatterFate::OUT);

/// Touches what lies in the middle of the button whose words begin so, and the same place again: after
/// 120 ms, and in the very moment in which what is shown there has changed.
const TWICE: &str = "words => new Promise(done => { \
    const box = [...document.querySelectorAll('button')].find(b => b.innerText.trim().startsWith(words) \
        && b.getClientRects().length).getBoundingClientRect(); \
    const at = [box.x + box.width / 2, box.y + box.height / 2]; \
    const touch = () => document.elementFromPoint(...at)?.closest('button, a')?.click(); \
    const due = document.querySelector('.due'), before = due.innerText; \
    new MutationObserver((_, watch) => { if (due.isConnected && due.innerText === before) return; \
        watch.disconnect(); touch(); setTimeout(() => done(true), 700); }) \
        .observe(document.body, { subtree: true, childList: true, characterData: true }); \
    touch(); setTimeout(touch, 120); })";

/// A phone with a game at its first batter.
async fn begun(name: &str) -> Result<(Site, Phone, Game)> {
    let (site, phone) = Phone::on_site(name, SMALL).await?;
    phone.offline_ready().await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    Ok((site, phone, fresh_game(&QUAY_STREET, &TRAM_YARD)?))
}

fn after(game: &Game, call: &Call) -> Result<Game> {
    match game.clone().apply(call) {
        Ok(played) => Ok(played.game),
        Err(refused) => anyhow::bail!("{}", refused.objection),
    }
}

/// How many rows the phone keeps: of `entries` or of `games`.
async fn kept(phone: &Phone, what: &str) -> Result<u64> {
    let count = phone
        .evaluate(&format!(
            "new Promise((done, fail) => {{ const o = indexedDB.open('chalkbook'); o.onerror = fail; \
             o.onsuccess = () => {{ const q = o.result.transaction('{what}').objectStore('{what}').count(); \
             q.onsuccess = () => {{ o.result.close(); done(q.result); }}; }}; }})"
        ))
        .await?;
    count.as_u64().context("a number of rows")
}

/// The right to write a game comes so many milliseconds late.
fn late_locks(ms: u32) -> String {
    format!(
        "{{ const ask = LockManager.prototype.request; LockManager.prototype.request = function (...words) {{ \
         return new Promise((done, fail) => setTimeout(() => ask.apply(this, words).then(done, fail), {ms})); }}; }}"
    )
}

async fn pause(ms: u64) {
    tokio::time::sleep(Duration::from_millis(ms)).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_double_tap_records_one_play() -> Result<()> {
    let (_site, phone, game) = begun("slip-record").await?;
    phone.evaluate(&format!("({TWICE})('Record')")).await?;
    let one = after(&game, &FIRST)?;
    phone.shows(&one).await?;
    ensure!(
        kept(&phone, "entries").await? == 2,
        "an opening and one play"
    );

    // As a switch or a screen reader does it: the button itself is pressed, wherever it lies.
    let pressed = "new Promise(done => { const press = () => document.querySelector('.record').click(); \
         press(); setTimeout(press, 120); setTimeout(press, 170); setTimeout(() => done(true), 700); })";
    phone.evaluate(pressed).await?;
    phone.shows(&after(&one, &FIRST)?).await?;
    ensure!(kept(&phone, "entries").await? == 3, "one play more");

    // Two halves of a touch on a key of the keyboard are as quick.
    let two = after(&one, &FIRST)?;
    let keys = "new Promise(done => { const r = () => dispatchEvent(new KeyboardEvent('keydown', { key: 'r', bubbles: true })); \
         r(); setTimeout(r, 120); setTimeout(() => done(true), 700); })";
    phone.evaluate(keys).await?;
    phone.shows(&after(&two, &FIRST)?).await?;
    ensure!(kept(&phone, "entries").await? == 4, "one play more");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_focus_stays_on_the_button_that_records() -> Result<()> {
    let (_site, phone, game) = begun("slip-focus").await?;
    phone
        .evaluate("document.querySelector('.record').focus(), true")
        .await?;
    phone.press("Enter").await?;
    phone.shows(&after(&game, &FIRST)?).await?;
    let at = phone
        .evaluate("document.activeElement.className + ' ' + document.activeElement.tagName")
        .await?;
    ensure!(at == "btn record BUTTON", "the focus fell to {at}");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_double_tap_on_a_put_out_puts_one_out() -> Result<()> {
    let (_site, phone, game) = begun("slip-put-out").await?;
    phone
        .evaluate("localStorage.setItem('chalkbook-preferences', JSON.stringify({ quick_outs: true, tick: false })), true")
        .await?;
    phone.reload().await?;
    phone.shows(&game).await?;
    phone
        .evaluate(&format!("({TWICE})('out before 1st')"))
        .await?;
    let one = after(&game, &OUT)?;
    phone.shows(&one).await?;
    ensure!(
        kept(&phone, "entries").await? == 2,
        "an opening and one play"
    );
    // What the second tap chose is not left standing for the next batter.
    let lit = phone.see("button", &starts("safe 1st")).await?;
    ensure!(lit.on, "the next batter begins with the usual call");

    // Nor does a second tap answer what takes the place of the lanes at the third out.
    let two = after(&one, &OUT)?;
    phone.tap("button", &is("out before 1st")).await?;
    phone.shows(&two).await?;
    pause(300).await;
    let taps = "new Promise(done => { \
         new MutationObserver((_, watch) => { const all = [...document.querySelectorAll('.panel .btn.big')]; \
         if (all.length) { watch.disconnect(); all.forEach(b => b.click()); setTimeout(() => done(all.length), 100); } }) \
         .observe(document.body, { subtree: true, childList: true }); \
         [...document.querySelectorAll('button')].find(b => b.innerText === 'caught').click(); })";
    ensure!(phone.evaluate(taps).await? == 3, "three answers");
    phone.see("heading", &is("Change sides")).await?;
    ensure!(
        kept(&phone, "entries").await? == 4,
        "the question of the codes was answered by the second tap"
    );
    phone.tap("button", &is("second scorer not here")).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_double_tap_on_play_ball_begins_one_game() -> Result<()> {
    let (_site, phone) = Phone::on_site("slip-begin", SMALL).await?;
    phone.tap("link", &is("New game")).await?;
    phone.name_teams(QUAY_STREET.team, TRAM_YARD.team).await?;
    // Two digits move on by themselves: "next" after them must not skip a place.
    phone.see("textbox", &is("number of hitter 1")).await?;
    let numbers = QUAY_STREET.hitters.iter().chain(&QUAY_STREET.reserves);
    for (at, number) in numbers.enumerate() {
        for digit in number.to_string().chars() {
            phone
                .tap_in(&is("Number pad"), "button", &is(digit))
                .await?;
        }
        if at < 7 {
            phone
                .tap_in(&is("Number pad"), "button", &is("Next"))
                .await?;
        }
    }
    phone.tap("button", &is("Next card")).await?;
    phone.card(&TRAM_YARD).await?;
    phone.tap("button", &is("Toss for home")).await?;
    phone
        .tap_in(&is("Who is home"), "button", &starts(TRAM_YARD.team))
        .await?;
    let begins = phone.see("button", &is("Play ball")).await?;
    ensure!(!begins.disabled, "everything is filled in");
    let taps = "function() { [0, 3, 10, 120].forEach(ms => setTimeout(() => this.click(), ms)); }";
    phone.on_node(&begins, taps, json!([])).await?;
    phone.shows(&fresh_game(&QUAY_STREET, &TRAM_YARD)?).await?;
    ensure!(kept(&phone, "games").await? == 1, "one game");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn thunder_while_it_rains_keeps_everyone_off_too() -> Result<()> {
    let (_site, phone, _) = begun("slip-thunder-rain").await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Stop the game")).await?;
    phone.tap("button", &starts("rain")).await?;
    phone.read("Stopped: weather").await?;
    phone.see("button", &is("Go on playing")).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Thunder, care")).await?;
    phone.tap("button", &is("thunder or lightning now")).await?;
    phone.read("Play is stopped.").await?;
    phone.tap("link", &is("Back")).await?;
    let wait = phone.see("button", &is("Wait for the 30 minutes")).await?;
    ensure!(
        wait.disabled,
        "nobody goes on before the 30 minutes are over"
    );
    phone.see("timer", &is("Time to wait")).await?;
    phone.picture("thunder-in-the-rain").await?;
    // A second thunder, by the form of stops: the game is stopped already, the wait begins again.
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Stop the game")).await?;
    phone.tap("button", &is("thunder or lightning")).await?;
    phone.gone("button", &is("Heat")).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Play by play")).await?;
    phone.read("the 30 minutes begin.").await?;
    phone.read("the 30 minutes begin again.").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn thunder_before_the_storage_is_open_reaches_the_log() -> Result<()> {
    let (site, phone, _) = begun("slip-thunder-early").await?;
    let address = phone.address().await?;
    // Another page of this phone has the storage open and lets nobody in for a while.
    let first = phone.second_tab().await?;
    phone
        .open(&format!("{}manifest.webmanifest", site.url()))
        .await?;
    phone
        .evaluate(
            "new Promise(done => { const o = indexedDB.open('chalkbook'); o.onsuccess = () => { \
             window.hold = o.result; const next = indexedDB.open('chalkbook', 1000); \
             next.onerror = e => e.preventDefault(); \
             next.onupgradeneeded = () => next.transaction.abort(); setTimeout(() => done(true), 50); }; })",
        )
        .await?;
    let other = phone.tab().await?;
    phone.turn_to(first.clone()).await?;
    phone
        .open(&format!(
            "{}&show=thunder",
            address.replace("/call?", "/care?")
        ))
        .await?;
    phone.tap("button", &is("thunder or lightning now")).await?;
    phone.see("timer", &is("Time to wait")).await?;
    phone.turn_to(other).await?;
    phone.evaluate("window.hold.close(), true").await?;
    phone.close_tab().await?;
    phone.turn_to(first).await?;
    let from = std::time::Instant::now();
    while kept(&phone, "entries").await? < 2 {
        ensure!(from.elapsed().as_secs() < 10, "the log never heard of it");
        pause(50).await;
    }
    phone.tap("link", &is("Back")).await?;
    phone.read("Stopped: thunder or lightning").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn undone_and_left_at_once_the_app_lives() -> Result<()> {
    let (_site, phone, game) = begun("slip-undo-left").await?;
    let address = phone.address().await?;
    phone.call(game.clone(), &FIRST).await?;
    pause(300).await;
    phone.tap("button", &is("More")).await?;
    phone.see("link", &is("Leave the game")).await?;
    phone
        .evaluate(
            "(() => { const by = (tag, words) => [...document.querySelectorAll(tag)].find(e => e.innerText.trim() === words); \
             by('button', 'Undo last').click(); by('a', 'Leave the game').click(); return true; })()",
        )
        .await?;
    phone.see("heading", &is("Chalkbook")).await?;
    pause(500).await;
    phone.quiet().await?;
    phone.see("link", &starts(QUAY_STREET.team)).await?;
    phone.open(&address).await?;
    phone.shows(&game).await?;
    ensure!(kept(&phone, "entries").await? == 3, "the undo is kept");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn an_entry_of_another_tab_is_shown_and_a_call_that_came_second_is_not_lost() -> Result<()> {
    let (_site, phone, game) = begun("slip-two-writers").await?;
    let address = phone.address().await?;
    // Without locks no tab knows of the other: both may write.
    let no_locks =
        "Object.defineProperty(Navigator.prototype, 'locks', { get() { return undefined; } })";
    phone.before_each_page(no_locks).await?;
    phone.open(&address).await?;
    phone.shows(&game).await?;
    let first = phone.second_tab().await?;
    phone.before_each_page(no_locks).await?;
    phone.open(&address).await?;
    let (one, _) = phone.call(game, &FIRST).await?;
    let second = phone.tab().await?;
    phone.turn_to(first.clone()).await?;
    phone.shows(&one).await?;

    // Word of the next one gets lost on the way.
    phone.turn_to(second).await?;
    phone
        .evaluate("BroadcastChannel.prototype.postMessage = () => {}, true")
        .await?;
    let (two, _) = phone.call(one, &OUT).await?;
    phone.turn_to(first).await?;
    phone.record().await?;
    phone.read("Another tab recorded something first").await?;
    phone.shows(&two).await?;
    phone.picture("came-second").await?;
    let (three, _) = phone.call(two, &FIRST).await?;
    phone.shows(&three).await?;
    ensure!(
        kept(&phone, "entries").await? == 4,
        "an opening and three plays"
    );
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_note_on_the_play_outlives_a_time_out() -> Result<()> {
    let (_site, phone, game) = begun("slip-note").await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Note on this play")).await?;
    phone
        .fill(
            "textbox",
            &starts("In a few words"),
            "the ball hit the kerb",
        )
        .await?;
    phone.tap("button", &is("Back to the game")).await?;
    phone.tap("button", &is("caught")).await?;
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Time-out")).await?;
    phone.tap("button", &is(QUAY_STREET.team)).await?;
    phone.tap("button", &is("Record")).await?;
    phone.gone("button", &is("Back to the game")).await?;
    let caught = phone.see("button", &is("caught")).await?;
    ensure!(caught.on, "what was called stands");
    pause(300).await;
    phone.tap("button", &is("More")).await?;
    phone.tap("button", &is("Note on this play")).await?;
    phone.see("textbox", &starts("In a few words")).await?;
    let note = phone
        .evaluate("document.querySelector('#play-note').value")
        .await?;
    ensure!(note == "the ball hit the kerb", "the note is {note}");
    phone.tap("button", &is("Back to the game")).await?;
    phone.record().await?;
    phone
        .shows(&after(&game, &Call::new(BatterFate::Caught))?)
        .await?;
    pause(300).await;
    let next = phone.see("button", &starts("safe 1st")).await?;
    ensure!(next.on, "the next play begins afresh");
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_game_left_before_it_was_read_is_not_shown_for_another() -> Result<()> {
    let (site, phone, _) = begun("slip-two-games").await?;
    phone.open(&site.url()).await?;
    phone.new_game(&TRAM_YARD, &QUAY_STREET).await?;
    phone.before_each_page(&late_locks(700)).await?;
    phone.open(&site.url()).await?;
    phone.see("link", &starts(QUAY_STREET.team)).await?;
    phone.see("link", &starts(TRAM_YARD.team)).await?;
    let row = |team: &str| {
        format!(
            "[...document.querySelectorAll('.game-row')].find(r => r.innerText.trim().startsWith('{team}')).click()"
        )
    };
    // Left before it was read: nothing of it is held on the first screen.
    phone
        .evaluate(&format!(
            "{}, setTimeout(() => history.back(), 100), true",
            row(TRAM_YARD.team)
        ))
        .await?;
    pause(1500).await;
    phone.see("heading", &is("Chalkbook")).await?;
    let held = phone
        .evaluate(
            "navigator.locks.query().then(all => all.held.filter(l => l.name.startsWith('chalkbook-game')).length)",
        )
        .await?;
    ensure!(held == 0, "{held} games are held on the first screen");

    // Left, and another one opened at once: that one is shown, and nothing of the first.
    phone
        .evaluate(&format!(
            "setTimeout(() => history.back(), 100), setTimeout(() => {{ {}; }}, 300), {}, true",
            row(QUAY_STREET.team),
            row(TRAM_YARD.team)
        ))
        .await?;
    phone.shows(&fresh_game(&QUAY_STREET, &TRAM_YARD)?).await?;
    pause(1000).await;
    phone.shows(&fresh_game(&QUAY_STREET, &TRAM_YARD)?).await?;
    let held = phone
        .evaluate(
            "navigator.locks.query().then(all => all.held.filter(l => l.name.startsWith('chalkbook-game')).map(l => l.name).join())",
        )
        .await?;
    let address = phone.address().await?;
    let game = address.split("game=").nth(1).context("a game")?;
    ensure!(
        held == format!("chalkbook-game {game}"),
        "held are {held}, open is {game}"
    );
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_game_stands_once_in_the_list() -> Result<()> {
    let (site, phone, _) = begun("slip-list").await?;
    let address = phone.address().await?;
    let game = address.split("game=").nth(1).context("a game")?;
    phone.open(&site.url()).await?;
    phone.see("link", &starts(QUAY_STREET.team)).await?;
    // Word of it comes several times while it is still being read.
    phone
        .evaluate(&format!(
            "(() => {{ const line = new BroadcastChannel('chalkbook'); \
             for (let n = 0; n < 5; n++) line.postMessage('{game}'); return true; }})()"
        ))
        .await?;
    pause(700).await;
    let rows = phone.all("link", &starts(QUAY_STREET.team)).await?;
    ensure!(rows.len() == 1, "the game is listed {} times", rows.len());
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_page_that_was_just_left_is_no_other_tab() -> Result<()> {
    let (site, phone, game) = begun("slip-late-lock").await?;
    let address = phone.address().await?;
    let name = address.split("game=").nth(1).context("a game")?;
    let first = phone.second_tab().await?;
    phone
        .open(&format!("{}manifest.webmanifest", site.url()))
        .await?;
    let other = phone.tab().await?;
    phone.turn_to(first.clone()).await?;
    phone.open("about:blank").await?;
    // Something still has the right to write when the game is opened, and gives it back soon.
    phone.turn_to(other).await?;
    phone
        .evaluate(&format!(
            "navigator.locks.request('chalkbook-game {name}', {{ steal: true }}, () => new Promise(go => {{ window.go = go; }})), \
             new BroadcastChannel('slip').onmessage = () => setTimeout(window.go, 300), true"
        ))
        .await?;
    phone.turn_to(first).await?;
    let tell = "{ const ask = LockManager.prototype.request; LockManager.prototype.request = function (name, ...words) { \
         if (name.startsWith('chalkbook-game')) new BroadcastChannel('slip').postMessage(''); \
         return ask.call(this, name, ...words); }; }";
    phone.before_each_page(tell).await?;
    phone.open(&address).await?;
    phone.shows(&game).await?;
    phone
        .see_in(&is("Record"), "button", &starts("Record"))
        .await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_screen_may_sleep_when_the_game_was_left() -> Result<()> {
    let (_site, phone, _) = begun("slip-awake").await?;
    let address = phone.address().await?;
    // A browser that takes its time to say that the screen stays awake.
    let slow = "window.awake = 0; window.asked = 0; Object.defineProperty(Navigator.prototype, 'wakeLock', { get() { return { \
         request() { window.asked++; return new Promise(done => setTimeout(() => { window.awake++; \
         done({ release() { window.awake--; return Promise.resolve(); } }); }, 500)); } }; } })";
    phone.before_each_page(slow).await?;
    phone.open(&address).await?;
    phone.until("window.awake === 1").await?;
    // Asked for again when the page comes back into view: one answer is held, not two.
    phone
        .evaluate("document.dispatchEvent(new Event('visibilitychange', { bubbles: true })), true")
        .await?;
    phone.until("window.asked === 2").await?;
    pause(700).await;
    ensure!(phone.evaluate("window.awake").await? == 1, "one is held");
    // Left while the third answer is on its way.
    phone.tap("button", &is("More")).await?;
    phone.see("link", &is("Leave the game")).await?;
    phone
        .evaluate("document.dispatchEvent(new Event('visibilitychange', { bubbles: true })), true")
        .await?;
    phone.tap("link", &is("Leave the game")).await?;
    phone.see("heading", &is("Chalkbook")).await?;
    pause(900).await;
    ensure!(
        phone.evaluate("window.asked").await? == 3,
        "asked three times"
    );
    ensure!(phone.evaluate("window.awake").await? == 0, "none is held");
    phone.quiet().await
}
