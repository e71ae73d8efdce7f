//! How fast entries are verified and stored: several phones at once over HTTP
//! against a collector in a process of its own, beside the bare check of as
//! many signatures in the same run.

use std::net::Ipv4Addr;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, ensure};
use collector::collector::Collector;
use collector::settings::Limits;
use collector::store::Store;
use demoday::Official;
use engine::log::{GameRecord, LogName, Setup, split};
use tempfile::TempDir;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

use crate::phone::small_game;
use crate::service::{Plan, cpu_seconds, free_port};
use crate::wire;

/// Longest time for one line of figures.
const TIME: Duration = Duration::from_secs(6);

/// Figures of a run.
#[derive(Clone, Debug)]
pub struct Figures {
    /// Phones that send at once, each on a connection of its own, kept open.
    pub phones: usize,
    /// Entries of a batch.
    pub batch: usize,
    /// Entries acknowledged.
    pub entries: usize,
    /// Entries acknowledged a second by the clock.
    pub a_second: f64,
    /// Entries acknowledged a CPU second of the collector's process, user and system.
    pub a_cpu_second: f64,
    /// Time from sending a batch to its answer: median, 95th and 99th of a
    /// hundred (milliseconds).
    pub latency: [f64; 3],
    /// Most memory of the collector's process (megabytes).
    pub memory: f64,
}

/// A request, and how many entries are in it.
type Batch = (Vec<u8>, usize);

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
        pen: demoday::key(1, 1),
    };
    (0..count)
        .map(|n| small_game(&setup, &official, n, plays))
        .collect()
}

fn name(game: &GameRecord) -> LogName {
    game.chain().name()
}

/// Games to send, and how fast one core checks as many signatures.
#[derive(Debug)]
pub struct Load {
    games: Vec<GameRecord>,
    program: String,
    /// Removed only at the end: some file systems look for a long time for a free
    /// place among those that were freed a moment ago.
    used: Vec<TempDir>,
}

impl Load {
    /// Writes so many games of 30 entries; `program` is this crate's own program.
    ///
    /// # Errors
    /// When the engine refuses one.
    pub fn new(program: &str, count: u64) -> Result<Self> {
        Ok(Self {
            games: games(count, 29)?,
            program: program.to_owned(),
            used: Vec::new(),
        })
    }

    /// Signature checks a CPU second, over as many bytes as in the logs.
    ///
    /// # Errors
    /// When one is not good.
    pub fn bare(&self) -> Result<f64> {
        let key = self.games.first().context("a game")?.key();
        let secret = demoday::key(1, 1);
        let signed: Vec<(Vec<u8>, [u8; 64])> = self
            .games
            .iter()
            .flat_map(|g| g.chain().entries())
            .map(|e| (e.bytes().to_vec(), secret.sign(e.bytes())))
            .collect();
        let begun = cpu_seconds(std::process::id()).context("CPU time")?;
        let good = signed.iter().filter(|(m, s)| key.accepts(m, s)).count();
        let taken = cpu_seconds(std::process::id()).context("CPU time")? - begun;
        ensure!(good == signed.len(), "every signature is good");
        Ok(f64::from(u32::try_from(good)?) / taken)
    }

    /// So many phones send batches of so many entries to a new collector on a
    /// folder, each one game after another, until all are there or the time is up.
    ///
    /// # Errors
    /// When something is refused.
    pub fn measure(&mut self, phones: usize, batch: usize) -> Result<Figures> {
        // One thread sends, so that the collector has the other cores.
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()?;
        let place = tempfile::tempdir()?;
        let figures = runtime.block_on(self.send(place.path(), phones, batch));
        self.used.push(place);
        figures
    }

    async fn send(&self, place: &Path, phones: usize, batch: usize) -> Result<Figures> {
        let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
        let port = free_port().await?;
        let plan = Plan::on_folder(&self.program, place, day.charter.bytes(), port)?;
        let service = plan.start().await?;
        let requests: Arc<Vec<Vec<Batch>>> = Arc::new(
            self.games
                .iter()
                .map(|game| {
                    let parts = game.chain().entries().chunks(batch);
                    let part = |part: &[engine::log::Entry<engine::log::Verified>]| {
                        let body: Vec<u8> = part.iter().flat_map(|e| e.bytes()).copied().collect();
                        (put(&name(game).path(), &body), part.len())
                    };
                    parts.map(part).collect()
                })
                .collect(),
        );
        let next = Arc::new(AtomicUsize::new(0));
        let before = service.cpu_seconds().context("CPU time")?;
        let begun = Instant::now();
        let mut hands = Vec::new();
        for _ in 0..phones {
            let (requests, next, port) = (requests.clone(), next.clone(), plan.port);
            hands.push(tokio::spawn(async move {
                let mut connection = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).await?;
                connection.set_nodelay(true)?;
                let mut times = Vec::new();
                let mut entries = 0;
                while let Some(game) = requests.get(next.fetch_add(1, Ordering::Relaxed)) {
                    for (request, count) in game {
                        let from = Instant::now();
                        connection.write_all(request).await?;
                        accepted(&mut connection).await?;
                        times.push(from.elapsed());
                        entries += count;
                        if begun.elapsed() > TIME {
                            return anyhow::Ok((times, entries));
                        }
                    }
                }
                Ok((times, entries))
            }));
        }
        let (mut times, mut entries) = (Vec::new(), 0);
        for hand in hands {
            let (some, count) = hand.await??;
            times.extend(some);
            entries += count;
        }
        let seconds = begun.elapsed().as_secs_f64();
        let cpu = service.cpu_seconds().context("CPU time")? - before;
        let memory = service.most_memory().unwrap_or(0);
        service.kill().await?;
        let kept = kept(&place.join("kept/logs"))?;
        ensure!(
            kept == entries,
            "{entries} entries acknowledged, {kept} kept"
        );
        times.sort_unstable();
        let at = |share: usize| {
            let time = times.get(times.len() * share / 100);
            time.copied().unwrap_or_default().as_secs_f64() * 1000.0
        };
        let count = f64::from(u32::try_from(entries)?);
        Ok(Figures {
            phones,
            batch,
            entries,
            a_second: count / seconds,
            a_cpu_second: count / cpu,
            latency: [at(50), at(95), at(99)],
            memory: f64::from(u32::try_from(memory)?) / 1024.0,
        })
    }
}

/// A request on a connection that stays open.
fn put(path: &str, body: &[u8]) -> Vec<u8> {
    let head = format!(
        "PUT {path} HTTP/1.1\r\nhost: 127.0.0.1\r\ncontent-type: application/cbor-seq\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    [head.as_bytes(), body].concat()
}

/// Reads one answer, which must be 200.
async fn accepted(connection: &mut TcpStream) -> Result<()> {
    let mut bytes = vec![0; 4096];
    let mut filled = 0;
    loop {
        let read = connection
            .read(bytes.get_mut(filled..).context("a long answer")?)
            .await?;
        ensure!(read > 0, "the collector hung up");
        filled += read;
        let so_far = &bytes[..filled];
        let Some(end) = wire::head_end(so_far) else {
            continue;
        };
        let head = std::str::from_utf8(&so_far[..end])?;
        ensure!(head.starts_with("HTTP/1.1 200 "), "refused: {head}");
        let length = head
            .lines()
            .find_map(|l| l.strip_prefix("content-length: "))
            .context("a length")?;
        if filled >= end + length.parse::<usize>()? {
            return Ok(());
        }
    }
}

/// Entries in a folder of logs, what is not yet under its name left out.
fn kept(folder: &Path) -> Result<usize> {
    let mut count = 0;
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            count += kept(&path)?;
        } else if !path.to_string_lossy().contains('#') {
            count += split(&std::fs::read(&path)?).count();
        }
    }
    Ok(count)
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
        let limits = Limits {
            games: usize::MAX,
            ..Limits::default()
        };
        let collector = Collector::open(store, &[day.charter], false, limits).await?;
        let mut last = None;
        for game in &games {
            let name = game.chain().name();
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
