#![allow(clippy::unwrap_used, missing_docs)]
use super::*;
use alloc::string::ToString;
use proptest::prelude::*;

#[test]
fn every_value_reads_back_from_its_own_text() {
    for base in BuiltIn::ALL {
        let edition = Edition::built_in(base);
        for s in edition.settings() {
            let copy = edition.clone().with(s.name, &s.value).unwrap();
            let again = copy
                .settings()
                .into_iter()
                .find(|t| t.name == s.name)
                .unwrap();
            assert_eq!(again.value, s.value, "{}", s.name);
            assert_eq!(again.source, Source::SetByCompetition);
        }
    }
}

/// Source: WBSC Baseball5 glossary, "The Field" and "End of Game" (published).
#[test]
fn federation_values_are_the_published_ones() {
    let e = Edition::federation();
    assert_eq!(e.infield_side().mm(), 13_000);
    assert_eq!(e.fair_side().mm(), 18_000);
    assert_eq!(e.no_hit().mm(), 4_500);
    assert_eq!(e.no_hit_minimum().mm(), 3_000);
    assert_eq!(e.batters_box().mm(), 3_000);
    assert_eq!(e.base_side().mm(), 500);
    assert_eq!(e.safe_area().mm(), 1_500);
    assert_eq!(e.fence_height().mm(), 1_000);
    assert_eq!(e.innings().get(), 5);
    assert_eq!(e.run_ahead().to_string(), "15@3 10@4");
    assert!(e.run_ahead().ends(15, 3) && !e.run_ahead().ends(14, 3));
    assert!(e.run_ahead().ends(10, 4) && !e.run_ahead().ends(9, 4));
    assert_eq!(
        [1, 2, 3, 4].map(|x| e.tie_break_runners().placed(x)),
        [1, 2, 3, 3]
    );
}

/// Source: glossary "The Field" (published) for youth; common practice, no
/// source, for the introductory edition.
#[test]
fn variants_differ_where_they_should() {
    assert_eq!(Edition::youth().no_hit().mm(), 3_000);
    let intro = Edition::introductory();
    assert_eq!(intro.no_hit_minimum().mm(), 2_000);
    assert!(intro.clone().with("no-hit", "2").is_ok(), "under 14");
    assert_eq!(**intro.no_hit_shape(), NoHitShape::Distance);
    assert!((600..=800).contains(&intro.fence_height().mm()));
}

#[test]
fn contradictions_and_bad_values_are_refused_with_what_is_right() {
    let e = Edition::federation();
    assert!(matches!(
        e.clone().with("no-hit", "2.9"),
        Err(SettingError::Contradiction(_))
    ));
    assert!(matches!(
        e.clone().with("fair-side", "12"),
        Err(SettingError::Contradiction(_))
    ));
    assert!(matches!(
        e.clone().with("innings", "0"),
        Err(SettingError::BadValue { .. })
    ));
    assert!(matches!(
        e.clone().with("colour", "red"),
        Err(SettingError::UnknownName(_))
    ));
    let both = e.with_all([("fair-side", "10"), ("infield-side", "8"), ("no-hit", "3")]);
    assert!(both.is_ok(), "changes are judged together");
}

proptest! {
    #[test]
    fn lengths_read_back(mm in 0u32..=1_000_000) {
        let l = Length::from_mm(mm);
        prop_assert_eq!(l.to_string().parse::<Length>().unwrap(), l);
    }

    #[test]
    fn no_text_panics(name in "\\PC{0,20}", text in "\\PC{0,20}") {
        let _ = Edition::federation().with(&name, &text);
        for n in Edition::NAMES { let _ = Edition::federation().with(n, &text); }
    }
}

#[test]
fn clocks_are_off_until_set_and_count_down_from_what_somebody_measured() {
    let off = Edition::federation();
    assert_eq!(off.game_clock().ms(), None);
    assert_eq!(off.hit_clock().ms(), None);
    let set = off
        .with_all([("game-clock", "45 no-new-inning"), ("hit-clock", "12")])
        .unwrap();
    assert_eq!(**set.game_clock(), GameLimit::NoNewInning(45));
    assert_eq!(set.game_clock().ms(), Some(45 * 60_000));
    assert_eq!(set.hit_clock().ms(), Some(12_000));
    for (name, bad) in [
        ("game-clock", "0 drop-dead"),
        ("game-clock", "601 drop-dead"),
        ("game-clock", "45"),
        ("game-clock", "45 maybe"),
        ("time-out-clock", "0"),
        ("half-inning-clock", "901"),
        ("hit-clock", "1.5"),
    ] {
        assert!(set.clone().with(name, bad).is_err(), "{name} {bad}");
    }
    for good in ["off", "1 drop-dead", "600 no-new-inning"] {
        let limit: GameLimit = good.parse().unwrap();
        assert_eq!(limit.to_string(), good);
    }
}

#[test]
fn an_edition_is_told_by_its_own_no_hit_line() {
    for base in BuiltIn::ALL {
        let no_hit = **Edition::built_in(base).no_hit();
        let about = base.about();
        assert!(about.contains(&alloc::format!(" {no_hit} m.")), "{about}");
    }
}
