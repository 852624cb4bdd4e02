//! Patterns: lanes of pulses that know nothing of any vehicle.

use crate::{Color, PatternId, Problem, RoleId};
use lampwright_timing::{Level, Micros};
use std::sync::Arc;

/// Lanes sharing a period and a tick.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Pattern {
    /// Identifier.
    pub id: PatternId,
    /// Plain-word description: "alternating double flash".
    pub label: String,
    /// Length after which all lanes repeat, above zero.
    pub period: Micros,
    /// Step of the controller that edges snap to, above zero.
    pub tick: Micros,
    /// Lanes, each with a role of its own.
    pub lanes: Vec<Lane>,
}

impl Pattern {
    /// The lane of a role.
    #[must_use]
    pub fn lane(&self, role: &RoleId) -> Option<&Lane> {
        self.lanes.iter().find(|lane| lane.role == *role)
    }
}

/// One row of a pattern.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Lane {
    /// What part it plays: "left", "right", "1".
    pub role: RoleId,
    /// Pulses, sorted, free of overlap, within the period; shared between snapshots.
    pub pulses: Arc<[Pulse]>,
}

/// One stretch of time at a level above zero.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Pulse {
    /// From the start of the period.
    pub start: Micros,
    /// Above zero; the pulse ends within the period.
    pub length: Micros,
    /// Above zero.
    pub level: Level,
    /// Color of its own, in place of the one the layer gives.
    pub color: Option<Color>,
}

impl Pulse {
    /// First instant after the pulse.
    #[must_use]
    pub fn end(&self) -> Micros {
        self.start + self.length
    }
}

/// What keeps `pulses` from being a lane of the period, as `(index, problem)`.
///
/// Empty when they are sorted, free of overlap, inside the period, none empty, none of level zero.
#[must_use]
pub fn lane_problems(period: Micros, pulses: &[Pulse]) -> Vec<(usize, Problem)> {
    let mut problems = Vec::new();
    let mut free_from = Micros::ZERO;
    for (index, pulse) in pulses.iter().enumerate() {
        let mut report = |field: &str, expected: String, found: String| {
            problems.push((index, Problem::new(field, expected, found)));
        };
        if pulse.length <= Micros::ZERO {
            report(
                "length_ms",
                "more than 0 ms".into(),
                pulse.length.to_string(),
            );
        } else if pulse.start < Micros::ZERO || pulse.end() > period {
            report(
                "start_ms",
                format!("a pulse between 0 ms and the period, {period}"),
                format!("{} to {}", pulse.start, pulse.end()),
            );
        } else if pulse.start < free_from {
            report(
                "start_ms",
                format!("{free_from} or later, where the pulse before ends"),
                pulse.start.to_string(),
            );
        } else if pulse.level == Level::DARK {
            report("level", "more than 0".into(), "0".into());
        } else {
            free_from = pulse.end();
        }
    }
    problems
}
