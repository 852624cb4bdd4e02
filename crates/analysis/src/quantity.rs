//! Measured values and limits as exact fractions with a unit, and how they are written.
//!
//! Invariant: comparing never rounds; a text never makes a value look like a limit it is not.
//! Absent: conversion between units.

use crate::Ratio;
use lampwright_timing::Micros;
use std::cmp::Ordering;
use std::fmt;

/// An exact value with its unit.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    numerator: i128,
    denominator: i128,
    unit: Unit,
}

/// What a value is counted in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Unit {
    /// Repetitions per second; written with the figure per minute beside it.
    Hertz,
    /// Flashes in one second, a count.
    FlashesPerSecond,
    /// Milliseconds.
    Milliseconds,
    /// Seconds.
    Seconds,
    /// Minutes.
    Minutes,
    /// Per cent.
    Percent,
    /// Amperes.
    Amperes,
    /// Drive of an emitter in per mille of full.
    LevelPerMille,
    /// A plain count.
    Count,
}

impl Unit {
    /// The text after the number; empty for a plain count.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Hertz => "Hz",
            Self::FlashesPerSecond => "flashes per second",
            Self::Milliseconds => "ms",
            Self::Seconds => "s",
            Self::Minutes => "min",
            Self::Percent => "%",
            Self::Amperes => "A",
            Self::LevelPerMille => "‰",
            Self::Count => "",
        }
    }
}

/// Fewest decimals after which a text stops growing to keep two values apart.
const MOST_DECIMALS: u32 = 9;

impl Quantity {
    /// `numerator / denominator` of a unit; a denominator below one counts as one.
    ///
    /// Both stay below 2^80 in every use here, so that products of two fit.
    #[must_use]
    #[inline(never)]
    pub fn new(numerator: i128, denominator: i128, unit: Unit) -> Self {
        Self::of(Ratio::new(numerator, denominator.max(1)), unit)
    }

    /// A fraction of a unit.
    #[must_use]
    #[inline(never)]
    pub fn of(value: Ratio, unit: Unit) -> Self {
        Self {
            numerator: value.numerator(),
            denominator: value.denominator(),
            unit,
        }
    }

    /// A length of time in milliseconds.
    #[must_use]
    #[inline(never)]
    pub fn of_time(value: Micros) -> Self {
        Self::thousandths(value.0, Unit::Milliseconds)
    }

    /// A floating-point value rounded to a billionth of the unit, for quantities that take a square root.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped; a cast from floating point saturates"
    )]
    #[inline(never)]
    pub fn rounded(value: f64, unit: Unit) -> Self {
        let scaled = libm::round(value * 1e9).clamp(-1e27, 1e27);
        Self::new(scaled as i128, 1_000_000_000, unit)
    }

    /// A whole number of a unit.
    #[must_use]
    #[inline(never)]
    pub fn whole(value: i64, unit: Unit) -> Self {
        Self::new(i128::from(value), 1, unit)
    }

    /// Thousandths of a unit.
    #[must_use]
    #[inline(never)]
    pub fn thousandths(value: i64, unit: Unit) -> Self {
        Self::new(i128::from(value), 1000, unit)
    }

    /// The fraction in lowest terms, the denominator above zero.
    #[must_use]
    pub const fn fraction(self) -> (i128, i128) {
        (self.numerator, self.denominator)
    }

    /// The unit.
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.unit
    }

    /// The nearest floating-point value, for drawing and machine-readable reports.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "for display; comparisons use the fraction"
    )]
    #[inline(never)]
    pub fn in_units(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// This value less another of the same unit.
    #[must_use]
    #[inline(never)]
    pub fn less(self, other: Self) -> Self {
        match (
            self.numerator.checked_mul(other.denominator),
            other.numerator.checked_mul(self.denominator),
            self.denominator.checked_mul(other.denominator),
        ) {
            (Some(own), Some(others), Some(denominator)) => {
                Self::new(own.saturating_sub(others), denominator, self.unit)
            }
            // Beyond what any measured value reaches; a millionth of the unit is kept.
            _ => Self::new(
                self.times_million() - other.times_million(),
                1_000_000,
                self.unit,
            ),
        }
    }

    /// The number without unit, three decimals or as many as it takes to differ from `limits`.
    #[must_use]
    #[inline(never)]
    pub fn number_apart_from(self, limits: &[Self]) -> String {
        for decimals in 3..MOST_DECIMALS {
            let text = self.decimal(decimals);
            let collides = limits
                .iter()
                .any(|limit| *limit != self && limit.decimal(decimals) == text);
            if !collides {
                return text;
            }
        }
        self.decimal(MOST_DECIMALS)
    }

    /// The number with unit, as [`Quantity::number_apart_from`] writes it.
    #[must_use]
    #[inline(never)]
    pub fn text_apart_from(self, limits: &[Self]) -> String {
        let number = self.number_apart_from(limits);
        match self.unit {
            Unit::Hertz => {
                let per_minute = |value: Self| {
                    Self::new(
                        value.numerator.saturating_mul(60),
                        value.denominator,
                        Unit::Count,
                    )
                };
                let limits: Vec<Self> = limits.iter().map(|limit| per_minute(*limit)).collect();
                let minute = per_minute(self).number_apart_from(&limits);
                format!("{number} Hz ({minute} per minute)")
            }
            Unit::FlashesPerSecond if self == Self::whole(1, self.unit) => {
                format!("{number} flash per second")
            }
            Unit::Count => number,
            unit => format!("{number} {}", unit.text()),
        }
    }

    fn times_million(self) -> i128 {
        self.numerator
            .checked_mul(1_000_000)
            .map_or(i128::MAX / 4, |scaled| scaled / self.denominator)
    }

    /// Rounded half up to so many decimals, trailing zeros dropped.
    fn decimal(self, decimals: u32) -> String {
        let scale = 10_i128.pow(decimals);
        let Some(scaled) = self.numerator.checked_mul(scale) else {
            return format!("{}", self.numerator / self.denominator);
        };
        let rounded = (2 * scaled + self.denominator).div_euclid(2 * self.denominator);
        let sign = if rounded < 0 { "-" } else { "" };
        let (whole, rest) = (
            rounded.unsigned_abs() / scale.unsigned_abs(),
            rounded.unsigned_abs() % scale.unsigned_abs(),
        );
        if rest == 0 {
            return format!("{sign}{whole}");
        }
        let digits = format!("{rest:0width$}", width = decimals as usize);
        format!("{sign}{whole}.{}", digits.trim_end_matches('0'))
    }
}

impl PartialEq for Quantity {
    fn eq(&self, other: &Self) -> bool {
        self.unit == other.unit && self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Quantity {}

impl PartialOrd for Quantity {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// By unit, then by exact value.
impl Ord for Quantity {
    #[inline(never)]
    fn cmp(&self, other: &Self) -> Ordering {
        self.unit.cmp(&other.unit).then_with(|| {
            match (
                self.numerator.checked_mul(other.denominator),
                other.numerator.checked_mul(self.denominator),
            ) {
                (Some(own), Some(others)) => own.cmp(&others),
                _ => self.in_units().total_cmp(&other.in_units()),
            }
        })
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.text_apart_from(&[]))
    }
}

/// What a value is held against; both ends inclusive.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Limit {
    /// Least allowed value.
    pub at_least: Option<Quantity>,
    /// Largest allowed value.
    pub at_most: Option<Quantity>,
}

impl Limit {
    /// Only an upper end.
    #[must_use]
    #[inline(never)]
    pub const fn at_most(value: Quantity) -> Self {
        Self {
            at_least: None,
            at_most: Some(value),
        }
    }

    /// Only a lower end.
    #[must_use]
    #[inline(never)]
    pub const fn at_least(value: Quantity) -> Self {
        Self {
            at_least: Some(value),
            at_most: None,
        }
    }

    /// Both ends.
    #[must_use]
    #[inline(never)]
    pub const fn between(least: Quantity, most: Quantity) -> Self {
        Self {
            at_least: Some(least),
            at_most: Some(most),
        }
    }

    /// How far the value is inside the nearer end; below zero when it is outside, zero at the limit.
    #[must_use]
    #[inline(never)]
    pub fn margin(self, value: Quantity) -> Option<Quantity> {
        let below = self.at_most.map(|most| most.less(value));
        let above = self.at_least.map(|least| value.less(least));
        match (below, above) {
            (Some(below), Some(above)) => Some(below.min(above)),
            (one, other) => one.or(other),
        }
    }

    /// Whether the value keeps the limit; a value exactly at an end does.
    #[must_use]
    #[inline(never)]
    pub fn admits(self, value: Quantity) -> bool {
        self.at_least.is_none_or(|least| value >= least)
            && self.at_most.is_none_or(|most| value <= most)
    }

    /// The ends that are set.
    #[must_use]
    #[inline(never)]
    pub fn ends(self) -> Vec<Quantity> {
        self.at_least.into_iter().chain(self.at_most).collect()
    }

    /// "at most 4 Hz (240 per minute)", "1 Hz (60 per minute) to 4 Hz (240 per minute)".
    #[must_use]
    #[inline(never)]
    pub fn text(self) -> String {
        match (self.at_least, self.at_most) {
            (Some(least), Some(most)) => format!("{least} to {most}"),
            (Some(least), None) => format!("at least {least}"),
            (None, Some(most)) => format!("at most {most}"),
            (None, None) => "no limit".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_next_to_its_limit_is_never_written_like_it() {
        let limit = Quantity::whole(4, Unit::Hertz);
        let value = Quantity::new(40_000_001, 10_000_000, Unit::Hertz);
        assert!(value > limit);
        assert_eq!(value.number_apart_from(&[limit]), "4.0000001");
        assert_eq!(limit.number_apart_from(&[limit]), "4");
    }

    #[test]
    fn rates_are_written_per_second_and_per_minute() {
        let value = Quantity::new(241, 60, Unit::Hertz);
        assert_eq!(value.to_string(), "4.017 Hz (241 per minute)");
    }

    #[test]
    fn limits_include_their_ends() {
        let limit = Limit::between(
            Quantity::whole(1, Unit::Hertz),
            Quantity::whole(4, Unit::Hertz),
        );
        assert!(limit.admits(Quantity::whole(4, Unit::Hertz)));
        assert!(!limit.admits(Quantity::new(241, 60, Unit::Hertz)));
        assert_eq!(
            limit.margin(Quantity::new(241, 60, Unit::Hertz)),
            Some(Quantity::new(-1, 60, Unit::Hertz))
        );
    }

    #[test]
    fn negative_values_keep_their_sign() {
        assert_eq!(Quantity::new(-1, 60, Unit::Amperes).to_string(), "-0.017 A");
    }
}
