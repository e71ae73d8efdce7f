//! A short signed game for the tests of this module.
#![allow(clippy::unwrap_used, missing_docs)]

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::*;
use crate::game::tests::cards;
pub use crate::game::tests::safe;
use crate::play::{Base, BatterFate, Call, Goal, RunnerFate};
use crate::rules::Edition;
use crate::team::Side;

/// Bytes in hexadecimal, of either case and with spaces.
pub fn hex(text: &str) -> Vec<u8> {
    let digits: String = text.split_whitespace().collect();
    let bytes = data_encoding::HEXLOWER_PERMISSIVE.decode(digits.as_bytes());
    bytes.unwrap()
}

pub fn secret(n: u8) -> SecretKey {
    SecretKey::from_random(&[n; 32])
}

pub fn setup(mark: u8) -> Setup {
    Setup::new(GameMark([mark; 16]), cards(), &Edition::federation())
}

pub fn opening(mark: u8, key: &SecretKey) -> Opening {
    Opening::new(
        setup(mark),
        Author::new(key.public(), "Official", Role::Umpire),
    )
}

pub fn record(mark: u8, key: &SecretKey) -> GameRecord {
    let draft = GameRecord::draft_opening(opening(mark, key), 1_000).unwrap();
    GameRecord::open(draft.sign(key).unwrap()).unwrap()
}

/// Every entry, as it was signed.
pub fn items(record: &GameRecord) -> Vec<Vec<u8>> {
    let entries = record.chain().entries().iter();
    entries.map(|e| e.bytes().to_vec()).collect()
}

pub fn add(record: &mut GameRecord, key: &SecretKey, body: Body) -> Entry<Verified> {
    let at = 1_000 + record.next_seq() * 20_000;
    let entry = record.draft(body, at).unwrap().sign(key).unwrap();
    assert_eq!(record.push(entry.clone()), Ok(PushOutcome::Added));
    entry
}

pub fn play(record: &mut GameRecord, key: &SecretKey, call: Call) -> Entry<Verified> {
    let event = record.history().next_play(call);
    add(record, key, Body::Event(event))
}

/// A few plays with an amendment, an undo, a ruling and a statement.
pub fn short_game(mark: u8, key: &SecretKey) -> GameRecord {
    let mut r = record(mark, key);
    let first = play(&mut r, key, safe(Goal::First)).payload().seq;
    play(
        &mut r,
        key,
        safe(Goal::First).with_runner(Base::First, RunnerFate::to(Goal::Third)),
    );
    let last = play(&mut r, key, Call::new(BatterFate::Caught))
        .payload()
        .seq;
    add(&mut r, key, Body::Event(Event::Undo { target: last }));
    let half = HalfInning {
        inning: 1,
        side: Side::Guest,
    };
    let code = CodeCheck {
        half,
        code: "7K2M9Q".to_string(),
        answer: CodeAnswer::Differs,
        other: Some("0A1B2C".to_string()),
        seen: Vec::new(),
    };
    add(&mut r, key, Body::CodeCheck(code));
    let change = Correction::Replace(safe(Goal::Second));
    let ruling = Ruling {
        own: r.chain().at(first).map(Entry::hash),
        other: Some(Hash::of(b"theirs")),
        correction: Some(Amendment {
            target: first,
            change,
        }),
        note: "Number 21 was on second.".to_string(),
    };
    add(&mut r, key, Body::Ruling(ruling));
    let statement = r.statement();
    add(&mut r, key, statement);
    r
}
