//! What somebody whom the charter does not list can do to a game: nothing.
use super::decisions::charter_of;
use super::*;
use crate::charter::{Charter, Team};
use crate::log::{Decision, Disposition};

/// The umpire (1) and the scorer (2) are listed, anyone may keep a record.
fn open_charter() -> Charter {
    Charter {
        open: true,
        ..charter_of(&[9])
    }
}

fn under(charter: &Charter, records: &[(&GameRecord, bool)]) -> GameReport {
    let kept: Vec<_> = records
        .iter()
        .map(|(record, forked)| KeptRecord {
            record,
            forked: *forked,
        })
        .collect();
    GameReport::of(&kept, Authority::Charter(charter)).unwrap()
}

/// Two equal records, each co-signed by the other's key.
fn co_signed(mark: u8, keys: [u8; 2], opened_ms: u64) -> [GameRecord; 2] {
    let roles = [Role::Umpire, Role::Scorer];
    let mut pair = [0, 1].map(|at| {
        let record = record_of(keys[at], roles[at], mark, opened_ms);
        signed(played_out(record, keys[at]), keys[at])
    });
    let statements = [&pair[0], &pair[1]].map(|r| r.signed_off().unwrap().0.hash());
    for (at, statement) in [(0, statements[1]), (1, statements[0])] {
        let sign = Body::CoSign(CoSign {
            statement,
            captain: None,
        });
        add(&mut pair[at], keys[at], sign);
    }
    pair
}

/// A stranger's record of the same game: longer, other, called the umpire's.
fn invented() -> GameRecord {
    let mut r = record(7, Role::Umpire);
    for _ in 0..9 {
        play(&mut r, 7, BatterFate::safe(Goal::Home));
    }
    while r.history().game().ending().is_none() {
        play(&mut r, 7, BatterFate::Caught);
    }
    signed(r, 7)
}

#[test]
fn a_strangers_record_changes_nothing_of_what_listed_officials_agreed() {
    let [a, b] = co_signed(1, [1, 2], 5);
    let stranger = invented();
    for charter in [open_charter(), charter_of(&[9])] {
        let plain = under(&charter, &[(&a, false), (&b, false)]);
        assert_eq!(plain.verdict, Verdict::Agreed { co_signed: true });
        assert_eq!(plain.backing, Backing::Listed(2));
        assert_eq!(
            plain.basis,
            "The umpire's record counts: all records tell the same, and each official signed the other's statement."
        );
        // Other, signed twice, or with a play that does not fit.
        for forked in [false, true] {
            let now = under(&charter, &[(&stranger, forked), (&b, false), (&a, false)]);
            assert_eq!(
                (now.verdict, now.standing, now.score),
                (plain.verdict, plain.standing, plain.score)
            );
            assert_eq!((now.shown, &now.basis), (2, &plain.basis), "the umpire's");
            // It is not passed over in silence.
            assert_eq!(now.keepers, 3);
            assert_eq!(
                now.reasons,
                [
                    "One more record was kept with a key that the charter does not list: it is kept as evidence and counts for nothing."
                ]
            );
            assert_eq!(
                now.evidence,
                ["The record of an unlisted umpire stands at 9-0."]
            );
        }
    }
}

#[test]
fn the_role_that_counts_is_the_charters() {
    // The scorer's log calls itself the umpire's.
    let (a, b) = (whole(1, Role::Umpire), whole(2, Role::Umpire));
    let [a, b] = [signed(a, 1), signed(b, 2)];
    for logs in [[(&a, false), (&b, false)], [(&b, false), (&a, false)]] {
        let now = under(&open_charter(), &logs);
        assert!(core::ptr::eq(logs[now.shown].0, &a), "{}", now.basis);
    }
}

#[test]
fn where_no_listed_official_kept_one_an_open_event_takes_what_there_is_and_says_so() {
    let stranger = invented();
    let now = under(&open_charter(), &[(&stranger, false)]);
    assert_eq!(
        (now.verdict, now.backing),
        (Verdict::Single, Backing::Anyone)
    );
    assert!(now.counts() && now.standing.is_some());
    assert!(
        now.basis.ends_with(
            "No official whom the charter lists kept a record; in this event anyone may."
        ),
        "{}",
        now.basis
    );
    // Where only listed officials may, it waits for the organiser.
    let closed = under(&charter_of(&[9]), &[(&stranger, false)]);
    assert_eq!(closed.backing, Backing::Strangers);
    assert!(!closed.counts() && !closed.is_going_on());
    let event = EventReport::of(&scheduled(charter_of(&[9])), &[&closed]);
    assert_eq!(event.counting(1), None);
    assert!(event.problems()[0].contains("a key that the charter does not list"));
    // The organiser's word is enough.
    let mut desk = record(9, Role::Organiser);
    decide(&mut desk, stands(&stranger));
    let now = under(&charter_of(&[9]), &[(&stranger, false), (&desk, false)]);
    assert!(now.counts() && now.verdict == Verdict::Decided);
}

#[test]
fn whoever_lost_a_phone_goes_on_with_another_key_and_the_game_counts() {
    let mut lost = record(1, Role::Umpire);
    play(&mut lost, 1, BatterFate::safe(Goal::Home));
    let scorer = whole(2, Role::Scorer);
    // The new phone: its own log of the game, copied from the scorer's.
    let mut anew = record(3, Role::Scorer);
    for (body, _) in anew.takeover(&scorer, 5).unwrap() {
        add(&mut anew, 3, body);
    }
    let [mut scorer, mut anew] = [signed(scorer, 2), signed(anew, 3)];
    let statements = [&anew, &scorer].map(|r| r.signed_off().unwrap().0.hash());
    for (r, n, statement) in [
        (&mut scorer, 2, statements[0]),
        (&mut anew, 3, statements[1]),
    ] {
        let sign = CoSign {
            statement,
            captain: None,
        };
        add(r, n, Body::CoSign(sign));
    }
    let mut charter = charter_of(&[9]);
    let umpire = charter
        .officials
        .iter()
        .position(|o| o.key == key(1).public());
    let old = charter.officials.remove(umpire.unwrap());
    let all = [(&lost, false), (&scorer, false), (&anew, false)];
    // Not before the organiser says whose key that is.
    assert!(matches!(
        under(&charter, &all[..2]).by_records,
        Verdict::Incomplete | Verdict::Single
    ));
    charter.officials.push(Author {
        key: key(3).public(),
        ..old.clone()
    });
    charter.ended.push(crate::charter::EndedKey {
        author: old,
        good: Vec::from([crate::charter::GoodPart {
            game: lost.chain().game(),
            entries: lost.next_seq(),
            head: lost.head(),
        }]),
    });
    let now = under(&charter, &all);
    assert_eq!(now.verdict, Verdict::Agreed { co_signed: true });
    assert!(now.by_umpire && now.counts());
    assert_eq!(now.backing, Backing::Listed(2));
}

#[test]
fn what_only_strangers_wrote_is_shown_to_nobody() {
    let charter = scheduled(open_charter());
    let rude = |mut of: GameReport| {
        of.title = Some("Something rude".into());
        of.court = Some("Rude Street".into());
        of.teams.home = "A rude team".into();
        of
    };
    let now = rude(under(&charter, &[(&invented(), false)]));
    let shown = now.for_everyone(&charter).unwrap();
    let of_charter = charter.fixture(1).map(|f| f.title.as_str());
    assert_eq!((shown.title.as_deref(), shown.court), (of_charter, None));
    assert_eq!(shown.teams.guest, "Quay Street");
    assert!(shown.teams.home.starts_with("Unlisted team "));
    // A game that an official kept is as it was called, and so is one that the
    // organiser lets stand.
    let good = signed(whole(1, Role::Umpire), 1);
    let kept = rude(under(&charter, &[(&good, false)]));
    assert!(kept.for_everyone(&charter).is_none());
    let (stranger, mut desk) = (invented(), record(9, Role::Organiser));
    decide(&mut desk, stands(&stranger));
    let vouched = rude(under(&charter, &[(&stranger, false), (&desk, false)]));
    assert!(vouched.for_everyone(&charter).is_none());
}

fn stands(r: &GameRecord) -> Disposition {
    let author = r.chain().author().fingerprint();
    Disposition::Stands { author }
}

fn decide(desk: &mut GameRecord, decided: Disposition) {
    let decision = Decision {
        considered: Vec::new(),
        decided,
        reason: "Heard.".into(),
    };
    add(desk, 9, Body::Decision(decision));
}

/// The charter with two teams and their one game.
fn scheduled(charter: Charter) -> Charter {
    let names = ["Quay Street", "Tram Yard"];
    Charter {
        teams: names
            .map(|name| Team {
                name: name.into(),
                roster: Vec::new(),
            })
            .into(),
        ..charter
    }
}

#[test]
fn a_strangers_game_of_the_same_number_never_takes_its_place_whatever_its_clock_says() {
    let [a, b] = co_signed(1, [1, 2], 5);
    let [c, d] = co_signed(2, [7, 8], u64::MAX);
    let charter = scheduled(open_charter());
    let genuine = under(&charter, &[(&a, false), (&b, false)]);
    let forged = under(&charter, &[(&c, false), (&d, false)]);
    assert_eq!(genuine.verdict, forged.verdict, "equal in all but the keys");
    for games in [[&genuine, &forged], [&forged, &genuine]] {
        let event = EventReport::of(&charter, &games);
        let counts = event.counting(1).map(|at| games[at].game);
        assert_eq!(counts, Some(genuine.game));
        assert_eq!(
            event.not_for_its_fixture(forged.game),
            Some(
                "It does not count as game 1: of 2 games kept under this number the one that listed officials kept counts."
            )
        );
        assert_eq!(event.not_for_its_fixture(genuine.game), None);
    }
    // Even while the officials are still playing.
    let live = record(1, Role::Umpire);
    let live = under(&charter, &[(&live, false)]);
    let event = EventReport::of(&charter, &[&live, &forged]);
    assert_eq!(event.counting(1), Some(0));
}

#[test]
fn of_games_that_end_differently_none_counts_until_the_organiser_decides() {
    let charter = scheduled(open_charter());
    let one = signed(played_out(record_of(1, Role::Umpire, 1, 5), 1), 1);
    let mut rival = record_of(2, Role::Scorer, 2, u64::MAX);
    play(&mut rival, 2, BatterFate::safe(Goal::Home));
    let other = signed(played_out(rival, 2), 2);
    let [first, second] = [&one, &other].map(|r| under(&charter, &[(r, false)]));
    assert_eq!(
        (first.verdict, second.verdict),
        (Verdict::Single, Verdict::Single)
    );
    let event = EventReport::of(&charter, &[&first, &second]);
    assert_eq!((event.counting(1), event.undecided(1)), (None, &[0, 1][..]));
    assert_eq!(event.proposed(1), Some(0), "the umpire's");
    assert!(
        event.problems()[0]
            .contains("end differently: Quay Street 1, Tram Yard 0 and Quay Street 2"),
        "{:?}",
        event.problems()
    );
    assert!(event.players().is_empty(), "nobody leads by it either");
    // More officials behind one of them decide nothing that people could name.
    let [a, b] = co_signed(1, [1, 2], 5);
    let both = under(&charter, &[(&a, false), (&b, false)]);
    let event = EventReport::of(&charter, &[&second, &both]);
    assert_eq!(event.counting(1), None);
    // Every list, table and file says that they are disputed.
    let view = EventView::new(
        Some(&charter),
        [&first, &second]
            .map(|g| alloc::sync::Arc::new(g.clone()))
            .to_vec(),
    );
    for (game, rival) in [(&first, &second), (&second, &first)] {
        let shown = view.game(game.game).unwrap();
        assert_eq!(
            (shown.verdict, shown.state()),
            (Verdict::Disputed, "disputed".into())
        );
        assert_eq!(shown.rivals, [rival.game]);
        assert!(shown.needs_attention());
    }
    view.published("e", Some(&charter), |all| {
        let csv = all.file("games.csv").unwrap().content;
        assert_eq!(csv.matches(",disputed,").count(), 2, "{csv}");
    });
    let OfFixture::Several { games, proposed } = view.fixture(1) else {
        panic!("several");
    };
    assert_eq!((games.len(), proposed.unwrap().game), (2, first.game));
    // Nor does a finished one push out what the umpire is still at.
    let mut live = record_of(1, Role::Umpire, 3, 6);
    play(&mut live, 1, BatterFate::Caught);
    let live = under(&charter, &[(&live, false)]);
    let event = EventReport::of(&charter, &[&second, &live]);
    assert_eq!(event.counting(1), None);
    // A game merely opened by mistake is in nobody's way.
    let opened = record_of(2, Role::Scorer, 4, 6);
    let opened = under(&charter, &[(&opened, false)]);
    let event = EventReport::of(&charter, &[&opened, &first]);
    assert_eq!(event.counting(1), Some(1));
    // Two that end the same are no dispute.
    let same = signed(played_out(record_of(2, Role::Scorer, 5, 7), 2), 2);
    let same = under(&charter, &[(&same, false)]);
    let event = EventReport::of(&charter, &[&same, &first]);
    assert_eq!(event.counting(1), Some(1), "the umpire's");
    // The organiser decides.
    let mut desk = record_of(9, Role::Organiser, 2, 9);
    decide(&mut desk, stands(&other));
    let decided = under(&charter, &[(&other, false), (&desk, false)]);
    let event = EventReport::of(&charter, &[&first, &decided]);
    assert_eq!(event.counting(1), Some(1));
    assert!(event.problems()[0].contains("the one that the organiser decided on counts"));
    // Or takes one out.
    let mut desk = record_of(9, Role::Organiser, 1, 9);
    decide(&mut desk, Disposition::NotCounted);
    let out = under(&charter, &[(&one, false), (&desk, false)]);
    let event = EventReport::of(&charter, &[&out, &second]);
    assert_eq!((event.counting(1), event.problems().len()), (Some(1), 0));
}

#[test]
fn what_is_in_dispute_stands_in_the_table_as_the_competition_says() {
    let with = |policy: &str| {
        let edition = Edition::federation()
            .with("unsettled-games", policy)
            .unwrap();
        Charter {
            editions: alloc::vec![(&edition).into()],
            ..scheduled(open_charter())
        }
    };
    let one = signed(played_out(record_of(1, Role::Umpire, 1, 5), 1), 1);
    let mut rival = record_of(2, Role::Scorer, 2, 5);
    play(&mut rival, 2, BatterFate::safe(Goal::Home));
    let other = signed(played_out(rival, 2), 2);
    for (policy, said) in [
        ("left-out", "left out of the table"),
        ("as-scored", "the umpire's counts in the table"),
    ] {
        let charter = with(policy);
        let [first, second] = [&one, &other].map(|r| under(&charter, &[(r, false)]));
        let event = EventReport::of(&charter, &[&first, &second]);
        assert!(event.problems()[0].contains(said), "{:?}", event.problems());
        assert!(
            event
                .not_for_its_fixture(first.game)
                .unwrap()
                .contains(said)
        );
    }
}

#[test]
fn a_correction_that_leaves_a_play_without_a_place_is_incomplete_and_no_forgery() {
    use crate::log::{Amendment, Correction};
    use crate::play::{Base, RunnerFate};
    let mut r = record(1, Role::Umpire);
    let first = r.next_seq();
    play(&mut r, 1, BatterFate::safe(Goal::First));
    let call = Call::new(BatterFate::safe(Goal::First))
        .with_runner(Base::First, RunnerFate::to(Goal::Third));
    let event = r.history().next_play(call);
    add(&mut r, 1, Body::Event(event));
    let mut r = played_out(r, 1);
    let change = Correction::Replace(Call::new(BatterFate::safe(Goal::Second)));
    let amend = Event::Amend(Amendment {
        target: first,
        change,
    });
    add(&mut r, 1, Body::Event(amend));
    assert_eq!(r.history().conflicts().count(), 1);
    let statement = r.statement();
    add(&mut r, 1, statement);
    let now = under(&open_charter(), &[(&r, false)]);
    assert_eq!(now.verdict, Verdict::Incomplete);
    assert!(matches!(now.standing, Some(Standing::Unsettled(_))));
    assert!(!now.needs_attention(), "its official sets it right");
    assert_eq!(
        now.reasons,
        [
            "In the umpire's record a play no longer fits after a correction: it is to be set right and signed again."
        ]
    );
}
