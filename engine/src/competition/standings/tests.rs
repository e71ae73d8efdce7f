#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use super::*;
use crate::rules::Edition;
use crate::team::{BySide, Side};
use alloc::string::{String, ToString};
use alloc::vec;
use proptest::prelude::*;
use std::collections::BTreeSet;

fn line(runs: u16, outs: u16) -> SideLine {
    SideLine {
        runs,
        outs,
        earned: Some(runs),
        batting: Some(Batting {
            at_bats: outs + runs,
            hits: runs,
        }),
    }
}

fn game(number: u32, guest: u16, home: u16, standing: Standing) -> GameResult {
    GameResult {
        number,
        guest: Entrant::at(guest),
        home: Entrant::at(home),
        standing,
        rules: TableRules::of(&Edition::federation()),
    }
}

/// The same games by other rules.
fn under(games: &[GameResult], edition: &Edition) -> Vec<GameResult> {
    let rules = TableRules::of(edition);
    games.iter().map(|g| GameResult { rules, ..*g }).collect()
}

fn played(number: u32, guest: (u16, u16, u16), home: (u16, u16, u16)) -> GameResult {
    let sides = BySide {
        guest: line(guest.1, guest.2),
        home: line(home.1, home.2),
    };
    game(number, guest.0, home.0, Standing::Final(sides))
}

fn entrants(names: &[&str]) -> Entrants {
    let names: Vec<String> = names.iter().map(ToString::to_string).collect();
    Entrants::new(&names).unwrap()
}

fn all(entrants: &Entrants) -> Vec<Entrant> {
    entrants.iter().collect()
}

fn order(table: &Table, entrants: &Entrants) -> Vec<String> {
    table
        .rows()
        .iter()
        .map(|r| alloc::format!("{} {}", r.place, entrants.name(r.team)))
        .collect()
}

/// Source: World Baseball Classic 2013, Pool B, the encyclopedia page of that
/// pool (published): three teams at 2-1 with one win each among them, 10-6, 8-8
/// and 3-7 in runs over 17.0 innings each way; balances 0.235, 0.000, -0.235.
/// Teams are A, B, C here; D lost all its games, whose scores do not matter.
#[test]
fn the_published_three_way_tie_comes_out_as_published() {
    let e = entrants(&["C", "D", "A", "B"]);
    let (c, d, a, b) = (0, 1, 2, 3);
    // The home winner's last turn was not needed: 8 innings against 9.
    let games = [
        played(1, (c, 0, 27), (b, 5, 24)),
        played(2, (b, 3, 27), (a, 8, 24)),
        played(3, (a, 2, 27), (c, 3, 24)),
        played(4, (d, 0, 27), (a, 1, 24)),
        played(5, (d, 0, 27), (b, 9, 24)),
        played(6, (d, 0, 27), (c, 30, 24)),
    ];
    let table = Table::of(&e, &all(&e), &games, &[]).unwrap();
    assert_eq!(order(&table, &e), ["1 A", "2 B", "3 C", "4 D"]);
    assert_eq!(
        table.words(&e),
        [
            "Wins and losses: A 2-1, B 2-1, C 2-1, D 0-3. Still tied: A, B and C.",
            "Among A, B and C, results among the tied: each 1-1. This separates no one.",
            "Among A, B and C, team quality balance: \
             A +0.235 (10 runs in 17 innings at bat, 6 allowed in 17 on defence), \
             B 0.000 (8 runs in 17 innings at bat, 8 allowed in 17 on defence), \
             C -0.235 (3 runs in 17 innings at bat, 7 allowed in 17 on defence).",
        ]
    );
}

/// Source: World Baseball Classic 2023, Pool A, five teams at 2-2, runs allowed
/// by outs on defence, lowest first (CBS Sports, March 2023, published). That
/// criterion is not one of ours; the exact ordering and the printing are.
#[test]
fn published_quotients_are_ordered_and_printed_as_published() {
    let published = [
        (15, 108, ".139"),
        (17, 108, ".157"),
        (19, 102, ".186"),
        (21, 105, ".200"),
        (31, 105, ".295"),
    ];
    let quotients = published.map(|(runs, outs, _)| Fraction::of(runs, outs).unwrap());
    assert!(quotients.is_sorted_by(|a, b| a < b));
    for (quotient, (.., text)) in quotients.iter().zip(published) {
        assert_eq!(quotient.average(), text);
    }
}

/// Source: WBSC news of 13 May 2024 (published): when a criterion separates
/// some, the rest go on with the next one, never back to an earlier one.
#[test]
fn the_rest_go_on_with_the_next_criterion() {
    let e = entrants(&["A", "B", "C"]);
    // Each beat one. A is apart on balance (6-4); B and C are level (7-8 each)
    // and go on with the earned runs of the game between them, not back to its
    // result, which B won.
    let mut games = [
        played(1, (1, 1, 15), (0, 4, 15)),
        played(2, (2, 4, 15), (1, 6, 15)),
        played(3, (0, 2, 15), (2, 3, 15)),
    ];
    let words = |games: &[GameResult], lot: &[Entrant]| {
        let table = Table::of(&e, &all(&e), games, lot).unwrap();
        (order(&table, &e), table.words(&e))
    };
    let Standing::Final(sides) = &mut games[1].standing else {
        panic!("played");
    };
    (sides.home.earned, sides.guest.earned) = (Some(3), Some(4));
    let (found, steps) = words(&games, &[]);
    assert_eq!(found, ["1 A", "2 C", "3 B"], "C has one more earned run");
    assert_eq!(
        steps[2..],
        [
            "Among A, B and C, team quality balance: \
             A +0.200 (6 runs in 10 innings at bat, 4 allowed in 10 on defence), \
             B -0.100 (7 runs in 10 innings at bat, 8 allowed in 10 on defence), \
             C -0.100 (7 runs in 10 innings at bat, 8 allowed in 10 on defence). \
             Still tied: B and C.",
            "Among B and C, team quality balance of earned runs: \
             C +0.200 (4 earned runs in 5 innings at bat, 3 allowed in 5 on defence), \
             B -0.200 (3 earned runs in 5 innings at bat, 4 allowed in 5 on defence).",
        ]
    );
    // The same with earned runs not kept and level batting: the lot decides.
    let Standing::Final(sides) = &mut games[1].standing else {
        panic!("played");
    };
    sides.home.earned = None;
    for side in [&mut sides.home, &mut sides.guest] {
        side.batting = Some(Batting {
            at_bats: 20,
            hits: 8,
        });
    }
    let (found, steps) = words(&games, &[Entrant::at(2), Entrant::at(1)]);
    assert_eq!(found, ["1 A", "2 C", "3 B"]);
    assert_eq!(
        steps[3..],
        [
            "Among B and C, team quality balance of earned runs: the earned runs of game 2 were \
             not kept, so this cannot be compared and separates no one.",
            "Among B and C, batting average among the tied: each .400 (8 hits in 20 at-bats). \
             This separates no one.",
            "Among B and C, lot: C drawn 1st, B drawn 2nd.",
        ]
    );
    let (found, steps) = words(&games, &[]);
    assert_eq!(found, ["1 A", "2 B", "2 C"]);
    assert_eq!(
        steps.last().unwrap(),
        "Among B and C, lot: B has not been drawn. They share the place until a lot is drawn."
    );
}

/// From memory: set by the competition. A forfeit is entered with the edition's
/// score over its scheduled innings.
#[test]
fn forfeits_and_unsettled_games_count_as_the_edition_says() {
    let e = entrants(&["Quay Street", "Tram Yard"]);
    let half = BySide {
        guest: line(3, 6),
        home: line(3, 4),
    };
    let games = [
        game(1, 0, 1, Standing::Forfeit(Side::Guest)),
        game(2, 1, 0, Standing::Unsettled(half)),
    ];
    let federation = Edition::federation();
    let table = Table::of(&e, &all(&e), &under(&games, &federation), &[]).unwrap();
    assert_eq!(order(&table, &e), ["1 Tram Yard", "2 Quay Street"]);
    assert_eq!((table.rows()[0].scored, table.left_out()), (5, &[2][..]));
    assert_eq!(
        table.words(&e).last().unwrap(),
        "Game 2 is left out until it is settled."
    );
    let other = federation
        .with_all([("unsettled-games", "as-scored"), ("forfeit-score", "9")])
        .unwrap();
    let table = Table::of(&e, &all(&e), &under(&games, &other), &[]).unwrap();
    assert_eq!(table.rows()[0].scored, 12);
    assert_eq!(table.rows()[0].record.to_string(), "1-0-1");
    assert_eq!(table.rows()[0].share(), Fraction::of(3, 4));
    assert!(table.left_out().is_empty());
}

/// A tie is half a win or is not counted, as the competition has it, and is
/// complete either way. Policy, from memory; no text read.
#[test]
fn a_tied_game_counts_as_the_edition_says() {
    let e = entrants(&["Quay Street", "Tram Yard"]);
    let level = BySide {
        guest: line(3, 12),
        home: line(3, 12),
    };
    let games = [
        played(1, (0, 4, 15), (1, 2, 15)),
        game(2, 1, 0, Standing::Tied(level)),
    ];
    let federation = Edition::federation();
    let table = Table::of(&e, &all(&e), &under(&games, &federation), &[]).unwrap();
    assert_eq!(table.rows()[0].record.to_string(), "1-0-1");
    assert_eq!(table.rows()[0].share(), Fraction::of(3, 4));
    let without = federation.with("tied-games", "left-out").unwrap();
    let table = Table::of(&e, &all(&e), &under(&games, &without), &[]).unwrap();
    assert_eq!(table.rows()[0].record.to_string(), "1-0");
    assert!(table.left_out().is_empty(), "nothing to be settled");
    assert_eq!(table.ties_left_out(), [2]);
    assert_eq!(
        table.notes(),
        [
            "Game 2 ended in a tie and does not count: this competition leaves ties out of the table."
        ]
    );
    let uneven = BySide {
        guest: line(3, 12),
        home: line(4, 12),
    };
    let wrong = Table::of(&e, &all(&e), &[game(2, 1, 0, Standing::Tied(uneven))], &[]);
    assert_eq!(
        wrong.unwrap_err().into_vec(),
        [StandingsProblem::NotLevel(2)]
    );
}

/// Each game by its own rules: a forfeit of the youth edition beside one of
/// another edition. Policy, from memory; no text read.
#[test]
fn each_game_counts_by_its_own_rules() {
    let e = entrants(&["Quay Street", "Tram Yard"]);
    let half = BySide {
        guest: line(3, 6),
        home: line(2, 4),
    };
    let by = |changes: [(&str, &str); 2]| {
        TableRules::of(&Edition::federation().with_all(changes).unwrap())
    };
    let short = by([("forfeit-score", "7"), ("innings", "3")]);
    let counted = by([("forfeit-score", "9"), ("unsettled-games", "as-scored")]);
    let forfeit = game(1, 0, 1, Standing::Forfeit(Side::Guest));
    let open = game(2, 0, 1, Standing::Unsettled(half));
    let games = [
        GameResult {
            rules: short,
            ..forfeit
        },
        GameResult {
            rules: counted,
            ..open
        },
        GameResult { number: 3, ..open },
    ];
    let table = Table::of(&e, &all(&e), &games, &[]).unwrap();
    assert_eq!(table.left_out(), [3], "its own rules leave it out");
    let yard = &table
        .rows()
        .iter()
        .find(|r| r.team == Entrant::at(1))
        .unwrap();
    assert_eq!((yard.scored, yard.allowed), (7 + 2, 3));
    // 9 runs in 9 outs and 4 at bat, 3 in 9 and 6 on defence.
    let balance = table
        .steps()
        .iter()
        .find(|s| s.criterion == Criterion::Balance);
    let value = balance
        .unwrap()
        .values
        .iter()
        .find(|(t, _)| *t == Entrant::at(1));
    // 27/13 less 9/15.
    assert_eq!(value.unwrap().1.rank(), Fraction::new(96, 65));
}

#[test]
fn before_the_first_game_all_share_the_first_place() {
    let e = entrants(&["Tram Yard", "Bell Lane", "Quay Street"]);
    let table = Table::of(&e, &all(&e), &[], &[]).unwrap();
    assert_eq!(
        order(&table, &e),
        ["1 Bell Lane", "1 Quay Street", "1 Tram Yard"]
    );
    assert_eq!(table.order(), None);
    assert_eq!(
        table.words(&e)[..2],
        [
            "Wins and losses: each no game yet. This separates no one.",
            "Among Bell Lane, Quay Street and Tram Yard, results among the tied: Bell Lane has \
             no game against the others that counts, so this cannot be compared and separates \
             no one."
        ]
    );
}

#[test]
fn every_problem_of_the_games_is_reported_at_once() {
    let e = entrants(&["Quay Street", "Tram Yard"]);
    let wrong = SideLine {
        earned: Some(4),
        batting: Some(Batting {
            at_bats: 1,
            hits: 2,
        }),
        ..line(3, 15)
    };
    let level = Standing::Final(BySide {
        guest: wrong,
        home: line(3, 15),
    });
    let games = [game(7, 0, 0, level), game(7, 0, 5, level)];
    let (quay, far) = (Entrant::at(0), Entrant::at(9));
    let found = Table::of(&e, &all(&e), &games, &[quay, quay, far]);
    use StandingsProblem::{AgainstItself, Earned, GameTwice, Hits, Lot, NoWinner, NotInGroup};
    let no_winner = NoWinner { number: 7, runs: 3 };
    assert_eq!(
        found.unwrap_err(),
        [
            Lot(quay),
            Lot(far),
            GameTwice(7),
            AgainstItself(7),
            no_winner.clone(),
            Earned(7),
            Hits(7),
            NotInGroup(7),
            no_winner,
            Earned(7),
            Hits(7),
        ]
    );
    assert_eq!(Lot(quay).words(&e), "Quay Street is twice in the lot.");
}

fn any_line() -> impl Strategy<Value = SideLine> {
    // Few different values, so that ties are frequent on every rung.
    (0u16..3, 13u16..16, any::<bool>(), 0u16..3, 0u8..30).prop_map(
        |(runs, outs, unearned, hits, unknown)| SideLine {
            runs,
            outs,
            earned: (unknown != 1).then_some(if unearned { 0 } else { runs }),
            batting: (unknown != 2).then_some(Batting { at_bats: 4, hits }),
        },
    )
}

fn any_standing() -> impl Strategy<Value = Standing> {
    let lines = || (any_line(), any_line()).prop_map(|(guest, home)| BySide { guest, home });
    prop_oneof![
        8 => lines().prop_map(|mut l| {
            l.home.runs += u16::from(l.home.runs == l.guest.runs);
            Standing::Final(l)
        }),
        1 => lines().prop_map(Standing::Unsettled),
        1 => prop_oneof![Just(Side::Guest), Just(Side::Home)].prop_map(Standing::Forfeit),
    ]
}

prop_compose! {
    /// Teams, games of a round robin (some not played), and a lot of some.
    fn any_pool()(n in 2u16..7)(
        standings in prop::collection::vec(prop::option::weighted(0.9, any_standing()), usize::from(n * (n - 1) / 2)),
        lot in Just((0..n).map(Entrant::at).collect::<Vec<_>>()).prop_shuffle(),
        drawn in 0..=usize::from(n),
        seats in Just((0..n).collect::<Vec<_>>()).prop_shuffle(),
        n in Just(n),
    ) -> (Vec<u16>, Vec<GameResult>, Vec<Entrant>) {
        let pairs = (0..n).flat_map(|a| (a + 1..n).map(move |b| (a, b)));
        let games = pairs.zip(standings).enumerate()
            .filter_map(|(at, ((a, b), s))| Some(game(at as u32 + 1, a, b, s?)))
            .collect();
        let mut lot = lot;
        // A whole lot as often as a part.
        if drawn % 2 == 0 { lot.truncate(drawn); }
        (seats, games, lot)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn the_order_of_the_input_never_changes_the_table(
        (seats, games, lot) in any_pool(), turn in 0usize..20, as_scored in any::<bool>(),
    ) {
        let mut edition = Edition::federation();
        if as_scored { edition = edition.with("unsettled-games", "as-scored").unwrap(); }
        let names: Vec<String> = (0..seats.len()).map(|i| alloc::format!("Crew {i}")).collect();
        let e = Entrants::new(&names).unwrap();
        let games = under(&games, &edition);
        let table = Table::of(&e, &all(&e), &games, &lot).unwrap();

        // The same teams listed in another order, the games too.
        let mut listed = vec![String::new(); seats.len()];
        for (old, new) in seats.iter().enumerate() { listed[usize::from(*new)] = names[old].clone(); }
        let other = Entrants::new(&listed).unwrap();
        let moved = |t: Entrant| Entrant::at(seats[t.index()]);
        let mut games2: Vec<GameResult> = games.iter()
            .map(|g| GameResult { guest: moved(g.guest), home: moved(g.home), ..*g })
            .collect();
        if !games2.is_empty() { let by = turn % games2.len(); games2.rotate_left(by); }
        let lot2: Vec<_> = lot.iter().map(|t| moved(*t)).collect();
        let mut group2 = all(&other);
        group2.reverse();
        let table2 = Table::of(&other, &group2, &games2, &lot2).unwrap();
        prop_assert_eq!(order(&table, &e), order(&table2, &other));
        prop_assert_eq!(table.words(&e), table2.words(&other));
    }

    #[test]
    fn every_team_appears_once_and_every_step_keeps_its_teams((seats, games, lot) in any_pool()) {
        let names: Vec<String> = (0..seats.len()).map(|i| alloc::format!("Crew {i}")).collect();
        let e = Entrants::new(&names).unwrap();
        let table = Table::of(&e, &all(&e), &games, &lot).unwrap();
        let teams: BTreeSet<Entrant> = table.rows().iter().map(|r| r.team).collect();
        prop_assert_eq!((teams.len(), table.rows().len()), (seats.len(), seats.len()));
        for step in table.steps() {
            let mut apart: Vec<Entrant> = step.groups.iter().flatten().copied().collect();
            let mut among = step.among.clone();
            apart.sort_unstable();
            among.sort_unstable();
            prop_assert_eq!(apart, among);
            prop_assert_eq!(step.gap.is_some(), step.values.is_empty());
            crate::message::tests::assert_says(&step.message(&e), &step.words(&e));
            for group in &step.groups {
                // Whoever is still tied goes on with the next rung.
                if let (true, Some(next)) = (group.len() > 1, step.criterion.next()) {
                    prop_assert!(table.steps().iter().any(|s| s.criterion == next && s.among == *group));
                }
            }
        }
        // A whole lot leaves nobody tied; more wins are never below fewer.
        if lot.len() == seats.len() { prop_assert!(table.order().is_some()); }
        for pair in table.rows().windows(2) {
            prop_assert!(pair[0].share() >= pair[1].share());
prop_assert!(pair[0].place <= pair[1].place);
        }
        let balance: i64 = table.rows().iter().map(|r| r.scored as i64 - r.allowed as i64).sum();
        prop_assert_eq!(balance, 0, "every run scored is a run allowed");
    }
}
