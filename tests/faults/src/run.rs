//! The whole trial: phones, proxies, collectors killed and started again.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, ensure};
use demoday::Official;
use engine::log::{GameMark, Setup, split};
use engine::sync::Receipt;
use fastrand::Rng;

use crate::azure::Azure;
use crate::phone::{Phone, small_game};
use crate::proxy::Proxy;
use crate::service::{Plan, free_port, s3};
use crate::wire;

/// How long the collectors may merge nothing while there is something to merge.
const MERGING: Duration = Duration::from_secs(60);

/// What to try.
#[derive(Clone, Copy, Debug)]
pub struct Trial {
    /// Games, each on its own phone.
    pub games: u64,
    /// Collectors on one storage.
    pub collectors: usize,
    /// Where they keep it.
    pub place: Place,
    /// Everything drawn follows from it.
    pub seed: u64,
}

/// A kind of storage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A folder.
    Folder,
    /// An S3 server in this process.
    S3,
    /// An emulator of Azure's blob storage.
    Azure,
}

/// What was seen.
#[derive(Clone, Copy, Debug, Default)]
pub struct Seen {
    /// Entries acknowledged and found.
    pub entries: u64,
    /// Collectors killed.
    pub kills: u64,
    /// Requests that reached a proxy.
    pub requests: u64,
    /// Faults the proxies made.
    pub faults: u64,
    /// Entries that stand in more than one object: harmless, and shown once.
    pub stored_twice: u64,
    /// How long it took (seconds).
    pub seconds: f64,
}

/// Runs a trial; `program` is this crate's own program.
///
/// # Errors
/// When an acknowledged entry is lost, one is there twice, or heads differ.
pub async fn trial(program: &str, trial: Trial) -> Result<Seen> {
    let begun = Instant::now();
    let place = tempfile::tempdir()?;
    let told = |e: demoday::Fault| anyhow::anyhow!("{e}");
    let day = demoday::play_day(1).map_err(told)?;
    let charter = place.path().join("charter");
    std::fs::write(&charter, day.charter.bytes())?;
    let kept = place.path().join("kept");
    let mut azure = None;
    let (storage, environment) = match trial.place {
        Place::Folder => (format!("file://{}", kept.display()), Vec::new()),
        Place::S3 => ("s3://event/day".to_owned(), s3(&kept).await?.0),
        Place::Azure => {
            let server = azure.insert(Azure::start(&kept).await?);
            ("az://event/day".to_owned(), server.environment.clone())
        }
    };
    let mut plans = Vec::new();
    let mut proxies = Vec::new();
    for n in 0..trial.collectors {
        let port = free_port().await?;
        plans.push(Plan {
            program: program.to_owned(),
            port,
            storage: storage.clone(),
            charter: charter.display().to_string(),
            environment: environment.clone(),
            // The event is let go whenever nobody asks, and read again; its
            // objects are merged as soon as there are two of a log.
            more: [
                "--held-limit",
                "0",
                "--objects-limit",
                "2",
                "--merge-wait",
                "0",
            ]
            .map(str::to_owned)
            .into(),
        });
        let seed = trial.seed.wrapping_add(u64::try_from(n)?);
        proxies.push(Proxy::before(port, seed).await?);
    }
    let ports: Vec<u16> = proxies.iter().map(|p| p.port).collect();

    let template = day
        .games
        .first()
        .and_then(|g| g.records.first())
        .context("a game")?;
    let setup = Setup {
        mark: GameMark([0; 16]),
        fixture_number: None,
        ..template.opening().setup.clone()
    };
    let official = Official {
        author: template.opening().author.clone(),
        pen: demoday::key(1, 1),
    };
    let mut rng = Rng::with_seed(trial.seed);
    let phones = (0..trial.games)
        .map(|n| {
            let plays = 3 + rng.usize(..8);
            let record = small_game(&setup, &official, n, plays)?;
            Ok(Phone::new(&record, trial.seed ^ (n << 20)))
        })
        .collect::<Result<Vec<_>>>()?;

    // Collectors live and die until the phones are done.
    let done = Arc::new(tokio::sync::Notify::new());
    let mut lives = Vec::new();
    for (n, (plan, proxy)) in plans.iter().zip(&proxies).enumerate() {
        let (plan, proxy, done) = (plan.clone(), proxy.clone(), done.clone());
        let seed = trial.seed ^ u64::try_from(n + 77)?;
        lives.push(tokio::spawn(live_and_die(plan, proxy, done, seed)));
    }
    let waiting = Arc::new(Mutex::new(phones));
    let finished = Arc::new(Mutex::new(Vec::new()));
    let mut hands = Vec::new();
    for _ in 0..12 {
        let (waiting, finished, ports) = (waiting.clone(), finished.clone(), ports.clone());
        hands.push(tokio::spawn(async move {
            loop {
                let next = waiting.lock().unwrap_or_else(PoisonError::into_inner).pop();
                let Some(mut phone) = next else { break };
                let mut steps = 0;
                while !phone.step(&ports).await {
                    steps += 1;
                    assert!(steps < 20_000, "a phone never gets through");
                    if steps % 8 == 0 {
                        tokio::time::sleep(Duration::from_millis(5)).await;
                    }
                }
                finished
                    .lock()
                    .unwrap_or_else(PoisonError::into_inner)
                    .push(phone);
            }
        }));
    }
    for hand in hands {
        hand.await?;
    }
    done.notify_waiters();
    let mut seen = Seen::default();
    for life in lives {
        seen.kills += life.await??;
    }
    // Time for what is still on its way, then a new start.
    tokio::time::sleep(Duration::from_millis(300)).await;
    let phones = std::mem::take(&mut *finished.lock().unwrap_or_else(PoisonError::into_inner));
    ensure!(
        u64::try_from(phones.len())? == trial.games,
        "every phone is done"
    );
    let mut services = Vec::new();
    for plan in &plans {
        services.push(plan.start().await?);
    }
    for phone in &phones {
        for plan in &plans {
            check(plan.port, phone).await?;
        }
        seen.entries += phone.acknowledged;
    }
    let logs = match trial.place {
        Place::Folder => Some(kept.join("logs")),
        Place::S3 => Some(kept.join("event/day/logs")),
        Place::Azure => None,
    };
    if let Some(logs) = &logs {
        until_merged(logs, &plans, &phones).await?;
        for (phone, plan) in phones.iter().zip(plans.iter().cycle()) {
            check(plan.port, phone).await?;
        }
        seen.stored_twice = stored_twice(logs)?;
    }
    for service in services {
        service.kill().await?;
    }
    if let Some(server) = azure {
        server.stop().await?;
    }
    for proxy in &proxies {
        seen.requests += proxy.done.passed.load(Ordering::Relaxed);
        seen.faults += proxy.done.faults.load(Ordering::Relaxed);
    }
    seen.seconds = begun.elapsed().as_secs_f64();
    Ok(seen)
}

/// What a collector shows of a phone's game: every entry once, in order.
async fn check(port: u16, phone: &Phone) -> Result<()> {
    ensure!(
        phone.acknowledged == phone.entries(),
        "everything was acknowledged"
    );
    let path = phone.name.path();
    let shown = wire::get(port, &path).await?;
    ensure!(shown.status == 200, "{path} answers {}", shown.status);
    ensure!(
        shown.body == phone.bytes(),
        "{path} is not what was written"
    );
    let head = wire::get(port, &format!("{path}/head")).await?;
    let receipt = Receipt::read(&head.body).context("a receipt")?;
    ensure!(receipt.next == phone.entries() && receipt.forked_at.is_none());
    Ok(())
}

async fn live_and_die(
    plan: Plan,
    proxy: Proxy,
    done: Arc<tokio::sync::Notify>,
    seed: u64,
) -> Result<u64> {
    let mut rng = Rng::with_seed(seed);
    let mut kills = 0;
    let end = done.notified();
    tokio::pin!(end);
    loop {
        let service = plan.start().await?;
        // Dies after a number of requests, at once or a little later, so that
        // it is hit in the middle of what it does.
        let until = proxy.done.passed.load(Ordering::Relaxed) + 3 + rng.u64(..20);
        let later = Duration::from_micros(rng.u64(..20_000));
        let due = async {
            while proxy.done.passed.load(Ordering::Relaxed) < until {
                tokio::time::sleep(Duration::from_millis(1)).await;
            }
            tokio::time::sleep(later).await;
        };
        let over = tokio::select! {
            () = due => false,
            () = &mut end => true,
        };
        service.kill().await?;
        kills += 1;
        if over {
            return Ok(kills);
        }
    }
}

/// Waits until every log lies in one object.
async fn until_merged(logs: &Path, plans: &[Plan], phones: &[Phone]) -> Result<()> {
    let mut least = usize::MAX;
    let mut since = Instant::now();
    loop {
        let objects = objects(logs)?.len();
        if objects <= phones.len() {
            return Ok(());
        }
        if objects < least {
            (least, since) = (objects, Instant::now());
        }
        let left = objects - phones.len();
        ensure!(since.elapsed() < MERGING, "{left} objects are not merged");
        // Somebody asks, so that the event is held.
        for (plan, phone) in plans.iter().zip(phones) {
            wire::get(plan.port, &phone.name.path()).await?;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
}

/// The objects in a folder.
fn objects(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if !path.to_string_lossy().contains('#') {
                // What a killed put left behind is named with a `#` and is none.
                found.push(path);
            }
        }
    }
    Ok(found)
}

/// Entries that stand in more than one object of a folder.
fn stored_twice(folder: &Path) -> Result<u64> {
    let mut seen = HashSet::new();
    let mut twice = 0;
    for path in objects(folder)? {
        let content = std::fs::read(&path)?;
        for item in split(&content) {
            let item = item.map_err(|e| anyhow::anyhow!("{}: {e}", path.display()))?;
            twice += u64::from(!seen.insert(engine::log::Hash::of(item)));
        }
    }
    Ok(twice)
}
