//! Builds the app into a folder.

use std::path::PathBuf;

use anyhow::Result;
use appbuild::app::{self, Kind};
use appbuild::bundle;
use clap::Parser;
use xtask::place;

/// Builds the app: a folder that any host can serve.
#[derive(Debug, Parser)]
#[command(name = "appbuild")]
struct Asked {
    /// As phones get it: small, optimised, compressed. It takes minutes.
    #[arg(long)]
    release: bool,
    /// All that is handed out, not the app alone.
    #[arg(long, conflicts_with = "release", requires = "into")]
    bundle: bool,
    /// Where it goes. Without it into the staging folder of Trunk, or `target/dist`.
    #[arg(long)]
    into: Option<PathBuf>,
}

fn main() -> Result<()> {
    let asked = Asked::parse();
    if let Some(into) = asked.into.as_ref().filter(|_| asked.bundle) {
        bundle::make(into)?;
        println!("What is handed out is in {}", into.display());
        return Ok(());
    }
    let by_trunk = std::env::var_os("TRUNK_STAGING_DIR").map(PathBuf::from);
    let release = asked.release || std::env::var("TRUNK_PROFILE").is_ok_and(|p| p == "release");
    let kind = if release { Kind::Phone } else { Kind::Quick };
    let into = asked.into.or(by_trunk).unwrap_or_else(place::dist);
    let name = app::build(kind, &into)?;
    println!("Build {name} in {}", into.display());
    Ok(())
}
