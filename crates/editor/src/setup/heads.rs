//! Changes of the selected heads' places: in line, evenly spread, mirrored, moved by key and by drag.
//!
//! Invariant: places are whole millimeters; a drag recomputes them from the document it began with and makes one step.

use super::{ThingKind, free_id, play_on_heads};
use crate::edits::{Done, Outcome};
use crate::gesture::{Before, Gesture, GestureKind};
use crate::history::Nudged;
use crate::viewport::from_f64;
use crate::{EditorState, PlanScene, Projection, SelectMode, Selection, View};
use lampwright_model::{
    Edit, Head, HeadId, Item, Milliamps, Millidegrees, Millimeters, Output, OutputId, Program,
};
use lampwright_timing::{Micros, sort_by};
use std::rc::Rc;

/// What happens to the selected heads.
#[derive(Clone, PartialEq, Debug)]
pub enum HeadsChange {
    /// All get the same distance forward, the mean.
    SameForward,
    /// All get the same distance to the left, the mean.
    SameLeft,
    /// Those between the outermost two get even distances.
    Spread,
    /// Copies on the other side of the vehicle.
    Mirror,
    /// Moved by so much forward and to the left.
    Move(Millimeters, Millimeters),
    /// Each emitter without an output gets one of its own.
    Wire,
    /// The open pattern plays on them, on all heads when none is selected.
    Play,
    /// The pointer takes hold of a head, which joins the selection unless it is in it.
    Press(HeadId),
    /// The pointer has moved by so much forward and to the left since then.
    Drag {
        /// Forward.
        forward: Millimeters,
        /// To the left.
        left: Millimeters,
        /// Whether places are not rounded.
        no_snap: bool,
    },
}

/// A drag over the drawing of the vehicle from above.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct HeadDrag {
    /// Where the pointer went down, in CSS pixels.
    from_px: (f64, f64),
    /// Millimeters forward per pixel up, and to the left per pixel to the left.
    mm_per_px: (f64, f64),
}

impl HeadDrag {
    /// A drag that starts at a place of the drawing; none where heads are only looked at: outside the set-up, or from a side.
    #[must_use]
    pub fn start(state: &EditorState, scene: &PlanScene, from_px: (f64, f64)) -> Option<Self> {
        let outline = state.program().vehicle.outline;
        let (_, _, across_px, along_px) = scene.outline;
        let is_here = state.view() == View::Setup
            && state.preview().projection == Projection::Above
            && across_px >= 1.0
            && along_px >= 1.0;
        is_here.then(|| Self {
            from_px,
            mm_per_px: (
                1000.0 * outline.length.in_units() / along_px,
                1000.0 * outline.width.in_units() / across_px,
            ),
        })
    }

    /// What the pointer does at another place; held Alt keeps heads off the grid.
    #[must_use]
    pub fn at(&self, (x_px, y_px): (f64, f64), no_snap: bool) -> HeadsChange {
        HeadsChange::Drag {
            forward: Millimeters(from_f64((self.from_px.1 - y_px) * self.mm_per_px.0).0),
            left: Millimeters(from_f64((self.from_px.0 - x_px) * self.mm_per_px.1).0),
            no_snap,
        }
    }
}

/// Dragged heads snap to this, in millimeters.
const SNAP_MM: i64 = 50;

/// Rating of an output nobody has stated (our own choice, said in its label).
const ASSUMED_RATING: Milliamps = Milliamps(10_000);

impl EditorState {
    /// Whether heads are being dragged; their lamps are to be drawn dark then, as lit ones that move would flash.
    #[must_use]
    pub fn is_dragging_heads(&self) -> bool {
        self.gesture
            .as_deref()
            .is_some_and(|gesture| gesture.kind == GestureKind::Heads && gesture.has_moved)
    }

    pub(crate) fn change_heads(&mut self, change: HeadsChange) -> Done {
        match change {
            HeadsChange::Press(head) => {
                self.press_head(head);
                return Ok(Outcome::Quiet);
            }
            HeadsChange::Drag {
                forward,
                left,
                no_snap,
            } => {
                self.drag_heads(forward, left, no_snap);
                return Ok(Outcome::Quiet);
            }
            HeadsChange::Play => {
                let (label, edit, _) = play_on_heads(self)?;
                self.commit(&label, &edit)?;
                return Ok(Outcome::Say(label));
            }
            _ => {}
        }
        let mut heads = selected(&self.program, &self.selection);
        if heads.is_empty() {
            return Err("no head is selected: select some on the plan".into());
        }
        let (verb, way, least) = match change {
            HeadsChange::SameForward => ("Line up", " across", 2),
            HeadsChange::SameLeft => ("Line up", " lengthwise", 2),
            HeadsChange::Mirror => return self.mirror_heads(&heads),
            HeadsChange::Wire => return self.wire_heads(heads),
            HeadsChange::Move(forward, left) => return self.nudge_heads(heads, forward, left),
            _ => ("Spread", " evenly", 3),
        };
        if heads.len() < least {
            return Err(format!(
                "{} selected, at least {least} wanted: Shift adds to the selection",
                counted(heads.len(), "head")
            ));
        }
        match change {
            HeadsChange::SameForward => same(&mut heads, |head| &mut head.x),
            HeadsChange::SameLeft => same(&mut heads, |head| &mut head.y),
            _ => spread(&mut heads),
        }
        let label = format!("{verb} {} heads{way}", heads.len());
        self.commit(&label, &puts(heads))?;
        Ok(Outcome::Say(label))
    }

    /// Moves the heads by key.
    fn nudge_heads(
        &mut self,
        mut heads: Vec<Head>,
        forward: Millimeters,
        left: Millimeters,
    ) -> Done {
        for head in &mut heads {
            head.x.0 += forward.0;
            head.y.0 += left.0;
        }
        let (what, place) = match heads.as_slice() {
            [head] => (
                head.label.clone(),
                Some(format!("{} at {}", head.label, place_words(head))),
            ),
            heads => (counted(heads.len(), "head"), None),
        };
        let by = (forward.0, left.0);
        let label = self.commit_nudge(Nudged::Heads, by, &puts(heads), |(forward, left)| {
            let ways = [(forward, "forward", "rearward"), (left, "left", "right")];
            let ways = ways.into_iter().filter(|(by, ..)| *by != 0);
            let words: Vec<String> = ways.map(|(by, up, down)| way_words(by, up, down)).collect();
            format!("Move {what} {}", words.join(", "))
        })?;
        Ok(Outcome::Say(place.unwrap_or(label)))
    }

    /// Copies the heads to the other side and selects the copies.
    fn mirror_heads(&mut self, heads: &[Head]) -> Done {
        let mut parts = self.program.to_parts();
        let mut copies = Vec::new();
        let mut n_there = 0;
        for head in heads.iter().filter(|head| head.y.0 != 0) {
            let mut copy = head.clone();
            copy.y = Millimeters(-head.y.0);
            copy.facing = Millidegrees(-head.facing.0);
            // A second one at the same place would be in nobody's sight, and its light counted twice.
            if parts
                .vehicle
                .heads
                .iter()
                .any(|known| stands_as(known, &copy))
            {
                n_there += 1;
                continue;
            }
            copy.label = other_side(&head.label);
            let id = other_side(head.id.as_str());
            let is_free = HeadId::new(&id)
                .is_ok_and(|id| !parts.vehicle.heads.iter().any(|head| head.id == id));
            let id = if is_free {
                id
            } else {
                free_id(&parts, ThingKind::Head, &id, 2)?.0
            };
            copy.id = HeadId::new(&id).map_err(|error| error.to_string())?;
            parts.vehicle.heads.push(copy.clone());
            copies.push(copy);
        }
        if copies.is_empty() && n_there > 0 {
            return Err("there are heads at those places of the other side already".into());
        }
        if copies.is_empty() {
            return Err(
                "the selected heads stand on the middle line, which has no other side".into(),
            );
        }
        let ids: Vec<HeadId> = copies.iter().map(|head| head.id.clone()).collect();
        let label = format!("Copy {} to the other side", counted(ids.len(), "head"));
        self.commit(&label, &puts(copies))?;
        self.select(|selection| {
            selection.take_heads(ids, SelectMode::Replace);
        });
        Ok(Outcome::Say(label))
    }

    /// Gives each emitter without an output one of its own; what nobody stated is said in its label.
    fn wire_heads(&mut self, mut heads: Vec<Head>) -> Done {
        let mut parts = self.program.to_parts();
        let n_before = parts.vehicle.outputs.len();
        for head in &mut heads {
            for emitter in head
                .emitters
                .iter_mut()
                .filter(|emitter| emitter.output.is_none())
            {
                let (id, _) = free_id(&parts, ThingKind::Output, "output", 1)?;
                let id = OutputId::new(&id).map_err(|error| error.to_string())?;
                emitter.output = Some(id.clone());
                parts.vehicle.outputs.push(Output {
                    id,
                    label: format!("{} {}, rating assumed", head.label, emitter.color),
                    rating: ASSUMED_RATING,
                    fuse: None,
                    wire: None,
                    is_shared_within_head: false,
                });
            }
        }
        let new = parts.vehicle.outputs.split_off(n_before);
        if new.is_empty() {
            return Err("each emitter of the selected heads has an output already".into());
        }
        let label = format!("Add {}", counted(new.len(), "output"));
        let outputs = new
            .into_iter()
            .map(|output| Edit::Put(Item::Output(output)));
        let mut edits: Vec<Edit> = outputs.collect();
        edits.push(puts(heads));
        self.commit(&label, &Edit::Together(edits))?;
        Ok(Outcome::Say(label))
    }

    fn press_head(&mut self, head: HeadId) {
        let before = Before {
            selection: self.selection.clone(),
            focus: self.focus,
            playhead: self.preview.at,
            is_playing: self.preview.is_playing,
        };
        if !self.selection.heads.contains(&head) {
            self.select(|selection| {
                selection.take_heads(vec![head], SelectMode::Replace);
            });
        }
        // A picture that plays while its program changes under it would flash more than was counted.
        self.preview.is_playing = false;
        self.gesture = Some(Rc::new(Gesture {
            kind: GestureKind::Heads,
            base: self.program.clone(),
            base_selection: self.selection.clone(),
            before,
            pattern: self.open_pattern.clone(),
            pressed_px: (0.0, 0.0),
            now_px: (0.0, 0.0),
            pressed_at: Micros::ZERO,
            has_moved: false,
            snapped: None,
            values: String::new(),
            limits: Rc::from([]),
            guides: Vec::new(),
        }));
    }

    fn drag_heads(&mut self, forward: Millimeters, left: Millimeters, no_snap: bool) {
        let Some(gesture) = self.gesture.as_deref() else {
            return;
        };
        if gesture.kind != GestureKind::Heads {
            return;
        }
        let mut gesture = gesture.clone();
        let mut heads = selected(&gesture.base, &gesture.base_selection);
        // The first one snaps, the others keep their places to it.
        let Some(first) = heads.first().map(|head| (head.x.0, head.y.0)) else {
            return;
        };
        let snapped = |from: i64, by: i64| {
            if no_snap || by == 0 {
                by
            } else {
                Micros(from + by).round_to(Micros(SNAP_MM)).0 - from
            }
        };
        let (forward, left) = (snapped(first.0, forward.0), snapped(first.1, left.0));
        gesture.has_moved |= (forward, left) != (0, 0);
        for head in &mut heads {
            head.x.0 += forward;
            head.y.0 += left;
        }
        gesture.values = heads.first().map_or_else(String::new, place_words);
        let next = if (forward, left) == (0, 0) {
            Ok(gesture.base.clone())
        } else {
            gesture.base.apply(&puts(heads)).map(Rc::new)
        };
        self.gesture = Some(Rc::new(gesture));
        // Beyond the largest place they stay where they were last.
        if let Ok(next) = next
            && !Rc::ptr_eq(&next, &self.program)
        {
            self.show(next);
        }
    }
}

/// The selected heads in the vehicle's order.
fn selected(program: &Program, selection: &Selection) -> Vec<Head> {
    let heads = program.vehicle.heads.iter();
    heads
        .filter(|head| selection.heads.contains(&head.id))
        .cloned()
        .collect()
}

fn puts(heads: Vec<Head>) -> Edit {
    let puts = heads.into_iter().map(|head| Edit::Put(Item::Head(head)));
    Edit::Together(puts.collect())
}

/// Whether one head stands where another does, and faces the same way.
fn stands_as(one: &Head, other: &Head) -> bool {
    let turn = (one.facing.0 - other.facing.0).rem_euclid(360_000);
    (one.x, one.y, one.z, turn) == (other.x, other.y, other.z, 0)
}

/// "1 head" or "3 heads".
fn counted(n: usize, one: &str) -> String {
    let many = if n == 1 { "" } else { "s" };
    format!("{n} {one}{many}")
}

/// "1.25 m forward, 0.6 m left".
fn place_words(head: &Head) -> String {
    let along = way_words(head.x.0, "forward", "rearward");
    let across = way_words(head.y.0, "left", "right");
    format!("{along}, {across}")
}

/// "0.6 m left".
fn way_words(by: i64, up: &str, down: &str) -> String {
    let way = if by < 0 { down } else { up };
    format!("{} {way}", Millimeters(by.abs()))
}

/// Gives all the mean of a coordinate.
fn same(heads: &mut [Head], of: fn(&mut Head) -> &mut Millimeters) {
    let sum: i64 = heads.iter_mut().map(|head| of(head).0).sum();
    let mean = i64::try_from(heads.len()).map_or(0, |n_heads| sum.div_euclid(n_heads.max(1)));
    for head in heads {
        *of(head) = Millimeters(mean);
    }
}

/// Spreads the heads evenly along the way they stand farther apart, in their order there; the outermost two stay.
fn spread(heads: &mut [Head]) {
    let extent = |of: fn(&Head) -> i64| {
        let values = || heads.iter().map(of);
        values().max().unwrap_or(0) - values().min().unwrap_or(0)
    };
    let is_across = extent(|head| head.y.0) >= extent(|head| head.x.0);
    let place = |head: &Head| if is_across { head.y.0 } else { head.x.0 };
    sort_by(heads, |one, other| place(one).cmp(&place(other)));
    let (Some(first), Some(last)) = (heads.first().map(place), heads.last().map(place)) else {
        return;
    };
    let n_steps = i64::try_from(heads.len()).unwrap_or(2) - 1;
    for (index, head) in (0..).zip(heads) {
        let at = Millimeters(first + (last - first) * index / n_steps.max(1));
        if is_across {
            head.y = at;
        } else {
            head.x = at;
        }
    }
}

/// The text with left and right changed for each other, in small and in large letters.
fn other_side(text: &str) -> String {
    let swaps = [
        ("left", "right"),
        ("right", "left"),
        ("Left", "Right"),
        ("Right", "Left"),
        ("LEFT", "RIGHT"),
        ("RIGHT", "LEFT"),
    ];
    let mut swapped = String::new();
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        let found = swaps.iter().find(|(from, _)| rest.starts_with(from));
        let n_bytes = match found {
            Some((from, to)) => {
                swapped.push_str(to);
                from.len()
            }
            None => {
                swapped.push(letter);
                letter.len_utf8()
            }
        };
        rest = rest.get(n_bytes..).unwrap_or_default();
    }
    swapped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_other_side_is_named() {
        assert_eq!(
            other_side("Roof left, front-right"),
            "Roof right, front-left"
        );
        assert_eq!(other_side("LEFT 2"), "RIGHT 2");
        assert_eq!(other_side("Heck"), "Heck");
    }
}
