//! The weather hold: stop at the first thunder, go into a substantial building
//! or a hard-topped vehicle, and do not play again before 30 minutes after the
//! last thunder; any new thunder starts the 30 minutes again.
//!
//! Source: Little League lightning protocol, and National Weather Service
//! guidance as cited there (published).
//!
//! The clock is a function of recorded times, so it survives a restart of the
//! phone: give it the thunders from the log and the present time.

use alloc::format;

use crate::message::{Speech, says, text};

/// Milliseconds that must pass after the last thunder.
pub const HOLD_MS: u64 = 30 * 60 * 1000;

/// The thunders heard, reduced to what matters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WeatherHold {
    first: Option<u64>,
    last: Option<u64>,
}

/// Where the hold stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldState {
    /// No thunder was heard.
    Clear,
    /// Everyone stays inside.
    Holding {
        /// Milliseconds still to wait without new thunder.
        left_ms: u64,
    },
    /// The 30 minutes are over; play may be considered again.
    Over {
        /// Since when, in milliseconds.
        since_ms: u64,
    },
}

impl WeatherHold {
    /// The hold after these thunders, times in milliseconds in any order.
    #[must_use]
    pub fn of(thunders: impl IntoIterator<Item = u64>) -> Self {
        thunders.into_iter().fold(Self::default(), Self::thunder)
    }

    /// The hold after one more thunder.
    #[must_use]
    pub fn thunder(self, at_ms: u64) -> Self {
        Self {
            first: Some(self.first.map_or(at_ms, |t| t.min(at_ms))),
            last: Some(self.last.map_or(at_ms, |t| t.max(at_ms))),
        }
    }

    /// When play had to stop.
    #[must_use]
    pub fn stopped_at(self) -> Option<u64> {
        self.first
    }

    /// The earliest time of playing again if no more thunder is heard.
    #[must_use]
    pub fn ends_at(self) -> Option<u64> {
        self.last.map(|t| t.saturating_add(HOLD_MS))
    }

    /// Where the hold stands at a time. A clock set back never shortens the
    /// wait: a time before the last thunder counts as that thunder's.
    #[must_use]
    pub fn at(self, now_ms: u64) -> HoldState {
        let (Some(last), Some(end)) = (self.last, self.ends_at()) else {
            return HoldState::Clear;
        };
        match end.checked_sub(now_ms.max(last)) {
            None | Some(0) => HoldState::Over { since_ms: end },
            Some(left_ms) => HoldState::Holding { left_ms },
        }
    }
}

impl HoldState {
    fn say<S: Speech>(&self) -> S {
        match self {
            Self::Clear => text!("hold-state-clear"),
            Self::Holding { left_ms } => {
                // Rounded up, so that the clock never says less than is left.
                let s = left_ms.div_ceil(1000);
                text!(
                    "hold-state-holding",
                    left = format!("{}:{:02}", s / 60, s % 60)
                )
            }
            Self::Over { .. } => text!("hold-state-over"),
        }
    }
}

says!(HoldState);
