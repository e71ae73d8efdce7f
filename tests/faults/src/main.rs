//! Trials and figures of the collector; also a collector, for the trials.

use anyhow::{Context as _, Result};
use clap::Parser as _;
use collector::settings::Settings;
use faults::federation::Federation;
use faults::load::{self, Load};
use faults::run::{Place, Trial, trial};

const USAGE: &str = "\
faults trial GAMES [SEED]     one collector on a folder, killed again and again
faults trial-s3 GAMES [SEED]  three collectors on one S3 server
faults trial-az GAMES [SEED]  the same on an emulator of Azure's blob storage, fetched by npm
faults load [GAMES]           entries verified and stored a second, 1 to 64 phones at once
faults flushed                each batch on the disk before its answer, as strace sees it
faults growth                 results as the event grows
faults federation [EVENTS] [GAMES] [ENTRIES]  start, memory and pages on a store of many
                              events; 1000 of 100 games of 100 entries take 5 GB
faults collector ...          a collector";

fn main() -> Result<()> {
    let words: Vec<String> = std::env::args().collect();
    let number = |at: usize| words.get(at).and_then(|w| w.parse::<u64>().ok());
    match words.get(1).map(String::as_str) {
        Some("collector") => {
            let settings = Settings::parse_from(&words[1..]);
            tokio::runtime::Runtime::new()?.block_on(collector::serve::run(settings))
        }
        Some(which @ ("trial" | "trial-s3" | "trial-az")) => {
            let (place, collectors) = match which {
                "trial" => (Place::Folder, 1),
                "trial-s3" => (Place::S3, 3),
                _ => (Place::Azure, 3),
            };
            let plan = Trial {
                games: number(2).context(USAGE)?,
                collectors,
                place,
                seed: number(3).unwrap_or(1),
            };
            let seen = tokio::runtime::Runtime::new()?.block_on(trial(&words[0], plan))?;
            println!("{plan:?}\n{seen:?}");
            Ok(())
        }
        Some("load") => {
            let mut load = Load::new(&words[0], number(2).unwrap_or(1000))?;
            println!(
                "phones batch  entries/s  per CPU s  of bare | median    95 %    99 % ms |   MB"
            );
            for batch in [1, 8, 30] {
                for phones in [1, 4, 16, 64] {
                    let bare = load.bare()?;
                    let f = load.measure(phones, batch)?;
                    let [p50, p95, p99] = f.latency;
                    println!(
                        "{phones:6} {batch:5} {:10.0} {:10.0} {:6.0} % | {p50:6.2} {p95:7.2} {p99:7.2}    | {:4.0} | bare {bare:.0}/CPU s",
                        f.a_second,
                        f.a_cpu_second,
                        100.0 * f.a_cpu_second / bare,
                        f.memory
                    );
                }
            }
            Ok(())
        }
        Some("flushed") => {
            let runtime = tokio::runtime::Runtime::new()?;
            let batches = runtime.block_on(faults::flushed::flushed(&words[0]))?;
            println!("{batches} batches, each flushed before it was acknowledged");
            Ok(())
        }
        Some("growth") => {
            for games in [10, 100, 1_000, 10_000] {
                let [first, later] = load::growth(games)?;
                println!("{games} games: first {first:.1} ms, after one more entry {later:.1} ms");
            }
            Ok(())
        }
        Some("federation") => {
            let (events, games) = (number(2).unwrap_or(1_000), number(3).unwrap_or(100));
            let entries = number(4).unwrap_or(100);
            let (many, each) = (usize::try_from(events)?, usize::try_from(entries)?);
            let kept = Federation::new(many, games, each)?;
            println!(
                "{events} events of {games} games of {entries} entries, written in {:.0} s",
                kept.written
            );
            let runtime = tokio::runtime::Runtime::new()?;
            for s3 in [false, true] {
                let f = runtime.block_on(kept.measure(&words[0], s3))?;
                println!(
                    "{}: start {:.2} s, {:.0} MB | delivered entry by entry: {:.0} ms and {} objects, again {:.1}; merged within {:.0} s, then {:.0} ms and {} | another: {:.0} ms and {}, again {:.1} | all pages {:.1} s, most memory {:.0} MB | idle {:.2} s of 6 looks",
                    if s3 { "S3" } else { "folder" },
                    f.start,
                    f.memory,
                    f.live.milliseconds,
                    f.live.objects,
                    f.live_again,
                    f.merging,
                    f.merged.milliseconds,
                    f.merged.objects,
                    f.other.milliseconds,
                    f.other.objects,
                    f.other_again,
                    f.all[1],
                    f.all[0],
                    f.idle
                );
            }
            Ok(())
        }
        _ => {
            println!("{USAGE}");
            Ok(())
        }
    }
}
