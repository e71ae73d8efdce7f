//! Signing and verifying a log inside a browser, beside the bare signatures of
//! the same messages. The page keeps the time: nothing here has a clock.
//!
//! Every function gives how many entries it got through; less than
//! [`entries`] means that something failed.

use std::cell::RefCell;
use std::hint::black_box;

use ed25519_dalek::{Signature, Signer, SigningKey};
use engine::log::{LogFile, SecretKey, Unsigned};
use logformat::sample;

/// How many entries the log has.
const ENTRIES: u64 = 100;

struct Log {
    file: Vec<u8>,
    drafts: Vec<Unsigned>,
    messages: Vec<Vec<u8>>,
    signatures: Vec<Signature>,
    key: SecretKey,
    bare: SigningKey,
}

impl Log {
    fn new() -> Option<Self> {
        let key = sample::key(1);
        // The same key as the sample's: both sides do the same work.
        let bare = SigningKey::from_bytes(&[1; 32]);
        let log = sample::of_length(1, 1, ENTRIES).ok()?;
        let entries = log.chain().entries().iter();
        let drafts = entries.map(|e| Unsigned::new(e.payload().clone(), key.public()).ok());
        let drafts: Vec<Unsigned> = drafts.collect::<Option<_>>()?;
        let messages: Vec<Vec<u8>> = drafts.iter().map(Unsigned::to_be_signed).collect();
        let signatures = messages.iter().map(|m| bare.sign(m)).collect();
        Some(Self {
            file: log.chain().to_bytes(),
            drafts,
            messages,
            signatures,
            key,
            bare,
        })
    }
}

thread_local! {
    static LOG: RefCell<Option<Log>> = const { RefCell::new(None) };
}

fn with(work: impl FnOnce(&Log) -> usize) -> u32 {
    LOG.with_borrow(|log| log.as_ref().map_or(0, |log| work(log) as u32))
}

/// Makes the log; gives its number of entries.
#[unsafe(no_mangle)]
pub extern "C" fn entries() -> u32 {
    LOG.with_borrow_mut(|log| *log = Log::new());
    with(|log| log.drafts.len())
}

/// Verifies the bare signatures, strictly.
#[unsafe(no_mangle)]
pub extern "C" fn verify_bare() -> u32 {
    with(|log| {
        let public = log.bare.verifying_key();
        let all = log.messages.iter().zip(&log.signatures);
        let good = |(m, s): &(&Vec<u8>, &Signature)| black_box(public.verify_strict(m, s)).is_ok();
        all.filter(good).count()
    })
}

/// Reads and verifies the log as a file.
#[unsafe(no_mangle)]
pub extern "C" fn verify_log() -> u32 {
    with(|log| {
        let read = black_box(LogFile::read(black_box(&log.file)));
        if read.damage.is_none() {
            read.entries
        } else {
            0
        }
    })
}

/// Signs the messages bare.
#[unsafe(no_mangle)]
pub extern "C" fn sign_bare() -> u32 {
    with(|log| {
        let signed = log.messages.iter().map(|m| black_box(log.bare.sign(m)));
        signed.count()
    })
}

/// Signs every entry; the engine checks each signature before the entry exists.
#[unsafe(no_mangle)]
pub extern "C" fn sign_log() -> u32 {
    with(|log| {
        let all = log.drafts.iter().cloned();
        let signed = all.map(|draft| black_box(draft.sign(&log.key)));
        signed.filter(Result::is_ok).count()
    })
}
