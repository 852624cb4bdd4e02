//! A small vehicle of our own invention, and drags without a pointer.

use lampwright_editor::{Action, EditorState, Modifiers, Pointer, PulseAt};
use lampwright_model::{
    Action as LayerAction, Binding, Color, Condition, Control, ControlId, ControlPosition,
    ControlStyle, DimKind, DimLayer, Emitter, Head, HeadId, Lane, Layer, LayerId, Millidegrees,
    Millimeters, Parts, Pattern, PatternId, Program, Pulse, RoleId, Signal, SignalId, SignalKind,
    Situation, SituationId, Target, ValueId, Vehicle,
};
use lampwright_timing::{Level, Micros};
use std::rc::Rc;

/// Milliseconds.
pub(crate) fn ms(milliseconds: i64) -> Micros {
    Micros::from_ms(milliseconds)
}

/// A full pulse.
pub(crate) fn pulse(start_ms: i64, length_ms: i64) -> Pulse {
    Pulse {
        start: ms(start_ms),
        length: ms(length_ms),
        level: Level::FULL,
        color: None,
    }
}

/// All steps taken back, and the documents on the way.
pub(crate) fn undo_all(mut state: EditorState) -> (EditorState, Vec<Rc<Program>>) {
    let mut seen = vec![state.program().clone()];
    while state.history().undo_label().is_some() {
        state = state.apply(Action::Undo);
        seen.push(state.program().clone());
    }
    (state, seen)
}

/// All steps done again, and the documents on the way.
pub(crate) fn redo_all(mut state: EditorState) -> (EditorState, Vec<Rc<Program>>) {
    let mut seen = vec![state.program().clone()];
    while state.history().redo_label().is_some() {
        state = state.apply(Action::Redo);
        seen.push(state.program().clone());
    }
    (state, seen)
}

/// The place of a pulse.
pub(crate) fn at(lane: usize, pulse: usize) -> PulseAt {
    PulseAt { lane, pulse }
}

/// A pattern of lanes given as `(role, pulses)`.
pub(crate) fn pattern(id: &str, period_ms: i64, lanes: &[(&str, Vec<Pulse>)]) -> Pattern {
    Pattern {
        id: PatternId::new(id).unwrap(),
        label: format!("pattern {id}"),
        period: ms(period_ms),
        tick: ms(10),
        lanes: lanes
            .iter()
            .map(|(role, pulses)| Lane {
                role: RoleId::new(role).unwrap(),
                pulses: pulses.clone().into(),
            })
            .collect(),
    }
}

fn head(id: &str, x: i64, y: i64, facing: i64, colors: &[Color]) -> Head {
    Head {
        id: HeadId::new(id).unwrap(),
        label: id.replace('-', " "),
        x: Millimeters(x),
        y: Millimeters(y),
        z: Millimeters(1500),
        facing: Millidegrees(facing),
        beam: None,
        emitters: colors.iter().map(|color| Emitter::of(*color)).collect(),
        clock: None,
        tags: Vec::new(),
    }
}

fn values(names: &[&str]) -> Vec<ValueId> {
    names
        .iter()
        .map(|name| ValueId::new(name).unwrap())
        .collect()
}

fn signal(id: &str, kind: SignalKind, names: &[&str]) -> Signal {
    Signal {
        id: SignalId::new(id).unwrap(),
        label: id.into(),
        kind,
        values: values(names),
        default: 0,
        on_lost: 0,
    }
}

fn when(signal: &str, value: &str) -> Condition {
    let mut alternative = lampwright_model::Alternative::default();
    alternative
        .0
        .push((SignalId::new(signal).unwrap(), values(&[value])));
    Condition(vec![alternative])
}

fn binding(lane: &str, head: &str, color: Option<Color>) -> Binding {
    Binding {
        lane: RoleId::new(lane).unwrap(),
        heads: vec![Target::Head(HeadId::new(head).unwrap())],
        color,
        offset: Micros::ZERO,
    }
}

/// An escort car with four heads that respond with an alternating double flash, sweep when parked, and dim at night.
pub(crate) fn parts() -> Parts {
    let sweep: Vec<(String, Vec<Pulse>)> = (0..8)
        .map(|step| (format!("s{step}"), vec![pulse(step * 100, 100)]))
        .collect();
    let sweep: Vec<(&str, Vec<Pulse>)> = sweep
        .iter()
        .map(|(role, pulses)| (role.as_str(), pulses.clone()))
        .collect();
    Parts {
        name: "Escort car".into(),
        vehicle: Vehicle {
            name: "Escort car".into(),
            heads: vec![
                head("front-left", 2000, 600, 0, &[Color::Blue, Color::White]),
                head("front-right", 2000, -600, 0, &[Color::Red, Color::White]),
                head("rear-left", -2000, 600, 180_000, &[Color::Amber]),
                head("rear-right", -2000, -600, 180_000, &[Color::Amber]),
            ],
            ..Vehicle::default()
        },
        patterns: vec![
            pattern(
                "double",
                500,
                &[
                    ("left", vec![pulse(0, 60), pulse(100, 60)]),
                    ("right", vec![pulse(250, 60), pulse(350, 60)]),
                ],
            ),
            pattern("sweep", 1000, &sweep),
        ],
        signals: vec![
            signal("warning", SignalKind::Switch, &["off", "on", "parked"]),
            signal("light", SignalKind::Ambient, &["day", "night"]),
        ],
        controls: vec![
            Control {
                id: ControlId::new("main").unwrap(),
                label: "Main".into(),
                style: ControlStyle::Slide,
                positions: ["off", "on", "parked"]
                    .into_iter()
                    .map(|name| position(name, "warning", name))
                    .collect(),
            },
            Control {
                id: ControlId::new("dim").unwrap(),
                label: "Dim".into(),
                style: ControlStyle::Held,
                positions: vec![
                    position("up", "light", "day"),
                    position("down", "light", "night"),
                ],
            },
        ],
        layers: vec![
            Layer {
                id: LayerId::new("respond").unwrap(),
                label: "Respond".into(),
                when: when("warning", "on"),
                action: LayerAction::Play {
                    pattern: PatternId::new("double").unwrap(),
                    bindings: vec![
                        binding("left", "front-left", None),
                        binding("left", "rear-left", None),
                        binding("right", "front-right", None),
                        binding("right", "rear-right", None),
                    ],
                },
            },
            Layer {
                id: LayerId::new("park").unwrap(),
                label: "Park".into(),
                when: when("warning", "parked"),
                action: LayerAction::Play {
                    pattern: PatternId::new("sweep").unwrap(),
                    bindings: vec![
                        binding("s0", "front-left", None),
                        binding("s2", "front-right", None),
                        binding("s4", "rear-left", None),
                        binding("s6", "rear-right", None),
                    ],
                },
            },
        ],
        dims: vec![DimLayer {
            id: LayerId::new("night").unwrap(),
            label: "Night".into(),
            when: when("light", "night"),
            heads: vec![Target::All],
            factor: Level::nearest(300),
            only: DimKind::Both,
        }],
        situations: vec![
            situation("responding", &[("warning", "on")]),
            situation("parked-night", &[("warning", "parked"), ("light", "night")]),
        ],
        ..Parts::default()
    }
}

fn position(label: &str, signal: &str, value: &str) -> ControlPosition {
    ControlPosition {
        label: label.into(),
        sets: vec![(SignalId::new(signal).unwrap(), ValueId::new(value).unwrap())],
    }
}

fn situation(id: &str, values: &[(&str, &str)]) -> Situation {
    Situation {
        id: SituationId::new(id).unwrap(),
        label: id.replace('-', " "),
        values: values
            .iter()
            .map(|(signal, value)| (SignalId::new(signal).unwrap(), ValueId::new(value).unwrap()))
            .collect(),
    }
}

/// The escort car as a program.
pub(crate) fn program() -> Rc<Program> {
    admitted(parts())
}

/// Parts that must be consistent.
#[track_caller]
pub(crate) fn admitted(parts: Parts) -> Rc<Program> {
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    Rc::new(program)
}

/// An editor of the escort car whose timeline shows one millisecond per pixel from 0 at x = 128.
pub(crate) fn editor() -> EditorState {
    flat(EditorState::new(program()))
}

/// One millisecond per pixel, 1000 by 480 pixels.
pub(crate) fn flat(state: EditorState) -> EditorState {
    let state = state.apply(Action::Resize {
        width_px: 1000.0,
        height_px: 480.0,
    });
    let mut view = *state.viewport();
    view.start_us = 0.0;
    view.us_per_px = 1000.0;
    state.apply(Action::SetViewport(view))
}

/// Place on the canvas of an instant in the middle of a lane, with [`flat`].
pub(crate) fn x(milliseconds: f64) -> f64 {
    128.0 + milliseconds
}

/// Middle of a lane's row.
pub(crate) fn y(lane: usize) -> f64 {
    28.0 + 44.0 * lane as f64 + 22.0
}

/// The pulses of a lane of the open pattern as `(start, length)` in milliseconds.
#[track_caller]
pub(crate) fn spans(state: &EditorState, lane: usize) -> Vec<(f64, f64)> {
    state.open_pattern().unwrap().lanes[lane]
        .pulses
        .iter()
        .map(|pulse| (pulse.start.as_ms(), pulse.length.as_ms()))
        .collect()
}

/// A drag in steps.
pub(crate) struct Drag {
    state: EditorState,
    held: Modifiers,
}

impl Drag {
    /// A pointer over an editor.
    pub(crate) fn on(state: EditorState) -> Self {
        Self {
            state,
            held: Modifiers::default(),
        }
    }

    /// Holds the key against snapping.
    pub(crate) fn without_snap(mut self) -> Self {
        self.held.no_snap = true;
        self
    }

    /// Holds the key that extends the selection.
    pub(crate) fn extending(mut self) -> Self {
        self.held.extend = true;
        self
    }

    fn pointer(&self, x_px: f64, y_px: f64) -> Pointer {
        Pointer {
            x_px,
            y_px,
            modifiers: self.held,
        }
    }

    /// The pointer goes down.
    pub(crate) fn press(mut self, x_px: f64, y_px: f64) -> Self {
        self.state = self.state.apply(Action::Press(self.pointer(x_px, y_px)));
        self
    }

    /// The pointer moves.
    pub(crate) fn to(mut self, x_px: f64, y_px: f64) -> Self {
        self.state = self.state.apply(Action::Drag(self.pointer(x_px, y_px)));
        self
    }

    /// The pointer goes up.
    pub(crate) fn release(self) -> EditorState {
        self.state.apply(Action::Release)
    }

    /// The gesture is given up.
    pub(crate) fn cancel(self) -> EditorState {
        self.state.apply(Action::CancelGesture)
    }

    /// In the middle of the gesture.
    pub(crate) fn held(self) -> EditorState {
        self.state
    }
}
