#![allow(clippy::unwrap_used, missing_docs)]
use super::super::schedule::tests::of_crews;
use super::super::schedule::{Format, PoolDraw};
use super::*;
use crate::rules::Edition;
use alloc::string::ToString;
use proptest::prelude::*;

fn schedule(teams: usize, format: Format, series: &str) -> Schedule {
    let edition = Edition::federation().with("series", series).unwrap();
    of_crews(teams, format, &edition)
}

fn won(game: u16, seat: u16) -> GameOutcome {
    GameOutcome {
        game,
        winner: Entrant::at(seat),
    }
}

#[test]
fn a_knock_out_runs_to_its_podium() {
    let s = schedule(5, Format::Elimination { third_place: true }, "single");
    // Seeds 4 and 5 meet for a place against the first; 2 meets 3.
    let none = Progress::of(&s, &[], &[]).unwrap();
    assert_eq!(none.podium(), [None; 3]);
    let game = |number: u16| {
        s.games()
            .iter()
            .find(|g| g.meeting == number)
            .unwrap()
            .number
    };
    let [quarter, semi_one, semi_two, third, last] = [1, 2, 3, 4, 5].map(game);
    let begun = Progress::of(&s, &[], &[won(quarter, 4), won(semi_two, 1)]).unwrap();
    let at = |p: &Progress, n: u16| p.games()[usize::from(n) - 1];
    assert_eq!(at(&begun, semi_one), GameState::Ready);
    assert_eq!(at(&begun, last), GameState::Waiting);
    assert_eq!(
        begun.meetings()[1].sides,
        [0, 4].map(|n| Some(Entrant::at(n)))
    );
    let sides = s.meetings()[4].sides.map(|side| begun.side_name(&s, side));
    assert_eq!(sides, ["Winner of Semi-final 1", "Crew 2"]);
    let over = [
        won(quarter, 4),
        won(semi_one, 4),
        won(semi_two, 1),
        won(third, 0),
        won(last, 1),
    ];
    let over = Progress::of(&s, &[], &over).unwrap();
    assert_eq!(over.podium(), [1, 4, 0].map(|n| Some(Entrant::at(n))));
}

/// Series: first to two of three (glossary, "End of Game", published).
#[test]
fn a_series_ends_with_the_second_win() {
    let s = schedule(2, Format::Series, "single");
    let two = Progress::of(&s, &[], &[won(1, 1), won(2, 1)]).unwrap();
    assert_eq!(two.games()[2], GameState::NotNeeded);
    assert_eq!(two.podium()[..2], [1, 0].map(|n| Some(Entrant::at(n))));
    let level = Progress::of(&s, &[], &[won(1, 1), won(2, 0)]).unwrap();
    assert_eq!(
        (level.games()[2], level.podium()),
        (GameState::Ready, [None; 3])
    );
    let third = Progress::of(&s, &[], &[won(1, 1), won(2, 0), won(3, 0)]).unwrap();
    assert_eq!(third.meetings()[0].wins, [2, 1]);
    let over = Progress::of(&s, &[], &[won(1, 1), won(2, 1), won(3, 0)]);
    assert_eq!(over.unwrap_err(), [BracketProblem::NotNeeded(3)]);
}

#[test]
fn pools_fill_the_finals_once_their_order_is_final() {
    let format = Format::PoolsThenFinals {
        pools: PoolDraw::Snake(2),
        through: 2,
        third_place: false,
    };
    let s = schedule(6, format, "single");
    let teams = |seats: [u16; 3]| Some(seats.map(Entrant::at).to_vec());
    // Pool A holds seeds 1, 4, 5; pool B 2, 3, 6.
    let half = Progress::of(&s, &[teams([3, 0, 4]), None], &[]).unwrap();
    assert_eq!(half.meetings()[6].sides, [Some(Entrant::at(3)), None]);
    let both = Progress::of(&s, &[teams([3, 0, 4]), teams([2, 5, 1])], &[]).unwrap();
    assert_eq!(
        both.meetings()[6].sides,
        [3, 5].map(|n| Some(Entrant::at(n)))
    );
    assert_eq!(
        both.meetings()[7].sides,
        [2, 0].map(|n| Some(Entrant::at(n)))
    );
    let wrong = Progress::of(&s, &[teams([3, 3, 4]), teams([0, 1, 2])], &[]);
    assert_eq!(
        wrong.unwrap_err(),
        [BracketProblem::PoolOrder(0), BracketProblem::PoolOrder(1)]
    );
}

#[test]
fn every_wrong_result_is_named() {
    let s = schedule(4, Format::Elimination { third_place: false }, "single");
    let bad = [
        won(0, 0),
        won(9, 0),
        won(1, 3),
        won(1, 0),
        won(2, 0),
        won(3, 1),
    ];
    let found = Progress::of(&s, &[None], &bad).unwrap_err();
    let sentences: Vec<_> = found.iter().map(ToString::to_string).collect();
    assert_eq!(
        sentences,
        [
            "Orders of 1 pools are given, but the schedule has 0.",
            "The schedule has no game 0.",
            "The schedule has no game 9.",
            "Game 1 has two results; give one.",
            "Team 1 of the list does not play in game 2.",
            "Game 3 has a result, but its sides are not known yet. \
             Enter the games before it first.",
        ]
    );
}

proptest! {
    /// Whatever happens, one team is left, and all others have lost a meeting.
    #[test]
    fn a_knock_out_leaves_one_unbeaten(
        teams in 2usize..20, best_of_three in any::<bool>(), coins in prop::collection::vec(any::<bool>(), 64),
    ) {
        let third_place = teams >= 4;
        let series = if best_of_three { "best-of-three" } else { "single" };
        let s = schedule(teams, Format::Elimination { third_place }, series);
        let mut outcomes = Vec::new();
        for (game, first) in s.games().iter().zip(coins) {
            let now = Progress::of(&s, &[], &outcomes).unwrap();
            if now.games()[usize::from(game.number) - 1] == GameState::NotNeeded { continue; }
            prop_assert_eq!(now.games()[usize::from(game.number) - 1], GameState::Ready);
            let side = if first { game.guest } else { game.home };
            outcomes.push(GameOutcome { game: game.number, winner: now.team(side).unwrap() });
        }
        let end = Progress::of(&s, &[], &outcomes).unwrap();
        let [first, second, third] = end.podium();
        prop_assert!(first.is_some() && second.is_some() && first != second);
        prop_assert_eq!(third.is_some(), third_place);
        let beaten = |team: Entrant| s.meetings().iter().zip(end.meetings())
            .any(|(m, state)| m.stage != Stage::ThirdPlace && state.loser == Some(team));
        for team in s.entrants().iter() { prop_assert_eq!(beaten(team), Some(team) != first); }
        outcomes.reverse();
        prop_assert_eq!(Progress::of(&s, &[], &outcomes).unwrap(), end);
    }
}
