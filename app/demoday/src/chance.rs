//! Numbers that look drawn and are always the same: splitmix64 (Steele, Lea and
//! Flood, "Fast splittable pseudorandom number generators", 2014).

/// A source of numbers.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The source that a number begins.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    pub fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `below`, which must not be 0.
    pub fn below(&mut self, below: usize) -> usize {
        let below = u64::try_from(below.max(1)).unwrap_or(1);
        usize::try_from(self.draw() % below).unwrap_or(0)
    }

    /// One of a list.
    pub fn one_of<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        list.get(self.below(list.len()))
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    /// The first values for the seed 1234567, as published with the reference
    /// implementation of splitmix64 (Vigna, prng.di.unimi.it; from memory).
    #[test]
    fn the_published_numbers_come() {
        let mut chance = Chance::new(1_234_567);
        assert_eq!(chance.draw(), 6_457_827_717_110_365_317);
        assert_eq!(chance.draw(), 3_203_168_211_198_807_973);
    }
}
