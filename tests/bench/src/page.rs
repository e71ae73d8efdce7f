//! What the page costs a phone over a day: its memory after many games and screens, and the processor
//! while nothing happens.

use std::time::Duration;

use anyhow::{Context as _, Result};
use browser::{Phone, QUAY_STREET, Rng, SMALL, TRAM_YARD, fresh_game, likely_call};

/// Bytes of the program's memory and of what its JavaScript holds, after what is garbage is gone. The
/// loader's own question gives the program's exports, because it is started already.
const MEMORY: &str = "(async () => { \
    const main = performance.getEntriesByType('resource').map(r => r.name).find(n => /chalkbook-[^/]*[.]js$/.test(n)); \
    return (await import(main)).initSync().memory.buffer.byteLength; })()";

/// The screens of the tour, from the folder of the app on.
const SCREENS: [&str; 10] = [
    "settings", "court", "care", "events", "charter", "new", "take", "desk", "delivery", "",
];

/// Measures and prints the rows: so many games, of two plays each, and as many screens.
pub fn measure(games: usize) -> Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        let (_site, phone) = Phone::on_site("bench-page", SMALL).await?;
        phone.offline_ready().await?;
        let mut rng = Rng::with_seed(5);
        for at in 0..games {
            phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
            let mut game = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
            for _ in 0..2 {
                let call = likely_call(&game, &mut rng);
                game = phone.call(game, &call).await?.0;
                game = phone.ready(game).await?;
            }
            let screen = SCREENS.get(at % SCREENS.len()).unwrap_or(&"");
            turn_to(&phone, &format!("/{screen}")).await?;
            turn_to(&phone, "/").await?;
        }
        clear_away(&phone).await?;
        let program = phone.evaluate(MEMORY).await?.as_f64();
        let program = program.context("the program's memory cannot be asked for")?;
        let script = number(&phone, "JSHeapUsedSize").await?;
        println!(
            "| memory of the page after {games} games and {games} screens | {:.1} MB (program {:.1}, JavaScript {:.1}) | | < 60 MB |",
            (program + script) / 1e6,
            program / 1e6,
            script / 1e6
        );
        idle(&phone, games).await
    })
}

/// A minute on the calling screen with a game open, in brief a part of one. What the screens before left for the
/// browser to clear away is no part of it: it is cleared away before.
async fn idle(phone: &Phone, games: usize) -> Result<()> {
    phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
    // The screen is drawn and delivery has looked.
    tokio::time::sleep(Duration::from_secs(3)).await;
    clear_away(phone).await?;
    let all = ["TaskDuration"];
    // Only the page can be the reason of these.
    let own = ["ScriptDuration", "RecalcStyleDuration", "LayoutDuration"];
    let before = (sum(phone, &all).await?, sum(phone, &own).await?);
    let seconds = if games < 30 { 4 } else { 60 };
    tokio::time::sleep(Duration::from_secs(seconds)).await;
    let in_a_minute = |took: f64| took * 1e3 * 60.0 / Duration::from_secs(seconds).as_secs_f64();
    println!(
        "| idle minute on the calling screen: processor time | {:.1} ms, {:.1} of it the page's | | < 60 ms |",
        in_a_minute(sum(phone, &all).await? - before.0),
        in_a_minute(sum(phone, &own).await? - before.1)
    );
    Ok(())
}

/// Has the browser clear away what nothing uses any more.
async fn clear_away(phone: &Phone) -> Result<()> {
    let none = serde_json::json!({});
    phone.protocol("HeapProfiler.collectGarbage", none).await?;
    Ok(())
}

async fn number(phone: &Phone, name: &str) -> Result<f64> {
    sum(phone, &[name]).await
}

async fn sum(phone: &Phone, names: &[&str]) -> Result<f64> {
    let all = phone.performance().await?;
    let value = |name: &&str| {
        let value = all.get(*name).and_then(serde_json::Value::as_f64);
        value.with_context(|| format!("the browser does not count {name}"))
    };
    names.iter().map(value).sum()
}

async fn turn_to(phone: &Phone, path: &str) -> Result<()> {
    let follow = format!(
        "(() => {{ const a = document.createElement('a'); a.href = '{path}'; document.body.append(a); \
         a.click(); a.remove(); return true }})()"
    );
    phone.evaluate(&follow).await?;
    let there = format!("location.pathname === '{path}' && document.querySelector('h1') !== null");
    phone.until(&there).await
}
