//! Checklist, weather hold and heat bands.
use super::super::care::*;
use alloc::string::ToString;
use proptest::prelude::*;

const MINUTE: u64 = 60_000;

/// Source: Little League lightning protocol (published): 30 minutes after the
/// last thunder, started again by any new one.
#[test]
fn thunder_stops_play_for_thirty_minutes_and_restarts() {
    assert_eq!(WeatherHold::default().at(5), HoldState::Clear);
    let hold = WeatherHold::of([10 * MINUTE]);
    assert_eq!(
        hold.at(10 * MINUTE),
        HoldState::Holding {
            left_ms: 30 * MINUTE
        }
    );
    assert_eq!(hold.at(40 * MINUTE - 1), HoldState::Holding { left_ms: 1 });
    assert_eq!(
        hold.at(40 * MINUTE),
        HoldState::Over {
            since_ms: 40 * MINUTE
        }
    );
    let again = hold.thunder(39 * MINUTE);
    assert_eq!(
        again.at(40 * MINUTE),
        HoldState::Holding {
            left_ms: 29 * MINUTE
        }
    );
    assert_eq!(again.stopped_at(), Some(10 * MINUTE));
    assert!(again.at(40 * MINUTE).to_string().contains("29:00"));
    // A phone whose clock went back does not shorten the wait.
    assert_eq!(
        again.at(0),
        HoldState::Holding {
            left_ms: 30 * MINUTE
        }
    );
}

/// Source: J Athl Train 2016, PMC5094838, table of bands (published).
#[test]
fn heat_bands_end_where_the_table_says() {
    let band = |t| Wbgt::from_tenths_f(t).unwrap().band();
    assert_eq!(
        [820, 821, 860, 861, 900, 901].map(band),
        [
            Band::Normal,
            Band::Care,
            Band::Care,
            Band::Limit,
            Band::Limit,
            Band::Cancel,
        ]
    );
    // 30 C is 86 F: still in the band of care; a tenth more is not.
    assert_eq!("30 C".parse::<Wbgt>().unwrap().band(), Band::Care);
    assert_eq!("30.1 C".parse::<Wbgt>().unwrap().band(), Band::Limit);
    // 27.8 C is 82.04 F, over 82.0.
    assert_eq!("27.8C".parse::<Wbgt>().unwrap().band(), Band::Care);
    assert_eq!("83,1 F".parse::<Wbgt>().unwrap().tenths_f(), 831);
    assert_eq!("-5 °C".parse::<Wbgt>().unwrap().tenths_f(), 230);
    for text in ["", "F", "hot", "28", "28.44 C", "C 28", "1e1 C", "28..1 C"] {
        assert_eq!(text.parse::<Wbgt>(), Err(WbgtError::Unreadable), "{text}");
    }
    assert_eq!(
        "83 C".parse::<Wbgt>(),
        Err(WbgtError::OutOfRange),
        "a slip of the unit"
    );
    for band in [Band::Normal, Band::Care, Band::Limit, Band::Cancel] {
        assert!(
            band.text()
                .ends_with("Local rules and licensed people decide.")
        );
    }
}

#[test]
fn the_latest_look_at_a_topic_counts() {
    let mut list = Checklist::new();
    assert_eq!(list.open().len(), Topic::ALL.len());
    let look = |topic, in_order, at_ms| Check {
        topic,
        in_order,
        by: "Second scorer".to_string(),
        at_ms,
        note: "".to_string(),
    };
    for topic in Topic::ALL {
        list.record(look(topic, topic != Topic::RunOff, 1));
    }
    assert_eq!(list.wrong(), [Topic::RunOff]);
    assert!(list.sentence().starts_with("Not in order: Run-off."));
    list.record(look(Topic::RunOff, true, 2));
    assert_eq!(
        list.checks().len(),
        Topic::ALL.len() + 1,
        "nothing recorded is lost"
    );
    assert_eq!(list.latest(Topic::RunOff).unwrap().at_ms, 2);
    assert!(list.wrong().is_empty() && list.open().is_empty());
}

proptest! {
    #[test]
    fn the_hold_depends_on_the_thunders_not_their_order(
        mut thunders in prop::collection::vec(any::<u64>(), 1..6), now in any::<u64>(),
    ) {
        let hold = WeatherHold::of(thunders.clone());
        thunders.reverse();
        prop_assert_eq!(hold, WeatherHold::of(thunders.clone()));
        let last = thunders.iter().max().unwrap();
        let over = now.checked_sub(*last).is_some_and(|gone| gone >= HOLD_MS);
        let state = hold.at(now);
        let saturated = last.checked_add(HOLD_MS).is_none();
        let told = matches!(state, HoldState::Over { .. });
        prop_assert!(saturated || over == told);
        prop_assert!(!state.to_string().is_empty());
    }

    #[test]
    fn celsius_never_lands_in_a_lower_band(t in -100i32..=500) {
        let exact = f64::from(t) / 10.0 * 1.8 + 32.0;
        let got = Wbgt::from_tenths_c(t).unwrap();
        prop_assert!(f64::from(got.tenths_f()) / 10.0 >= exact - 1e-9);
        prop_assert!(f64::from(got.tenths_f()) / 10.0 < exact + 0.1);
    }

    #[test]
    fn no_reading_panics(text in "\\PC{0,12}") { let _ = text.parse::<Wbgt>(); }
}
