//! What lies under a place of the timeline.

use crate::{EditorState, Layout, PulseAt, PulseEdge, Viewport};
use lampwright_timing::Micros;

/// How near an edge the pointer has to be, in CSS pixels.
pub(crate) const EDGE_PX: f64 = 6.0;

/// What lies under a place of the timeline.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Hit {
    /// Which part.
    pub part: HitPart,
    /// The instant there.
    pub at: Micros,
}

/// A part of the timeline.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum HitPart {
    /// The ruler.
    Ruler,
    /// The label of a lane.
    LaneLabel(usize),
    /// A lane where it has no pulse.
    Lane(usize),
    /// An edge of a pulse.
    Edge(PulseAt, PulseEdge),
    /// The upper edge of a pulse, which sets its level.
    Level(PulseAt),
    /// The body of a pulse.
    Body(PulseAt),
}

/// What lies under a place of the canvas; none outside everything.
#[must_use]
pub fn hit(state: &EditorState, x_px: f64, y_px: f64) -> Option<Hit> {
    hit_in(state, state.viewport(), x_px, y_px)
}

/// As [`hit`], for a viewport the canvas works with by itself.
#[must_use]
pub fn hit_in(state: &EditorState, view: &Viewport, x_px: f64, y_px: f64) -> Option<Hit> {
    let pattern = state.open_pattern()?;
    let at = view.time_at(x_px);
    if y_px < 0.0 || y_px > view.height_px || x_px < 0.0 || x_px > view.width_px {
        return None;
    }
    if y_px < Layout::RULER_PX {
        return (x_px >= Layout::LABEL_PX).then_some(Hit {
            part: HitPart::Ruler,
            at,
        });
    }
    let lane_idx = view.lane_at(y_px, pattern.lanes.len())?;
    let part = if x_px < Layout::LABEL_PX {
        HitPart::LaneLabel(lane_idx)
    } else {
        part_of_lane(state, view, lane_idx, x_px, y_px)
    };
    Some(Hit { part, at })
}

/// The pulse under the pointer, or the one whose edge is nearest within reach.
///
/// Inside a pulse its edges reach no further than a third of it, so that a narrow pulse can still be taken by its body; outside, a selected pulse wins over its neighbor when both are as near.
fn part_of_lane(
    state: &EditorState,
    view: &Viewport,
    lane_idx: usize,
    x_px: f64,
    y_px: f64,
) -> HitPart {
    let Some(lane) = state
        .open_pattern()
        .and_then(|pattern| pattern.lanes.get(lane_idx))
    else {
        return HitPart::Lane(lane_idx);
    };
    let at = view.time_at(x_px);
    let after = lane.pulses.partition_point(|pulse| pulse.start <= at);
    let mut best: Option<(f64, bool, HitPart)> = None;
    for index in after.saturating_sub(1)..(after + 1).min(lane.pulses.len()) {
        let Some(pulse) = lane.pulses.get(index) else {
            continue;
        };
        let place = PulseAt {
            lane: lane_idx,
            pulse: index,
        };
        let (left, right) = (view.x_of(pulse.start), view.x_of(pulse.end()));
        let inside = x_px >= left && x_px < right;
        let reach = if inside {
            EDGE_PX.min((right - left) / 3.0)
        } else {
            EDGE_PX
        };
        for (edge, x_edge) in [(PulseEdge::Start, left), (PulseEdge::End, right)] {
            let distance = (x_px - x_edge).abs();
            let is_other = !state.selection().pulses.contains(&place);
            let is_better = best.is_none_or(|(known, known_other, _)| {
                distance < known || (distance <= known && known_other && !is_other)
            });
            if distance <= reach && is_better {
                best = Some((distance, is_other, HitPart::Edge(place, edge)));
            }
        }
        if inside && best.is_none() {
            let top = bar_top(view, lane_idx, pulse.level.per_mille());
            let part = if (y_px - top).abs() <= LEVEL_PX {
                HitPart::Level(place)
            } else {
                HitPart::Body(place)
            };
            return part;
        }
    }
    best.map_or(HitPart::Lane(lane_idx), |(_, _, part)| part)
}

/// How near its upper edge the pointer has to be to set a level, in CSS pixels.
const LEVEL_PX: f64 = 4.0;

/// Top of a bar of a level on the canvas.
pub(crate) fn bar_top(view: &Viewport, lane_idx: usize, per_mille: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "0 to 1000")]
    let share = per_mille as f64 / 1000.0;
    let full = Layout::LANE_PX - 2.0 * Layout::LANE_PADDING_PX;
    view.lane_top(lane_idx) + Layout::LANE_PADDING_PX + (1.0 - share) * full
}
