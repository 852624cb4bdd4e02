//! Building a scene from separate lanes of cells, each with its own period, weight and offset.

use super::color::Chromaticity;
use super::error::ScreeningError;
use super::scene::{Ambient, Extent, MAX_CELLS, MAX_TICKS, Scene};
use super::settings::Ratio;

/// A scene that owns its grid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnedScene {
    /// As in [`Scene::second`].
    pub second: i64,
    /// As in [`Scene::extent`].
    pub extent: Extent,
    /// As in [`Scene::times`].
    pub times: Vec<i64>,
    /// As in [`Scene::chromaticities`].
    pub chromaticities: Vec<Chromaticity>,
    /// As in [`Scene::values`].
    pub values: Vec<i64>,
    /// As in [`Scene::reference`].
    pub reference: Option<i64>,
    /// As in [`Scene::luminance_cd_m2_per_light`].
    pub luminance_cd_m2_per_light: Option<Ratio>,
    /// As in [`Scene::ambient`].
    pub ambient: Option<Ambient>,
}

/// One stretch of constant level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cell {
    /// How long, in ticks, above 0.
    pub duration: i64,
    /// The level, 0 or more, in any one unit.
    pub level: i64,
}

/// Cells that repeat, as light of one cluster.
#[derive(Clone, Copy, Debug)]
pub struct Lane<'a> {
    /// The cluster it belongs to.
    pub cluster: usize,
    /// Light per level toward the observer, 0 or more.
    pub weight: i64,
    /// How much later it starts, in ticks; the cells wrap around.
    pub offset: i64,
    /// The cells, repeated without end.
    pub cells: &'a [Cell],
}

impl OwnedScene {
    /// The scene borrowed, for [`super::screen()`].
    #[must_use]
    pub fn as_scene(&self) -> Scene<'_> {
        Scene {
            second: self.second,
            extent: self.extent,
            times: &self.times,
            chromaticities: &self.chromaticities,
            values: &self.values,
            reference: self.reference,
            luminance_cd_m2_per_light: self.luminance_cd_m2_per_light,
            ambient: self.ambient,
        }
    }

    /// The lanes of each cluster added up; over their least common period, or once over `horizon`.
    ///
    /// `longest_period` in ticks; `second * MAX_PERIOD_SECONDS` unless there is reason otherwise.
    ///
    /// # Errors
    /// A lane without lasting cells, an unknown cluster, a common period above `longest_period`,
    /// too many cells, or too much light.
    pub fn from_lanes(
        second: i64,
        horizon: Option<i64>,
        longest_period: i64,
        chromaticities: &[Chromaticity],
        lanes: &[Lane<'_>],
    ) -> Result<Self, ScreeningError> {
        let mut totals = Vec::with_capacity(lanes.len());
        for (lane_idx, lane) in lanes.iter().enumerate() {
            let total = lane
                .cells
                .iter()
                .try_fold(0_i64, |sum, cell| sum.checked_add(cell.duration))
                .filter(|total| *total > 0 && lane.cells.iter().all(|cell| cell.duration > 0))
                .ok_or(ScreeningError::EmptyLane { lane: lane_idx })?;
            if lane.cluster >= chromaticities.len() {
                let cluster = lane.cluster;
                return Err(ScreeningError::UnknownCluster {
                    lane: lane_idx,
                    cluster,
                });
            }
            totals.push(total);
        }
        let extent = match horizon {
            Some(horizon) => Extent::Once { horizon },
            None => Extent::Cyclic {
                period: common_period(&totals, longest_period)?,
            },
        };
        let ticks = extent.ticks();
        if !(1..=MAX_TICKS).contains(&ticks) {
            return Err(ScreeningError::ExtentOutOfRange { ticks });
        }
        let mut times = vec![0];
        for (lane, &total) in lanes.iter().zip(&totals) {
            let repeats = ticks / total + 2;
            let cells = usize::try_from(repeats)
                .unwrap_or(usize::MAX)
                .saturating_mul(lane.cells.len())
                .saturating_add(times.len());
            if cells > MAX_CELLS.saturating_mul(4) {
                return Err(ScreeningError::CellCountOutOfRange { cells });
            }
            for (start, _) in Unrolled::new(lane, total, ticks) {
                times.push(start);
            }
        }
        times.sort_unstable();
        times.dedup();
        let too_much = ScreeningError::LightOutOfRange;
        let mut values = vec![0_i64; times.len() * chromaticities.len()];
        for (lane, &total) in lanes.iter().zip(&totals) {
            let first = lane.cluster * times.len();
            let row = &mut values[first..first + times.len()];
            let mut unrolled = Unrolled::new(lane, total, ticks).peekable();
            let mut level = 0;
            for (value, &time) in row.iter_mut().zip(&times) {
                while let Some((_, next)) = unrolled.next_if(|(start, _)| *start <= time) {
                    level = next;
                }
                let light = lane.weight.checked_mul(level).ok_or(too_much.clone())?;
                *value = value.checked_add(light).ok_or(too_much.clone())?;
            }
        }
        let scene = Self {
            second,
            extent,
            times,
            chromaticities: chromaticities.to_vec(),
            values,
            reference: None,
            luminance_cd_m2_per_light: None,
            ambient: None,
        };
        scene.as_scene().check()?;
        Ok(scene)
    }

    /// The same light `ticks` later; what happens once is returned as it is.
    #[must_use]
    pub fn delayed(&self, ticks: i64) -> Self {
        let Extent::Cyclic { period } = self.extent else {
            return self.clone();
        };
        let n = self.times.len();
        let delay = |time: i64| (time + ticks.rem_euclid(period)).rem_euclid(period);
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by_key(|cell| delay(self.times[*cell]));
        let starts_late = order
            .first()
            .is_some_and(|cell| delay(self.times[*cell]) > 0);
        if starts_late && let Some(&last) = order.last() {
            // The cell that runs across time zero is shown in two parts.
            order.insert(0, last);
        }
        let mut times: Vec<i64> = order.iter().map(|cell| delay(self.times[*cell])).collect();
        if let Some(first) = times.first_mut() {
            *first = 0;
        }
        let rows = self.values.chunks_exact(n.max(1));
        let values = rows
            .flat_map(|row| order.iter().map(|cell| row[*cell]))
            .collect();
        Self {
            times,
            values,
            ..self.clone()
        }
    }

    /// The light of several cyclic units together, each with its own clusters.
    ///
    /// Reference, luminance and ambient are those of the first.
    ///
    /// # Errors
    /// No unit, a unit that happens once, different ticks, or a common period above
    /// `longest_period`.
    pub fn together(units: &[&Self], longest_period: i64) -> Result<Self, ScreeningError> {
        let first = *units.first().ok_or(ScreeningError::NotAlignable)?;
        let mut chromaticities = Vec::new();
        let mut cells = Vec::new();
        for unit in units {
            let period = unit.extent.period().ok_or(ScreeningError::NotAlignable)?;
            if unit.second != first.second {
                return Err(ScreeningError::NotAlignable);
            }
            let ends = unit.times.iter().skip(1).chain([&period]);
            let durations: Vec<i64> = unit
                .times
                .iter()
                .zip(ends)
                .map(|(start, end)| end - start)
                .collect();
            for row in unit.values.chunks_exact(unit.times.len().max(1)) {
                let row = durations.iter().zip(row);
                cells.push(
                    row.map(|(&duration, &level)| Cell { duration, level })
                        .collect::<Vec<_>>(),
                );
            }
            chromaticities.extend_from_slice(&unit.chromaticities);
        }
        let lanes: Vec<Lane<'_>> = cells
            .iter()
            .enumerate()
            .map(|(cluster, cells)| Lane {
                cluster,
                weight: 1,
                offset: 0,
                cells,
            })
            .collect();
        let both = Self::from_lanes(first.second, None, longest_period, &chromaticities, &lanes)?;
        let scene = Self {
            reference: first.reference,
            luminance_cd_m2_per_light: first.luminance_cd_m2_per_light,
            ambient: first.ambient,
            ..both
        };
        scene.as_scene().check()?;
        Ok(scene)
    }
}

/// The least common multiple of `periods`, in ticks.
///
/// # Errors
/// No period, a period below 1, or a multiple above `longest`:
/// then the units are to be judged as free-running.
pub fn common_period(periods: &[i64], longest: i64) -> Result<i64, ScreeningError> {
    let too_long = ScreeningError::PeriodTooLong { limit: longest };
    let mut common: i64 = 1;
    for &period in periods {
        if period < 1 {
            return Err(ScreeningError::ExtentOutOfRange { ticks: period });
        }
        let reduced = period / greatest_common_divisor(common, period);
        common = common.checked_mul(reduced).ok_or(too_long.clone())?;
        if common > longest {
            return Err(too_long);
        }
    }
    if periods.is_empty() {
        Err(ScreeningError::ExtentOutOfRange { ticks: 0 })
    } else {
        Ok(common)
    }
}

pub(crate) fn greatest_common_divisor(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// The starts and levels of a lane's cells within `0..ticks`, the first at 0.
struct Unrolled<'a> {
    cells: &'a [Cell],
    place: usize,
    time: i64,
    ticks: i64,
}

impl<'a> Unrolled<'a> {
    fn new(lane: &Lane<'a>, total: i64, ticks: i64) -> Self {
        let time = lane.offset.rem_euclid(total) - total;
        let mut unrolled = Self {
            cells: lane.cells,
            place: 0,
            time,
            ticks,
        };
        while let Some(cell) = unrolled.cells.get(unrolled.place)
            && unrolled.time + cell.duration <= 0
        {
            unrolled.advance(cell.duration);
        }
        unrolled
    }

    fn advance(&mut self, duration: i64) {
        self.time += duration;
        self.place = (self.place + 1) % self.cells.len().max(1);
    }
}

impl Iterator for Unrolled<'_> {
    type Item = (i64, i64);

    fn next(&mut self) -> Option<(i64, i64)> {
        let cell = *self.cells.get(self.place)?;
        let start = self.time.max(0);
        if start >= self.ticks {
            return None;
        }
        self.advance(cell.duration);
        Some((start, cell.level))
    }
}
