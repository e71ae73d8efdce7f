//! What is read is written byte for byte the same.
#![no_main]

use engine::log::{Content as _, Entry, LogFile, Payload};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(payload) = Payload::parse(bytes) {
        assert_eq!(payload.to_bytes(), bytes);
    }
    if let Ok(entry) = Entry::parse(bytes) {
        assert_eq!(entry.bytes(), bytes);
    }
    let written = LogFile::write(&LogFile::read(bytes).chains);
    assert_eq!(LogFile::write(&LogFile::read(&written).chains), written);
});
