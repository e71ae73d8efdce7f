//! No bytes make a reader panic, whichever they are given to.
#![no_main]

use libfuzzer_sys::fuzz_target;
use logformat::decoders;

fuzz_target!(|bytes: &[u8]| decoders::read(bytes));
