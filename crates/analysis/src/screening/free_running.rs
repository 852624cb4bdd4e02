//! Units on clocks of their own: the bound, and the worst alignment found.
//!
//! Clocks drift, so sooner or later every phase occurs. The bound is the sum of the units' own
//! worst counts and governs; a single phase, lucky or not, is never quoted as the result.
//! The search for a bad alignment looks at edges of one unit against edges of another; it shows an
//! example and proves nothing.
//!
//! The sum is not a mathematical limit: a ripple above 80 % of its own peak is no flash, but over
//! another unit's dark it can be one. [`FreeRunningBound::with_alignment`] raises the bound where
//! an alignment found goes beyond it.

use super::band::{Band, BandReason, band_of};
use super::error::ScreeningError;
use super::owned::{OwnedScene, greatest_common_divisor};
use super::screen::{Screening, Workspace, screen};
use super::settings::Settings;

/// What units with unknown phases can add up to; to be labeled "phases unknown".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FreeRunningBound {
    /// The sum of the units' flashes in their worst seconds.
    pub n: u32,
    /// The sum of their red flashes.
    pub n_red: u32,
    /// Whether any unit by itself has a burst.
    pub is_burst: bool,
    /// The band of these sums, with the greatest burst rate of any unit by itself.
    pub band: BandReason,
    /// The most adverse band of any count from the largest single unit's up to the bound.
    ///
    /// It differs from `band` only where a larger count means a less adverse band, above 30.
    pub most_adverse: Band,
}

impl FreeRunningBound {
    /// The bound, raised where an alignment that was found is more adverse.
    #[must_use]
    pub fn with_alignment(self, found: &Screening, settings: &Settings) -> Self {
        let n = self.n.max(found.n());
        let n_red = self.n_red.max(found.n_red());
        let is_burst = self.is_burst || found.is_burst(settings);
        let band = band_of(n, n_red, is_burst, settings);
        let most_adverse = self
            .most_adverse
            .more_adverse(band.band)
            .more_adverse(found.band.band);
        Self {
            n,
            n_red,
            is_burst,
            band,
            most_adverse,
        }
    }
}

/// The bound for units that do not keep time with one another.
#[must_use]
pub fn free_running_bound(units: &[&Screening], settings: &Settings) -> FreeRunningBound {
    let n = units
        .iter()
        .fold(0_u32, |sum, unit| sum.saturating_add(unit.n()));
    let n_red = units
        .iter()
        .fold(0_u32, |sum, unit| sum.saturating_add(unit.n_red()));
    let largest = units.iter().map(|unit| unit.n()).max().unwrap_or(0);
    let is_burst = units.iter().any(|unit| unit.is_burst(settings));
    let band = band_of(n, n_red, is_burst, settings);
    let mut most_adverse = band.band;
    for count in [largest, 30, 65] {
        if (largest..=n).contains(&count) {
            most_adverse =
                most_adverse.more_adverse(band_of(count, n_red, is_burst, settings).band);
        }
    }
    FreeRunningBound {
        n,
        n_red,
        is_burst,
        band,
        most_adverse,
    }
}

/// The worst alignment that a search found, for showing; the bound governs.
#[derive(Clone, Debug, PartialEq)]
pub struct Alignment {
    /// How much later each unit runs, in ticks; the first is 0.
    pub delays: Vec<i64>,
    /// The units together so delayed.
    pub scene: OwnedScene,
    /// What that gives.
    pub screening: Screening,
    /// How many alignments were screened.
    pub n_tried: usize,
}

/// The most delays tried for each unit after the first.
pub const MAX_ALIGNMENT_CANDIDATES: usize = 240;

/// Looks for the alignment of cyclic units with the most flashes.
///
/// Units are added one after another; for each, delays are tried that put one of its edges onto,
/// just before or just after an edge of the units before it, or just outside the merge time.
/// Delays count modulo the greatest common divisor of the periods, since longer ones come about
/// by themselves. When there are more than [`MAX_ALIGNMENT_CANDIDATES`], every so-many-th is tried.
///
/// # Errors
/// Fewer than two units, a unit that happens once, different ticks, or a common period above
/// `longest_period`.
pub fn worst_alignment(
    units: &[&OwnedScene],
    settings: &Settings,
    longest_period: i64,
) -> Result<Alignment, ScreeningError> {
    let [first, rest @ ..] = units else {
        return Err(ScreeningError::NotAlignable);
    };
    if rest.is_empty() {
        return Err(ScreeningError::NotAlignable);
    }
    let mut workspace = Workspace::default();
    let mut delays = vec![0];
    let mut n_tried = 0;
    let mut so_far = (*first).clone();
    let mut worst = screen(&so_far.as_scene(), settings, &mut workspace)?;
    for unit in rest {
        let mut best: Option<(i64, OwnedScene, Screening)> = None;
        for delay in candidate_delays(&so_far, unit, settings)? {
            let together = OwnedScene::together(&[&so_far, &unit.delayed(delay)], longest_period)?;
            let screening = screen(&together.as_scene(), settings, &mut workspace)?;
            n_tried += 1;
            let badness = badness(&screening);
            if best
                .as_ref()
                .is_none_or(|(_, _, known)| badness > self::badness(known))
            {
                best = Some((delay, together, screening));
            }
        }
        let (delay, together, screening) = best.ok_or(ScreeningError::NotAlignable)?;
        delays.push(delay);
        so_far = together;
        worst = screening;
    }
    Ok(Alignment {
        delays,
        scene: so_far,
        screening: worst,
        n_tried,
    })
}

/// More is worse: flashes, red flashes, then the tightest burst.
fn badness(screening: &Screening) -> (u32, u32, i64) {
    (
        screening.n(),
        screening.n_red(),
        -screening.burst_ticks.unwrap_or(i64::MAX),
    )
}

fn candidate_delays(
    fixed: &OwnedScene,
    moved: &OwnedScene,
    settings: &Settings,
) -> Result<Vec<i64>, ScreeningError> {
    let (Some(fixed_period), Some(moved_period)) = (fixed.extent.period(), moved.extent.period())
    else {
        return Err(ScreeningError::NotAlignable);
    };
    let shared = greatest_common_divisor(fixed_period, moved_period);
    let merge = settings.merge_seconds.floor_of(fixed.second);
    let mut delays = vec![0];
    for &edge in &fixed.times {
        for &moved_edge in &moved.times {
            for nudge in [0, 1, -1, merge + 1, -merge - 1] {
                delays.push((edge - moved_edge + nudge).rem_euclid(shared));
            }
        }
        if delays.len() > 1 << 20 {
            break;
        }
    }
    delays.sort_unstable();
    delays.dedup();
    let every = delays.len().div_ceil(MAX_ALIGNMENT_CANDIDATES).max(1);
    Ok(delays.into_iter().step_by(every).collect())
}
