//! Exact fractions of whole numbers, for duties, means and limits.
//!
//! Invariant: the denominator is above zero and the fraction is in lowest terms, so that equal fractions are equal values.

use lampwright_timing::Micros;
use std::cmp::Ordering;
use std::fmt;

/// An exact fraction in lowest terms; the denominator is above zero.
///
/// Both parts stay below 2^120 for every quantity of a program, which its limits on currents, intensities and periods make sure of; past that a comparison falls back to floating point.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Ratio {
    numerator: i128,
    denominator: i128,
}

impl Ratio {
    /// Zero.
    pub const ZERO: Self = Self {
        numerator: 0,
        denominator: 1,
    };
    /// One.
    pub const ONE: Self = Self {
        numerator: 1,
        denominator: 1,
    };

    /// `numerator / denominator`; zero when the denominator is zero, which callers rule out beforehand.
    #[must_use]
    #[inline(never)]
    pub const fn new(numerator: i128, denominator: i128) -> Self {
        if denominator == 0 {
            return Self::ZERO;
        }
        let divisor = greatest_common_divisor(numerator, denominator);
        let sign = if denominator < 0 { -1 } else { 1 };
        Self {
            numerator: sign * numerator / divisor,
            denominator: sign * denominator / divisor,
        }
    }

    /// A whole number.
    #[must_use]
    pub const fn whole(value: i64) -> Self {
        Self {
            numerator: value as i128,
            denominator: 1,
        }
    }

    /// A number of thousandths, as files and profiles state quantities.
    #[must_use]
    pub const fn thousandths(value: i64) -> Self {
        Self::new(value as i128, 1000)
    }

    /// One length of time over another.
    #[must_use]
    #[inline(never)]
    pub const fn of_times(part: Micros, whole: Micros) -> Self {
        Self::new(part.0 as i128, whole.0 as i128)
    }

    /// The numerator.
    #[must_use]
    pub const fn numerator(self) -> i128 {
        self.numerator
    }

    /// The denominator, above zero.
    #[must_use]
    pub const fn denominator(self) -> i128 {
        self.denominator
    }

    /// For display and drawing; never for a comparison with a limit.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "for display")]
    #[inline(never)]
    pub fn as_f64(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// The sum.
    #[must_use]
    #[inline(never)]
    pub const fn plus(self, other: Self) -> Self {
        let divisor = greatest_common_divisor(self.denominator, other.denominator);
        let left = other.denominator / divisor;
        let right = self.denominator / divisor;
        Self::new(
            self.numerator * left + other.numerator * right,
            self.denominator * left,
        )
    }

    /// The difference.
    #[must_use]
    #[inline(never)]
    pub const fn minus(self, other: Self) -> Self {
        self.plus(Self {
            numerator: -other.numerator,
            denominator: other.denominator,
        })
    }

    /// The product with a whole number.
    #[must_use]
    #[inline(never)]
    pub const fn times(self, factor: i128) -> Self {
        Self::new(self.numerator * factor, self.denominator)
    }

    /// The quotient by a whole number; zero when it is zero.
    #[must_use]
    #[inline(never)]
    pub const fn over(self, divisor: i128) -> Self {
        Self::new(self.numerator, self.denominator * divisor)
    }

    /// The quotient of two fractions; none when the divisor is zero.
    #[must_use]
    #[inline(never)]
    pub const fn divided_by(self, divisor: Self) -> Option<Self> {
        if divisor.numerator == 0 {
            return None;
        }
        // Cross-cancelling first keeps the products small.
        let top = Self::new(self.numerator, divisor.numerator);
        let bottom = Self::new(divisor.denominator, self.denominator);
        Some(Self::new(
            top.numerator * bottom.numerator,
            top.denominator * bottom.denominator,
        ))
    }
}

const fn greatest_common_divisor(left: i128, right: i128) -> i128 {
    const SHORT: u128 = u64::MAX as u128;
    let (mut left, mut right) = (left.unsigned_abs(), right.unsigned_abs());
    while right != 0 {
        if left <= SHORT && right <= SHORT {
            // Division of 64 bits is many times faster, and nearly all fractions get there at once.
            let (mut short_left, mut short_right) = (left as u64, right as u64);
            while short_right != 0 {
                (short_left, short_right) = (short_right, short_left % short_right);
            }
            return short_left as i128;
        }
        (left, right) = (right, left % right);
    }
    if left == 0 { 1 } else { left as i128 }
}

impl PartialOrd for Ratio {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ratio {
    #[inline(never)]
    fn cmp(&self, other: &Self) -> Ordering {
        let left = self.numerator.checked_mul(other.denominator);
        let right = other.numerator.checked_mul(self.denominator);
        match (left, right) {
            (Some(left), Some(right)) => left.cmp(&right),
            _ => self.as_f64().total_cmp(&other.as_f64()),
        }
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.denominator == 1 {
            write!(formatter, "{}", self.numerator)
        } else {
            write!(formatter, "{}/{}", self.numerator, self.denominator)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_fractions_are_equal() {
        assert_eq!(Ratio::new(2, 4), Ratio::new(-1, -2));
        assert_eq!(Ratio::new(3, 1000), Ratio::thousandths(3));
        assert_eq!(Ratio::new(0, 7), Ratio::ZERO);
    }

    #[test]
    fn order_is_exact_where_decimals_would_round() {
        assert!(Ratio::new(1_000_000, 249_000) > Ratio::whole(4));
        assert!(Ratio::new(1, 3) < Ratio::new(333_333_333_334, 1_000_000_000_000));
        assert!(Ratio::new(-1, 3) < Ratio::ZERO);
    }

    #[test]
    fn arithmetic() {
        assert_eq!(Ratio::new(1, 6).plus(Ratio::new(1, 3)), Ratio::new(1, 2));
        assert_eq!(Ratio::ONE.minus(Ratio::new(1, 3)), Ratio::new(2, 3));
        assert_eq!(
            Ratio::new(1, 2).divided_by(Ratio::new(3, 4)),
            Some(Ratio::new(2, 3))
        );
        assert_eq!(Ratio::ONE.divided_by(Ratio::ZERO), None);
        assert_eq!(Ratio::new(1, 6).times(4).over(2), Ratio::new(1, 3));
    }
}
