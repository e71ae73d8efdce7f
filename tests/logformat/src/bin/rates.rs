//! How fast logs are signed and verified, against bare `ed25519-dalek` in the
//! same run, and how many bytes a play takes. Build with `--release`.

use std::error::Error;
use std::hint::black_box;
use std::time::{Duration, Instant};

use ed25519_dalek::{Signature, Signer, SigningKey};
use engine::game::Notice;
use engine::log::{
    AuthorLog, Body, Chain, Event, GameRecord, LogFile, LogName, SecretKey, StagedEntries, Unsigned,
};
use logformat::sample;

const ENTRIES: u64 = 100;
const ROUNDS: usize = 41;
/// The least share of the bare rate that verifying may reach.
const BUDGET: f64 = 0.70;

fn main() -> Result<(), Box<dyn Error>> {
    let key = sample::key(1);
    let bare = SigningKey::from_bytes(&[1; 32]);
    let public = bare.verifying_key();
    // Four games of 25 entries would be as much work; one log is what is asked.
    let log = sample::of_length(1, 1, ENTRIES)?;
    let file = log.chain().to_bytes();
    let drafts: Vec<Unsigned> = log
        .chain()
        .entries()
        .iter()
        .map(|e| Unsigned::new(e.payload().clone(), key.public()))
        .collect::<Result<_, _>>()?;
    let messages: Vec<Vec<u8>> = drafts.iter().map(Unsigned::to_be_signed).collect();
    let signatures: Vec<Signature> = messages.iter().map(|m| bare.sign(m)).collect();

    let mut times: [Vec<Duration>; 5] = Default::default();
    for _ in 0..ROUNDS {
        times[0].push(timed(|| {
            for (message, signature) in messages.iter().zip(&signatures) {
                let good = public.verify_strict(message, signature).is_ok();
                assert!(black_box(good), "a bare signature verifies");
            }
        }));
        times[1].push(timed(|| {
            let read = LogFile::read(black_box(&file));
            assert!(read.damage.is_none(), "the log is good");
        }));
        times[2].push(timed(|| {
            for message in &messages {
                black_box(bare.sign(black_box(message)));
            }
        }));
        let unsigned = drafts.clone();
        times[3].push(timed(|| {
            for draft in unsigned {
                assert!(black_box(draft.sign(&key)).is_ok(), "the key fits");
            }
        }));
        let chain = log.chain().clone();
        times[4].push(timed(|| {
            assert!(
                black_box(GameRecord::replay(chain)).is_ok(),
                "the game folds"
            );
        }));
    }
    let [bare_verify, verify, bare_sign, sign, replay] = times.map(median);
    let each = |d: Duration| d.as_secs_f64() * 1e6 / 100.0;
    let share = bare_verify.as_secs_f64() / verify.as_secs_f64();
    println!("{ENTRIES} entries, median of {ROUNDS} rounds, microseconds an entry:");
    println!(
        "  verify, bare ed25519-dalek (strict)      {:8.1}",
        each(bare_verify)
    );
    println!(
        "  read and verify a log file               {:8.1}   {:.0} % of the bare rate",
        each(verify),
        share * 100.0
    );
    println!(
        "  sign, bare ed25519-dalek                 {:8.1}",
        each(bare_sign)
    );
    println!(
        "  sign an entry and check the signature    {:8.1}",
        each(sign)
    );
    println!(
        "  fold the verified log into its game      {:8.2}",
        each(replay)
    );

    let whole = sample::whole(3, 1)?;
    let entries = whole.chain().entries();
    let plays: Vec<usize> = entries
        .iter()
        .filter(|e| matches!(e.body(), Body::Event(Event::Play { .. })))
        .map(|e| e.bytes().len())
        .collect();
    println!(
        "a play takes {} bytes (mean of {}), an opening {}, a game of {} entries {}",
        plays.iter().sum::<usize>() / plays.len().max(1),
        plays.len(),
        entries[0].bytes().len(),
        entries.len(),
        whole.chain().to_bytes().len()
    );
    for entries in [250, 500, 1000, 1990] {
        let (name, batch) = two_lines_in_turn(&key, entries)?;
        let time = timed(|| {
            let (mut log, mut staged) = (AuthorLog::new(name), StagedEntries::default());
            for entry in &batch {
                assert!(log.stage(&mut staged, entry).is_ok(), "both lines are good");
            }
            log.add(staged);
            assert!(log.forked_at() == Some(1), "they part after the opening");
        });
        println!(
            "  take in two lines of {entries:4} that part   {:8.1} an entry, {:.1} ms in all",
            time.as_secs_f64() * 1e6 / batch.len() as f64,
            time.as_secs_f64() * 1e3
        );
    }
    if share < BUDGET {
        return Err(
            format!("verifying reaches {share:.2} of the bare rate, {BUDGET} is wanted").into(),
        );
    }
    Ok(())
}

/// A log by its name, and entries of it.
type Batch = (LogName, Vec<Vec<u8>>);

/// A log signed twice from its second entry on, two entries of the one line and
/// two of the other in turn: what costs most, because the line shown changes each
/// time.
fn two_lines_in_turn(key: &SecretKey, entries: usize) -> Result<Batch, Box<dyn Error>> {
    let opening = sample::of_length(1, 1, 1)?.chain().clone();
    let name = opening.name();
    let line = |text: &str| -> Result<Vec<Vec<u8>>, Box<dyn Error>> {
        let mut chain: Chain = opening.clone();
        for _ in 1..entries {
            let text = text.to_owned();
            let remark = Body::Event(Event::Notice(Notice::Remark { text }));
            chain.push(chain.draft(remark, 1)?.sign(key)?)?;
        }
        Ok(chain.entries().iter().map(|e| e.bytes().to_vec()).collect())
    };
    let (one, other) = (line("one")?, line("other")?);
    let mut batch = one[..2].to_vec();
    for (x, y) in other[1..].chunks(2).zip(one[2..].chunks(2)) {
        batch.extend(x.iter().chain(y).cloned());
    }
    Ok((name, batch))
}

fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}
