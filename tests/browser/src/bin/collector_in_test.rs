//! A collector as a process of its own, for the tests to start and to kill.

use clap::Parser as _;
use collector::settings::Settings;

fn main() -> anyhow::Result<()> {
    // The first word says what this program is to be.
    let settings = Settings::parse_from(std::env::args().skip(1));
    tokio::runtime::Runtime::new()?.block_on(collector::serve::run(settings))
}
