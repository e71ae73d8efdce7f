//! No bytes make a reader panic.
#![no_main]

use engine::charter::SignedCharter;
use engine::log::{Chain, Content as _, LogFile, Payload};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let _ = LogFile::read(bytes);
    let _ = Chain::open_bytes(bytes);
    let _ = Payload::parse(bytes);
    let _ = SignedCharter::parse(bytes).and_then(SignedCharter::verify);
});
