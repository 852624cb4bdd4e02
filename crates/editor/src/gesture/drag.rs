//! Each move of the pointer: the document recomputed from the one the gesture began with.
//!
//! Absent: what becomes of the pulses, see `reshape`.

use super::GestureKind;
use super::reshape::drag_level;
use crate::lane_edit::LaneChanges;
use crate::selection::combine;
use crate::viewport::from_f64;
use crate::{EditorState, Focus, Layout, Pointer, PulseAt, SelectMode};
use lampwright_model::Pattern;
use lampwright_timing::Micros;
use std::rc::Rc;

/// Moves shorter than this are a press without a drag, in CSS pixels.
pub(super) const STILL_PX: f64 = 3.0;

/// How many lanes down a pointer has been dragged, by whole lanes from where it went down.
pub(super) fn lanes_down(dy: f64) -> i64 {
    from_f64(dy / Layout::LANE_PX).0
}

impl EditorState {
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
            GestureKind::Body(_) => dx.abs() >= STILL_PX || lanes_down(dy) != 0,
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
        let mut rehomed = Vec::new();
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
            GestureKind::Body(at) => {
                // As they were, until those are found that are in another lane now.
                self.selection = gesture.base_selection.clone();
                self.focus = Focus::Pulse(at);
                let by_px = (dx, dy);
                let (changes, moved) = self.drag_body(&pattern, &mut gesture, at, (by_px, no_snap));
                rehomed = moved;
                changes
            }
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
        if !rehomed.is_empty() {
            self.choose_pulses(&rehomed);
        }
    }

    pub(super) fn scrub(&mut self, at: Micros) {
        self.preview.is_playing = false;
        self.preview.at = at.max(Micros::ZERO);
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
}
