//! The times that a log may name.

use core::ops::RangeInclusive;

use crate::message::localized;

/// A time outside the years that a log may name.
#[localized(named)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub struct OutOfTime {
    /// Milliseconds since 1970 UTC.
    pub ms: u64,
}

impl OutOfTime {
    /// The years that a log may name, milliseconds since 1970 UTC: from
    /// 2000-01-01T00:00:00Z to 2100-01-01T00:00:00Z. Far within what every
    /// calendar can convert, in every time zone.
    pub const ALLOWED_MS: RangeInclusive<u64> = 946_684_800_000..=4_102_444_800_000;

    /// Whether a time can be named.
    ///
    /// # Errors
    /// When it is outside.
    pub fn check(ms: u64) -> Result<(), Self> {
        match Self::ALLOWED_MS.contains(&ms) {
            true => Ok(()),
            false => Err(Self { ms }),
        }
    }

    /// The nearest time that can be named: what a phone whose clock was never
    /// set claims, so that it records all the same.
    #[must_use]
    pub fn nearest(ms: u64) -> u64 {
        ms.clamp(*Self::ALLOWED_MS.start(), *Self::ALLOWED_MS.end())
    }
}
