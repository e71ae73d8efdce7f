//! The demo day is what it says it is.
#![allow(clippy::unwrap_used)]

use demoday::{Story, play_day, report};
use engine::competition::day::{EventReport, Verdict};
use engine::log::{FileError, LogFile};

#[test]
fn a_day_is_played_to_the_end_and_each_game_stands_as_its_story_says() {
    for seed in [1, 2, 3] {
        let day = play_day(seed).unwrap();
        assert_eq!(
            day.games.len(),
            16,
            "twelve pool games, two semi-finals, third place, final"
        );
        let reports: Vec<_> = day.games.iter().map(|g| report(g).unwrap()).collect();
        for (game, report) in day.games.iter().zip(&reports) {
            let expected = match game.story {
                Story::Plain | Story::Undone | Story::Amended | Story::Settled => {
                    Verdict::Agreed { co_signed: true }
                }
                Story::LeftOpen => Verdict::Disputed,
                Story::Alone => Verdict::Single,
                Story::Forked => Verdict::Tampered,
            };
            assert_eq!(
                report.verdict, expected,
                "game {}: {:?} {:?}",
                game.fixture, report.reasons, report.evidence
            );
            assert!(
                report.ending.is_some() && report.plays >= 30,
                "game {}",
                game.fixture
            );
        }
        let plain: Vec<_> = reports.iter().collect();
        let event = EventReport::of(day.charter.charter(), &plain);
        assert!(event.problems().is_empty(), "{:?}", event.problems());
        assert!(
            event
                .results()
                .unwrap()
                .podium()
                .iter()
                .all(Option::is_some)
        );
    }
}

#[test]
fn the_same_number_gives_the_same_bytes() {
    let bytes = |seed| {
        let day = play_day(seed).unwrap();
        let chains = day.games.iter().flat_map(|g| &g.records).map(|r| r.chain());
        (day.charter.bytes().to_vec(), LogFile::write(chains))
    };
    assert_eq!(bytes(7), bytes(7));
    assert_ne!(bytes(7), bytes(8));
}

#[test]
fn the_tampered_file_is_noticed() {
    let day = play_day(1).unwrap();
    let read = LogFile::read(&day.tampered);
    let damage = read.damage.unwrap();
    assert!(matches!(damage.error, FileError::Chain(_)), "{damage}");
}
