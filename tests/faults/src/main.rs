//! Trials and figures of the collector; also a collector, for the trials.

use anyhow::Result;
use clap::{Args, Parser};
use collector::settings::Settings;
use faults::federation::Federation;
use faults::load::{self, Load};
use faults::run::{Place, Trial, trial};
use tokio::runtime::Runtime;

/// Trials and figures of the collector.
#[derive(Debug, Parser)]
enum What {
    /// One collector on a folder, killed again and again.
    Trial(Trying),
    /// Three collectors on one S3 server.
    TrialS3(Trying),
    /// The same on an emulator of Azure's blob storage, fetched by npm.
    TrialAz(Trying),
    /// Entries verified and stored a second, 1 to 64 phones at once.
    Load {
        /// Games that the entries are of.
        #[arg(default_value_t = 1_000)]
        games: u64,
    },
    /// Each batch on the disk before its answer, as strace sees it.
    Flushed,
    /// Results as the event grows.
    Growth,
    /// Start, memory and pages on a store of many events. The default, ten
    /// million entries, takes 5 GB.
    Federation {
        /// Events.
        #[arg(default_value_t = 1_000)]
        events: usize,
        /// Games of each.
        #[arg(default_value_t = 100)]
        games: u64,
        /// Entries of each game.
        #[arg(default_value_t = 100)]
        entries: usize,
    },
    /// A collector.
    Collector(Box<Settings>),
}

#[derive(Debug, Args)]
struct Trying {
    /// Games whose records are delivered.
    games: u64,
    /// What the faults are drawn from.
    #[arg(default_value_t = 1)]
    seed: u64,
}

impl Trying {
    fn run(&self, program: &str, place: Place, collectors: usize) -> Result<()> {
        let plan = Trial {
            games: self.games,
            collectors,
            place,
            seed: self.seed,
        };
        let seen = Runtime::new()?.block_on(trial(program, plan))?;
        println!("{plan:?}\n{seen:?}");
        Ok(())
    }
}

fn main() -> Result<()> {
    let program = std::env::args().next().unwrap_or_default();
    match What::parse() {
        What::Collector(settings) => Runtime::new()?.block_on(collector::serve::run(*settings)),
        What::Trial(trying) => trying.run(&program, Place::Folder, 1),
        What::TrialS3(trying) => trying.run(&program, Place::S3, 3),
        What::TrialAz(trying) => trying.run(&program, Place::Azure, 3),
        What::Load { games } => measure_load(&program, games),
        What::Flushed => {
            let batches = Runtime::new()?.block_on(faults::flushed::flushed(&program))?;
            println!("{batches} batches, each flushed before it was acknowledged");
            Ok(())
        }
        What::Growth => {
            for games in [10, 100, 1_000, 10_000] {
                let [first, later] = load::growth(games)?;
                println!("{games} games: first {first:.1} ms, after one more entry {later:.1} ms");
            }
            Ok(())
        }
        What::Federation {
            events,
            games,
            entries,
        } => measure_federation(&program, Federation::new(events, games, entries)?),
    }
}

fn measure_load(program: &str, games: u64) -> Result<()> {
    let mut load = Load::new(program, games)?;
    println!("phones batch  entries/s  per CPU s  of bare | median    95 %    99 % ms |   MB");
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

fn measure_federation(program: &str, kept: Federation) -> Result<()> {
    println!("written in {:.0} s", kept.written);
    let runtime = Runtime::new()?;
    for s3 in [false, true] {
        let f = runtime.block_on(kept.measure(program, s3))?;
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
