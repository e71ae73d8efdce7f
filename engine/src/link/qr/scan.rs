//! QR codes found in a camera's frame.

use alloc::vec::Vec;
use core::fmt;
use quircs::Quirc;

/// Reads QR codes from frames, keeping its memory from one to the next.
#[derive(Clone, Default)]
pub struct Scanner {
    reader: Quirc,
}

impl Scanner {
    /// The longest side of a frame, pixels.
    pub const LONGEST: usize = 4096;

    /// A scanner.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The contents of every QR code that can be read in a grey frame, row by
    /// row from the top left, 0 black to 255 white.
    ///
    /// Empty if there is none, or if a side is 0 or above
    /// [`Scanner::LONGEST`], or `luma` is not `width` times `height` bytes.
    pub fn scan(&mut self, width: usize, height: usize, luma: &[u8]) -> Vec<Vec<u8>> {
        let sides = 1..=Self::LONGEST;
        if !sides.contains(&width) || !sides.contains(&height) || luma.len() != width * height {
            return Vec::new();
        }
        self.reader
            .identify(width, height, luma)
            .flatten()
            .filter_map(|code| code.decode().ok())
            .map(|data| data.payload)
            .collect()
    }
}

impl fmt::Debug for Scanner {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Scanner")
    }
}

/// One frame by a [`Scanner`] of its own.
#[must_use]
pub fn scan(width: usize, height: usize, luma: &[u8]) -> Vec<Vec<u8>> {
    Scanner::new().scan(width, height, luma)
}

/// Grey from a canvas's pixels: red, green, blue and opacity, four bytes each
/// (luma weights of ITU-R BT.601). Left-over bytes are dropped.
#[must_use]
pub fn luma(rgba: &[u8]) -> Vec<u8> {
    rgba.as_chunks::<4>()
        .0
        .iter()
        .map(|&[r, g, b, _]| {
            let sum = 77 * u32::from(r) + 150 * u32::from(g) + 29 * u32::from(b);
            sum.to_be_bytes()[2]
        })
        .collect()
}
