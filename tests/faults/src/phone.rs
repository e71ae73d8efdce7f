//! A phone with one small game: writes an entry now and then, and delivers.

use anyhow::Result;
use demoday::{Official, at_once};
use engine::log::{Body, GameMark, GameRecord, Hash, LogName, Setup};
use engine::play::{BatterFate, Call};
use engine::sync::{Answer, Ask, Parcel, Request, Shelf, Uploader};
use fastrand::Rng;

use crate::wire;

/// A phone.
#[derive(Debug)]
pub struct Phone {
    /// Its log.
    pub name: LogName,
    entries: Vec<Vec<u8>>,
    written: u64,
    uploader: Uploader,
    rng: Rng,
    now: u64,
    /// Entries that it was ever told are there.
    pub acknowledged: u64,
}

/// What is on the phone.
struct Held<'a>(LogName, &'a [Vec<u8>]);

impl Shelf for Held<'_> {
    fn length(&self, log: Parcel, seq: u64) -> Option<usize> {
        let at = usize::try_from(seq).ok()?;
        (log == self.0.into()).then(|| self.1.get(at).map(Vec::len))?
    }
    fn hash(&self, log: Parcel, seq: u64) -> Option<Hash> {
        let at = usize::try_from(seq).ok()?;
        (log == self.0.into()).then(|| self.1.get(at).map(|e| Hash::of(e)))?
    }
}

/// A small signed game: an opening and a few outs.
///
/// # Errors
/// When the engine refuses it.
pub fn small_game(
    setup: &Setup,
    official: &Official,
    number: u64,
    plays: usize,
) -> Result<GameRecord> {
    let told = |e: demoday::Fault| anyhow::anyhow!("{e}");
    let mut setup = setup.clone();
    let mut mark = [0; 16];
    mark[..8].copy_from_slice(&number.to_be_bytes());
    setup.mark = GameMark(mark);
    let mut at = 1_781_344_800_000;
    let mut record = at_once(official.open(&setup, at)).map_err(told)?;
    for _ in 0..plays {
        let event = record.history().next_play(Call::new(BatterFate::Caught));
        let written = official.write(&mut record, Body::Event(event), &mut at);
        at_once(written).map_err(told)?;
    }
    Ok(record)
}

impl Phone {
    /// A phone with a game, of which only the opening is written yet.
    #[must_use]
    pub fn new(record: &GameRecord, seed: u64) -> Self {
        let name = record.chain().name();
        let entries = record.chain().entries().iter().map(|e| e.bytes().to_vec());
        let mut phone = Self {
            name,
            entries: entries.collect(),
            written: 1,
            uploader: Uploader::default(),
            rng: Rng::with_seed(seed),
            now: 0,
            acknowledged: 0,
        };
        phone.uploader.stored(name, 1);
        phone
    }

    /// Everything written, byte for byte.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        self.entries.concat()
    }

    /// Entries of the whole game.
    #[must_use]
    pub fn entries(&self) -> u64 {
        u64::try_from(self.entries.len()).unwrap_or(u64::MAX)
    }

    /// One step: writes some more, makes the request that is due to one of the
    /// collectors. Gives whether everything is delivered.
    pub async fn step(&mut self, ports: &[u16]) -> bool {
        if self.written < self.entries() && self.rng.usize(..3) > 0 {
            self.written = (self.written + 1 + self.rng.u64(..3)).min(self.entries());
            self.uploader.stored(self.name, self.written);
        }
        if self.rng.usize(..40) == 0 {
            // The app is killed and started again.
            self.uploader = Uploader::default();
            self.uploader.stored(self.name, self.written);
        }
        let held = Held(self.name, &self.entries);
        // Waiting is skipped: the clock jumps to when the next request is due.
        let Some(at) = self.uploader.wake_at(self.now) else {
            return self.written == self.entries();
        };
        self.now = at;
        let Some(request) = self.uploader.next(self.now, &held) else {
            return false;
        };
        let port = ports[self.rng.usize(..ports.len())];
        let answer = exchange(port, request, &self.entries).await;
        let answer = match &answer {
            Err(_) => Answer::Lost,
            Ok(a) => Answer::Came {
                status: a.status,
                retry_after: a.retry_after,
                body: &a.body,
            },
        };
        let jitter = u32::try_from(self.rng.u64(..) >> 32).unwrap_or(0);
        self.uploader
            .answered(request.number, self.now, jitter, &held, answer);
        if let Some(progress) = self.uploader.progress(self.name) {
            self.acknowledged = self.acknowledged.max(progress.delivered);
            // What is cut on the way is sent again; nothing here is ever refused.
            assert_eq!(progress.refused, None);
        }
        false
    }
}

async fn exchange(port: u16, request: Request, entries: &[Vec<u8>]) -> Result<wire::Answer> {
    let path = request.parcel.path();
    let bytes = match request.what {
        Ask::Head => wire::request("GET", &format!("{path}/head"), "text/plain", b""),
        Ask::Send { from, count } => {
            let range = usize::try_from(from)?..usize::try_from(from + count)?;
            wire::request(
                "PUT",
                &path,
                "application/cbor-seq",
                &entries[range].concat(),
            )
        }
        Ask::SendBeside { .. } => anyhow::bail!("this phone holds nothing beside its log"),
    };
    wire::answer(&wire::exchange(port, &bytes).await?)
}
