#![allow(clippy::unwrap_used, missing_docs)]
use super::super::bracket::GameState;
use super::super::schedule::tests::of_crews as schedule;
use super::super::schedule::{Format, PoolDraw};
use super::super::standings::{SideLine, TableRules};
use super::*;
use crate::rules::Edition;
use crate::team::BySide;
use alloc::string::ToString;
use proptest::prelude::*;

fn pools() -> Format {
    Format::PoolsThenFinals {
        pools: PoolDraw::Snake(2),
        through: 2,
        third_place: false,
    }
}

fn score(number: u16, guest: Entrant, home: Entrant, runs: [u16; 2]) -> GameResult {
    let line = |runs| SideLine {
        runs,
        outs: 15,
        earned: None,
        batting: None,
    };
    GameResult {
        number: u32::from(number),
        guest,
        home,
        standing: Standing::Final(BySide {
            guest: line(runs[0]),
            home: line(runs[1]),
        }),
        rules: TableRules::of(&Edition::federation()),
    }
}

/// Every game of a schedule that can be played, the better seed winning by the
/// difference of seats.
fn play(schedule: &Schedule) -> Vec<GameResult> {
    let mut games = Vec::new();
    for game in schedule.games() {
        let now = Results::of(schedule, &games, &[], &[]).unwrap();
        let [a, b] = [game.guest, game.home].map(|side| now.progress().team(side));
        let state = now.progress().games()[usize::from(game.number) - 1];
        if let (GameState::Ready, Some(a), Some(b)) = (state, a, b) {
            let by = a.index().abs_diff(b.index()) as u16;
            let runs = if a < b { [by, 0] } else { [0, by] };
            games.push(score(game.number, a, b, runs));
        }
    }
    games
}

#[test]
fn a_day_runs_from_pools_to_the_final() {
    let edition = Edition::federation();
    let s = schedule(8, pools(), &edition);
    let games = play(&s);
    assert_eq!(games.len(), 15);
    let end = Results::of(&s, &games, &[], &[]).unwrap();
    assert!(end.misfits().is_empty());
    assert!(end.tables().iter().all(|t| t.complete));
    assert_eq!(end.podium()[..2], [0, 1].map(|n| Some(Entrant::at(n))));
}

#[test]
fn a_pool_sends_nobody_on_before_every_game_counts() {
    let edition = Edition::federation();
    let s = schedule(8, pools(), &edition);
    let mut games = play(&s);
    // The first pool game of pool A is in dispute after all.
    let Standing::Final(lines) = games[0].standing else {
        unreachable!("all were played out");
    };
    games[0].standing = Standing::Unsettled(lines);
    let open = Results::of(&s, &games, &[], &[]).unwrap();
    assert!(!open.tables()[0].complete && open.tables()[1].complete);
    assert_eq!(open.tables()[0].table.left_out(), [1]);
    assert_eq!(open.podium(), [None; 3]);
    let waiting: Vec<_> = s.games()[12..]
        .iter()
        .map(|g| Misfit::TooEarly(u32::from(g.number)))
        .collect();
    assert_eq!(open.misfits(), waiting, "semi-finals and final");
    // A competition that counts games as scored goes on.
    let counted = edition.with("unsettled-games", "as-scored").unwrap();
    let rules = TableRules::of(&counted);
    for game in &mut games {
        game.rules = rules;
    }
    let end = Results::of(&s, &games, &[], &[]).unwrap();
    assert!(end.misfits().is_empty() && end.podium()[0].is_some());
    // But nobody goes through on a knock-out game in dispute.
    games[14].standing = games[0].standing;
    let end = Results::of(&s, &games, &[], &[]).unwrap();
    assert_eq!(end.podium(), [None; 3]);
}

#[test]
fn a_changed_result_names_the_games_that_no_longer_fit() {
    let edition = Edition::federation();
    let s = schedule(8, Format::Elimination { third_place: false }, &edition);
    let mut games = play(&s);
    // The first seed lost its first game after all.
    let first = games
        .iter_mut()
        .find(|g| g.guest == Entrant::at(0) || g.home == Entrant::at(0))
        .unwrap();
    let lost = if first.guest == Entrant::at(0) {
        Side::Guest
    } else {
        Side::Home
    };
    first.standing = Standing::Forfeit(lost);
    games.push(score(99, Entrant::at(0), Entrant::at(1), [1, 0]));
    let now = Results::of(&s, &games, &[], &[]).unwrap();
    let sentences: Vec<_> = now.misfits().iter().map(ToString::to_string).collect();
    assert_eq!(
        sentences,
        [
            "Game 5 was played by other teams than the schedule has there now. \
             Look for an earlier result that was changed.",
            "Game 7 waits for an earlier meeting or pool that is still open.",
            "The schedule has no game 99.",
        ]
    );
    assert_eq!(now.podium(), [None; 3]);
}

#[test]
fn a_round_robin_has_its_podium_from_the_table() {
    let edition = Edition::federation();
    let s = schedule(4, Format::RoundRobin { twice: true }, &edition);
    let mut games = play(&s);
    let end = Results::of(&s, &games, &[], &[]).unwrap();
    assert_eq!(end.podium(), [0, 1, 2].map(|n| Some(Entrant::at(n))));
    // Home and guest exchanged on the day changes nothing.
    let g = games[0];
    let Standing::Final(lines) = g.standing else {
        unreachable!("all were played out");
    };
    let standing = Standing::Final(BySide {
        guest: lines.home,
        home: lines.guest,
    });
    games[0] = GameResult {
        guest: g.home,
        home: g.guest,
        standing,
        ..g
    };
    let turned = Results::of(&s, &games, &[], &[]).unwrap();
    assert_eq!(
        turned.tables()[0].table.rows(),
        end.tables()[0].table.rows()
    );
    games.pop();
    let open = Results::of(&s, &games, &[], &[]).unwrap();
    assert!(!open.tables()[0].complete);
    assert_eq!(open.podium(), [None; 3]);
}

fn any_format() -> impl Strategy<Value = Format> {
    prop_oneof![
        any::<bool>().prop_map(|twice| Format::RoundRobin { twice }),
        Just(Format::Elimination { third_place: true }),
        Just(pools()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Any games at all, sensible or not, in any order: no panic, the same
    /// answer, and every game is in a table, decided, or named.
    #[test]
    fn no_games_are_lost_without_a_word(
        format in any_format(), best_of_three in any::<bool>(), as_scored in any::<bool>(),
        raw in prop::collection::btree_map(0u16..40, (0u16..8, 0u16..7, 0u16..5, 0u16..5, 0u8..10), 0..40),
    ) {
        let series = if best_of_three { "best-of-three" } else { "single" };
        let unsettled = if as_scored { "as-scored" } else { "left-out" };
        let edition = Edition::federation()
            .with_all([("series", series), ("unsettled-games", unsettled)]).unwrap();
        let s = schedule(8, format, &edition);
        let games: Vec<GameResult> = raw.into_iter().map(|(n, (a, b, x, y, fate))| {
            // Different teams, and seldom a drawn game: both are refused.
            let (b, y) = (b + u16::from(b >= a), y + u16::from(x == y && (n, x) != (9, 0)));
            // Mostly the teams that belong there.
            let sides = s.games().get(usize::from(n).wrapping_sub(1)).map(|g| [g.guest, g.home]);
            let (a, b) = match sides {
                Some([Participant::Team(g), Participant::Team(h)]) if fate < 8 => (g, h),
                _ => (Entrant::at(a), Entrant::at(b)),
            };
            let mut game = score(n, a, b, [x, y]);
            game.standing = match (fate % 5, game.standing) {
                (0, _) => Standing::Forfeit(Side::Guest),
                (1, Standing::Final(lines)) => Standing::Unsettled(lines),
                (_, other) => other,
            };
            game
        }).collect();
        let found = Results::of(&s, &games, &[], &[]);
        let mut turned = games.clone();
        turned.reverse();
        let again = Results::of(&s, &turned, &[], &[]);
        match (found, again) {
            (Ok(found), Ok(again)) => {
                prop_assert_eq!(&found, &again);
                for game in &games {
                    let named = found.misfits().iter().any(|m| {
                        matches!(m, Misfit::NotScheduled(n) | Misfit::OtherTeams(n)
                            | Misfit::TooEarly(n) | Misfit::NotNeeded(n) if *n == game.number)
                    });
                    let decided = slot(game.number)
                        .and_then(|at| found.progress().games().get(at))
                        .is_some_and(|state| matches!(state, GameState::Won(_)));
                    let unsettled = matches!(game.standing, Standing::Unsettled(_));
                    prop_assert!(named || decided || unsettled, "game {} is lost", game.number);
                }
            }
            (Err(a), Err(b)) => prop_assert_eq!(a.len(), b.len()),
            _ => prop_assert!(false, "the order of games decides"),
        }
    }
}

#[test]
fn a_lot_is_asked_for_when_all_is_played_and_nothing_else_separates() {
    let edition = Edition::federation();
    let s = schedule(3, Format::RoundRobin { twice: false }, &edition);
    // Each beats the next, all by the same score.
    let games: Vec<GameResult> = s
        .games()
        .iter()
        .map(|game| {
            let (Participant::Team(a), Participant::Team(b)) = (game.guest, game.home) else {
                unreachable!("a round robin knows its teams");
            };
            let wins = (a.index() + 1) % 3 == b.index();
            score(game.number, a, b, if wins { [1, 0] } else { [0, 1] })
        })
        .collect();
    let now = |games: &[GameResult], lot: &[Entrant]| Results::of(&s, games, &[], lot).unwrap();
    assert!(now(&games[..2], &[]).lots().is_empty(), "a game is to come");
    let all: Vec<Entrant> = s.entrants().iter().collect();
    let asked = now(&games, &[]).lots();
    assert_eq!(asked.len(), 1);
    assert!(all.iter().all(|t| asked[0].contains(t)));
    let drawn = now(&games, &[all[2], all[0], all[1]]);
    assert!(drawn.lots().is_empty());
    assert_eq!(drawn.podium()[0], Some(all[2]));
}

/// A pool game that was called off holds up nobody; a final that was does.
#[test]
fn a_game_that_will_not_be_played_closes_its_place_without_a_result() {
    let edition = Edition::federation();
    let s = schedule(8, pools(), &edition);
    let games = play(&s);
    let pool_only: Vec<GameResult> = games[1..12].to_vec();
    let waits = Results::of(&s, &pool_only, &[], &[]).unwrap();
    assert!(!waits.tables()[0].complete);
    let goes_on = Results::of(&s, &pool_only, &[1], &[]).unwrap();
    let first = &goes_on.tables()[0];
    assert!(first.complete && first.table.closed() == [1]);
    assert_eq!(
        first.table.words(s.entrants()).last().unwrap(),
        "Game 1 will not be played: the table is complete without it."
    );
    let [a, b] = [s.games()[0].guest, s.games()[0].home];
    for team in [a, b].map(|p| goes_on.progress().team(p).unwrap()) {
        let row = first.table.rows().iter().find(|r| r.team == team).unwrap();
        assert_eq!(row.record.games(), 2, "three opponents, one game less");
    }
    let semi = &s.games()[12];
    assert_eq!(
        goes_on.progress().games()[usize::from(semi.number) - 1],
        GameState::Ready
    );
    assert_eq!(goes_on.progress().games()[0], GameState::NotPlayed);
    assert!(goes_on.misfits().is_empty());
    // Nobody goes through by a game that was not played, and it is said.
    let stuck = Results::of(&s, &pool_only, &[1, 13], &[]).unwrap();
    assert_eq!(stuck.misfits(), [Misfit::NobodyThrough(13)]);
    assert_eq!(stuck.podium(), [None; 3]);
}
