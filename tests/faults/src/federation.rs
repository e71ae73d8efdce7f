//! The store of a federation: many events, most of which nobody asks for. How
//! long a collector takes to start on it, what it holds, and how long a page of
//! one event takes.
//!
//! Objects are written straight to where they lie, by `PROTOCOL.md`.

use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, ensure};
use demoday::{DemoDay, Official, at_once};
use engine::charter::Charter;
use engine::game::Notice;
use engine::log::{Body, Entry, Event, Hash, Setup, Verified};
use tempfile::TempDir;

use crate::phone::small_game;
use crate::service::{Plan, Service, free_port, quick_s3};
use crate::wire;

/// Entries of each game of the first event, a full one.
const FULL: usize = 100;
/// Outs of five innings without a run; the rest of its entries are remarks.
const OUTS: usize = 29;
/// Entries put at a time there, as phones with a signal do.
const BATCH: usize = 10;

/// What is kept.
#[derive(Debug)]
pub struct Federation {
    place: TempDir,
    /// First charters, by which events are named.
    events: Vec<Hash>,
    games: u64,
}

/// What was measured on one kind of storage.
#[derive(Clone, Copy, Debug)]
pub struct Figures {
    /// From the program's start to its first answer (seconds).
    pub start: f64,
    /// Memory then (megabytes).
    pub memory: f64,
    /// The page of the full event, never asked for before, and again
    /// (milliseconds).
    pub full: [f64; 2],
    /// The same of another event.
    pub small: [f64; 2],
    /// Most memory after every event was asked for (megabytes), and how long
    /// that took (seconds).
    pub all: [f64; 2],
    /// Processor time of a minute in which nobody asks, a look for what others
    /// took every ten seconds (seconds).
    pub idle: f64,
}

fn put(at: &Path, content: &[u8]) -> Result<()> {
    std::fs::create_dir_all(at.parent().context("a folder")?)?;
    Ok(std::fs::write(at, content)?)
}

impl Federation {
    /// Writes a store with so many events of so many games: those of the first
    /// with a hundred entries each, the others with four.
    ///
    /// # Errors
    /// When the engine refuses one, or the disk.
    pub fn new(events: usize, games: u64) -> Result<Self> {
        let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
        let place = tempfile::tempdir()?;
        let mut federation = Self {
            place,
            events: Vec::new(),
            games,
        };
        for event in 0..events {
            federation.write(&day, event)?;
        }
        Ok(federation)
    }

    fn write(&mut self, day: &DemoDay, event: usize) -> Result<()> {
        let kept = self.place.path().join("event");
        let charter = Charter {
            event: format!("Cup {event}"),
            ..day.charter.charter().clone()
        };
        let charter = charter.draft()?.sign(&day.organiser)?;
        put(
            &kept.join(format!("charters/{}", charter.hash())),
            charter.bytes(),
        )?;
        let template = day.games.first().and_then(|g| g.records.first());
        let template = template.context("a game")?.opening();
        let setup = Setup {
            fixture_number: None,
            charter: Some(charter.hash()),
            ..template.setup.clone()
        };
        let official = Official {
            author: template.author.clone(),
            pen: demoday::key(1, 1),
        };
        let (plays, entries, batch) = match event {
            0 => (OUTS, FULL, BATCH),
            _ => (3, 4, 4),
        };
        for game in 0..self.games {
            let mut record = small_game(&setup, &official, game, plays)?;
            let mut at = record.opening().setup.starts.unwrap_or(1_781_344_800_000);
            while record.chain().entries().len() < entries {
                let remark = Notice::Remark {
                    text: "Nothing happened.".into(),
                };
                let remark = Body::Event(Event::Notice(remark));
                let written = official.write(&mut record, remark, &mut at);
                at_once(written).map_err(|e| anyhow::anyhow!("{e}"))?;
            }
            let name = record.chain().name();
            let folder = format!("logs/{}/{}/{}", charter.hash(), name.game, name.author);
            for part in record.chain().entries().chunks(batch) {
                let first = part.first().context("an entry")?.payload().seq;
                let bytes = |e: &Entry<Verified>| e.bytes().to_vec();
                let content: Vec<u8> = part.iter().flat_map(bytes).collect();
                let object = format!("{folder}/{first:05}-{}", Hash::of(&content));
                put(&kept.join(object), &content)?;
            }
        }
        self.events.push(charter.hash());
        Ok(())
    }

    /// Starts a collector on it, on a folder or on an S3 server in this process,
    /// and asks it.
    ///
    /// # Errors
    /// When it does not come up, or answers with something else.
    pub async fn measure(&self, program: &str, s3: bool) -> Result<Figures> {
        let place = self.place.path();
        let first = self.events.first().context("an event")?;
        let charter = place.join(format!("event/charters/{first}"));
        let mut plan = Plan {
            program: program.to_owned(),
            port: free_port().await?,
            storage: format!("file://{}", place.join("event").display()),
            charter: charter.display().to_string(),
            environment: Vec::new(),
            more: Vec::new(),
        };
        if s3 {
            plan.storage = "s3://event".into();
            plan.environment = quick_s3(place).await?;
        }
        let begun = Instant::now();
        let service = plan.start().await?;
        let start = begun.elapsed().as_secs_f64();
        let memory = megabytes(service.memory());
        let full = self.page(&plan, 0).await?;
        let full = [full, self.page(&plan, 0).await?];
        let small = self.page(&plan, 1).await?;
        let small = [small, self.page(&plan, 1).await?];
        let begun = Instant::now();
        for event in 0..self.events.len() {
            self.page(&plan, event).await?;
        }
        let seconds = begun.elapsed().as_secs_f64();
        let all = [megabytes(service.most_memory()), seconds];
        let idle = idle(&service).await?;
        service.kill().await?;
        Ok(Figures {
            start,
            memory,
            full,
            small,
            all,
            idle,
        })
    }

    /// How long an event's page takes; it must name every game.
    async fn page(&self, plan: &Plan, event: usize) -> Result<f64> {
        let id = self.events.get(event).context("an event")?;
        let begun = Instant::now();
        let page = wire::get(plan.port, &format!("/results/{id}")).await?;
        let taken = begun.elapsed().as_secs_f64() * 1000.0;
        ensure!(page.status == 200, "the page answers {}", page.status);
        let page = String::from_utf8_lossy(&page.body);
        let games = page.matches("data-game").count();
        ensure!(u64::try_from(games)? >= self.games, "{games} games");
        Ok(taken)
    }
}

fn megabytes(kilobytes: Option<u64>) -> f64 {
    let kilobytes = kilobytes.and_then(|k| u32::try_from(k).ok());
    f64::from(kilobytes.unwrap_or(0)) / 1024.0
}

async fn idle(service: &Service) -> Result<f64> {
    const LOOKS: u32 = 6;
    let before = service.cpu_seconds().context("CPU time")?;
    // Its looks are a second apart here.
    tokio::time::sleep(Duration::from_secs(LOOKS.into())).await;
    Ok(service.cpu_seconds().context("CPU time")? - before)
}
