#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::ToString;
use alloc::vec;
use alloc::vec::Vec;

use super::super::sample::{items, play, record, safe, secret, short_game};
use super::super::*;
use super::*;
use crate::play::{BatterFate, Call, Goal};

fn read(items: &[Vec<u8>]) -> LogFile {
    LogFile::read(&items.concat())
}

fn stops(items: &[Vec<u8>], at: usize, want: &FileError) {
    let file = read(items);
    let offset = items[..at - 1].iter().map(Vec::len).sum();
    assert_eq!(
        file.damage,
        Some(Damage {
            entry: at,
            offset,
            error: want.clone()
        })
    );
    assert_eq!(file.entries, at - 1, "the good prefix is kept");
    assert!(!want.to_string().is_empty());
}

#[test]
fn several_authors_and_games_in_one_file_read_back_byte_for_byte() {
    let logs = [
        short_game(7, &secret(1)),
        short_game(7, &secret(2)),
        short_game(8, &secret(1)),
    ];
    let bytes = LogFile::write(logs.iter().map(GameRecord::chain));
    let file = LogFile::read(&bytes);
    assert_eq!(file.damage, None);
    assert_eq!(file.chains.len(), 3);
    assert_eq!(LogFile::write(&file.chains), bytes);
    // Alternating authors are as good.
    let (a, b) = (items(&logs[0]), items(&logs[1]));
    let mixed: Vec<Vec<u8>> = a
        .iter()
        .zip(&b)
        .flat_map(|(a, b)| [a.clone(), b.clone()])
        .collect();
    let file = read(&mixed);
    assert_eq!((file.damage, file.chains.len()), (None, 2));
}

#[test]
fn a_repeated_entry_is_no_fault() {
    let log = items(&short_game(7, &secret(1)));
    let file = read(&[log.clone(), log.clone()].concat());
    assert_eq!(file.damage, None);
    assert_eq!(file.entries, 2 * log.len());
    assert_eq!(file.chains[0].to_bytes(), log.concat());
}

#[test]
fn what_is_wrong_is_named_with_its_entry_and_the_prefix_kept() {
    let (key, stranger) = (secret(1), secret(2));
    let log = items(&short_game(7, &key));
    let chain = |e| FileError::Chain(e);
    let envelope = |e| FileError::Chain(ChainError::Entry(EntryError::Envelope(e)));

    stops(&[vec![]], 1, &FileError::Empty);

    let mut cut = log.clone();
    cut[3].pop();
    stops(&cut[..4], 4, &envelope(EnvelopeError::CutShort));

    let mut gap = log.clone();
    gap.remove(2);
    stops(
        &gap,
        3,
        &chain(ChainError::Gap {
            expected: 2,
            found: 3,
        }),
    );

    let mut swapped = log.clone();
    swapped.swap(2, 3);
    stops(
        &swapped,
        3,
        &chain(ChainError::Reordered {
            expected: 2,
            found: 3,
        }),
    );

    stops(&log[1..], 1, &FileError::NoOpening);

    let mut spliced = log.clone();
    spliced[2] = items(&short_game(8, &key))[2].clone();
    stops(&spliced, 3, &FileError::NoOpening);

    let mut foreign = log.clone();
    foreign[2] = items(&short_game(7, &stranger))[2].clone();
    stops(&foreign, 3, &FileError::NoOpening);

    let mut junk = log.clone();
    junk.insert(2, b"\x83\x01\x02\x03".to_vec());
    stops(&junk, 3, &envelope(EnvelopeError::MalformedCose));
    junk[2] = vec![0xff];
    stops(&junk, 3, &envelope(EnvelopeError::MalformedCose));
}

#[test]
fn a_fork_in_a_file_is_named_and_its_proof_kept() {
    let key = secret(1);
    let mut one = record(7, &key);
    let mut two = one.clone();
    play(&mut one, &key, safe(Goal::First));
    play(&mut two, &key, Call::new(BatterFate::Caught));
    let log = [items(&one), vec![items(&two)[1].clone()]].concat();
    stops(&log, 3, &FileError::Chain(ChainError::Fork { seq: 1 }));
    let file = read(&log);
    assert_eq!(file.chains[0].forks().len(), 1);
    // The proof is a file that anyone's verifier refuses at its last entry.
    let proof = [items(&one)[0].clone(), file.chains[0].forks()[0].proof()];
    stops(
        &[
            proof[0].clone(),
            items(&one)[1].clone(),
            items(&two)[1].clone(),
        ],
        3,
        &FileError::Chain(ChainError::Fork { seq: 1 }),
    );
    assert_eq!(LogFile::read(&proof.concat()).chains[0].forks().len(), 1);
}

#[test]
fn every_byte_of_a_short_log_changed_is_noticed() {
    let key = secret(1);
    let mut r = record(7, &key);
    play(&mut r, &key, safe(Goal::First));
    play(&mut r, &key, Call::new(BatterFate::Caught));
    let good = r.chain().to_bytes();
    let ends: Vec<usize> = items(&r)
        .iter()
        .scan(0, |sum, i| {
            *sum += i.len();
            Some(*sum)
        })
        .collect();
    for at in 0..good.len() {
        let mut bad = good.clone();
        bad[at] ^= 1 << (at % 8);
        let file = LogFile::read(&bad);
        let in_entry = ends.iter().position(|e| at < *e).unwrap();
        let damage = file
            .damage
            .unwrap_or_else(|| panic!("byte {at} changed unseen"));
        assert_eq!(damage.entry, in_entry + 1, "byte {at}: {damage}");
        assert_eq!(file.entries, in_entry);
    }
}

#[test]
fn every_shorter_file_is_noticed_or_ends_between_entries() {
    let r = short_game(7, &secret(1));
    let good = r.chain().to_bytes();
    let mut ends = vec![];
    let mut sum = 0;
    for item in items(&r) {
        sum += item.len();
        ends.push(sum);
    }
    for end in 0..good.len() {
        let file = LogFile::read(&good[..end]);
        assert_eq!(file.damage.is_none(), ends.contains(&end), "cut at {end}");
    }
}
