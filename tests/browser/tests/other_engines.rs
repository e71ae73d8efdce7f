//! The day's bare bones in the engines of the other phones, Firefox and WebKit, each in a profile of its
//! own that a kill leaves behind: a game begun, called, loaded again, killed, gone on with and delivered.
//!
//! What cannot be asked of them here: neither is a phone. Firefox opens no window under 500 px, WebKit
//! runs in a window of GTK, so the size, the touch and the storage rules of an iPhone (a site not
//! opened for seven days, an app on the home screen) are not tested. Both are driven by WebDriver alone,
//! which knows no slow processor, no full disk, no camera, and not what the page complains of.

use anyhow::{Context as _, Result, ensure};
use browser::{
    Browser, Coast, Phone, QUAY_STREET, Rng, SMALL, TRAM_YARD, fresh_game, is, likely_call,
};
use engine::game::Game;

const PROGRAM: &str = env!("CARGO_BIN_EXE_collector_in_test");

async fn play(phone: &Phone, mut game: Game, rng: &mut Rng, plays: usize) -> Result<Game> {
    for _ in 0..plays {
        let call = likely_call(&game, rng);
        (game, _) = phone.call(game, &call).await?;
    }
    Ok(game)
}

async fn a_game_outlives_everything(browser: Browser, name: &str) -> Result<()> {
    let mut coast = Coast::start(PROGRAM).await?;
    let mut phone = Phone::with(browser, name, SMALL).await?;
    phone.open(&coast.direct()).await?;
    phone.offline_ready().await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.picture("games").await?;

    // No signal from here on.
    coast.kill().await?;
    phone.reload().await?;
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    let address = phone.address().await?;
    let mut rng = Rng::with_seed(7);
    let game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    let game = play(&phone, game, &mut rng, 10).await?;
    phone.picture("ten-plays").await?;
    phone.reload().await?;
    phone.shows(&game).await?;

    // A call on the screen as kept is kept: the kill comes as soon as it is said.
    let game = play(&phone, game, &mut rng, 1).await?;
    let before = phone.records().await?;
    phone.die_and_start_again().await?;
    phone.open(&address).await?;
    phone.shows(&game).await?;
    phone.picture("after-the-kill").await?;
    ensure!(phone.records().await? == before, "not the same records");
    let game = phone.ready(game).await?;
    play(&phone, game, &mut rng, 1).await?;

    coast.start_again().await?;
    phone
        .evaluate("dispatchEvent(new Event('online')), true")
        .await?;
    let records = phone.records().await?;
    let (log, bytes) = records.first_key_value().context("a record")?;
    ensure!(records.len() == 1, "{} records", records.len());
    coast.has(*log, bytes).await?;
    phone.open(&format!("{}delivery", coast.direct())).await?;
    phone.read("The record on this phone is delivered.").await?;
    phone.picture("delivered").await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_game_in_firefox() -> Result<()> {
    a_game_outlives_everything(Browser::Firefox, "firefox").await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_game_in_webkit() -> Result<()> {
    a_game_outlives_everything(Browser::WebKit, "webkit").await
}
