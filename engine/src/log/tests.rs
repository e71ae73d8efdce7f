#![allow(clippy::unwrap_used, missing_docs)]
use alloc::string::String;
use alloc::vec::Vec;

use super::*;
use crate::game::tests::{OUT, safe};
use crate::game::{Game, Notice, PlayObjection};
use crate::play::{Base, BatterFate, Call, Goal, PlateAppearance, RunnerFate};
use crate::rules::Edition;
use crate::team::Side;
use proptest::prelude::*;

pub fn history() -> History {
    History::new(crate::game::tests::fixture(Edition::federation()))
}

pub fn add(h: &mut History, event: Event) -> u64 {
    h.check(&event).unwrap();
    let seq = h.events().last().map_or(1, |(s, _)| s + 1);
    h.push(seq, event);
    seq
}

pub fn play(h: &mut History, call: Call) -> u64 {
    let event = h.next_play(call);
    add(h, event)
}

/// One of what fits now, by any number: a legal call, or the courtesy runner
/// who is needed first; `None` when the game is over.
pub fn any_next(h: &History, pick: usize) -> Option<Event> {
    if let Some(by) = h.game().courtesy_runners().first() {
        return Some(Event::Notice(Notice::CourtesyRunner { by: *by }));
    }
    let calls = h.game().legal_calls();
    let call = calls.get(pick % calls.len().max(1))?;
    Some(h.next_play(call.clone()))
}

fn amend(target: u64, change: Correction) -> Event {
    Event::Amend(Amendment { target, change })
}

#[test]
fn undo_takes_back_the_last_thing_in_force_one_by_one() {
    let mut h = history();
    let start = h.game().clone();
    let first = play(&mut h, safe(Goal::First));
    let one = h.game().clone();
    let pause = add(&mut h, Event::Notice(Notice::TimeOut { side: Side::Guest }));
    let fix = add(&mut h, amend(first, Correction::Replace(safe(Goal::Third))));
    assert!(h.game().bases()[Base::Third].is_some());
    for (target, want) in [(fix, None), (pause, Some(&one)), (first, Some(&start))] {
        assert_eq!(h.last_in_force(), Some(target));
        add(&mut h, Event::Undo { target });
        if let Some(want) = want {
            assert_eq!(h.game(), want);
        }
    }
    assert_eq!(
        h.check(&Event::Undo { target: first }),
        Err(RecordObjection::NothingToUndo)
    );
    assert_eq!(h.events().len(), 6, "nothing is erased");
}

/// A protest is about the game as it was when it was made.
#[test]
fn what_was_before_an_entry_stays_whatever_is_corrected_and_replayed_since() {
    let mut h = history();
    let first = play(&mut h, safe(Goal::First));
    let protested = play(&mut h, OUT);
    let protest = add(
        &mut h,
        Event::Notice(Notice::Protest {
            side: Side::Guest,
            text: String::new(),
        }),
    );
    let stood = h.before(protested);
    play(&mut h, OUT);
    add(&mut h, amend(first, Correction::Replace(safe(Goal::Third))));
    add(&mut h, Event::Replay { target: protested });
    assert_eq!(h.before(protested), None, "it does not count any more");
    assert_eq!(h.until(protest).before(protested), stood);
    assert_eq!(h.until(u64::MAX).game(), h.game());
}

#[test]
fn an_amendment_names_the_plays_that_no_longer_fit() {
    let mut h = history();
    let first = play(&mut h, safe(Goal::First));
    play(
        &mut h,
        safe(Goal::First).with_runner(Base::First, RunnerFate::to(Goal::Third)),
    );
    play(&mut h, OUT);
    let event = amend(first, Correction::Replace(OUT));
    let preview = h.preview(event.clone()).unwrap();
    let lost: Vec<_> = preview.conflicts().map(|p| p.number).collect();
    assert_eq!(lost, [2]);
    assert_eq!(h.conflicts().count(), 0, "a preview records nothing");
    add(&mut h, event);
    assert_eq!(
        h.game().outs(),
        2,
        "the third play still fits its own batter"
    );
}

#[test]
fn an_amendment_that_is_illegal_where_it_stands_is_refused() {
    let mut h = history();
    let first = play(&mut h, safe(Goal::First));
    let wrong = safe(Goal::First).with_runner(Base::Second, RunnerFate::Holds);
    assert_eq!(
        h.check(&amend(first, Correction::Replace(wrong))),
        Err(RecordObjection::Play(PlayObjection::NoRunner(Goal::Second)))
    );
    assert_eq!(
        h.check(&amend(99, Correction::Remove)),
        Err(RecordObjection::NoSuchPlay(99))
    );
}

#[test]
fn an_early_third_out_leaves_later_plays_of_the_half_named() {
    let mut h = history();
    let seqs: Vec<u64> = (0..2).map(|_| play(&mut h, OUT)).collect();
    let hit = play(&mut h, safe(Goal::First));
    play(&mut h, OUT);
    play(&mut h, OUT);
    assert_eq!(h.game().at_bat(), Side::Home);
    add(&mut h, amend(hit, Correction::Replace(OUT)));
    let lost: Vec<_> = h.conflicts().map(|p| p.number).collect();
    assert_eq!(
        lost,
        [4],
        "the guests' fourth hitter no longer bats; the home side's play fits"
    );
    assert_eq!(h.game().outs(), 1);
    assert_eq!(seqs.len(), 2);
}

#[test]
fn a_play_recorded_twice_can_be_removed_and_a_missed_one_put_in() {
    let mut h = history();
    play(&mut h, safe(Goal::First));
    let twice = play(&mut h, safe(Goal::First));
    play(&mut h, OUT);
    add(&mut h, amend(twice, Correction::Remove));
    assert_eq!(h.conflicts().count(), 0);
    assert_eq!(h.game().due().get(), 23);
    assert_eq!(h.game().on_base(), 1);
    let last = h.plays().last().unwrap().seq;
    add(
        &mut h,
        amend(last, Correction::InsertBefore(safe(Goal::Second))),
    );
    assert_eq!(h.conflicts().count(), 0);
    assert_eq!(h.game().due().get(), 24);
    assert_eq!(h.plays().count(), 3);
    play(&mut h, OUT);
    assert_eq!(
        h.conflicts().count(),
        0,
        "plays after the correction carry the true turn"
    );
}

/// Replays every event from the start.
fn replay(h: &History) -> Game {
    let mut again = history();
    for (seq, event) in h.events() {
        again.push(*seq, event.clone());
    }
    again.game().clone()
}

/// Derived: nobody bats in more runs than there are (Official Baseball Rules
/// 9.04, from memory).
#[test]
fn more_runs_batted_in_than_the_play_has_are_refused_or_do_not_count() {
    let claims = |at, n| Call {
        scoring: Some(crate::play::Scoring {
            batted_in: Some(n),
            starred: None,
            ..Default::default()
        }),
        ..safe(at)
    };
    let batted_in = |h: &History| {
        let sheet = crate::score::BoxScore::of(h);
        let lines = sheet.players().guest.values();
        lines.map(|p| u32::from(p.batted_in)).sum::<u32>()
    };
    let mut h = history();
    for n in [2, 255] {
        let refused = h.check(&h.next_play(claims(Goal::Home, n))).unwrap_err();
        assert_eq!(refused, RecordObjection::BattedIn { runs: 1 });
    }
    play(&mut h, claims(Goal::Home, 1));
    let one = h.events()[0].0;
    let more = Correction::Replace(claims(Goal::First, 1));
    let refused = h.check(&amend(one, more.clone())).unwrap_err();
    assert_eq!(
        alloc::format!("{refused}"),
        "No run counts on this play: none can be batted in."
    );
    // Both officials agreed on it, whatever one scorer had noted before.
    let settled = Event::Settle(Amendment {
        target: one,
        change: more,
    });
    add(&mut h, settled);
    assert_eq!(batted_in(&h), 0);
    // A log that claims it all the same, 600 times over.
    let mut h = history();
    for seq in 1..=600 {
        h.push(seq, h.next_play(claims(Goal::Home, 255)));
    }
    assert_eq!(batted_in(&h), 600);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is recorded, a replay of the log gives the live state, and
    /// undoing everything gives the start.
    #[test]
    fn replay_equals_live(picks in prop::collection::vec(any::<(u16, u8)>(), 1..60)) {
        let mut h = history();
        let start = h.game().clone();
        for (pick, kind) in picks {
            let pick = usize::from(pick);
            let seqs: Vec<u64> = h.plays().map(|p| p.seq).collect();
            let event = match kind % 8 {
                0 => h.last_in_force().map(|target| Event::Undo { target }),
                1 if !seqs.is_empty() => {
                    let change = match pick % 3 {
                        0 => Correction::Remove,
                        1 => Correction::Replace(OUT),
                        _ => Correction::InsertBefore(safe(Goal::First)),
                    };
                    Some(amend(seqs[pick % seqs.len()], change))
                }
                _ => any_next(&h, pick),
            };
            if let Some(event) = event.filter(|e| h.check(e).is_ok()) {
                add(&mut h, event);
            }
            prop_assert_eq!(&replay(&h), h.game());
        }
        while let Some(target) = h.last_in_force() {
            add(&mut h, Event::Undo { target });
        }
        prop_assert_eq!(h.game(), &start);
    }

    /// An answer to "how many were home first?" is never taken for the answer
    /// to another question: the plays in force that fit have as many who could
    /// have been first as when they were answered; with another number they
    /// stand among those to be looked at.
    #[test]
    fn an_answer_stands_for_its_own_question_only(
        before in prop::collection::vec(any::<u16>(), 0..12),
        corrections in prop::collection::vec(any::<(u16, u16)>(), 1..4),
    ) {
        let mut h = history();
        for pick in before {
            let Some(event) = any_next(&h, pick.into()) else { break };
            add(&mut h, event);
        }
        // Two on, two out; the batter is out at home, everyone else home.
        while h.game().outs() != 2 || h.game().on_base() != 2 {
            let few = h.game().on_base() < 2;
            if h.game().needs_courtesy_runner() || h.game().ending().is_some() { return Ok(()); }
            play(&mut h, if few { safe(Goal::First) } else { OUT });
        }
        let tried = Call::new(BatterFate::Safe {
            at: Goal::Third,
            on: crate::play::Reach::Hit,
            then: Some(crate::play::Continuation::Out(crate::play::TrailingOut {
                at: Goal::Home,
                how: crate::play::PutOut::Tagged,
            })),
        });
        let asked = h.game().question(&tried).unwrap().who.len();
        if h.game().needs_courtesy_runner() { return Ok(()); }
        let last = play(&mut h, tried.clone().with_home_first(1));
        for (target, change) in corrections {
            let seqs: Vec<u64> = h.plays().map(|p| p.seq).filter(|s| *s < last).collect();
            if seqs.is_empty() { break; }
            let target = seqs[usize::from(target) % seqs.len()];
            let calls = h.before(target).unwrap().legal_calls();
            if calls.is_empty() { continue; }
            let call = calls[usize::from(change) % calls.len()].clone();
            let event = amend(target, Correction::Replace(call));
            if h.check(&event).is_ok() { add(&mut h, event); }
            let now = h.before(last).unwrap();
            let could = now.question(&tried).map_or(0, |q| q.who.len());
            let folded = h.plays().find(|p| p.seq == last).unwrap();
            let (fitted, answer) = (folded.result.clone(), folded.call.home_first);
            // An answer that nobody asks for any more is dropped.
            if fitted.is_ok() {
                prop_assert_eq!(could, if answer.is_some() { asked } else { 0 });
            }
            if fitted == Err(PlayObjection::RunsUnanswered { most: could as u8 }) {
                prop_assert!(could != asked && could > 0);
            }
            prop_assert_eq!(&replay(&h), h.game());
        }
    }

    /// After a correction far back no play is in conflict that could have
    /// happened: one that stands in the right place does not fit even with those
    /// said to hold taking the default, and of plays in conflict for the order of
    /// hitters no two follow one another.
    #[test]
    fn a_correction_far_back_leaves_only_true_conflicts(
        picks in prop::collection::vec(any::<u16>(), 60),
        target in any::<u16>(),
        change in any::<u16>(),
    ) {
        let mut h = history();
        for pick in picks {
            let Some(event) = any_next(&h, pick.into()) else { break };
            add(&mut h, event);
        }
        let seqs: Vec<u64> = h.plays().map(|p| p.seq).collect();
        let early = &seqs[..seqs.len().div_ceil(3)];
        let target = early[usize::from(target) % early.len()];
        let calls = h.before(target).unwrap().legal_calls();
        if calls.is_empty() { return Ok(()); }
        let call = calls[usize::from(change) % calls.len()].clone();
        let event = amend(target, Correction::Replace(call));
        if h.check(&event).is_err() { return Ok(()); }
        add(&mut h, event);
        prop_assert_eq!(h.plays().count(), seqs.len());
        prop_assert_eq!(&replay(&h), h.game());
        for side in Side::BOTH {
            prop_assert_eq!(h.game().balance(side), 0);
        }
        let mut out_of_order = None;
        for p in h.plays() {
            let now = h.before(p.seq).unwrap();
            let half = |t: PlateAppearance| (t.inning, t.side);
            let recorded = p.turn.unwrap();
            let order = matches!(p.result, Err(PlayObjection::NotDue { .. }))
                && half(now.turn()) == half(recorded);
            prop_assert!(!order || out_of_order != Some(half(recorded)), "{p:?}");
            out_of_order = order.then_some(half(recorded));
            let Err(objection) = &p.result else { continue };
            match objection {
                PlayObjection::Over(_) => prop_assert!(now.ending().is_some()),
                PlayObjection::NotDue { .. } => prop_assert!(now.turn() != recorded || order),
                // Asked again, with another number that may have been first.
                PlayObjection::RunsUnanswered { .. } => {}
                _ if now.turn() != recorded => {}
                _ => {
                    let mut meant = p.call.clone();
                    for base in Base::ALL {
                        if meant.runners()[base] == Some(RunnerFate::Holds) {
                            meant.set_runner(base, None);
                        }
                    }
                    prop_assert!(!now.fits(&meant), "{p:?}");
                }
            }
        }
    }
}
