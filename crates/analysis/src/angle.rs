//! Sine and cosine of angles of a few turns.
//!
//! Invariant: additions, products and one rounding only, so that the bits are the same everywhere.
//! Absent: angles of many thousand turns; taking whole turns off those exactly needs a table of several kilobytes, and no angle of a vehicle is one.

use std::f64::consts::{FRAC_2_PI, FRAC_PI_2};

/// A quarter turn in three parts: the first two have few enough bits that a small count of them is exact, the third is what the floating-point value of a quarter turn lacks.
const QUARTER: [f64; 3] = [
    f64::from_bits(0x3FF9_21FB_5000_0000),
    FRAC_PI_2 - f64::from_bits(0x3FF9_21FB_5000_0000),
    6.123_233_995_736_766e-17,
];

/// Sine and cosine of an angle in radians, within two units of the last place at up to a thousand turns.
#[must_use]
pub fn sincos(radians: f64) -> (f64, f64) {
    let n_quarters = libm::round(radians * FRAC_2_PI);
    let rest = QUARTER
        .iter()
        .fold(radians, |rest, part| rest - n_quarters * part);
    let (sine, cosine) = near_zero(rest);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "whole; a cast from floating point saturates"
    )]
    match (n_quarters as i64).rem_euclid(4) {
        0 => (sine, cosine),
        1 => (cosine, -sine),
        2 => (-sine, -cosine),
        _ => (-cosine, sine),
    }
}

/// What each term of the series has over the one before it besides the square, of sine and cosine, last first.
const RATIOS: [(f64, f64); 8] = [
    (1.0 / (16.0 * 17.0), 1.0 / (15.0 * 16.0)),
    (1.0 / (14.0 * 15.0), 1.0 / (13.0 * 14.0)),
    (1.0 / (12.0 * 13.0), 1.0 / (11.0 * 12.0)),
    (1.0 / (10.0 * 11.0), 1.0 / (9.0 * 10.0)),
    (1.0 / (8.0 * 9.0), 1.0 / (7.0 * 8.0)),
    (1.0 / (6.0 * 7.0), 1.0 / (5.0 * 6.0)),
    (1.0 / (4.0 * 5.0), 1.0 / (3.0 * 4.0)),
    (1.0 / (2.0 * 3.0), 1.0 / (1.0 * 2.0)),
];

/// The power series, of which the terms left out are below the last place for half a quarter turn.
fn near_zero(radians: f64) -> (f64, f64) {
    let square = radians * radians;
    let (mut sine, mut cosine) = (1.0, 1.0);
    for (of_sine, of_cosine) in RATIOS {
        sine = 1.0 - square * of_sine * sine;
        cosine = 1.0 - square * of_cosine * cosine;
    }
    (radians * sine, cosine)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The reference is the `libm` crate, which follows a published implementation.
    #[test]
    fn values_are_those_of_the_reference() {
        for step in -72_000..=72_000_i32 {
            let radians = f64::from(step) * 0.000_7;
            let (sine, cosine) = sincos(radians);
            let (wanted_sine, wanted_cosine) = libm::sincos(radians);
            assert!((sine - wanted_sine).abs() <= 2.3e-16, "sine of {radians}");
            assert!(
                (cosine - wanted_cosine).abs() <= 2.3e-16,
                "cosine of {radians}"
            );
        }
    }

    #[test]
    fn whole_quarters_are_as_near_to_zero_as_the_reference() {
        for quarter in -8..=8_i8 {
            let radians = f64::from(quarter) * FRAC_PI_2;
            let (sine, cosine) = sincos(radians);
            let (wanted_sine, wanted_cosine) = libm::sincos(radians);
            assert!((sine - wanted_sine).abs() <= 1e-30, "{quarter}");
            assert!((cosine - wanted_cosine).abs() <= 1e-30, "{quarter}");
        }
    }
}
