//! Lengths on the court.

use core::fmt;
use core::str::FromStr;

/// A length in whole millimetres, written in metres (`4.5`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(u32);

impl Length {
    /// The longest length accepted, 1 000 m.
    pub const MAX: Self = Self(1_000_000);

    /// A length from millimetres; longer than [`Length::MAX`] becomes that.
    #[must_use]
    pub const fn from_mm(mm: u32) -> Self {
        if mm > Self::MAX.0 {
            Self::MAX
        } else {
            Self(mm)
        }
    }

    /// Whole millimetres.
    #[must_use]
    pub const fn mm(self) -> u32 {
        self.0
    }

    /// Metres.
    #[must_use]
    pub fn metres(self) -> f64 {
        f64::from(self.0) / 1000.0
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, rest) = (self.0 / 1000, self.0 % 1000);
        if rest == 0 {
            write!(f, "{whole}")
        } else if rest % 100 == 0 {
            write!(f, "{whole}.{}", rest / 100)
        } else if rest % 10 == 0 {
            write!(f, "{whole}.{:02}", rest / 10)
        } else {
            write!(f, "{whole}.{rest:03}")
        }
    }
}

impl FromStr for Length {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const WANT: &str = "metres with at most three decimals, 0 to 1000, as 4.5";
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || whole.len() > 4 || part.len() > 3 || !digits(whole) || !digits(part)
        {
            return Err(WANT);
        }
        if text.ends_with('.') {
            return Err(WANT);
        }
        let mut mm: u32 = whole.parse::<u32>().map_err(|_| WANT)? * 1000;
        let scale = [0, 100, 10, 1];
        if let (Some(k), false) = (scale.get(part.len()), part.is_empty()) {
            mm += part.parse::<u32>().map_err(|_| WANT)? * k;
        }
        if mm > Self::MAX.0 {
            Err(WANT)
        } else {
            Ok(Self(mm))
        }
    }
}
