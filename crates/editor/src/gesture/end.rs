//! How a gesture ends: as one labelled step, or given up.

use super::{Gesture, GestureKind};
use crate::history::Snapshot;
use crate::{EditorState, Focus, MessageKind};
use std::rc::Rc;

impl EditorState {
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
