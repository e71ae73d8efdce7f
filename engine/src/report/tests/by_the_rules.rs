//! What the competition's rules make of a tie, of a forfeit when leading, and of
//! being sent off. All policy, from memory; no text read.

use super::*;
use crate::game::{Ending, Stoppage};
use crate::log::Event as LogEvent;
use crate::message::Localized as _;

fn under(fixture: u32, rules: &[(&str, &str)]) -> GameRecord {
    let edition = Edition::federation()
        .with_all(rules.iter().copied())
        .unwrap();
    let mark = GameMark([u8::try_from(fixture).unwrap(); 16]);
    let mut setup = Setup::new(mark, cards(), &edition);
    setup.fixture_number = Some(fixture);
    open(setup, 1, Role::Umpire, 5)
}

fn note(record: &mut GameRecord, notice: Notice) {
    add(record, 1, Body::Event(LogEvent::Notice(notice)));
}

/// Both sides home once, then caught, until so many innings are complete.
fn level(record: &mut GameRecord, innings: u8) {
    for side in Side::BOTH {
        play(record, 1, BatterFate::safe(Goal::Home));
        while record.history().game().at_bat() == side && record.history().game().inning() == 1 {
            play(record, 1, BatterFate::Caught);
        }
    }
    while record.history().game().inning() <= innings {
        play(record, 1, BatterFate::Caught);
    }
}

#[test]
fn a_called_game_that_is_level_is_a_tie_where_the_rules_have_ties() {
    let called = |rules: &[(&str, &str)]| {
        let mut r = under(1, rules);
        level(&mut r, 3);
        let (why, text) = (Stoppage::Darkness, String::new());
        note(&mut r, Notice::GameCalled { why, text });
        report(&[&signed(r, 1)])
    };
    let tie = called(&[("ties", "allowed")]);
    assert!(matches!(tie.standing, Some(Standing::Tied(l)) if l.guest.runs == 1));
    assert_eq!(tie.ending, Some(Ending::Called(Stoppage::Darkness)));
    let suspended = called(&[]);
    assert!(matches!(suspended.standing, Some(Standing::Unsettled(_))));
}

#[test]
fn a_larger_lead_stands_on_a_forfeit_in_the_game_and_in_the_table_alike() {
    let forfeited = |rules: &[(&str, &str)]| {
        let mut r = under(1, rules);
        for _ in 0..7 {
            play(&mut r, 1, BatterFate::safe(Goal::Home));
        }
        let (side, text) = (Side::Home, String::new());
        note(&mut r, Notice::Forfeit { side, text });
        let score = r.history().game().score();
        let now = report(&[&signed(r, 1)]);
        assert_eq!(now.score, score, "one score");
        (score.guest, now.standing)
    };
    let (runs, standing) = forfeited(&[]);
    assert_eq!((runs, standing), (5, Some(Standing::Forfeit(Side::Home))));
    let (runs, standing) = forfeited(&[("forfeit-larger", "larger-stands")]);
    assert_eq!(runs, 7);
    assert!(matches!(standing, Some(Standing::Final(l)) if l.guest.runs == 7));
    let (runs, _) = forfeited(&[("forfeit-larger", "larger-stands"), ("forfeit-score", "9")]);
    assert_eq!(runs, 9, "the lead is not larger");
}

#[test]
fn who_is_sent_off_misses_the_next_games_of_the_team() {
    let rules = [("ejection-carries", "2")];
    let away = Shirt::new(23).unwrap();
    let finished = |fixture: u32, sent_off: bool| {
        let mut r = played_out(under(fixture, &rules), 1);
        if sent_off {
            let (side, who, by) = (Side::Guest, away, None);
            note(&mut r, Notice::Ejection { side, who, by });
        }
        report(&[&signed(r, 1)])
    };
    let none = |n: u32| finished(n, false);
    let charter = super::decisions::charter_of(&[9]);
    let [one, two, three] = [finished(2, true), none(3), none(4)];
    let of = |games: &[&GameReport]| EventReport::of(&charter, games).suspensions().to_vec();
    let now = of(&[&none(1), &one]);
    let [only] = now.as_slice() else {
        panic!("one suspension: {now:?}");
    };
    crate::message::tests::assert_says(&only.message(), &only.to_string());
    assert_eq!((only.shirt, only.sent_off_in, only.left()), (away, 2, 2));
    assert_eq!([1, 2, 3].map(|n| only.holds_in(n)), [false, false, true]);
    assert_eq!(
        only.to_string(),
        "Quay Street: 23 was sent off in game 2 and misses the next 2 games."
    );
    let now = of(&[&one, &two, &three]);
    assert_eq!((now.len(), now[0].left()), (1, 0));
    assert_eq!([3, 4, 5].map(|n| now[0].holds_in(n)), [true, true, false]);
    let mut free = under(7, &[]);
    let (side, who, by) = (Side::Guest, away, None);
    free = played_out(free, 1);
    note(&mut free, Notice::Ejection { side, who, by });
    assert!(
        of(&[&report(&[&signed(free, 1)])]).is_empty(),
        "no such rule"
    );
}
