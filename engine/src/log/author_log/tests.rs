#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::ToString;
use alloc::vec;
use alloc::vec::Vec;

use super::super::sample::{self, items as bytes, safe, secret};
use super::super::*;
use super::*;
use crate::play::Goal;

fn name(record: &GameRecord) -> LogName {
    record.chain().name()
}

/// Two records that part after a few plays: a phone set back.
fn parted() -> (GameRecord, GameRecord) {
    let key = secret(1);
    let mut a = sample::record(7, &key);
    for _ in 0..3 {
        sample::play(&mut a, &key, safe(Goal::First));
    }
    let mut b = a.clone();
    sample::play(&mut a, &key, safe(Goal::Second));
    sample::play(&mut b, &key, safe(Goal::Third));
    sample::play(&mut b, &key, safe(Goal::First));
    (a, b)
}

fn give(log: &mut AuthorLog, entries: &[Vec<u8>]) -> Result<(), ChainError> {
    let mut staged = StagedEntries::default();
    let judged = entries
        .iter()
        .try_for_each(|e| log.stage(&mut staged, e).map(|_| ()));
    log.add(staged);
    judged
}

#[test]
fn whatever_the_order_the_same_line_is_shown_and_nothing_is_lost() {
    let (a, b) = parted();
    let (first, second) = (bytes(&a), bytes(&b));
    let mut ways = Vec::new();
    for entries in [
        vec![first.clone(), second.clone()],
        vec![second.clone(), first.clone()],
        vec![
            first[..4].to_vec(),
            second[4..5].to_vec(),
            first[4..].to_vec(),
            second[5..].to_vec(),
        ],
        vec![
            first.clone(),
            second[4..].to_vec(),
            first.clone(),
            second.clone(),
        ],
    ] {
        let mut log = AuthorLog::new(name(&a));
        for batch in &entries {
            give(&mut log, batch).unwrap();
        }
        assert_eq!(log.next_seq(), 6, "the longer line is shown");
        assert_eq!(log.forked_at(), Some(4));
        assert_eq!(log.shown().unwrap().forks().len(), 1);
        let all: Vec<Vec<u8>> = log.entries().iter().map(|e| e.bytes().to_vec()).collect();
        assert_eq!(all.len(), 7);
        assert!(first.iter().chain(&second).all(|e| all.contains(e)));
        ways.push(log.head());
    }
    assert!(ways.iter().all(|h| *h == ways[0]));
}

#[test]
fn of_two_equally_long_lines_the_smaller_hash_is_shown() {
    let (a, b) = parted();
    let (first, second) = (bytes(&a), bytes(&b)[..5].to_vec());
    let smaller = [&first, &second].map(|l| Hash::of(&l[4])).into_iter().min();
    for (one, two) in [(&first, &second), (&second, &first)] {
        let mut log = AuthorLog::new(name(&a));
        give(&mut log, one).unwrap();
        give(&mut log, two).unwrap();
        assert_eq!(log.head(), smaller);
    }
}

#[test]
fn nothing_is_added_before_it_is_asked_for_and_nothing_twice() {
    let (a, _) = parted();
    let entries = bytes(&a);
    let mut log = AuthorLog::new(name(&a));
    let mut staged = StagedEntries::default();
    for e in &entries {
        assert_eq!(log.stage(&mut staged, e), Ok(PushOutcome::Added));
        assert_eq!(log.stage(&mut staged, e), Ok(PushOutcome::AlreadyThere));
    }
    assert!(log.shown().is_none());
    assert_eq!(staged.fresh().len(), entries.len());
    log.add(staged.clone());
    // The same batch judged at the same time by someone else.
    log.add(staged);
    assert_eq!((log.next_seq(), log.forked_at()), (5, None));
    assert_eq!(log.entries().len(), 5);
}

#[test]
fn what_does_not_belong_is_refused_by_name() {
    let (a, _) = parted();
    let entries = bytes(&a);
    let other = bytes(&sample::record(8, &secret(1)));
    let stranger = bytes(&sample::record(7, &secret(2)));
    let mut log = AuthorLog::new(name(&a));
    let mut refused = |bytes: &[u8], at: usize| {
        log = AuthorLog::new(name(&a));
        give(&mut log, &entries[..at]).unwrap();
        let judged = log.stage(&mut StagedEntries::default(), bytes);
        judged
            .err()
            .map(|e| e.name().to_string())
            .unwrap_or_default()
    };
    assert_eq!(refused(&other[0], 0), "wrong-game");
    assert_eq!(refused(&stranger[0], 0), "wrong-author");
    assert_eq!(refused(&entries[1], 0), "gap");
    assert_eq!(refused(&entries[4], 3), "gap");
    assert_eq!(refused(b"<html>", 3), "malformed-cose");
    let mut cut = entries[2].clone();
    cut.pop();
    assert_eq!(refused(&cut, 2), "cut-short");
    let mut forged = entries[2].clone();
    let last = forged.len() - 1;
    forged[last] ^= 1;
    assert_eq!(refused(&forged, 2), "bad-signature");
}

#[test]
fn a_changed_key_signs_what_follows_on_its_own_branch() {
    let (old, new) = (secret(1), secret(3));
    let mut a = sample::record(7, &old);
    let mut b = a.clone();
    let change = a.chain().key_change(&new, "New phone.".to_string());
    sample::add(&mut a, &old, Body::KeyChange(change));
    sample::play(&mut a, &new, safe(Goal::First));
    sample::play(&mut b, &old, safe(Goal::First));
    sample::play(&mut b, &old, safe(Goal::First));
    let mut log = AuthorLog::new(name(&a));
    give(&mut log, &bytes(&a)).unwrap();
    give(&mut log, &bytes(&b)).unwrap();
    assert_eq!((log.forked_at(), log.entries().len()), (Some(1), 5));
}

/// Two lines from the opening on, the way they would come that changes the line
/// shown most often: two entries of the one, two of the other, in turn.
fn in_turn(entries: usize) -> (LogName, Vec<Vec<u8>>) {
    let key = secret(1);
    let line = |text: &str| {
        let mut r = sample::record(7, &key);
        for _ in 0..entries {
            let text = text.to_string();
            let remark = Event::Notice(crate::game::Notice::Remark { text });
            sample::add(&mut r, &key, Body::Event(remark));
        }
        r
    };
    let (a, b) = (line("one"), line("other"));
    let (one, other) = (bytes(&a), bytes(&b));
    let mut all = vec![one[0].clone(), one[1].clone()];
    let (mut ones, mut others) = (one[2..].chunks(2), other[1..].chunks(2));
    while let (Some(x), Some(y)) = (others.next(), ones.next()) {
        all.extend([x, y].into_iter().flatten().cloned());
    }
    (name(&a), all)
}

#[test]
fn two_lines_that_grow_in_turn_cost_no_more_than_their_entries() {
    for entries in [8, 64] {
        let (name, all) = in_turn(entries);
        let mut log = AuthorLog::new(name);
        give(&mut log, &all).unwrap();
        assert!(log.forked_at().is_some());
        assert!(log.moved <= all.len(), "{} of {}", log.moved, all.len());
        // The same in a file from anyone.
        let mut logs = LogSet::new();
        logs.take(&all.concat());
        let taken = logs.log(name).unwrap();
        assert_eq!(taken.head(), log.head());
        assert!(taken.moved <= all.len());
        assert_eq!(taken.entries().len(), all.len());
        // One by one, each change of the line shown moves what differs, no more.
        let mut slow = AuthorLog::new(name);
        for entry in &all {
            let before = slow.moved;
            give(&mut slow, core::slice::from_ref(entry)).unwrap();
            assert!(slow.moved - before <= all.len());
        }
        assert_eq!(slow.head(), log.head());
        let forks = log.shown().unwrap().forks().len();
        assert_eq!(forks, Chain::FORKS_LIMIT.min(log.aside().count()));
    }
}

#[test]
fn entries_beside_the_line_shown_have_their_bound_within_one_batch_too() {
    // Every entry the second of its log, each another.
    let key = secret(1);
    let opening = sample::record(7, &key);
    let mut log = AuthorLog::new(name(&opening));
    let mut staged = StagedEntries::default();
    log.stage(&mut staged, &bytes(&opening)[0]).unwrap();
    let mut taken = 0;
    let refused = loop {
        let mut r = opening.clone();
        let text = taken.to_string();
        let remark = Event::Notice(crate::game::Notice::Remark { text });
        sample::add(&mut r, &key, Body::Event(remark));
        match log.stage(&mut staged, &bytes(&r)[1]) {
            Ok(_) => taken += 1,
            Err(e) => break e,
        }
        assert!(taken < 3 * AuthorLog::ASIDE_LIMIT, "there is no bound");
    };
    assert_eq!(refused, ChainError::Full);
    assert_eq!(taken, AuthorLog::ASIDE_LIMIT + 1);
    log.add(staged);
    assert_eq!(log.aside().count(), AuthorLog::ASIDE_LIMIT);
}
