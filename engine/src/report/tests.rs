#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::*;
use crate::competition::Entrants;
use crate::competition::standings::Standing;
use crate::game::Notice;
use crate::game::tests::cards;
use crate::log::sample::secret as key;
use crate::log::{
    Author, Body, Captain, CoSign, Event, GameMark, GameRecord, Opening, Role, Setup,
};
use crate::play::{BatterFate, Call, Goal};
use crate::rules::Edition;
use crate::team::{BySide, Shirt, Side};

fn record(n: u8, role: Role) -> GameRecord {
    record_of(n, role, 1, 5)
}

/// A record of the game with this mark, opened at this time.
fn record_of(n: u8, role: Role, mark: u8, opened_ms: u64) -> GameRecord {
    let mut setup = Setup::new(GameMark([mark; 16]), cards(), &Edition::federation());
    setup.fixture_number = Some(1);
    open(setup, n, role, opened_ms)
}

fn open(setup: Setup, n: u8, role: Role, opened_ms: u64) -> GameRecord {
    let author = Author::new(key(n).public(), "Official", role);
    let draft = GameRecord::draft_opening(Opening::new(setup, author), opened_ms).unwrap();
    GameRecord::open(draft.sign(&key(n)).unwrap()).unwrap()
}

fn add(record: &mut GameRecord, n: u8, body: Body) {
    let entry = record.draft(body, 9).unwrap().sign(&key(n)).unwrap();
    record.push(entry).unwrap();
}

fn play(record: &mut GameRecord, n: u8, fate: BatterFate) {
    let event = record.history().next_play(Call::new(fate));
    add(record, n, Body::Event(event));
}

/// Guests go home once, then everyone is caught to the end: 1-0.
fn whole(n: u8, role: Role) -> GameRecord {
    played_out(record(n, role), n)
}

fn played_out(mut r: GameRecord, n: u8) -> GameRecord {
    play(&mut r, n, BatterFate::safe(Goal::Home));
    while r.history().game().ending().is_none() {
        play(&mut r, n, BatterFate::Caught);
    }
    r
}

fn signed(mut r: GameRecord, n: u8) -> GameRecord {
    let statement = r.statement();
    add(&mut r, n, statement);
    r
}

fn report(records: &[&GameRecord]) -> GameReport {
    let kept = Vec::from_iter(records.iter().copied().map(KeptRecord::from));
    GameReport::of(&kept, Authority::Nobody).unwrap()
}

#[test]
fn a_game_is_going_on_then_single_then_agreed_then_co_signed() {
    let mut r = record(1, Role::Umpire);
    play(&mut r, 1, BatterFate::safe(Goal::Home));
    let now = report(&[&r]);
    assert_eq!((now.verdict, now.standing), (Verdict::Incomplete, None));
    assert_eq!(now.score, BySide { guest: 1, home: 0 });
    // Whoever looks on is told where it is, and nothing of a half that nobody has batted.
    assert_eq!((now.state().as_str(), now.ending), ("being played", None));
    assert_eq!(now.place(), "Top of 1st, no outs");
    assert_eq!(now.line.runs_in(1, Side::Guest), Some(1));
    assert_eq!(now.line.runs_in(1, Side::Home), None);

    let (a, b) = (whole(1, Role::Umpire), whole(2, Role::Scorer));
    assert_eq!(report(&[&a]).verdict, Verdict::Incomplete, "not signed off");
    let (mut a, mut b) = (signed(a, 1), signed(b, 2));
    assert_eq!(report(&[&a]).verdict, Verdict::Single);
    let now = report(&[&b, &a]);
    assert_eq!(now.verdict, Verdict::Agreed { co_signed: false });
    assert_eq!(now.shown, 1, "the umpire's");
    let Some(Standing::Final(lines)) = now.standing else {
        panic!("not final: {:?}", now.reasons);
    };
    assert_eq!(
        (lines.guest.runs, lines.guest.outs, lines.home.outs),
        (1, 15, 15)
    );
    assert_eq!(
        lines.guest.batting.map(|b| (b.at_bats, b.hits)),
        Some((16, 1))
    );

    let statements = [&a, &b].map(|r| r.signed_off().unwrap().0.hash());
    let sign = |statement| {
        Body::CoSign(CoSign {
            statement,
            captain: None,
        })
    };
    add(&mut a, 1, sign(statements[1]));
    assert_eq!(
        report(&[&a, &b]).verdict,
        Verdict::Agreed { co_signed: false }
    );
    // A captain's signature in the scorer's log is not the scorer's.
    let captain = Captain {
        side: Side::Home,
        name: "A captain".into(),
    };
    let by_captain = CoSign {
        statement: statements[0],
        captain: Some(captain),
    };
    add(&mut b, 2, Body::CoSign(by_captain));
    let still = report(&[&a, &b]);
    assert_eq!(still.verdict, Verdict::Agreed { co_signed: false });
    add(&mut b, 2, sign(statements[0]));
    let end = report(&[&a, &b]);
    assert_eq!(end.verdict, Verdict::Agreed { co_signed: true });
    assert!(end.reasons.is_empty());
}

#[test]
fn records_that_differ_are_disputed_and_the_difference_is_said() {
    let a = signed(whole(1, Role::Umpire), 1);
    let mut b = record(2, Role::Scorer);
    play(&mut b, 2, BatterFate::OUT);
    play(&mut b, 2, BatterFate::safe(Goal::Home));
    while b.history().game().ending().is_none() {
        play(&mut b, 2, BatterFate::Caught);
    }
    let b = signed(b, 2);
    let now = report(&[&a, &b]);
    assert_eq!(now.verdict, Verdict::Disputed);
    assert!(matches!(now.standing, Some(Standing::Unsettled(_))));
    assert_eq!(
        now.reasons[0],
        "Top of 1st, 1st batter: the records differ."
    );
    assert!(
        now.evidence[0].starts_with("Top of 1st, 1st batter: ")
            && now.evidence[0].contains("the umpire")
            && now.evidence[0].contains("the scorer"),
        "{:?}",
        now.evidence
    );
}

#[test]
fn an_entry_signed_twice_is_tampered_whatever_the_rest_says() {
    let a = signed(whole(1, Role::Umpire), 1);
    let kept = KeptRecord {
        record: &a,
        forked: true,
    };
    let now = GameReport::of(&[kept], Authority::Nobody).unwrap();
    assert_eq!(now.verdict, Verdict::Tampered);
    assert!(matches!(now.standing, Some(Standing::Unsettled(_))));
}

/// The charter's own minimum decides who leads by an average, and it is said
/// with the list. Sixteen turns at bat in one game: the first hitter four, the
/// others three.
#[test]
fn the_charters_minimum_decides_who_leads_by_an_average() {
    use crate::charter::Charter;
    use crate::competition::leaders::Category;
    use crate::log::EditionText;
    use crate::report::publish::PublishedEvent;

    let game = report(&[&signed(whole(1, Role::Umpire), 1)]);
    let author = Author::new(key(1).public(), "Official", Role::Organiser);
    let leading = |least: &str| {
        let edition = Edition::federation().with("leaders-turns", least).unwrap();
        let charter = Charter {
            editions: alloc::vec![EditionText::from(&edition)],
            teams: ["Quay Street", "Tram Yard"]
                .map(|name| crate::charter::Team {
                    name: name.into(),
                    roster: Vec::new(),
                })
                .into(),
            open: true,
            ..Charter::new("Harbour Day", "2026-06-13", author.clone())
        };
        let report = EventReport::of(&charter, &[&game]);
        let published = PublishedEvent {
            event: "harbour",
            charter: Some(&charter),
            games: &[&game],
            report: Some(&report),
        };
        let list = published.leaders();
        let batting = list.iter().find(|(c, _)| *c == Category::BattingAverage);
        let shirts: Vec<u8> = batting.unwrap().1.iter().map(|l| l.shirt.get()).collect();
        (shirts, published.leaders_json().categories[0].needs.clone())
    };
    let (shirts, needs) = leading("4");
    assert_eq!(
        (shirts.as_slice(), needs.as_deref()),
        (
            [21].as_slice(),
            Some("At least 4 turns at bat for each game of the team."),
        )
    );
    assert_eq!(leading("4.5").0, [0; 0], "four and a half ask for five");
    assert_eq!(leading("0"), ([21].into(), None));
}

#[test]
fn a_forfeit_counts_as_one_and_a_game_stopped_early_as_unsettled() {
    let mut a = record(1, Role::Umpire);
    let notice = Notice::Forfeit {
        side: Side::Guest,
        text: "Four players.".into(),
    };
    add(&mut a, 1, Body::Event(Event::Notice(notice)));
    let a = signed(a, 1);
    assert_eq!(report(&[&a]).standing, Some(Standing::Forfeit(Side::Guest)));
    let mut b = record(2, Role::Umpire);
    play(&mut b, 2, BatterFate::Caught);
    let b = signed(b, 2);
    let now = report(&[&b]);
    assert_eq!(now.verdict, Verdict::Incomplete);
    assert!(matches!(now.standing, Some(Standing::Unsettled(_))));
}

mod by_the_rules;
mod decisions;
mod one_answer;
mod strangers;
