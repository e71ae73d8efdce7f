//! What a first visit sends: the sizes of the built files, packed with brotli as the server gives
//! them out.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, bail};
use xtask::place;

/// Everything the first screen needs, in bytes.
const BUDGET: u64 = 400_000;

/// Prints the rows.
///
/// # Errors
/// When the app is not built for phones.
pub fn measure() -> Result<()> {
    let mut first = 0;
    for kind in ["wasm", "js", "css", "html"] {
        let bytes = packed(&place::dist(), kind)?;
        println!("| download, {kind} | {:.1} kB | | |", kilo(bytes));
        first += bytes;
    }
    let missed = if first > BUDGET { ", missed" } else { "" };
    println!(
        "| first load: wasm, js, css and page, brotli | {:.1} kB | | < {:.0} kB{missed} |",
        kilo(first),
        kilo(BUDGET)
    );
    Ok(())
}

fn kilo(bytes: u64) -> f64 {
    bytes as f64 / 1000.0
}

/// The packed size of the files of a kind; the service worker itself loads after the first screen.
fn packed(folder: &Path, kind: &str) -> Result<u64> {
    let mut bytes = 0;
    let mut files = 0;
    for entry in fs::read_dir(folder).context("the app is not built: run `cargo xtask test web`")? {
        let path = entry?.path();
        if path.is_dir() {
            bytes += packed(&path, kind).unwrap_or_default();
        }
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if name.ends_with(&format!(".{kind}.br")) && name != "sw.js.br" {
            bytes += fs::metadata(&path)?.len();
            files += 1;
        }
    }
    if files == 0 && folder == place::dist() {
        bail!("no packed {kind} file: build the app for phones with `cargo xtask test web`");
    }
    Ok(bytes)
}
