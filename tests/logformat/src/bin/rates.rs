//! How fast logs are signed and verified, against bare `ed25519-dalek` in the
//! same run, and how many bytes a play takes. Build with `--release`.

use std::error::Error;
use std::hint::black_box;
use std::time::{Duration, Instant};

use ed25519_dalek::{Signature, Signer, SigningKey};
use engine::log::{Body, Event, GameRecord, LogFile, Unsigned};
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
    if share < BUDGET {
        return Err(
            format!("verifying reaches {share:.2} of the bare rate, {BUDGET} is wanted").into(),
        );
    }
    Ok(())
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
