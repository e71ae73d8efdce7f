//! Serves the built app with a collector and the demo event.

use std::path::PathBuf;

use anyhow::Result;
use clap::Parser;
use serve::Server;

/// Serves the built app with a collector and the demo event, on the loopback address.
#[derive(Debug, Parser)]
struct Asked {
    /// The built app
    app: PathBuf,
    /// Where the collector keeps what it takes in
    kept: PathBuf,
    /// The port that it listens on; 0 takes a free one
    port: u16,
}

fn main() -> Result<()> {
    let asked = Asked::parse();
    let server = Server::with_collector(&asked.app, &asked.kept, asked.port)?;
    let url = server.url();
    println!("Chalkbook is at {url}  (end with Ctrl-C)");
    println!("Results of the demo event: {url}results");
    server.until_interrupted()
}
