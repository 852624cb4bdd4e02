//! Gestures of the pointer: each move recomputes the document from the one the gesture began with.

use crate::edge_limits::{Held, dark_beside, held};
use crate::history::Snapshot;
use crate::lane_edit::{self, LaneChanges};
use crate::selection::combine;
use crate::snap::Snapper;
use crate::viewport::from_f64;
use crate::{
    EditorState, Focus, HitPart, Layout, LimitGuide, MessageKind, Pointer, PulseAt, SelectMode,
    Selection, Snapped, hit,
};
use lampwright_analysis::{TimingLimit, timing_limits};
use lampwright_model::{Pattern, PatternId, Program, Pulse, RuleCode};
use lampwright_timing::{Level, Micros};
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

/// Moves shorter than this are a press without a drag, in CSS pixels.
const STILL_PX: f64 = 3.0;

impl EditorState {
    pub(crate) fn press(&mut self, pointer: Pointer) {
        let Some(found) = hit(self, pointer.x_px, pointer.y_px) else {
            return;
        };
        let Some(pattern) = self.open_pattern.clone() else {
            return;
        };
        let before = Before {
            selection: self.selection.clone(),
            focus: self.focus,
            playhead: self.preview.at,
            is_playing: self.preview.is_playing,
        };
        let extend = pointer.modifiers.extend;
        let kind = match found.part {
            HitPart::Ruler => {
                self.scrub(found.at);
                GestureKind::Scrub
            }
            HitPart::LaneLabel(lane_idx) => {
                self.press_label(lane_idx, extend);
                return;
            }
            HitPart::Lane(_) if extend => GestureKind::SelectRectangle,
            HitPart::Lane(lane_idx) => GestureKind::Draw(lane_idx),
            HitPart::Edge(at, edge) => {
                self.press_pulse(at, extend);
                GestureKind::Edge(at, edge)
            }
            HitPart::Level(at) => {
                self.press_pulse(at, extend);
                GestureKind::Level(at)
            }
            HitPart::Body(at) => {
                self.press_pulse(at, extend);
                GestureKind::Body(at)
            }
        };
        // A picture that plays while its program changes under it would flash more than was counted.
        self.preview.is_playing = false;
        self.gesture = Some(Rc::new(Gesture {
            kind,
            base: self.program.clone(),
            base_selection: self.selection.clone(),
            before,
            pattern: Some(pattern),
            pressed_px: (pointer.x_px, pointer.y_px),
            now_px: (pointer.x_px, pointer.y_px),
            pressed_at: found.at,
            has_moved: false,
            snapped: None,
            values: String::new(),
            limits: self.limits_of(kind),
            guides: Vec::new(),
        }));
    }

    /// What the chosen rules ask of the lane a gesture changes; nothing while it is not known which of them judge the shown state.
    fn limits_of(&self, kind: GestureKind) -> Rc<[TimingLimit]> {
        let (GestureKind::Edge(at, _) | GestureKind::Body(at)) = kind else {
            return Rc::from([]);
        };
        let pattern = self.open_pattern();
        let Some((pattern, lane)) =
            pattern.and_then(|pattern| Some((pattern, pattern.lanes.get(at.lane)?)))
        else {
            return Rc::from([]);
        };
        let Some(results) = self.judged() else {
            return Rc::from([]);
        };
        let heads = results.heads_of_lane(Some(&pattern.id), &lane.role);
        timing_limits(&self.program, &results.report, pattern, &lane.pulses, heads).into()
    }

    /// A pressed pulse joins or leaves the selection with a held key; else it becomes the selection unless it is in it.
    fn press_pulse(&mut self, at: PulseAt, extend: bool) {
        let is_selected = self.selection.pulses.contains(&at);
        if extend {
            self.select(|selection| combine(&mut selection.pulses, vec![at], SelectMode::Toggle));
        } else if !is_selected {
            self.select(|selection| {
                combine(&mut selection.pulses, vec![at], SelectMode::Replace);
                selection.lanes.clear();
            });
        }
        self.focus = Focus::Pulse(at);
    }

    fn press_label(&mut self, lane_idx: usize, extend: bool) {
        self.select(|selection| {
            if extend {
                combine(&mut selection.lanes, vec![lane_idx], SelectMode::Toggle);
            } else {
                selection.pulses.clear();
                combine(&mut selection.lanes, vec![lane_idx], SelectMode::Replace);
            }
        });
        self.focus = Focus::Lane(lane_idx);
        self.say(MessageKind::Done, &crate::describe_focus(self));
    }

    fn scrub(&mut self, at: Micros) {
        self.preview.is_playing = false;
        self.preview.at = at.max(Micros::ZERO);
    }

    /// Recomputes the document from the one the gesture began with.
    pub(crate) fn drag(&mut self, pointer: Pointer) {
        let Some(gesture) = self.gesture.as_deref() else {
            return;
        };
        let mut gesture = gesture.clone();
        gesture.now_px = (pointer.x_px, pointer.y_px);
        let (dx, dy) = (
            pointer.x_px - gesture.pressed_px.0,
            pointer.y_px - gesture.pressed_px.1,
        );
        gesture.has_moved |= match gesture.kind {
            GestureKind::Level(_) => dy.abs() >= STILL_PX,
            GestureKind::SelectRectangle => dx.abs().max(dy.abs()) >= STILL_PX,
            _ => dx.abs() >= STILL_PX,
        };
        if !gesture.has_moved {
            self.gesture = Some(Rc::new(gesture));
            return;
        }
        let Some(pattern) = gesture.base_pattern().cloned() else {
            return;
        };
        let no_snap = pointer.modifiers.no_snap;
        let changes = match gesture.kind {
            // Heads are dragged on the plan.
            GestureKind::Heads => return,
            GestureKind::Scrub => {
                let at = self.viewport.time_at(pointer.x_px);
                self.scrub(at.min(pattern.period));
                LaneChanges::default()
            }
            GestureKind::SelectRectangle => {
                let found = self.in_rectangle(&pattern, gesture.pressed_px, gesture.now_px);
                gesture.values = match found.len() {
                    1 => "1 pulse".into(),
                    more => format!("{more} pulses"),
                };
                let mut selection = (*gesture.base_selection).clone();
                combine(&mut selection.pulses, found, SelectMode::Add);
                self.selection = Rc::new(selection);
                LaneChanges::default()
            }
            GestureKind::Draw(lane_idx) => self.draw(&pattern, &mut gesture, lane_idx, no_snap),
            GestureKind::Edge(at, edge) => {
                self.drag_edge(&pattern, &mut gesture, at, edge, no_snap)
            }
            GestureKind::Body(at) => self.drag_body(&pattern, &mut gesture, at, no_snap),
            GestureKind::Level(at) => drag_level(&pattern, &mut gesture, at, dy, no_snap),
        };
        // Lanes that a move has brought back are the base's own, shared again.
        let next = if changes.is_empty() {
            gesture.base.clone()
        } else {
            match gesture.base.apply(&Self::lanes_edit(&pattern, changes)) {
                Ok(program) => Rc::new(program),
                Err(_) => gesture.base.clone(),
            }
        };
        self.gesture = Some(Rc::new(gesture));
        if !Rc::ptr_eq(&next, &self.program) {
            self.show(next);
        }
    }

    fn snapper(&self, pattern: &Pattern, moving: &Selection, around: &[Micros]) -> Snapper {
        Snapper::new(
            pattern,
            &self.viewport,
            |at| moving.pulses.contains(&at),
            self.preview.at,
            around,
        )
    }

    fn drag_edge(
        &self,
        pattern: &Pattern,
        gesture: &mut Gesture,
        at: PulseAt,
        edge: PulseEdge,
        no_snap: bool,
    ) -> LaneChanges {
        let Some(pulse) = at.of(pattern) else {
            return LaneChanges::default();
        };
        let moving = gesture.moving(at);
        let edge_at = match edge {
            PulseEdge::Start => pulse.start,
            PulseEdge::End => pulse.end(),
        };
        let wanted = edge_at + self.dragged_by(gesture);
        let snapped = (!no_snap).then(|| self.snapper(pattern, &moving, &[wanted]).snap(wanted));
        let target = snapped.map_or(wanted, |snapped| snapped.at);
        let held = held(&gesture.limits, pattern, at, Some(edge), &moving);
        let (allowed, rule) = held_back(&held, target - edge_at, no_snap);
        gesture.guides = held.guides;
        let by = lane_edit::room_for_edge(pattern, &moving, edge).clamp(allowed);
        gesture.snapped = snapped.filter(|snapped| snapped.at == edge_at + by);
        let (start, length) = match edge {
            PulseEdge::Start => (pulse.start + by, pulse.length - by),
            PulseEdge::End => (pulse.start, pulse.length + by),
        };
        let dark = dark_beside(pattern, at, edge).unwrap_or_default();
        let dark = match edge {
            PulseEdge::Start => format!(", dark before {}", dark + by),
            PulseEdge::End => format!(", dark after {}", dark - by),
        };
        gesture.values = span_text(start, length) + &dark + &rule_text(rule);
        lane_edit::edge_moved(pattern, &moving, edge, by)
    }

    fn drag_body(
        &self,
        pattern: &Pattern,
        gesture: &mut Gesture,
        at: PulseAt,
        no_snap: bool,
    ) -> LaneChanges {
        let Some(pulse) = at.of(pattern) else {
            return LaneChanges::default();
        };
        let moving = gesture.moving(at);
        let wanted = pulse.start + self.dragged_by(gesture);
        let snapped = (!no_snap).then(|| {
            self.snapper(pattern, &moving, &[wanted, wanted + pulse.length])
                .snap_body(wanted, pulse.length)
        });
        let target = snapped.map_or(wanted, |snapped| snapped.at);
        let held = held(&gesture.limits, pattern, at, None, &moving);
        let (allowed, rule) = held_back(&held, target - pulse.start, no_snap);
        gesture.guides = held.guides;
        let by = lane_edit::room_to_move(pattern, &moving).clamp(allowed);
        gesture.snapped = snapped
            .filter(|snapped| snapped.at == pulse.start + by)
            .map(|snapped| Snapped {
                at: self.edge_on_guide(pattern, snapped.at, pulse.length),
                ..snapped
            });
        gesture.values = span_text(pulse.start + by, pulse.length) + &rule_text(rule);
        lane_edit::moved(pattern, &moving, by)
    }

    /// Which edge of a moved pulse lies on something that does not move.
    fn edge_on_guide(&self, pattern: &Pattern, start: Micros, length: Micros) -> Micros {
        let is_edge = |instant: Micros| {
            instant == Micros::ZERO
                || instant == pattern.period
                || instant == self.preview.at
                || pattern.lanes.iter().any(|lane| {
                    let from = lane.pulses.partition_point(|pulse| pulse.end() < instant);
                    lane.pulses
                        .iter()
                        .skip(from)
                        .take(2)
                        .any(|pulse| pulse.start == instant || pulse.end() == instant)
                })
        };
        if !is_edge(start) && is_edge(start + length) {
            start + length
        } else {
            start
        }
    }

    /// A new pulse from where the pointer went down to where it is, inside the gap it went down in.
    fn draw(
        &mut self,
        pattern: &Pattern,
        gesture: &mut Gesture,
        lane_idx: usize,
        no_snap: bool,
    ) -> LaneChanges {
        let unchanged = LaneChanges::default();
        let Some(lane) = pattern.lanes.get(lane_idx) else {
            return unchanged;
        };
        let Some((gap_start, gap_end, index)) =
            lane_edit::gap_at(&lane.pulses, pattern.period, gesture.pressed_at)
        else {
            return unchanged;
        };
        let nothing = Selection::default();
        let now = self.viewport.time_at(gesture.now_px.0);
        let anchor = if no_snap {
            gesture.pressed_at
        } else {
            self.snapper(pattern, &nothing, &[gesture.pressed_at])
                .snap(gesture.pressed_at)
                .at
        };
        let snapped = (!no_snap).then(|| self.snapper(pattern, &nothing, &[now]).snap(now));
        let other = snapped.map_or(now, |snapped| snapped.at);
        let least = pattern.tick.min(gap_end - gap_start);
        let from = anchor.min(other).clamp(gap_start, gap_end - least);
        let to = anchor.max(other).clamp(from + least, gap_end);
        gesture.snapped = snapped.filter(|snapped| snapped.at == from || snapped.at == to);
        gesture.values = span_text(from, to - from);
        let pulse = Pulse {
            start: from,
            length: to - from,
            level: Level::FULL,
            color: None,
        };
        let at = PulseAt {
            lane: lane_idx,
            pulse: index,
        };
        let mut selection = Selection {
            heads: gesture.base_selection.heads.clone(),
            ..Selection::default()
        };
        selection.pulses.insert(at);
        self.selection = Rc::new(selection);
        self.focus = Focus::Pulse(at);
        LaneChanges::from([(lane_idx, lane_edit::inserted(&lane.pulses, index, pulse))])
    }

    /// How far the pointer has been dragged, from pixel to pixel so that nothing jumps at the start.
    fn dragged_by(&self, gesture: &Gesture) -> Micros {
        self.viewport.time_at(gesture.now_px.0) - gesture.pressed_at
    }

    /// The pulses that a rectangle touches.
    fn in_rectangle(
        &self,
        pattern: &Pattern,
        (x1, y1): (f64, f64),
        (x2, y2): (f64, f64),
    ) -> Vec<PulseAt> {
        let view = &self.viewport;
        let (from, to) = (view.time_at(x1.min(x2)), view.time_at(x1.max(x2)));
        let (top, bottom) = (y1.min(y2), y1.max(y2));
        let mut found = Vec::new();
        for (lane_idx, lane) in pattern.lanes.iter().enumerate() {
            let row = view.lane_top(lane_idx);
            if row > bottom || row + Layout::LANE_PX < top {
                continue;
            }
            let first = lane.pulses.partition_point(|pulse| pulse.end() <= from);
            found.extend(
                lane.pulses
                    .iter()
                    .enumerate()
                    .skip(first)
                    .take_while(|(_, pulse)| pulse.start < to)
                    .map(|(index, _)| PulseAt {
                        lane: lane_idx,
                        pulse: index,
                    }),
            );
        }
        found
    }

    /// Ends the gesture: one labelled step if it changed something; a press without a drag just selects.
    pub(crate) fn release_gesture(&mut self) {
        let Some(gesture) = self.gesture.take() else {
            return;
        };
        self.play_on(&gesture);
        if !gesture.has_moved {
            if let GestureKind::Draw(lane_idx) = gesture.kind {
                self.select(|selection| {
                    selection.pulses.clear();
                    selection.lanes.clear();
                });
                self.focus = Focus::Lane(lane_idx);
            }
            if self.focus != gesture.before.focus || *self.selection != *gesture.before.selection {
                self.say(MessageKind::Done, &crate::describe_focus(self));
            }
            return;
        }
        let before = Snapshot {
            program: gesture.base.clone(),
            selection: gesture.before.selection.clone(),
            open_pattern: gesture.pattern.clone(),
        };
        let label = gesture.kind.label(self.selection.pulses.len());
        let next = self.program.clone();
        self.commit_from(before, next, &label);
        let text = match gesture.kind {
            GestureKind::Scrub => return,
            GestureKind::SelectRectangle => format!("{} selected", gesture.values),
            _ if gesture.values.is_empty() => label,
            _ => format!("{label}, {}", gesture.values),
        };
        self.say(MessageKind::Done, &text);
    }

    /// Plays on after a gesture that the preview waited for.
    fn play_on(&mut self, gesture: &Gesture) {
        self.preview.is_playing = gesture.before.is_playing && gesture.kind != GestureKind::Scrub;
    }

    /// Gives the gesture up: all is as before it.
    pub(crate) fn cancel_gesture(&mut self) {
        let Some(gesture) = self.gesture.take() else {
            return;
        };
        self.play_on(&gesture);
        self.selection = gesture.before.selection.clone();
        self.focus = gesture.before.focus;
        if gesture.kind == GestureKind::Scrub {
            self.preview.at = gesture.before.playhead;
        }
        if !Rc::ptr_eq(&self.program, &gesture.base) {
            self.show(gesture.base.clone());
        }
    }
}

fn drag_level(
    pattern: &Pattern,
    gesture: &mut Gesture,
    at: PulseAt,
    dy: f64,
    no_snap: bool,
) -> LaneChanges {
    let Some(pulse) = at.of(pattern) else {
        return LaneChanges::default();
    };
    let full = Layout::LANE_PX - 2.0 * Layout::LANE_PADDING_PX;
    let was = pulse.level.per_mille();
    let wanted = was - from_f64(1000.0 * dy / full).0;
    let step = if no_snap { 1 } else { LEVEL_STEP };
    let level = (Micros(wanted).round_to(Micros(step)).0).clamp(step, 1000);
    let moving = gesture.moving(at);
    gesture.values = format!("level {}", Level::nearest(level));
    lane_edit::level_stepped(pattern, &moving, level - was)
}

/// Levels snap to five percent.
const LEVEL_STEP: i64 = 50;

/// As much of a move as the limits allow, all of it with the key that leaves them.
fn held_back(held: &Held, by: Micros, is_free: bool) -> (Micros, Option<RuleCode>) {
    if is_free { (by, None) } else { held.clamp(by) }
}

fn rule_text(rule: Option<RuleCode>) -> String {
    rule.map_or_else(String::new, |code| format!(", held by {code}, Alt goes on"))
}

fn span_text(start: Micros, length: Micros) -> String {
    format!("{start} to {}, {length} long", start + length)
}
