//! The app in a real browser with its processor slowed to a quarter: starting without a network.

use std::time::Instant;

use anyhow::Result;
use browser::{Phone, SMALL, Site};

use crate::figures::{row, seconds};

/// A quarter of the machine's speed stands in for a modest phone.
const SLOW: f64 = 4.0;

/// Measures and prints the rows, each over so many rounds.
pub fn measure(rounds: usize) -> Result<()> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?
        .block_on(start_offline(rounds.min(15)))
}

async fn start_offline(rounds: usize) -> Result<()> {
    let mut site = Site::start()?;
    let phone = Phone::new("bench-start", SMALL).await?;
    phone.open(&site.url()).await?;
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
