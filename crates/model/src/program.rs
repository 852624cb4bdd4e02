//! The document and the one place where its invariants are checked.

use crate::{
    Action, Alternative, Beam, Condition, Control, ControlStyle, DimLayer, Edit, EditError,
    GroupMembers, Guarantee, Head, Layer, LayerId, Pattern, Profile, Signal, SignalId, Situation,
    Target, ValueId, Vehicle, Waiver, WireSize, lane_problems,
};
use lampwright_timing::{Level, Micros};
use std::collections::HashSet;
use std::fmt;
use std::hash::Hash;
use std::ops::Deref;

/// A consistent program: every identifier is unique and every reference leads somewhere.
///
/// Reads like its [`Parts`]; made by [`Program::admit`], changed by [`Program::apply`] alone.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Program(Parts);

/// The plain contents of a program, without any promise of consistency.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Parts {
    /// Name of the program.
    pub name: String,
    /// Notes: what it is for, what was decided.
    pub about: String,
    /// Vehicle.
    pub vehicle: Vehicle,
    /// Patterns.
    pub patterns: Vec<Pattern>,
    /// Signals.
    pub signals: Vec<Signal>,
    /// Controls of the operator.
    pub controls: Vec<Control>,
    /// Layers; for each head the first that holds and addresses it decides.
    pub layers: Vec<Layer>,
    /// Dim layers; their order does not matter.
    pub dims: Vec<DimLayer>,
    /// Named states in the agency's order of review.
    pub situations: Vec<Situation>,
    /// Conditions that cannot happen.
    pub impossible: Vec<Alternative>,
    /// Promises of the agency's own.
    pub guarantees: Vec<Guarantee>,
    /// Chosen rules.
    pub profile: Profile,
    /// Accepted findings.
    pub waivers: Vec<Waiver>,
}

/// Something that is wrong in a document: where, what was expected, what was found.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Problem {
    /// Path of the value: `vehicle.heads[3].emitters[0].output`.
    pub path: String,
    /// What would have been right.
    pub expected: String,
    /// What is there instead.
    pub found: String,
}

impl Problem {
    /// A problem at a path.
    pub fn new(
        path: impl Into<String>,
        expected: impl Into<String>,
        found: impl Into<String>,
    ) -> Self {
        Self {
            path: path.into(),
            expected: expected.into(),
            found: found.into(),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "{}: found {}, expected {}",
            self.path, self.found, self.expected
        )
    }
}

impl Deref for Program {
    type Target = Parts;
    fn deref(&self) -> &Parts {
        &self.0
    }
}

impl Program {
    /// Admits what is consistent and lists what had to be left out.
    ///
    /// Total: any parts give a program. A thing with a broken identifier or reference is dropped, never guessed.
    #[must_use]
    pub fn admit(mut parts: Parts) -> (Self, Vec<Problem>) {
        let mut problems = Vec::new();
        admit_vehicle(&mut parts.vehicle, &mut problems);
        admit_patterns(&mut parts.patterns, &mut problems);
        admit_signals(&mut parts, &mut problems);
        admit_layers(&mut parts, &mut problems);
        admit_review(&mut parts, &mut problems);
        (Self(parts), problems)
    }

    /// The program after an edit.
    ///
    /// # Errors
    /// When the edit names something that is not there or would leave the program inconsistent; the program is unchanged then.
    pub fn apply(&self, edit: &Edit) -> Result<Self, EditError> {
        let mut parts = self.0.clone();
        edit.apply_to(&mut parts)?;
        let (program, problems) = Self::admit(parts);
        if problems.is_empty() {
            Ok(program)
        } else {
            Err(EditError::Inconsistent(problems))
        }
    }

    /// A copy of the contents.
    #[must_use]
    pub fn to_parts(&self) -> Parts {
        self.0.clone()
    }

    /// The heads some targets address, as indices into the vehicle's heads, rising, each once.
    #[must_use]
    pub fn heads_of(&self, targets: &[Target]) -> Vec<usize> {
        self.vehicle
            .heads
            .iter()
            .enumerate()
            .filter(|(_, head)| targets.iter().any(|target| self.addresses(target, head)))
            .map(|(index, _)| index)
            .collect()
    }

    /// Whether a target addresses a head.
    #[must_use]
    pub fn addresses(&self, target: &Target, head: &Head) -> bool {
        match target {
            Target::All => true,
            Target::Head(id) => *id == head.id,
            Target::Group(id) => self
                .vehicle
                .groups
                .iter()
                .any(|group| group.id == *id && group.contains(head)),
        }
    }

    /// The signal of an identifier with its index.
    #[must_use]
    pub fn signal(&self, id: &SignalId) -> Option<(usize, &Signal)> {
        self.signals
            .iter()
            .enumerate()
            .find(|(_, signal)| signal.id == *id)
    }
}

/// Keeps the items for which `check` reports nothing; `check` gets the item's path.
fn keep<T>(
    items: &mut Vec<T>,
    list: &str,
    problems: &mut Vec<Problem>,
    mut check: impl FnMut(&mut T, &str, &mut Vec<Problem>),
) {
    let mut index = 0;
    items.retain_mut(|item| {
        let before = problems.len();
        check(item, &format!("{list}[{index}]"), problems);
        index += 1;
        problems.len() == before
    });
}

fn claim<T: Clone + Eq + Hash + fmt::Display>(
    seen: &mut HashSet<T>,
    id: &T,
    path: &str,
    problems: &mut Vec<Problem>,
) {
    if !seen.insert(id.clone()) {
        problems.push(Problem::new(
            format!("{path}.id"),
            "an id used only once",
            format!("\"{id}\" again"),
        ));
    }
}

fn within(
    value: i64,
    range: std::ops::RangeInclusive<i64>,
    shown: &str,
    path: String,
    problems: &mut Vec<Problem>,
) {
    if !range.contains(&value) {
        problems.push(Problem::new(path, shown, format!("{value} thousandths")));
    }
}

/// Largest current, intensity or length that is taken seriously, in thousandths; keeps every sum inside 64 bits.
const LARGEST_THOUSANDTHS: i64 = 1_000_000_000;

fn admit_vehicle(vehicle: &mut Vehicle, problems: &mut Vec<Problem>) {
    let supply = &mut vehicle.supply;
    if !(1_000..=100_000).contains(&supply.test_voltage.0) {
        problems.push(Problem::new(
            "vehicle.supply.test_voltage_v",
            "1 V to 100 V",
            supply.test_voltage.to_string(),
        ));
        *supply = crate::Supply {
            test_voltage: crate::Supply::default().test_voltage,
            ..*supply
        };
    }
    let mut fuses = HashSet::new();
    keep(
        &mut vehicle.fuses,
        "vehicle.fuses",
        problems,
        |fuse, path, problems| {
            claim(&mut fuses, &fuse.id, path, problems);
            within(
                fuse.rating.0,
                1..=LARGEST_THOUSANDTHS,
                "more than 0 A",
                format!("{path}.rating_a"),
                problems,
            );
        },
    );
    let mut outputs = HashSet::new();
    keep(
        &mut vehicle.outputs,
        "vehicle.outputs",
        problems,
        |output, path, problems| {
            claim(&mut outputs, &output.id, path, problems);
            within(
                output.rating.0,
                1..=LARGEST_THOUSANDTHS,
                "more than 0 A",
                format!("{path}.rating_a"),
                problems,
            );
            if let Some(fuse) = output.fuse.as_ref().filter(|fuse| !fuses.contains(*fuse)) {
                problems.push(unknown(format!("{path}.fuse"), "a fuse", fuse));
            }
            if let Some(wire) = output.wire {
                within(
                    wire.length.0,
                    0..=LARGEST_THOUSANDTHS,
                    "0 m or more",
                    format!("{path}.wire.length_m"),
                    problems,
                );
                let possible = match wire.size {
                    WireSize::Gauge(gauge) => (-3..=40).contains(&gauge),
                    WireSize::ThousandthsMm2(size) => size > 0,
                };
                if !possible {
                    problems.push(Problem::new(
                        format!("{path}.wire"),
                        "a gauge from -3 (4/0) to 40 or a cross-section above 0 mm2",
                        format!("{:?}", wire.size),
                    ));
                }
            }
        },
    );
    let mut clocks = HashSet::new();
    keep(
        &mut vehicle.clocks,
        "vehicle.clocks",
        problems,
        |clock, path, problems| claim(&mut clocks, &clock.id, path, problems),
    );
    let mut heads = HashSet::new();
    keep(
        &mut vehicle.heads,
        "vehicle.heads",
        problems,
        |head, path, problems| {
            claim(&mut heads, &head.id, path, problems);
            if let Some(clock) = head.clock.as_ref().filter(|clock| !clocks.contains(*clock)) {
                problems.push(unknown(format!("{path}.clock"), "a clock", clock));
            }
            admit_head(head, path, &outputs, &vehicle.outputs, problems);
        },
    );
    let mut groups = HashSet::new();
    keep(
        &mut vehicle.groups,
        "vehicle.groups",
        problems,
        |group, path, problems| {
            claim(&mut groups, &group.id, path, problems);
            if let GroupMembers::List(members) = &group.members {
                for member in members.iter().filter(|member| !heads.contains(*member)) {
                    problems.push(unknown(format!("{path}.heads"), "a head", member));
                }
            }
        },
    );
}

fn admit_head(
    head: &Head,
    path: &str,
    outputs: &HashSet<crate::OutputId>,
    output_list: &[crate::Output],
    problems: &mut Vec<Problem>,
) {
    for (name, value) in [("x_m", head.x), ("y_m", head.y), ("z_m", head.z)] {
        within(
            value.0,
            -100_000..=100_000,
            "-100 m to 100 m",
            format!("{path}.{name}"),
            problems,
        );
    }
    if head.emitters.is_empty() {
        problems.push(Problem::new(
            format!("{path}.emitters"),
            "at least one emitter",
            "none",
        ));
    }
    let mut colors = HashSet::new();
    let mut used = HashSet::new();
    for (index, emitter) in head.emitters.iter().enumerate() {
        let path = format!("{path}.emitters[{index}]");
        if !colors.insert(emitter.color) {
            problems.push(Problem::new(
                format!("{path}.color"),
                "a color only once per head",
                format!("{} again", emitter.color),
            ));
        }
        for (name, value) in [
            ("peak_cd", emitter.peak.map(|peak| peak.0)),
            ("full_current_a", emitter.full_current.map(|amps| amps.0)),
        ] {
            if let Some(value) = value {
                within(
                    value,
                    0..=LARGEST_THOUSANDTHS,
                    "0 to 1,000,000",
                    format!("{path}.{name}"),
                    problems,
                );
            }
        }
        if emitter
            .chromaticity
            .is_some_and(|chromaticity| !chromaticity.is_possible())
        {
            problems.push(Problem::new(
                format!("{path}.chromaticity"),
                "y above 0 and x + y at most 1",
                "an impossible chromaticity",
            ));
        }
        if emitter.dimming == crate::Dimming::Carrier(0) {
            problems.push(Problem::new(
                format!("{path}.dimming.carrier_hz"),
                "more than 0 Hz",
                "0 Hz",
            ));
        }
        let Some(output) = &emitter.output else {
            continue;
        };
        if !outputs.contains(output) {
            problems.push(unknown(format!("{path}.output"), "an output", output));
        }
        let may_share = output_list
            .iter()
            .any(|other| other.id == *output && other.is_shared_within_head);
        if !used.insert(output) && !may_share {
            problems.push(Problem::new(
                format!("{path}.output"),
                "one output per emitter of a head, unless the output says shared_within_head",
                format!("\"{output}\" again"),
            ));
        }
    }
    let beam_ok = match &head.beam {
        None => true,
        Some(Beam::HalfPeak {
            horizontal,
            vertical,
        }) => is_half_angle(horizontal.0) && is_half_angle(vertical.0),
        Some(Beam::AllRound { vertical }) => is_half_angle(vertical.0),
        Some(Beam::Table {
            horizontal,
            vertical,
        }) => {
            is_half_angle(vertical.0)
                && horizontal.len() >= 2
                && horizontal.is_sorted_by(|left, right| left.0 < right.0)
                && horizontal
                    .iter()
                    .all(|(angle, fraction)| angle.0.abs() <= 180_000 && *fraction <= 1000)
        }
    };
    if !beam_ok {
        problems.push(Problem::new(
            format!("{path}.beam"),
            "half-angles above 0° up to 90°, or a table of two or more rising angles within 180° with fractions from 0 to 1",
            "another beam",
        ));
    }
}

const fn is_half_angle(millidegrees: i64) -> bool {
    millidegrees > 0 && millidegrees <= 90_000
}

fn unknown(path: String, kind: &str, id: &impl fmt::Display) -> Problem {
    Problem::new(path, format!("the id of {kind}"), format!("\"{id}\""))
}

fn admit_patterns(patterns: &mut Vec<Pattern>, problems: &mut Vec<Problem>) {
    let mut ids = HashSet::new();
    keep(patterns, "patterns", problems, |pattern, path, problems| {
        claim(&mut ids, &pattern.id, path, problems);
        for (name, value) in [("period_ms", pattern.period), ("tick_ms", pattern.tick)] {
            if value <= Micros::ZERO || value > lampwright_timing::MAX_COMMON_PERIOD {
                problems.push(Problem::new(
                    format!("{path}.{name}"),
                    "more than 0 ms, at most 120,000 ms",
                    value.to_string(),
                ));
            }
        }
        let mut roles = HashSet::new();
        for (index, lane) in pattern.lanes.iter().enumerate() {
            let path = format!("{path}.lanes[{index}]");
            if !roles.insert(lane.role.clone()) {
                problems.push(Problem::new(
                    format!("{path}.role"),
                    "a role used only once in the pattern",
                    format!("\"{}\" again", lane.role),
                ));
            }
            for (pulse, mut problem) in lane_problems(pattern.period, &lane.pulses) {
                problem.path = format!("{path}.pulses[{pulse}].{}", problem.path);
                problems.push(problem);
            }
        }
    });
}

/// Most signals and most values of one signal; keeps states countable in 64 x 6 bits.
const MOST_SIGNALS: usize = 64;
const MOST_VALUES: usize = 64;

fn admit_signals(parts: &mut Parts, problems: &mut Vec<Problem>) {
    let mut ids = HashSet::new();
    keep(
        &mut parts.signals,
        "signals",
        problems,
        |signal, path, problems| {
            claim(&mut ids, &signal.id, path, problems);
            if ids.len() > MOST_SIGNALS {
                problems.push(Problem::new(path, "at most 64 signals", "one more"));
            }
            if !(2..=MOST_VALUES).contains(&signal.values.len()) {
                problems.push(Problem::new(
                    format!("{path}.values"),
                    "2 to 64 values",
                    format!("{}", signal.values.len()),
                ));
            }
            let distinct: HashSet<&ValueId> = signal.values.iter().collect();
            if distinct.len() != signal.values.len() {
                problems.push(Problem::new(
                    format!("{path}.values"),
                    "each value only once",
                    "a value twice",
                ));
            }
            for (name, index) in [("default", signal.default), ("on_lost", signal.on_lost)] {
                if index >= signal.values.len() {
                    problems.push(Problem::new(
                        format!("{path}.{name}"),
                        "one of the signal's values",
                        "another",
                    ));
                }
            }
        },
    );
    let signals = &parts.signals;
    let mut ids = HashSet::new();
    keep(
        &mut parts.controls,
        "controls",
        problems,
        |control, path, problems| {
            claim(&mut ids, &control.id, path, problems);
            let (expected, fits) = match control.style {
                ControlStyle::Button => ("1 position", control.positions.len() == 1),
                ControlStyle::Toggle | ControlStyle::Held => {
                    ("2 positions", control.positions.len() == 2)
                }
                ControlStyle::Slide => ("2 or more positions", control.positions.len() >= 2),
            };
            if !fits {
                problems.push(Problem::new(
                    format!("{path}.positions"),
                    expected,
                    format!("{}", control.positions.len()),
                ));
            }
            for (index, position) in control.positions.iter().enumerate() {
                check_values(
                    &position.sets,
                    signals,
                    &format!("{path}.positions[{index}].sets"),
                    problems,
                );
            }
        },
    );
}

fn check_values(
    values: &[(SignalId, ValueId)],
    signals: &[Signal],
    path: &str,
    problems: &mut Vec<Problem>,
) {
    let mut seen = HashSet::new();
    for (signal, value) in values {
        check_value(signal, value, signals, path, problems);
        if !seen.insert(signal) {
            problems.push(Problem::new(
                path,
                "each signal only once",
                format!("\"{signal}\" again"),
            ));
        }
    }
}

fn check_value(
    signal: &SignalId,
    value: &ValueId,
    signals: &[Signal],
    path: &str,
    problems: &mut Vec<Problem>,
) {
    match signals.iter().find(|known| known.id == *signal) {
        None => problems.push(unknown(path.to_owned(), "a signal", signal)),
        Some(known) if !known.values.contains(value) => problems.push(Problem::new(
            format!("{path}.{signal}"),
            format!(
                "one of {}",
                known
                    .values
                    .iter()
                    .map(ToString::to_string)
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            format!("\"{value}\""),
        )),
        Some(_) => {}
    }
}

fn check_alternative(
    alternative: &Alternative,
    signals: &[Signal],
    path: &str,
    problems: &mut Vec<Problem>,
) {
    let mut seen = HashSet::new();
    for (signal, values) in &alternative.0 {
        if !seen.insert(signal) {
            problems.push(Problem::new(
                path,
                "each signal only once",
                format!("\"{signal}\" again"),
            ));
        }
        if values.is_empty() {
            problems.push(Problem::new(
                format!("{path}.{signal}"),
                "at least one value",
                "none",
            ));
        }
        for value in values {
            check_value(signal, value, signals, path, problems);
        }
    }
}

fn check_condition(
    condition: &Condition,
    signals: &[Signal],
    path: &str,
    problems: &mut Vec<Problem>,
) {
    for (index, alternative) in condition.0.iter().enumerate() {
        check_alternative(
            alternative,
            signals,
            &format!("{path}.when[{index}]"),
            problems,
        );
    }
}

fn check_targets(targets: &[Target], vehicle: &Vehicle, path: &str, problems: &mut Vec<Problem>) {
    for target in targets {
        match target {
            Target::Head(id) if !vehicle.heads.iter().any(|head| head.id == *id) => {
                problems.push(unknown(path.to_owned(), "a head", id));
            }
            Target::Group(id) if !vehicle.groups.iter().any(|group| group.id == *id) => {
                problems.push(unknown(path.to_owned(), "a group", id));
            }
            _ => {}
        }
    }
}

fn admit_layers(parts: &mut Parts, problems: &mut Vec<Problem>) {
    let (vehicle, signals, patterns) = (&parts.vehicle, &parts.signals, &parts.patterns);
    let mut ids: HashSet<LayerId> = HashSet::new();
    keep(
        &mut parts.layers,
        "layers",
        problems,
        |layer, path, problems| {
            claim(&mut ids, &layer.id, path, problems);
            check_condition(&layer.when, signals, path, problems);
            match &layer.action {
                Action::Play { pattern, bindings } => {
                    let known = patterns.iter().find(|known| known.id == *pattern);
                    if known.is_none() {
                        problems.push(unknown(
                            format!("{path}.play.pattern"),
                            "a pattern",
                            pattern,
                        ));
                    }
                    for (index, binding) in bindings.iter().enumerate() {
                        let path = format!("{path}.play.bindings[{index}]");
                        check_targets(&binding.heads, vehicle, &format!("{path}.heads"), problems);
                        if known.is_some_and(|known| known.lane(&binding.lane).is_none()) {
                            problems.push(unknown(
                                format!("{path}.lane"),
                                "a lane of the pattern",
                                &binding.lane,
                            ));
                        }
                    }
                }
                Action::Hold { heads, level, .. } => {
                    check_targets(heads, vehicle, &format!("{path}.hold.heads"), problems);
                    if *level == Level::DARK {
                        problems.push(Problem::new(
                            format!("{path}.hold.level"),
                            "more than 0; use dark for no light",
                            "0",
                        ));
                    }
                }
                Action::Dark { heads } => {
                    check_targets(heads, vehicle, &format!("{path}.dark.heads"), problems);
                }
            }
        },
    );
    keep(&mut parts.dims, "dims", problems, |dim, path, problems| {
        claim(&mut ids, &dim.id, path, problems);
        check_condition(&dim.when, signals, path, problems);
        check_targets(&dim.heads, vehicle, &format!("{path}.heads"), problems);
    });
}

fn admit_review(parts: &mut Parts, problems: &mut Vec<Problem>) {
    let (vehicle, signals) = (&parts.vehicle, &parts.signals);
    let mut ids = HashSet::new();
    keep(
        &mut parts.situations,
        "situations",
        problems,
        |situation, path, problems| {
            claim(&mut ids, &situation.id, path, problems);
            check_values(
                &situation.values,
                signals,
                &format!("{path}.values"),
                problems,
            );
        },
    );
    keep(
        &mut parts.impossible,
        "impossible",
        problems,
        |alternative, path, problems| check_alternative(alternative, signals, path, problems),
    );
    let mut ids = HashSet::new();
    keep(
        &mut parts.guarantees,
        "guarantees",
        problems,
        |guarantee, path, problems| {
            claim(&mut ids, &guarantee.id, path, problems);
            check_condition(&guarantee.when, signals, path, problems);
            check_targets(
                &guarantee.heads,
                vehicle,
                &format!("{path}.heads"),
                problems,
            );
        },
    );
    let patterns = &parts.patterns;
    let mut codes = HashSet::new();
    keep(
        &mut parts.profile.rules,
        "profile.rules",
        problems,
        |choice, path, problems| {
            if !codes.insert(choice.code) {
                problems.push(Problem::new(
                    format!("{path}.code"),
                    "a rule only once",
                    format!("{} again", choice.code),
                ));
            }
            check_targets(&choice.heads, vehicle, &format!("{path}.heads"), problems);
            for (name, list) in [
                ("only_patterns", &choice.only_patterns),
                ("except_patterns", &choice.except_patterns),
            ] {
                for id in list
                    .iter()
                    .filter(|id| !patterns.iter().any(|pattern| pattern.id == **id))
                {
                    problems.push(unknown(format!("{path}.{name}"), "a pattern", id));
                }
            }
        },
    );
}
