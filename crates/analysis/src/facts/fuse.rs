//! Time to blow of blade fuses, and the course of current a fuse feels.
//!
//! Invariant: no prediction below 135 % of the rating; between 110 % and 135 % the outcome is undefined.
//! Absent: re-rating for temperature, pulse endurance (its published figures assume about 10 s of cooling between pulses, so they do not apply to flashing), breakers.

use super::current::in_phase_square;
use super::electrical::full_microamps;
use super::{CourseUnit, Facts};
use lampwright_model::{Dimming, Emitter, Program};
use lampwright_timing::Micros;

/// Share of the rating a blade fuse carries for at least 100 hours (second-hand: data sheets that quote ISO 8820-3).
pub const CARRIES_UP_TO: f64 = 1.10;

/// Share of the rating from which a blade fuse blows within a stated time.
pub const BLOWS_FROM: f64 = 1.35;

/// Between which times a fuse blows at an overload.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct FuseGate {
    /// Current over rating.
    pub overload: f64,
    /// Least time, seconds.
    pub least_seconds: f64,
    /// Largest time, seconds.
    pub most_seconds: f64,
}

/// Gates of medium blade fuses (type C): 135 % second-hand, from data sheets that quote ISO 8820-3; the others from memory.
pub const BLADE_GATES: [FuseGate; 5] = [
    gate(1.35, 0.75, 600.0),
    gate(1.6, 0.25, 50.0),
    gate(2.0, 0.15, 5.0),
    gate(3.5, 0.08, 0.5),
    gate(6.0, 0.03, 0.1),
];

const fn gate(overload: f64, least_seconds: f64, most_seconds: f64) -> FuseGate {
    FuseGate {
        overload,
        least_seconds,
        most_seconds,
    }
}

/// The gate at an overload, by straight lines between the logarithms (our own choice); past the last gate its times stay.
///
/// None below the first gate, where nothing is known. `gates` rise by overload.
#[must_use]
pub fn gate_at(gates: &[FuseGate], overload: f64) -> Option<FuseGate> {
    let first = gates.first()?;
    if overload < first.overload {
        return None;
    }
    let between = |one: &FuseGate, other: &FuseGate| {
        let share = libm::log(overload / one.overload) / libm::log(other.overload / one.overload);
        let time = |from: f64, to: f64| from * libm::exp(share * libm::log(to / from));
        FuseGate {
            overload,
            least_seconds: time(one.least_seconds, other.least_seconds),
            most_seconds: time(one.most_seconds, other.most_seconds),
        }
    };
    let pair = gates
        .iter()
        .zip(gates.iter().skip(1))
        .find(|(_, other)| overload < other.overload);
    match pair {
        Some((one, other)) => Some(between(one, other)),
        None => gates.last().map(|last| FuseGate { overload, ..*last }),
    }
}

/// Pieces of one period: how long, and the current in amperes that heats meanwhile, with all carriers in phase.
pub type HeatingCourse = Vec<(Micros, f64)>;

/// The heating current of some emitters over one period; none when they drift against each other, an empty course when none is lit.
#[must_use]
pub fn heating_course(
    program: &Program,
    facts: &Facts,
    is_wanted: &dyn Fn(&Emitter) -> bool,
) -> Option<HeatingCourse> {
    let emitter_of = |head: usize, emitter: usize| {
        let emitter = program.vehicle.heads.get(head)?.emitters.get(emitter)?;
        is_wanted(emitter).then_some(emitter)
    };
    let courses = &facts.courses;
    let wanted: Vec<_> = courses
        .lit
        .iter()
        .filter_map(|lit| Some((lit, emitter_of(lit.head, lit.emitter)?)))
        .collect();
    let is_changing = |unit: usize, course: usize| {
        courses
            .units
            .get(unit)
            .and_then(|unit| unit.courses.get(course))
            .is_some_and(|course| !course.is_constant())
    };
    let mut changing: Vec<usize> = wanted
        .iter()
        .filter(|(lit, _)| is_changing(lit.unit, lit.course))
        .map(|(lit, _)| lit.unit)
        .collect();
    lampwright_timing::sort(&mut changing);
    changing.dedup();
    if changing.len() > 1 {
        return None;
    }
    let Some(unit_idx) = changing
        .first()
        .copied()
        .or_else(|| wanted.first().map(|(lit, _)| lit.unit))
    else {
        return Some(Vec::new());
    };
    let unit: &CourseUnit = courses.units.get(unit_idx)?;
    let test = program.vehicle.supply.test_voltage;
    let voltage = facts.electrical.supply_voltage;
    let mut loads = Vec::with_capacity(wanted.len());
    for (lit, emitter) in wanted {
        let levels = courses.units.get(lit.unit)?.levels_of(lit.course);
        let full = full_microamps(emitter, test, voltage);
        loads.push((lit.unit == unit_idx, levels, full, emitter.dimming));
    }
    let mut course = Vec::with_capacity(unit.times.len());
    for (cell, length) in unit.cell_lengths().enumerate() {
        let mut linear = 0_i64;
        let mut switched = Vec::new();
        for (is_of_unit, levels, full, dimming) in &loads {
            // Light of another unit is constant here, so its first cell tells all.
            let at = if *is_of_unit { cell } else { 0 };
            let (level, full) = (levels.get(at).copied().unwrap_or(0), *full);
            match dimming {
                Dimming::Linear => linear = linear.saturating_add(full.saturating_mul(level)),
                Dimming::Carrier(_) if level > 0 => switched.push((level, full)),
                Dimming::Carrier(_) => {}
            }
        }
        course.push((length, root(in_phase_square(linear, &mut switched))));
    }
    Some(course)
}

/// Amperes from a mean square in square nanoamperes.
#[expect(
    clippy::cast_precision_loss,
    reason = "a root takes floating point anyway"
)]
fn root(square: i128) -> f64 {
    libm::sqrt(square as f64) / 1e9
}

/// The longest stretch of a course, which repeats without end, at or above a current; the whole period when it never falls below.
#[must_use]
pub fn longest_at_least(course: &[(Micros, f64)], amps: f64) -> Micros {
    let (mut longest, mut current) = (Micros::ZERO, Micros::ZERO);
    let period = course
        .iter()
        .fold(Micros::ZERO, |sum, (length, _)| sum + *length);
    for (length, own) in course.iter().chain(course) {
        current = if *own >= amps {
            current + *length
        } else {
            Micros::ZERO
        };
        longest = longest.max(current);
    }
    longest.min(period)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_said_below_135_percent_and_times_fall_above() {
        assert_eq!(gate_at(&BLADE_GATES, 1.3499), None);
        let gates: Vec<FuseGate> = [1.35, 1.5, 2.0, 2.5, 6.0, 20.0]
            .into_iter()
            .filter_map(|overload| gate_at(&BLADE_GATES, overload))
            .collect();
        assert_eq!(gates.len(), 6);
        assert!(gates.is_sorted_by(|one, other| {
            one.least_seconds >= other.least_seconds && one.most_seconds >= other.most_seconds
        }));
    }

    #[test]
    fn a_stretch_may_pass_the_end_of_the_period() {
        let course = [(Micros(100), 5.0), (Micros(300), 1.0), (Micros(50), 5.0)];
        assert_eq!(longest_at_least(&course, 5.0), Micros(150));
        assert_eq!(longest_at_least(&course, 1.0), Micros(450));
        assert_eq!(longest_at_least(&course, 6.0), Micros::ZERO);
    }
}
