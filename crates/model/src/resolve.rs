//! What every emitter does over time in one state, and which layer decided it.

use crate::{
    Action, Alternative, Binding, Color, Condition, DimKind, Head, HeadId, Lane, Layer, LayerId,
    PatternId, Program, Pulse, RoleId, SignalId, Situation, SituationId, Target, ValueId,
};
use lampwright_timing::{Micros, SortedMap, Waveform};
use std::sync::Arc;

/// One value for every signal, as indices into each signal's values, in the program's order of signals.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct State(Vec<u8>);

impl State {
    /// Every signal at its default.
    #[must_use]
    pub fn default_of(program: &Program) -> Self {
        Self(
            program
                .signals
                .iter()
                .map(|signal| small(signal.default))
                .collect(),
        )
    }

    /// The state of a situation: its values, all else at default.
    #[must_use]
    pub fn of_situation(program: &Program, situation: &Situation) -> Self {
        let mut state = Self::default_of(program);
        for (signal, value) in &situation.values {
            state = state.with(program, signal, value);
        }
        state
    }

    /// The state of the situation with an identifier.
    #[must_use]
    pub fn of_situation_id(program: &Program, id: &SituationId) -> Option<Self> {
        program
            .situations
            .iter()
            .find(|situation| situation.id == *id)
            .map(|situation| Self::of_situation(program, situation))
    }

    /// The same state with one signal at another value; unchanged when there is no such signal or value.
    #[must_use]
    pub fn with(&self, program: &Program, signal: &SignalId, value: &ValueId) -> Self {
        let mut state = self.clone();
        if let Some((index, known)) = program.signal(signal)
            && let Some(position) = known.values.iter().position(|known| known == value)
            && let Some(slot) = state.0.get_mut(index)
        {
            *slot = small(position);
        }
        state
    }

    /// The value of a signal; none when there is no such signal.
    #[must_use]
    pub fn value<'a>(&self, program: &'a Program, signal: &SignalId) -> Option<&'a ValueId> {
        let (index, known) = program.signal(signal)?;
        known.values.get(usize::from(*self.0.get(index)?))
    }

    /// The values that differ from the defaults.
    #[must_use]
    pub fn differences(&self, program: &Program) -> Vec<(SignalId, ValueId)> {
        program
            .signals
            .iter()
            .zip(&self.0)
            .filter(|(signal, value)| signal.default != usize::from(**value))
            .filter_map(|(signal, value)| {
                let value = signal.values.get(usize::from(*value))?;
                Some((signal.id.clone(), value.clone()))
            })
            .collect()
    }

    /// The state in the fewest words: "gear drive, rear-door open, rest default".
    #[must_use]
    pub fn describe(&self, program: &Program) -> String {
        let differences = self.differences(program);
        if differences.is_empty() {
            return "all signals at default".into();
        }
        let words: Vec<String> = differences
            .iter()
            .map(|(signal, value)| format!("{signal} {value}"))
            .collect();
        let rest = if differences.len() < program.signals.len() {
            ", rest default"
        } else {
            ""
        };
        format!("{}{rest}", words.join(", "))
    }

    /// The indices.
    #[must_use]
    pub fn indices(&self) -> &[u8] {
        &self.0
    }

    /// Whether an alternative holds.
    #[must_use]
    pub fn meets_alternative(&self, program: &Program, alternative: &Alternative) -> bool {
        alternative.0.iter().all(|(signal, allowed)| {
            self.value(program, signal)
                .is_some_and(|value| allowed.contains(value))
        })
    }

    /// Whether a condition holds.
    #[must_use]
    pub fn meets(&self, program: &Program, condition: &Condition) -> bool {
        condition
            .0
            .iter()
            .any(|alternative| self.meets_alternative(program, alternative))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a signal has at most 64 values"
)]
fn small(index: usize) -> u8 {
    index.min(255) as u8
}

/// What every head does in one state.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Drive {
    /// The state it belongs to.
    pub state: State,
    /// One entry per head, in the vehicle's order.
    pub heads: Vec<HeadDrive>,
}

/// What one head does, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HeadDrive {
    /// The head.
    pub head: HeadId,
    /// Who decided.
    pub decided_by: Decision,
    /// Layers that hold and address the head but stand lower.
    pub hidden: Vec<LayerId>,
    /// The dim layers that scaled it.
    pub dims: Vec<LayerId>,
    /// One entry per emitter, in the head's order, dark ones included.
    pub emitters: Vec<EmitterDrive>,
    /// Colors the layer asks for that the head does not have; each once, in order.
    pub missing_colors: Vec<Color>,
}

impl HeadDrive {
    /// Whether any emitter is lit at any time.
    #[must_use]
    pub fn is_lit(&self) -> bool {
        self.emitters
            .iter()
            .any(|emitter| emitter.level.maximum() > 0)
    }

    /// Whether no emitter changes.
    #[must_use]
    pub fn is_steady(&self) -> bool {
        self.emitters
            .iter()
            .all(|emitter| emitter.level.is_constant())
    }
}

/// Who decided what a head does.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Decision {
    /// This layer.
    Layer(LayerId),
    /// No layer that holds addresses the head; it is dark.
    Nothing,
}

/// The course of one emitter.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EmitterDrive {
    /// The emitter's color.
    pub color: Color,
    /// Level over time in per mille, dimming included.
    pub level: Arc<Waveform>,
    /// The lanes that light it.
    pub lanes: Vec<LaneUse>,
}

/// One lane lighting an emitter.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct LaneUse {
    /// The pattern.
    pub pattern: PatternId,
    /// The lane's role.
    pub lane: RoleId,
    /// How much later than the pattern's start.
    pub offset: Micros,
}

/// What every head does in a state. Pure and total.
///
/// For each head the first layer that holds and addresses it decides; every dim layer that holds and addresses it multiplies, and the level is rounded once, halves up, after all of them.
#[must_use]
pub fn resolve(program: &Program, state: &State) -> Drive {
    resolve_with(program, state, &mut LaneCourses::default())
}

/// Courses of the lanes that were played when a state was resolved last, so that a lane which a program shares with the one before is not made into a course again.
#[derive(Clone, Debug, Default)]
pub struct LaneCourses {
    known: SortedMap<LaneKey, LaneCourse>,
}

/// Address of the pulses, period, color of the binding, offset.
type LaneKey = (usize, Micros, Option<Color>, Micros);

#[derive(Clone, Debug)]
struct LaneCourse {
    /// Kept, so that no other lane gets the same address.
    _pulses: Arc<[Pulse]>,
    /// One for each color the lane asks for, rising.
    courses: Vec<(Option<Color>, Arc<Waveform>)>,
}

/// The same as [`resolve`] with what is left of the last time; the drive does not depend on it.
#[must_use]
pub fn resolve_with(program: &Program, state: &State, earlier: &mut LaneCourses) -> Drive {
    let mut courses = Resolving {
        earlier: std::mem::take(earlier),
        present: LaneCourses::default(),
    };
    let drive = resolved(program, state, &mut courses);
    *earlier = courses.present;
    drive
}

/// Courses of the last time and of this one.
struct Resolving {
    earlier: LaneCourses,
    present: LaneCourses,
}

impl Resolving {
    /// The courses of a lane, one for each color it asks for.
    fn of(
        &mut self,
        period: Micros,
        lane: &Lane,
        binding: &Binding,
    ) -> &[(Option<Color>, Arc<Waveform>)] {
        let address = Arc::as_ptr(&lane.pulses).cast::<Pulse>() as usize;
        let key = (address, period, binding.color, binding.offset);
        if self.present.known.get(&key).is_none() {
            let course = match self.earlier.known.get(&key) {
                Some(course) => course.clone(),
                None => LaneCourse::of(period, lane, binding),
            };
            self.present.known.insert(key, course);
        }
        self.present
            .known
            .get(&key)
            .map_or(&[], |course| &course.courses)
    }
}

impl LaneCourse {
    fn of(period: Micros, lane: &Lane, binding: &Binding) -> Self {
        let mut colors: Vec<Option<Color>> = Vec::new();
        for pulse in lane.pulses.iter() {
            let color = pulse.color.or(binding.color);
            if !colors.contains(&color) {
                colors.push(color);
            }
        }
        lampwright_timing::sort(&mut colors);
        let course_of = |color: Option<Color>| {
            let pulses = lane
                .pulses
                .iter()
                .filter(|pulse| pulse.color.or(binding.color) == color)
                .map(|pulse| (pulse.start, pulse.length, pulse.level.per_mille()));
            let course = Waveform::from_pulses(period, pulses).ok()?;
            Some((color, Arc::new(course.shifted(binding.offset))))
        };
        Self {
            _pulses: Arc::clone(&lane.pulses),
            courses: colors.into_iter().filter_map(course_of).collect(),
        }
    }
}

fn resolved(program: &Program, state: &State, courses: &mut Resolving) -> Drive {
    let active: Vec<_> = program
        .layers
        .iter()
        .filter(|layer| state.meets(program, &layer.when))
        .collect();
    let dims: Vec<_> = program
        .dims
        .iter()
        .filter(|dim| state.meets(program, &dim.when))
        .collect();
    let heads = program
        .vehicle
        .heads
        .iter()
        .map(|head| {
            let mut deciders = active.iter().filter(|layer| {
                layer
                    .action
                    .targets()
                    .any(|target| program.addresses(target, head))
            });
            let decider = deciders.next();
            let mut drive = HeadDrive {
                hidden: deciders.map(|layer| layer.id.clone()).collect(),
                ..decided(program, decider.copied(), head, courses)
            };
            let is_steady = drive.is_steady();
            let mut factors = Vec::new();
            for dim in &dims {
                let applies = match dim.only {
                    DimKind::Both => true,
                    DimKind::Steady => is_steady,
                    DimKind::Flashing => !is_steady,
                };
                if applies && drive.is_lit() && is_addressed(program, &dim.heads, head) {
                    drive.dims.push(dim.id.clone());
                    factors.push(dim.factor.per_mille());
                }
            }
            if !factors.is_empty() {
                for emitter in &mut drive.emitters {
                    emitter.level = Arc::new(emitter.level.map(|level| scaled(level, &factors)));
                }
            }
            drive
        })
        .collect();
    Drive {
        state: state.clone(),
        heads,
    }
}

/// What a head does where a layer decides it, before any dim layer scales it.
#[must_use]
pub fn head_under(program: &Program, layer: &Layer, head: &Head) -> HeadDrive {
    let mut courses = Resolving {
        earlier: LaneCourses::default(),
        present: LaneCourses::default(),
    };
    decided(program, Some(layer), head, &mut courses)
}

fn decided(
    program: &Program,
    decider: Option<&Layer>,
    head: &Head,
    courses: &mut Resolving,
) -> HeadDrive {
    let mut drive = HeadDrive {
        head: head.id.clone(),
        decided_by: decider.map_or(Decision::Nothing, |layer| Decision::Layer(layer.id.clone())),
        hidden: Vec::new(),
        dims: Vec::new(),
        emitters: head
            .emitters
            .iter()
            .map(|emitter| EmitterDrive {
                color: emitter.color,
                level: Arc::new(Waveform::constant(0)),
                lanes: Vec::new(),
            })
            .collect(),
        missing_colors: Vec::new(),
    };
    match decider.map(|layer| &layer.action) {
        None | Some(Action::Dark { .. }) => {}
        Some(Action::Hold { color, level, .. }) => {
            light(
                &mut drive,
                *color,
                &Arc::new(Waveform::constant(level.per_mille())),
                None,
            );
        }
        Some(Action::Play { pattern, bindings }) => {
            for binding in bindings
                .iter()
                .filter(|binding| is_addressed(program, &binding.heads, head))
            {
                play(program, pattern, binding, courses, &mut drive);
            }
        }
    }
    drive
}

fn is_addressed(program: &Program, targets: &[Target], head: &Head) -> bool {
    targets.iter().any(|target| program.addresses(target, head))
}

/// `level` times all factors in per mille, rounded once, halves up.
///
/// The order of the factors does not matter; past eleven factors the product is cut to what 128 bits hold.
fn scaled(level: i64, factors: &[i64]) -> i64 {
    let mut sorted = factors.to_vec();
    sorted.sort_unstable();
    let mut numerator = i128::from(level);
    let mut denominator: i128 = 1;
    for factor in sorted {
        let Some(next) = denominator
            .checked_mul(1000)
            .filter(|next| *next < i128::MAX / 4000)
        else {
            break;
        };
        numerator *= i128::from(factor);
        denominator = next;
    }
    let rounded = (2 * numerator + denominator).div_euclid(2 * denominator);
    i64::try_from(rounded).unwrap_or(level)
}

fn light(
    drive: &mut HeadDrive,
    color: Option<Color>,
    course: &Arc<Waveform>,
    lane: Option<&LaneUse>,
) {
    if course.maximum() == 0 {
        return;
    }
    let position = match color {
        None => Some(0),
        Some(color) => drive
            .emitters
            .iter()
            .position(|emitter| emitter.color == color),
    };
    match position.and_then(|index| drive.emitters.get_mut(index)) {
        Some(emitter) => {
            // Bindings of one layer share the pattern's period, so the larger of the two always exists.
            if emitter.level.maximum() == 0 {
                emitter.level = Arc::clone(course);
            } else if let Ok(level) = emitter.level.max(course) {
                emitter.level = Arc::new(level);
            }
            emitter.lanes.extend(lane.cloned());
        }
        None => {
            if let Some(color) = color.filter(|color| !drive.missing_colors.contains(color)) {
                drive.missing_colors.push(color);
            }
        }
    }
}

fn play(
    program: &Program,
    pattern: &PatternId,
    binding: &Binding,
    courses: &mut Resolving,
    drive: &mut HeadDrive,
) {
    let Some(pattern) = program.patterns.iter().find(|known| known.id == *pattern) else {
        return;
    };
    let Some(lane) = pattern.lane(&binding.lane) else {
        return;
    };
    let lane_use = LaneUse {
        pattern: pattern.id.clone(),
        lane: lane.role.clone(),
        offset: binding.offset,
    };
    for (color, course) in courses.of(pattern.period, lane, binding) {
        light(drive, *color, course, Some(&lane_use));
    }
}
