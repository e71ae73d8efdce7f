//! Courts in spaces.
use super::super::*;
use crate::rules::{BuiltIn, Edition, Length};
use alloc::string::ToString;
use proptest::prelude::*;

fn fitted(draft: SpaceDraft) -> Fit {
    fit(
        &Space::new(draft).unwrap(),
        &Edition::federation(),
        &FitOptions::default(),
    )
}

fn court(draft: SpaceDraft) -> Court {
    match fitted(draft) {
        Fit::Fits(f) => f.court().clone(),
        Fit::DoesNotFit(s) => panic!("{}", s.sentence(Units::Metric)),
    }
}

/// 18 m of fair territory, 3 m of box and 1 m of run-off at either end make
/// 23 m, to the centimetre; a centimetre less reduces the court.
#[test]
fn the_full_court_needs_a_square_of_23_metres() {
    let exact = court(SpaceDraft::rectangle(23.0, 23.0));
    assert!(exact.reductions().is_empty());
    assert_eq!(
        exact.sentences(Units::Metric),
        ["The court has the full size of the edition."]
    );
    let home = exact.placement().unwrap().home();
    assert!((home.x - 4.0).abs() < 1e-6 && (home.y - 4.0).abs() < 1e-6 || home.x > 4.0);
    let short = Fit::court(&fitted(SpaceDraft::rectangle(22.9, 22.9)))
        .unwrap()
        .clone();
    assert!(!short.is_within_edition());
    assert!(
        short.infield_side().mm() >= 12_920,
        "{}",
        short.infield_side()
    );
}

/// Derived checks of the rule values: infield diagonal 13 * sqrt(2) = 18.385,
/// fair-square diagonal 18 * sqrt(2) = 25.456, no-hit line 4.5 * sqrt(2) =
/// 6.364; fence 18 - 13 = 5 m beyond the infield.
#[test]
fn derived_lengths_of_the_published_court() {
    let full = Court::full(&Edition::federation(), Length::from_mm(1000));
    let span = |a, b| {
        let (a, b) = (full.mark(a), full.mark(b));
        libm::hypot(a.x - b.x, a.y - b.y)
    };
    assert!((span(Mark::Home, Mark::Second) - 18.385).abs() < 5e-4);
    assert!((span(Mark::Home, Mark::FarCorner) - 25.456).abs() < 5e-4);
    assert!((span(Mark::NoHitFirst, Mark::NoHitThird) - 6.364).abs() < 5e-4);
    assert!((span(Mark::First, Mark::RightCorner) - 5.0).abs() < 1e-9);
    assert!((span(Mark::First, Mark::SafeEnd) - 1.5).abs() < 1e-9);
    assert_eq!(diagonal(&full).cm(), 2546);
}

#[test]
fn a_reduction_says_what_and_by_how_much() {
    let small = court(SpaceDraft::rectangle(16.0, 16.0));
    let words = small.sentences(Units::Metric).join(" ");
    #[cfg(feature = "competition")]
    for reduced in small.reductions() {
        let (message, text) = (
            reduced.message(Units::Metric),
            reduced.sentence(Units::Metric),
        );
        crate::message::tests::assert_says(&message, &text);
    }
    assert!(!small.is_within_edition());
    assert_eq!(small.no_hit().mm(), 3_000, "not under its minimum");
    let no_hit = small
        .reductions()
        .iter()
        .find(|r| r.measure() == Measure::NoHit)
        .unwrap();
    assert!(no_hit.within_edition());
    assert_eq!(no_hit.less_mm(), 1_500);
    assert!(words.contains("no longer within the edition"), "{words}");
    assert!(
        words.contains(
            "no-hit line from home: 3 m instead of 4.5 m, 1.5 m less, as the edition allows."
        ),
        "{words}"
    );
    assert_eq!(small.batters_box().mm(), 3_000, "the box keeps its size");
    assert_eq!(small.safe_area().mm(), 1_500, "so does the safe area");
}

#[test]
fn a_space_too_small_says_by_how_much() {
    let Fit::DoesNotFit(s) = fitted(SpaceDraft::rectangle(10.0, 10.0)) else {
        panic!("a court of 7 m needs more");
    };
    let got = s.largest_infield().unwrap();
    assert_eq!(s.short_by().mm(), 7_000 - got.mm());
    // 7 * 18 / 13 = 9.70 m of fair territory, rounded up, box and run-off.
    assert_eq!(s.square_needed().mm(), 9_700 + 3_000 + 2_000);
    let side = s.square_needed().metres();
    assert!(
        fitted(SpaceDraft::rectangle(side, side)).court().is_some(),
        "as promised"
    );
    let Fit::DoesNotFit(none) = fitted(SpaceDraft::rectangle(3.0, 3.0)) else {
        panic!("the box alone needs 5 m");
    };
    assert_eq!(none.largest_infield(), None);
    #[cfg(feature = "competition")]
    for short in [&s, &none] {
        let (message, text) = (
            short.message(Units::FeetInches),
            short.sentence(Units::FeetInches),
        );
        crate::message::tests::assert_says(&message, &text);
    }
    assert!(none.sentence(Units::Metric).starts_with("No court fits"));
    let feet = none.sentence(Units::FeetInches);
    assert!(feet.contains("With 3 ft 3 1/4 in of run-off"), "{feet}");
}

#[test]
fn a_post_in_the_middle_moves_the_court_and_keeps_its_distance() {
    let post = Point::new(17.0, 13.0);
    let draft = SpaceDraft {
        obstacles: alloc::vec![Obstacle::Circle {
            centre: post,
            radius: 0.2
        }],
        ..SpaceDraft::rectangle(34.0, 26.0)
    };
    let free = court(SpaceDraft::rectangle(34.0, 26.0));
    let court = court(draft);
    assert!(court.infield_side() < free.infield_side());
    let place = court.placement().unwrap();
    for part in court.size().parts() {
        assert!(part.signed(place.on_court(post)) - 0.2 >= 1.0 - 1e-6);
    }
}

#[test]
fn home_stands_nearest_the_corner_named() {
    for corner in 0..4 {
        let draft = SpaceDraft {
            home_corner: Some(corner),
            ..SpaceDraft::rectangle(30.0, 21.0)
        };
        let named = draft.outline[corner];
        let others = draft.outline.clone();
        let home = court(draft).placement().unwrap().home();
        for other in others {
            assert!(
                home.distance(named) <= home.distance(other) + 1e-6,
                "{corner}"
            );
        }
    }
}

/// The sun across the line from home to second is preferred; where it stands
/// is told in the batter's terms.
#[test]
fn the_sun_is_kept_out_of_eyes_where_the_space_allows() {
    for deg in [0.0, 45.0, 135.0, 250.0, 359.0] {
        let draft = SpaceDraft {
            sun: Some(deg),
            ..SpaceDraft::rectangle(60.0, 60.0)
        };
        let Fit::Fits(f) = fitted(draft) else {
            panic!()
        };
        assert!(f.court().reductions().is_empty());
        assert!(
            matches!(f.sun(), Some(SunSide::Left | SunSide::Right)),
            "{deg}: {:?}",
            f.sun()
        );
    }
}

#[test]
fn a_court_may_lie_askew_when_that_is_larger() {
    // An upright court in 20 m of width has 15 m of fair territory at most.
    let askew = court(SpaceDraft::rectangle(30.0, 20.0));
    assert!(askew.fair_side().mm() > 15_000, "{}", askew.fair_side());
}

#[test]
fn rounding_to_centimetres_does_not_lose_the_court() {
    // Found by tests/court: the first base strip of a court one centimetre
    // smaller met the corner at (5.642, 8.66).
    let outline = [
        (-2.75, 18.166),
        (19.753, 25.14),
        (26.31, 3.983),
        (8.775, -1.451),
        (5.642, 8.66),
        (0.673, 7.12),
    ];
    let space = Space::new(SpaceDraft::polygon(
        outline.map(|(x, y)| Point::new(x, y)).into(),
    ))
    .unwrap();
    let options = FitOptions {
        run_off: Length::from_mm(0),
        ..FitOptions::default()
    };
    let found = fit(&space, &Edition::youth(), &options);
    let court = found.court().unwrap();
    assert!(
        court.infield_side().mm() >= 12_850,
        "{}",
        court.infield_side()
    );
}

#[test]
fn two_shapes_that_touch_in_a_corner_do_not_hide_a_wall() {
    // Without run-off the box must not slip through the corner it shares
    // with fair territory.
    let options = FitOptions {
        run_off: Length::from_mm(0),
        ..FitOptions::default()
    };
    let space = Space::new(SpaceDraft::rectangle(16.0, 16.0)).unwrap();
    let found = fit(&space, &Edition::federation(), &options);
    let court = found.court().unwrap();
    for part in court.footprint() {
        for p in part.map(|p| court.placement().unwrap().on_plan(p)) {
            assert!((-1e-6..=16.0 + 1e-6).contains(&p.x) && (-1e-6..=16.0 + 1e-6).contains(&p.y));
        }
    }
}

#[test]
fn the_summary_travels_as_a_map_with_whole_number_keys() {
    let small = court(SpaceDraft::rectangle(16.0, 16.0));
    let edition = Edition::federation();
    let used = CourtUsed::new(&small, &edition);
    assert_eq!(used.reductions(), small.reductions());
    assert!(used.is_under(&edition) && !used.is_under(&Edition::youth()));
    assert!(!used.is_within_edition());
    let bytes = minicbor::to_vec(&used).unwrap();
    assert_eq!(bytes[0], 0xa8, "RFC 8949: a map of eight pairs");
    assert_eq!(minicbor::decode::<CourtUsed>(&bytes).unwrap(), used);
    for cut in 0..bytes.len() {
        assert!(minicbor::decode::<CourtUsed>(&bytes[..cut]).is_err());
    }
    let full = CourtUsed::new(&Court::full(&edition, Length::from_mm(1000)), &edition);
    assert_eq!(full.sentences()[1], "Nothing was reduced.");
    assert_eq!(
        minicbor::to_vec(&full).unwrap(),
        [
            0xa8, // map(8)
            0x00, 0x19, 0x32, 0xc8, 0x01, 0x19, 0x32, 0xc8, // 13000, 13000
            0x02, 0x19, 0x46, 0x50, 0x03, 0x19, 0x46, 0x50, // 18000, 18000
            0x04, 0x19, 0x11, 0x94, 0x05, 0x19, 0x11, 0x94, // 4500, 4500
            0x06, 0x19, 0x0b, 0xb8, 0x07, 0x19, 0x03, 0xe8, // 3000, 1000
        ]
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_court_lies_inside_a_rectangle_and_a_larger_one_is_no_worse(
        length in 12.0f64..35.0, width in 12.0f64..35.0, more in 0.0f64..3.0,
        run_off in 0u32..2000, base in prop::sample::select(&BuiltIn::ALL[..]),
    ) {
        let edition = Edition::built_in(base);
        let options = FitOptions {
            run_off: Length::from_mm(run_off),
            least_infield: Length::from_mm(5_000),
        };
        let run = |l, w| {
            fit(&Space::new(SpaceDraft::rectangle(l, w)).unwrap(), &edition, &options)
        };
        let found = run(length, width);
        let wider = run(length + more, width);
        if let Some(court) = found.court() {
            let place = court.placement().unwrap();
            let margin = court.run_off().metres() - 1e-6;
            for p in court.footprint().into_iter().flatten() {
                let p = place.on_plan(p);
                prop_assert!(p.x >= margin && p.x <= length - margin);
                prop_assert!(p.y >= margin && p.y <= width - margin);
            }
            prop_assert!(court.no_hit() >= **edition.no_hit_minimum());
            let wider = wider.court().unwrap().infield_side().metres();
            prop_assert!(wider >= court.infield_side().metres() * 0.99);
        }
    }

    #[test]
    fn no_edition_and_no_space_panics(
        lengths in prop::array::uniform6(0u32..40_000), side in 1.0f64..60.0,
        corners in prop::collection::vec((0.0f64..40.0, 0.0f64..40.0), 3..7),
    ) {
        let [infield, fair, no_hit, the_box, base, safe] =
            lengths.map(|mm| Length::from_mm(mm).to_string());
        let edition = Edition::federation().with_all([
            ("infield-side", infield.as_str()), ("fair-side", &fair), ("no-hit", &no_hit),
            ("no-hit-minimum", "0"), ("batters-box", &the_box), ("base-side", &base),
            ("safe-area", &safe),
        ]);
        let Ok(edition) = edition else { return Ok(()) };
        let polygon = corners.into_iter().map(|(x, y)| Point::new(x, y)).collect();
        for draft in [SpaceDraft::rectangle(side, side), SpaceDraft::polygon(polygon)] {
            let Ok(space) = Space::new(draft) else { continue };
            let found = fit(&space, &edition, &FitOptions::default());
            prop_assert!(!found.sentences(Units::FeetInches).is_empty());
            let court = found.court().cloned()
                .unwrap_or_else(|| Court::full(&edition, Length::from_mm(1000)));
            prop_assert!(!set_out(&court).is_empty());
            prop_assert!(!svg(&Plan::new(&court, Some(&space)), Units::Metric).contains("NaN"));
        }
    }
}
