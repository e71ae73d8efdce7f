#![allow(clippy::unwrap_used, missing_docs)]
use engine::charter::{EndedKey, GoodPart};
use engine::log::{Author, GameId, Hash, Role, SecretKey};
use engine::team::Gender;

use super::*;

fn key(n: u8) -> SecretKey {
    SecretKey::from_random(&[n; 32])
}

fn organiser() -> Author {
    Author::new(key(9).public(), "Maren Holt", Role::Organiser)
}

fn draft() -> CharterDraft {
    let team = |name: &str, first: u8| TeamText {
        name: name.into(),
        roster: (first..first + 7).map(|n| format!("{n} P{n}\n")).collect(),
    };
    let mut draft = CharterDraft {
        name: "Harbour Cup".into(),
        date: "2026-06-13".into(),
        teams: vec![team("Quay Street", 21), team("Tram Yard", 11)],
        ..CharterDraft::default()
    };
    draft.add_official(&Author::new(key(1).public(), "Jonas Reed", Role::Umpire));
    draft
}

fn places(wrong: Vec<Wrong>) -> Vec<Place> {
    assert!(wrong.iter().all(|w| w.what.ends_with('.')), "{wrong:?}");
    wrong.into_iter().map(|w| w.place).collect()
}

#[test]
fn a_charter_typed_and_taken_up_again_is_the_same() {
    let own = key(9);
    let first = draft().charter(organiser(), None).unwrap();
    let first = first.sign(&own).unwrap();
    assert_eq!(first.charter().fixtures.len(), 1);
    let again = CharterDraft::of("event", &first);
    let second = again.charter(organiser(), Some(&first)).unwrap();
    let second = second.sign(&own).unwrap();
    assert_eq!(second.supersedes(&first), Ok(()));
    let mut back = second.charter().clone();
    (back.version, back.supersedes) = (1, None);
    assert_eq!(&back, first.charter());
}

#[test]
fn what_the_form_does_not_show_stays_in_the_next_version() {
    let own = key(9);
    let typed = draft().charter(organiser(), None).unwrap();
    let mut first = typed.sign(&own).unwrap().charter().clone();
    first.practice = true;
    first.collectors = vec![Author {
        key: key(7).public(),
        ..organiser()
    }];
    let first = first.draft().unwrap().sign(&own).unwrap();
    let again = CharterDraft::of("event", &first);
    let second = again.charter(organiser(), Some(&first)).unwrap();
    let second = second.sign(&own).unwrap();
    assert!(second.charter().practice);
    assert_eq!(second.charter().collectors, first.charter().collectors);
}

#[test]
fn a_collector_is_listed_and_a_key_ends_with_what_was_good() {
    let own = key(9);
    let first = draft().charter(organiser(), None).unwrap();
    let first = first.sign(&own).unwrap();
    let lost = first.charter().officials[0].clone();
    let part = GoodPart {
        game: GameId([3; 32]),
        entries: 41,
        head: Hash([4; 32]),
    };
    let ended = EndedKey {
        author: lost.clone(),
        good: vec![part],
    };
    let collector = Author::new(key(7).public(), "scores.example", Role::Other);
    let mut next = CharterDraft::of("event", &first);
    next.add_collector(&collector);
    next.end_key(&lost.key, &ended);
    // The same person with a new key.
    let anew = Author {
        key: key(2).public(),
        ..lost.clone()
    };
    next.add_official(&anew);
    assert_eq!(
        next.ended[0].says(),
        "Jonas Reed: 1 record stays good, its first 41 entries. Nothing else signed with this key counts."
    );
    let second = next.charter(organiser(), Some(&first)).unwrap();
    let second = second.sign(&own).unwrap();
    assert_eq!(second.charter().collectors, [collector]);
    assert_eq!(second.charter().ended, [ended]);
    assert_eq!(second.charter().officials, [anew]);
    // Taken up again it is as it was, and can be taken back.
    let mut again = CharterDraft::of("event", &second);
    assert_eq!(again.ended, next.ended);
    again.list_again(0);
    let third = again.charter(organiser(), Some(&second)).unwrap();
    assert!(third.content().ended.is_empty());
    assert!(third.content().endorsement(&lost.key).is_some());
}

#[test]
fn a_game_moved_by_hand_stays_moved_while_the_schedule_is_the_same() {
    let own = key(9);
    let mut typed = draft();
    typed.plan.moved.push(schedule::MovedGame {
        number: 1,
        guest: "Quay Street".into(),
        home: String::new(),
        court: "Court 9".into(),
        starts: "12:30".into(),
    });
    let first = typed
        .charter(organiser(), None)
        .unwrap()
        .sign(&own)
        .unwrap();
    let game = first.charter().fixture(1).unwrap();
    assert_eq!((game.court.as_str(), &game.home), ("Court 9", &None));
    let clock = first.charter().clock(game).unwrap();
    assert_eq!(clock.to_string(), "12:30");
    let again = CharterDraft::of("event", &first);
    let second = again.charter(organiser(), Some(&first)).unwrap();
    let second = second.sign(&own).unwrap();
    assert_eq!(second.charter().fixtures, first.charter().fixtures);
}

#[test]
fn what_the_form_does_not_show_of_an_arrangement_stays_until_it_is_changed() {
    use engine::competition::schedule::{Clock, Window};
    let own = key(9);
    let typed = draft().charter(organiser(), None).unwrap();
    let mut charter = typed.content().clone();
    charter.arranged.as_mut().unwrap().windows.push(Window {
        opens: Clock(24 * 60 + 540),
        closes: Clock(24 * 60 + 900),
    });
    let first = charter.draft().unwrap().sign(&own).unwrap();
    let mut again = CharterDraft::of("event", &first);
    let kept = again.charter(organiser(), Some(&first)).unwrap();
    assert_eq!(kept.content().arranged, first.content().arranged);
    again.plan.game = "30".into();
    let changed = again.charter(organiser(), Some(&first)).unwrap();
    let windows = &changed.content().arranged.as_ref().unwrap().windows;
    assert_eq!(windows.len(), 1);
}

#[test]
fn every_slip_stands_beside_what_it_concerns() {
    let mut typed = draft();
    typed.name.clear();
    typed.date.clear();
    typed.teams[1].roster.push_str("x1 Nobody\n100\n");
    typed.teams.push(TeamText::default());
    typed.officials[0].key.pop();
    typed.plan.game = "forty".into();
    typed.plan.closes = "25:00".into();
    let nobody = Author {
        name: String::new(),
        ..organiser()
    };
    let wrong = typed.charter(nobody, None).unwrap_err();
    use Place::*;
    assert_eq!(
        places(wrong),
        [
            Team(1),
            Team(1),
            Team(2),
            Officials,
            Event,
            Date,
            Organiser,
            Schedule,
            Schedule
        ]
    );
}

#[test]
fn faults_of_the_charter_stand_beside_what_they_concern() {
    let refused = |edit: fn(&mut CharterDraft)| {
        let mut typed = draft();
        edit(&mut typed);
        places(typed.charter(organiser(), None).map(|_| ()).unwrap_err())
    };
    use Place::*;
    assert_eq!(
        refused(|d| d.teams[1].name = "Quay Street".into()),
        [Schedule],
        "the engine arranges first"
    );
    assert_eq!(
        refused(|d| d.teams[1].roster.push_str("11 Again")),
        [Team(1)]
    );
    assert_eq!(refused(|d| d.edition = "harbour".into()), [Rules]);
    assert_eq!(refused(|d| d.date = "13.6.2026".into()), [Date]);
    assert_eq!(refused(|d| d.plan.courts.clear()), [Schedule]);
    assert_eq!(
        refused(|d| {
            d.umpires_too = true;
            d.add_official(&Author {
                name: "Again".into(),
                role: Role::Umpire,
                ..organiser()
            });
        }),
        [Officials]
    );
    assert_eq!(
        refused(|d| {
            d.plan.format = "none".into();
            d.teams[1].name = "Quay Street".into();
        }),
        [Team(1)]
    );
}

#[test]
fn rosters_are_read_as_people_write_them() {
    let read = read_roster("21 Ines Quayle\n\n 7,Tam \n8", false).unwrap();
    let seen: Vec<_> = read.iter().map(|p| (p.shirt.get(), &*p.name)).collect();
    assert_eq!(seen, [(21, "Ines Quayle"), (7, "Tam"), (8, "")]);
    let pasted = "No.\tName\nIto Aoi\t4\n#9; Tam Osei\n12.  Brae, Una\nKit Lowe (cap.), 23\n";
    let read = read_roster(pasted, false).unwrap();
    let seen: Vec<_> = read.iter().map(|p| (p.shirt.get(), &*p.name)).collect();
    let wanted = [
        (4, "Ito Aoi"),
        (9, "Tam Osei"),
        (12, "Brae Una"),
        (23, "Kit Lowe (cap.)"),
    ];
    assert_eq!(seen, wanted);
    // Nobody is left out without a word.
    let wrong = read_roster("Ines Quayle\n7 Tam", false).unwrap_err();
    assert!(wrong[0].starts_with("Line 1: "), "{wrong:?}");
    let mixed = read_roster("21 F Ines\n22 m Tam\n23 Fritz", true).unwrap();
    let genders: Vec<_> = mixed.iter().map(|p| p.gender).collect();
    assert_eq!(genders, [Some(Gender::Female), Some(Gender::Male), None]);
    assert_eq!(read_roster(&write_roster(&mixed, true), true), Ok(mixed));
}
