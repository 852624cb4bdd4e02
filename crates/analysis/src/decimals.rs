//! Floating-point figures as decimal texts.
//!
//! Invariant: the text is the one that the standard library's formatting gives; this exists because that formatting weighs several kilobytes in the browser build.
//! Absent: exact quantities, which are fractions; see [`Quantity`](crate::quantity::Quantity).

/// A figure with a fixed number of decimals, at most three; a tie goes to the even digit.
///
/// The whole part is right up to 2^64 and stays there beyond.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole, not below zero, and a cast from floating point saturates"
)]
pub fn fixed(value: f64, n_decimals: u32) -> String {
    if !value.is_finite() {
        return if value.is_nan() {
            "NaN".into()
        } else if value > 0.0 {
            "inf".into()
        } else {
            "-inf".into()
        };
    }
    let scale = 10_u64.pow(n_decimals.min(3));
    let sign = if value.is_sign_negative() { "-" } else { "" };
    let (whole, part) = if value.abs() >= MANTISSA_END {
        (value.abs() as u64, 0)
    } else {
        let units = rounded(value.abs(), scale);
        (units / scale, units % scale)
    };
    if n_decimals == 0 {
        format!("{sign}{whole}")
    } else {
        let width = n_decimals.min(3) as usize;
        format!("{sign}{whole}.{part:0width$}")
    }
}

/// A figure with at most so many decimals, without zeros at their end.
#[must_use]
pub fn shortened(value: f64, most_decimals: u32) -> String {
    let mut text = fixed(value, most_decimals);
    if text.contains('.') {
        let length = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(length);
    }
    text
}

/// 2^53: from here on every floating-point number is whole.
const MANTISSA_END: f64 = 9_007_199_254_740_992.0;

/// A value from 0 to 2^53 in parts of `1 / scale`, from its bits, so that nothing is rounded twice.
fn rounded(value: f64, scale: u64) -> u64 {
    let bits = value.to_bits();
    let exponent = bits >> 52;
    let mantissa = bits & ((1 << 52) - 1);
    // The value is mantissa / 2^shift; below 2^53 the shift is never negative.
    let (mantissa, shift) = if exponent == 0 {
        (mantissa, 1074)
    } else {
        (mantissa | (1 << 52), 1075_u64.saturating_sub(exponent))
    };
    let scaled = mantissa * scale;
    if shift == 0 {
        return scaled;
    }
    if shift > 63 {
        // Below 1000 * 2^53 / 2^64, less than half a part.
        return 0;
    }
    let (down, rest, half) = (
        scaled >> shift,
        scaled & ((1 << shift) - 1),
        1_u64 << (shift - 1),
    );
    let is_up = rest > half || (rest == half && down % 2 == 1);
    down + u64::from(is_up)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(value: f64) {
        for (n_decimals, expected) in [
            (0, format!("{value:.0}")),
            (1, format!("{value:.1}")),
            (2, format!("{value:.2}")),
            (3, format!("{value:.3}")),
        ] {
            assert_eq!(fixed(value, n_decimals), expected, "{value:?}");
        }
    }

    #[test]
    fn texts_are_those_of_the_standard_library() {
        for value in [
            0.0,
            -0.0,
            0.5,
            1.5,
            2.5,
            0.25,
            0.75,
            0.125,
            0.375,
            0.0005,
            0.0015,
            0.05,
            0.35,
            1e-9,
            5e-324,
            0.9995,
            0.99951,
            999.9996,
            1e15,
            9e15,
            1e16,
            1.8e19,
            -2.675,
            2.675,
            1.005,
            63.0 / 64.0,
            33.333_333,
            240.96,
        ] {
            check(value);
            check(-value);
        }
        check(f64::NEG_INFINITY);
        check(f64::NAN);
        // Every 16th of a thousandth has ties and near ties at each count of decimals.
        for step in 0..40_000_u32 {
            check(f64::from(step) / 16_000.0);
            check(f64::from(step) / 64.0);
            check(f64::from(step) * 1.000_37 / 7.0);
        }
    }

    #[test]
    fn zeros_at_the_end_are_dropped_behind_the_point_alone() {
        assert_eq!(shortened(100.0, 0), "100");
        assert_eq!(shortened(100.0, 2), "100");
        assert_eq!(shortened(2.5, 3), "2.5");
        assert_eq!(shortened(0.0, 3), "0");
        assert_eq!(shortened(f64::INFINITY, 1), "inf");
    }
}
