//! The demo day is what it says it is.
#![allow(clippy::unwrap_used)]

use demoday::{DemoDay, DemoGame, Official, Story, at_once, play_day, report};
use engine::log::{
    Body, ConsideredLog, Decision, Disposition, Draw, FileError, GameRecord, LogFile,
};
use engine::report::publish::PublishedEvent;
use engine::report::{Authority, EventReport, GameReport, KeptRecord, Verdict};
use engine::team::Side;

#[test]
fn a_day_is_played_to_the_end_and_each_game_stands_as_its_story_says() {
    for seed in [1, 2, 3] {
        let day = play_day(seed).unwrap();
        assert_eq!(
            day.games.len(),
            16,
            "twelve pool games, two semi-finals, third place, final"
        );
        let reports: Vec<_> = day
            .games
            .iter()
            .map(|g| report(g, day.charter.charter()).unwrap())
            .collect();
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

/// The organiser's log of a game.
fn desk(day: &DemoDay, game: &DemoGame, bodies: &[Body]) -> GameRecord {
    let organiser = Official {
        author: day.charter.charter().organiser.clone(),
        pen: day.organiser.clone(),
    };
    let setup = &game.records[0].opening().setup;
    let mut record = at_once(organiser.open(setup, 1)).unwrap();
    for body in bodies {
        at_once(organiser.write(&mut record, body.clone(), &mut 2)).unwrap();
    }
    record
}

/// Every game, this log put to its game.
fn reports(day: &DemoDay, desk: Option<&GameRecord>) -> Vec<GameReport> {
    let authority = Authority::Charter(day.charter.charter());
    let report = |game: &DemoGame| {
        let own = desk.filter(|d| d.chain().game() == game.records[0].chain().game());
        let forked = game.second_line.as_ref().map(|l| *l.chain().author());
        let kept: Vec<KeptRecord<'_>> = game
            .records
            .iter()
            .chain(own)
            .map(|record| KeptRecord {
                record,
                forked: forked == Some(*record.chain().author()),
            })
            .collect();
        GameReport::of(&kept, authority).unwrap()
    };
    day.games.iter().map(report).collect()
}

#[test]
fn a_signed_decision_settles_the_dispute_and_moves_the_table() {
    let day = play_day(1).unwrap();
    let game = day
        .games
        .iter()
        .find(|g| g.story == Story::LeftOpen)
        .unwrap();
    let considered = game.records.iter().map(|r| ConsideredLog {
        author: r.chain().author().fingerprint(),
        head: r.head(),
    });
    let before = reports(&day, None);
    let at = usize::try_from(game.fixture - 1).unwrap();
    let by = if before[at].score.guest > before[at].score.home {
        Side::Guest
    } else {
        Side::Home
    };
    let decision = Decision {
        considered: considered.collect(),
        decided: Disposition::Forfeit { by },
        reason: "They fielded a player who is not on the roster.".into(),
    };
    let log = desk(&day, game, &[Body::Decision(decision)]);
    let after = reports(&day, Some(&log));
    assert_eq!(
        (before[at].verdict, after[at].verdict),
        (Verdict::Disputed, Verdict::Decided)
    );
    let table = |reports: &[GameReport]| {
        let plain: Vec<&GameReport> = reports.iter().collect();
        let event = EventReport::of(day.charter.charter(), &plain);
        let published = PublishedEvent {
            event: "harbour",
            charter: Some(day.charter.charter()),
            games: &plain,
            report: Some(&event),
        };
        let files = published.names();
        assert!(
            files.iter().all(|f| published.file(f).is_some()),
            "{files:?}"
        );
        assert_eq!(published.file("standings-9.csv"), None);
        assert_eq!(published.file("standings-0.csv"), None);
        published.file("standings.json").unwrap().content
    };
    assert_ne!(table(&before), table(&after));
}

#[test]
fn a_lot_signed_by_the_organiser_separates_what_nothing_else_does() {
    let day = play_day(1).unwrap();
    // Before the first game every team of a pool is level.
    let teams: Vec<String> = day
        .charter
        .charter()
        .teams
        .iter()
        .map(|t| t.name.clone())
        .rev()
        .collect();
    let none: Vec<GameReport> = Vec::new();
    let places = |games: &[&GameReport]| -> Vec<bool> {
        let event = EventReport::of(day.charter.charter(), games);
        assert!(event.problems().is_empty(), "{:?}", event.problems());
        let tables = event.results().unwrap().tables().to_vec();
        tables
            .iter()
            .flat_map(|t| t.table.rows().to_vec())
            .map(|r| r.shared)
            .collect()
    };
    assert!(
        places(&none.iter().collect::<Vec<_>>())
            .iter()
            .all(|shared| *shared)
    );
    let draw = Draw {
        order: teams,
        note: "From a hat, before all captains.".into(),
        replaces: Vec::new(),
    };
    let log = desk(&day, &day.games[0], &[Body::Draw(draw)]);
    let authority = Authority::Charter(day.charter.charter());
    let mut game = GameReport::of(&[(&log).into()], authority).unwrap();
    // A log without plays is a game that is going on: nothing but the lot counts.
    assert_eq!(game.standing, None);
    assert!(places(&[&game]).iter().all(|shared| !shared));
    game.drawn[0].order[0] = "Nobody".into();
    let event = EventReport::of(day.charter.charter(), &[&game]);
    assert_eq!(
        event.problems(),
        ["A lot names a team that is not in this event."]
    );
}

/// Two of one team with one name could not be told apart on a sheet.
#[test]
fn nobody_is_called_like_a_team_mate() {
    for seed in 0..200 {
        for team in demoday::charter(seed).teams {
            let mut names: Vec<_> = team.roster.iter().map(|p| &p.name).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), team.roster.len(), "{}, seed {seed}", team.name);
        }
    }
}
