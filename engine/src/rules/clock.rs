//! Clocks that a competition may set. The engine gives the values and says what
//! they mean for a time that somebody else measured; it reads no clock, and no
//! clock ends or changes a game by itself: the umpire does.

use core::fmt;
use core::str::FromStr;

/// The time that a game may take: `off`, `45 no-new-inning` or `45 drop-dead`,
/// in minutes, 1 to 600.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum GameLimit {
    /// No limit.
    Off,
    /// After so many minutes no new inning begins.
    NoNewInning(u16),
    /// After so many minutes the game stops where it is.
    DropDead(u16),
}

impl GameLimit {
    const MOST: u16 = 600;

    /// The minutes, where there is a limit.
    #[must_use]
    pub const fn minutes(self) -> Option<u16> {
        match self {
            Self::Off => None,
            Self::NoNewInning(n) | Self::DropDead(n) => Some(n),
        }
    }

    /// The time in milliseconds, where there is a limit.
    #[must_use]
    pub fn ms(self) -> Option<u64> {
        Some(u64::from(self.minutes()?) * 60_000)
    }
}

impl fmt::Display for GameLimit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Off => f.write_str("off"),
            Self::NoNewInning(n) => write!(f, "{n} no-new-inning"),
            Self::DropDead(n) => write!(f, "{n} drop-dead"),
        }
    }
}

impl FromStr for GameLimit {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const WANT: &str =
            "off, or minutes 1 to 600 and no-new-inning or drop-dead, as 45 no-new-inning";
        if text == "off" {
            return Ok(Self::Off);
        }
        let (n, how) = text.split_once(' ').ok_or(WANT)?;
        let n: u16 = n.parse().map_err(|_| WANT)?;
        match how.trim() {
            _ if !(1..=Self::MOST).contains(&n) => Err(WANT),
            "no-new-inning" => Ok(Self::NoNewInning(n)),
            "drop-dead" => Ok(Self::DropDead(n)),
            _ => Err(WANT),
        }
    }
}

/// A short clock: `off`, or whole seconds, 1 to 900.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Countdown {
    /// No clock.
    Off,
    /// So many seconds.
    Seconds(u16),
}

impl Countdown {
    const MOST: u16 = 900;

    /// The time in milliseconds, where there is a clock.
    #[must_use]
    pub fn ms(self) -> Option<u64> {
        match self {
            Self::Off => None,
            Self::Seconds(n) => Some(u64::from(n) * 1000),
        }
    }
}

impl fmt::Display for Countdown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Off => f.write_str("off"),
            Self::Seconds(n) => n.fmt(f),
        }
    }
}

impl FromStr for Countdown {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const WANT: &str = "off, or whole seconds from 1 to 900";
        match text {
            "off" => Ok(Self::Off),
            n => n
                .parse()
                .ok()
                .filter(|n| (1..=Self::MOST).contains(n))
                .map(Self::Seconds)
                .ok_or(WANT),
        }
    }
}
