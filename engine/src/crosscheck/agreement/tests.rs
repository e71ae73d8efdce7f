#![allow(clippy::unwrap_used, missing_docs)]
use alloc::string::ToString;
use alloc::vec::Vec;

use super::*;
use crate::crosscheck::{KeptRecord, Reason, Status, Verdict, code_after, compare};
use crate::game::tests::OUT;
use crate::log::sample::{add, play, record, safe, secret};
use crate::log::{CoSign, Entry, Verified};
use crate::play::{BatterFate, Goal};
use proptest::prelude::*;

const NAMES: BySide<&str> = BySide {
    guest: "Quay Street",
    home: "Tram Yard",
};

/// Two authors of one game, whose second plays differ and of whom the second
/// missed the fourth.
fn two() -> (GameRecord, GameRecord) {
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    for (n, call) in [safe(Goal::First), OUT, safe(Goal::Second), OUT, OUT]
        .into_iter()
        .enumerate()
    {
        play(&mut a, &secret(1), call.clone());
        if n != 3 {
            let told = if n == 1 { safe(Goal::First) } else { call };
            play(&mut b, &secret(2), told);
        }
    }
    (a, b)
}

fn add_all(r: &mut GameRecord, by: u8, bodies: Vec<Body>) {
    for body in bodies {
        add(r, &secret(by), body);
    }
}

/// Settles every difference on the first phone, then hands the rulings over.
fn settle(a: &mut GameRecord, b: &mut GameRecord, choices: &[Choice]) -> Agreement {
    let mut theirs = Counterpart::new(b.clone());
    for choice in choices {
        let found = compare(a.history(), theirs.history());
        let Some(first) = found.differences.first() else {
            break;
        };
        let settled = first
            .rule(choice, a, &theirs, "Agreed on the court.")
            .unwrap();
        theirs.agree(settled.theirs).unwrap();
        add_all(a, 1, settled.mine);
    }
    let sent = theirs.agreement(a, None);
    let read = Agreement::from_bytes(&sent.to_bytes()).unwrap();
    assert_eq!(read, sent);
    read.check(b).unwrap();
    add_all(b, 2, read.bodies.clone());
    read
}

#[test]
fn rulings_carried_over_make_both_records_agree() {
    for choices in [
        [Choice::Mine, Choice::Mine],
        [Choice::Theirs, Choice::Theirs],
        [Choice::Third(safe(Goal::Second)), Choice::Mine],
    ] {
        let (mut a, mut b) = two();
        assert_eq!(compare(a.history(), b.history()).differences.len(), 2);
        let sent = settle(&mut a, &mut b, &choices);
        let game = a.chain().game();
        let code = |r: &GameRecord| code_after(r.history(), game.as_bytes());
        assert_eq!(code(&a), code(&b), "{choices:?}");
        assert!(compare(a.history(), b.history()).differences.is_empty());
        // Both logs name both entries, each from its own side.
        for ((_, x), (_, y)) in a.rulings().zip(b.rulings()) {
            assert_eq!((x.own, x.other), (y.other, y.own));
            assert_eq!(x.note, y.note);
        }
        assert_eq!(a.rulings().count(), 2);
        assert_eq!(sent.check(&b), Err(AgreementObjection::Recorded));
    }
}

#[test]
fn both_versions_stand_side_by_side() {
    let (a, b) = two();
    let found = compare(a.history(), b.history());
    let said: Vec<_> = found
        .differences
        .iter()
        .map(|d| d.versions(&NAMES))
        .collect();
    assert_eq!(said[0].0, "22 out");
    assert_eq!(said[0].1, "22 safe at 1st, 21 to 2nd");
    assert_eq!(said[1].1, "no such play");
}

#[test]
fn what_is_left_standing_is_named_in_both_and_disputed() {
    let (mut a, mut b) = two();
    let found = compare(a.history(), b.history());
    let first = &found.differences[0];
    assert!(!first.is_left_open(&a, &b));
    let left = first.leave_open(&a, &b, "Each saw it otherwise.");
    add_all(&mut a, 1, left.mine);
    add_all(&mut b, 2, left.theirs);
    assert!(first.is_left_open(&a, &b));
    for records in [[&a, &b], [&b, &a]] {
        let now = status(&records);
        assert_eq!(now.verdict, Verdict::Disputed);
        let note = "Each saw it otherwise.".to_string();
        assert_eq!(now.reasons[0], Reason::LeftOpen { whose: 0, note });
    }
    // A ruling later on settles it.
    let theirs = Counterpart::new(b.clone());
    let settled = first
        .rule(&Choice::Mine, &a, &theirs, "Asked the captains.")
        .unwrap();
    add_all(&mut a, 1, settled.mine);
    assert_eq!(a.disputes().count(), 0);
}

#[test]
fn an_agreement_that_does_not_fit_is_refused_with_the_reason() {
    let (mut a, b) = two();
    let mut theirs = Counterpart::new(b.clone());
    let found = compare(a.history(), b.history());
    let settled = found.differences[0]
        .rule(&Choice::Mine, &a, &theirs, "")
        .unwrap();
    theirs.agree(settled.theirs).unwrap();
    add_all(&mut a, 1, settled.mine);
    let sent = theirs.agreement(&a, None);

    let mut later = b.clone();
    play(&mut later, &secret(2), OUT);
    assert_eq!(sent.check(&later), Err(AgreementObjection::Stale));
    let other = record(2, &secret(2));
    assert_eq!(sent.check(&other), Err(AgreementObjection::OtherGame));
    // Nobody signs a statement or undoes a play for somebody else.
    for body in [b.statement(), Body::Event(Event::Undo { target: 1 })] {
        let mut odd = sent.clone();
        odd.bodies.push(body.clone());
        let kind = body.kind();
        assert_eq!(
            odd.check(&b),
            Err(AgreementObjection::NotForAgreement(kind))
        );
    }
    let bytes = sent.to_bytes();
    for cut in [0, 1, 20, bytes.len() - 1] {
        assert_eq!(
            Agreement::from_bytes(&bytes[..cut]),
            Err(AgreementObjection::Malformed)
        );
    }
}

fn statement(r: &mut GameRecord, by: u8) -> Entry<Verified> {
    let body = r.statement();
    add(r, &secret(by), body)
}

/// Both records to the end of a game that one side leaves.
fn forfeited() -> (GameRecord, GameRecord) {
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    for (r, by) in [(&mut a, 1), (&mut b, 2)] {
        play(r, &secret(by), safe(Goal::First));
        let gone = crate::game::Notice::Forfeit {
            side: crate::team::Side::Guest,
            text: "Left the court.".to_string(),
        };
        add(r, &secret(by), Body::Event(Event::Notice(gone)));
    }
    (a, b)
}

fn status(records: &[&GameRecord]) -> Status {
    let kept: Vec<KeptRecord<'_>> = records.iter().map(|r| KeptRecord::from(*r)).collect();
    crate::crosscheck::status(&kept)
}

#[test]
fn one_signed_record_counts_and_two_equal_ones_are_agreed_before_they_are_co_signed() {
    let (mut a, mut b) = forfeited();
    let stands = |a: &GameRecord, b: &GameRecord| status(&[a, b]).verdict;
    let agreed = |co_signed| Verdict::Agreed { co_signed };
    assert_eq!(status(&[&a]).verdict, Verdict::Incomplete);
    assert_eq!(status(&[&a]).to_string(), "over, not signed yet");
    let of_a = statement(&mut a, 1);
    assert_eq!(status(&[&a]).verdict, Verdict::Single);
    assert_eq!(status(&[&a]).to_string(), "single record");
    let now = status(&[&a, &b]);
    assert_eq!(now.verdict, Verdict::Single);
    assert_eq!(now.reasons, [Reason::NotSigned { whose: 1 }]);
    let of_b = statement(&mut b, 2);
    assert_eq!(stands(&a, &b), agreed(false));
    let sign = |e: &Entry<Verified>| {
        Body::CoSign(CoSign {
            statement: e.hash(),
            captain: None,
        })
    };
    add(&mut b, &secret(2), sign(&of_a));
    let now = status(&[&a, &b]);
    assert_eq!(now.reasons, [Reason::NotCoSigned { whose: 1 }]);
    assert_eq!(now.to_string(), "agreed, not co-signed");
    // One's own second signature is no co-signature.
    add(&mut b, &secret(2), sign(&of_b));
    assert_eq!(stands(&a, &b), agreed(false));
    add(&mut a, &secret(1), sign(&of_b));
    assert_eq!(stands(&a, &b), agreed(true));
    assert_eq!(stands(&b, &a), agreed(true));
    // Another word about the game takes the signature away.
    let again = Body::LeftOpen(LeftOpen {
        half: crate::log::HalfInning {
            inning: 1,
            side: crate::team::Side::Guest,
        },
        own: None,
        other: None,
        note: "The run in the first.".to_string(),
    });
    add(&mut a, &secret(1), again);
    assert_eq!(stands(&a, &b), Verdict::Disputed);
}

#[test]
fn each_signs_their_own_and_co_signs_the_others() {
    use crate::crosscheck::{SigningTask, signing_tasks};
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    for (r, by) in [(&mut a, 1), (&mut b, 2)] {
        half(r, by);
        to_the_end(r, by);
    }
    let left = |a: &GameRecord, b: &GameRecord| -> Vec<(usize, usize, bool)> {
        let all = signing_tasks(&[a, b]);
        let open = all.iter().filter(|t| !t.done);
        open.map(|t| (t.by, t.under, t.waits(&all))).collect()
    };
    let (own, others) = ((0, 0, false), (1, 1, false));
    assert_eq!(left(&a, &b), [own, others, (0, 1, true), (1, 0, true)]);
    let first = statement(&mut a, 1);
    assert_eq!(left(&a, &b), [others, (0, 1, true), (1, 0, false)]);
    let second = statement(&mut b, 2);
    for (r, by, statement) in [(&mut a, 1, &second), (&mut b, 2, &first)] {
        let statement = statement.hash();
        let captain = None;
        add(r, &secret(by), Body::CoSign(CoSign { statement, captain }));
    }
    assert_eq!(left(&a, &b), []);
    let done = |t: &SigningTask| t.done;
    assert_eq!(signing_tasks(&[&a]).iter().filter(|t| done(t)).count(), 1);
    assert_eq!(status(&[&a, &b]).reasons, []);
}

#[test]
fn co_signed_statements_that_differ_in_errors_say_so() {
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    play(&mut a, &secret(1), safe(Goal::First));
    let mut on_error = safe(Goal::First);
    if let BatterFate::Safe { on, .. } = &mut on_error.batter {
        *on = crate::play::Reach::Error;
    }
    play(&mut b, &secret(2), on_error);
    to_the_end(&mut a, 1);
    to_the_end(&mut b, 2);
    let (first, second) = (statement(&mut a, 1), statement(&mut b, 2));
    for (r, by, statement) in [(&mut a, 1, second), (&mut b, 2, first)] {
        let statement = statement.hash();
        let captain = None;
        add(r, &secret(by), Body::CoSign(CoSign { statement, captain }));
    }
    let now = status(&[&a, &b]);
    assert_eq!(now.verdict, Verdict::Agreed { co_signed: true });
    let who = |at: usize| ["the umpire's record", "the scorer's record"][at].to_string();
    assert_eq!(
        now.reasons[0].sentences(&who, true),
        [
            "Same score, but hits, errors or fielders are told differently in one play. \
          Errors, guests first: 0-0 in the umpire's record, 0-1 in the scorer's record."
        ]
    );
}

#[test]
fn records_that_differ_at_the_end_are_disputed_and_a_fork_is_tampered() {
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    play(&mut a, &secret(1), safe(Goal::First));
    play(&mut b, &secret(2), OUT);
    // While both still write, one is merely ahead.
    assert_eq!(status(&[&a, &b]).verdict, Verdict::Incomplete);
    assert_eq!(status(&[&a, &b]).to_string(), "being played");
    for (r, by) in [(&mut a, 1), (&mut b, 2)] {
        let gone = crate::game::Notice::Forfeit {
            side: crate::team::Side::Home,
            text: "".to_string(),
        };
        add(r, &secret(by), Body::Event(Event::Notice(gone)));
        statement(r, by);
    }
    let now = status(&[&a, &b]);
    assert_eq!(now.verdict, Verdict::Disputed);
    assert!(
        matches!(&now.reasons[0], Reason::Differs { differences, .. } if differences.len() == 1)
    );

    let mut forked = record(1, &secret(1));
    let first = forked
        .draft(Body::Event(forked.history().next_play(OUT)), 5)
        .unwrap();
    assert!(a.push(first.sign(&secret(1)).unwrap()).is_err());
    play(&mut forked, &secret(1), OUT);
    let now = status(&[&a, &b]);
    assert_eq!(now.verdict, Verdict::Tampered);
    assert_eq!(now.reasons, [Reason::Fork { whose: 0 }]);
    let who = |_: usize| "this record".to_string();
    for reason in &now.reasons {
        assert!(
            reason
                .sentences(&who, true)
                .iter()
                .all(|s| s.ends_with('.'))
        );
    }
    assert_eq!(
        status(&[&a, &record(2, &secret(2))]).verdict,
        Verdict::Tampered
    );
}

/// Puts a side out in order, so that its half-inning is over.
fn half(r: &mut GameRecord, by: u8) {
    let side = r.history().game().turn().side;
    while r.history().game().ending().is_none() && r.history().game().turn().side == side {
        play(r, &secret(by), OUT);
    }
}

fn answered(r: &mut GameRecord, by: u8, answer: crate::log::CodeAnswer) {
    let last = r.history().outcomes().next_back().unwrap().turn;
    let game = r.chain().game();
    let code = crate::crosscheck::codes(r.history(), game.as_bytes());
    let (_, code) = code.last().unwrap();
    let check = crate::log::CodeCheck {
        half: last.into(),
        code: code.to_string(),
        answer,
        other: None,
        seen: Vec::new(),
    };
    add(r, &secret(by), Body::CodeCheck(check));
}

/// The whole game, from wherever it is.
fn to_the_end(r: &mut GameRecord, by: u8) {
    while r.history().game().ending().is_none() {
        play(r, &secret(by), safe(Goal::Home));
        half(r, by);
    }
}

#[test]
fn a_copy_taken_in_the_first_inning_is_old_and_no_dispute() {
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    half(&mut a, 1);
    half(&mut b, 2);
    play(&mut b, &secret(2), safe(Goal::Home));
    let copy = b.clone();
    to_the_end(&mut a, 1);
    statement(&mut a, 1);
    for (records, whose) in [([&a, &copy], 1), ([&copy, &a], 0)] {
        let now = status(&records);
        assert_eq!(now.verdict, Verdict::Single, "{:?}", now.reasons);
        let ends = crate::crosscheck::Half {
            inning: 1,
            side: crate::team::Side::Home,
        };
        assert_eq!(now.reasons, [Reason::Old { whose, ends }]);
        let said = now.reasons[0].sentences(&|_| "their record".to_string(), true);
        assert!(said[0].starts_with("Their record ends before the bottom of 1"));
    }
}

#[test]
fn what_was_found_the_same_on_both_phones_is_the_same_up_to_there() {
    use crate::log::CodeAnswer::{Differs, Same};
    // The scorer's copy was taken before they settled the first play.
    let (mut a, mut b) = (record(1, &secret(1)), record(1, &secret(2)));
    play(&mut a, &secret(1), safe(Goal::First));
    play(&mut b, &secret(2), safe(Goal::Second));
    half(&mut a, 1);
    half(&mut b, 2);
    let copy = b.clone();
    let mut told_apart = b.clone();
    answered(&mut told_apart, 2, Differs);
    answered(&mut a, 1, Same);
    to_the_end(&mut a, 1);
    statement(&mut a, 1);
    assert_eq!(status(&[&a, &copy]).verdict, Verdict::Single);
    // A record whose author says that the codes differ is not older.
    assert_eq!(status(&[&a, &told_apart]).verdict, Verdict::Disputed);
    // Nor is one that is signed: it stands against the other.
    to_the_end(&mut b, 2);
    statement(&mut b, 2);
    assert_eq!(status(&[&a, &b]).verdict, Verdict::Disputed);
}

proptest! {
    /// No bytes make the reader fall, and what it reads is written back alike.
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(read) = Agreement::from_bytes(&bytes) {
            prop_assert_eq!(Agreement::from_bytes(&read.to_bytes()), Ok(read));
        }
    }
}
