//! What a tape shows: whole centimetres, or feet and inches.

use alloc::string::String;
use core::fmt;

use libm::{ceil, round};

use crate::rules::Length;

/// What the numbers on the tape are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Units {
    /// Metres to whole centimetres.
    #[default]
    Metric,
    /// Feet and inches to a quarter of an inch.
    FeetInches,
}

/// A length to be read off a tape, known to a hundredth of a millimetre and
/// shown as the tape's units allow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TapeLength(u64);

impl TapeLength {
    /// From metres; below nothing or not a number counts as nothing.
    #[must_use]
    pub fn from_metres(m: f64) -> Self {
        Self(round(m.clamp(0.0, 1e6) * 100_000.0) as u64)
    }

    /// Metres, unrounded.
    #[must_use]
    pub fn metres(self) -> f64 {
        self.0 as f64 / 100_000.0
    }

    /// Whole centimetres, half up.
    #[must_use]
    pub fn cm(self) -> u32 {
        u32::try_from((self.0 + 500) / 1000).unwrap_or(u32::MAX)
    }

    /// Quarter inches (of 2.54 cm), half up.
    #[must_use]
    pub fn quarter_inches(self) -> u32 {
        // A quarter inch is 6.35 mm, 635 of our units.
        u32::try_from((self.0 + 317) / 635).unwrap_or(u32::MAX)
    }

    /// The length in metres as either tape shows it, metric first.
    pub(super) fn shown(self) -> [f64; 2] {
        [
            f64::from(self.cm()) / 100.0,
            f64::from(self.quarter_inches()) * 0.006_35,
        ]
    }

    /// The length in words a tape user reads.
    #[must_use]
    pub fn show(self, units: Units) -> ShownLength {
        ShownLength(self, units)
    }
}

/// A length in a sentence: metric as the rules write it, else as the tape shows it.
pub(super) fn said(length: Length, units: Units) -> String {
    match units {
        Units::Metric => alloc::format!("{length} m"),
        Units::FeetInches => alloc::format!("{}", TapeLength::from(length).show(units)),
    }
}

/// A length of material, rounded up: nobody buys half a metre.
pub(super) fn stock(metres: f64, units: Units) -> String {
    match units {
        Units::Metric => alloc::format!("{} m", ceil(metres)),
        Units::FeetInches => alloc::format!("{} ft", ceil(metres / 0.3048)),
    }
}

impl From<Length> for TapeLength {
    fn from(length: Length) -> Self {
        Self(u64::from(length.mm()) * 100)
    }
}

/// A tape length in chosen units.
#[derive(Clone, Copy, Debug)]
pub struct ShownLength(TapeLength, Units);

impl fmt::Display for ShownLength {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.1 {
            Units::Metric => {
                let cm = self.0.cm();
                write!(f, "{}.{:02} m", cm / 100, cm % 100)
            }
            Units::FeetInches => {
                let q = self.0.quarter_inches();
                let (feet, inches, part) = (q / 48, q % 48 / 4, q % 4);
                if feet > 0 {
                    write!(f, "{feet} ft ")?;
                }
                write!(f, "{inches}")?;
                match part {
                    1 => f.write_str(" 1/4")?,
                    2 => f.write_str(" 1/2")?,
                    3 => f.write_str(" 3/4")?,
                    _ => {}
                }
                f.write_str(" in")
            }
        }
    }
}
