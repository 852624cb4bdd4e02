//! Gestures of the pointer: what one is while it is under way.
//!
//! A press begins one (`press`), each move recomputes the document from the one it began with (`drag`, and `reshape` for pulses), and it ends as one step or as if it had never been (`end`).
//! Invariant: a gesture given up leaves document, selection and focus as they were.
//! Absent: heads, which the plan drags; see `setup::heads`.

mod drag;
mod end;
mod press;
mod reshape;

use crate::{Focus, LimitGuide, PulseAt, Selection, Snapped};
use lampwright_analysis::TimingLimit;
use lampwright_model::{Pattern, PatternId, Program};
use lampwright_timing::Micros;
use std::rc::Rc;

/// A gesture under way.
#[derive(Clone, Debug)]
pub struct Gesture {
    pub(crate) kind: GestureKind,
    pub(crate) base: Rc<Program>,
    /// What was selected once the pointer had gone down.
    pub(crate) base_selection: Rc<Selection>,
    /// What to go back to when it is given up.
    pub(crate) before: Before,
    /// The pattern that was open; one there has to be for all but heads.
    pub(crate) pattern: Option<PatternId>,
    pub(crate) pressed_px: (f64, f64),
    pub(crate) now_px: (f64, f64),
    pub(crate) pressed_at: Micros,
    pub(crate) has_moved: bool,
    pub(crate) snapped: Option<Snapped>,
    pub(crate) values: String,
    /// What the chosen rules ask of the lane, when it went down.
    pub(crate) limits: Rc<[TimingLimit]>,
    pub(crate) guides: Vec<LimitGuide>,
}

/// What is not part of the document and yet changes with a gesture.
#[derive(Clone, Debug)]
pub(crate) struct Before {
    pub(crate) selection: Rc<Selection>,
    pub(crate) focus: Focus,
    pub(crate) playhead: Micros,
    pub(crate) is_playing: bool,
}

/// What a gesture does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum GestureKind {
    /// Moves one edge of a pulse, and the same edge of the other selected pulses.
    Edge(PulseAt, PulseEdge),
    /// Moves the selected pulses.
    Body(PulseAt),
    /// Sets the level of the selected pulses.
    Level(PulseAt),
    /// Draws a new pulse in a lane.
    Draw(usize),
    /// Selects what a rectangle touches.
    SelectRectangle,
    /// Moves the playhead.
    Scrub,
    /// Moves the selected heads on the plan.
    Heads,
}

/// One of the two edges of a pulse.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PulseEdge {
    /// Its start.
    Start,
    /// Its end.
    End,
}

impl GestureKind {
    fn label(self, n_pulses: usize) -> String {
        let many = if n_pulses > 1 { "s" } else { "" };
        match self {
            Self::Edge(_, PulseEdge::Start) => format!("Move start of pulse{many}"),
            Self::Edge(_, PulseEdge::End) => format!("Move end of pulse{many}"),
            Self::Body(_) => format!("Move pulse{many}"),
            Self::Level(_) => format!("Set level of pulse{many}"),
            Self::Draw(_) => "Draw pulse".into(),
            Self::SelectRectangle => "Select".into(),
            Self::Scrub => "Move playhead".into(),
            Self::Heads => "Move heads".into(),
        }
    }
}

impl Gesture {
    fn base_pattern(&self) -> Option<&Pattern> {
        self.base
            .patterns
            .iter()
            .find(|pattern| Some(&pattern.id) == self.pattern.as_ref())
    }

    /// The pulses that move: all selected ones when the pressed one is among them, else it alone.
    fn moving(&self, at: PulseAt) -> Selection {
        if self.base_selection.pulses.contains(&at) {
            return (*self.base_selection).clone();
        }
        Selection {
            pulses: [at].into(),
            ..Selection::default()
        }
    }

    /// What it does.
    #[must_use]
    pub fn kind(&self) -> GestureKind {
        self.kind
    }

    /// The document it began with.
    #[must_use]
    pub fn base_program(&self) -> &Rc<Program> {
        &self.base
    }

    /// Where the edge or body snapped to, if it did.
    #[must_use]
    pub fn snapped(&self) -> Option<&Snapped> {
        self.snapped.as_ref()
    }

    /// Exact values to show beside the pointer: "120 ms to 195 ms, 75 ms".
    #[must_use]
    pub fn values(&self) -> &str {
        &self.values
    }

    /// Where the limits of the chosen rules lie for the dragged edge or pulse.
    #[must_use]
    pub fn guides(&self) -> &[LimitGuide] {
        &self.guides
    }

    /// The rectangle that selects, as two corners on the canvas in CSS pixels.
    #[must_use]
    pub fn rectangle_px(&self) -> Option<((f64, f64), (f64, f64))> {
        (self.kind == GestureKind::SelectRectangle && self.has_moved)
            .then_some((self.pressed_px, self.now_px))
    }
}
