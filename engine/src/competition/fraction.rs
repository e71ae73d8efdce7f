//! Exact fractions, because a tie is only a tie when two values are equal.

use alloc::string::String;
use alloc::vec::Vec;
use core::cmp::Ordering;
use core::fmt;

/// Largest numerator or denominator, so that no step here can overflow.
const BOUND: u128 = 1 << 120;

/// An exact fraction in lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Fraction {
    numerator: i128,
    /// Above zero.
    denominator: u128,
}

impl Fraction {
    /// The fraction in lowest terms; `None` when the denominator is zero or a
    /// part is above 2^120.
    #[must_use]
    pub fn new(numerator: i128, denominator: u128) -> Option<Self> {
        let size = numerator.unsigned_abs();
        if denominator == 0 || denominator > BOUND || size > BOUND {
            return None;
        }
        let shared = divisor(size, denominator);
        let reduced = i128::try_from(size / shared).ok()?;
        Some(Self {
            numerator: if numerator < 0 { -reduced } else { reduced },
            denominator: denominator / shared,
        })
    }

    /// The fraction of two counts; `None` when the second is zero.
    #[must_use]
    pub fn of(part: u64, whole: u64) -> Option<Self> {
        Self::new(i128::from(part), u128::from(whole))
    }

    /// Above the line.
    #[must_use]
    pub fn numerator(self) -> i128 {
        self.numerator
    }

    /// Below the line, above zero.
    #[must_use]
    pub fn denominator(self) -> u128 {
        self.denominator
    }

    /// Decimal digits of the size, rounded half up: whole part and `places`
    /// digits behind the point.
    fn digits(self, places: usize) -> (Vec<u8>, String) {
        let size = self.numerator.unsigned_abs();
        let mut rest = size % self.denominator;
        let mut whole = size / self.denominator;
        let mut behind = Vec::with_capacity(places);
        for _ in 0..places {
            rest *= 10;
            // A digit: the rest is below the denominator.
            behind.push((rest / self.denominator) as u8);
            rest %= self.denominator;
        }
        if rest * 2 >= self.denominator {
            let mut carry = true;
            for digit in behind.iter_mut().rev() {
                carry = *digit == 9;
                *digit = if carry { 0 } else { *digit + 1 };
                if !carry {
                    break;
                }
            }
            if carry {
                whole += 1;
            }
        }
        (behind, alloc::format!("{whole}"))
    }

    /// With a sign and `places` decimals, as `+0.235`, `0.000`, `-0.235`.
    ///
    /// Half is rounded away from zero, so that opposite values print alike.
    #[must_use]
    pub fn signed(self, places: usize) -> String {
        let (behind, whole) = self.digits(places);
        let mut text = String::new();
        match self.numerator {
            n if n < 0 => text.push('-'),
            0 => {}
            _ => text.push('+'),
        }
        text.push_str(&whole);
        push_behind(&mut text, &behind);
        text
    }

    /// An average as the trade prints it: three decimals, half up, no zero
    /// before the point, as `.333` or `1.000`.
    #[must_use]
    pub fn average(self) -> String {
        self.average_to(3)
    }

    /// As [`Fraction::average`] with another number of decimals.
    #[must_use]
    pub fn average_to(self, places: usize) -> String {
        let (behind, whole) = self.digits(places);
        let mut text = String::new();
        if self.numerator < 0 {
            text.push('-');
        }
        if whole != "0" || places == 0 {
            text.push_str(&whole);
        }
        push_behind(&mut text, &behind);
        text
    }
}

/// The fewest decimals, at least three, that tell all different values apart;
/// `None` when nine are not enough.
pub(super) fn places_for(values: &[Fraction]) -> Option<usize> {
    (3..=9).find(|places| {
        values.iter().enumerate().all(|(i, a)| {
            values[i + 1..]
                .iter()
                .all(|b| a == b || a.signed(*places) != b.signed(*places))
        })
    })
}

fn push_behind(text: &mut String, behind: &[u8]) {
    if !behind.is_empty() {
        text.push('.');
        text.extend(behind.iter().map(|d| char::from(b'0' + d)));
    }
}

/// Greatest common divisor; `b` is above zero.
fn divisor(mut a: u128, mut b: u128) -> u128 {
    while a != 0 {
        (a, b) = (b % a, a);
    }
    b
}

/// Compares `a/b` with `c/d`, both denominators above zero, by their whole
/// parts and then the turned-over rests: no product, so no overflow.
fn compare(mut a: u128, mut b: u128, mut c: u128, mut d: u128) -> Ordering {
    let mut turned = false;
    loop {
        let by_whole = (a / b).cmp(&(c / d));
        let (x, y) = (a % b, c % d);
        let result = match by_whole {
            Ordering::Equal if x == 0 || y == 0 => x.min(1).cmp(&y.min(1)),
            other => other,
        };
        if result != Ordering::Equal || x == 0 || y == 0 {
            return if turned { result.reverse() } else { result };
        }
        // x/b against y/d is the reverse of b/x against d/y.
        (a, b, c, d) = (b, x, d, y);
        turned = !turned;
    }
}

impl Ord for Fraction {
    fn cmp(&self, other: &Self) -> Ordering {
        let sizes = || {
            compare(
                self.numerator.unsigned_abs(),
                self.denominator,
                other.numerator.unsigned_abs(),
                other.denominator,
            )
        };
        match (self.numerator < 0, other.numerator < 0) {
            (true, false) => Ordering::Less,
            (false, true) => Ordering::Greater,
            (false, false) => sizes(),
            (true, true) => sizes().reverse(),
        }
    }
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.numerator, self.denominator)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn fraction(n: i128, d: u128) -> Fraction {
        Fraction::new(n, d).unwrap()
    }

    #[test]
    fn prints_as_the_trade_does() {
        assert_eq!(fraction(4, 17).signed(3), "+0.235");
        assert_eq!(fraction(-4, 17).signed(3), "-0.235");
        assert_eq!(fraction(0, 17).signed(3), "0.000");
        assert_eq!(fraction(1, 3).average(), ".333");
        assert_eq!(fraction(5, 5).average(), "1.000");
        assert_eq!(fraction(1, 16).average(), ".063", "a half goes up");
        assert_eq!(fraction(3, 2000).average(), ".002");
        assert_eq!(fraction(19_999, 20_000).average(), "1.000");
        assert_eq!(fraction(0, 4).average(), ".000");
        assert_eq!(Fraction::of(1, 0), None);
    }

    #[test]
    fn decimals_grow_until_different_values_look_different() {
        let (a, b) = (fraction(1, 4), fraction(10_001, 40_000));
        assert_eq!(places_for(&[a, b]), Some(5));
        assert_eq!(places_for(&[a, a]), Some(3));
        let near = fraction(100_000_000_001, 400_000_000_000);
        assert_eq!(places_for(&[a, near]), None);
    }

    #[test]
    fn the_largest_parts_compare_without_overflow() {
        let most = 1i128 << 120;
        let bound = 1u128 << 120;
        assert!(fraction(most, bound - 1) > fraction(most - 1, bound - 1));
        assert!(fraction(-most, bound - 1) < fraction(-most, bound));
        assert_eq!(Fraction::new(most + 1, 1), None);
        assert_eq!(Fraction::new(i128::MIN, 1), None);
        assert_eq!(fraction(most - 1, bound).signed(3), "+1.000");
    }

    proptest! {
        #[test]
        fn order_is_that_of_the_cross_products(
            a in -1_000_000i128..1_000_000, b in 1u128..1_000_000,
            c in -1_000_000i128..1_000_000, d in 1u128..1_000_000,
        ) {
            let products = (a * d as i128).cmp(&(c * b as i128));
            prop_assert_eq!(fraction(a, b).cmp(&fraction(c, d)), products);
            prop_assert_eq!(fraction(a, b) == fraction(c, d), products == Ordering::Equal);
        }

        #[test]
        fn three_decimals_are_the_nearest_thousandth(a in 0i128..100_000, b in 1u128..100_000) {
            // Half up, from its definition: the whole part of 1000 a/b + 1/2.
            let thousandths = (2000 * a as u128 + b) / (2 * b);
            let text = alloc::format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
            let want = text.strip_prefix('0').unwrap_or(&text);
            prop_assert_eq!(fraction(a, b).average(), want);
        }
    }
}
