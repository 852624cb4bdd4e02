//! Patterns, signals, layers and what is said about states in a consistent program.

use super::vehicle::LARGEST_THOUSANDTHS;
use super::{Review, Seen, again, claim, cut_unknown, is_new, keep, unknown, within};
use crate::{
    Action, Alternative, Condition, ControlStyle, Must, Parts, Pattern, Problem, Signal, SignalId,
    Target, ValueId, Vehicle, lane_problems,
};
use lampwright_timing::{Level, Micros};

pub(super) fn admit_patterns(patterns: &mut Vec<Pattern>, review: &mut Review) {
    let mut ids = Seen::default();
    keep(patterns, "patterns", review, |pattern, path, review| {
        claim(&mut ids, pattern.id.as_str(), path, review);
        for (name, value) in [("period_ms", pattern.period), ("tick_ms", pattern.tick)] {
            if value <= Micros::ZERO || value > lampwright_timing::MAX_COMMON_PERIOD {
                review.breaks_at(
                    path,
                    name,
                    "more than 0 ms, at most 120,000 ms",
                    value.to_string(),
                );
            }
        }
        let mut roles = Seen::default();
        for (index, lane) in pattern.lanes.iter_mut().enumerate() {
            let path = format!("{path}.lanes[{index}]");
            if !is_new(&mut roles, lane.role.as_str()) {
                review.breaks_at(
                    &path,
                    "role",
                    "a role used only once in the pattern",
                    again(lane.role.as_str()),
                );
            }
            let wrong = lane_problems(pattern.period, &lane.pulses);
            if wrong.is_empty() {
                continue;
            }
            lane.pulses = lane
                .pulses
                .iter()
                .enumerate()
                .filter(|(pulse, _)| wrong.binary_search_by_key(pulse, |(bad, _)| *bad).is_err())
                .map(|(_, pulse)| *pulse)
                .collect();
            for (pulse, mut problem) in wrong {
                problem.path = format!("{path}.pulses[{pulse}].{}", problem.path);
                review.cuts(problem);
            }
        }
    });
}

/// Most signals and most values of one signal; keeps states countable in 64 x 6 bits.
pub(super) const MOST_SIGNALS: usize = 64;
pub(super) const MOST_VALUES: usize = 64;

pub(super) fn admit_signals(parts: &mut Parts, review: &mut Review) {
    let mut ids = Seen::default();
    keep(
        &mut parts.signals,
        "signals",
        review,
        |signal, path, review| {
            claim(&mut ids, signal.id.as_str(), path, review);
            if ids.len() > MOST_SIGNALS {
                review.breaks(Problem::new(path, "at most 64 signals", "one more"));
            }
            if !(2..=MOST_VALUES).contains(&signal.values.len()) {
                review.breaks_at(
                    path,
                    "values",
                    "2 to 64 values",
                    signal.values.len().to_string(),
                );
            }
            let mut seen = Seen::default();
            let is_twice = |value: &ValueId| !is_new(&mut seen, value.as_str());
            if signal.values.iter().any(is_twice) {
                review.breaks_at(
                    path,
                    "values",
                    "each value only once",
                    "a value twice".into(),
                );
            }
            for (name, index) in [("default", signal.default), ("on_lost", signal.on_lost)] {
                if index >= signal.values.len() {
                    review.breaks_at(path, name, "one of the signal's values", "another".into());
                }
            }
        },
    );
    let signals = &parts.signals;
    let mut ids = Seen::default();
    keep(
        &mut parts.controls,
        "controls",
        review,
        |control, path, review| {
            claim(&mut ids, control.id.as_str(), path, review);
            let (expected, fits) = match control.style {
                ControlStyle::Button => ("1 position", control.positions.len() == 1),
                ControlStyle::Toggle | ControlStyle::Held => {
                    ("2 positions", control.positions.len() == 2)
                }
                ControlStyle::Slide => ("2 or more positions", control.positions.len() >= 2),
            };
            if !fits {
                review.breaks_at(
                    path,
                    "positions",
                    expected,
                    control.positions.len().to_string(),
                );
            }
            for (index, position) in control.positions.iter().enumerate() {
                check_values(
                    &position.sets,
                    signals,
                    &format!("{path}.positions[{index}].sets"),
                    review,
                );
            }
        },
    );
}

pub(super) fn check_values(
    values: &[(SignalId, ValueId)],
    signals: &[Signal],
    path: &str,
    review: &mut Review,
) {
    let mut seen = Seen::default();
    for (signal, value) in values {
        check_value(signal, value, signals, path, review);
        if !is_new(&mut seen, signal.as_str()) {
            review.breaks(Problem::new(
                path,
                "each signal only once",
                again(signal.as_str()),
            ));
        }
    }
}

pub(super) fn check_value(
    signal: &SignalId,
    value: &ValueId,
    signals: &[Signal],
    path: &str,
    review: &mut Review,
) {
    match signals.iter().find(|known| known.id == *signal) {
        None => review.breaks(unknown(path, "", "a signal", signal)),
        Some(known) if !known.values.contains(value) => {
            let values: Vec<&str> = known.values.iter().map(ValueId::as_str).collect();
            review.breaks_at(
                path,
                signal.as_str(),
                &format!("one of {}", values.join(", ")),
                format!("\"{value}\""),
            );
        }
        Some(_) => {}
    }
}

pub(super) fn check_alternative(
    alternative: &Alternative,
    signals: &[Signal],
    path: &str,
    review: &mut Review,
) {
    let mut seen = Seen::default();
    for (signal, values) in &alternative.0 {
        if !is_new(&mut seen, signal.as_str()) {
            review.breaks(Problem::new(
                path,
                "each signal only once",
                again(signal.as_str()),
            ));
        }
        if values.is_empty() {
            review.breaks_at(path, signal.as_str(), "at least one value", "none".into());
        }
        for value in values {
            check_value(signal, value, signals, path, review);
        }
    }
}

pub(super) fn check_condition(
    condition: &Condition,
    signals: &[Signal],
    path: &str,
    review: &mut Review,
) {
    for (index, alternative) in condition.0.iter().enumerate() {
        check_alternative(
            alternative,
            signals,
            &format!("{path}.when[{index}]"),
            review,
        );
    }
}

pub(super) fn cut_targets(
    targets: &mut Vec<Target>,
    vehicle: &Vehicle,
    path: &str,
    review: &mut Review,
) {
    targets.retain(|target| {
        let problem = match target {
            Target::Head(id) if !vehicle.heads.iter().any(|head| head.id == *id) => {
                unknown(path, "", "a head", id)
            }
            Target::Group(id) if !vehicle.groups.iter().any(|group| group.id == *id) => {
                unknown(path, "", "a group", id)
            }
            _ => return true,
        };
        review.cuts(problem);
        false
    });
}

pub(super) fn admit_layers(parts: &mut Parts, review: &mut Review) {
    let (vehicle, signals, patterns) = (&parts.vehicle, &parts.signals, &parts.patterns);
    let mut ids = Seen::default();
    keep(
        &mut parts.layers,
        "layers",
        review,
        |layer, path, review| {
            claim(&mut ids, layer.id.as_str(), path, review);
            check_condition(&layer.when, signals, path, review);
            match &mut layer.action {
                Action::Play { pattern, bindings } => {
                    let known = patterns.iter().find(|known| known.id == *pattern);
                    if known.is_none() {
                        review.breaks(unknown(path, "play.pattern", "a pattern", pattern));
                    }
                    let mut index = 0;
                    bindings.retain_mut(|binding| {
                        let path = format!("{path}.play.bindings[{index}]");
                        index += 1;
                        cut_targets(
                            &mut binding.heads,
                            vehicle,
                            &format!("{path}.heads"),
                            review,
                        );
                        let has_lane =
                            known.is_none_or(|known| known.lane(&binding.lane).is_some());
                        if !has_lane {
                            review.cuts(unknown(
                                &path,
                                "lane",
                                "a lane of the pattern",
                                &binding.lane,
                            ));
                        }
                        let longest = lampwright_timing::MAX_COMMON_PERIOD;
                        let is_near = (-longest..=longest).contains(&binding.offset);
                        if !is_near {
                            review.cuts_at(
                                &path,
                                "offset_ms",
                                "-120,000 ms to 120,000 ms",
                                binding.offset.to_string(),
                            );
                        }
                        has_lane && is_near
                    });
                }
                Action::Hold { heads, level, .. } => {
                    cut_targets(heads, vehicle, &format!("{path}.hold.heads"), review);
                    if *level == Level::DARK {
                        review.breaks_at(
                            path,
                            "hold.level",
                            "more than 0; use dark for no light",
                            "0".into(),
                        );
                    }
                }
                Action::Dark { heads } => {
                    cut_targets(heads, vehicle, &format!("{path}.dark.heads"), review);
                }
            }
        },
    );
    keep(&mut parts.dims, "dims", review, |dim, path, review| {
        claim(&mut ids, dim.id.as_str(), path, review);
        check_condition(&dim.when, signals, path, review);
        cut_targets(&mut dim.heads, vehicle, &format!("{path}.heads"), review);
    });
}

pub(super) fn admit_review(parts: &mut Parts, review: &mut Review) {
    let (vehicle, signals) = (&parts.vehicle, &parts.signals);
    let mut ids = Seen::default();
    keep(
        &mut parts.situations,
        "situations",
        review,
        |situation, path, review| {
            claim(&mut ids, situation.id.as_str(), path, review);
            check_values(
                &situation.values,
                signals,
                &format!("{path}.values"),
                review,
            );
        },
    );
    keep(
        &mut parts.impossible,
        "impossible",
        review,
        |alternative, path, review| check_alternative(alternative, signals, path, review),
    );
    let mut ids = Seen::default();
    keep(
        &mut parts.guarantees,
        "guarantees",
        review,
        |guarantee, path, review| {
            claim(&mut ids, guarantee.id.as_str(), path, review);
            check_condition(&guarantee.when, signals, path, review);
            if let Must::TotalCurrentAtMost(current) = guarantee.must {
                within(
                    current.0,
                    (0, LARGEST_THOUSANDTHS),
                    "0 A to 1,000,000 A",
                    (path, "must.total_current_at_most_a"),
                    review,
                );
            }
            cut_targets(
                &mut guarantee.heads,
                vehicle,
                &format!("{path}.heads"),
                review,
            );
        },
    );
    let patterns = &parts.patterns;
    let mut codes = Vec::new();
    keep(
        &mut parts.profile.rules,
        "profile.rules",
        review,
        |choice, path, review| {
            if codes.contains(&choice.code) {
                review.breaks_at(
                    path,
                    "code",
                    "a rule only once",
                    format!("{} again", choice.code),
                );
            }
            codes.push(choice.code);
            if let Some(when) = &choice.when {
                check_condition(when, signals, path, review);
            }
            cut_targets(&mut choice.heads, vehicle, &format!("{path}.heads"), review);
            for (name, list) in [
                ("only_patterns", &mut choice.only_patterns),
                ("except_patterns", &mut choice.except_patterns),
            ] {
                cut_unknown(list, "a pattern", &format!("{path}.{name}"), review, |id| {
                    patterns.iter().any(|pattern| pattern.id == *id)
                });
            }
        },
    );
}
