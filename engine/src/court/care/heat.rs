//! Heat bands from a WBGT meter.
//!
//! Source: bands after the American College of Sports Medicine for acclimated
//! adults, as tabulated in J Athl Train 2016, PMC5094838 (published): under
//! 82.0 F normal, 82.1 to 86.0 care, 86.1 to 90.0 limit, over 90.0 cancel.
//!
//! WBGT is not air temperature and is not worked out from it here: only a
//! meter's reading counts.

use core::str::FromStr;

use crate::message::localized;

/// A WBGT reading, in tenths of a degree Fahrenheit, rounded up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Wbgt(i32);

/// Why a reading was not taken.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WbgtError {
    /// Not a number with one of the two units.
    Unreadable,
    /// No outdoor meter shows this.
    OutOfRange,
}

impl Wbgt {
    /// A reading in tenths of a degree Celsius, -100 to 500.
    ///
    /// # Errors
    /// When no outdoor meter shows this.
    pub fn from_tenths_c(t: i32) -> Result<Self, WbgtError> {
        if !(-100..=500).contains(&t) {
            return Err(WbgtError::OutOfRange);
        }
        // 9/5, rounded up so that no band is missed by a hair.
        Ok(Self(
            (t * 9).div_euclid(5) + i32::from((t * 9).rem_euclid(5) != 0) + 320,
        ))
    }

    /// A reading in tenths of a degree Fahrenheit, 140 to 1220.
    ///
    /// # Errors
    /// When no outdoor meter shows this.
    pub fn from_tenths_f(t: i32) -> Result<Self, WbgtError> {
        if (140..=1220).contains(&t) {
            Ok(Self(t))
        } else {
            Err(WbgtError::OutOfRange)
        }
    }

    /// Tenths of a degree Fahrenheit.
    #[must_use]
    pub fn tenths_f(self) -> i32 {
        self.0
    }

    /// The band of this reading. The source leaves nothing between 82.0 and
    /// 82.1: a reading belongs to the higher band as soon as it is over.
    #[must_use]
    pub fn band(self) -> Band {
        match self.0 {
            ..=820 => Band::Normal,
            821..=860 => Band::Care,
            861..=900 => Band::Limit,
            _ => Band::Cancel,
        }
    }
}

impl FromStr for Wbgt {
    type Err = WbgtError;
    fn from_str(text: &str) -> Result<Self, WbgtError> {
        let text = text.trim();
        let unit = text.chars().last().ok_or(WbgtError::Unreadable)?;
        let number = text
            .strip_suffix(unit)
            .map(|n| n.trim_end().trim_end_matches('°').trim_end())
            .ok_or(WbgtError::Unreadable)?;
        let (sign, number) = match number.strip_prefix('-') {
            Some(rest) => (-1, rest),
            None => (1, number),
        };
        let (whole, part) = number.split_once(['.', ',']).unwrap_or((number, "0"));
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !digits(part) || whole.len() > 3 || part.len() > 1 {
            return Err(WbgtError::Unreadable);
        }
        let read = |s: &str| s.parse::<i32>().map_err(|_| WbgtError::Unreadable);
        let tenths = sign * (read(whole)? * 10 + read(part)?);
        match unit {
            'C' | 'c' => Self::from_tenths_c(tenths),
            'F' | 'f' => Self::from_tenths_f(tenths),
            _ => Err(WbgtError::Unreadable),
        }
    }
}

/// What a reading means.
#[localized(word, text)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Band {
    /// Play as usual.
    Normal,
    /// Play with care.
    Care,
    /// Limit play.
    Limit,
    /// Do not play.
    Cancel,
}
