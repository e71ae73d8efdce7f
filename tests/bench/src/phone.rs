//! The app in a real browser with its processor slowed to a quarter: starting without a network,
//! from the touch that confirms a call to the next frame, to the disk, and to the next batter shown,
//! and from the touch that asks for a court to its plan.

use std::time::Instant;

use anyhow::{Context as _, Result};
use browser::{Phone, QUAY_STREET, Rng, SMALL, Site, TRAM_YARD, fresh_game, is, likely_call};

use crate::figures::{row, seconds};

/// A quarter of the machine's speed stands in for a modest phone.
const SLOW: f64 = 4.0;

/// Measures and prints the rows, each over so many rounds.
pub fn measure(rounds: usize) -> Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        start_offline(rounds.min(15)).await?;
        confirm(rounds).await?;
        turn_screens(rounds).await?;
        fit_a_court(rounds.min(15)).await
    })
}

/// Notes in the page: when the last touch came, the frame after it, the end of the writing
/// transaction, and the frame after who is at bat has changed. Times in milliseconds.
const WATCH: &str = "(() => { \
    const seen = window.seen = { tap: 0, frame: 0, kept: 0, shown: 0 }; \
    const due = () => document.querySelector('.due')?.textContent; let before; \
    const afterFrame = then => requestAnimationFrame(() => { const c = new MessageChannel(); \
        c.port1.onmessage = () => then(performance.now()); c.port2.postMessage(0); }); \
    addEventListener('click', e => { seen.tap = e.timeStamp; seen.frame = seen.kept = seen.shown = 0; before = due(); \
        afterFrame(now => { seen.frame = now; }); }, true); \
    const open = IDBDatabase.prototype.transaction; \
    IDBDatabase.prototype.transaction = function (...words) { const t = open.apply(this, words); \
        if (t.mode === 'readwrite') t.addEventListener('complete', () => { seen.kept = performance.now(); }); \
        return t; }; \
    new MutationObserver(() => { if (seen.kept && due() !== before) { before = due(); \
        afterFrame(now => { seen.shown = now; }); } }) \
        .observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true }); \
    return true; })()";

async fn confirm(rounds: usize) -> Result<()> {
    let (mut site, phone) = Phone::on_site("bench-confirm", SMALL).await?;
    phone.offline_ready().await?;
    site.stop();
    let (mut frame, mut kept, mut shown) = (Vec::new(), Vec::new(), Vec::new());
    let mut rng = Rng::with_seed(3);
    let mut game = None;
    let mut work = Work::default();
    while shown.len() < rounds {
        let now = match game
            .take()
            .filter(|game: &engine::game::Game| game.ending().is_none())
        {
            Some(game) => game,
            None => {
                phone.open(&site.url()).await?;
                phone.new_game(&QUAY_STREET, &TRAM_YARD).await?;
                phone.evaluate(WATCH).await?;
                fresh_game(&QUAY_STREET, &TRAM_YARD)?
            }
        };
        let call = likely_call(&now, &mut rng);
        phone.enter(&now, &call).await?;
        let before = Work::now(&phone).await?;
        phone.slow_down(SLOW).await?;
        phone.record_call(&call).await?;
        // Nothing is asked of the page meanwhile, so that the question does not slow it down.
        tokio::time::sleep(std::time::Duration::from_millis(600)).await;
        phone.slow_down(1.0).await?;
        work.add(&before, &Work::now(&phone).await?);
        let seen = phone.evaluate("window.seen").await?;
        let since = |what: &str, from: &str| {
            let at = |name: &str| seen[name].as_f64().filter(|at| *at > 0.0);
            Some((at(what)? - at(from)?).max(0.0) / 1000.0)
        };
        let missing = || anyhow::anyhow!("a call was not followed through: {seen}");
        frame.push(since("frame", "tap").ok_or_else(missing)?);
        kept.push(since("kept", "frame").ok_or_else(missing)?);
        shown.push(since("shown", "tap").ok_or_else(missing)?);
        let played = match now.apply(&call) {
            Ok(played) => played.game,
            Err(refused) => anyhow::bail!("the measured call is refused: {}", refused.objection),
        };
        phone.shows(&played).await?;
        game = Some(if played.ending().is_none() {
            phone.ready(played).await?
        } else {
            played
        });
    }
    row(
        "confirm touch to the next frame, quarter speed",
        &mut frame,
        "95 % < 50 ms",
    );
    row(
        "from that frame to kept (the transaction's end)",
        &mut kept,
        "95 % < 50 ms",
    );
    row("confirm touch to the next batter shown", &mut shown, "");
    work.print("from that touch to 0.6 s later", shown.len());
    Ok(())
}

/// What the browser did for the page: counts, which do not depend on how busy the machine is, and the
/// processor time beside them.
#[derive(Default)]
struct Work([f64; 5]);

impl Work {
    /// As the browser's protocol names them (Performance.getMetrics), with our words.
    const WHAT: [(&str, &str); 5] = [
        ("RecalcStyleCount", "styles worked out"),
        ("LayoutCount", "layouts"),
        ("RecalcStyleDuration", "ms of styles"),
        ("LayoutDuration", "ms of layout"),
        ("ScriptDuration", "ms of program"),
    ];

    async fn now(phone: &Phone) -> Result<Self> {
        let said = phone.performance().await?;
        Ok(Self(Self::WHAT.map(|(name, _)| {
            let value = said[name].as_f64().unwrap_or(f64::NAN);
            value * if name.ends_with("Duration") { 1e3 } else { 1.0 }
        })))
    }

    fn add(&mut self, before: &Self, after: &Self) {
        for (sum, (before, after)) in self.0.iter_mut().zip(before.0.iter().zip(after.0)) {
            *sum += after - before;
        }
    }

    fn print(&self, when: &str, rounds: usize) {
        let each = self.0.iter().zip(Self::WHAT);
        let each = each.map(|(sum, (_, what))| format!("{:.1} {what}", sum / rounds as f64));
        println!(
            "| {when}, mean | {} | | |",
            each.collect::<Vec<_>>().join(", ")
        );
    }
}

/// From the touch on a link to the frame that shows the other screen's heading; seconds.
const TURN: &str = "new Promise(done => { const a = document.createElement('a'); a.href = 'TO'; \
    document.body.append(a); const before = document.querySelector('h1'); const from = performance.now(); \
    a.click(); a.remove(); const look = () => { const now = document.querySelector('h1'); \
    location.pathname === 'TO' && now && now !== before \
    ? requestAnimationFrame(() => done((performance.now() - from) / 1000)) : setTimeout(look, 1) }; look() })";

/// Round the screens that need no game, with every piece on the phone.
async fn turn_screens(rounds: usize) -> Result<()> {
    let (mut site, phone) = Phone::on_site("bench-turn", SMALL).await?;
    phone.offline_ready().await?;
    site.stop();
    let mut took = Vec::new();
    let tour = [
        "/settings",
        "/",
        "/court",
        "/",
        "/new",
        "/",
        "/events",
        "/",
        "/care",
        "/",
    ];
    for to in tour.iter().cycle().take(rounds.max(tour.len())) {
        phone.slow_down(SLOW).await?;
        let turn = phone.evaluate(&TURN.replace("TO", to)).await?;
        phone.slow_down(1.0).await?;
        took.push(turn.as_f64().context("a screen did not come")?);
    }
    row(
        "one screen to another, quarter speed, pieces on the phone",
        &mut took,
        "95 % < 100 ms",
    );
    Ok(())
}

async fn start_offline(rounds: usize) -> Result<()> {
    let (mut site, phone) = Phone::on_site("bench-start", SMALL).await?;
    phone.offline_ready().await?;
    site.stop();
    let mut page = Vec::new();
    let mut whole = Vec::new();
    for _ in 0..rounds {
        phone.open("about:blank").await?;
        phone.slow_down(SLOW).await?;
        let from = Instant::now();
        phone.open(&site.url()).await?;
        phone.until("document.querySelector('h1') !== null").await?;
        whole.push(seconds(from.elapsed()));
        let painted = phone
            .evaluate("new Promise(done => new PerformanceObserver(list => { const all = list.getEntries(); \
                done(all[all.length - 1].startTime / 1000); }).observe({ type: 'largest-contentful-paint', buffered: true }))")
            .await?;
        page.extend(painted.as_f64());
    }
    phone.slow_down(1.0).await?;
    row(
        "start without a network, quarter speed: largest paint",
        &mut page,
        "< 1.5 s",
    );
    row(
        "the same, with the driver's own delays: first heading there",
        &mut whole,
        "< 1.5 s",
    );
    Ok(())
}

/// From the touch to the plan on the screen: the fit, the drawing and its paint.
const FIT: &str = "new Promise(done => { const from = performance.now(); \
    const look = () => document.querySelector('.plan-in svg') \
    ? requestAnimationFrame(() => done((performance.now() - from) / 1000)) : requestAnimationFrame(look); \
    [...document.querySelectorAll('button')].find(b => b.textContent === 'Fit the court').click(); look(); })";

/// A place too small for the full court, with two posts and a car: the search runs to its proof.
async fn fit_a_court(rounds: usize) -> Result<()> {
    let site = Site::start()?;
    let phone = Phone::new("bench-fit", SMALL).await?;
    let place = "localStorage.setItem('chalkbook-court', JSON.stringify({ length: 21.4, width: 19.3, \
        things: [{ Post: { x: 3.0, y: 15.5, across: 0.4 } }, { Post: { x: 17.5, y: 2.0, across: 0.2 } }, \
        { Block: { x: 0.0, y: 0.0, wide: 4.4, high: 1.9 } }] })), true";
    let ready = "[...document.querySelectorAll('button')].some(b => b.textContent === 'Fit the court' && !b.disabled)";
    phone.open(&site.url()).await?;
    phone.evaluate(place).await?;
    let mut fits = Vec::new();
    for _ in 0..rounds {
        phone.open(&format!("{}court", site.url())).await?;
        phone.until(ready).await?;
        phone.slow_down(SLOW).await?;
        let took = phone.evaluate(FIT).await?;
        phone.slow_down(1.0).await?;
        fits.push(took.as_f64().context("no plan came")?);
    }
    phone
        .see("image", &is("Plan of the court, to scale"))
        .await?;
    row(
        "fit a court among posts, quarter speed: touch to plan on the screen",
        &mut fits,
        "< 200 ms",
    );
    Ok(())
}
