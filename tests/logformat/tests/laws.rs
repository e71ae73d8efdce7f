//! Laws that hold for any bytes and any game.
#![allow(clippy::unwrap_used, clippy::panic)]

use engine::log::{Body, Chain, Content, Entry, GameRecord, LogFile, Payload, Unverified};
use logformat::decoders;
use logformat::sample::{self, Writer};
use logformat::verify::Verdict;
use proptest::prelude::*;

/// A game of arbitrary picks among what the engine allows.
fn game(picks: &[(u16, u8)]) -> Writer {
    Writer::picked(picks.iter().copied()).unwrap()
}

fn same_game(a: &GameRecord, b: &GameRecord) -> bool {
    a.history().game() == b.history().game()
        && a.history().events() == b.history().events()
        && a.history().steps() == b.history().steps()
        && a.head() == b.head()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_bytes_make_the_decoder_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        decoders::read(&bytes);
    }

    #[test]
    fn a_good_log_with_bytes_changed_is_judged_without_a_panic(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
    ) {
        let good = sample::short(1, 1).unwrap().chain().to_bytes();
        let mut bad = good.clone();
        for (at, to) in changes {
            bad[at.index(good.len())] = to;
        }
        let verdict = Verdict::of(&bad);
        prop_assert_eq!(verdict.fault.is_none(), bad == good);
    }

    #[test]
    fn what_is_read_is_written_byte_for_byte(picks in prop::collection::vec(any::<(u16, u8)>(), 1..40)) {
        let log = game(&picks);
        for item in log.items() {
            let entry = Entry::<Unverified>::parse(&item).unwrap();
            prop_assert_eq!(entry.bytes(), &item[..]);
            let payload = entry.payload().to_bytes();
            prop_assert_eq!(&Payload::parse(&payload).unwrap(), entry.payload());
        }
        let bytes = log.chain().to_bytes();
        prop_assert_eq!(LogFile::write(&LogFile::read(&bytes).chains), bytes);
    }

    #[test]
    fn a_verified_replay_is_the_live_game(picks in prop::collection::vec(any::<(u16, u8)>(), 1..60)) {
        let live = game(&picks);
        let file = LogFile::read(&live.chain().to_bytes());
        prop_assert_eq!(&file.damage, &None);
        let replayed = GameRecord::replay(file.chains[0].clone()).unwrap();
        prop_assert!(same_game(&replayed, &live.record));
        let mut pushed = GameRecord::open(live.chain().entries()[0].clone()).unwrap();
        for item in &live.items()[1..] {
            pushed.push_bytes(item).unwrap();
        }
        prop_assert!(same_game(&pushed, &live.record));
    }

    #[test]
    fn entries_of_a_log_in_any_other_order_are_noticed(
        order in Just((0..5usize).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let log = sample::of_length(1, 1, 5).unwrap().items();
        let shuffled: Vec<u8> = order.iter().flat_map(|i| log[*i].clone()).collect();
        let verdict = Verdict::of(&shuffled);
        prop_assert_eq!(verdict.fault.is_none(), order.is_sorted());
    }
}

#[test]
fn a_log_is_full_at_its_limit() {
    let mut log = Writer::open(1, 1).unwrap();
    let half = engine::log::HalfInning {
        inning: 1,
        side: engine::team::Side::Guest,
    };
    let check = || {
        Body::CodeCheck(engine::log::CodeCheck {
            half,
            code: "7K2M9Q".to_owned(),
            answer: engine::log::CodeAnswer::Alone,
            other: None,
            seen: Vec::new(),
        })
    };
    while log.chain().entries().len() < Chain::ENTRIES_LIMIT {
        log.add(check()).unwrap();
    }
    let full = log.add(check()).unwrap_err();
    assert_eq!(
        full,
        engine::log::RecordError::Chain(engine::log::ChainError::Full)
    );
}
