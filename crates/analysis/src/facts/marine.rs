//! The rhythm of a light in the words of marine lights: a neutral description, no rule.
//!
//! Classes by rate and by light against dark: Chart 1, section P, Canadian Hydrographic Service (read).
//! Invariant: exact comparisons; a light without equal flashes at equal intervals has no class.
//! Absent: groups of flashes, and colors.

use super::{Range, Rate, TimingFacts};
use crate::Ratio;
use lampwright_timing::{Micros, SECOND};
use std::fmt;

/// Class of a marine rhythm.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum MarineRhythm {
    /// Lit without change.
    Fixed,
    /// Fewer than 50 flashes per minute, lit for less time than dark.
    Flashing,
    /// The same, each flash at least 2 s long.
    LongFlashing,
    /// Fewer than 50 flashes per minute, lit as long as dark.
    Isophase,
    /// 50 to fewer than 80 flashes per minute.
    Quick,
    /// 80 to fewer than 160 flashes per minute.
    VeryQuick,
    /// At least 160 flashes per minute.
    UltraQuick,
}

impl MarineRhythm {
    /// The class of a course of light; none when it has none of these.
    #[must_use]
    pub fn of(timing: &TimingFacts) -> Option<Self> {
        if timing.off_time == Micros::ZERO && timing.period.is_none() && timing.is_lit() {
            return Some(Self::Fixed);
        }
        let flashes = timing.flashes(Micros::ZERO);
        let lit = flashes.lights().filter(|range| range.is_equal())?;
        let dark = flashes.offs().filter(|range| Range::is_equal(*range))?;
        let per_minute = flashes.rate().map(Rate::per_minute)?;
        let is_below = |limit| per_minute < Ratio::whole(limit);
        if !is_below(160) {
            Some(Self::UltraQuick)
        } else if !is_below(80) {
            Some(Self::VeryQuick)
        } else if !is_below(50) {
            Some(Self::Quick)
        } else if lit.least == dark.least {
            Some(Self::Isophase)
        } else if lit.least > dark.least {
            None
        } else if lit.least >= SECOND * 2 {
            Some(Self::LongFlashing)
        } else {
            Some(Self::Flashing)
        }
    }
}

impl fmt::Display for MarineRhythm {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Fixed => "fixed",
            Self::Flashing => "flashing",
            Self::LongFlashing => "long flashing",
            Self::Isophase => "isophase",
            Self::Quick => "quick",
            Self::VeryQuick => "very quick",
            Self::UltraQuick => "ultra quick",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_timing::Waveform;

    fn class(period: i64, lit: i64) -> Option<MarineRhythm> {
        let light =
            Waveform::from_pulses(Micros(period), [(Micros::ZERO, Micros(lit), 1000)]).unwrap();
        MarineRhythm::of(&TimingFacts::of(&light))
    }

    #[test]
    fn light_against_dark_decides_below_fifty_per_minute() {
        assert_eq!(class(4_000_000, 1_999_999), Some(MarineRhythm::Flashing));
        assert_eq!(class(4_000_000, 2_000_000), Some(MarineRhythm::Isophase));
        assert_eq!(class(4_000_000, 2_000_001), None);
        assert_eq!(
            class(5_000_000, 2_000_000),
            Some(MarineRhythm::LongFlashing)
        );
        assert_eq!(class(5_000_000, 1_999_999), Some(MarineRhythm::Flashing));
        assert_eq!(class(1_200_000, 700_000), Some(MarineRhythm::Quick));
    }

    #[test]
    fn a_light_that_never_changes_is_fixed_and_uneven_flashes_have_no_class() {
        let fixed = TimingFacts::of(&Waveform::constant(5));
        assert_eq!(MarineRhythm::of(&fixed), Some(MarineRhythm::Fixed));
        let dark = TimingFacts::of(&Waveform::constant(0));
        assert_eq!(MarineRhythm::of(&dark), None);
        let uneven = [(Micros(0), Micros(100), 1), (Micros(500), Micros(101), 1)];
        let uneven = Waveform::from_pulses(Micros(1000), uneven).unwrap();
        assert_eq!(MarineRhythm::of(&TimingFacts::of(&uneven)), None);
    }
}
