//! The light of one direction: a shared grid of times and the light of each cluster in each cell.
//!
//! Invariant: a scene that passes [`Scene::check`] can be screened without overflow.
//! Absent: how the light came about; weights, beams and dimming are the caller's.

use super::color::Chromaticity;
use super::error::ScreeningError;
use super::settings::Ratio;

/// The light toward one direction as integers on a grid of cells.
///
/// A *cluster* is all heads of one color on one side (as seen) of one vehicle; finer clusters
/// over-count chases.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// Ticks in one second, for instance 1 000 000 for microseconds.
    pub second: i64,
    /// Whether the light repeats, and how long it lasts.
    pub extent: Extent,
    /// Start of each cell in ticks: the first is 0, then ascending, all below the extent.
    pub times: &'a [i64],
    /// The color of each cluster.
    pub chromaticities: &'a [Chromaticity],
    /// Light of cluster `c` in cell `k` at index `c * times.len() + k`, in any one unit, 0 or more.
    pub values: &'a [i64],
    /// The light that is "maximum" for the 10 % and 80 % of WCAG 2.2; without it the peak of the
    /// sum, which is the stricter choice for a single pattern.
    pub reference: Option<i64>,
    /// Luminance in cd/m2 of one unit of light; adds the absolute count of BT.1702-3.
    pub luminance_cd_m2_per_light: Option<Ratio>,
    /// Steady light from elsewhere; none (night) by default.
    pub ambient: Option<Ambient>,
}

/// Whether the light repeats.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// The light repeats endlessly after `period` ticks.
    Cyclic {
        /// The period in ticks.
        period: i64,
    },
    /// The light happens once; nothing before 0 or from `horizon` ticks on counts.
    Once {
        /// The length in ticks.
        horizon: i64,
    },
}

impl Extent {
    /// The period or the horizon, in ticks.
    #[must_use]
    pub const fn ticks(self) -> i64 {
        match self {
            Self::Cyclic { period } => period,
            Self::Once { horizon } => horizon,
        }
    }

    /// The period, if the light repeats.
    #[must_use]
    pub const fn period(self) -> Option<i64> {
        match self {
            Self::Cyclic { period } => Some(period),
            Self::Once { .. } => None,
        }
    }
}

/// Steady light that is always there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ambient {
    /// Its amount, in the unit of the cluster values.
    pub light: i64,
    /// Its color; [`Chromaticity::D65`] unless known better.
    pub chromaticity: Chromaticity,
}

/// The most ticks in a second, a period or a horizon.
pub const MAX_TICKS: i64 = 1 << 40;

/// The most cells of a grid.
pub const MAX_CELLS: usize = 1 << 20;

/// The most light of all clusters and the ambient together.
pub const MAX_LIGHT: i64 = 100_000_000_000_000_000;

/// Longest common period, in seconds, that is judged as one cycle (a proposal of this project).
///
/// Above it the caller treats the units as free-running and says so.
pub const MAX_PERIOD_SECONDS: i64 = 120;

impl Scene<'_> {
    /// Checks what the screening relies on.
    ///
    /// # Errors
    /// Times out of order, wrong number of values, or figures beyond the stated maxima.
    pub fn check(&self) -> Result<(), ScreeningError> {
        if !(1..=MAX_TICKS).contains(&self.second) {
            return Err(ScreeningError::SecondOutOfRange {
                second: self.second,
            });
        }
        let ticks = self.extent.ticks();
        if !(1..=MAX_TICKS).contains(&ticks) {
            return Err(ScreeningError::ExtentOutOfRange { ticks });
        }
        let cells = self.times.len();
        if !(1..=MAX_CELLS).contains(&cells) {
            return Err(ScreeningError::CellCountOutOfRange { cells });
        }
        let mut earliest = 0;
        for (cell, &time) in self.times.iter().enumerate() {
            if time < earliest || time >= ticks || (cell == 0 && time != 0) {
                return Err(ScreeningError::GridNotAscending { cell });
            }
            earliest = time + 1;
        }
        let expected = cells.saturating_mul(self.chromaticities.len());
        if self.values.len() != expected {
            return Err(ScreeningError::ValueCount {
                found: self.values.len(),
                expected,
            });
        }
        let mut most = i128::from(self.ambient.map_or(0, |ambient| ambient.light.max(0)));
        let mut least = self.ambient.map_or(0, |ambient| ambient.light);
        for cluster in self.values.chunks_exact(cells) {
            let mut peak = 0;
            for &value in cluster {
                peak = peak.max(value);
                least = least.min(value);
            }
            most += i128::from(peak);
        }
        let reference = self.reference.unwrap_or(0);
        if least.min(reference) < 0 || most.max(i128::from(reference)) > i128::from(MAX_LIGHT) {
            return Err(ScreeningError::LightOutOfRange);
        }
        Ok(())
    }
}
