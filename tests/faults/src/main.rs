//! Trials and figures of the collector; also a collector, for the trials.

use anyhow::{Context as _, Result};
use clap::Parser as _;
use collector::settings::Settings;
use faults::load;
use faults::run::{Trial, trial};

const USAGE: &str = "\
faults trial GAMES [SEED]     one collector on a folder, killed again and again
faults trial-s3 GAMES [SEED]  three collectors on one S3 server
faults load                   entries verified and stored a second
faults growth                 results as the event grows
faults collector ...          a collector";

fn main() -> Result<()> {
    let words: Vec<String> = std::env::args().collect();
    let number = |at: usize| words.get(at).and_then(|w| w.parse::<u64>().ok());
    match words.get(1).map(String::as_str) {
        Some("collector") => {
            let settings = Settings::parse_from(&words[1..]);
            tokio::runtime::Runtime::new()?.block_on(collector::serve::run(settings))
        }
        Some(which @ ("trial" | "trial-s3")) => {
            let s3 = which == "trial-s3";
            let plan = Trial {
                games: number(2).context(USAGE)?,
                collectors: if s3 { 3 } else { 1 },
                s3,
                seed: number(3).unwrap_or(1),
            };
            let seen = tokio::runtime::Runtime::new()?.block_on(trial(&words[0], plan))?;
            println!("{plan:?}\n{seen:?}");
            Ok(())
        }
        Some("load") => {
            for batch in [1, 8, 30] {
                let f = load::measure(200, batch)?;
                let [p50, p95, p99] = f.latency;
                println!(
                    "batch {batch:2}: bare {:.0}/s, verified and stored {:.0}/s ({:.0} %), batch {p50:.2} ms, p95 {p95:.2}, p99 {p99:.2}, {:.0} MB",
                    f.bare,
                    f.stored,
                    100.0 * f.stored / f.bare,
                    f.memory
                );
            }
            Ok(())
        }
        Some("growth") => {
            for games in [10, 100, 1_000, 10_000] {
                let [first, later] = load::growth(games)?;
                println!("{games} games: first {first:.1} ms, after one more entry {later:.1} ms");
            }
            Ok(())
        }
        _ => {
            println!("{USAGE}");
            Ok(())
        }
    }
}
