#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use super::*;
use crate::message::Localized as _;
use crate::message::tests::assert_says;
use alloc::string::ToString;
use alloc::vec;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

fn names(prefix: &str, n: usize) -> Vec<String> {
    (1..=n).map(|i| alloc::format!("{prefix} {i}")).collect()
}

fn request(teams: usize, courts: usize, format: Format) -> Request {
    Request {
        teams: names("Crew", teams),
        format,
        courts: names("Court", courts),
        windows: vec![Window {
            opens: Clock(9 * 60),
            closes: Clock(21 * 60),
        }],
        game: 25,
        turnaround: 5,
        rest: 20,
    }
}

/// On two courts that are open for months.
pub fn of_crews(teams: usize, format: Format, edition: &Edition) -> Schedule {
    let mut request = request(teams, 2, format);
    request.windows[0].closes = Clock(200_000);
    Schedule::arrange(&request, edition).unwrap()
}

fn arrange(request: &Request) -> Schedule {
    match Schedule::arrange(request, &Edition::federation()) {
        Ok(schedule) => schedule,
        Err(problems) => panic!("{problems:?}"),
    }
}

fn problems(request: &Request) -> Vec<ScheduleProblem> {
    Schedule::arrange(request, &Edition::federation())
        .unwrap_err()
        .into_vec()
}

/// Pairings of a round robin by round, seats from 1, the home side first.
fn pairings(schedule: &Schedule) -> Vec<Vec<(usize, usize)>> {
    let mut rounds = Vec::new();
    for m in schedule.meetings() {
        rounds.resize(rounds.len().max(usize::from(m.round)), Vec::new());
        let [Participant::Team(a), Participant::Team(b)] = m.sides else {
            panic!("a round robin has only teams");
        };
        rounds[usize::from(m.round) - 1].push((a.index() + 1, b.index() + 1));
    }
    rounds
}

/// Source: FIDE Handbook C.05, annex 1, "Details of Berger Table" (published);
/// the text stands in `berger.txt`. White there is home here.
#[test]
fn round_robins_are_the_published_berger_tables() {
    let mut tables: BTreeMap<usize, Vec<Vec<(usize, usize)>>> = BTreeMap::new();
    let mut players = 0;
    let lines = include_str!("berger.txt").lines();
    for line in lines.filter(|l| !l.starts_with('#')) {
        if let Some(n) = line.strip_prefix("players ") {
            players = n.parse().unwrap();
            continue;
        }
        let pairs = line.split(' ').map(|pair| {
            let (a, b) = pair.split_once('-').unwrap();
            (a.parse().unwrap(), b.parse().unwrap())
        });
        tables.entry(players).or_default().push(pairs.collect());
    }
    assert_eq!(tables.len(), 7, "4, 6, 8, 10, 12, 14 and 16 players");
    for teams in 3..=16usize {
        let mut want = tables[&(teams + teams % 2)].clone();
        for round in &mut want {
            round.retain(|(a, b)| *a <= teams && *b <= teams);
        }
        let mut wide = request(teams, 8, Format::RoundRobin { twice: false });
        wide.windows[0].closes = Clock(40 * 60);
        assert_eq!(pairings(&arrange(&wide)), want, "{teams} teams");
    }
}

/// Source: the recommendation below the tables (published): the last two rounds
/// of the first cycle change places, so that nobody has one side three times
/// running.
#[test]
fn in_two_cycles_nobody_is_on_one_side_three_times_running() {
    for teams in (4..=16).step_by(2) {
        let rounds = berger::double_rounds(teams);
        assert_eq!(rounds.len(), 2 * (teams - 1));
        for seat in 0..teams {
            let home: Vec<bool> = rounds
                .iter()
                .map(|r| r.iter().any(|(a, _)| *a == seat))
                .collect();
            let run = home.windows(3).any(|w| w[0] == w[1] && w[1] == w[2]);
            assert!(!run, "seat {seat} of {teams}: {home:?}");
        }
    }
}

/// Common practice, no source: the draw sheet of seeds.
#[test]
fn draw_sheets_keep_the_best_apart() {
    assert_eq!(draw::seed_order(1), [1]);
    assert_eq!(draw::seed_order(8), [1, 8, 4, 5, 2, 7, 3, 6]);
    let sheet = |n: usize| -> Vec<String> {
        let s = arrange(&request(n, 4, Format::Elimination { third_place: n > 3 }));
        let line = |m: &Meeting| {
            let [a, b] = m.sides.map(|side| {
                assert_says(&s.side_message(side), &s.side_name(side));
                s.side_name(side)
            });
            alloc::format!("{}: {a} - {b}", s.meeting_name(m))
        };
        s.meetings().iter().map(line).collect()
    };
    assert_says(&Clock(1_500).message(), "day 2, 01:00");
    assert_eq!(sheet(2), ["Final: Crew 1 - Crew 2"]);
    assert_eq!(
        sheet(3),
        [
            "Semi-final: Crew 2 - Crew 3",
            "Final: Crew 1 - Winner of Semi-final"
        ]
    );
    assert_eq!(
        sheet(6),
        [
            "Quarter-final 1: Crew 4 - Crew 5",
            "Quarter-final 2: Crew 3 - Crew 6",
            "Semi-final 1: Crew 1 - Winner of Quarter-final 1",
            "Semi-final 2: Crew 2 - Winner of Quarter-final 2",
            "Third place: Loser of Semi-final 1 - Loser of Semi-final 2",
            "Final: Winner of Semi-final 1 - Winner of Semi-final 2",
        ]
    );
}

fn pools(pools: PoolDraw, through: u8) -> Format {
    Format::PoolsThenFinals {
        pools,
        through,
        third_place: false,
    }
}

#[test]
fn pools_cross_over_into_the_finals() {
    let s = arrange(&request(8, 2, pools(PoolDraw::Snake(2), 2)));
    let seats = |pool: &Vec<Entrant>| pool.iter().map(|e| e.index() + 1).collect::<Vec<_>>();
    let members: Vec<_> = s.pools().iter().map(seats).collect();
    assert_eq!(members, [vec![1, 4, 5, 8], vec![2, 3, 6, 7]]);
    let finals: Vec<_> = s.meetings()[12..]
        .iter()
        .map(|m| m.sides.map(|side| s.side_name(side)))
        .collect();
    assert_eq!(
        finals,
        [
            ["1st of Pool A", "2nd of Pool B"],
            ["1st of Pool B", "2nd of Pool A"],
            ["Winner of Semi-final 1", "Winner of Semi-final 2"],
        ]
    );
    let listed = arrange(&request(7, 2, pools(PoolDraw::Listed(vec![3, 4]), 1)));
    let sizes: Vec<_> = listed.pools().iter().map(Vec::len).collect();
    assert_eq!(sizes, [3, 4]);
}

#[test]
fn teams_of_one_pool_never_meet_in_the_first_round_of_the_finals() {
    for count in 2..=MAX_POOLS {
        for through in 1..=4 {
            let seeds = draw::cross_over(count, through);
            let distinct: BTreeSet<_> = seeds.iter().map(|s| alloc::format!("{s:?}")).collect();
            assert_eq!(distinct.len(), count * through);
            for m in draw::elimination(&seeds, false, Series::Single, 1) {
                if let [
                    Participant::Place { pool: a, .. },
                    Participant::Place { pool: b, .. },
                ] = m.sides
                {
                    assert_ne!(a, b, "{count} pools, {through} through: {m:?}");
                }
            }
        }
    }
}

/// The policies of the rule values (from memory: set by the competition).
#[test]
fn a_series_swaps_home_as_the_edition_says() {
    let home = |policy: &str| -> Vec<(String, bool, bool)> {
        let edition = Edition::federation().with("series-home", policy).unwrap();
        let s = Schedule::arrange(&request(2, 1, Format::Series), &edition).unwrap();
        s.games()
            .iter()
            .map(|g| (s.side_name(g.home), g.toss, g.if_needed))
            .collect()
    };
    let row = |n: u8, toss, if_needed| (alloc::format!("Crew {n}"), toss, if_needed);
    assert_eq!(
        home("swap-then-toss"),
        [
            row(1, false, false),
            row(2, false, false),
            row(1, true, true)
        ]
    );
    assert_eq!(
        home("fixed"),
        [
            row(1, false, false),
            row(1, false, false),
            row(1, false, true)
        ]
    );
    assert_eq!(
        home("toss-each"),
        [row(1, true, false), row(1, true, false), row(1, true, true)]
    );
    let series = Edition::federation()
        .with("series", "best-of-three")
        .unwrap();
    let cup = request(4, 2, Format::Elimination { third_place: false });
    assert_eq!(Schedule::arrange(&cup, &series).unwrap().games().len(), 9);
}

#[test]
fn every_problem_is_reported_at_once() {
    let bad = Request {
        teams: vec!["Quay Street".into(), " quay street".into(), " ".into()],
        format: Format::Series,
        courts: vec![],
        windows: vec![
            Window {
                opens: Clock(600),
                closes: Clock(600),
            },
            Window {
                opens: Clock(590),
                closes: Clock(700),
            },
        ],
        game: 0,
        turnaround: 9_999,
        rest: 1_441,
    };
    let found = problems(&bad);
    let sentences: Vec<_> = found.iter().map(ToString::to_string).collect();
    assert_eq!(
        sentences,
        [
            "Teams: \"quay street\" is listed twice; each needs its own name.",
            "Teams: Name 3 of the list is blank.",
            "No court is given; at least 1 is needed.",
            "A game cannot last 0 minutes; give a length from 1 to 1440.",
            "A pause of 9999 minutes is longer than a day; give 0 to 1440.",
            "A pause of 1441 minutes is longer than a day; give 0 to 1440.",
            "The opening time from 10:00 to 10:00 must end after it begins, within a year.",
            "The opening time from 09:50 must begin after the one that ends at 10:00.",
            "A series is between 2 teams; there are 3.",
        ]
    );
    let one = request(1, 1, Format::RoundRobin { twice: false });
    assert_eq!(
        problems(&one),
        [ScheduleProblem::Teams(
            super::super::EntrantProblem::TooFew(1)
        )]
    );
    let late = request(6, 1, Format::RoundRobin { twice: true });
    assert_eq!(
        problems(&late),
        [ScheduleProblem::NotEnoughRoom {
            games: 30,
            room: 24,
            courts: Some(2)
        }]
    );
    let mut tired = request(3, 3, Format::RoundRobin { twice: false });
    (tired.rest, tired.windows[0].closes) = (300, Clock(12 * 60));
    let end = Clock(9 * 60 + 2 * 325 + 25);
    assert_eq!(
        problems(&tired),
        [ScheduleProblem::TooLate {
            end,
            closes: Clock(720)
        }]
    );
    for (format, want) in [
        (pools(PoolDraw::Snake(0), 1), ScheduleProblem::PoolCount(0)),
        (
            pools(PoolDraw::Listed(vec![1, 4]), 1),
            ScheduleProblem::SmallPool('A', 1),
        ),
        (
            pools(PoolDraw::Listed(vec![2, 4]), 1),
            ScheduleProblem::PoolSizes { sum: 6, teams: 5 },
        ),
        (
            pools(PoolDraw::Snake(2), 2),
            ScheduleProblem::Through {
                through: 2,
                smallest: 2,
            },
        ),
        (pools(PoolDraw::Snake(1), 1), ScheduleProblem::FinalsOfOne),
    ] {
        assert_eq!(problems(&request(5, 2, format)), [want]);
    }
    let cup = request(3, 1, Format::Elimination { third_place: true });
    assert_eq!(problems(&cup), [ScheduleProblem::ThirdPlace(3)]);
}

fn any_format() -> impl Strategy<Value = Format> {
    prop_oneof![
        any::<bool>().prop_map(|twice| Format::RoundRobin { twice }),
        any::<bool>().prop_map(|third_place| Format::Elimination { third_place }),
        Just(Format::Series),
        (1u8..5, 1u8..4, any::<bool>()).prop_map(|(n, through, third_place)| {
            Format::PoolsThenFinals {
                pools: PoolDraw::Snake(n),
                through,
                third_place,
            }
        }),
    ]
}

/// Every team that may stand behind a side.
fn behind(s: &Schedule, side: Participant) -> BTreeSet<Entrant> {
    match side {
        Participant::Team(e) => [e].into(),
        Participant::Place { pool, .. } => s.pools()[usize::from(pool)].iter().copied().collect(),
        Participant::Winner(n) | Participant::Loser(n) => s
            .meeting(n)
            .unwrap()
            .sides
            .iter()
            .flat_map(|side| behind(s, *side))
            .collect(),
    }
}

/// The meetings that must be over before a side is known.
fn waits_for(s: &Schedule, side: Participant) -> Vec<u16> {
    match side {
        Participant::Team(_) => vec![],
        Participant::Place { pool, .. } => {
            let in_pool = |m: &&Meeting| m.stage == Stage::Pool(pool);
            s.meetings()
                .iter()
                .filter(in_pool)
                .map(|m| m.number)
                .collect()
        }
        Participant::Winner(n) | Participant::Loser(n) => vec![n],
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn whatever_is_asked_a_schedule_keeps_every_promise(
        teams in 2usize..14, courts in 1usize..5, format in any_format(),
        game in 1u32..90, turnaround in 0u32..30, rest in 0u32..90,
        gap in 0u32..600, best_of_three in any::<bool>(),
    ) {
        let mut r = request(teams, courts, format);
        (r.game, r.turnaround, r.rest) = (game, turnaround, rest);
        // Two openings of a day and three, so that some games must wait.
        let second = Clock(33 * 60 + gap);
        r.windows.push(Window { opens: second, closes: Clock(second.0 + 3 * DAY) });
        let mut edition = Edition::federation();
        if best_of_three {
            edition = edition.with("series", "best-of-three").unwrap();
        }
        let s = match Schedule::arrange(&r, &edition) {
            Ok(s) => s,
            Err(problems) => {
                prop_assert!(!problems.is_empty());
                return Ok(());
            }
        };
        // Every pair of a round robin or pool once (twice in two cycles).
        let mut pairs: BTreeMap<(Entrant, Entrant), usize> = BTreeMap::new();
        for m in s.meetings() {
            if let (Stage::RoundRobin | Stage::Pool(_), [Participant::Team(a), Participant::Team(b)]) = (m.stage, m.sides) {
                *pairs.entry((a.min(b), a.max(b))).or_default() += 1;
            }
        }
        let groups: Vec<Vec<Entrant>> = match &r.format {
            Format::RoundRobin { .. } => vec![s.entrants().iter().collect()],
            _ => s.pools().to_vec(),
        };
        let times = if r.format == (Format::RoundRobin { twice: true }) { 2 } else { 1 };
        let want: usize = groups.iter().map(|g| g.len() * (g.len() - 1) / 2).sum();
        prop_assert_eq!(pairs.len(), want);
        prop_assert!(pairs.values().all(|n| *n == times));
        prop_assert_eq!(groups.iter().flatten().count() % teams, 0, "every team in one pool");
        // Numbers, windows, courts.
        for (at, g) in s.games().iter().enumerate() {
            prop_assert_eq!(usize::from(g.number), at + 1);
            prop_assert_eq!(g.end.0, g.start.0 + game);
            prop_assert!(usize::from(g.court) < courts);
            prop_assert!(r.windows.iter().any(|w| w.opens <= g.start && g.end <= w.closes));
        }
        for (i, a) in s.games().iter().enumerate() {
            for b in &s.games()[i + 1..] {
                prop_assert!(a.start <= b.start);
                if a.court == b.court {
                    prop_assert!(a.end.0 + turnaround <= b.start.0, "court used twice");
                }
                let sides = |g: &ScheduledGame| [g.guest, g.home].map(|side| behind(&s, side));
                let both_known = [a.guest, a.home, b.guest, b.home]
                    .iter().all(|side| matches!(side, Participant::Team(_)));
                let shared = sides(a).iter().flatten().any(|e| sides(b).iter().flatten().any(|f| e == f));
                if (both_known || a.meeting == b.meeting) && shared {
                    prop_assert!(a.end.0 + rest <= b.start.0, "no rest: {:?} {:?}", a, b);
                }
            }
            // Whoever is still played for has played and rested.
            for side in [a.guest, a.home] {
                for number in waits_for(&s, side) {
                    for g in s.games().iter().filter(|g| g.meeting == number) {
                        prop_assert!(g.end.0 + rest <= a.start.0);
                    }
                }
            }
        }
        // Each meeting has all its games.
        for m in s.meetings() {
            let games = s.games().iter().filter(|g| g.meeting == m.number).count();
            prop_assert_eq!(games, if m.length == Series::Single { 1 } else { 3 });
        }
        prop_assert_eq!(Schedule::arrange(&r, &edition).unwrap(), s);
    }

    #[test]
    fn no_request_panics_and_every_refusal_has_a_sentence(
        teams in prop::collection::vec("\\PC{0,4}", 0..80), courts in prop::collection::vec("\\PC{0,4}", 0..70),
        windows in prop::collection::vec((any_minute(), any_minute()), 0..4),
        game in any_minute(), turnaround in any_minute(), rest in any_minute(),
        format in prop_oneof![
            any_format(),
            (prop::collection::vec(any::<u8>(), 0..10), any::<u8>()).prop_map(|(sizes, through)| pools(PoolDraw::Listed(sizes), through)),
            (any::<u8>(), any::<u8>()).prop_map(|(n, through)| pools(PoolDraw::Snake(n), through)),
        ],
    ) {
        let windows = windows.into_iter()
            .map(|(a, b)| Window { opens: Clock(a), closes: Clock(b) })
            .collect();
        let r = Request { teams, format, courts, windows, game, turnaround, rest };
        match Schedule::arrange(&r, &Edition::federation()) {
            Ok(s) => prop_assert!(!s.games().is_empty()),
            Err(problems) => {
                prop_assert!(!problems.is_empty());
                for p in problems { prop_assert!(p.to_string().ends_with('.')); }
            }
        }
    }
}

/// Mostly minutes that make sense, now and then the edges of the number.
fn any_minute() -> impl Strategy<Value = u32> {
    prop_oneof![6 => 0u32..3_000, 1 => Just(0), 1 => Just(u32::MAX), 1 => any::<u32>()]
}
