//! Clocks that run free against each other: how soon they slip.

use crate::Ratio;

/// Two flashers at one rate on clocks with errors (electrical facts, section 4.3; calculated).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Drift {
    /// Worst relative error: the two tolerances added.
    pub relative_error: Ratio,
    /// Seconds until they are half a period apart, exact.
    pub half_period_seconds: Ratio,
    /// Seconds until they are back in step, exact.
    pub beat_seconds: Ratio,
}

impl Drift {
    /// Of two tolerances in parts per million at a rate in hertz; none when neither clock errs or nothing flashes.
    #[must_use]
    pub fn of(one_ppm: u32, other_ppm: u32, rate_hz: Ratio) -> Option<Self> {
        let relative_error = Ratio::new(i128::from(one_ppm) + i128::from(other_ppm), 1_000_000);
        let slipped_per_second = Ratio::new(
            rate_hz.numerator() * relative_error.numerator(),
            rate_hz.denominator() * relative_error.denominator(),
        );
        let beat_seconds = Ratio::ONE.divided_by(slipped_per_second)?;
        Some(Self {
            relative_error,
            half_period_seconds: beat_seconds.over(2),
            beat_seconds,
        })
    }

    /// Seconds until they are this many milliseconds apart, whatever their rate, exact.
    #[must_use]
    pub fn seconds_to_offset(self, milliseconds: i64) -> Option<Ratio> {
        Ratio::thousandths(milliseconds).divided_by(self.relative_error)
    }
}
