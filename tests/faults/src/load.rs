//! How fast entries are verified and stored, against the bare check of as many
//! signatures in the same run.

use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use collector::collector::Collector;
use collector::settings::Limits;
use collector::store::Store;
use demoday::Official;
use engine::log::{GameRecord, LogName, Setup, split};

use crate::phone::small_game;

/// Figures of a run.
#[derive(Clone, Debug)]
pub struct Figures {
    /// Entries of a batch.
    pub batch: usize,
    /// Bare signature checks a second on one core.
    pub bare: f64,
    /// Entries verified and stored a second, on one core.
    pub stored: f64,
    /// Time of a batch: median, 95th and 99th of a hundred (milliseconds).
    pub latency: [f64; 3],
    /// Memory of this process afterwards (megabytes).
    pub memory: f64,
}

fn games(count: u64, plays: usize) -> Result<Vec<GameRecord>> {
    let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
    let template = day
        .games
        .first()
        .and_then(|g| g.records.first())
        .context("a game")?;
    let setup = Setup {
        fixture_number: None,
        ..template.opening().setup.clone()
    };
    let official = Official {
        author: template.opening().author.clone(),
        key: demoday::key(1, 1),
    };
    (0..count)
        .map(|n| small_game(&setup, &official, n, plays))
        .collect()
}

/// Measures with batches of so many entries, into a folder.
///
/// # Errors
/// When something is refused.
pub fn measure(count: u64, batch: usize) -> Result<Figures> {
    let games = games(count, 29)?;
    let key = games.first().context("a game")?.key();
    // The bare rate: as many signatures over as many bytes as in the logs.
    let secret = demoday::key(1, 1);
    let signed: Vec<(Vec<u8>, [u8; 64])> = games
        .iter()
        .flat_map(|g| g.chain().entries())
        .map(|e| (e.bytes().to_vec(), secret.sign(e.bytes())))
        .collect();
    let begun = Instant::now();
    let good = signed.iter().filter(|(m, s)| key.accepts(m, s)).count();
    let bare = f64::from(u32::try_from(good)?) / begun.elapsed().as_secs_f64();

    let place = tempfile::tempdir()?;
    // One thread for everything: what one core does.
    let runtime = tokio::runtime::Builder::new_current_thread()
        .max_blocking_threads(1)
        .enable_all()
        .build()?;
    let (stored, mut times) = runtime.block_on(async {
        let store = Store::folder(place.path())?;
        let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
        let charter = day.charter.bytes().to_vec().into();
        let limits = Limits {
            games: usize::MAX,
            ..Limits::default()
        };
        let collector = Collector::open(store, &[charter], false, limits).await?;
        let mut times = Vec::new();
        let begun = Instant::now();
        let mut entries = 0u32;
        for game in &games {
            let name = LogName {
                game: game.chain().game(),
                author: game.chain().author().fingerprint(),
            };
            for part in game.chain().entries().chunks(batch) {
                let body: Vec<u8> = part.iter().flat_map(|e| e.bytes()).copied().collect();
                let from = Instant::now();
                let taken = collector.take_in(name, &body).await;
                times.push(from.elapsed());
                let taken = taken.map_err(|_| anyhow::anyhow!("the folder failed"))?;
                anyhow::ensure!(
                    taken.receipt.refusal.is_none(),
                    "{:?}",
                    taken.receipt.refusal
                );
                entries += u32::try_from(part.len())?;
            }
        }
        anyhow::Ok((f64::from(entries) / begun.elapsed().as_secs_f64(), times))
    })?;
    times.sort_unstable();
    let at = |share: usize| {
        let time = times
            .get(times.len() * share / 100)
            .copied()
            .unwrap_or(Duration::ZERO);
        time.as_secs_f64() * 1000.0
    };
    Ok(Figures {
        batch,
        bare,
        stored,
        latency: [at(50), at(95), at(99)],
        memory: memory(),
    })
}

/// Resident memory of this process (megabytes); 0 where it is not known.
fn memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"));
    let kilobytes = line.and_then(|l| l.split_whitespace().next()?.parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) / 1024.0
}

/// How long results take as an event grows: games, and the times of the first
/// page and of the page after one more entry (milliseconds).
///
/// # Errors
/// When something is refused.
pub fn growth(count: u64) -> Result<[f64; 2]> {
    let games = games(count, 12)?;
    let runtime = tokio::runtime::Runtime::new()?;
    let place = tempfile::tempdir()?;
    runtime.block_on(async {
        let store = Store::folder(place.path())?;
        let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
        let charter = day.charter.bytes().to_vec().into();
        let limits = Limits {
            games: usize::MAX,
            ..Limits::default()
        };
        let collector = Collector::open(store, &[charter], false, limits).await?;
        let mut last = None;
        for game in &games {
            let name = LogName {
                game: game.chain().game(),
                author: game.chain().author().fingerprint(),
            };
            let bytes = game.chain().to_bytes();
            let items = split(&bytes).count();
            let end = game
                .chain()
                .at(u64::try_from(items)? - 1)
                .map(|e| e.bytes().len());
            let (first, rest) = bytes.split_at(bytes.len() - end.unwrap_or(0));
            let body = if last.is_none() { first } else { &bytes[..] };
            let taken = collector.take_in(name, body).await;
            taken.map_err(|_| anyhow::anyhow!("the folder failed"))?;
            last.get_or_insert((name, rest.to_vec()));
        }
        let event = collector.events().ids().next().context("an event")?;
        let mut times = [0.0; 2];
        for time in &mut times {
            let from = Instant::now();
            collector.view(event).await.context("a view")?;
            *time = from.elapsed().as_secs_f64() * 1000.0;
            if let Some((name, rest)) = last.take() {
                let taken = collector.take_in(name, &rest).await;
                taken.map_err(|_| anyhow::anyhow!("the folder failed"))?;
            }
        }
        Ok(times)
    })
}
