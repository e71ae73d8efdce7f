//! What a first visit sends before the first screen stands, packed with brotli as the server gives
//! it out, and what the service worker fetches after it so that every screen works offline.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use xtask::place;

/// Everything the first screen needs, in bytes.
const BUDGET: u64 = 400_000;

/// Prints the rows.
///
/// # Errors
/// When the app is not built for phones.
pub fn measure() -> Result<()> {
    let dist = place::dist();
    let page = fs::read_to_string(dist.join("index.html"))
        .context("the app is not built: run `cargo xtask test web`")?;
    let mut first = BTreeMap::from([("html", packed(&dist.join("index.html"))?)]);
    let mut later = 0;
    for entry in fs::read_dir(&dist)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let Some(kind) = ["wasm", "js", "css"]
            .into_iter()
            .find(|kind| name.ends_with(&format!(".{kind}")))
        else {
            continue;
        };
        // The page names what it loads at once.
        if page.contains(&*name) {
            *first.entry(kind).or_default() += packed(&path)?;
        } else if name != "sw.js" {
            later += packed(&path)?;
        }
    }
    ensure!(first.contains_key("wasm"), "the page names no module");
    for (kind, bytes) in &first {
        println!("| download, {kind} | {:.1} kB | | |", kilo(*bytes));
    }
    let all = first.values().sum();
    let missed = if all > BUDGET { ", missed" } else { "" };
    println!(
        "| first load: wasm, js, css and page, brotli | {:.1} kB | | < {:.0} kB{missed} |",
        kilo(all),
        kilo(BUDGET)
    );
    println!(
        "| after it, in the background: delivery, charters, the other screens and the reader of codes | {:.1} kB | | |",
        kilo(later)
    );
    Ok(())
}

fn kilo(bytes: u64) -> f64 {
    bytes as f64 / 1000.0
}

/// The size of a file as it is sent.
fn packed(path: &Path) -> Result<u64> {
    let mut name = path.as_os_str().to_owned();
    name.push(".br");
    let sent = fs::metadata(&name).with_context(|| {
        format!(
            "{} is not packed: build with `cargo xtask test web`",
            path.display()
        )
    })?;
    Ok(sent.len())
}
