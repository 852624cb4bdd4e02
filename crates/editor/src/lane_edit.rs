//! Pure changes of lanes: selected pulses move together within the room they have.
//!
//! Invariant: what comes out is sorted, free of overlap and within the period when what went in was; no pulse is ever dropped.

use crate::lane_ops::is_free_of_overlap;
use crate::{PulseAt, PulseEdge, Selection};
use lampwright_model::{Pattern, Pulse};
use lampwright_timing::{Level, Micros, SortedMap, sort_by};

/// New pulses per lane index.
pub(crate) type LaneChanges = SortedMap<usize, Vec<Pulse>>;

/// How far something may move: never more than to the left, never more than to the right.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Room {
    /// Zero or below.
    pub(crate) least: Micros,
    /// Zero or above.
    pub(crate) most: Micros,
}

impl Room {
    pub(crate) const NO_LIMIT: Self = Self {
        least: Micros(i64::MIN / 4),
        most: Micros(i64::MAX / 4),
    };

    fn limit(&mut self, least: Micros, most: Micros) {
        self.least = self.least.max(least.min(Micros::ZERO));
        self.most = self.most.min(most.max(Micros::ZERO));
    }

    /// `by`, or as much of it as there is room for.
    pub(crate) fn clamp(self, by: Micros) -> Micros {
        by.max(self.least).min(self.most)
    }
}

/// How far the selected pulses can move together.
pub(crate) fn room_to_move(pattern: &Pattern, selection: &Selection) -> Room {
    let mut room = Room::NO_LIMIT;
    for at in &selection.pulses {
        let Some(pulses) = pattern.lanes.get(at.lane).map(|lane| &lane.pulses) else {
            continue;
        };
        let Some(pulse) = pulses.get(at.pulse) else {
            continue;
        };
        let is_selected = |index: usize| {
            selection.pulses.contains(&PulseAt {
                lane: at.lane,
                pulse: index,
            })
        };
        let before = match at.pulse.checked_sub(1) {
            None => Some(Micros::ZERO),
            Some(index) if is_selected(index) => None,
            Some(index) => pulses.get(index).map(Pulse::end),
        };
        let after = match pulses.get(at.pulse + 1) {
            None => Some(pattern.period),
            Some(_) if is_selected(at.pulse + 1) => None,
            Some(next) => Some(next.start),
        };
        let mut limit = Room::NO_LIMIT;
        if let Some(before) = before {
            limit.least = before - pulse.start;
        }
        if let Some(after) = after {
            limit.most = after - pulse.end();
        }
        room.limit(limit.least, limit.most);
    }
    room
}

/// How far one edge of all selected pulses can move together; no pulse gets shorter than a tick.
pub(crate) fn room_for_edge(pattern: &Pattern, selection: &Selection, edge: PulseEdge) -> Room {
    let mut room = Room::NO_LIMIT;
    for at in &selection.pulses {
        let Some(pulses) = pattern.lanes.get(at.lane).map(|lane| &lane.pulses) else {
            continue;
        };
        let Some(pulse) = pulses.get(at.pulse) else {
            continue;
        };
        let spare = pulse.length - pattern.tick.min(pulse.length);
        match edge {
            PulseEdge::Start => {
                let before = at
                    .pulse
                    .checked_sub(1)
                    .and_then(|index| pulses.get(index))
                    .map_or(Micros::ZERO, Pulse::end);
                room.limit(before - pulse.start, spare);
            }
            PulseEdge::End => {
                let after = pulses
                    .get(at.pulse + 1)
                    .map_or(pattern.period, |next| next.start);
                room.limit(-spare, after - pulse.end());
            }
        }
    }
    room
}

/// The selected pulses changed one by one.
pub(crate) fn changed(
    pattern: &Pattern,
    selection: &Selection,
    change: impl Fn(&Pulse) -> Pulse,
) -> LaneChanges {
    let mut changes = LaneChanges::default();
    for lane_idx in selection.lanes_of_pulses() {
        let Some(lane) = pattern.lanes.get(lane_idx) else {
            continue;
        };
        let mut pulses = lane.pulses.to_vec();
        for index in selection.in_lane(lane_idx) {
            if let Some(pulse) = pulses.get_mut(index) {
                *pulse = change(pulse);
            }
        }
        if pulses[..] != lane.pulses[..] {
            changes.insert(lane_idx, pulses);
        }
    }
    changes
}

/// The selected pulses `by` later.
pub(crate) fn moved(pattern: &Pattern, selection: &Selection, by: Micros) -> LaneChanges {
    changed(pattern, selection, |pulse| Pulse {
        start: pulse.start + by,
        ..*pulse
    })
}

/// Lanes with their new pulses, and those of the pulses that came from elsewhere.
pub(crate) type Rehomed = (LaneChanges, Vec<(usize, Pulse)>);

/// The selected pulses so many lanes down and `by` later.
///
/// # Errors
/// In words, when a lane is missing or they do not fit into it.
pub(crate) fn rehomed(
    pattern: &Pattern,
    selection: &Selection,
    lanes_down: i64,
    by: Micros,
) -> Result<Rehomed, String> {
    let mut changes = deleted(pattern, selection);
    let mut moved = Vec::new();
    for source in selection.lanes_of_pulses() {
        let target = i64::try_from(source)
            .ok()
            .and_then(|source| usize::try_from(source + lanes_down).ok());
        let Some((target, there)) = target.and_then(|lane| Some((lane, pattern.lanes.get(lane)?)))
        else {
            return Err(format!(
                "there is no lane {}",
                if lanes_down < 0 { "above" } else { "below" }
            ));
        };
        let mut pulses = changes
            .get(&target)
            .map_or_else(|| there.pulses.to_vec(), Vec::clone);
        for pulse in selection.in_lane(source) {
            let at = PulseAt {
                lane: source,
                pulse,
            };
            pulses.extend(at.of(pattern).map(|pulse| {
                let pulse = Pulse {
                    start: pulse.start + by,
                    ..*pulse
                };
                moved.push((target, pulse));
                pulse
            }));
        }
        sort_by(&mut pulses, |one, other| one.start.cmp(&other.start));
        let is_within = pulses
            .first()
            .is_none_or(|first| first.start >= Micros::ZERO)
            && pulses
                .last()
                .is_none_or(|last| last.end() <= pattern.period);
        if !(is_within && is_free_of_overlap(&pulses)) {
            return Err(format!("no room in lane {}", there.role));
        }
        changes.insert(target, pulses);
    }
    Ok((changes, moved))
}

/// One edge of the selected pulses `by` later.
pub(crate) fn edge_moved(
    pattern: &Pattern,
    selection: &Selection,
    edge: PulseEdge,
    by: Micros,
) -> LaneChanges {
    changed(pattern, selection, |pulse| match edge {
        PulseEdge::Start => Pulse {
            start: pulse.start + by,
            length: pulse.length - by,
            ..*pulse
        },
        PulseEdge::End => Pulse {
            length: pulse.length + by,
            ..*pulse
        },
    })
}

/// The levels of the selected pulses changed by per mille, none below one per mille.
pub(crate) fn level_stepped(pattern: &Pattern, selection: &Selection, by: i64) -> LaneChanges {
    changed(pattern, selection, |pulse| Pulse {
        level: Level::nearest(pulse.level.per_mille().saturating_add(by).max(1)),
        ..*pulse
    })
}

/// The lanes without the selected pulses.
pub(crate) fn deleted(pattern: &Pattern, selection: &Selection) -> LaneChanges {
    let mut changes = LaneChanges::default();
    for lane_idx in selection.lanes_of_pulses() {
        let Some(lane) = pattern.lanes.get(lane_idx) else {
            continue;
        };
        let kept = lane
            .pulses
            .iter()
            .enumerate()
            .filter(|(index, _)| {
                !selection.pulses.contains(&PulseAt {
                    lane: lane_idx,
                    pulse: *index,
                })
            })
            .map(|(_, pulse)| *pulse)
            .collect();
        changes.insert(lane_idx, kept);
    }
    changes
}

/// The gap of a lane that holds an instant: its start, its end, and the index a pulse in it would have; none inside a pulse or outside the period.
pub(crate) fn gap_at(
    pulses: &[Pulse],
    period: Micros,
    at: Micros,
) -> Option<(Micros, Micros, usize)> {
    if at < Micros::ZERO || at >= period {
        return None;
    }
    let index = pulses.partition_point(|pulse| pulse.start <= at);
    let from = index
        .checked_sub(1)
        .and_then(|before| pulses.get(before))
        .map_or(Micros::ZERO, Pulse::end);
    let to = pulses.get(index).map_or(period, |pulse| pulse.start);
    (at >= from && from < to).then_some((from, to, index))
}

/// A lane with one more pulse.
pub(crate) fn inserted(pulses: &[Pulse], index: usize, pulse: Pulse) -> Vec<Pulse> {
    let mut all = pulses.to_vec();
    all.insert(index.min(all.len()), pulse);
    all
}
