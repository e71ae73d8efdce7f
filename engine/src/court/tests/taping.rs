//! Tape work: steps and the closing check. The steps are carried out and
//! planted errors found in bulk by `tests/court/check.py`.
use super::super::*;
use crate::rules::{Edition, Length};
use alloc::string::ToString;
use alloc::vec::Vec;
use proptest::prelude::*;

fn full() -> Court {
    Court::full(&Edition::federation(), Length::from_mm(1000))
}

#[test]
fn every_mark_is_made_once_and_only_from_marks_already_made() {
    let mut made = Vec::new();
    for step in set_out(&full()) {
        match step.task() {
            Task::Along { from, .. } => assert!(made.contains(from)),
            Task::Cross { first, second, .. } => {
                assert!(made.contains(&first.0) && made.contains(&second.0));
            }
            Task::Draw { through, .. } => assert!(through.iter().all(|m| made.contains(m))),
            Task::LayBase { mark } => assert!(made.contains(mark)),
            _ => {}
        }
        if let Some(mark) = step.mark() {
            assert!(!made.contains(&mark), "{mark} twice");
            made.push(mark);
        }
    }
    assert_eq!(made.len(), Mark::ALL.len());
}

#[test]
fn steps_read_plainly_in_both_units() {
    let steps = set_out(&full());
    let find = |mark| steps.iter().find(|s| s.mark() == Some(mark)).unwrap();
    assert_eq!(
        find(Mark::First).text(Units::Metric),
        "From home, measure 13.00 m towards the right fence corner. Mark first base."
    );
    assert_eq!(
        find(Mark::LeftCorner).text(Units::Metric),
        "Hold the tape 18.00 m from home and 25.46 m from the right fence corner. Where they meet, on the left hand as you look from home to the right fence corner, mark the left fence corner."
    );
    // 13 m are 42 ft 7 13/16 in.
    assert!(
        find(Mark::First)
            .text(Units::FeetInches)
            .contains("42 ft 7 3/4 in")
    );
    let angle = steps
        .iter()
        .find(|s| matches!(s.task(), Task::ThreeFourFive { .. }))
        .unwrap();
    assert!(
        angle
            .text(Units::Metric)
            .contains("18.00 m from home on the base line")
    );
    assert!(
        angle
            .text(Units::FeetInches)
            .contains("56 ft from home on the base line")
    );
    assert!(
        angle
            .text(Units::FeetInches)
            .contains("42 ft from home and 70 ft from")
    );
}

#[test]
fn an_edition_without_box_or_safe_area_sets_out_too() {
    let edition = Edition::federation()
        .with_all([("batters-box", "0"), ("safe-area", "0")])
        .unwrap();
    let steps = set_out(&Court::full(&edition, Length::from_mm(1000)));
    for absent in [
        Mark::BoxFirst,
        Mark::BoxBack,
        Mark::SafeEnd,
        Mark::SafeEndOut,
    ] {
        assert!(steps.iter().all(|s| s.mark() != Some(absent)));
    }
    assert!(steps.iter().any(|s| s.mark() == Some(Mark::FoulHalfFar)));
}

#[test]
fn the_closing_check_names_the_lean() {
    let court = full();
    assert_eq!(closing_check(&court, 25.456, 25.456, 0.01), Closing::Square);
    // 10 cm to the right: diagonals of sides 18 with the far marks shifted.
    let up = libm::sqrt(18.0 * 18.0 - 0.01);
    let (from_home, across) = (libm::hypot(18.1, up), libm::hypot(17.9, up));
    let verdict = closing_check(&court, from_home, across, 0.01);
    assert!(matches!(
        verdict,
        Closing::Leans {
            move_cm: 10,
            towards: LineSide::Left,
            ..
        }
    ));
    assert!(
        verdict.to_string().contains("10 cm to the left"),
        "{}",
        verdict.to_string()
    );
    let verdict = closing_check(&court, across, from_home, 0.01);
    assert!(matches!(
        verdict,
        Closing::Leans {
            move_cm: 10,
            towards: LineSide::Right,
            ..
        }
    ));
    assert!(matches!(
        closing_check(&court, 25.6, 25.6, 0.01),
        Closing::SidesWrong { side_cm: 10 }
    ));
    for bad in [f64::NAN, 0.0, -3.0, 99.0, f64::INFINITY] {
        assert_eq!(closing_check(&court, bad, 25.4, 0.01), Closing::Implausible);
    }
}

/// A quarter inch is 6.35 mm exactly (international inch, 1959; from memory).
#[test]
fn a_tape_shows_whole_centimetres_or_quarter_inches() {
    let show = |m: f64, u| TapeLength::from_metres(m).show(u).to_string();
    assert_eq!(show(18.384_776, Units::Metric), "18.38 m");
    assert_eq!(show(4.5, Units::FeetInches), "14 ft 9 1/4 in");
    assert_eq!(show(0.3048, Units::FeetInches), "1 ft 0 in");
    assert_eq!(show(0.995, Units::Metric), "1.00 m");
    assert_eq!(show(f64::NAN, Units::Metric), "0.00 m");
}

proptest! {
    #[test]
    fn no_diagonals_panic(
        readings in prop::array::uniform3(prop_oneof![Just(f64::NAN), Just(f64::INFINITY), -5.0f64..40.0]),
    ) {
        let [from_home, across, allowed] = readings;
        prop_assert!(!closing_check(&full(), from_home, across, allowed).to_string().is_empty());
    }
}
