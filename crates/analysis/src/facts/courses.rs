//! The distinct courses of a drive, sampled once on one shared grid of breakpoints per clock unit.
//!
//! A clock unit is a set of emitters that keep step for ever: they run on one clock and their common period is at most 120 s.
//! Emitters on different clocks drift; emitters on one clock whose common period is longer are treated the same way.
//! Invariant: which units there are does not depend on the order of heads; unchanging light keeps step with anything and joins the unit of its clock if there is one, else the first unit.

use crate::Ratio;
use lampwright_model::{ClockId, Color, Drive, Program};
use lampwright_timing::{Micros, Step, Waveform, breakpoints, least_common_period};
use std::sync::Arc;

/// Distinct courses on shared grids.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Courses {
    /// Clock units: the controller's clock first, then by clock identifier, then by period.
    pub units: Vec<CourseUnit>,
    /// Emitters that are ever lit, in the vehicle's order.
    pub lit: Vec<LitEmitter>,
}

/// Emitters that keep step, as distinct courses of level on one grid.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CourseUnit {
    /// The clock; none is the controller's.
    pub clock: Option<ClockId>,
    /// Common period; one microsecond when nothing changes.
    pub period: Micros,
    /// Instants within the period at which any course changes, rising, 0 first.
    pub times: Vec<Micros>,
    /// The same instants as plain microseconds, as the screening takes them.
    pub ticks: Vec<i64>,
    /// The distinct courses.
    pub courses: Vec<Arc<Waveform>>,
    /// Level of course `c` from instant `k` on, at `c * times.len() + k`, in per mille.
    pub levels: Vec<i64>,
    /// Integral of each course over the common period, per mille times microseconds.
    pub integrals: Vec<i128>,
}

/// One emitter that is ever lit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LitEmitter {
    /// Index of its head in the vehicle.
    pub head: usize,
    /// Index of the emitter in the head.
    pub emitter: usize,
    /// Index of its clock unit.
    pub unit: usize,
    /// Index of its course in the unit.
    pub course: usize,
    /// Its color.
    pub color: Color,
    /// Peak intensity at full level, millicandela.
    pub peak_millicandela: i64,
}

impl CourseUnit {
    /// Levels of a course over the grid, per mille.
    #[must_use]
    pub fn levels_of(&self, course: usize) -> &[i64] {
        let n = self.times.len();
        self.levels
            .get(course * n..(course + 1) * n)
            .unwrap_or_default()
    }

    /// How long each cell of the grid lasts.
    pub fn cell_lengths(&self) -> impl Iterator<Item = Micros> + '_ {
        let ends = self
            .times
            .iter()
            .skip(1)
            .copied()
            .chain(std::iter::once(self.period));
        self.times.iter().zip(ends).map(|(start, end)| end - *start)
    }

    /// Whether nothing in it changes.
    #[must_use]
    pub fn is_constant(&self) -> bool {
        self.times.len() <= 1
    }
}

impl Courses {
    /// The courses of a drive of the program.
    #[must_use]
    pub fn of(program: &Program, drive: &Drive) -> Self {
        struct Pending<'a> {
            clock: Option<&'a ClockId>,
            head: usize,
            emitter: usize,
            color: Color,
            level: &'a Arc<Waveform>,
            peak_millicandela: i64,
        }
        let mut pending = Vec::new();
        for (head_idx, (head, head_drive)) in
            program.vehicle.heads.iter().zip(&drive.heads).enumerate()
        {
            for (emitter_idx, (emitter, emitter_drive)) in
                head.emitters.iter().zip(&head_drive.emitters).enumerate()
            {
                if emitter_drive.level.maximum() > 0 {
                    pending.push(Pending {
                        clock: head.clock.as_ref(),
                        head: head_idx,
                        emitter: emitter_idx,
                        color: emitter.color,
                        level: &emitter_drive.level,
                        peak_millicandela: emitter.peak_or_assumed().value.0,
                    });
                }
            }
        }
        // One key per distinct clock and period, in a fixed order, gathered greedily into units.
        let mut keys: Vec<(Option<&ClockId>, Micros)> = pending
            .iter()
            .filter(|lit| !lit.level.is_constant())
            .map(|lit| (lit.clock, lit.level.period()))
            .collect();
        lampwright_timing::sort(&mut keys);
        keys.dedup();
        let mut units: Vec<(Option<&ClockId>, Vec<Micros>)> = Vec::new();
        for (clock, period) in keys {
            let home = units.iter_mut().find(|(unit_clock, periods)| {
                *unit_clock == clock
                    && least_common_period(periods.iter().copied().chain([period])).is_ok()
            });
            match home {
                Some((_, periods)) => periods.push(period),
                None => units.push((clock, vec![period])),
            }
        }
        if units.is_empty() && !pending.is_empty() {
            units.push((None, Vec::new()));
        }
        let mut courses: Vec<Vec<Arc<Waveform>>> = vec![Vec::new(); units.len()];
        let mut lit = Vec::with_capacity(pending.len());
        for emitter in pending {
            let unit = units
                .iter()
                .position(|(clock, periods)| {
                    *clock == emitter.clock
                        && (emitter.level.is_constant()
                            || periods.contains(&emitter.level.period()))
                })
                .unwrap_or(0);
            let Some(known) = courses.get_mut(unit) else {
                continue;
            };
            let course = known
                .iter()
                .position(|course| Arc::ptr_eq(course, emitter.level) || course == emitter.level)
                .unwrap_or_else(|| {
                    known.push(Arc::clone(emitter.level));
                    known.len() - 1
                });
            lit.push(LitEmitter {
                head: emitter.head,
                emitter: emitter.emitter,
                unit,
                course,
                color: emitter.color,
                peak_millicandela: emitter.peak_millicandela,
            });
        }
        let units = units
            .into_iter()
            .zip(courses)
            .map(|((clock, _), courses)| CourseUnit::sampled(clock.cloned(), courses))
            .collect();
        Self { units, lit }
    }

    /// Mean of a weighted sum of courses, given as `(unit, course, weight)`: exact, in the weight's unit times per mille, also across units.
    #[must_use]
    pub fn mean_of(&self, weights: impl IntoIterator<Item = (usize, usize, i64)>) -> Ratio {
        let mut integrals = vec![0_i128; self.units.len()];
        for (unit, course, weight) in weights {
            let integral = self
                .units
                .get(unit)
                .and_then(|unit| unit.integrals.get(course));
            if let (Some(total), Some(integral)) = (integrals.get_mut(unit), integral) {
                *total += integral * i128::from(weight);
            }
        }
        self.units
            .iter()
            .zip(integrals)
            .map(|(unit, integral)| Ratio::new(integral, i128::from(unit.period.0)))
            .fold(Ratio::ZERO, Ratio::plus)
    }

    /// A weighted sum of courses over time, given as `(unit, course, weight)`, with the unit its changes belong to; none when they drift.
    #[must_use]
    pub fn light_of(&self, weights: &[(usize, usize, i64)]) -> Option<(Option<usize>, Waveform)> {
        let course_of = |unit: usize, course: usize| {
            self.units
                .get(unit)
                .and_then(|unit| unit.courses.get(course))
        };
        let mut home = None;
        let mut steady = 0;
        for (unit, course, weight) in weights {
            let level = course_of(*unit, *course)?;
            if level.is_constant() {
                steady += weight * level.maximum();
            } else if home.is_none_or(|home| home == *unit) {
                home = Some(*unit);
            } else {
                return None;
            }
        }
        let Some(unit) = home.and_then(|unit| self.units.get(unit)) else {
            return Some((None, Waveform::constant(steady)));
        };
        let mut total_weights = vec![0_i64; unit.courses.len()];
        for (_, course, weight) in weights.iter().filter(|(unit, ..)| Some(*unit) == home) {
            if let Some(total) = total_weights.get_mut(*course)
                && unit
                    .courses
                    .get(*course)
                    .is_some_and(|level| !level.is_constant())
            {
                *total += weight;
            }
        }
        let mut values = vec![steady; unit.times.len()];
        for (course, weight) in total_weights
            .iter()
            .enumerate()
            .filter(|(_, weight)| **weight != 0)
        {
            for (value, level) in values.iter_mut().zip(unit.levels_of(course)) {
                *value += weight * level;
            }
        }
        let steps = unit.times.iter().zip(values);
        let light = Waveform::from_steps(
            unit.period,
            steps.map(|(at, value)| Step { at: *at, value }),
        );
        light.ok().map(|light| (home, light))
    }

    /// Whether everything that changes keeps step.
    #[must_use]
    pub fn is_in_step(&self) -> bool {
        self.units.len() <= 1
    }
}

impl CourseUnit {
    fn sampled(clock: Option<ClockId>, courses: Vec<Arc<Waveform>>) -> Self {
        let borrowed: Vec<&Waveform> = courses.iter().map(AsRef::as_ref).collect();
        // The units were gathered so that this period exists.
        let (period, times) =
            breakpoints(&borrowed).unwrap_or_else(|_| (Micros(1), vec![Micros::ZERO]));
        let mut levels = Vec::with_capacity(times.len() * courses.len());
        let mut integrals = Vec::with_capacity(courses.len());
        for course in &courses {
            levels.extend(course.sampled_on(&times));
            integrals.push(course.integral() * i128::from(period.0 / course.period().0));
        }
        Self {
            clock,
            period,
            ticks: times.iter().map(|at| at.0).collect(),
            times,
            courses,
            levels,
            integrals,
        }
    }
}
