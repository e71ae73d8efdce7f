#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
use alloc::string::ToString;
use alloc::sync::Arc;
use alloc::vec::Vec;
use core::ops::Range;

use super::*;
use crate::play::{
    Advance, Base, BatterFate, Call, Continuation, FurtherBase, Goal, IllegalAct, PutOut,
    RunnerFate, TrailingOut,
};
use crate::rules::Edition;
use crate::team::{BySide, Card, Player, Shirt, Side};
use proptest::prelude::*;

pub fn shirt(n: u8) -> Shirt {
    Shirt::new(n).unwrap()
}

/// Five hitters from this number on, and three reserves.
pub fn card(team: &str, first: u8) -> Card {
    let players = |range: Range<u8>| range.map(|n| Player::numbered(shirt(n)));
    Card::new(team, players(first..first + 5)).with_reserves(players(first + 5..first + 8))
}

pub fn cards() -> BySide<Card> {
    BySide {
        guest: card("Quay Street", 21),
        home: card("Tram Yard", 11),
    }
}

pub fn fixture(edition: Edition) -> Arc<Fixture> {
    Arc::new(Fixture::new(edition, &cards()).unwrap())
}

pub fn game(edition: Edition) -> Game {
    Game::new(fixture(edition))
}

fn play(game: Game, call: Call) -> Game {
    game.apply(&call)
        .unwrap_or_else(|r| panic!("{call:?}: {}", r.objection))
        .game
}

pub const OUT: Call = Call::new(BatterFate::OUT);
pub const fn safe(at: Goal) -> Call {
    Call::new(BatterFate::safe(at))
}

#[test]
fn a_default_moves_only_those_who_must() {
    let mut g = game(Edition::federation());
    g = play(g, safe(Goal::First));
    g = play(g, safe(Goal::Second));
    assert_eq!(g.bases()[Base::Third].unwrap().shirt, shirt(21));
    assert_eq!(g.bases()[Base::Second].unwrap().shirt, shirt(22));
    g = play(g, safe(Goal::First));
    assert_eq!(g.on_base(), 3, "runners on 2nd and 3rd were not forced");
    assert_eq!(g.score().guest, 0);
    g = play(g, safe(Goal::First));
    assert_eq!(g.score().guest, 1);
}

#[test]
fn a_refusal_changes_nothing_and_says_what_is_wrong() {
    let g = play(game(Edition::federation()), safe(Goal::First));
    let call = safe(Goal::Second).with_runner(Base::First, RunnerFate::Holds);
    let refused = g.clone().apply(&call).unwrap_err();
    assert_eq!(refused.game, g);
    assert_eq!(
        refused.objection,
        PlayObjection::Passing {
            ahead: shirt(21),
            behind: shirt(22)
        }
    );
}

#[test]
fn runs_at_a_third_out_by_tag_are_asked_about() {
    let mut g = game(Edition::federation());
    g = play(g, OUT);
    g = play(g, OUT);
    g = play(g, safe(Goal::Second));
    g = play(g, safe(Goal::First));
    let tag = RunnerFate::Out {
        at: Some(Goal::Third),
        how: PutOut::Tagged,
    };
    let call = safe(Goal::First)
        .with_runner(Base::Second, RunnerFate::to(Goal::Home))
        .with_runner(Base::First, tag);
    let ask = g.question(&call).unwrap();
    assert_eq!((ask.who, ask.out), (alloc::vec![shirt(23)], shirt(24)));
    let refused = g.clone().apply(&call).unwrap_err();
    assert_eq!(refused.objection, PlayObjection::RunsUnanswered { most: 1 });
    let yes = play(g.clone(), call.clone().with_home_first(1));
    assert_eq!((yes.score().guest, yes.tally().guest.left), (1, 1));
    let no = play(g, call.with_home_first(0));
    assert_eq!((no.score().guest, no.tally().guest.left), (0, 2));
}

/// Source: Official Baseball Rules 5.08(a)(2), 9.05(b)(1), from memory.
#[test]
fn a_forced_runner_tagged_is_a_force_with_no_question_and_no_hit() {
    let mut g = game(Edition::federation());
    g = play(g, OUT);
    g = play(g, OUT);
    g = play(g, safe(Goal::Third));
    g = play(
        g,
        safe(Goal::First).with_runner(Base::Third, RunnerFate::Holds),
    );
    let tag = |at| RunnerFate::Out {
        at,
        how: PutOut::Tagged,
    };
    let home = safe(Goal::First).with_runner(Base::Third, RunnerFate::to(Goal::Home));
    for at in [None, Some(Goal::First), Some(Goal::Second)] {
        let call = home.clone().with_runner(Base::First, tag(at));
        assert_eq!(g.question(&call), None);
        let answered = call.clone().with_home_first(1);
        assert_eq!(g.resolve(&answered), Err(PlayObjection::NotAsked));
        let played = g.clone().apply(&call).unwrap();
        assert_eq!(played.game.score().guest, 0);
        assert_eq!(played.outcome.reach(), Some(crate::play::Reach::Choice));
        let told = played.outcome.sentences();
        let place = at.map_or("".into(), |g| alloc::format!(" at {g}"));
        let out = alloc::format!("24 is out{place}: forced to run, tagged before the next base.");
        assert!(told.contains(&out), "{told:?}");
    }
    let further = home.with_runner(Base::First, tag(Some(Goal::Third)));
    assert_eq!(g.question(&further).unwrap().out, shirt(24));
    let played = g.apply(&further.with_home_first(1)).unwrap();
    let told = played.outcome.sentences();
    assert!(told.contains(&"24 is out at 3rd: tagged with the ball off the base.".into()));
}

#[test]
fn no_run_counts_on_a_force_or_before_first() {
    let mut g = game(Edition::federation());
    g = play(g, OUT);
    g = play(g, OUT);
    g = play(g, safe(Goal::Third));
    let home = Call {
        third: Some(RunnerFate::to(Goal::Home)),
        ..OUT
    };
    assert!(g.question(&home).is_none());
    let g = play(g, home);
    assert_eq!(
        (g.at_bat(), g.score().guest, g.tally().guest.left),
        (Side::Home, 0, 1)
    );
}

#[test]
fn the_batter_due_on_third_needs_someone_to_run() {
    let mut g = game(Edition::federation());
    g = play(g, safe(Goal::Third));
    g = play(g, OUT);
    g = play(g, OUT);
    g = play(g, safe(Goal::First));
    g = play(g, safe(Goal::First));
    assert!(g.needs_courtesy_runner(), "21 is on third and due");
    let refused = g.clone().apply(&OUT).unwrap_err();
    assert_eq!(
        refused.objection,
        PlayObjection::CourtesyRunnerNeeded {
            due: shirt(21),
            base: Base::Third
        }
    );
    assert_eq!(g.courtesy_runners(), [23, 26, 27, 28].map(shirt));
    let g = g.note(&Notice::CourtesyRunner { by: shirt(23) }).unwrap();
    let g = play(g, safe(Goal::First));
    assert_eq!(g.score().guest, 1);
    assert_eq!(g.bases()[Base::First].unwrap().shirt, shirt(21));
    assert_eq!(g.balance(Side::Guest), 0);
}

/// Set by the competition: a second warning to the same person proposes the
/// ejection until it is done. A corrected number is the same person.
#[test]
fn a_second_warning_proposes_the_ejection() {
    let warn = |to| Notice::Warning {
        side: Side::Guest,
        to,
        text: "Shouting.".to_string(),
    };
    let tell = |g: Game, n: &Notice| g.note(n).unwrap();
    let edition = Edition::federation().with("second-warning", "ejection");
    let mut g = game(edition.unwrap());
    for to in [
        WarningRecipient::Player(shirt(24)),
        WarningRecipient::Coach,
        WarningRecipient::Bench,
        WarningRecipient::Bench,
    ] {
        g = tell(g, &warn(to));
        assert_eq!(g.proposes_ejection(Side::Guest), None);
    }
    let (side, from, to) = (Side::Guest, shirt(24), shirt(42));
    g = tell(g, &Notice::Renumber { side, from, to });
    g = tell(g, &warn(WarningRecipient::Player(to)));
    assert_eq!(g.warnings(side, WarningRecipient::Player(to)), 2);
    assert_eq!(
        g.proposes_ejection(side),
        Some(WarningRecipient::Player(to))
    );
    let by = Some(shirt(26));
    let sent = Notice::Ejection { side, who: to, by };
    g = tell(g, &sent);
    assert_eq!(g.proposes_ejection(side), None);
    g = tell(g, &warn(WarningRecipient::Coach));
    assert_eq!(g.proposes_ejection(side), Some(WarningRecipient::Coach));
    let name = "Dana".to_string();
    g = tell(g, &Notice::CoachEjection { side, name });
    assert_eq!(g.proposes_ejection(side), None);
    let mut g = game(Edition::federation());
    for _ in 0..3 {
        g = tell(g, &warn(WarningRecipient::Player(shirt(24))));
    }
    assert_eq!(g.proposes_ejection(Side::Guest), None, "no such rule here");
}

/// Source: Official Baseball Rules 5.08(a), from memory. After a third out before
/// first nobody asks where the runners got to; after a time play it is told whose
/// run came too late.
#[test]
fn a_story_tells_of_a_run_too_late_only_where_it_was_close() {
    let mut g = game(Edition::federation());
    for call in [
        OUT,
        OUT,
        safe(Goal::Third),
        safe(Goal::First).with_runner(Base::Third, RunnerFate::Holds),
    ] {
        g = play(g, call);
    }
    let home = |call: Call| call.with_runner(Base::Third, RunnerFate::to(Goal::Home));
    let told = |call: Call| g.clone().apply(&call).unwrap().outcome.sentences();
    assert_eq!(told(home(OUT)).len(), 1);
    let stretched = Call::new(BatterFate::Safe {
        at: Goal::First,
        on: crate::play::Reach::Hit,
        then: Some(Continuation::Out(TrailingOut {
            at: Goal::Second,
            how: PutOut::Tagged,
        })),
    });
    let told = told(home(stretched).with_home_first(0));
    assert!(
        told.iter().any(|s| s.contains("23 is home too late")),
        "{told:?}"
    );
}

/// A turn passed by a play that no longer fits leaves nobody put out: whatever
/// the policy and the card, somebody may run, and it is said who.
#[test]
fn somebody_may_always_run_for_the_batter_due() {
    let edition = Edition::federation().with("loaded-runner", "last-out");
    let mut g = play(game(edition.unwrap()), safe(Goal::First));
    for _ in 0..4 {
        g.pass_turns(1);
    }
    assert!(g.needs_courtesy_runner() && g.last_out().is_none());
    assert_eq!(g.courtesy_runners(), [26, 27, 28].map(shirt));
    for who in [26, 27, 28].map(shirt) {
        let (side, by) = (Side::Guest, None);
        g = g.note(&Notice::Ejection { side, who, by }).unwrap();
    }
    assert_eq!(g.courtesy_runners(), [22, 23, 24, 25].map(shirt));
    let refused = g
        .clone()
        .note(&Notice::CourtesyRunner { by: shirt(26) })
        .unwrap_err();
    assert_eq!(
        alloc::format!("{}", refused.objection),
        "Number 26 may not run here. In this competition it would be the last player put out, \
         but there is none: so it is any of the five who is not on base. \
         Choose 22, 23, 24 or 25."
    );
    g = g.note(&Notice::CourtesyRunner { by: shirt(22) }).unwrap();
    assert!(g.courtesy_runner_sentence().is_none());
    play(g, OUT);
}

/// Source: glossary, end of game (published); which players: from memory.
#[test]
fn extra_innings_open_with_one_two_and_three_runners() {
    let mut g = game(Edition::federation());
    for half in 0..14 {
        let placed = [0, 1, 2]
            .get(half / 2 - (half / 2).min(4))
            .copied()
            .unwrap_or(3);
        assert_eq!(usize::from(g.on_base()), placed, "half {half}");
        if placed > 0 {
            let before = g.next_place(g.at_bat()).before(1);
            let nearest = g.squads()[g.at_bat()].at(before);
            assert_eq!(g.bases()[Base::First].unwrap().shirt, nearest);
        }
        for _ in 0..3 {
            g = play(g, Call::new(BatterFate::Illegal(IllegalAct::Foul)));
        }
    }
    assert_eq!(g.inning(), 8);
    assert!(Side::BOTH.iter().all(|s| g.balance(*s) == 0));
}

#[test]
fn legal_calls_from_an_empty_court_are_twenty_three() {
    // 4 bases; 6 further on an error; 9 out at or after a base; out, caught,
    // illegal, no hit.
    assert_eq!(game(Edition::federation()).legal_calls().len(), 23);
}

/// Any call that the shape list can hold, legal or not.
fn any_shape(g: &Game) -> impl Strategy<Value = Call> + use<> {
    let goal = (0usize..4).prop_map(|n| Goal::ALL[n]);
    let then = prop_oneof![
        7 => Just(None),
        2 => goal.clone().prop_map(|at| {
            let how = PutOut::Tagged;
            Some(Continuation::Out(TrailingOut { at, how }))
        }),
        1 => goal.clone().prop_map(|to| {
            let on = Advance::Error;
            Some(Continuation::Base(FurtherBase { to, on }))
        }),
    ];
    let batter = prop_oneof![
        4 => (goal.clone(), then.clone()).prop_map(|(at, then)| BatterFate::Safe {
            at,
            on: crate::play::Reach::Hit,
            then
        }),
        1 => Just(BatterFate::OUT),
        1 => Just(BatterFate::Caught),
        1 => Just(BatterFate::Illegal(IllegalAct::NoHitZone)),
        1 => Just(BatterFate::NoHit),
    ];
    let out = |at, how| RunnerFate::Out { at, how };
    let runner = move |base: Base| {
        prop_oneof![
            3 => Just(RunnerFate::Holds),
            4 => (goal.clone(), then.clone()).prop_map(|(goal, then)| RunnerFate::To {
                goal,
                on: Advance::Hit,
                then
            }),
            2 => goal.clone().prop_map(move |g| out(Some(g), PutOut::Tagged)),
            1 => goal.clone().prop_map(move |g| out(Some(g), PutOut::Missed)),
            1 => Just(out(Some(base.next()), PutOut::Forced)),
            1 => Just(out(Some(base.goal()), PutOut::NotBack)),
            1 => Just(out(None, PutOut::LeftEarly)),
            1 => Just(out(None, PutOut::Passed)),
            1 => Just(out(None, PutOut::Shared)),
        ]
    };
    let on = |b: Base| g.bases()[b].is_some();
    let seat =
        |b: Base, there: bool| runner(b).prop_map(move |f| if there { Some(f) } else { None });
    (
        batter,
        seat(Base::First, on(Base::First)),
        seat(Base::Second, on(Base::Second)),
        seat(Base::Third, on(Base::Third)),
        prop::option::weighted(0.4, 0u8..4),
    )
        .prop_map(|(batter, first, second, third, home_first)| Call {
            first,
            second,
            third,
            home_first,
            ..Call::new(batter)
        })
}

/// Plays random legal calls, `picks` choosing among the listed ones.
pub fn wander(mut g: Game, picks: &[u16]) -> Game {
    for pick in picks {
        if g.needs_courtesy_runner() {
            let who = g.courtesy_runners();
            g = g
                .note(&Notice::CourtesyRunner {
                    by: who[usize::from(*pick) % who.len()],
                })
                .unwrap();
        }
        let calls = g.legal_calls();
        if calls.is_empty() {
            break;
        }
        let call = &calls[usize::from(*pick) % calls.len()];
        g = play(g, call.clone());
        for side in Side::BOTH {
            assert_eq!(g.balance(side), 0, "{call:?}");
        }
    }
    g
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Everything a lane offers fits, and every listed call is made of offers.
    #[test]
    fn offers_fit(picks in prop::collection::vec(any::<u16>(), 0..30)) {
        let g = wander(game(Edition::federation()), &picks);
        for call in g.legal_calls() {
            for base in Base::ALL {
                let Some(fate) = call.runners()[base] else { continue };
                let offered = g.ways_safe(&call, base).contains(&fate)
                    || g.ways_out(&call, base).contains(&fate)
                    || matches!(fate, RunnerFate::To { then: Some(then), .. }
                        if g.continuations(&call, Some(base)).contains(&then));
                prop_assert!(offered, "{base}: {fate:?} in {call:?}");
            }
        }
    }

    /// Every listed call is accepted, no two are the same, and any call of
    /// the same alphabet that is not listed is refused.
    #[test]
    fn the_list_and_the_judge_agree(
        picks in prop::collection::vec(any::<u16>(), 0..40),
        seeds in prop::collection::vec(any::<u64>(), 24),
        live in any::<bool>(),
    ) {
        let left_early = if live { "live" } else { "dead" };
        let edition = Edition::federation().with("left-early", left_early).unwrap();
        let g = wander(game(edition), &picks);
        let calls = g.legal_calls();
        let mut listed: std::collections::HashSet<&Call> = calls.iter().collect();
        for call in &calls {
            prop_assert!(g.resolve(call).is_ok(), "{call:?}: {:?}", g.resolve(call));
            prop_assert!(listed.remove(call), "listed twice: {call:?}");
        }
        for seed in seeds {
            let mut runner = proptest::test_runner::TestRunner::new_with_rng(
                ProptestConfig::default(),
                proptest::test_runner::TestRng::from_seed(
                    proptest::test_runner::RngAlgorithm::ChaCha,
                    &[seed.to_le_bytes(); 4].concat(),
                ),
            );
            let call = proptest::strategy::ValueTree::current(
                &any_shape(&g).new_tree(&mut runner).unwrap(),
            );
            let judged = g.resolve(&call);
            // An unneeded "none was first" is accepted but not listed.
            let listed = calls.contains(&call)
                || (call.home_first == Some(0)
                    && judged.as_ref().is_ok_and(|r| r.home_first_most == 0));
            prop_assert_eq!(listed, judged.is_ok(), "{:?}: {:?}", call, judged);
        }
    }

    /// An error fits every legal call but that of an illegal hit.
    #[test]
    fn an_error_fits_unless_the_ball_was_dead(picks in prop::collection::vec(any::<u16>(), 0..30)) {
        let g = wander(game(Edition::federation()), &picks);
        for mut call in g.legal_calls() {
            call.scoring = Some(crate::play::Scoring {
                errors: alloc::vec![crate::team::Position::Midfielder],
                ..Default::default()
            });
            let want = match call.batter {
                BatterFate::Illegal(_) | BatterFate::NoHit => {
                    Err(PlayObjection::ErrorOnDeadBall { batter: g.due() })
                }
                _ => Ok(()),
            };
            prop_assert_eq!(g.resolve(&call).map(|_| ()), want, "{:?}", call);
        }
    }

    /// Every game of legal calls balances at each play, in every edition.
    #[test]
    fn games_prove_at_every_play(
        picks in prop::collection::vec(any::<u16>(), 0..160),
        base in 0usize..3,
    ) {
        let edition = Edition::built_in(crate::rules::BuiltIn::ALL[base]);
        let g = wander(game(edition), &picks);
        if g.ending().is_some() {
            prop_assert!(g.winner().is_some());
            let all: Vec<_> = g.legal_calls();
            prop_assert!(all.is_empty());
        }
    }
}
