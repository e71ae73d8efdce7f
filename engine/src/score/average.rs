//! Averages to three places, half up, without floats.

use core::fmt;

/// A fraction shown to three places, half up; nothing when the divisor is 0.
///
/// Hits / at-bats; total bases / at-bats; (putouts + assists) / (putouts +
/// assists + errors). Source: Official Baseball Rules 9.21, 9.22 (rounding:
/// common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Average {
    /// Dividend.
    pub of: u32,
    /// Divisor.
    pub by: u32,
}

impl Average {
    /// The average in thousandths, half up.
    #[must_use]
    pub fn thousandths(self) -> Option<u64> {
        let (of, by) = (u64::from(self.of), u64::from(self.by));
        (by > 0).then(|| (of * 2000 + by) / (by * 2))
    }
}

impl fmt::Display for Average {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.thousandths() {
            None => f.write_str("-"),
            Some(t) if t < 1000 => write!(f, ".{t:03}"),
            Some(t) => write!(f, "{}.{:03}", t / 1000, t % 1000),
        }
    }
}
