//! Decimal numbers as whole thousandths (or other fractions), exactly.
//!
//! Invariant: no floating point; what cannot be held exactly is refused, never rounded.

/// Why a number cannot be held.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum DecimalFault {
    /// It has more decimals than the unit takes.
    TooFine,
    /// It does not fit 64 bits.
    TooLarge,
}

/// The value of a JSON number in units of `10^-decimals`.
///
/// `number` has the grammar of JSON; an exponent is allowed.
pub(crate) fn scaled(number: &str, decimals: u8) -> Result<i64, DecimalFault> {
    let (mantissa, exponent) = match number.split_once(['e', 'E']) {
        None => (number, 0),
        // An exponent of many digits is as good as the largest one.
        Some((mantissa, exponent)) => (
            mantissa,
            exponent.parse().unwrap_or(if exponent.starts_with('-') {
                i32::MIN
            } else {
                i32::MAX
            }),
        ),
    };
    let (is_negative, mantissa) = match mantissa.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, mantissa),
    };
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let digits = || whole.bytes().chain(fraction.bytes());
    let n_digits = whole.len() + fraction.len();
    let n_trailing_zeros = digits().rev().take_while(|digit| *digit == b'0').count();
    if n_trailing_zeros == n_digits {
        return Ok(0);
    }
    let n_significant = n_digits - n_trailing_zeros;
    let shift = i64::from(exponent) + i64::from(decimals)
        - i64::try_from(fraction.len()).unwrap_or(i64::MAX)
        + i64::try_from(n_trailing_zeros).unwrap_or(i64::MAX);
    if shift < 0 {
        return Err(DecimalFault::TooFine);
    }
    let sign = if is_negative { -1 } else { 1 };
    let mut value: i64 = 0;
    for digit in digits().take(n_significant) {
        value = value
            .checked_mul(10)
            .and_then(|value| value.checked_add(sign * i64::from(digit - b'0')))
            .ok_or(DecimalFault::TooLarge)?;
    }
    for _ in 0..shift.min(20) {
        value = value.checked_mul(10).ok_or(DecimalFault::TooLarge)?;
    }
    Ok(value)
}

/// The shortest decimal text of a value in units of `10^-decimals`.
pub(crate) fn shown(value: i64, decimals: u8) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let unit = 10_u64.pow(u32::from(decimals));
    let (whole, rest) = (value.unsigned_abs() / unit, value.unsigned_abs() % unit);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let fraction = format!("{rest:0width$}", width = usize::from(decimals));
    format!("{sign}{whole}.{}", fraction.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(number: &str, expected: Result<i64, DecimalFault>) {
        assert_eq!(scaled(number, 3), expected, "{number}");
    }

    #[test]
    fn thousandths_are_exact_or_refused() {
        check("83.333", Ok(83_333));
        check("83.3331", Err(DecimalFault::TooFine));
        check("83.33300000000000000001", Err(DecimalFault::TooFine));
        check("83.3330000", Ok(83_333));
        check("1e3", Ok(1_000_000));
        check("1.5E+2", Ok(150_000));
        check("1500e-3", Ok(1500));
        check("1e-3", Ok(1));
        check("1e-4", Err(DecimalFault::TooFine));
        check("-0.4", Ok(-400));
        check("-0", Ok(0));
        check("0e999999999999", Ok(0));
        check("1e999999999999", Err(DecimalFault::TooLarge));
        check("1e-999999999999", Err(DecimalFault::TooFine));
        check("9223372036854775.807", Ok(i64::MAX));
        check("-9223372036854775.808", Ok(i64::MIN));
        check("9223372036854775.808", Err(DecimalFault::TooLarge));
    }

    #[test]
    fn what_is_shown_reads_back() {
        for value in [0, 1, -1, 10, 83_333, -400, i64::MAX, i64::MIN] {
            check(&shown(value, 3), Ok(value));
        }
        assert_eq!(shown(3127, 4), "0.3127");
        assert_eq!(shown(-1500, 3), "-1.5");
    }
}
