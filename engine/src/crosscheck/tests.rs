#![allow(clippy::unwrap_used, missing_docs)]
use alloc::vec::Vec;

use super::*;
use crate::game::Notice;
use crate::game::tests::{OUT, safe, shirt};
use crate::log::tests::{add, any_next, history, play};
use crate::log::{Event, History, Step};
#[cfg(feature = "competition")]
use crate::message::tests::assert_says;
use crate::play::{BatterFate, Call, Goal};
use crate::team::{BySide, Shirt, Side};
use proptest::prelude::*;

mod changes;

const NAMES: BySide<&str> = BySide {
    guest: "Quay Street",
    home: "Tram Yard",
};

fn played(calls: [Call; 3]) -> History {
    let mut h = history();
    for call in calls {
        play(&mut h, call);
    }
    h
}

/// Adds without asking, as a log that is already written.
fn force(h: &mut History, event: Event) {
    let seq = h.events().last().map_or(1, |(s, _)| s + 1);
    h.push(seq, event);
}

/// Records the calls that still fit; the rest of a game that a slip has
/// derailed is left out, as a scorer would stop and ask.
fn record(events: &[Event]) -> History {
    let mut h = history();
    for event in events {
        let event = match event {
            Event::Play { call, .. } => h.next_play(call.clone()),
            other => other.clone(),
        };
        if h.check(&event).is_ok() {
            force(&mut h, event);
        }
    }
    h
}

/// A game of random legal calls with a few changes of players.
fn random_game(picks: &[(u16, u8)]) -> Vec<Event> {
    let mut h = history();
    for (pick, kind) in picks {
        let pick = usize::from(*pick);
        let event = if kind % 16 == 0 && h.game().courtesy_runners().is_empty() {
            let side = Side::BOTH[pick % 2];
            let base = if side == Side::Guest { 21 } else { 11 };
            let at = u8::try_from(pick % 5).unwrap();
            let by = shirt(base + 5 + u8::try_from(pick % 3).unwrap());
            Event::Notice(Notice::Substitution {
                side,
                out: shirt(base + at),
                by,
            })
        } else {
            let Some(event) = any_next(&h, pick) else {
                break;
            };
            event
        };
        if h.check(&event).is_ok() {
            force(&mut h, event);
        }
    }
    h.events().iter().map(|(_, e)| e.clone()).collect()
}

/// The changes of players in force, in no order.
fn changes(h: &History) -> Vec<alloc::string::String> {
    let steps = h.steps().iter();
    let mut list: Vec<_> = steps
        .filter_map(|s| match s {
            Step::Notice(n) if n.objection.is_none() => Some(alloc::format!("{:?}", n.notice)),
            _ => None,
        })
        .collect();
    list.sort();
    list
}

/// Settles the first difference for me, again and again, until none is left.
fn settle_all(mine: &mut History, theirs: &mut History) -> usize {
    for round in 0..200 {
        let found = compare(mine, theirs);
        let Some(first) = found.differences.first() else {
            return round;
        };
        let settled = first.settle(&Choice::Mine, mine, theirs).unwrap();
        assert!(settled.mine.is_empty());
        for event in settled.theirs {
            force(theirs, event);
        }
    }
    usize::MAX
}

#[test]
fn a_wrong_fate_is_one_difference_in_one_sentence() {
    let events = |second: Call| {
        let mut h = history();
        play(&mut h, safe(Goal::First));
        play(&mut h, second);
        play(&mut h, safe(Goal::First));
        h
    };
    let (a, b) = (events(OUT), events(safe(Goal::First)));
    let found = compare(&a, &b);
    assert_eq!(found.differences.len(), 1);
    assert_eq!(
        found.differences[0].sentence(&NAMES),
        "Top of 1st, 2nd batter: you have 22 out; they have 22 safe at 1st, 21 to 2nd."
    );
}

#[test]
fn two_outs_of_another_kind_are_told_apart_in_words() {
    let one = |call: Call| {
        let mut h = history();
        play(&mut h, call);
        h
    };
    let (a, b) = (one(OUT), one(Call::new(BatterFate::Caught)));
    let found = compare(&a, &b);
    let Kind::Fates { mine, theirs } = &found.differences[0].kind else {
        unreachable!("a play told differently");
    };
    assert_ne!(mine.words, theirs.words);
    assert!(!found.differences[0].sentence(&NAMES).contains(".;"));
}

#[test]
fn a_missed_play_is_one_difference_though_every_later_hitter_is_off_by_one() {
    let mut a = history();
    let mut b = history();
    for (i, call) in [safe(Goal::First), OUT, OUT, safe(Goal::Second), OUT]
        .iter()
        .enumerate()
    {
        play(&mut a, call.clone());
        if i != 1 {
            play(&mut b, call.clone());
        }
    }
    let found = compare(&a, &b);
    assert_eq!(found.differences.len(), 1);
    assert!(matches!(found.differences[0].kind, Kind::OnlyMine { .. }));
    let code = |h: &History| code_after(h, b"fixture");
    assert_ne!(code(&a), code(&b));
    settle_all(&mut a, &mut b);
    assert_eq!(code(&a), code(&b));
}

#[test]
fn swapped_neighbours_are_one_difference() {
    let mut a = played([OUT, safe(Goal::Home), safe(Goal::First)]);
    let mut b = played([safe(Goal::Home), OUT, safe(Goal::First)]);
    let found = compare(&a, &b);
    assert_eq!(found.differences.len(), 1);
    assert!(matches!(found.differences[0].kind, Kind::Swapped { .. }));
    settle_all(&mut a, &mut b);
    assert_eq!(code_after(&a, b"f"), code_after(&b, b"f"));
}

/// Neither order is right: the first of the two plays was a third one. What is
/// left of the difference is then asked about by itself.
#[test]
fn of_two_swapped_plays_a_third_version_takes_the_first() {
    let mut a = played([OUT, safe(Goal::Home), safe(Goal::First)]);
    let mut b = played([safe(Goal::Home), OUT, safe(Goal::First)]);
    let found = compare(&a, &b);
    let choice = Choice::Third(safe(Goal::Third));
    let settled = found.differences[0].settle(&choice, &a, &b).unwrap();
    (a, b) = (
        with(&a, &settled.mine).unwrap(),
        with(&b, &settled.theirs).unwrap(),
    );
    let left = compare(&a, &b);
    assert_eq!(
        left.differences
            .iter()
            .map(|d| d.sentence(&NAMES))
            .collect::<Vec<_>>(),
        ["Top of 1st, 2nd batter: you have 22 scores, 21 scores; they have 22 out."]
    );
    settle_all(&mut a, &mut b);
    for h in [&a, &b] {
        let first = h.plays().next().unwrap();
        assert_eq!(first.call.batter, BatterFate::safe(Goal::Third));
    }
    assert_eq!(code_after(&a, b"f"), code_after(&b, b"f"));
}

/// One change of players told differently is one difference, and a third
/// version takes the place of both.
#[test]
fn notices_that_differ_are_one_difference_and_may_both_be_wrong() {
    let sub = |by| Notice::Substitution {
        side: Side::Home,
        out: shirt(11),
        by: shirt(by),
    };
    let (mut a, mut b) = (history(), history());
    for (h, by) in [(&mut a, 16), (&mut b, 17)] {
        add(h, Event::Notice(sub(by)));
        for _ in 0..4 {
            play(h, OUT);
        }
    }
    let found = compare(&a, &b);
    let said: Vec<_> = found
        .differences
        .iter()
        .map(|d| d.sentence(&NAMES))
        .collect();
    assert_eq!(
        said,
        [
            "Top of 1st, 1st batter: you have this: Tram Yard: 16 comes in for 11. They have this: Tram Yard: 17 comes in for 11."
        ]
    );
    let first = &found.differences[0];
    let versions = [Choice::Mine, Choice::Theirs, Choice::ThirdNotice(sub(18))];
    for (choice, came_in) in versions.iter().zip([16, 17, 18]) {
        let settled = first.settle(choice, &a, &b).unwrap();
        let both = [with(&a, &settled.mine), with(&b, &settled.theirs)].map(Option::unwrap);
        assert!(compare(&both[0], &both[1]).differences.is_empty());
        for h in both {
            let at_first = crate::team::Place::ALL[0];
            assert_eq!(h.game().squads()[Side::Home].at(at_first).get(), came_in);
            assert_eq!(h.conflicts().count(), 0);
        }
    }
    // A play is no answer to it, nor a notice to a play.
    assert_eq!(
        first.settle(&Choice::Third(OUT), &a, &b),
        Err(ChoiceObjection::WantsNotice)
    );
}

/// One record has a change of players that the other lacks, and it was another.
#[test]
fn a_notice_that_one_record_lacks_may_have_been_another() {
    let sub = |by| Notice::Substitution {
        side: Side::Home,
        out: shirt(11),
        by: shirt(by),
    };
    let (mut a, mut b) = (history(), history());
    add(&mut a, Event::Notice(sub(16)));
    for _ in 0..4 {
        play(&mut a, OUT);
        play(&mut b, OUT);
    }
    for (x, y) in [(&a, &b), (&b, &a)] {
        let found = compare(x, y);
        let choice = Choice::ThirdNotice(sub(18));
        let settled = found.differences[0].settle(&choice, x, y).unwrap();
        let (x, y) = (
            with(x, &settled.mine).unwrap(),
            with(y, &settled.theirs).unwrap(),
        );
        assert_eq!(codes(&x, b"f"), codes(&y, b"f"));
        let at_first = crate::team::Place::ALL[0];
        assert_eq!(x.game().squads()[Side::Home].at(at_first).get(), 18);
    }
}

#[test]
fn a_missed_substitution_shows_in_the_code_before_the_player_bats() {
    let mut a = history();
    let mut b = history();
    add(
        &mut a,
        Event::Notice(Notice::Substitution {
            side: Side::Home,
            out: shirt(11),
            by: shirt(16),
        }),
    );
    for _ in 0..3 {
        play(&mut a, OUT);
        play(&mut b, OUT);
    }
    assert_ne!(codes(&a, b"f"), codes(&b, b"f"));
    let found = compare(&a, &b);
    assert_eq!(
        found.differences[0].sentence(&NAMES),
        "Top of 1st, 1st batter: only you have this: Tram Yard: 16 comes in for 11."
    );
    settle_all(&mut a, &mut b);
    assert_eq!(codes(&a, b"f"), codes(&b, b"f"));
}

#[test]
fn the_scorers_extras_never_change_the_code() {
    let mut a = history();
    let mut b = history();
    play(&mut a, safe(Goal::First));
    let on_error = BatterFate::Safe {
        at: Goal::First,
        on: crate::play::Reach::Error,
        then: None,
    };
    play(&mut b, Call::new(on_error));
    assert_eq!(code_after(&a, b"f"), code_after(&b, b"f"));
    let found = compare(&a, &b);
    assert_eq!((found.differences.len(), found.details.len()), (0, 1));
}

#[test]
fn a_code_reads_back_as_spoken() {
    let code = CheckCode::from_bits(0x1234_5678);
    let text = alloc::string::ToString::to_string(&code);
    assert_eq!(text.len(), 7);
    assert_eq!(CheckCode::read(&text), Some(code));
    assert_eq!(
        CheckCode::read(&text.to_lowercase().replace(' ', "-")),
        Some(code)
    );
    assert_eq!(CheckCode::read("o0l1i1"), CheckCode::read("001111"));
    assert_eq!(CheckCode::read("12345"), None);
    assert_eq!(CheckCode::read("12345U"), None);
}

/// A million random pairs of different facts: collisions are as rare as 30
/// bits promise (expected 0.001 of them; five would be one in 10^18).
#[test]
fn different_records_do_not_share_codes() {
    let mut seen: Vec<u32> = Vec::with_capacity(1 << 11);
    let mut pairs = 0u64;
    let mut shared = 0;
    for n in 0..1_450u32 {
        let mut facts = b"f".to_vec();
        facts.extend(n.to_be_bytes());
        let code = code_after(&history(), &facts).bits();
        shared += seen.iter().filter(|s| **s == code).count();
        pairs += seen.len() as u64;
        seen.push(code);
    }
    assert!(pairs >= 1_000_000);
    assert!(shared < 5, "{shared} of {pairs}");
}

/// Games of each property test; `PROPTEST_CASES` asks for another number.
fn cases() -> u32 {
    let asked = option_env!("PROPTEST_CASES").and_then(|n| n.parse().ok());
    asked.unwrap_or(300)
}

/// One of the three reserves of a side.
fn reserve(side: Side, pick: u16) -> Shirt {
    let base = if side == Side::Guest { 26 } else { 16 };
    shirt(base + u8::try_from(pick % 3).unwrap())
}

/// A third version of what differs, as two officials might agree on it.
fn third(difference: &Difference, mine: &History, pick: u16) -> Choice {
    let before = match &difference.kind {
        Kind::Fates { mine: own, .. } | Kind::OnlyMine { mine: own, .. } => mine.before(own.seq),
        Kind::Swapped { mine: own, .. } => mine.before(own[0].seq),
        Kind::OnlyTheirs {
            before: Some(seq), ..
        } => mine.before(*seq),
        Kind::OnlyTheirs { before: None, .. } => Some(mine.game().clone()),
        Kind::Notices { mine: told, .. }
        | Kind::NoticeOnlyMine { mine: told, .. }
        | Kind::NoticeOnlyTheirs { theirs: told, .. } => {
            let notice = match told.notice.clone() {
                Notice::Substitution { side, out, .. } => Notice::Substitution {
                    side,
                    out,
                    by: reserve(side, pick),
                },
                other => other,
            };
            return Choice::ThirdNotice(notice);
        }
        Kind::Moved { .. } => None,
    };
    let calls = before.map(|g| g.legal_calls()).unwrap_or_default();
    match calls.get(usize::from(pick) % calls.len().max(1)) {
        Some(call) => Choice::Third(call.clone()),
        None => Choice::Mine,
    }
}

/// The record with these events, if it can take them all.
fn with(history: &History, events: &[Event]) -> Option<History> {
    let mut next = history.clone();
    for event in events {
        next.check(event).ok()?;
        force(&mut next, event.clone());
    }
    Some(next)
}

/// Plants one slip: a play or a change of players missed, told twice, in the
/// wrong order, or a play with another fate, runner or run.
fn plant(told: &mut Vec<Event>, at: u16, kind: u8, other: u16) {
    if told.is_empty() {
        return;
    }
    let at = usize::from(at) % told.len();
    match kind % 5 {
        0 => drop(told.remove(at)),
        1 => told.insert(at, told[at].clone()),
        2 if at + 1 < told.len() => told.swap(at, at + 1),
        _ => {
            let calls = record(&told[..at]).game().legal_calls();
            if let (Event::Play { call, .. }, false) = (&mut told[at], calls.is_empty()) {
                *call = calls[usize::from(other) % calls.len()].clone();
            }
        }
    }
}

/// What may still be done between a play and the next one.
#[derive(Clone, Copy, PartialEq)]
enum Next {
    /// They are neighbours from the beginning.
    Neighbour,
    /// Something between them was taken out or put in: not to be exchanged.
    Apart,
    /// They were exchanged: nothing is put in between.
    Exchanged,
}

/// A play of a record under correction.
#[derive(Clone)]
struct Item {
    event: Event,
    /// Corrected already: each play is, once at most.
    done: bool,
    next: Next,
}

/// Every record that one correction makes of `told`: a play left out, told
/// otherwise, put in, or two neighbours exchanged. As in the restricted
/// Damerau-Levenshtein distance ("optimal string alignment"), nothing is
/// corrected twice: an exchange with a play put in between is no exchange of
/// neighbours for those who were there.
fn one_step(told: &[Item], calls: &[Event]) -> Vec<Vec<Item>> {
    let mut all = Vec::new();
    let edited = |edit: &dyn Fn(&mut Vec<Item>)| {
        let mut list = told.to_vec();
        edit(&mut list);
        list
    };
    let apart = |list: &mut Vec<Item>, at: usize| {
        if at > 0 {
            list[at - 1].next = Next::Apart;
        }
    };
    let fresh = |event: &Event| Item {
        event: event.clone(),
        done: true,
        next: Next::Apart,
    };
    for at in 0..told.len() {
        if told[at].done {
            continue;
        }
        all.push(edited(&|list| {
            list.remove(at);
            apart(list, at);
        }));
        let pair = at + 1 < told.len() && told[at].next == Next::Neighbour;
        if pair && !told[at + 1].done {
            all.push(edited(&|list| {
                let after = list[at + 1].next;
                list.swap(at, at + 1);
                (list[at].next, list[at + 1].next) = (Next::Exchanged, after);
                (list[at].done, list[at + 1].done) = (true, true);
            }));
        }
        for call in calls {
            all.push(edited(&|list| {
                (list[at].event, list[at].done) = (call.clone(), true);
            }));
        }
    }
    for at in 0..=told.len() {
        if at > 0 && told[at - 1].next == Next::Exchanged {
            continue;
        }
        for call in calls {
            all.push(edited(&|list| {
                list.insert(at, fresh(call));
                apart(list, at);
            }));
        }
    }
    all
}

/// The fewest corrections that make `told` tell what `truth` tells, up to
/// `most`; by trying all.
fn fewest(told: &[Event], truth: &[Event], most: usize) -> usize {
    let want = code_after(&record(truth), b"f");
    let item = |event: &Event| Item {
        event: event.clone(),
        done: false,
        next: Next::Neighbour,
    };
    let tells = |list: &Vec<Item>| {
        let events: Vec<Event> = list.iter().map(|i| i.event.clone()).collect();
        let made = record(&events);
        // A play that no longer fits is not corrected yet.
        made.events().len() == events.len() && code_after(&made, b"f") == want
    };
    let mut layer = alloc::vec![told.iter().map(item).collect::<Vec<_>>()];
    for steps in 0..most {
        if layer.iter().any(tells) {
            return steps;
        }
        layer = layer.iter().flat_map(|l| one_step(l, truth)).collect();
    }
    most
}

proptest! {
    // 300 pairs of equal games, 300 with 1 to 5 slips planted, and 300 short ones
    // held against a search.
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    /// Equal games, equal codes, no differences.
    #[test]
    fn the_same_game_agrees(picks in prop::collection::vec(any::<(u16, u8)>(), 0..60)) {
        let events = random_game(&picks);
        let (a, b) = (record(&events), record(&events));
        prop_assert_eq!(compare(&a, &b), Comparison::default());
        prop_assert_eq!(codes(&a, b"f"), codes(&b, b"f"));
    }

    /// Planted slips: codes differ exactly when facts do, something is found
    /// whenever they differ, never more than was planted on an unshaken game,
    /// and rulings bring both records to the same facts and code.
    #[test]
    fn planted_slips_are_found_and_settled(
        picks in prop::collection::vec(any::<(u16, u8)>(), 4..50),
        slips in prop::collection::vec(any::<(u16, u8, u16)>(), 1..=5),
    ) {
        let truth = random_game(&picks);
        let mut told = truth.clone();
        for (at, kind, other) in &slips {
            plant(&mut told, *at, *kind, *other);
        }
        let (mut a, mut b) = (record(&truth), record(&told));
        let facts = |h: &History| h.outcomes().map(PlayFacts::of).collect::<Vec<_>>();
        let fives = |h: &History| BySide::from_fn(|s| crate::team::Place::ALL.map(|p| h.game().squads()[s].at(p)));
        let bases = |h: &History| h.game().bases().0.map(|r| r.map(|r| r.shirt));
        let equal = |a: &History, b: &History| {
            facts(a) == facts(b) && fives(a) == fives(b) && bases(a) == bases(b)
                && a.game().ending() == b.game().ending() && changes(a) == changes(b)
        };
        prop_assert_eq!(equal(&a, &b), code_after(&a, b"f") == code_after(&b, b"f"));
        let found = compare(&a, &b);
        if !equal(&a, &b) {
            prop_assert!(!found.differences.is_empty(), "differs, but nothing is named");
        }
        #[cfg(feature = "competition")]
        for one in &found.differences {
            let who = ["the umpire", "the scorer"];
            assert_says(&one.message(&NAMES, None), &one.sentence(&NAMES));
            assert_says(&one.message(&NAMES, Some(who)), &one.between(&NAMES, who));
        }
        let rounds = settle_all(&mut a, &mut b);
        prop_assert!(rounds < 200, "settling does not end");
        prop_assert!(equal(&a, &b), "{:?}\n{:?}", facts(&a), facts(&b));
    }

    /// On short games no smaller set of corrections would do than the
    /// differences that are found: all smaller ones are tried, each play
    /// corrected once.
    #[test]
    fn differences_are_the_fewest(
        picks in prop::collection::vec((any::<u16>(), 1u8..16), 1..=5),
        slips in prop::collection::vec(any::<(u16, u8, u16)>(), 1..=2),
    ) {
        let truth = random_game(&picks);
        let mut told = truth.clone();
        for (at, kind, other) in &slips {
            plant(&mut told, *at, *kind, *other);
        }
        let (a, b) = (record(&truth), record(&told));
        let told: Vec<Event> = b.events().iter().map(|(_, e)| e.clone()).collect();
        let found = compare(&a, &b).differences.len();
        prop_assert!(found <= fewest(&told, &truth, found), "{found} differences named");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases() / 3))]

    /// Whatever two officials agree on, one after the other - mine, theirs or a
    /// third version - both records take it or neither does, and when nothing
    /// is left to settle both tell the same game.
    #[test]
    fn whatever_is_agreed_both_records_come_to_tell_the_same(
        picks in prop::collection::vec(any::<(u16, u8)>(), 4..40),
        slips in prop::collection::vec(any::<(u16, u8, u16)>(), 1..=4),
        agreed in prop::collection::vec(any::<(u8, u16)>(), 1..=6),
    ) {
        let truth = random_game(&picks);
        let mut told = truth.clone();
        for (at, kind, other) in &slips {
            plant(&mut told, *at, *kind, *other);
        }
        let (mut a, mut b) = (record(&truth), record(&told));
        for (kind, pick) in agreed {
            let found = compare(&a, &b);
            let Some(first) = found.differences.first() else { break };
            let choice = match kind % 4 {
                0 => Choice::Mine,
                1 => Choice::Theirs,
                _ => third(first, &a, pick),
            };
            let Ok(settled) = first.settle(&choice, &a, &b) else { continue };
            if let (Some(mine), Some(theirs)) = (with(&a, &settled.mine), with(&b, &settled.theirs)) {
                (a, b) = (mine, theirs);
            }
        }
        let mut rounds = 0;
        while let Some(first) = compare(&a, &b).differences.first() {
            rounds += 1;
            prop_assert!(rounds < 200, "settling does not end: {}", first.sentence(&NAMES));
            // The first version that tells something.
            let all = [Choice::Mine, Choice::Theirs, third(first, &a, 0)];
            // Neither play fits, nothing can be called there: it is left standing.
            let Some(settled) = all.iter().find_map(|c| first.settle(c, &a, &b).ok()) else {
                return Ok(());
            };
            settled.mine.into_iter().for_each(|e| force(&mut a, e));
            settled.theirs.into_iter().for_each(|e| force(&mut b, e));
        }
        prop_assert_eq!(code_after(&a, b"f"), code_after(&b, b"f"));
        let facts = |h: &History| h.outcomes().map(PlayFacts::of).collect::<Vec<_>>();
        prop_assert_eq!(facts(&a), facts(&b));
    }
}
