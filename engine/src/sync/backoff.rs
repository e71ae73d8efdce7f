//! Waiting longer after each failure, and not all at once.

/// Waits of 2 s, 4 s, 8 s ... to 15 minutes, each drawn between half of it and
/// the whole, so that the phones of an event spread out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Backoff {
    failures: u32,
}

impl Backoff {
    /// The longest wait after the first failure (milliseconds).
    pub const FIRST_MS: u64 = 2_000;
    /// The longest wait of all (milliseconds).
    pub const LONGEST_MS: u64 = 15 * 60 * 1_000;

    /// How long to wait after one more failure (milliseconds). `jitter` is a
    /// random number.
    pub fn next(&mut self, jitter: u32) -> u64 {
        let whole = Self::FIRST_MS
            .saturating_mul(1 << self.failures.min(30))
            .min(Self::LONGEST_MS);
        self.failures = self.failures.saturating_add(1);
        let half = whole / 2;
        half + ((half * u64::from(jitter)) >> 32)
    }

    /// It worked.
    pub fn reset(&mut self) {
        self.failures = 0;
    }
}
