//! What dragging makes of pulses: an edge, a body or a level moved, or a new pulse drawn.
//!
//! Each snaps, stops where its neighbors and the limits of the chosen rules stop it, and says its exact values.

use super::drag::{STILL_PX, lanes_down};
use super::{Gesture, PulseEdge};
use crate::edge_limits::{Held, dark_beside, held};
use crate::lane_edit::{self, LaneChanges, Rehomed};
use crate::snap::Snapper;
use crate::viewport::from_f64;
use crate::{EditorState, Focus, Layout, PulseAt, Selection, Snapped};
use lampwright_model::{Pattern, Pulse, RuleCode};
use lampwright_timing::{Level, Micros};
use std::rc::Rc;

impl EditorState {
    pub(super) fn drag_edge(
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

    pub(super) fn drag_body(
        &self,
        pattern: &Pattern,
        gesture: &mut Gesture,
        at: PulseAt,
        ((dx, dy), no_snap): ((f64, f64), bool),
    ) -> Rehomed {
        let Some(pulse) = at.of(pattern) else {
            return Rehomed::default();
        };
        let moving = gesture.moving(at);
        let down = lanes_down(dy);
        if down != 0 {
            return self.drag_to_lane(pattern, gesture, at, (down, dx, no_snap));
        }
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
        (lane_edit::moved(pattern, &moving, by), Vec::new())
    }

    /// The moving pulses in lanes above or below, at their instants unless the pointer has left those; nothing where they do not fit.
    fn drag_to_lane(
        &self,
        pattern: &Pattern,
        gesture: &mut Gesture,
        at: PulseAt,
        (down, dx, no_snap): (i64, f64, bool),
    ) -> Rehomed {
        let moving = gesture.moving(at);
        let Some(pulse) = at.of(pattern) else {
            return Rehomed::default();
        };
        let wanted = pulse.start + self.dragged_by(gesture);
        let target = if dx.abs() < STILL_PX {
            pulse.start
        } else if no_snap {
            wanted
        } else {
            self.snapper(pattern, &moving, &[wanted, wanted + pulse.length])
                .snap_body(wanted, pulse.length)
                .at
        };
        gesture.snapped = None;
        gesture.guides = Vec::new();
        match lane_edit::rehomed(pattern, &moving, down, target - pulse.start) {
            Ok(rehomed) => {
                gesture.values = span_text(target, pulse.length);
                rehomed
            }
            Err(reason) => {
                gesture.values = reason;
                Rehomed::default()
            }
        }
    }

    /// A new pulse from where the pointer went down to where it is, inside the gap it went down in.
    pub(super) fn draw(
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
        let at = PulseAt {
            lane: lane_idx,
            pulse: index,
        };
        let begun = |from: Micros, to: Micros| {
            let pulse = Pulse {
                start: from,
                length: to - from,
                level: Level::FULL,
                color: None,
            };
            lane_edit::inserted(&lane.pulses, index, pulse)
        };
        // As short as it can be, and then one edge of it dragged.
        let (first, edge) = if other < anchor {
            (anchor - least, PulseEdge::Start)
        } else {
            (anchor, PulseEdge::End)
        };
        let first = first.clamp(gap_start, gap_end - least);
        let edge_at = match edge {
            PulseEdge::Start => first,
            PulseEdge::End => first + least,
        };
        let mut seed = pattern.clone();
        if let Some(lane) = seed.lanes.get_mut(lane_idx) {
            lane.pulses = begun(first, first + least).into();
        }
        let alone = Selection {
            pulses: [at].into(),
            ..Selection::default()
        };
        let held = held(&gesture.limits, &seed, at, Some(edge), &alone);
        let (allowed, rule) = held_back(&held, other - edge_at, no_snap);
        gesture.guides = held.guides;
        let other = edge_at + allowed;
        let from = anchor.min(other).clamp(gap_start, gap_end - least);
        let to = anchor.max(other).clamp(from + least, gap_end);
        gesture.snapped = snapped.filter(|snapped| snapped.at == from || snapped.at == to);
        gesture.values = span_text(from, to - from) + &rule_text(rule);
        let mut selection = Selection {
            heads: gesture.base_selection.heads.clone(),
            ..Selection::default()
        };
        selection.pulses.insert(at);
        self.selection = Rc::new(selection);
        self.focus = Focus::Pulse(at);
        LaneChanges::from([(lane_idx, begun(from, to))])
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

    /// How far the pointer has been dragged, from pixel to pixel so that nothing jumps at the start.
    fn dragged_by(&self, gesture: &Gesture) -> Micros {
        self.viewport.time_at(gesture.now_px.0) - gesture.pressed_at
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
}

pub(super) fn drag_level(
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
