//! Copying pulses and lanes, and pasting them into lanes of any pattern.
//!
//! Invariant: pasted pulses cut what they lie on and leave the rest; lanes take the place of what was there; lanes that are missing below are made.

use super::{pulses_of, whole_lane};
use crate::EditorState;
use crate::edits::{Done, Outcome};
use crate::lane_ops::{is_free_of_overlap, overlaid, wrapped};
use crate::numbers::runs_text;
use crate::pattern_edits::free_role;
use lampwright_model::{Edit, Item, Lane, Pattern, Pulse, RoleId};
use lampwright_timing::Micros;
use std::rc::Rc;

/// What was copied.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Clip {
    /// Names and pulses, at their instants: of pulses, of each lane from the first to the last that has some; of lanes, of those alone.
    lanes: Vec<(RoleId, Vec<Pulse>)>,
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
            .map(|(_, pulses)| runs_text(pulses, self.clip.period))
            .collect();
        lines.join("\n")
    }

    pub(super) fn copy(&mut self, pattern: &Pattern) -> Done {
        let is_whole = self.selection.pulses.is_empty();
        let (indices, text): (Vec<usize>, _) = if is_whole {
            let lanes = self.lanes_meant(pattern)?;
            let text = match lanes.len() {
                1 => "Copied 1 lane".into(),
                more => format!("Copied {more} lanes"),
            };
            (lanes, text)
        } else {
            let lanes = self.selection.lanes_of_pulses();
            let text = match self.selection.pulses.len() {
                1 => "Copied 1 pulse".into(),
                more => format!("Copied {more} pulses"),
            };
            // With the lanes between, so that pulses keep their distance.
            let first = lanes.first().copied().unwrap_or_default();
            (
                lanes
                    .last()
                    .map_or(first..first, |last| first..last + 1)
                    .collect(),
                text,
            )
        };
        let lanes = indices
            .into_iter()
            .filter_map(|index| {
                let lane = pattern.lanes.get(index)?;
                let pulses = if is_whole {
                    lane.pulses.to_vec()
                } else {
                    let of = |pulse: usize| lane.pulses.get(pulse).copied();
                    self.selection.in_lane(index).filter_map(of).collect()
                };
                Some((lane.role.clone(), pulses))
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
        let mut next = pattern.clone();
        for (role, _) in clip.lanes.iter().skip(pattern.lanes.len() - first_lane) {
            next.lanes.push(Lane {
                role: if next.lane(role).is_none() {
                    role.clone()
                } else {
                    free_role(&next)?
                },
                pulses: [].into(),
            });
        }
        let n_new = next.lanes.len() - pattern.lanes.len();
        let pulses = || clip.lanes.iter().flat_map(|(_, pulses)| pulses);
        let starts = || pulses().map(|pulse| pulse.start);
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
        let mut pasted = Vec::new();
        for (offset, (_, pulses)) in clip.lanes.iter().enumerate() {
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
            if let Some(lane) = next.lanes.get_mut(lane) {
                lane.pulses = new.into();
            }
        }
        if next == *pattern {
            return Err(
                "these pulses are here already, focus another lane or move the playhead".into(),
            );
        }
        self.commit("Paste", &Edit::Put(Item::Pattern(next)))?;
        self.choose_pulses(&pasted);
        let mut text = match (pasted.len(), clip.lanes.len()) {
            (0, 1) => "Pasted 1 lane".to_owned(),
            (0, more) => format!("Pasted {more} lanes"),
            (1, _) => "Pasted 1 pulse".to_owned(),
            (more, _) => format!("Pasted {more} pulses"),
        };
        match n_new {
            0 => {}
            1 => text.push_str(", 1 lane added for it"),
            more => text.push_str(&format!(", {more} lanes added for them")),
        }
        Ok(Outcome::Say(text))
    }
}
