//! A verified log read back is the game as it was recorded.
#![no_main]

use engine::log::{GameRecord, LogFile};
use libfuzzer_sys::fuzz_target;
use logformat::sample::Writer;

fuzz_target!(|bytes: &[u8]| {
    let picks = bytes.chunks_exact(3).take(80);
    let picks = picks.map(|c| (u16::from_le_bytes([c[0], c[1]]), c[2]));
    let live = Writer::picked(picks).expect("the sample game opens").record;
    let file = LogFile::read(&live.chain().to_bytes());
    assert!(file.damage.is_none(), "{:?}", file.damage);
    let chain = file.chains.into_iter().next().expect("one log");
    let again = GameRecord::replay(chain).expect("its setup is good");
    assert_eq!(again.history().game(), live.history().game());
    assert_eq!(again.history().steps(), live.history().steps());
    assert_eq!(again.head(), live.head());
});
