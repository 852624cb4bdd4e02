//! A dimming carrier against the pulses it chops, and against the published limits on light modulation.
//!
//! The limits speak of the carrier while the lamp is lit, never of the intended flash.
//! Invariant: lit times and limits are exact fractions.
//! Absent: visibility measures of steady indoor light, which do not fit a road at night; camera bands.

use crate::Ratio;
use lampwright_timing::Micros;

/// Lit time of one pulse that a free-running carrier chops, over all phases of the carrier.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Chopped {
    /// Least lit time, milliseconds, exact.
    pub least_ms: Ratio,
    /// Largest lit time, milliseconds, exact.
    pub most_ms: Ratio,
    /// Lit time if the carrier were infinitely fast, milliseconds, exact.
    pub ideal_ms: Ratio,
    /// Largest less least, over the ideal, exact.
    pub spread: Ratio,
}

/// A pulse of a length and a level in per mille under a carrier in hertz (calculated); none for an empty pulse, a level of zero or no carrier.
///
/// What is left of the pulse after its whole carrier periods catches anything from `left - (1 - level) period` to `level period` of light.
#[must_use]
pub fn chopped(pulse: Micros, carrier_hz: u32, level: i64) -> Option<Chopped> {
    if pulse.0 <= 0 || carrier_hz == 0 || level <= 0 {
        return None;
    }
    // In carrier periods times 10^9: microseconds times hertz is 10^6 a period, per mille is 10^3.
    let period: i128 = 1_000_000_000;
    let level = i128::from(level.min(1000));
    let on = level * 1_000_000;
    let length = i128::from(pulse.0) * i128::from(carrier_hz) * 1000;
    let (whole, left) = (length / period, length % period);
    let least = whole * on + (left - (period - on)).max(0);
    let most = whole * on + left.min(on);
    let per_ms = 1_000_000 * i128::from(carrier_hz);
    let ms = |value: i128| Ratio::new(value, per_ms);
    Some(Chopped {
        least_ms: ms(least),
        most_ms: ms(most),
        ideal_ms: Ratio::new(length * level, 1000 * per_ms),
        spread: Ratio::new((most - least) * 1000, length * level),
    })
}

/// Beats per second between a carrier in hertz and a pulse that repeats after a period: how often the carrier's phase at the pulse comes round (calculated).
///
/// Zero when the period holds a whole number of carrier periods; at most half the pulse's own rate.
#[must_use]
pub fn beat_hz(carrier_hz: u32, period: Micros) -> Ratio {
    let cycles = i128::from(carrier_hz) * i128::from(period.0.max(1));
    let part = cycles.rem_euclid(1_000_000);
    Ratio::new(part.min(1_000_000 - part), i128::from(period.0.max(1)))
}

/// Which practice of IEEE 1789-2015 clause 8.1.1 (second-hand: a public design note that transcribes it).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ModulationPractice {
    /// Practice 1, low risk.
    LowRisk,
    /// Practice 2, no observable effect.
    NoEffect,
    /// Practice 3, seizures: the weakest, and the only one that the text demands.
    Seizure,
}

impl ModulationPractice {
    /// Hertz above which nothing is limited.
    #[must_use]
    pub const fn free_above_hz(self) -> u32 {
        match self {
            Self::LowRisk => 1250,
            Self::NoEffect => 3000,
            Self::Seizure => 89,
        }
    }

    /// Largest modulation in percent at a frequency, exact; none when it is not limited.
    #[must_use]
    pub const fn most_percent(self, hertz: u32) -> Option<Ratio> {
        if hertz > self.free_above_hz() {
            return None;
        }
        // Ten-thousandths of a percent per hertz, as printed.
        let per_hz = match self {
            Self::LowRisk if hertz < 90 => 250,
            Self::LowRisk => 800,
            Self::NoEffect if hertz < 90 => 100,
            Self::NoEffect => 333,
            Self::Seizure => return Some(Ratio::whole(5)),
        };
        Some(Ratio::new(per_hz * hertz as i128, 10_000))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pulse_of_whole_carrier_periods_is_always_lit_as_long() {
        let chopped = chopped(Micros(50_000), 100, 200).unwrap();
        assert_eq!(chopped.spread, Ratio::ZERO);
        assert_eq!(chopped.ideal_ms, Ratio::whole(10));
    }

    #[test]
    fn beats_vanish_where_the_period_holds_whole_carrier_periods() {
        assert_eq!(beat_hz(200, Micros(500_000)), Ratio::ZERO);
        // 100.3 carrier periods: three tenths of a turn every 501.5 ms.
        assert_eq!(beat_hz(200, Micros(501_500)), Ratio::new(600, 1003));
        assert_eq!(beat_hz(200, Micros(498_500)), Ratio::new(600, 997));
    }
}
