#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::ToString;
use alloc::vec;
use alloc::vec::Vec;

use super::*;
use crate::game::tests::card;
use crate::log::sample::{opening, secret};
use crate::log::*;
use crate::rules::Edition;
use crate::team::{CardObjection, Shirt, Side};

fn official(n: u8, role: Role) -> Author {
    Author::new(secret(n).public(), "Official", role)
}

fn team(name: &str, first: u8) -> Team {
    Team {
        name: name.to_string(),
        roster: card(name, first).players().cloned().collect(),
    }
}

pub(super) fn charter() -> Charter {
    let fixture = Scheduled {
        number: 1,
        title: "Group A".to_string(),
        guest: Some("Quay Street".to_string()),
        home: Some("Tram Yard".to_string()),
        court: "Court 1".to_string(),
        starts: 1_781_344_800_000,
        edition: 0,
    };
    let last = Scheduled {
        number: 2,
        title: "Final".to_string(),
        guest: None,
        home: None,
        ..fixture.clone()
    };
    Charter {
        place: "The old fish market".to_string(),
        editions: vec![(&Edition::federation()).into()],
        teams: vec![team("Quay Street", 21), team("Tram Yard", 11)],
        officials: vec![official(1, Role::Umpire), official(2, Role::Scorer)],
        fixtures: vec![fixture, last],
        privacy: Privacy::Initials,
        ..Charter::new("Harbour Cup", "2026-06-13", official(9, Role::Organiser))
    }
}

fn signed(charter: Charter) -> SignedCharter<Verified> {
    charter.draft().unwrap().sign(&secret(9)).unwrap()
}

#[test]
fn a_charter_read_back_is_the_charter_signed() {
    let first = signed(charter());
    let again = SignedCharter::parse(first.bytes())
        .unwrap()
        .verify()
        .unwrap();
    assert_eq!(again, first);
    assert_eq!(again.hash(), first.hash());
}

#[test]
fn every_byte_of_a_charter_changed_is_noticed() {
    let good = signed(charter()).bytes().to_vec();
    for at in 0..good.len() {
        let mut bad = good.clone();
        bad[at] ^= 1 << (at % 8);
        let read = SignedCharter::parse(&bad).and_then(SignedCharter::verify);
        assert!(read.is_err(), "byte {at} changed unseen");
    }
}

#[test]
fn a_log_entry_is_no_charter_and_a_charter_no_entry() {
    let first = signed(charter());
    assert_eq!(
        Entry::parse(first.bytes()).err(),
        Some(EntryError::MalformedPayload)
    );
    // The same bytes signed as an entry of a log do not verify as a charter.
    let unsigned = charter().draft().unwrap();
    let payload = Content::to_bytes(&charter());
    let kid = secret(9).public().fingerprint();
    let as_log = cose::to_be_signed(Domain::Log, &kid, &payload);
    assert_eq!(
        unsigned.assemble(&secret(9).sign(&as_log)).err(),
        Some(EntryError::Envelope(EnvelopeError::BadSignature))
    );
}

#[test]
fn a_later_version_takes_the_place_of_the_one_before_it_only() {
    let first = signed(charter());
    let next = |edit: fn(&mut Charter)| {
        let mut c = charter();
        c.version = 2;
        c.supersedes = Some(first.hash());
        c.place = "The tram depot".to_string();
        edit(&mut c);
        c
    };
    let second = signed(next(|_| {}));
    assert_eq!(second.supersedes(&first), Ok(()));
    let third = signed(next(|c| c.version = 3));
    assert_eq!(
        third.supersedes(&first),
        Err(SupersedeError::Version {
            expected: 2,
            found: 3
        })
    );
    let other = signed(next(|c| c.supersedes = Some(Hash::of(b"other"))));
    assert_eq!(other.supersedes(&first), Err(SupersedeError::OtherCharter));
    let umpire = next(|c| c.organiser = official(1, Role::Organiser));
    let umpire = umpire.draft().unwrap().sign(&secret(1)).unwrap();
    assert_eq!(
        umpire.supersedes(&first),
        Err(SupersedeError::OtherOrganiser)
    );
}

/// Gregorian calendar, as RFC 3339 appendix C counts leap years.
#[test]
fn only_days_of_the_calendar_are_dates() {
    for (date, is_day) in [
        ("2026-06-13", true),
        ("2028-02-29", true),
        ("2026-02-29", false),
        ("2026-02-31", false),
        ("2026-04-31", false),
        ("2026-6-13", false),
        (" 2026-06-13", false),
        ("1999-12-31", false),
        ("2100-01-01", false),
    ] {
        let mut c = charter();
        c.date = date.to_string();
        assert_eq!(c.day().is_some(), is_day, "{date}");
        let refused = c.draft().err().into_iter().flatten();
        let dates = refused.filter(|f| matches!(f, CharterFault::Date(_)));
        assert_eq!(dates.count(), usize::from(!is_day), "{date}");
    }
}

#[test]
fn a_charter_with_faults_is_not_signed_and_names_them_all() {
    let mut c = charter();
    c.date = "13.6.2026".to_string();
    c.version = 2;
    c.teams.push(team("Tram Yard", 30));
    c.teams[0]
        .roster
        .push(Player::numbered(Shirt::new(21).unwrap()));
    c.officials.push(official(1, Role::Scorer));
    c.fixtures[1].number = 1;
    c.fixtures[1].guest = Some("Quay Streat".to_string());
    c.fixtures[0].home = c.fixtures[0].guest.clone();
    c.fixtures[0].edition = 3;
    c.editions[0].base = "harbour".to_string();
    let wrong = c.draft().map(|_| ()).unwrap_err();
    let names: Vec<_> = wrong
        .iter()
        .map(|w| {
            assert!(w.to_string().ends_with('.'), "{w}");
            core::mem::discriminant(w)
        })
        .collect();
    assert_eq!(wrong.len(), 10, "{wrong:#?}");
    assert_eq!(
        names.iter().collect::<std::collections::HashSet<_>>().len(),
        10
    );
}

#[test]
fn what_does_not_agree_is_said_before_the_first_play() {
    let signed = signed(charter());
    let mut good = opening(7, &secret(1));
    good.setup.charter = Some(signed.hash());
    good.setup.fixture_number = Some(1);
    good.setup.court = Some("Court 1".to_string());
    assert_eq!(signed.objections(&good), []);

    let mut bad = good.clone();
    bad.setup.charter = None;
    bad.setup.edition = (&Edition::youth()).into();
    bad.setup.cards.guest.team = "Quay Streat".to_string();
    bad.setup.cards.home.reserves[0].shirt = Shirt::new(77).unwrap();
    bad.setup.court = Some("Court 2".to_string());
    bad.author = official(5, Role::Umpire);
    let found = signed.objections(&bad);
    assert!(
        found.iter().all(|o| o.to_string().ends_with('.')),
        "{found:?}"
    );
    let shirt = Shirt::new(77).unwrap();
    assert_eq!(
        found,
        [
            CharterObjection::OtherCharter { named: None },
            CharterObjection::WrongEdition {
                expected: "the federation rules".to_string(),
                found: "the youth rules".to_string(),
            },
            CharterObjection::UnknownTeam(Side::Guest, "Quay Streat".to_string()),
            CharterObjection::Card(Side::Home, CardObjection::NotOnRoster(shirt)),
            CharterObjection::FixtureTeams {
                number: 1,
                side: Side::Guest,
                expected: "Quay Street".to_string(),
            },
            CharterObjection::FixtureCourt {
                number: 1,
                expected: "Court 1".to_string(),
            },
            CharterObjection::UnlistedKey {
                name: "Official".to_string(),
                key: secret(5).public().fingerprint(),
                open: false,
            },
        ]
    );
    good.author.role = Role::Scorer;
    good.setup.fixture_number = Some(8);
    let found = signed.objections(&good);
    assert_eq!(
        found,
        [
            CharterObjection::UnknownFixture(8),
            CharterObjection::OtherRole {
                listed: Role::Umpire,
                claimed: Role::Scorer
            },
        ]
    );
}

#[test]
fn where_a_toss_decides_either_team_may_be_home() {
    use crate::competition::schedule::{Clock, Format, Window};
    let mut c = charter();
    c.arranged = Some(Arrangement {
        format: Format::Series,
        courts: vec!["Court 1".to_string()],
        windows: vec![Window {
            opens: Clock(600),
            closes: Clock(1200),
        }],
        game: 40,
        turnaround: 5,
        rest: 20,
        ahead: 120,
    });
    let c = c.with_fixtures().unwrap();
    let tossed: Vec<u32> = (1..=3).filter(|n| c.by_toss(*n)).collect();
    assert!(!tossed.is_empty() && !c.by_toss(9), "{tossed:?}");
    let signed = signed(c);
    for number in 1..=3 {
        let mut swapped = opening(7, &secret(1));
        swapped.setup.charter = Some(signed.hash());
        swapped.setup.fixture_number = Some(number);
        let fixture = signed.charter().fixture(number).unwrap();
        if Some(&swapped.setup.cards.guest.team) == fixture.guest.as_ref() {
            let cards = &mut swapped.setup.cards;
            core::mem::swap(&mut cards.guest, &mut cards.home);
        }
        let refused = !signed.objections(&swapped).is_empty();
        assert_eq!(refused, !tossed.contains(&number), "game {number}");
    }
}

#[test]
fn who_plays_in_an_open_game_follows_from_the_results_and_fills_gaps_only() {
    use crate::competition::Entrant;
    use crate::competition::bracket::Progress;
    use crate::competition::schedule::{Clock, Format, PoolDraw, Window};
    let names = ["Quay Street", "Tram Yard", "Mill Lane"];
    let plain = Charter {
        teams: names
            .iter()
            .zip([11, 21, 31])
            .map(|(n, at)| team(n, at))
            .collect(),
        arranged: Some(Arrangement {
            // Everyone once, then a final.
            format: Format::PoolsThenFinals {
                pools: PoolDraw::Snake(1),
                through: 2,
                third_place: false,
            },
            courts: vec!["Court 1".into()],
            windows: vec![Window {
                opens: Clock(540),
                closes: Clock(1080),
            }],
            game: 40,
            turnaround: 5,
            rest: 0,
            ahead: 0,
        }),
        ..charter()
    };
    let charter = plain.with_fixtures().unwrap();
    let schedule = charter.schedule().unwrap().unwrap();
    let event = Hash::of(b"first");
    let pairings = |order: Option<Vec<u16>>| {
        let order = order.map(|o| o.into_iter().map(Entrant::at).collect());
        let progress = Progress::of(&schedule, &[order], &[]).unwrap();
        Pairings::of(event, &charter, &schedule, &progress)
    };
    assert_eq!(pairings(None).games, [], "the pool is still on");
    let known = pairings(Some(vec![2, 0, 1]));
    let found = &known.games[0];
    assert_eq!((known.games.len(), found.fixture), (1, 4));
    let mut sides = [found.guest.as_str(), found.home.as_str()];
    sides.sort_unstable();
    assert_eq!(sides, ["Mill Lane", "Quay Street"]);
    assert_eq!(Pairings::from_bytes(&known.to_bytes()), Ok(known.clone()));
    let last = charter.fixtures.last().unwrap();
    let filled = known.fill(last);
    assert_eq!(filled.guest.as_ref(), Some(&found.guest));
    assert_eq!(known.fill(&charter.fixtures[0]), charter.fixtures[0]);

    // What comes from elsewhere neither changes the charter nor brings a team in.
    let said = |fixture, guest: &str, home: &str| Pairing {
        fixture,
        guest: guest.into(),
        home: home.into(),
    };
    let mut lies = Pairings {
        event,
        games: vec![
            said(1, "Tram Yard", "Mill Lane"),
            said(4, "Harbour", "Mill Lane"),
            said(4, "Mill Lane", "Mill Lane"),
            said(9, "Mill Lane", "Tram Yard"),
        ],
    };
    lies.keep_fitting(&charter);
    assert_eq!(lies.games, []);
    for cut in 0..known.to_bytes().len() {
        assert_eq!(
            Pairings::from_bytes(&known.to_bytes()[..cut]),
            Err(NotPairings)
        );
    }
}

#[test]
fn names_are_shown_as_the_event_allows() {
    let player = Player::new(Shirt::new(7).unwrap(), "Ines Quayle");
    assert_eq!(Privacy::Names.shown(&player), "Ines Quayle, 7");
    assert_eq!(Privacy::Initials.shown(&player), "I.Q., 7");
    assert_eq!(Privacy::Numbers.shown(&player), "Number 7");
    let unnamed = Player::numbered(player.shirt);
    assert_eq!(Privacy::Names.shown(&unnamed), "Number 7");
    assert_eq!(Privacy::default(), Privacy::Numbers, "the most careful one");
}

/// Version after version by the same organiser, each with another place.
fn versions(count: u32) -> Vec<SignedCharter<Verified>> {
    let key = secret(9);
    let mut all = vec![charter().draft().unwrap().sign(&key).unwrap()];
    for version in 2..=count {
        let mut next = all.last().unwrap().charter().clone();
        next.supersedes = Some(all.last().unwrap().hash());
        next.version = version;
        next.place = alloc::format!("Court {version}");
        all.push(next.draft().unwrap().sign(&key).unwrap());
    }
    all
}

#[test]
fn a_history_is_the_same_in_whatever_order_its_versions_come() {
    let all = versions(5);
    let mut orders = vec![all.clone()];
    for at in 0..all.len() {
        let mut turned = all.clone();
        turned.rotate_left(at);
        turned.reverse();
        orders.push(turned);
    }
    for order in orders {
        let [history] = &CharterHistory::gather(order)[..] else {
            panic!("one history");
        };
        assert_eq!(history.versions(), all);
        assert_eq!(history.in_force().charter().version, 5);
        assert_eq!(history.forked_at(), None);
        // What is handed over is read again as it is, in both forms.
        let bytes = history.to_bytes(usize::MAX);
        assert_eq!(SignedCharter::read_all(&bytes).unwrap(), all);
        let sender = crate::link::Sender::new(
            crate::link::Kind::Charter,
            &bytes,
            crate::link::SymbolSize::MAX,
        );
        let lines = crate::link::text::lines(&sender.unwrap(), 0);
        assert_eq!(SignedCharter::read_all(lines.as_bytes()).unwrap(), all);
        let half = &lines[..lines.len() / 2];
        assert!(SignedCharter::read_all(half.as_bytes()).is_err());
    }
}

#[test]
fn a_hand_over_that_is_too_long_leaves_out_the_oldest_versions() {
    let all = versions(5);
    let [history] = &CharterHistory::gather(all.clone())[..] else {
        panic!("one history");
    };
    let room = all[3].bytes().len() + all[4].bytes().len();
    let sent = SignedCharter::read_all(&history.to_bytes(room + 5)).unwrap();
    assert_eq!(sent, all[3..]);
}

#[test]
fn what_a_version_is_to_a_history_is_said() {
    let all = versions(4);
    let history = CharterHistory::new(all[1].clone());
    assert_eq!(history.judge(&all[2]), Belonging::Follows);
    assert_eq!(history.judge(&all[0]), Belonging::Precedes);
    assert_eq!(
        history.judge(&all[3]),
        Belonging::Waits {
            version: 3,
            missing: all[2].hash()
        }
    );
    let by = |n: u8, charter: Charter| {
        let mut charter = charter;
        charter.organiser.key = secret(n).public();
        charter.draft().unwrap().sign(&secret(n)).unwrap()
    };
    let forged = by(8, all[2].charter().clone());
    assert_eq!(
        history.judge(&forged),
        Belonging::Refused(SupersedeError::OtherOrganiser)
    );
    let forged = by(8, all[3].charter().clone());
    assert_eq!(history.judge(&forged), Belonging::Stranger);
}

#[test]
fn of_two_lines_the_longer_one_holds_and_both_are_kept() {
    let all = versions(3);
    let mut rival = all[0].charter().clone();
    rival.version = 2;
    rival.supersedes = Some(all[0].hash());
    rival.place = "Elsewhere".into();
    let rival = rival.draft().unwrap().sign(&secret(9)).unwrap();
    let mut set = all.clone();
    set.insert(0, rival.clone());
    let [history] = &CharterHistory::gather(set)[..] else {
        panic!("one history");
    };
    assert_eq!(history.versions(), all);
    assert_eq!(history.beside(), core::slice::from_ref(&rival));
    assert_eq!(history.forked_at(), Some(2));
    assert!(history.version(rival.hash()).is_some());
}
