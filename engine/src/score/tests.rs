#![allow(clippy::unwrap_used, missing_docs)]
use alloc::string::ToString;
use alloc::sync::Arc;

use super::*;
use crate::game::tests::{cards, shirt};
use crate::game::{Fixture, Game};
use crate::log::History;
use crate::log::tests::play;
use crate::play::{Advance, Base, BatterFate, Call, Goal, PutOut, Reach, RunnerFate, Scoring};
use crate::rules::Edition;
use crate::team::{Position, Side};
use proptest::prelude::*;

/// Position of the n-th hitter is the n-th of the list: 11 first base … 15 midfielder.
fn history(edition: Edition) -> History {
    let mut cards = cards();
    for side in Side::BOTH {
        cards[side] = cards[side].clone().with_positions(Position::ALL);
    }
    History::new(Arc::new(Fixture::new(edition, &cards).unwrap()))
}

fn by(call: Call, by: &[Position], errors: &[Position]) -> Call {
    let scoring = Scoring {
        by: by.to_vec(),
        errors: errors.to_vec(),
        batted_in: None,
        starred: None,
    };
    Call {
        scoring: Some(scoring),
        ..call
    }
}

use Position::{FirstBase, Midfielder, SecondBase, Shortstop};

/// Source: Official Baseball Rules 9.09, 9.10 (a double play from shortstop to
/// second to first: putouts to second and first, assists to shortstop and second).
#[test]
fn a_double_play_credits_each_fielder() {
    let mut h = history(Edition::federation());
    play(&mut h, Call::new(BatterFate::safe(Goal::First)));
    let double = Call::new(BatterFate::OUT).with_runner(
        Base::First,
        RunnerFate::Out {
            at: None,
            how: PutOut::Forced,
        },
    );
    play(&mut h, by(double, &[Shortstop, SecondBase, FirstBase], &[]));
    let sheet = BoxScore::of(&h);
    let line = |n| {
        sheet
            .players()
            .home
            .get(&shirt(n))
            .copied()
            .unwrap_or_default()
    };
    assert_eq!((line(14).putouts, line(14).assists), (0, 1));
    assert_eq!((line(12).putouts, line(12).assists), (1, 1));
    assert_eq!((line(11).putouts, line(11).assists), (1, 0));
}

/// Source: Official Baseball Rules 9.05(b)(1): no hit when a runner is forced out.
#[test]
fn a_force_makes_the_hit_a_choice() {
    let mut h = history(Edition::federation());
    play(&mut h, Call::new(BatterFate::safe(Goal::First)));
    let force = Call::new(BatterFate::safe(Goal::First)).with_runner(
        Base::First,
        RunnerFate::Out {
            at: None,
            how: PutOut::Forced,
        },
    );
    play(&mut h, force);
    assert_eq!(LineScore::new(h.outcomes()).totals().guest.hits, 1);
}

/// Source: Official Baseball Rules 9.04(a), (b).
#[test]
fn runs_batted_in_leave_out_errors_and_double_plays() {
    let mut h = history(Edition::federation());
    play(&mut h, Call::new(BatterFate::safe(Goal::Third)));
    play(&mut h, Call::new(BatterFate::safe(Goal::Home)));
    let batted_in = |h: &History, n| {
        BoxScore::of(h)
            .players()
            .guest
            .get(&shirt(n))
            .map_or(0, |p| p.batted_in)
    };
    assert_eq!(batted_in(&h, 22), 2);
    play(&mut h, Call::new(BatterFate::safe(Goal::Third)));
    let on_error = Call::new(BatterFate::Safe {
        at: Goal::First,
        on: Reach::Error,
        then: None,
    })
    .with_runner(
        Base::Third,
        RunnerFate::To {
            goal: Goal::Home,
            on: Advance::Error,
            then: None,
        },
    );
    play(&mut h, by(on_error, &[], &[Midfielder]));
    assert_eq!(batted_in(&h, 24), 0);
    let sheet = BoxScore::of(&h);
    assert_eq!(sheet.earned().guest, 2);
    assert_eq!(sheet.players().home[&shirt(15)].errors, 1);
    assert_eq!(LineScore::new(h.outcomes()).totals().home.errors, 1);
}

/// Source: Official Baseball Rules 9.04(b)(1) and Definitions (force double
/// play: forced and reverse), from memory. The last two are no double plays of
/// forces: a tag past the next base, a runner with an empty base behind.
#[test]
fn no_run_is_batted_in_by_a_double_play_of_forces_in_either_order() {
    let out = |at, how| RunnerFate::Out { at: Some(at), how };
    let (forced, tagged) = (PutOut::Forced, PutOut::Tagged);
    let on_first = Call::new(BatterFate::safe(Goal::First));
    let before_first = Call::new(BatterFate::OUT);
    let choice = Call::new(BatterFate::safe(Goal::First));
    let third_scores = |call: Call| call.with_runner(Base::Third, RunnerFate::to(Goal::Home));
    let loaded = [Goal::First; 3];
    let cases: [(&[Goal], Call, u16); 8] = [
        (
            &loaded,
            before_first
                .clone()
                .with_runner(Base::First, out(Goal::Second, forced)),
            0,
        ),
        (
            &loaded,
            before_first
                .clone()
                .with_runner(Base::First, out(Goal::Second, tagged)),
            0,
        ),
        (
            &loaded,
            before_first
                .clone()
                .with_runner(Base::Second, out(Goal::Second, tagged)),
            0,
        ),
        (
            &loaded,
            choice
                .clone()
                .with_runner(Base::First, out(Goal::Second, forced))
                .with_runner(Base::Second, out(Goal::Third, tagged)),
            0,
        ),
        (
            &loaded,
            choice
                .with_runner(Base::First, out(Goal::Second, tagged))
                .with_runner(Base::Second, out(Goal::Third, tagged)),
            0,
        ),
        (
            &loaded,
            on_first.with_runner(Base::First, out(Goal::Second, tagged)),
            1,
        ),
        (
            &loaded,
            before_first
                .clone()
                .with_runner(Base::First, out(Goal::Third, tagged)),
            1,
        ),
        (
            &[Goal::First, Goal::Second],
            before_first.with_runner(Base::Second, out(Goal::Third, tagged)),
            1,
        ),
    ];
    for (runners, call, runs) in cases {
        let mut h = history(Edition::federation());
        for at in runners {
            play(&mut h, Call::new(BatterFate::safe(*at)));
        }
        let hitter = h.game().due();
        play(&mut h, third_scores(call.clone()));
        assert_eq!(h.game().score().guest, 1, "{call:?}");
        let sheet = BoxScore::of(&h);
        assert_eq!(sheet.players().guest[&hitter].batted_in, runs, "{call:?}");
    }
}

/// The team's errors are the players' and those that nobody was named for.
#[test]
fn an_error_without_a_name_is_said_on_the_sheet() {
    let mut h = history(Edition::federation());
    let on_error = || {
        Call::new(BatterFate::Safe {
            at: Goal::First,
            on: Reach::Error,
            then: None,
        })
    };
    play(&mut h, by(on_error(), &[], &[Midfielder]));
    let sheet = BoxScore::of(&h);
    assert_eq!(sheet.unsaid(Side::Home), None);
    play(&mut h, on_error());
    let sheet = BoxScore::of(&h);
    let said = sheet.unsaid(Side::Home);
    assert_eq!(said.as_deref(), Some("1 error: fielder not named."));
    play(&mut h, on_error());
    play(&mut h, Call::new(BatterFate::OUT));
    let sheet = BoxScore::of(&h);
    let said = sheet.unsaid(Side::Home);
    assert_eq!(
        said.as_deref(),
        Some("1 putout and 2 errors: fielder not named.")
    );
    assert_eq!(LineScore::new(h.outcomes()).totals().home.errors, 3);
    assert_eq!(sheet.unsaid(Side::Guest), None);
}

/// Source: Official Baseball Rules 9.21; half up is common practice, no source.
#[test]
fn averages_are_rounded_half_up_to_three_places() {
    let show = |of, by| Average { of, by }.to_string();
    assert_eq!(show(1, 3), ".333");
    assert_eq!(show(2, 3), ".667");
    assert_eq!(show(1, 16), ".063");
    assert_eq!(show(5, 5), "1.000");
    assert_eq!(show(9, 4), "2.250");
    assert_eq!(show(0, 0), "-");
}

/// As many plays as a log can hold, each a batter safe on an error: no sum goes
/// past the range of its number.
#[test]
fn a_half_of_two_thousand_errors_is_added_up() {
    let mut h = history(Edition::federation());
    let call = Call::new(BatterFate::Safe {
        at: Goal::Home,
        on: Reach::Error,
        then: None,
    });
    for seq in 1..=crate::log::Chain::ENTRIES_LIMIT as u64 {
        h.push(
            seq,
            h.next_play(by(call.clone(), &[Midfielder; 16], &[Midfielder; 16])),
        );
    }
    let sheet = BoxScore::of(&h);
    let line = LineScore::new(h.outcomes());
    assert_eq!(line.totals().guest.runs, 2000);
    assert_eq!(sheet.players().home[&shirt(15)].errors, 32_000);
    assert_eq!(sheet.earned().guest, 0);
    let mut total = PlayerTotals::default();
    for _ in 0..9 {
        for player in sheet.players().home.values() {
            total.add(player);
        }
    }
    assert_eq!((total.errors, total.total_bases()), (u16::MAX, 0));
    total.home_runs = u16::MAX;
    assert_eq!(total.total_bases(), u16::MAX);
}

/// The same totals, added up another way, for any game.
fn agrees(game: &Game, h: &History) {
    let line = LineScore::new(h.outcomes());
    let sheet = BoxScore::of(h);
    for side in Side::BOTH {
        let tally = game.tally()[side];
        let players = sheet.players()[side].values();
        assert_eq!(line.totals()[side].runs, tally.runs);
        assert_eq!(line.totals()[side].left, tally.left);
        assert_eq!(players.clone().map(|p| p.runs).sum::<u16>(), tally.runs);
        assert_eq!(players.clone().map(|p| p.turns).sum::<u16>(), tally.turns);
        assert_eq!(players.clone().map(|p| p.left).sum::<u16>(), tally.left);
        assert_eq!(
            players.clone().map(|p| p.hits).sum::<u16>(),
            line.totals()[side].hits
        );
        let made: u16 = sheet.players()[side.other()]
            .values()
            .map(|p| p.putouts)
            .sum();
        let field = side.other();
        let nobody = sheet.unassigned_putouts()[field] + sheet.uncredited_putouts()[field];
        assert_eq!(made + nobody, tally.outs);
        let charged: u16 = players.clone().map(|p| p.errors).sum();
        assert_eq!(
            charged + sheet.unassigned_errors()[side],
            line.totals()[side].errors
        );
        assert!(sheet.earned()[side] <= tally.runs);
        assert_eq!(game.balance(side), 0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn every_sheet_agrees_with_the_game(
        picks in prop::collection::vec(any::<(u16, u8)>(), 0..120),
    ) {
        let mut h = history(Edition::federation());
        for (pick, touch) in picks {
            let calls = h.game().legal_calls();
            if calls.is_empty() { break; }
            let mut call = calls[usize::from(pick) % calls.len()].clone();
            let n = usize::from(touch % 4);
            let list = &Position::ALL[..n];
            // Some reach on an error, charged to a fielder, two, or nobody.
            let errors = match &mut call.batter {
                BatterFate::Safe { on, .. } if touch >= 128 => {
                    *on = Reach::Error;
                    &Position::ALL[..usize::from(touch / 4 % 3)]
                }
                _ => &[],
            };
            play(&mut h, by(call, list, errors));
        }
        agrees(h.game(), &h);
    }
}

/// A star says which touch was the putout; of more stars than outs the first
/// other one goes. Source: Official Baseball Rules 9.09.
#[test]
fn a_star_moves_a_putout_and_never_makes_one() {
    let touched = by(
        Call::new(BatterFate::OUT),
        &[FirstBase, Shortstop, SecondBase],
        &[],
    );
    let mut scoring = touched.scoring.unwrap();
    assert_eq!(scoring.putouts(1), [2]);
    scoring.star(0, 1);
    assert_eq!(scoring.putouts(1), [0]);
    scoring.star(1, 1);
    assert_eq!(scoring.putouts(1), [1], "one out, one star");
    scoring.star(2, 2);
    assert_eq!(scoring.putouts(2), [1, 2]);
    scoring.star(0, 2);
    assert_eq!(scoring.putouts(2), [0, 2]);
    scoring.star(9, 2);
    scoring.star(0, 2);
    scoring.star(2, 2);
    assert_eq!(scoring.starred, None, "as if nothing had been said");
    scoring.star(0, 0);
    assert_eq!(scoring.starred, None, "no out, no putout");

    let starred = |edition: Edition, batter| {
        let mut h = history(edition);
        let mut call = by(Call::new(batter), &[FirstBase, Shortstop], &[]);
        call.scoring.as_mut().unwrap().star(0, 1);
        play(&mut h, call);
        let sheet = BoxScore::of(&h);
        let of = |n| {
            sheet.players()[Side::Home]
                .get(&shirt(n))
                .map_or(0, |t| t.putouts)
        };
        [of(11), of(14)]
    };
    assert_eq!(starred(Edition::federation(), BatterFate::OUT), [1, 0]);
}
