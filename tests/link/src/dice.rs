//! Repeatable randomness.

/// A small generator (PCG's multiplier and increment, from memory); equal seeds
/// give equal draws on every machine.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// A generator from a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed ^ 0x9e37_79b9_7f4a_7c15);
        dice.bits();
        dice
    }

    fn bits(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let mixed = (self.0 ^ (self.0 >> 32)).wrapping_mul(0xd6e8_feb8_6659_fd93);
        mixed ^ (mixed >> 32)
    }

    /// A byte.
    pub fn byte(&mut self) -> u8 {
        (self.bits() >> 56) as u8
    }

    /// From 0 up to, not including, 1.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// About normal, mean 0 and deviation 1 (sum of twelve uniforms).
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}
