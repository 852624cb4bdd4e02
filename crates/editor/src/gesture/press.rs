//! How a gesture begins: what the pointer went down on decides what it does.

use super::{Before, Gesture, GestureKind};
use crate::selection::combine;
use crate::{EditorState, Focus, HitPart, MessageKind, Pointer, PulseAt, SelectMode, hit};
use lampwright_analysis::{TimingLimit, timing_limits};
use std::rc::Rc;

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

    /// What the chosen rules ask of the lane a gesture changes.
    fn limits_of(&self, kind: GestureKind) -> Rc<[TimingLimit]> {
        let lane_idx = match kind {
            GestureKind::Edge(at, _) | GestureKind::Body(at) => at.lane,
            GestureKind::Draw(lane_idx) => lane_idx,
            _ => return Rc::from([]),
        };
        let pattern = self.open_pattern();
        let Some((pattern, lane)) =
            pattern.and_then(|pattern| Some((pattern, pattern.lanes.get(lane_idx)?)))
        else {
            return Rc::from([]);
        };
        timing_limits(&self.program, &self.driven().drive, pattern, lane).into()
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
}
