//! The store of a federation: many events, most of which nobody asks for. How
//! long a collector takes to start on it, what it holds, and how long a page of
//! one event takes.
//!
//! Objects are written straight to where they lie, by `PROTOCOL.md`.

use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail, ensure};
use demoday::{DemoDay, Official, at_once};
use engine::charter::Charter;
use engine::game::Notice;
use engine::log::{
    Body, Content as _, Event, GameId, GameMark, GameRecord, Hash, Opening, Payload, SecretKey,
    Setup, Unsigned,
};
use tempfile::TempDir;

use crate::phone::small_game;
use crate::service::{self, Plan, Service, free_port};
use crate::wire;

/// Outs of five innings without a run; the rest of a game's entries are remarks.
const OUTS: usize = 29;
/// How long a collector may take to merge the first event.
const MERGING: Duration = Duration::from_secs(600);

/// What is kept.
#[derive(Debug)]
pub struct Federation {
    place: TempDir,
    /// First charters, by which events are named.
    events: Vec<Hash>,
    games: u64,
    /// The objects of the first event, each with one entry.
    live: Vec<(PathBuf, Vec<u8>)>,
    /// How long it took to write (seconds).
    pub written: f64,
}

/// An event's page, never asked for before.
#[derive(Clone, Copy, Debug)]
pub struct Opened {
    /// How long it took (milliseconds).
    pub milliseconds: f64,
    /// Objects read for it; none on a folder.
    pub objects: u64,
}

/// What was measured on one kind of storage.
#[derive(Clone, Copy, Debug)]
pub struct Figures {
    /// From the program's start to its first answer (seconds).
    pub start: f64,
    /// Memory then (megabytes).
    pub memory: f64,
    /// The page of the event that was delivered entry by entry.
    pub live: Opened,
    /// The same again (milliseconds).
    pub live_again: f64,
    /// Until its objects were merged (seconds).
    pub merging: f64,
    /// The same page after that, from a collector that was just started.
    pub merged: Opened,
    /// The page of another event.
    pub other: Opened,
    /// The same again (milliseconds).
    pub other_again: f64,
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

/// A record as it would be had it been signed in another game: every entry says
/// the same. Each is signed and none is judged, not even its signature, so that
/// millions take minutes.
fn signed_again(
    template: &GameRecord,
    setup: Setup,
    pen: &SecretKey,
) -> Result<(GameId, Vec<Vec<u8>>)> {
    let opening = Opening {
        setup,
        ..template.opening().clone()
    };
    let mut entries = template.chain().entries().iter();
    let first = entries.next().context("an opening")?;
    let draft = GameRecord::draft_opening(opening, first.payload().claimed_ms)?;
    let opened = GameRecord::open(draft.sign(pen)?)?;
    let game = opened.chain().name().game;
    // What stands before the payload names the key, and is the same in each.
    let payload = first.payload().to_bytes();
    let around = payload_head(payload.len())?.len() + payload.len() + SIGNATURE.len() + 64;
    let before = first.bytes().len().checked_sub(around).context("a head")?;
    let before = first.bytes().get(..before).context("a head")?;
    let key = pen.public();
    let mut previous = opened.chain().head();
    let mut written = vec![opened.chain().to_bytes()];
    for entry in entries {
        let payload = Payload {
            game,
            previous: Some(previous),
            ..entry.payload().clone()
        };
        let bytes = payload.to_bytes();
        let signature = pen.sign(&Unsigned::new(payload, key)?.to_be_signed());
        let head = payload_head(bytes.len())?;
        let entry = [before, &head, &bytes, &SIGNATURE, &signature].concat();
        previous = Hash::of(&entry);
        written.push(entry);
    }
    Ok((game, written))
}

/// What stands before a signature in an entry: a byte string of 64 (RFC 8949,
/// section 3).
const SIGNATURE: [u8; 2] = [0x58, 64];

/// What stands before a payload of so many bytes: a byte string, 24 or longer.
fn payload_head(length: usize) -> Result<Vec<u8>> {
    ensure!(length >= 24, "a payload of {length} bytes");
    Ok(match u8::try_from(length) {
        Ok(short) => vec![0x58, short],
        Err(_) => {
            let [high, low] = u16::try_from(length)?.to_be_bytes();
            vec![0x59, high, low]
        }
    })
}

impl Federation {
    /// Writes a store with so many events of so many games of so many entries,
    /// one object a game. Those of the first were delivered live, entry by entry.
    ///
    /// # Errors
    /// When the engine refuses one, or the disk.
    pub fn new(events: usize, games: u64, entries: usize) -> Result<Self> {
        let begun = Instant::now();
        let day = demoday::play_day(1).map_err(|e| anyhow::anyhow!("{e}"))?;
        let template = template(&day, entries)?;
        let place = tempfile::tempdir()?;
        let kept = place.path().join("event");
        let workers = std::thread::available_parallelism()?.get();
        let written = std::thread::scope(|scope| {
            let workers: Vec<_> = (0..workers)
                .map(|worker| {
                    let (day, template, kept) = (&day, &template, &kept);
                    let mine = (worker..events).step_by(workers);
                    scope.spawn(move || {
                        mine.map(|event| write(kept, day, template, event, games))
                            .collect::<Result<Vec<_>>>()
                    })
                })
                .collect();
            let joined = workers.into_iter().map(|worker| {
                let done = worker.join();
                done.map_err(|_| anyhow::anyhow!("a worker panicked"))?
            });
            joined.collect::<Result<Vec<_>>>()
        })?;
        let mut all: Vec<_> = written.into_iter().flatten().collect();
        all.sort_by_key(|written| written.number);
        let live = all.first_mut().context("an event")?;
        Ok(Self {
            place,
            games,
            live: std::mem::take(&mut live.live),
            events: all.into_iter().map(|written| written.charter).collect(),
            written: begun.elapsed().as_secs_f64(),
        })
    }

    /// Puts the first event as it was delivered.
    fn lay_live(&self) -> Result<()> {
        let first = self.events.first().context("an event")?;
        let kept = self.place.path().join("event");
        let logs = kept.join(format!("logs/{first}"));
        if logs.is_dir() {
            std::fs::remove_dir_all(&logs)?;
        }
        let mut live = self.live.iter();
        live.try_for_each(|(at, content)| put(at, content))
    }

    /// Starts a collector on it, on a folder or on an S3 server in this process,
    /// and asks it.
    ///
    /// # Errors
    /// When it does not come up, or answers with something else.
    pub async fn measure(&self, program: &str, s3: bool) -> Result<Figures> {
        self.lay_live()?;
        let place = self.place.path();
        let first = self.events.first().context("an event")?;
        let charter = place.join(format!("event/charters/{first}"));
        let mut plan = Plan {
            program: program.to_owned(),
            port: free_port().await?,
            storage: format!("file://{}", place.join("event").display()),
            charter: charter.display().to_string(),
            environment: Vec::new(),
            more: ["--merge-wait", "5"].map(str::to_owned).into(),
        };
        let mut read = None;
        if s3 {
            plan.storage = "s3://event".into();
            let (environment, gets) = service::s3(place).await?;
            (plan.environment, read) = (environment, Some(gets));
        }
        let gets = || read.as_ref().map_or(0, |gets| gets.load(Ordering::Relaxed));
        let open = async |event| {
            let before = gets();
            let milliseconds = self.page(&plan, event).await?;
            let objects = gets() - before;
            Ok::<_, anyhow::Error>(Opened {
                milliseconds,
                objects,
            })
        };
        let begun = Instant::now();
        let service = plan.start().await?;
        let start = begun.elapsed().as_secs_f64();
        let memory = megabytes(service.memory());
        let live = open(0).await?;
        let live_again = self.page(&plan, 0).await?;
        let other = open(1).await?;
        let other_again = self.page(&plan, 1).await?;
        let merging = self.until_merged(&plan).await?;
        let begun = Instant::now();
        for event in 0..self.events.len() {
            self.page(&plan, event).await?;
        }
        let seconds = begun.elapsed().as_secs_f64();
        let all = [megabytes(service.most_memory()), seconds];
        let idle = idle(&service).await?;
        service.kill().await?;
        let service = plan.start().await?;
        let merged = open(0).await?;
        service.kill().await?;
        Ok(Figures {
            start,
            memory,
            live,
            live_again,
            merging,
            merged,
            other,
            other_again,
            all,
            idle,
        })
    }

    /// How long it takes until the objects of the first event are merged.
    async fn until_merged(&self, plan: &Plan) -> Result<f64> {
        const NAME: &str = "collector_objects_merged_total ";
        let begun = Instant::now();
        while begun.elapsed() < MERGING {
            let metrics = wire::get(plan.port, "/api/metrics").await?;
            let metrics = String::from_utf8_lossy(&metrics.body).into_owned();
            let merged = metrics.lines().find_map(|line| line.strip_prefix(NAME));
            let merged: usize = merged.context("a counter")?.parse()?;
            if merged >= self.live.len() {
                return Ok(begun.elapsed().as_secs_f64());
            }
            // Somebody looks, so that it is not let go.
            self.page(plan, 0).await?;
            tokio::time::sleep(Duration::from_millis(250)).await;
        }
        bail!("the first event is not merged after {MERGING:?}")
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

/// One game with so many entries.
fn template(day: &DemoDay, entries: usize) -> Result<GameRecord> {
    let of_day = day.games.first().and_then(|g| g.records.first());
    let opening = of_day.context("a game")?.opening();
    let official = Official {
        author: opening.author.clone(),
        pen: demoday::key(1, 1),
    };
    let plays = OUTS.min(entries.saturating_sub(1));
    let mut record = small_game(&opening.setup, &official, 0, plays)?;
    let mut at = opening.setup.starts.unwrap_or(1_781_344_800_000);
    while record.chain().entries().len() < entries {
        let remark = Notice::Remark {
            text: "Nothing happened.".into(),
        };
        let remark = Body::Event(Event::Notice(remark));
        let written = official.write(&mut record, remark, &mut at);
        at_once(written).map_err(|e| anyhow::anyhow!("{e}"))?;
    }
    Ok(record)
}

/// An event that was written.
struct Written {
    number: usize,
    charter: Hash,
    live: Vec<(PathBuf, Vec<u8>)>,
}

fn write(
    kept: &Path,
    day: &DemoDay,
    template: &GameRecord,
    number: usize,
    games: u64,
) -> Result<Written> {
    let charter = Charter {
        event: format!("Cup {number}"),
        ..day.charter.charter().clone()
    };
    let charter = charter.draft()?.sign(&day.organiser)?;
    let hash = charter.hash();
    put(&kept.join(format!("charters/{hash}")), charter.bytes())?;
    let (pen, mut live) = (demoday::key(1, 1), Vec::new());
    for game in 0..games {
        let mut mark = [0; 16];
        mark[..8].copy_from_slice(&game.to_be_bytes());
        let setup = Setup {
            fixture_number: None,
            charter: Some(hash),
            mark: GameMark(mark),
            ..template.opening().setup.clone()
        };
        let (id, entries) = signed_again(template, setup, &pen)?;
        let author = template.chain().name().author;
        let folder = kept.join(format!("logs/{hash}/{id}/{author}"));
        let object = |first: usize, content: Vec<u8>| {
            let name = format!("{first:05}-{}", Hash::of(&content));
            (folder.join(name), content)
        };
        if number == 0 {
            live.extend(entries.into_iter().enumerate().map(|(n, e)| object(n, e)));
        } else {
            let (at, content) = object(0, entries.concat());
            put(&at, &content)?;
        }
    }
    Ok(Written {
        number,
        charter: hash,
        live,
    })
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
