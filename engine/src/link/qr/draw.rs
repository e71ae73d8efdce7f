//! A line drawn as modules.

use alloc::vec::Vec;
use qrcode::{Color, EcLevel, QrCode, Version};

use crate::message::localized;

/// A QR code as a square of modules, without its quiet zone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    version: u8,
    side: usize,
    modules: Vec<bool>,
}

impl Code {
    /// Light modules to leave free on every side (ISO/IEC 18004).
    pub const QUIET: usize = 4;

    /// Modules along one side: 17 and 4 for each version.
    #[must_use]
    pub const fn side(&self) -> usize {
        self.side
    }

    /// Version, 1 to 40.
    #[must_use]
    pub const fn version(&self) -> u8 {
        self.version
    }

    /// A module by column and row from the top left; light outside the code.
    #[must_use]
    pub fn dark(&self, x: usize, y: usize) -> bool {
        x < self.side && self.modules.get(y * self.side + x).is_some_and(|m| *m)
    }

    /// All modules, row by row, dark ones `true`.
    #[must_use]
    pub fn modules(&self) -> &[bool] {
        &self.modules
    }
}

/// More text than the largest QR code holds.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub struct TooLong {
    /// Characters that were to be drawn.
    pub characters: usize,
}

/// Draws a line in the smallest version that holds it, with the lowest error
/// correction: a code that cannot be read is made good by the next one, and
/// larger modules read better than more correction (measured).
///
/// # Errors
/// [`TooLong`].
pub fn draw(line: &str) -> Result<Code, TooLong> {
    let code = QrCode::with_error_correction_level(line, EcLevel::L).map_err(|_| TooLong {
        characters: line.len(),
    })?;
    let version = match code.version() {
        Version::Normal(v) | Version::Micro(v) => u8::try_from(v).unwrap_or(0),
    };
    Ok(Code {
        version,
        side: code.width(),
        modules: code
            .into_colors()
            .into_iter()
            .map(|c| c == Color::Dark)
            .collect(),
    })
}
