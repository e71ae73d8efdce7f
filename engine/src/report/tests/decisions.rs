//! What an organiser's decision does, and what it never does.
use proptest::prelude::*;

use super::*;
use crate::charter::{Charter, Privacy};
use crate::log::{Close, ConsideredLog, Decision, Disposition, Draw};
use crate::report::csv;

/// The umpire has the guests ahead 1-0, the scorer the first batter out.
fn disputed() -> [GameRecord; 2] {
    let mut b = record(2, Role::Scorer);
    play(&mut b, 2, BatterFate::OUT);
    play(&mut b, 2, BatterFate::safe(Goal::Home));
    play(&mut b, 2, BatterFate::safe(Goal::Home));
    while b.history().game().ending().is_none() {
        play(&mut b, 2, BatterFate::Caught);
    }
    [signed(whole(1, Role::Umpire), 1), signed(b, 2)]
}

fn considered(logs: &[&GameRecord]) -> Vec<ConsideredLog> {
    let seen = |r: &&GameRecord| ConsideredLog {
        author: r.chain().author().fingerprint(),
        head: r.head(),
    };
    logs.iter().map(seen).collect()
}

fn decide(desk: &mut GameRecord, n: u8, logs: &[&GameRecord], decided: Disposition) {
    let decision = Decision {
        considered: considered(logs),
        decided,
        reason: "Both officials were heard.".into(),
    };
    add(desk, n, Body::Decision(decision));
}

fn stands(r: &GameRecord) -> Disposition {
    let author = r.chain().author().fingerprint();
    Disposition::Stands { author }
}

fn judged(logs: &[&GameRecord], organisers: &[u8]) -> GameReport {
    let kept = Vec::from_iter(logs.iter().copied().map(KeptRecord::from));
    GameReport::of(&kept, Authority::Charter(&charter_of(organisers))).unwrap()
}

/// A charter of these organisers, with an umpire and a scorer.
pub(super) fn charter_of(organisers: &[u8]) -> Charter {
    let listed = |n: u8, role| Author::new(key(n).public(), "Official", role);
    let mut officials: Vec<Author> = organisers
        .iter()
        .map(|n| listed(*n, Role::Organiser))
        .collect();
    for (n, role) in [(1, Role::Umpire), (2, Role::Scorer)] {
        if !organisers.contains(&n) {
            officials.push(listed(n, role));
        }
    }
    let organiser = officials[0].clone();
    Charter {
        officials,
        privacy: Privacy::Names,
        ..Charter::new("Harbour Cup", "2026-06-13", organiser)
    }
}

#[test]
fn a_log_of_decisions_is_no_third_record_and_decides_nothing_by_being_there() {
    let [a, b] = disputed();
    let desk = record(9, Role::Organiser);
    let now = judged(&[&a, &b, &desk], &[9]);
    assert_eq!((now.verdict, now.keepers), (Verdict::Disputed, 2));
    assert_eq!(now.reasons, report(&[&a, &b]).reasons);
    // An organiser who called the game kept a record like anyone else.
    let mut called = whole(9, Role::Organiser);
    assert_eq!(judged(&[&a, &called], &[9]).keepers, 2);
    let statement = called.statement();
    add(&mut called, 9, statement);
    assert!(!called.is_of_desk());
}

#[test]
fn the_record_that_stands_counts_and_the_dispute_stays_to_be_seen() {
    let [a, b] = disputed();
    let mut desk = record(9, Role::Organiser);
    decide(&mut desk, 9, &[&a, &b], stands(&b));
    let now = judged(&[&a, &b, &desk], &[9]);
    assert_eq!(
        (now.verdict, now.by_records),
        (Verdict::Decided, Verdict::Disputed)
    );
    assert_eq!((now.shown, now.score), (1, BySide { guest: 2, home: 0 }));
    assert!(matches!(now.standing, Some(Standing::Final(l)) if l.guest.runs == 2));
    assert_eq!(
        now.reasons[0],
        "Decided by the organiser: the scorer's record stands."
    );
    assert!(now.reasons[1].starts_with("Top of 1st, 1st batter"));
    assert!(!now.needs_attention());
    assert_eq!(
        now.ruled.as_ref().unwrap().reason,
        "Both officials were heard."
    );
    let table = csv::games(&[&now]);
    assert!(
        table.ends_with(
            "decided by the organiser,regulation,yes,\
         Decided by the organiser: the scorer's record stands.,Both officials were heard.\r\n"
        ),
        "{table}"
    );
}

#[test]
fn only_an_organisers_key_decides() {
    let [a, b] = disputed();
    let mut desk = record(9, Role::Organiser);
    decide(&mut desk, 9, &[&a, &b], stands(&b));
    for organisers in [&[8][..], &[1, 2]] {
        let now = judged(&[&a, &b, &desk], organisers);
        assert_eq!(now.verdict, Verdict::Disputed);
        assert!(now.reasons.last().unwrap().contains("not the organiser's"));
    }
    // One's own key where there is no charter.
    let logs = [&a, &b, &desk].map(KeptRecord::from);
    let public = key(9).public();
    let own = Authority::Own(&public);
    assert_eq!(
        GameReport::of(&logs, own).unwrap().verdict,
        Verdict::Decided
    );
}

#[test]
fn what_came_after_a_decision_is_said() {
    let [a, b] = disputed();
    let mut desk = record(9, Role::Organiser);
    let mut before = record(1, Role::Umpire);
    play(&mut before, 1, BatterFate::safe(Goal::Home));
    decide(&mut desk, 9, &[&before], stands(&a));
    let now = judged(&[&a, &b, &desk], &[9]);
    let since = now.ruled.as_ref().unwrap().since.clone();
    let more = a.chain().entries().len() - 2;
    assert_eq!(
        since,
        [
            format!(
                "The decision was made before {more} more entries of the umpire's record arrived."
            ),
            "The decision was made before the scorer's record arrived.".to_string(),
        ]
    );
    assert!(now.needs_attention());
    assert_eq!(now.verdict, Verdict::Decided, "it holds all the same");
    // Decided again with all of it on the table.
    decide(&mut desk, 9, &[&a, &b], stands(&a));
    assert!(
        judged(&[&a, &b, &desk], &[9])
            .ruled
            .unwrap()
            .since
            .is_empty()
    );
}

#[test]
fn each_ruling_has_its_effect_and_the_last_one_counts() {
    let [a, b] = disputed();
    let mut desk = record(9, Role::Organiser);
    let now = |desk: &GameRecord| judged(&[&a, &b, desk], &[9]);
    decide(
        &mut desk,
        9,
        &[&a, &b],
        Disposition::Forfeit { by: Side::Home },
    );
    let r = now(&desk);
    assert_eq!(r.standing, Some(Standing::Forfeit(Side::Home)));
    assert_eq!(r.score, BySide { guest: 5, home: 0 });
    assert_eq!(
        r.reasons[0],
        "Decided by the organiser: Tram Yard forfeited."
    );
    let runs = BySide { guest: 2, home: 3 };
    decide(
        &mut desk,
        9,
        &[&a, &b],
        Disposition::Score {
            runs,
            close: Close::Stopped,
        },
    );
    let r = now(&desk);
    let Some(Standing::Final(lines)) = r.standing else {
        panic!("{:?}", r.standing)
    };
    assert_eq!(
        (lines.home.runs, lines.home.outs, lines.home.earned),
        (3, 15, None)
    );
    assert!(
        lines.guest.earned.is_some(),
        "as recorded, where the runs are the same"
    );
    assert_eq!((r.score, r.ending, r.sheet_counts()), (runs, None, false));
    assert_eq!(
        r.reasons[0],
        "Decided by the organiser: Quay Street 2, Tram Yard 3. Stopped before its end."
    );
    let even = BySide { guest: 3, home: 3 };
    decide(
        &mut desk,
        9,
        &[&a, &b],
        Disposition::Score {
            runs: even,
            close: Close::Regulation,
        },
    );
    assert!(matches!(now(&desk).standing, Some(Standing::Unsettled(_))));
    decide(&mut desk, 9, &[&a, &b], Disposition::NotCounted);
    let r = now(&desk);
    assert_eq!(
        (r.standing, r.counts(), r.is_going_on()),
        (None, false, false)
    );
    decide(&mut desk, 9, &[&a, &b], Disposition::Withdrawn);
    let r = now(&desk);
    assert_eq!((r.verdict, r.ruled), (Verdict::Disputed, None));
}

#[test]
fn a_record_that_is_not_here_changes_nothing_until_it_comes() {
    let [a, b] = disputed();
    let mut desk = record(9, Role::Organiser);
    decide(&mut desk, 9, &[&a, &b], stands(&b));
    let now = judged(&[&a, &desk], &[9]);
    assert_eq!(now.verdict, Verdict::Single);
    assert!(now.reasons[0].contains("not here yet"), "{:?}", now.reasons);
    // A game that nobody kept can be forfeited.
    let mut alone = record(9, Role::Organiser);
    decide(&mut alone, 9, &[], Disposition::Forfeit { by: Side::Guest });
    let now = judged(&[&alone], &[9]);
    assert_eq!((now.by_records, now.keepers), (Verdict::Incomplete, 0));
    assert_eq!(now.standing, Some(Standing::Forfeit(Side::Guest)));
    assert!(
        now.reasons
            .contains(&"No official's record is here.".to_string())
    );
}

#[test]
fn of_two_organisers_the_one_who_knew_of_the_other_counts_whatever_the_clocks_say() {
    let [a, b] = disputed();
    let (mut one, mut two) = (record(9, Role::Organiser), record(8, Role::Organiser));
    decide(&mut one, 9, &[&a, &b], stands(&a));
    // Both at the same claimed time; the second has seen the first's decision.
    decide(&mut two, 8, &[&a, &b, &one], stands(&b));
    for logs in [[&a, &b, &one, &two], [&two, &one, &b, &a]] {
        let now = judged(&logs, &[9, 8]);
        assert_eq!(now.ruled.unwrap().decided, stands(&b));
        assert!(!now.reasons.iter().any(|r| r.contains("Two organisers")));
    }
    let mut apart = record(8, Role::Organiser);
    decide(&mut apart, 8, &[&a, &b], stands(&b));
    let ways = [[&a, &b, &one, &apart], [&apart, &b, &one, &a]].map(|logs| judged(&logs, &[9, 8]));
    assert_eq!(
        ways[0].ruled, ways[1].ruled,
        "the order of arrival is no reason"
    );
    assert!(ways[0].reasons.iter().any(|r| r.contains("Two organisers")));
}

#[test]
fn lots_are_taken_from_organisers_only() {
    let [a, b] = disputed();
    let mut desk = record(9, Role::Organiser);
    let draw = Draw {
        order: alloc::vec!["Tram Yard".into(), "Quay Street".into()],
        note: "Drawn from a hat before both captains.".into(),
        replaces: Vec::new(),
    };
    add(&mut desk, 9, Body::Draw(draw));
    let now = judged(&[&a, &b, &desk], &[9]);
    assert_eq!((now.verdict, now.drawn.len()), (Verdict::Disputed, 1));
    assert!(judged(&[&a, &b, &desk], &[8]).drawn.is_empty());
}

#[test]
fn a_game_that_will_not_be_played_is_no_game_that_goes_on() {
    let mut desk = record(9, Role::Organiser);
    decide(&mut desk, 9, &[], Disposition::NotPlayed);
    let now = judged(&[&desk], &[9]);
    assert!(now.will_not_be_played() && !now.counts() && !now.is_going_on());
    assert_eq!(
        (now.standing, now.place().as_str()),
        (None, "It will not be played.")
    );
    assert_eq!(
        now.ruled.as_ref().unwrap().sentence,
        "Decided by the organiser: this game will not be played; the schedule goes on without it."
    );
    decide(&mut desk, 9, &[], Disposition::Withdrawn);
    let now = judged(&[&desk], &[9]);
    assert!(!now.will_not_be_played() && !now.is_going_on());
}

/// The lot's order, its clock, and what it takes the place of.
fn draw(
    desk: &mut GameRecord,
    n: u8,
    order: [&str; 2],
    claimed_ms: u64,
    replaces: Vec<crate::log::Hash>,
) {
    let body = Body::Draw(Draw {
        order: order.map(String::from).into(),
        note: "From a hat.".into(),
        replaces,
    });
    let entry = desk.draft(body, claimed_ms).unwrap().sign(&key(n)).unwrap();
    desk.push(entry).unwrap();
}

#[test]
fn a_lot_drawn_again_holds_whatever_the_clocks_say_and_of_two_drawn_apart_none() {
    let charter = Charter {
        teams: ["Quay Street", "Tram Yard"]
            .map(|name| crate::charter::Team {
                name: name.into(),
                roster: Vec::new(),
            })
            .into(),
        ..charter_of(&[9, 8])
    };
    let lots = |logs: &[&GameRecord]| {
        let now = judged(logs, &[9, 8]);
        let entrants =
            Entrants::new(&["Quay Street".to_string(), "Tram Yard".to_string()]).unwrap();
        let mut problems = Vec::new();
        let lots = lots::Lots::of(&[&now], Some(&entrants), &mut problems);
        assert_eq!(EventReport::of(&charter, &[&now]).drawn(), lots.drawn);
        let order: Vec<String> = lots
            .order
            .iter()
            .map(|t| entrants.name(*t).to_string())
            .collect();
        (order, problems)
    };
    let (right, wrong) = (["Quay Street", "Tram Yard"], ["Tram Yard", "Quay Street"]);
    // Drawn wrongly with a clock far ahead, and corrected in the same log.
    let mut one = record(9, Role::Organiser);
    draw(&mut one, 9, wrong, u64::MAX, Vec::new());
    let first = one.head();
    draw(&mut one, 9, right, 10, Vec::new());
    let (order, problems) = lots(&[&one]);
    assert_eq!(order, right);
    assert!(problems[0].contains("drawn again"), "{problems:?}");
    // Another organiser draws apart: neither counts, and both are named.
    let mut two = record(8, Role::Organiser);
    draw(&mut two, 8, wrong, 11, alloc::vec![first]);
    for logs in [[&one, &two], [&two, &one]] {
        let (order, problems) = lots(&logs);
        assert!(order.is_empty(), "{order:?}");
        assert!(
            problems.iter().any(|p| p.contains("neither counts")),
            "{problems:?}"
        );
    }
    // Until one of them draws again, naming the other's.
    draw(&mut two, 8, wrong, 3, alloc::vec![one.head()]);
    assert_eq!(lots(&[&one, &two]).0, wrong);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn whatever_is_decided_the_records_evidence_stays(
        rulings in proptest::collection::vec((0u8..7, 0u16..20, 0u16..20), 1..6),
    ) {
        let [a, b] = disputed();
        let plain = report(&[&a, &b]);
        let mut desk = record(9, Role::Organiser);
        let mut last = Disposition::Withdrawn;
        for (kind, guest, home) in rulings {
            last = match kind {
                0 => stands(&a),
                1 => stands(&b),
                2 => Disposition::Forfeit { by: Side::Guest },
                3 => Disposition::Score { runs: BySide { guest, home }, close: Close::Extra },
                4 => Disposition::NotCounted,
                5 => Disposition::NotPlayed,
                _ => Disposition::Withdrawn,
            };
            decide(&mut desk, 9, &[&a, &b], last);
        }
        let now = judged(&[&desk, &b, &a], &[9]);
        prop_assert_eq!(now.by_records, plain.verdict);
        prop_assert_eq!(&now.evidence.len(), &plain.evidence.len());
        prop_assert!(plain.reasons.iter().all(|r| now.reasons.contains(r) || r.contains("batter")));
        prop_assert_eq!(now.ruled.as_ref().map(|r| r.decided), Some(last).filter(|d| *d != Disposition::Withdrawn));
        // No table is ever given a final game without a winner.
        if let Some(Standing::Final(lines)) = now.standing {
            prop_assert!(lines.guest.runs != lines.home.runs);
            for line in [lines.guest, lines.home] {
                prop_assert!(line.earned.is_none_or(|e| e <= line.runs) && line.outs > 0);
            }
        }
    }
}
