//! From counts to a band.
//!
//! The boundaries 3, 5, 10, 30 and 65 come from documents; the interval 6 to 9 and the two steps
//! are a proposal of this project and must be labeled so.

use super::settings::Settings;

/// How a pattern compares with the criteria published for screens and strobes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Band {
    /// At most 2 flashes in the worst second.
    Low,
    /// 3 flashes.
    Limit,
    /// 4 or 5.
    Elevated,
    /// 6 to 9.
    High,
    /// 10 to 30.
    Peak,
    /// 31 to 65.
    Fast,
    /// More than 65: no statement, which is not the same as safe.
    AboveRange,
}

impl Band {
    /// Every band, slowest first.
    pub const ALL: [Self; 7] = [
        Self::Low,
        Self::Limit,
        Self::Elevated,
        Self::High,
        Self::Peak,
        Self::Fast,
        Self::AboveRange,
    ];

    /// The name, in capitals.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Low => "LOW",
            Self::Limit => "LIMIT",
            Self::Elevated => "ELEVATED",
            Self::High => "HIGH",
            Self::Peak => "PEAK",
            Self::Fast => "FAST",
            Self::AboveRange => "ABOVE-RANGE",
        }
    }

    /// 0 (least) to 4 (most); `None` where no statement is made.
    #[must_use]
    pub const fn severity(self) -> Option<u8> {
        match self {
            Self::Low => Some(0),
            Self::Limit => Some(1),
            Self::Elevated => Some(2),
            Self::High | Self::Fast => Some(3),
            Self::Peak => Some(4),
            Self::AboveRange => None,
        }
    }

    /// A place in one order from least to most adverse, for choosing what to show first.
    ///
    /// A band without a statement stands above ELEVATED, so that it is never hidden by one that
    /// published limits allow; this order is a proposal of this project.
    #[must_use]
    pub const fn rank(self) -> u8 {
        match self {
            Self::Low => 0,
            Self::Limit => 1,
            Self::Elevated => 2,
            Self::AboveRange => 3,
            Self::High => 4,
            Self::Fast => 5,
            Self::Peak => 6,
        }
    }

    /// Of two bands the one with the higher [`Band::rank`].
    #[must_use]
    pub const fn more_adverse(self, other: Self) -> Self {
        if other.rank() > self.rank() {
            other
        } else {
            self
        }
    }

    /// What the band rests on, with sources and how far each is known.
    #[must_use]
    pub const fn basis(self) -> &'static str {
        match self {
            Self::Low => {
                "At most 2 flashes in any second: the ceiling of 2 Hz in fire-alarm practice (NFPA 72, EN 54-23; second-hand) and in 36 CFR 1194.22(j) (2000)"
            }
            Self::Limit => {
                "3 flashes in a second: what WCAG 2.2 (2.3.1, 2.3.2), ITU-R BT.1702-3 and 14 CFR 29.1401 for overlaps still allow; the consensus of Harding et al. 2005 already calls 3 Hz and above a potential hazard"
            }
            Self::Elevated => {
                "4 or 5 flashes in a second: above WCAG 2.2 and ITU-R BT.1702-3, within the ceiling of 5 Hz for composite rates in alarm and UK strobe practice (second-hand)"
            }
            Self::High => {
                "6 to 9 flashes in a second: within the 5 to 30 Hz that the UK Department for Transport (10 June 2021) names as most likely to provoke; this interval is a proposal of this project"
            }
            Self::Peak => {
                "10 to 30 flashes in a second, or a lower band raised for red or bursts (steps proposed by this project): the region that ITU-R BT.1702-3, Annex 4, would filter; 15 to 25 Hz is the most provocative (Fisher et al. 2005)"
            }
            Self::Fast => {
                "31 to 65 flashes in a second: about half of photosensitive people still react at 50 Hz (W3C working group, 2007)"
            }
            Self::AboveRange => {
                "More than 65 flashes in a second: outside the reported range of 1 to 65 Hz (Fisher et al. 2005); no statement is made, which is not the same as safe"
            }
        }
    }
}

/// A band and how it came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BandReason {
    /// The band.
    pub band: Band,
    /// The band of the flash count alone.
    pub by_count: Band,
    /// Whether red flashes raised it.
    pub is_raised_by_red: bool,
    /// Whether a burst raised it.
    pub is_raised_by_burst: bool,
}

/// More red flashes than this in a second raise the band (WCAG 2.2: no more than three).
const RED_LIMIT: u32 = 3;

/// Bursts count only in trains above this many in a second.
pub(crate) const FLASH_LIMIT: u32 = 3;

const STEPS: [Band; 5] = [
    Band::Low,
    Band::Limit,
    Band::Elevated,
    Band::High,
    Band::Peak,
];

/// The band for `n` flashes and `n_red` red flashes in the worst second.
///
/// `is_burst`: three successive leading edges of a train above three in a second run at
/// [`Settings::burst_from_hz`] or faster.
pub(crate) fn band_of(n: u32, n_red: u32, is_burst: bool, settings: &Settings) -> BandReason {
    if n > 30 {
        let band = if n > 65 { Band::AboveRange } else { Band::Fast };
        return BandReason {
            band,
            by_count: band,
            is_raised_by_red: false,
            is_raised_by_burst: false,
        };
    }
    let by_count = match n {
        0..=2 => 0,
        3 => 1,
        4..=5 => 2,
        _ if n <= settings.high_up_to => 3,
        _ => 4,
    };
    let mut step = by_count;
    if n_red > RED_LIMIT {
        step = (step.max(2) + usize::from(settings.red_step_bands)).min(4);
    }
    let is_raised_by_red = step > by_count;
    let before_burst = step;
    if n > FLASH_LIMIT && is_burst {
        step = (step + usize::from(settings.burst_step_bands)).min(4);
    }
    BandReason {
        band: STEPS[step],
        by_count: STEPS[by_count],
        is_raised_by_red,
        is_raised_by_burst: step > before_burst,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(n: u32, n_red: u32, is_burst: bool, wanted: Band) {
        assert_eq!(
            band_of(n, n_red, is_burst, &Settings::default()).band,
            wanted
        );
    }

    /// Boundaries 3 (WCAG 2.2), 5 (alarm practice), 10 and 30 (BT.1702-3, Annex 4) and 65 (Fisher
    /// et al. 2005); 9 is a proposal of this project.
    #[test]
    fn each_boundary_belongs_to_the_lower_band() {
        for (n, wanted) in [
            (0, Band::Low),
            (2, Band::Low),
            (3, Band::Limit),
            (4, Band::Elevated),
            (5, Band::Elevated),
            (6, Band::High),
            (9, Band::High),
            (10, Band::Peak),
            (30, Band::Peak),
            (31, Band::Fast),
            (65, Band::Fast),
            (66, Band::AboveRange),
        ] {
            check(n, 0, false, wanted);
        }
    }

    #[test]
    fn red_above_three_is_at_least_elevated_and_then_one_up() {
        check(4, 3, false, Band::Elevated);
        check(4, 4, false, Band::High);
        check(2, 4, false, Band::High);
        check(8, 4, false, Band::Peak);
        check(12, 12, true, Band::Peak);
    }

    #[test]
    fn a_burst_steps_up_only_above_three() {
        check(3, 0, true, Band::Limit);
        check(4, 0, true, Band::High);
        check(4, 4, true, Band::Peak);
    }
}
