//! The app is one program: from screen to screen the page is never loaded again.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::{Context as _, Result, ensure};
use browser::{Phone, SMALL, is};
use url::Url;

/// Every screen, by the end of its address.
const SCREENS: [&str; 18] = [
    "",
    "call",
    "story",
    "new",
    "cards",
    "statement",
    "cross",
    "events",
    "event",
    "charter",
    "show",
    "take",
    "desk",
    "settings",
    "delivery",
    "care",
    "court",
    "sheet",
];

/// The addresses that the screen links to, files aside.
const LINKS: &str = "[...document.querySelectorAll('a[href]:not([download])')].map(a => a.href)";

/// What makes two addresses the same screen: its name, and what the questions in it are called.
fn kind(address: &Url) -> String {
    let asked: BTreeSet<_> = address
        .query_pairs()
        .map(|(name, _)| name.into_owned())
        .collect();
    let asked: Vec<_> = asked.into_iter().collect();
    format!("{}?{}", address.path(), asked.join("&"))
}

#[tokio::test(flavor = "multi_thread")]
async fn the_page_is_loaded_once() -> Result<()> {
    let (mut site, phone) = Phone::on_site("one-program", SMALL).await?;
    phone.offline_ready().await?;
    phone.see("heading", &is("Chalkbook")).await?;
    phone.evaluate("window.stayed = true").await?;
    phone.demo_day().await?;
    // Every piece of the program is on the phone.
    site.stop();

    let top = Url::parse(&site.url())?;
    let mut waiting: BTreeMap<String, Url> = BTreeMap::new();
    for name in SCREENS {
        let address = top.join(name)?;
        waiting.insert(kind(&address), address);
    }
    let mut seen = BTreeSet::new();
    while let Some((kind_now, address)) = waiting.pop_first() {
        seen.insert(kind_now);
        let follow = format!(
            "(() => {{ const a = document.createElement('a'); a.href = '{address}'; \
             document.body.append(a); a.click(); a.remove(); return true }})()"
        );
        phone.evaluate(&follow).await?;
        let there = format!(
            "location.pathname === '{}' && document.querySelector('h1') !== null",
            address.path()
        );
        phone
            .until(&there)
            .await
            .with_context(|| address.to_string())?;
        phone.settled().await?;
        ensure!(
            phone.evaluate("window.stayed === true").await? == true,
            "{address} loaded the page again"
        );
        let links = phone.evaluate(LINKS).await?;
        let links = links.as_array().context("no list of links")?;
        for link in links.iter().filter_map(|link| link.as_str()) {
            let link = Url::parse(link)?;
            if link.origin() == top.origin() && !seen.contains(&kind(&link)) {
                waiting.insert(kind(&link), link);
            }
        }
    }
    for name in SCREENS {
        let path = format!("/{name}?");
        ensure!(
            seen.iter().any(|kind| kind.starts_with(&path)),
            "{name} was not seen"
        );
    }
    println!("{} kinds of address", seen.len());

    // The way back is of the same page, too.
    for _ in 0..3 {
        phone.evaluate("history.back(), true").await?;
        phone.settled().await?;
    }
    phone
        .until("window.stayed === true && document.querySelector('h1') !== null")
        .await?;
    phone.quiet().await
}
