//! What a first visit sends before the first screen stands, packed with brotli as the server gives
//! it out, and what the service worker fetches after it so that every screen works offline.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use xtask::place;

/// Everything the first screen needs, in bytes.
const BUDGET: u64 = 300_000;
/// Everything that is kept on the phone, in bytes.
const WHOLE_BUDGET: u64 = 900_000;

/// Prints the rows.
///
/// # Errors
/// When the app is not built for phones.
pub fn measure() -> Result<()> {
    let dist = place::dist();
    let page = fs::read_to_string(dist.join("index.html"))
        .context("the app is not built: run `cargo xtask test web`")?;
    let named = page + &fs::read_to_string(dist.join("boot.js"))?;
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
        // The page and its starter name what they load at once; the first piece imports the loader.
        if named.contains(&*name) || name.starts_with("pieces-") {
            *first.entry(kind).or_default() += packed(&path)?;
        } else if name != "sw.js" {
            later += packed(&path)?;
        }
    }
    ensure!(first.contains_key("wasm"), "nothing names the program");
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
        "| everything: the other screens and the reader of codes too | {:.1} kB | | < {:.0} kB{} |",
        kilo(all + later),
        kilo(WHOLE_BUDGET),
        if all + later > WHOLE_BUDGET {
            ", missed"
        } else {
            ""
        }
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
