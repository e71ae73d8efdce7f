#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::super::sample::{add, opening, play, record, safe, secret, short_game};
use super::super::*;
use super::*;
use crate::play::{BatterFate, Call, Goal};

fn resigned(entry: &Entry<Verified>, key: &SecretKey, edit: impl FnOnce(&mut Payload)) -> Vec<u8> {
    let mut payload = entry.payload().clone();
    edit(&mut payload);
    let entry = Unsigned::new(payload, key.public()).unwrap().sign(key);
    entry.unwrap().bytes().to_vec()
}

#[test]
fn a_chain_read_back_is_the_chain_written_and_folds_to_the_live_game() {
    let key = secret(1);
    let live = short_game(7, &key);
    let mut chain = Chain::open_bytes(live.chain().entries()[0].bytes()).unwrap();
    for entry in &live.chain().entries()[1..] {
        assert_eq!(chain.push_bytes(entry.bytes()), Ok(PushOutcome::Added));
    }
    assert_eq!(chain.to_bytes(), live.chain().to_bytes());
    let again = GameRecord::replay(chain).unwrap();
    assert_eq!(again.history().game(), live.history().game());
    assert_eq!(again.history().events(), live.history().events());
    assert_eq!(again.head(), live.head());
    assert!(again.signed_off().is_some());
    assert_eq!(again.rulings().count(), 1);
    assert_eq!(
        again.history().conflicts().count(),
        1,
        "the ruling made one play impossible"
    );
}

#[test]
fn the_same_entry_again_changes_nothing() {
    let key = secret(1);
    let mut r = short_game(7, &key);
    let head = r.head();
    for entry in r.chain().entries().to_vec() {
        assert_eq!(r.push(entry.clone()), Ok(PushOutcome::AlreadyThere));
        assert_eq!(r.push_bytes(entry.bytes()), Ok(PushOutcome::AlreadyThere));
    }
    assert_eq!(r.head(), head);
}

#[test]
fn two_entries_with_one_number_are_a_fork_that_anyone_can_prove() {
    let key = secret(1);
    let mut r = record(7, &key);
    let mut twin = r.clone();
    play(&mut r, &key, safe(Goal::First));
    let other = play(&mut twin, &key, Call::new(BatterFate::Caught));
    let before = r.head();
    let fork = RecordError::Chain(ChainError::Fork { seq: 1 });
    assert_eq!(r.push(other.clone()), Err(fork.clone()));
    assert_eq!(r.push_bytes(other.bytes()), Err(fork));
    assert_eq!(r.head(), before, "the record goes on from the entry it had");
    assert_eq!(r.chain().forks().len(), 1, "kept once");
    let fork = &r.chain().forks()[0];
    assert_eq!((fork.seq(), &fork.other), (1, &other));
    let proof = fork.proof();
    let (a, b) = proof.split_at(fork.kept.bytes().len());
    for bytes in [a, b] {
        let entry = Entry::parse(bytes).unwrap();
        assert!(entry.verify(&key.public()).is_ok());
    }
    play(&mut r, &key, safe(Goal::First));
}

#[test]
fn each_way_of_not_continuing_has_its_own_name() {
    let (key, stranger) = (secret(1), secret(2));
    let full = short_game(7, &key);
    let entries = full.chain().entries();
    let mut chain = Chain::open_bytes(entries[0].bytes()).unwrap();
    chain.push_bytes(entries[1].bytes()).unwrap();
    let bad = [
        (
            "gap",
            entries[3].bytes().to_vec(),
            ChainError::Gap {
                expected: 2,
                found: 3,
            },
        ),
        (
            "broken link",
            resigned(&entries[2], &key, |p| p.previous = Some(Hash::of(b"other"))),
            ChainError::BrokenLink { seq: 2 },
        ),
        (
            "no link",
            resigned(&entries[2], &key, |p| p.previous = None),
            ChainError::BrokenLink { seq: 2 },
        ),
        (
            "foreign key",
            resigned(&entries[2], &stranger, |_| {}),
            ChainError::WrongAuthor {
                found: stranger.public().fingerprint(),
                expected: key.public().fingerprint(),
            },
        ),
        (
            "another game",
            short_game(8, &key).chain().entries()[2].bytes().to_vec(),
            ChainError::WrongGame {
                found: record(8, &key).chain().game(),
            },
        ),
        (
            "second opening",
            resigned(&entries[2], &key, |p| {
                p.body = Body::Opening(opening(7, &key));
            }),
            ChainError::SecondOpening { seq: 2 },
        ),
        (
            "statement of another record",
            resigned(&entries[2], &key, |p| {
                p.body = entries.last().unwrap().body().clone();
            }),
            ChainError::StatementOfAnotherRecord { seq: 2 },
        ),
    ];
    for (name, bytes, want) in bad {
        assert_eq!(chain.push_bytes(&bytes), Err(want), "{name}");
        assert_eq!(chain.next_seq(), 2, "{name} changes nothing");
    }
    assert_eq!(chain.push_bytes(entries[2].bytes()), Ok(PushOutcome::Added));
}

#[test]
fn an_opening_must_be_of_its_own_game_and_key() {
    let (key, stranger) = (secret(1), secret(2));
    let first = record(7, &key).chain().entries()[0].clone();
    let open = |bytes: &[u8]| Chain::open_bytes(bytes).map(|c| c.next_seq());
    assert_eq!(open(first.bytes()), Ok(1));
    assert_eq!(
        open(&resigned(&first, &key, |p| p.game = GameId([0; 32]))),
        Err(ChainError::OpeningOfAnotherGame)
    );
    assert!(matches!(
        open(&resigned(&first, &stranger, |_| {})),
        Err(ChainError::Entry(EntryError::Envelope(
            EnvelopeError::OtherKey { .. }
        )))
    ));
    assert_eq!(
        open(&resigned(&first, &key, |p| p.seq = 3)),
        Err(ChainError::SecondOpening { seq: 3 })
    );
    assert_eq!(
        open(short_game(7, &key).chain().entries()[1].bytes()),
        Err(ChainError::NotAnOpening)
    );
}

#[test]
fn two_officials_with_one_setup_write_two_logs_of_one_game() {
    let (a, b) = (secret(1), secret(2));
    let (one, two) = (record(7, &a), record(7, &b));
    assert_eq!(one.chain().game(), two.chain().game());
    assert_ne!(one.chain().author(), two.chain().author());
    assert_ne!(one.chain().game(), record(8, &a).chain().game());
}

#[test]
fn after_a_change_of_key_the_old_one_signs_nothing_more() {
    let (old, new) = (secret(1), secret(2));
    let mut r = record(7, &old);
    play(&mut r, &old, safe(Goal::First));
    let reason = "The first phone's battery is empty.".to_string();
    let change = r.chain().key_change(&new, reason);
    add(&mut r, &old, Body::KeyChange(change));
    assert_eq!(*r.key(), new.public());
    let event = r.history().next_play(safe(Goal::First));
    let draft = r.draft(Body::Event(event), 9).unwrap();
    assert!(draft.clone().sign(&old).is_err());
    let mut payload = draft.content().clone();
    payload.seq = 3;
    let stale = Unsigned::new(payload, old.public()).unwrap().sign(&old);
    assert!(matches!(
        r.push(stale.unwrap()),
        Err(RecordError::Chain(ChainError::WrongAuthor { .. }))
    ));
    assert_eq!(r.push(draft.sign(&new).unwrap()), Ok(PushOutcome::Added));
    assert_eq!(
        *r.chain().author(),
        old.public(),
        "the author stays the same"
    );
    let mut again = Chain::open_bytes(r.chain().entries()[0].bytes()).unwrap();
    for entry in &r.chain().entries()[1..] {
        again.push_bytes(entry.bytes()).unwrap();
    }
    for entry in r.chain().entries() {
        assert_eq!(
            again.push_bytes(entry.bytes()),
            Ok(PushOutcome::AlreadyThere)
        );
    }
}

#[test]
fn nobody_names_a_key_that_somebody_else_holds() {
    let (stranger, umpire) = (secret(9), secret(1));
    let taken = |proof: &dyn Fn(&GameRecord) -> KeyChange| {
        let mut r = record(7, &stranger);
        let body = Body::KeyChange(proof(&r));
        let entry = r.draft(body, 9).unwrap().sign(&stranger).unwrap();
        let bytes = entry.bytes().to_vec();
        let pushed = r.push(entry).map_err(|e| match e {
            RecordError::Chain(e) => e.name().to_string(),
            e => e.to_string(),
        });
        // Who puts logs together says the same.
        let author = stranger.public().fingerprint();
        let game = r.chain().game();
        let log = AuthorLog::new(LogName { game, author });
        let mut staged = StagedEntries::default();
        let opening = r.chain().entries()[0].bytes();
        log.stage(&mut staged, opening).unwrap();
        let staged = log.stage(&mut staged, &bytes);
        let staged = staged.map_err(|e| e.name().to_string());
        assert_eq!(pushed, staged);
        pushed
    };
    let unproven = Err("unproven-key".to_string());
    let mine = |r: &GameRecord| r.chain().key_change(&umpire, "Mine.".to_string());
    assert_eq!(
        taken(&mine),
        Ok(PushOutcome::Added),
        "with the key itself at hand"
    );
    let bare = |r: &GameRecord| KeyChange {
        proof: Signature([0; 64]),
        ..mine(r)
    };
    assert_eq!(taken(&bare), unproven);
    // What the holder signed for another game, another log or another place.
    let of = |game, old, seq| KeyChange::signed(game, old, seq, &umpire, String::new());
    let (here, old) = (record(7, &stranger), stranger.public().fingerprint());
    let (game, elsewhere) = (here.chain().game(), record(8, &stranger).chain().game());
    assert_eq!(taken(&|_| of(game, old, 1)), Ok(PushOutcome::Added));
    assert_eq!(taken(&|_| of(elsewhere, old, 1)), unproven);
    assert_eq!(
        taken(&|_| of(game, secret(8).public().fingerprint(), 1)),
        unproven
    );
    assert_eq!(taken(&|_| of(game, old, 2)), unproven);
    // And back to a key that signed before.
    let itself = |r: &GameRecord| r.chain().key_change(&stranger, String::new());
    assert_eq!(taken(&itself), Err("key-used-before".to_string()));
}

#[test]
fn a_statement_is_signed_for_itself_and_for_nothing_else() {
    let key = secret(1);
    let r = short_game(7, &key);
    let (entry, _) = r.signed_off().unwrap();
    let draft = Unsigned::new(entry.payload().clone(), key.public()).unwrap();
    let signed = draft.to_be_signed();
    let has = |tag: &[u8]| signed.windows(tag.len()).any(|w| w == tag);
    assert!(has(Domain::Statement.tag()) && !has(Domain::Log.tag()));
    let play = &r.chain().entries()[1];
    let draft = Unsigned::new(play.payload().clone(), key.public()).unwrap();
    let as_log = draft.to_be_signed();
    let has = |tag: &[u8]| as_log.windows(tag.len()).any(|w| w == tag);
    assert!(has(Domain::Log.tag()) && !has(Domain::Statement.tag()));
}

#[test]
fn a_difference_left_open_is_disputed_until_a_ruling_names_it() {
    let key = secret(1);
    let mut r = record(7, &key);
    let own = Some(play(&mut r, &key, safe(Goal::First)).hash());
    let other = Some(Hash::of(b"theirs"));
    let half = r.history().game().turn().into();
    let note = "Out or safe at first.".to_string();
    add(
        &mut r,
        &key,
        Body::LeftOpen(LeftOpen {
            half,
            own,
            other,
            note,
        }),
    );
    assert_eq!(r.disputes().count(), 1);
    let ruling = Ruling {
        own,
        other,
        correction: None,
        note: String::new(),
    };
    add(&mut r, &key, Body::Ruling(ruling));
    assert_eq!(r.disputes().count(), 0);
}

#[test]
fn what_is_refused_or_too_long_is_never_signed() {
    let key = secret(1);
    let mut r = record(7, &key);
    let undo = Body::Event(Event::Undo { target: 1 });
    assert_eq!(
        r.draft(undo, 5).err(),
        Some(RecordError::Refused(RecordObjection::NothingToUndo))
    );
    let care = |n: usize| {
        Body::Care(Care {
            item: "x".repeat(n),
            who: String::new(),
            in_order: true,
        })
    };
    assert!(r.draft(care(Body::TEXT_LIMIT), 5).is_ok());
    assert!(matches!(
        r.draft(care(Body::TEXT_LIMIT + 1), 5),
        Err(RecordError::TooLarge(TooLarge {
            field: super::super::Field::ChecklistItem,
            ..
        }))
    ));
    add(&mut r, &key, care(3));
    assert_eq!(r.care().count(), 1);
    assert_eq!(r.history().events().len(), 0);
}

#[test]
fn a_signed_score_that_the_entries_do_not_give_signs_nothing_off() {
    use crate::crosscheck::{Reason, status};
    use crate::report::{Authority, GameReport, Verdict};

    let key = secret(1);
    let mut r = record(7, &key);
    play(&mut r, &key, safe(Goal::First));
    let Body::Statement(honest) = r.statement() else {
        unreachable!("a statement was asked for")
    };
    let mut lie = honest.clone();
    lie.score.guest = 99;
    // This app does not let its own user sign it.
    let refused = r.draft(Body::Statement(lie.clone()), 9).map(|_| ());
    assert!(matches!(refused, Err(RecordError::Misstated(_))));
    // Other means do.
    let payload = Payload {
        body: Body::Statement(lie.clone()),
        ..r.draft(Body::Statement(honest), 9)
            .unwrap()
            .content()
            .clone()
    };
    let entry = Unsigned::new(payload, key.public()).unwrap();
    r.push(entry.sign(&key).unwrap()).unwrap();
    let again = GameRecord::replay(r.chain().clone()).unwrap();
    for r in [&r, &again] {
        assert!(r.signed_off().is_none());
        let wrong = r.misstatement().unwrap();
        assert_eq!(r.misstatements(), core::slice::from_ref(wrong));
        assert!(wrong.to_string().contains("99-0"), "{wrong}");
        assert!(wrong.to_string().contains("give 0-0"), "{wrong}");
        let status = status(&[r.into()]);
        assert_eq!(status.verdict, Verdict::Disputed);
        assert!(matches!(
            status.reasons[0],
            Reason::Misstated { whose: 0, .. }
        ));
        let report = GameReport::of(&[r.into()], Authority::Nobody).unwrap();
        assert_eq!(report.verdict, Verdict::Disputed);
        assert!(report.evidence[0].contains("99-0"), "{:?}", report.evidence);
    }
    // Signed again as it is, it stands.
    let statement = r.statement();
    add(&mut r, &key, statement);
    assert!(r.signed_off().is_some() && r.misstatement().is_none());
    assert_eq!(r.misstatements().len(), 1, "and is not forgotten");
}
