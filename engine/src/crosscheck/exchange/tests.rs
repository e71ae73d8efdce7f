#![allow(clippy::unwrap_used, missing_docs)]
use alloc::vec::Vec;

use super::*;
use crate::game::tests::OUT;
use crate::link::{Kind, Sender, SymbolSize};
use crate::log::sample::{play, record, safe, secret};
use crate::log::{LogFile, SecretKey};
use crate::play::Goal;
use proptest::prelude::*;

/// Plays that two officials both recorded.
fn two(plays: usize) -> (GameRecord, GameRecord) {
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    more(&mut a, &secret(1), plays);
    more(&mut b, &secret(2), plays);
    (a, b)
}

fn more(record: &mut GameRecord, by: &SecretKey, plays: usize) {
    for n in 0..plays {
        let call = if n % 3 == 0 { safe(Goal::First) } else { OUT };
        if record.history().game().ending().is_none() {
            play(record, by, call);
        }
    }
}

fn packets(sent: &Exchange) -> u32 {
    let sender = Sender::new(Kind::Entries, &sent.to_bytes(), SymbolSize::QR).unwrap();
    sender.symbols()
}

/// Takes what is sent into the copy of it that is here, as a phone does.
fn take(sent: &Exchange, copy: Option<&GameRecord>) -> Result<GameRecord, ExchangeObjection> {
    let sent = Exchange::from_bytes(&sent.to_bytes())?;
    let file = LogFile::read(&sent.whole(copy.map(GameRecord::chain))?);
    assert_eq!(file.damage, None);
    Ok(GameRecord::replay(file.chains[0].clone()).unwrap())
}

/// A whole first, then a half-inning: the second exchange takes a packet or
/// two where the first took many, and both end with the same record.
#[test]
fn the_second_exchange_sends_only_what_is_new() {
    let (mut a, b) = two(30);
    let first = Exchange::new(&a, [], None);
    let copy = take(&first, None).unwrap();
    assert_eq!(copy.chain().to_bytes(), a.chain().to_bytes());

    // The answer says what has arrived.
    let answer = Exchange::new(&b, [&copy], None);
    let answer = Exchange::from_bytes(&answer.to_bytes()).unwrap();
    let told = answer.held_of(a.chain().author().fingerprint());
    assert_eq!(told, Some(Extent::of(a.chain())));

    more(&mut a, &secret(1), 4);
    let second = Exchange::new(&a, [&b], told);
    let whole = Exchange::new(&a, [&b], None);
    let (few, many) = (packets(&second), packets(&whole));
    assert!(few <= 2 && many >= 8, "{few} packets instead of {many}");
    let copy = take(&second, Some(&copy)).unwrap();
    assert_eq!(copy.chain().to_bytes(), a.chain().to_bytes());

    // Nothing new: one packet, and nothing changes.
    let again = Exchange::new(&a, [&b], Some(Extent::of(copy.chain())));
    assert_eq!((packets(&again), again.log.len()), (1, 0));
    assert_eq!(
        take(&again, Some(&copy)).unwrap().chain().to_bytes(),
        a.chain().to_bytes()
    );
}

/// The other phone lost what it had, or another one takes it: it asks for the
/// whole, keeps what it has, and the whole is right.
#[test]
fn a_wrong_guess_is_noticed_and_the_whole_mends_it() {
    let (a, b) = two(12);
    let told = Some(Extent::of(a.chain()));
    let mut later = a.clone();
    more(&mut later, &secret(1), 3);
    let short = Exchange::new(&later, [], told);
    assert_eq!(short.after, told);
    let nothing = take(&short, None).unwrap_err();
    assert_eq!(nothing, ExchangeObjection::Lacks { have: 0, need: 13 });
    // A copy of another author's log is no beginning of this one.
    assert!(take(&short, Some(&b)).is_err());
    let mut part = record(1, &secret(1));
    more(&mut part, &secret(1), 5);
    let lacks = ExchangeObjection::Lacks { have: 6, need: 13 };
    assert_eq!(take(&short, Some(&part)).unwrap_err(), lacks);
    let whole = Exchange::new(&later, [], None);
    for copy in [None, Some(&part), Some(&a)] {
        let taken = take(&whole, copy).unwrap();
        assert_eq!(taken.chain().to_bytes(), later.chain().to_bytes());
    }
    // What it says to have is not what was written here: the whole goes out.
    let forged = Extent {
        count: 3,
        head: Hash([7; 32]),
    };
    for odd in [
        forged,
        Extent { count: 0, ..forged },
        Extent {
            count: u64::MAX,
            ..forged
        },
    ] {
        assert_eq!(Exchange::new(&later, [], Some(odd)).after, None);
    }
}

proptest! {
    #[test]
    fn no_bytes_make_the_reader_fall(
        mut bytes in prop::collection::vec(any::<u8>(), 0..80),
        cut in any::<prop::sample::Index>(), flip in any::<u8>(),
    ) {
        let _ = Exchange::from_bytes(&bytes);
        let (a, b) = two(2);
        bytes = Exchange::new(&a, [&b], Some(Extent::of(a.chain()))).to_bytes();
        let at = cut.index(bytes.len());
        prop_assert!(Exchange::from_bytes(&bytes[..at]).is_err());
        prop_assert!(Exchange::is_one(&bytes));
        bytes[at] ^= flip;
        if let Ok(read) = Exchange::from_bytes(&bytes) {
            let known: Vec<&Chain> = alloc::vec![a.chain(), b.chain()];
            if let Ok(whole) = read.whole(known) {
                let _ = LogFile::read(&whole);
            }
        }
    }

    /// Wherever the guess stands, the result is the sender's record or a
    /// request for the whole.
    #[test]
    fn any_guess_is_safe(plays in 0usize..20, guess in 0u64..25, have in 0usize..20) {
        let (a, _) = two(plays);
        let mut copy = record(1, &secret(1));
        more(&mut copy, &secret(1), have.min(plays));
        let head = guess.checked_sub(1).and_then(|seq| a.chain().at(seq));
        let head = head.map_or(Hash([0; 32]), crate::log::Entry::hash);
        let sent = Exchange::new(&a, [], Some(Extent { count: guess, head }));
        match take(&sent, Some(&copy)) {
            Ok(taken) => prop_assert_eq!(taken.chain().to_bytes(), a.chain().to_bytes()),
            Err(ExchangeObjection::Lacks { have, need }) => prop_assert!(have < need),
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}
