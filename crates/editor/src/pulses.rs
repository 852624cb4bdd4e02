//! Edits of the selected pulses by key and by number.

use crate::edits::{Done, Outcome};
use crate::history::Nudged;
use crate::lane_edit::{self, LaneChanges};
use crate::selection::combine;
use crate::{Action, EditorState, Focus, PulseAt, PulseEdge, SelectMode, describe_pulse};
use lampwright_model::{Pattern, Pulse};
use lampwright_timing::{Level, Micros};

/// Length of a new pulse where nothing else suggests one.
const DEFAULT_LENGTH: Micros = Micros::from_ms(100);

impl EditorState {
    pub(crate) fn edit_pulses(&mut self, action: Action) -> Done {
        let Some(pattern) = self.open_pattern().cloned() else {
            return Err("no pattern is open, add one first".into());
        };
        match action {
            Action::InsertPulse { lane, at } => self.insert_pulse(&pattern, lane, at),
            Action::InsertAtFocus => {
                let lane = self.focus.lane().unwrap_or(0);
                let pulses = &pattern
                    .lanes
                    .get(lane)
                    .ok_or("the pattern has no lane, add one first")?
                    .pulses;
                let focused = self.focus.pulse();
                let from = focused.map_or(pulses.len(), |at| at.pulse + 1);
                let length = self.new_length(&pattern);
                let dark = own_gap(pulses, from).unwrap_or(length).max(pattern.tick);
                let (start, length) = (from..=pulses.len())
                    .chain(0..from)
                    .find_map(|index| {
                        let gap = gap_before(pulses, pattern.period, index)?;
                        room_in(gap, &pattern, pulses, (dark, length))
                    })
                    .ok_or("the lane is full")?;
                self.insert(&pattern, lane, start, length)
            }
            Action::Delete => self.delete(&pattern, None),
            Action::SetLevel(level) => {
                if level == Level::DARK {
                    return Err("level 0 % is no pulse, delete it instead".into());
                }
                let changes = lane_edit::changed(&pattern, &self.selection, |pulse| Pulse {
                    level,
                    ..*pulse
                });
                self.commit_pulses(&pattern, "Set level", changes)
            }
            Action::StepLevel(by) => {
                let levels = self.selection.pulses.iter();
                let levels = levels.filter_map(|at| Some(at.of(&pattern)?.level.per_mille()));
                let least = levels.clone().min().unwrap_or(1000);
                let most = levels.max().unwrap_or(1);
                let by = by.clamp((1 - most).min(0), (1000 - least).max(0));
                let changes = lane_edit::level_stepped(&pattern, &self.selection, by);
                let label = self.nudge(&pattern, (Nudged::Levels, by), changes)?;
                Ok(self.told(&label))
            }
            Action::SetColor(color) => {
                let changes = lane_edit::changed(&pattern, &self.selection, |pulse| Pulse {
                    color,
                    ..*pulse
                });
                self.commit_pulses(&pattern, "Set color", changes)
            }
            Action::SetStart(start) => {
                let focused = self.reference_pulse(&pattern)?;
                let by = start - focused.start;
                let room = lane_edit::room_to_move(&pattern, &self.selection);
                if room.clamp(by) != by {
                    return Err(format!(
                        "start {start} does not fit, {} to {} wanted",
                        focused.start + room.least,
                        focused.start + room.most
                    ));
                }
                let changes = lane_edit::moved(&pattern, &self.selection, by);
                self.commit_pulses(&pattern, "Set start", changes)
            }
            Action::SetLength(length) => self.set_length(&pattern, length),
            Action::Nudge(ticks) => {
                let wanted = Micros(pattern.tick.0.saturating_mul(ticks));
                let by = lane_edit::room_to_move(&pattern, &self.selection).clamp(wanted);
                if by == Micros::ZERO && !self.selection.pulses.is_empty() {
                    return Err("no room to move".into());
                }
                let changes = lane_edit::moved(&pattern, &self.selection, by);
                let label = self.nudge(&pattern, (Nudged::Pulses, by.0), changes)?;
                Ok(self.told(&label))
            }
            Action::MoveToLane(lanes_down) => {
                let (changes, moved) =
                    lane_edit::rehomed(&pattern, &self.selection, lanes_down, Micros::ZERO)?;
                let label = self.nudge(&pattern, (Nudged::Lanes, lanes_down), changes)?;
                self.choose_pulses(&moved);
                self.history.follow_run(self.selection.clone(), self.focus);
                Ok(self.told(&label))
            }
            Action::Stretch(ticks) => {
                let wanted = Micros(pattern.tick.0.saturating_mul(ticks));
                let room = lane_edit::room_for_edge(&pattern, &self.selection, PulseEdge::End);
                let by = room.clamp(wanted);
                if by == Micros::ZERO && !self.selection.pulses.is_empty() {
                    return Err(if ticks < 0 {
                        format!("a pulse is at least one tick long, {}", pattern.tick)
                    } else {
                        "no room to lengthen".into()
                    });
                }
                let changes = lane_edit::edge_moved(&pattern, &self.selection, PulseEdge::End, by);
                let label = self.nudge(&pattern, (Nudged::Lengths, by.0), changes)?;
                Ok(self.told(&label))
            }
            _ => Ok(Outcome::Quiet),
        }
    }

    /// Length a new pulse gets where there is room: the focused pulse's, else a tenth of a second in whole ticks.
    pub(crate) fn new_length(&self, pattern: &Pattern) -> Micros {
        self.focus
            .pulse()
            .and_then(|at| at.of(pattern))
            .map_or_else(
                || DEFAULT_LENGTH.min(pattern.period).round_to(pattern.tick),
                |pulse| pulse.length,
            )
            .max(pattern.tick)
            .min(pattern.period)
    }

    fn insert_pulse(&mut self, pattern: &Pattern, lane: usize, at: Micros) -> Done {
        let pulses = &pattern
            .lanes
            .get(lane)
            .ok_or("there is no such lane")?
            .pulses;
        let snapped = at.round_to(pattern.tick);
        let (start, (_, gap_end, index)) = [snapped, at]
            .into_iter()
            .find_map(|start| {
                let gap = lane_edit::gap_at(pulses, pattern.period, start)?;
                Some((start, gap))
            })
            .ok_or_else(|| format!("no room for a pulse at {at}"))?;
        let length = self.new_length(pattern).min(gap_end - start);
        self.insert_at(pattern, lane, (start, length), index)
    }

    /// Inserts a pulse where there is room for it.
    fn insert(&mut self, pattern: &Pattern, lane: usize, start: Micros, length: Micros) -> Done {
        let pulses = pattern.lanes.get(lane).map_or(&[][..], |lane| &lane.pulses);
        let index = pulses.partition_point(|pulse| pulse.start < start);
        self.insert_at(pattern, lane, (start, length), index)
    }

    fn insert_at(
        &mut self,
        pattern: &Pattern,
        lane: usize,
        (start, length): (Micros, Micros),
        index: usize,
    ) -> Done {
        let pulses = pattern.lanes.get(lane).map_or(&[][..], |lane| &lane.pulses);
        let pulse = Pulse {
            start,
            length,
            level: Level::FULL,
            color: None,
        };
        let changes = LaneChanges::from([(lane, lane_edit::inserted(pulses, index, pulse))]);
        let position = PulseAt { lane, pulse: index };
        self.commit("Insert pulse", &Self::lanes_edit(pattern, changes))?;
        self.select(|selection| {
            combine(&mut selection.pulses, vec![position], SelectMode::Replace);
            selection.lanes.clear();
        });
        self.focus = Focus::Pulse(position);
        Ok(Outcome::Say(format!(
            "Inserted {}",
            describe_pulse(self, position)
        )))
    }

    /// Deletes the selected pulses, or empties the selected lanes; `label` is the step's, if it is part of something else.
    pub(crate) fn delete(&mut self, pattern: &Pattern, label: Option<&str>) -> Done {
        let n_pulses = self.selection.pulses.len();
        if n_pulses > 0 {
            let changes = lane_edit::deleted(pattern, &self.selection);
            let near = self.selection.pulses.first().copied();
            let edit = Self::lanes_edit(pattern, changes);
            self.commit(label.unwrap_or("Delete pulses"), &edit)?;
            self.select(|selection| selection.pulses.clear());
            if let Some(near) = near {
                let left = self
                    .open_pattern()
                    .and_then(|pattern| pattern.lanes.get(near.lane))
                    .map_or(0, |lane| lane.pulses.len());
                self.focus = match left {
                    0 => Focus::Lane(near.lane),
                    _ => Focus::Pulse(PulseAt {
                        lane: near.lane,
                        pulse: near.pulse.min(left - 1),
                    }),
                };
            }
            let what = label.unwrap_or("Deleted");
            return Ok(Outcome::Say(match n_pulses {
                1 => format!("{what} 1 pulse"),
                more => format!("{what} {more} pulses"),
            }));
        }
        if self.selection.lanes.is_empty() {
            return Err("nothing is selected".into());
        }
        let has_pulses = |lane: &&usize| {
            let lane = pattern.lanes.get(**lane);
            lane.is_some_and(|lane| !lane.pulses.is_empty())
        };
        let changes: LaneChanges = self
            .selection
            .lanes
            .iter()
            .filter(has_pulses)
            .map(|lane| (*lane, Vec::new()))
            .collect();
        let n_lanes = changes.len();
        if n_lanes == 0 {
            return Err("there is no pulse in the lane".into());
        }
        let edit = Self::lanes_edit(pattern, changes);
        self.commit(label.unwrap_or("Empty lanes"), &edit)?;
        let what = label.unwrap_or("Emptied");
        Ok(Outcome::Say(match n_lanes {
            1 => format!("{what} 1 lane"),
            more => format!("{what} {more} lanes"),
        }))
    }

    fn set_length(&mut self, pattern: &Pattern, length: Micros) -> Done {
        if length <= Micros::ZERO {
            return Err(format!("length {length}, more than 0 ms wanted"));
        }
        for at in &self.selection.pulses {
            let Some(pulse) = at.of(pattern) else {
                continue;
            };
            let next = pattern
                .lanes
                .get(at.lane)
                .and_then(|lane| lane.pulses.get(at.pulse + 1))
                .map_or(pattern.period, |next| next.start);
            if pulse.start + length > next {
                return Err(format!(
                    "length {length} does not fit, at most {} for pulse {} of this lane",
                    next - pulse.start,
                    at.pulse + 1
                ));
            }
        }
        let changes =
            lane_edit::changed(pattern, &self.selection, |pulse| Pulse { length, ..*pulse });
        self.commit_pulses(pattern, "Set length", changes)
    }

    /// The pulse a typed start belongs to: the focused one if it is selected, else the first selected.
    pub(crate) fn reference_pulse(&self, pattern: &Pattern) -> Result<Pulse, String> {
        self.focus
            .pulse()
            .filter(|at| self.selection.pulses.contains(at))
            .or_else(|| self.selection.pulses.first().copied())
            .and_then(|at| at.of(pattern).copied())
            .ok_or_else(|| "no pulse is selected".into())
    }

    fn commit_pulses(&mut self, pattern: &Pattern, label: &str, changes: LaneChanges) -> Done {
        if self.selection.pulses.is_empty() {
            return Err("no pulse is selected".into());
        }
        self.commit(label, &Self::lanes_edit(pattern, changes))?;
        let n_pulses = self.selection.pulses.len();
        Ok(self.told(&format!("{label}, {n_pulses} pulses")))
    }

    /// Commits a little move of the selected pulses by key; gives the label of all of them together.
    fn nudge(
        &mut self,
        pattern: &Pattern,
        (of, by): (Nudged, i64),
        changes: LaneChanges,
    ) -> Result<String, String> {
        let n_pulses = self.selection.pulses.len();
        if n_pulses == 0 {
            return Err("no pulse is selected".into());
        }
        let edit = Self::lanes_edit(pattern, changes);
        self.commit_nudge(of, (by, 0), &edit, |(way, _)| {
            nudge_label(of, n_pulses, way)
        })
    }

    /// What to say of a change of the selected pulses: how it is now with the only one, else these words.
    fn told(&self, of_many: &str) -> Outcome {
        let first = self.selection.pulses.first().copied();
        Outcome::Say(match (self.selection.pulses.len(), first) {
            (1, Some(at)) => describe_pulse(self, at),
            _ => of_many.to_owned(),
        })
    }
}

/// "Move pulse 30 ms later", "Shorten 2 pulses by 10 ms".
fn nudge_label(of: Nudged, n_pulses: usize, way: i64) -> String {
    let pulses = match n_pulses {
        1 => "pulse".to_owned(),
        more => format!("{more} pulses"),
    };
    let size = way.abs();
    let either = |up: &'static str, down: &'static str| if way < 0 { down } else { up };
    match of {
        Nudged::Lengths => {
            let verb = either("Lengthen", "Shorten");
            format!("{verb} {pulses} by {}", Micros(size))
        }
        // Raised past full and lowered again, not all of them are as they were.
        Nudged::Levels if way == 0 => format!("Change level of {pulses}"),
        Nudged::Levels => {
            let verb = either("Raise", "Lower");
            format!("{verb} level of {pulses} by {}", Level::nearest(size))
        }
        Nudged::Lanes => {
            let many = if size == 1 { "" } else { "s" };
            format!("Move {pulses} {size} lane{many} {}", either("down", "up"))
        }
        _ => format!(
            "Move {pulses} {} {}",
            Micros(size),
            either("later", "earlier")
        ),
    }
}

/// The dark gap a lane has before a place, between two of its pulses; none when there are no two or they touch.
fn own_gap(pulses: &[Pulse], before: usize) -> Option<Micros> {
    let last = pulses.get(before.checked_sub(1)?)?;
    let one = pulses.get(before.checked_sub(2)?)?;
    Some(last.start - one.end()).filter(|gap| *gap > Micros::ZERO)
}

/// Where in a gap a new pulse goes and how long it is: a dark stretch after the pulse before and one before the pulse after, shorter ones where there is little room.
fn room_in(
    (from, to): (Micros, Micros),
    pattern: &Pattern,
    pulses: &[Pulse],
    (dark, length): (Micros, Micros),
) -> Option<(Micros, Micros)> {
    let tick = pattern.tick;
    // Around the end of the period some of the dark is there already.
    let (lead, tail) = match pulses {
        [first, .., last] => (first.start, pattern.period - last.end()),
        [only] => (only.start, pattern.period - only.end()),
        [] => (pattern.period, pattern.period),
    };
    let missing = |is_inside: bool, there: Micros| {
        if is_inside {
            dark
        } else {
            (dark - there).max(Micros::ZERO)
        }
    };
    let before = missing(from > Micros::ZERO, tail);
    let after = missing(to < pattern.period, lead);
    let room = to - from;
    if before + length + after <= room {
        return Some((from + before, length));
    }
    // A third each, in whole ticks.
    let sides = i64::from(before > Micros::ZERO) + i64::from(after > Micros::ZERO);
    let share = Micros(room.0 / (sides + 1) / tick.0 * tick.0);
    (share >= tick).then(|| {
        let start = if before > Micros::ZERO {
            from + share
        } else {
            from
        };
        (start, share.min(length))
    })
}

/// The gap before the pulse of an index, or after the last, if there is one.
fn gap_before(pulses: &[Pulse], period: Micros, index: usize) -> Option<(Micros, Micros)> {
    let from = index
        .checked_sub(1)
        .and_then(|before| pulses.get(before))
        .map_or(Micros::ZERO, Pulse::end);
    let to = pulses.get(index).map_or(period, |pulse| pulse.start);
    (from < to).then_some((from, to))
}
