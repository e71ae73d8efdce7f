//! Where a game stands is answered once: whoever asks hears the same.
use proptest::prelude::*;

use super::decisions::charter_of;
use super::*;

/// What an official did with one record of the game.
#[derive(Clone, Copy, Debug)]
enum Did {
    /// Recorded this many plays of the game as it was.
    Part(usize),
    /// Recorded all of it, and then perhaps signed.
    Whole { signs: bool },
    /// Recorded another game, and then perhaps signed.
    Other { signs: bool },
}

fn did() -> impl Strategy<Value = Did> {
    prop_oneof![
        (0usize..20).prop_map(Did::Part),
        any::<bool>().prop_map(|signs| Did::Whole { signs }),
        any::<bool>().prop_map(|signs| Did::Other { signs }),
    ]
}

fn kept(n: u8, role: Role, did: Did) -> GameRecord {
    let mut r = record(n, role);
    let signs = match did {
        Did::Part(plays) => {
            for at in 0..plays {
                let fate = match at {
                    0 => BatterFate::safe(Goal::Home),
                    _ => BatterFate::Caught,
                };
                play(&mut r, n, fate);
            }
            false
        }
        Did::Whole { signs } => {
            r = played_out(r, n);
            signs
        }
        Did::Other { signs } => {
            play(&mut r, n, BatterFate::safe(Goal::Home));
            r = played_out(r, n);
            signs
        }
    };
    match signs {
        true => signed(r, n),
        false => r,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// The phone's list and cross-check ask `crosscheck::status` over the
    /// records heard, the desk and a collector a report, the tables an event,
    /// and CSV and JSON are read by everyone else.
    #[test]
    fn everyone_hears_the_same(
        all in prop::collection::vec((did(), any::<bool>()), 1..4),
        co_sign in any::<bool>(), by_charter in any::<bool>(),
    ) {
        let roles = [Role::Umpire, Role::Scorer, Role::Scorer];
        let mut records: Vec<GameRecord> = all
            .iter()
            .zip([1u8, 2, 7])
            .zip(roles)
            .map(|(((did, _), n), role)| kept(n, role, *did))
            .collect();
        if co_sign && records.len() > 1 {
            let statements: Vec<_> = records
                .iter()
                .map(|r| r.signed_off().map(|(entry, _)| entry.hash()))
                .collect();
            for (at, n) in [(0usize, 1u8), (1, 2)] {
                if let Some(statement) = statements[1 - at] {
                    let sign = CoSign { statement, captain: None };
                    add(&mut records[at], n, Body::CoSign(sign));
                }
            }
        }
        let kept: Vec<KeptRecord<'_>> = records
            .iter()
            .zip(&all)
            .map(|(record, (_, forked))| KeptRecord { record, forked: *forked })
            .collect();
        let charter = charter_of(&[9]);
        let authority = match by_charter {
            true => Authority::Charter(&charter),
            false => Authority::Nobody,
        };
        let phone = crate::crosscheck::status(&heard(&kept, authority));
        let report = GameReport::of(&kept, authority).unwrap();
        prop_assert_eq!(&report.status, &phone);
        prop_assert_eq!(report.verdict, phone.verdict);
        prop_assert_eq!(report.state(), phone.to_string());
        let view = EventView::new(
            by_charter.then_some(&charter),
            alloc::vec![alloc::sync::Arc::new(report.clone())],
        );
        prop_assert_eq!(view.games()[0].state(), phone.to_string());
        let [csv, json] = view.published("e", by_charter.then_some(&charter), |all| {
            ["games.csv", "games.json"].map(|name| all.file(name).unwrap().content)
        });
        let state = phone.to_string();
        let quoted = if state.contains(',') { format!("\"{state}\"") } else { state.clone() };
        prop_assert!(csv.contains(&format!(",{quoted},")), "{csv}");
        prop_assert!(json.contains(&format!("\"state\":\"{state}\"")), "{json}");
        // What counts in a table is what stands so.
        let settled = matches!(report.standing, Some(Standing::Final(_) | Standing::Forfeit(_)));
        prop_assert_eq!(settled, phone.verdict.counts());
    }
}
