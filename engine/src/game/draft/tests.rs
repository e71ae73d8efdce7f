#![allow(clippy::panic, clippy::unwrap_used, clippy::expect_used)]

use super::*;
use crate::game::Change;
use crate::game::tests::{game, safe};
use crate::play::Advance;
use crate::rules::Edition;
use alloc::format;

const OUT: BatterChoice = BatterChoice::Out;

fn fresh() -> Game {
    game(Edition::federation())
}

fn after(calls: &[Call]) -> Game {
    calls
        .iter()
        .fold(fresh(), |game, call| match game.apply(call) {
            Ok(played) => played.game,
            Err(refused) => panic!("{}", refused.objection),
        })
}

/// A runner on second and one on first.
fn two_on() -> Game {
    after(&[safe(Goal::First), safe(Goal::First)])
}

#[test]
fn the_first_tap_of_a_newcomer_changes_nothing() {
    let game = fresh();
    let mut draft = Draft::default();
    let before = draft.call(&game);
    draft.choose_batter(BatterChoice::Safe(Goal::First));
    assert_eq!(draft.call(&game), before);
    assert_eq!(before, safe(Goal::First));
}

#[test]
fn what_is_chosen_outlives_every_later_tap() {
    let game = two_on();
    let mut draft = Draft::default();
    draft.choose_runner(Base::Second, RunnerChoice::To(Goal::Home));
    for choice in [
        BatterChoice::Safe(Goal::Second),
        OUT,
        BatterChoice::Caught,
        BatterChoice::Safe(Goal::First),
    ] {
        draft.choose_batter(choice);
        assert_eq!(
            draft.runner(&game, Base::Second),
            Some(RunnerFate::to(Goal::Home)),
            "after {choice:?}"
        );
    }
    // A call that no longer fits is refused, not mended silently.
    draft.choose_runner(Base::First, RunnerChoice::Holds);
    assert!(matches!(
        draft.check(&game),
        Err(Unready::Refused(PlayObjection::SameBase { .. }))
    ));
    assert_eq!(draft.runner(&game, Base::First), Some(RunnerFate::Holds));
}

#[test]
fn an_out_takes_the_way_that_fits_the_batter() {
    let game = after(&[safe(Goal::First)]);
    let mut draft = Draft::default();
    draft.choose_runner(Base::First, RunnerChoice::Out);
    let how = |draft: &Draft| match draft.runner(&game, Base::First) {
        Some(RunnerFate::Out { how, .. }) => how,
        other => panic!("{other:?}"),
    };
    assert_eq!(how(&draft), PutOut::Forced);
    draft.choose_batter(BatterChoice::Caught);
    assert_eq!(how(&draft), PutOut::NotBack);
    assert!(draft.check(&game).is_ok());
    // A way that was said stays, and is refused where it cannot be.
    draft.choose_runner(
        Base::First,
        RunnerChoice::Exactly(RunnerFate::Out {
            at: Some(Goal::First),
            how: PutOut::NotBack,
        }),
    );
    draft.choose_batter(BatterChoice::Safe(Goal::First));
    assert!(matches!(
        draft.check(&game),
        Err(Unready::Refused(PlayObjection::NoCatch(_)))
    ));
}

#[test]
fn reasons_come_back_with_what_they_were_said_for() {
    let mut draft = Draft::default();
    draft.set_batter(BatterFate::Illegal(IllegalAct::Foul));
    draft.choose_batter(BatterChoice::Safe(Goal::First));
    draft.toggle_reach(Reach::Error);
    draft.choose_batter(BatterChoice::Safe(Goal::Second));
    let on = Reach::Error;
    let at = Goal::Second;
    assert_eq!(draft.batter(), BatterFate::Safe { at, on, then: None });
    draft.choose_batter(BatterChoice::Illegal);
    assert_eq!(draft.batter(), BatterFate::Illegal(IllegalAct::Foul));
    draft.toggle_reach(Reach::Error);
    draft.choose_batter(BatterChoice::Safe(Goal::First));
    assert_eq!(draft.batter(), BatterFate::safe(Goal::First));
}

#[test]
fn one_touch_more_is_a_base_on_the_error() {
    let game = fresh();
    let mut draft = Draft::default();
    draft.toggle_further();
    let single_and_second = Continuation::Base(FurtherBase {
        to: Goal::Second,
        on: Advance::Error,
    });
    let (at, on) = (Goal::First, Reach::Hit);
    let then = Some(single_and_second);
    assert_eq!(draft.batter(), BatterFate::Safe { at, on, then });
    let due = game.due();
    let said = draft.check(&game).map(|o| o.consequence());
    assert_eq!(said, Ok(format!("{due} safe at 1st, to 2nd, on an error")));
    // It stays one base further from wherever the hit brought the batter.
    draft.choose_batter(BatterChoice::Safe(Goal::Second));
    let BatterFate::Safe {
        then: Some(Continuation::Base(further)),
        ..
    } = draft.batter()
    else {
        panic!("a further base");
    };
    assert_eq!(further.to, Goal::Third);
    draft.toggle_further();
    assert_eq!(draft.batter(), BatterFate::safe(Goal::Second));
    draft.choose_batter(BatterChoice::Safe(Goal::Home));
    draft.toggle_further();
    assert_eq!(draft.batter(), BatterFate::safe(Goal::Home));
}

#[test]
fn an_out_before_the_hit_with_the_ball_dead_is_two_choices() {
    let game = two_on();
    let mut draft = Draft::default();
    draft.choose_batter(BatterChoice::NoHit);
    draft.choose_runner(Base::First, RunnerChoice::Out);
    let early = RunnerFate::Out {
        at: None,
        how: PutOut::LeftEarly,
    };
    assert_eq!(draft.runner(&game, Base::First), Some(early));
    assert!(draft.check(&game).is_ok());
}

#[test]
fn a_base_on_a_dead_ball_is_given() {
    let game = two_on();
    let mut draft = Draft::default();
    draft.choose_batter(BatterChoice::Illegal);
    draft.choose_runner(Base::Second, RunnerChoice::To(Goal::Third));
    let given = matches!(
        draft.runner(&game, Base::Second),
        Some(RunnerFate::To {
            on: Advance::Award,
            ..
        })
    );
    assert!(given);
}

#[test]
fn an_answer_belongs_to_its_question() {
    // Two out, a runner on third and one on second.
    let game = after(&[
        Call::new(BatterFate::Caught),
        Call::new(BatterFate::Caught),
        safe(Goal::First),
        safe(Goal::Second),
    ]);
    let mut draft = Draft::default();
    draft.choose_runner(Base::Third, RunnerChoice::To(Goal::Home));
    let tagged = RunnerFate::Out {
        at: Some(Goal::Home),
        how: PutOut::Tagged,
    };
    draft.choose_runner(Base::Second, RunnerChoice::Exactly(tagged));
    let Err(Unready::Asks(question)) = draft.check(&game) else {
        panic!("the question of the third out");
    };
    // The lanes stand while it is open.
    assert_eq!(draft.runner(&game, Base::Second), Some(tagged));
    draft.answer(question, 1);
    assert_eq!(draft.check(&game).map(|o| o.runs), Ok(1));
    // Another play asks nothing: the answer is not recorded with it.
    draft.choose_batter(OUT);
    assert_eq!(draft.call(&game).home_first, None);
    draft.choose_batter(BatterChoice::Safe(Goal::First));
    assert_eq!(draft.check(&game).map(|o| o.runs), Ok(1));
}

#[test]
fn a_recorded_call_is_a_draft_and_the_same_call_again() {
    let game = two_on();
    let mut calls = game.legal_calls();
    calls.push(safe(Goal::First).with_runner(Base::Second, RunnerFate::to(Goal::Home)));
    let two_out = after(&[
        Call::new(BatterFate::Caught),
        Call::new(BatterFate::Caught),
        safe(Goal::Third),
    ]);
    for (game, calls) in [(&game, calls), (&two_out, two_out.legal_calls())] {
        assert!(calls.len() > 10);
        for call in calls {
            assert_eq!(Draft::of_call(game, &call).call(game), call);
        }
    }
}

#[test]
fn the_button_says_what_it_comes_to() {
    let game = two_on();
    let said = |change: &dyn Fn(&mut Draft)| {
        let mut draft = Draft::default();
        change(&mut draft);
        match draft.check(&game) {
            Ok(outcome) => outcome.consequence(),
            Err(why) => panic!("{why:?}"),
        }
    };
    let due = game.due();
    assert_eq!(said(&|_| ()), format!("{due} safe at 1st"));
    assert_eq!(
        said(&|d| {
            d.toggle_reach(Reach::Error);
            d.choose_runner(Base::Second, RunnerChoice::To(Goal::Home));
        }),
        format!("{due} safe at 1st, 1 run, on an error")
    );
    assert_eq!(
        said(&|d| {
            d.scoring.errors.push(crate::team::Position::FirstBase);
            d.choose_runner(Base::Second, RunnerChoice::To(Goal::Home));
        }),
        format!("{due} safe at 1st, 1 run, error by first base")
    );
    assert_eq!(
        said(&|d| {
            d.choose_batter(OUT);
            d.choose_runner(Base::First, RunnerChoice::Out);
        }),
        "2 outs, no run"
    );
    assert_eq!(
        said(&|d| d.set_batter(BatterFate::Illegal(IllegalAct::Foul))),
        format!("{due} out: foul")
    );
    let last = after(&[Call::new(BatterFate::Caught), Call::new(BatterFate::Caught)]);
    let third = Draft::of_call(&last, &Call::new(BatterFate::Caught));
    let outcome = third.check(&last).unwrap_or_else(|why| panic!("{why:?}"));
    assert_eq!(outcome.change, Change::Sides);
    assert_eq!(
        outcome.consequence(),
        format!("{} out, change sides", last.due())
    );
}
