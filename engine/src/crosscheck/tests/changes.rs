//! Changes of players: the check code holds each of them, with its kind.

use super::*;

/// A change of players of any kind, fitting or not.
fn any_change(pick: u16, kind: u8) -> Notice {
    let side = Side::BOTH[usize::from(pick % 2)];
    let base = if side == Side::Guest { 21 } else { 11 };
    let member = |n: u16| shirt(base + u8::try_from(n % 8).unwrap());
    let (who, by) = (member(pick / 2), member(pick / 16));
    let replaced = (!kind.is_multiple_of(3)).then_some(by);
    match kind % 11 {
        0..3 => Notice::Substitution { side, out: who, by },
        3..6 => Notice::Ejection {
            side,
            who,
            by: replaced,
        },
        6..10 => Notice::Injury {
            side,
            who,
            by: replaced,
        },
        _ => Notice::Forfeit {
            side,
            text: alloc::format!("said {pick}"),
        },
    }
}

/// A short game with many changes of players, by picks.
fn changing_game(picks: &[(u16, u8)]) -> Vec<Event> {
    let mut h = history();
    for (pick, kind) in picks {
        let event = if let Some(by) = h.game().courtesy_runners().first() {
            Event::Notice(Notice::CourtesyRunner { by: *by })
        } else if kind % 4 == 0 {
            h.next_play(if kind % 8 == 0 {
                OUT
            } else {
                safe(Goal::First)
            })
        } else {
            Event::Notice(any_change(*pick, kind / 4))
        };
        if h.check(&event).is_ok() {
            force(&mut h, event);
        }
    }
    h.events().iter().map(|(_, e)| e.clone()).collect()
}

/// The same change of players as another kind, with another player or number.
fn told_otherwise(event: &Event, pick: u16, kind: u8) -> Event {
    let Event::Notice(notice) = event else {
        return event.clone();
    };
    let (side, who, by) = match notice {
        Notice::Substitution { side, out, by } => (*side, *out, Some(*by)),
        Notice::Ejection { side, who, by } | Notice::Injury { side, who, by } => (*side, *who, *by),
        _ => return event.clone(),
    };
    Event::Notice(match (kind % 4, by) {
        (0, Some(by)) => Notice::Substitution { side, out: who, by },
        (1, _) => Notice::Ejection { side, who, by },
        (2, _) => Notice::Injury { side, who, by },
        _ => any_change(pick, kind / 4),
    })
}

/// The promise of the check codes: sent off or substituted leaves the same
/// five, and is not the same record.
#[test]
fn a_player_sent_off_is_not_taken_for_one_substituted() {
    let (side, who, by) = (Side::Home, shirt(13), shirt(17));
    let kinds = [
        Notice::Ejection {
            side,
            who,
            by: Some(by),
        },
        Notice::Injury {
            side,
            who,
            by: Some(by),
        },
        Notice::Substitution { side, out: who, by },
    ];
    let records = kinds.map(|notice| {
        let mut h = history();
        add(&mut h, Event::Notice(notice));
        for _ in 0..3 {
            play(&mut h, OUT);
        }
        h
    });
    for (i, a) in records.iter().enumerate() {
        for b in &records[..i] {
            assert_ne!(codes(a, b"f"), codes(b, b"f"));
            assert_ne!(code_after(a, b"f"), code_after(b, b"f"));
            assert!(!compare(a, b).differences.is_empty());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    /// Equal codes mean equal records, with any changes of players: codes are
    /// equal exactly when the comparison finds nothing.
    #[test]
    fn equal_codes_are_records_without_a_difference(
        picks in prop::collection::vec(any::<(u16, u8)>(), 1..24),
        slips in prop::collection::vec(any::<(u16, u8, u16)>(), 0..=2),
    ) {
        let truth = changing_game(&picks);
        let mut told = truth.clone();
        for (at, kind, other) in slips {
            if told.is_empty() { break; }
            let at = usize::from(at) % told.len();
            match kind % 4 {
                0 => drop(told.remove(at)),
                1 if at + 1 < told.len() => told.swap(at, at + 1),
                _ => told[at] = told_otherwise(&told[at], other, kind / 4),
            }
        }
        let (a, b) = (record(&truth), record(&told));
        let code = |h: &History| code_after(h, b"f");
        let found = compare(&a, &b).differences;
        prop_assert_eq!(code(&a) == code(&b), found.is_empty(), "{:?}", found);
    }
}
