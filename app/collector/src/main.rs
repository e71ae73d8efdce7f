//! The collector's command: `collector --help`.

use clap::Parser as _;
use collector::settings::Settings;

#[tokio::main]
async fn main() -> std::process::ExitCode {
    match collector::serve::run(Settings::parse()).await {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(why) => {
            // The causes in one line, not a trace.
            eprintln!("{why:#}");
            std::process::ExitCode::FAILURE
        }
    }
}
