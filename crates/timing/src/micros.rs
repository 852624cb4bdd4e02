//! Instants and lengths of time as whole microseconds.

use std::fmt;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// One second.
pub const SECOND: Micros = Micros(1_000_000);

/// A length of time or an instant on a clock, in whole microseconds.
///
/// Negative values occur as differences and offsets; a period or pulse length is always above zero.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Micros(pub i64);

impl Micros {
    /// The instant or length zero.
    pub const ZERO: Self = Self(0);

    /// Whole milliseconds.
    #[must_use]
    pub const fn from_ms(milliseconds: i64) -> Self {
        Self(milliseconds * 1000)
    }

    /// Microseconds as a plain integer.
    #[must_use]
    pub const fn get(self) -> i64 {
        self.0
    }

    /// Milliseconds for display and drawing; exact below 2^53 microseconds.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "for display; times stay far below 2^53 microseconds"
    )]
    pub fn as_ms(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// The remainder in `0..modulus`, also for negative instants; `modulus` above zero.
    #[must_use]
    pub const fn wrap(self, modulus: Self) -> Self {
        Self(self.0.rem_euclid(modulus.0))
    }

    /// The multiple of `tick` nearest to this instant; halves go up.
    #[must_use]
    pub const fn round_to(self, tick: Self) -> Self {
        if tick.0 <= 0 {
            return self;
        }
        Self((self.0 + tick.0 / 2).div_euclid(tick.0) * tick.0)
    }
}

impl Add for Micros {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Micros {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Micros {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl SubAssign for Micros {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Neg for Micros {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Micros {
    type Output = Self;
    fn mul(self, factor: i64) -> Self {
        Self(self.0 * factor)
    }
}

impl fmt::Debug for Micros {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{self}")
    }
}

/// Milliseconds with as many decimals as the value needs: `83.333 ms`, `500 ms`.
impl fmt::Display for Micros {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let whole = self.0.unsigned_abs() / 1000;
        let rest = self.0.unsigned_abs() % 1000;
        if rest == 0 {
            write!(formatter, "{sign}{whole} ms")
        } else {
            let digits = format!("{rest:03}");
            write!(
                formatter,
                "{sign}{whole}.{} ms",
                digits.trim_end_matches('0')
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn display_shows_only_the_decimals_that_exist() {
        assert_eq!(Micros(83_333).to_string(), "83.333 ms");
        assert_eq!(Micros(500_000).to_string(), "500 ms");
        assert_eq!(Micros(-1_500).to_string(), "-1.5 ms");
        assert_eq!(Micros(20).to_string(), "0.02 ms");
    }

    #[test]
    fn wrap_and_round_work_below_zero() {
        assert_eq!(Micros(-1).wrap(Micros(10)), Micros(9));
        assert_eq!(Micros(-6).round_to(Micros(10)), Micros(-10));
        assert_eq!(Micros(-5).round_to(Micros(10)), Micros(0));
        assert_eq!(Micros(5).round_to(Micros(10)), Micros(10));
        assert_eq!(Micros(7).round_to(Micros(0)), Micros(7));
    }
}
