//! Current of anything fed: an emitter, an output, a fuse, the vehicle.
//!
//! A carrier switches the full current: during a pulse the mean is level times full, the root mean square full times the square root of the level, the peak full (electrical facts, section 2.3; calculated).
//! Linear dimming reduces the current itself.
//! Invariant: mean, least and peak are exact fractions of an ampere; the mean square is an exact integral within each clock unit, and the root is taken last.

use super::Courses;
use crate::Ratio;

/// Current over time, summed up.
///
/// Mean drives energy, root mean square drives heat in wires and fuses, peak drives voltage drop.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct CurrentFacts {
    /// Mean, amperes; exact, also across free-running clocks.
    pub mean: Ratio,
    /// Root mean square, amperes, with carriers of different emitters unrelated and free-running clocks over all their phases.
    pub rms_amps: f64,
    /// Root mean square, amperes, with all carriers in phase: the worst case; the same as `rms_amps` without carriers.
    pub rms_in_phase_amps: f64,
    /// Largest current, amperes, with all carriers on at once; a bound across free-running clocks.
    pub peak: Ratio,
    /// Least current, amperes, with all carriers off at once; a bound across free-running clocks.
    pub least: Ratio,
    /// True when peak and least are bounds because clocks run free.
    pub is_bound: bool,
}

impl CurrentFacts {
    /// No current.
    pub const NONE: Self = Self {
        mean: Ratio::ZERO,
        rms_amps: 0.0,
        rms_in_phase_amps: 0.0,
        peak: Ratio::ZERO,
        least: Ratio::ZERO,
        is_bound: false,
    };
}

/// Currents of some loads together, each measured once: many heads and outputs draw the same.
pub(crate) struct Currents<'a> {
    courses: &'a Courses,
    known: Vec<(Vec<Load>, CurrentFacts)>,
}

impl<'a> Currents<'a> {
    /// Nothing measured yet.
    pub(super) const fn new(courses: &'a Courses) -> Self {
        Self {
            courses,
            known: Vec::new(),
        }
    }

    /// The current of some loads together.
    pub(super) fn of(&mut self, loads: Vec<Load>) -> CurrentFacts {
        if let Some((_, current)) = self.known.iter().find(|(known, _)| *known == loads) {
            return *current;
        }
        let current = current_of(self.courses, &loads);
        self.known.push((loads, current));
        current
    }
}

/// One lit emitter as a load.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Load {
    /// Index of its clock unit.
    pub(super) unit: usize,
    /// Index of its course in the unit.
    pub(super) course: usize,
    /// Current at full level, microamperes.
    pub(super) full_microamps: i64,
    /// Whether a carrier dims it.
    pub(super) is_switched: bool,
}

/// Loads of one clock unit by course, microamperes.
#[derive(Clone, Copy, Default)]
struct CourseLoad {
    linear: i64,
    switched: i64,
    /// Sum of the squares of the switched currents.
    switched_squares: i128,
}

/// What one clock unit draws, in nanoamperes and their squares.
struct UnitCurrent {
    period: i128,
    integral: i128,
    square: i128,
    square_in_phase: i128,
    peak: i64,
    least: i64,
    is_constant: bool,
}

/// Largest sum of full currents, microamperes, whose squares are integrated as they are.
///
/// A million amperes; past it currents are cut to whole amperes so that the integral stays within 128 bits.
const FINE_UP_TO: i64 = 1_000_000_000_000;

const NANOAMPS: i128 = 1_000_000_000;

fn current_of(courses: &Courses, loads: &[Load]) -> CurrentFacts {
    let total = loads
        .iter()
        .fold(0_i64, |sum, load| sum.saturating_add(load.full_microamps));
    let coarse = if total > FINE_UP_TO { 1_000_000 } else { 1 };
    let scale = NANOAMPS / i128::from(coarse);
    let units: Vec<UnitCurrent> = (0..courses.units.len())
        .filter_map(|unit| unit_current(courses, unit, loads, coarse))
        .collect();
    let mut facts = CurrentFacts::NONE;
    let mut variance = 0.0;
    let mut variance_in_phase = 0.0;
    let (mut peak, mut least) = (0_i128, 0_i128);
    for unit in &units {
        let mean = Ratio::new(unit.integral, unit.period).over(scale);
        facts.mean = facts.mean.plus(mean);
        peak += i128::from(unit.peak);
        least += i128::from(unit.least);
        // Free-running units are independent: their variances add.
        let squared_mean = mean.as_f64() * mean.as_f64();
        let mean_square = |square: i128| Ratio::new(square, unit.period).as_f64() / squared(scale);
        variance += mean_square(unit.square) - squared_mean;
        variance_in_phase += mean_square(unit.square_in_phase) - squared_mean;
    }
    facts.peak = Ratio::new(peak, scale);
    facts.least = Ratio::new(least, scale);
    facts.is_bound = units.iter().filter(|unit| !unit.is_constant).count() > 1;
    if let [only] = units.as_slice() {
        let root = |square: i128| {
            libm::sqrt(Ratio::new(square, only.period).as_f64()) / libm::sqrt(squared(scale))
        };
        facts.rms_amps = root(only.square);
        facts.rms_in_phase_amps = root(only.square_in_phase);
    } else {
        let squared_mean = facts.mean.as_f64() * facts.mean.as_f64();
        facts.rms_amps = libm::sqrt((squared_mean + variance).max(0.0));
        facts.rms_in_phase_amps = libm::sqrt((squared_mean + variance_in_phase).max(0.0));
    }
    facts
}

#[expect(clippy::cast_precision_loss, reason = "at most 10^9, exact")]
fn squared(scale: i128) -> f64 {
    scale as f64 * scale as f64
}

fn unit_current(
    courses: &Courses,
    unit_idx: usize,
    loads: &[Load],
    coarse: i64,
) -> Option<UnitCurrent> {
    let unit = courses.units.get(unit_idx)?;
    let mut by_course = vec![CourseLoad::default(); unit.courses.len()];
    let mut is_used = false;
    let mut is_constant = true;
    for load in loads.iter().filter(|load| load.unit == unit_idx) {
        let (Some(sum), Some(course)) = (
            by_course.get_mut(load.course),
            unit.courses.get(load.course),
        ) else {
            continue;
        };
        is_used = true;
        is_constant &= course.is_constant();
        let full = load.full_microamps / coarse;
        if load.is_switched {
            sum.switched += full;
            sum.switched_squares += i128::from(full) * i128::from(full);
        } else {
            sum.linear += full;
        }
    }
    if !is_used {
        return None;
    }
    let mut current = UnitCurrent {
        period: i128::from(unit.period.0),
        integral: 0,
        square: 0,
        square_in_phase: 0,
        peak: 0,
        least: i64::MAX,
        is_constant,
    };
    let used: Vec<(&[i64], CourseLoad)> = by_course
        .iter()
        .enumerate()
        .filter(|(_, load)| load.linear > 0 || load.switched > 0)
        .map(|(course, load)| (unit.levels_of(course), *load))
        .collect();
    let mut switched: Vec<(i64, i64)> = Vec::with_capacity(used.len());
    for (cell, length) in unit.cell_lengths().enumerate() {
        let length = i128::from(length.0);
        let (mut linear, mut mean, mut on, mut always) = (0_i64, 0_i64, 0_i64, 0_i64);
        let mut ripple = 0_i128;
        switched.clear();
        for (levels, load) in &used {
            let level = levels.get(cell).copied().unwrap_or(0);
            linear += load.linear * level;
            mean += load.switched * level;
            if level > 0 && load.switched > 0 {
                on += load.switched * 1000;
                if level >= 1000 {
                    always += load.switched * 1000;
                }
                ripple += load.switched_squares * i128::from(level * (1000 - level));
                switched.push((level, load.switched));
            }
        }
        mean += linear;
        current.integral += length * i128::from(mean);
        current.square += length * (i128::from(mean) * i128::from(mean) + ripple);
        current.square_in_phase += length * in_phase_square(linear, &mut switched);
        current.peak = current.peak.max(linear + on);
        current.least = current.least.min(linear + always);
    }
    if used.is_empty() {
        current.least = 0;
    }
    Some(current)
}

/// Mean square of a steady current and switched ones, `(level, full)`, that all turn on together.
pub(super) fn in_phase_square(linear: i64, switched: &mut [(i64, i64)]) -> i128 {
    lampwright_timing::sort(switched);
    let mut on: i128 = switched
        .iter()
        .map(|(_, full)| i128::from(*full) * 1000)
        .sum();
    let mut total = 0_i128;
    let mut until = 0_i64;
    let square = |on: i128| (i128::from(linear) + on) * (i128::from(linear) + on);
    for (level, full) in switched.iter() {
        total += i128::from(level - until) * square(on);
        until = *level;
        on -= i128::from(*full) * 1000;
    }
    total += i128::from(1000 - until) * square(0);
    total / 1000
}
