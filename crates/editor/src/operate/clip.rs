//! Copying pulses and lanes, and pasting them into lanes of any pattern.
//!
//! Invariant: pasted pulses cut what they lie on and leave the rest; lanes take the place of what was there.

use super::{pulses_of, whole_lane};
use crate::EditorState;
use crate::edits::{Done, Outcome};
use crate::lane_edit::LaneChanges;
use crate::lane_ops::{is_free_of_overlap, overlaid, wrapped};
use crate::numbers::runs_text;
use lampwright_model::{Pattern, Pulse};
use lampwright_timing::Micros;
use std::rc::Rc;

/// What was copied.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Clip {
    /// Pulses of each lane, at their instants; the first lane first.
    lanes: Vec<Vec<Pulse>>,
    /// Period they were copied from.
    period: Micros,
    /// Whether they are whole lanes.
    is_whole: bool,
}

impl Clip {
    /// Whether nothing was copied yet.
    pub(crate) fn is_empty(&self) -> bool {
        self.lanes.is_empty()
    }
}

impl EditorState {
    /// What was copied as run lengths, a line for each lane; empty when nothing was.
    #[must_use]
    pub fn clip_text(&self) -> String {
        let lanes = self.clip.lanes.iter();
        let lines: Vec<String> = lanes
            .map(|pulses| runs_text(pulses, self.clip.period))
            .collect();
        lines.join("\n")
    }

    pub(super) fn copy(&mut self, pattern: &Pattern) -> Done {
        let is_whole = self.selection.pulses.is_empty();
        let (first, last, text) = if is_whole {
            let lanes = self.lanes_meant(pattern)?;
            let text = match lanes.len() {
                1 => "Copied 1 lane".into(),
                more => format!("Copied {more} lanes"),
            };
            (lanes.first().copied(), lanes.last().copied(), text)
        } else {
            let lanes = self.selection.lanes_of_pulses();
            let text = match self.selection.pulses.len() {
                1 => "Copied 1 pulse".into(),
                more => format!("Copied {more} pulses"),
            };
            (lanes.first().copied(), lanes.last().copied(), text)
        };
        let (Some(first), Some(last)) = (first, last) else {
            return Err("nothing is selected".into());
        };
        let lanes = (first..=last)
            .map(|lane| {
                let pulses = pulses_of(pattern, lane);
                if is_whole {
                    return pulses.to_vec();
                }
                self.selection
                    .in_lane(lane)
                    .filter_map(|index| pulses.get(index).copied())
                    .collect()
            })
            .collect();
        self.clip = Rc::new(Clip {
            lanes,
            period: pattern.period,
            is_whole,
        });
        Ok(Outcome::Say(text))
    }

    pub(super) fn paste(&mut self, pattern: &Pattern) -> Done {
        let clip = self.clip.clone();
        if clip.is_empty() {
            return Err("nothing was copied yet".into());
        }
        let first_lane = self.focus.lane().unwrap_or(0);
        let n_left = pattern.lanes.len().saturating_sub(first_lane);
        if clip.lanes.len() > n_left {
            return Err(format!(
                "{} lanes were copied, only {n_left} are left from the focused one down",
                clip.lanes.len()
            ));
        }
        let starts = || clip.lanes.iter().flatten().map(|pulse| pulse.start);
        let playhead = self
            .preview
            .at
            .wrap(pattern.period)
            .round_to(pattern.tick)
            .wrap(pattern.period);
        let by = match starts().min() {
            Some(first) if !clip.is_whole && playhead > Micros::ZERO => playhead - first,
            _ => Micros::ZERO,
        };
        let mut changes = LaneChanges::default();
        let mut pasted = Vec::new();
        for (offset, pulses) in clip.lanes.iter().enumerate() {
            let lane = first_lane + offset;
            let new = if clip.is_whole {
                whole_lane(pulses, clip.period, pattern.period)?
            } else {
                let later: Vec<Pulse> = pulses
                    .iter()
                    .map(|pulse| Pulse {
                        start: pulse.start + by,
                        ..*pulse
                    })
                    .collect();
                let fits = later.iter().all(|pulse| pulse.length <= pattern.period);
                let pieces = wrapped(&later, pattern.period);
                if !(fits && is_free_of_overlap(&pieces)) {
                    return Err(format!(
                        "the copied pulses do not fit into the period, {}",
                        pattern.period
                    ));
                }
                pasted.extend(pieces.iter().map(|pulse| (lane, *pulse)));
                overlaid(pulses_of(pattern, lane), &pieces)
            };
            changes.insert(lane, new);
        }
        self.commit_lanes(pattern, "Paste", changes, &pasted)
            .map_err(|reason| {
                if reason.starts_with("Paste") {
                    "these pulses are here already, focus another lane or move the playhead".into()
                } else {
                    reason
                }
            })
    }
}
