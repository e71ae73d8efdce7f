//! The collector's command: `collector --help`.

use clap::Parser as _;
use collector::settings::Settings;

#[tokio::main]
async fn main() -> anyhow::Result<()> {
    collector::serve::run(Settings::parse()).await
}
