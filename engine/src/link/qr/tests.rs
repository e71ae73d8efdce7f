#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
use super::*;
use crate::link::{Kind, Sender, SymbolSize, text};
use alloc::{vec, vec::Vec};
use proptest::prelude::*;

/// As a screen shows it: `zoom` pixels a module, quiet zone included.
fn shown(code: &Code, zoom: usize) -> (usize, Vec<u8>) {
    let side = (code.side() + 2 * Code::QUIET) * zoom;
    let quiet = Code::QUIET;
    let pixel = |i: usize| {
        let (x, y) = (i % side / zoom, i / side / zoom);
        let inside = x >= quiet && y >= quiet;
        if inside && code.dark(x - quiet, y - quiet) {
            20
        } else {
            230
        }
    };
    (side, (0..side * side).map(pixel).collect())
}

#[test]
fn a_packet_drawn_is_read_back() {
    let payload: Vec<u8> = (0..5000u32).map(|n| ((n * n) >> 3) as u8).collect();
    for size in [40, 200, 400, 700] {
        let sender = Sender::new(Kind::Entries, &payload, SymbolSize::new(size)).unwrap();
        let line = text::line(&sender.packet(0));
        let (side, grey) = shown(&draw(&line).unwrap(), 4);
        assert_eq!(scan(side, side, &grey), [line.as_bytes()], "{size}");
    }
}

/// Source: ISO/IEC 18004, version 15-L holds 758 alphanumeric characters and
/// has 17 + 4 * 15 modules a side (capacity from memory).
#[test]
fn packets_of_the_usual_size_fit_version_15() {
    // Nothing of it compresses.
    let mut payload = [0; 448 * 32 - 33];
    fastrand::Rng::with_seed(1).fill(&mut payload);
    let sender = Sender::new(Kind::Entries, &payload, SymbolSize::QR).unwrap();
    let code = draw(&text::line(&sender.packet(0))).unwrap();
    assert_eq!((code.version(), code.side()), (15, 77));
    assert_eq!(draw(&"A".repeat(758)).unwrap().version(), 15);
    assert_eq!(draw(&"A".repeat(759)).unwrap().version(), 16);
}

/// Source: ISO/IEC 18004, version 40-L holds 4296 alphanumeric characters
/// (from memory).
#[test]
fn more_than_a_code_holds_is_refused() {
    assert_eq!(draw(&"A".repeat(4296)).unwrap().version(), 40);
    assert_eq!(draw(&"A".repeat(4297)), Err(TooLong { characters: 4297 }));
}

#[test]
fn frames_of_wrong_sizes_hold_nothing() {
    assert!(scan(0, 0, &[]).is_empty());
    assert!(scan(10, 10, &[0; 99]).is_empty());
    assert!(scan(usize::MAX, 2, &[0; 2]).is_empty());
    assert!(scan(1, 1, &[0]).is_empty());
    assert!(scan(5000, 1, &[0; 5000]).is_empty());
}

/// Source: ITU-R BT.601 luma weights, 0.299, 0.587 and 0.114.
#[test]
fn grey_is_weighted_as_the_standard_says() {
    let pixels = [
        [255, 0, 0, 255],
        [0, 255, 0, 255],
        [0, 0, 255, 255],
        [255, 255, 255, 0],
    ];
    assert_eq!(luma(pixels.as_flattened()), vec![76, 149, 28, 255]);
}

proptest! {
    #[test]
    fn no_frame_makes_a_scanner_fall(
        width in 1usize..60,
        grey in proptest::collection::vec(prop_oneof![Just(0u8), Just(255), any::<u8>()], 1..4000),
    ) {
        let height = grey.len() / width;
        let _ = scan(width, height, &grey[..width * height]);
    }
}
