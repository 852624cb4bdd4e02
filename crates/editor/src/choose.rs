//! Selection, keyboard focus and jumps to the place of a finding.

use crate::edits::{Done, Outcome};
use crate::selection::combine;
use crate::{
    Action, EditorState, Focus, FocusMove, PulseAt, SelectMode, Shown, View, describe_focus,
};
use lampwright_analysis::report::{Finding, FoundIn};
use lampwright_model::{
    Action as LayerAction, Color, HeadId, ItemId, LayerId, Pattern, PatternId, Place, RoleId, Side,
    Zone,
};
use lampwright_timing::Micros;
use std::rc::Rc;

impl EditorState {
    pub(crate) fn choose(&mut self, action: Action) -> Done {
        match action {
            Action::ChoosePattern(id) => {
                self.show_pattern(&id)?;
                Ok(Outcome::Say(
                    self.open_pattern()
                        .map_or_else(String::new, |pattern| format!("Pattern {}", pattern.label)),
                ))
            }
            Action::SelectPulses(pulses, mode) => {
                let focus = pulses.last().copied();
                let known = self.known_pulses(pulses);
                self.select(|selection| {
                    combine(&mut selection.pulses, known, mode);
                    if mode == SelectMode::Replace {
                        selection.lanes.clear();
                    }
                });
                if let Some(at) = focus.filter(|at| self.has_pulse(*at)) {
                    self.focus = Focus::Pulse(at);
                }
                Ok(Outcome::Say(self.describe_selection()))
            }
            Action::SelectLanes(lanes, mode) => {
                let n_lanes = self.open_pattern().map_or(0, |pattern| pattern.lanes.len());
                let known: Vec<_> = lanes.into_iter().filter(|lane| *lane < n_lanes).collect();
                if let Some(lane) = known.last() {
                    self.focus = Focus::Lane(*lane);
                }
                self.select(|selection| {
                    combine(&mut selection.lanes, known, mode);
                    if mode == SelectMode::Replace {
                        selection.pulses.clear();
                    }
                });
                Ok(Outcome::Say(describe_focus(self)))
            }
            Action::SelectHeads(heads, mode) => {
                let known = heads
                    .into_iter()
                    .filter(|id| self.program.vehicle.heads.iter().any(|head| head.id == *id))
                    .collect();
                self.select(|selection| selection.take_heads(known, mode));
                Ok(Outcome::Say(match mode {
                    SelectMode::Replace => self.describe_heads(),
                    _ => self.describe_focused_head(),
                }))
            }
            Action::SelectAll => {
                self.select_all();
                Ok(Outcome::Say(self.describe_selection()))
            }
            Action::SelectNothing => {
                self.selection = Rc::default();
                Ok(Outcome::Quiet)
            }
            Action::MoveFocus { to, extend } => self.move_focus(to, extend),
            Action::JumpTo(place, at) => self.jump_to(&place, at),
            Action::JumpToFinding(finding) => self.jump_to_finding(&finding),
            _ => Ok(Outcome::Quiet),
        }
    }

    fn has_pulse(&self, at: PulseAt) -> bool {
        self.open_pattern()
            .is_some_and(|pattern| at.of(pattern).is_some())
    }

    fn known_pulses(&self, pulses: Vec<PulseAt>) -> Vec<PulseAt> {
        pulses
            .into_iter()
            .filter(|at| self.has_pulse(*at))
            .collect()
    }

    fn select_all(&mut self) {
        let Some(pattern) = self.open_pattern() else {
            return;
        };
        let all_of = |lane: usize| {
            let n_pulses = pattern.lanes.get(lane).map_or(0, |lane| lane.pulses.len());
            (0..n_pulses).map(move |pulse| PulseAt { lane, pulse })
        };
        let of_lane: Vec<_> = self.focus.lane().into_iter().flat_map(all_of).collect();
        let has_lane = of_lane.iter().all(|at| self.selection.pulses.contains(at));
        let wanted: Vec<_> = if has_lane {
            (0..pattern.lanes.len()).flat_map(all_of).collect()
        } else {
            of_lane
        };
        self.select(|selection| {
            selection.lanes.clear();
            combine(&mut selection.pulses, wanted, SelectMode::Replace);
        });
    }

    fn move_focus(&mut self, to: FocusMove, extend: bool) -> Done {
        let pattern = self.open_pattern().ok_or("no pattern is open")?;
        if pattern.lanes.is_empty() {
            return Err("the pattern has no lane, add one first".into());
        }
        let next = moved_focus(pattern, self.focus, to);
        let instant = next
            .pulse()
            .and_then(|at| at.of(pattern))
            .map(|pulse| pulse.start);
        let lane = next.lane().unwrap_or(0);
        self.focus = next;
        self.select(|selection| match next {
            Focus::Pulse(at) => {
                let mode = if extend {
                    SelectMode::Add
                } else {
                    SelectMode::Replace
                };
                combine(&mut selection.pulses, vec![at], mode);
                selection.lanes.clear();
            }
            Focus::Lane(lane) => {
                if !extend {
                    selection.pulses.clear();
                    selection.lanes.clear();
                }
                selection.lanes.insert(lane);
            }
            Focus::None => {}
        });
        self.reveal(instant, lane);
        Ok(Outcome::Say(describe_focus(self)))
    }

    fn reveal(&mut self, instant: Option<Micros>, lane: usize) {
        let instant = instant.unwrap_or_else(|| {
            let view = &self.viewport;
            view.time_at((view.width_px + crate::Layout::LABEL_PX) / 2.0)
        });
        self.viewport = self.viewport.revealing(instant, lane);
        self.limit_viewport();
    }

    /// Opens a pattern; what was selected in another one is not any more.
    pub(crate) fn show_pattern(&mut self, id: &PatternId) -> Result<(), String> {
        if !self.program.patterns.iter().any(|known| known.id == *id) {
            return Err(format!("there is no pattern {id}"));
        }
        if self.open_pattern.as_ref() != Some(id) {
            self.open_pattern = Some(id.clone());
            self.select(|selection| {
                selection.pulses.clear();
                selection.lanes.clear();
            });
            self.focus = Focus::None;
            self.viewport.top_px = 0.0;
            self.zoom_to_fit();
        }
        Ok(())
    }

    fn jump_to(&mut self, place: &Place, at: Option<Micros>) -> Done {
        match place {
            Place::Lane(pattern, role) => self.jump_to_lane(pattern, role, at)?,
            Place::Emitter(head, color) => {
                self.view = View::Timeline;
                self.jump_to_heads(vec![head.clone()], Some(*color), at);
            }
            Place::Item(item) => self.jump_to_item(item, at)?,
            Place::Pair(first, second) => {
                self.view = View::Timeline;
                let heads = self.heads_named(first, second);
                self.jump_to_heads(heads, None, at);
            }
            Place::Direction(_) => self.view = View::Screening,
            Place::Supply => self.view = View::Power,
            Place::Program | Place::Vehicle => {
                self.view = View::Timeline;
                if let Some(at) = at {
                    self.preview.at = at.max(Micros::ZERO);
                }
            }
        }
        Ok(Outcome::Say(format!("At {place}")))
    }

    fn jump_to_finding(&mut self, finding: &Finding) -> Done {
        let shown = match &finding.found_in {
            FoundIn::Program => None,
            FoundIn::DefaultState => Some(Shown::default()),
            FoundIn::Situation(id) => Shown::situation(&self.program, id),
            FoundIn::State(state) => Some(Shown::of_state(&self.program, state)),
        };
        let is_elsewhere = |shown: &Shown| shown.state(&self.program) != self.shown_state();
        if let Some(shown) = shown.filter(is_elsewhere) {
            self.shown = shown;
            self.results = Rc::default();
        }
        let at = finding.span.map(|span| span.start);
        self.jump_to(&finding.place, at)?;
        if let Some((pattern, role)) = &finding.lane {
            self.jump_to_lane(pattern, role, at)?;
        }
        if let Some(head) = finding.head.clone() {
            self.select(|selection| selection.take_heads(vec![head], SelectMode::Replace));
        }
        Ok(Outcome::Say(format!(
            "At {}: {}",
            finding.place, finding.message
        )))
    }

    fn jump_to_lane(
        &mut self,
        pattern: &PatternId,
        role: &RoleId,
        at: Option<Micros>,
    ) -> Result<(), String> {
        self.show_pattern(pattern)?;
        self.view = View::Timeline;
        let open = self.open_pattern().ok_or("no pattern is open")?;
        let lane_idx = open
            .lanes
            .iter()
            .position(|lane| lane.role == *role)
            .ok_or_else(|| format!("there is no lane {role} in pattern {pattern}"))?;
        let at = at.map(|at| at.wrap(open.period.max(Micros(1))));
        let pulse = at.and_then(|at| {
            let pulses = &open.lanes.get(lane_idx)?.pulses;
            let index = pulses.partition_point(|pulse| pulse.start <= at);
            index.checked_sub(1)
        });
        let focus = match pulse {
            Some(pulse) => Focus::Pulse(PulseAt {
                lane: lane_idx,
                pulse,
            }),
            None => Focus::Lane(lane_idx),
        };
        self.focus = focus;
        self.select(|selection| {
            selection.pulses.clear();
            selection.lanes.clear();
            match focus {
                Focus::Pulse(at) => _ = selection.pulses.insert(at),
                Focus::Lane(lane) => _ = selection.lanes.insert(lane),
                Focus::None => {}
            }
        });
        self.reveal(at, lane_idx);
        Ok(())
    }

    /// Selects heads, and opens the lane that lights the first of them in the shown state.
    fn jump_to_heads(&mut self, heads: Vec<HeadId>, color: Option<Color>, at: Option<Micros>) {
        let driven = self.driven();
        let lane = driven
            .drive
            .heads
            .iter()
            .filter(|drive| heads.contains(&drive.head))
            .flat_map(|drive| &drive.emitters)
            .filter(|emitter| color.is_none_or(|color| emitter.color == color))
            .find_map(|emitter| emitter.lanes.first());
        if let Some(lane) = lane {
            // A place without a lane in the open program cannot come from its own drive.
            let _ = self.jump_to_lane(&lane.pattern, &lane.lane, at.map(|at| at - lane.offset));
        }
        self.select(|selection| selection.take_heads(heads, SelectMode::Replace));
    }

    fn jump_to_item(&mut self, item: &ItemId, at: Option<Micros>) -> Result<(), String> {
        match item {
            ItemId::Pattern(id) => {
                self.view = View::Timeline;
                self.show_pattern(id)?;
            }
            ItemId::Head(id) => {
                self.view = View::Timeline;
                self.jump_to_heads(vec![id.clone()], None, at);
            }
            ItemId::Layer(id) => self.jump_to_layer(id)?,
            ItemId::Output(id) => {
                self.view = View::Power;
                let heads = self.heads_where(|output| output == Some(id));
                self.select(|selection| selection.take_heads(heads, SelectMode::Replace));
            }
            ItemId::Fuse(id) => {
                self.view = View::Power;
                let outputs: Vec<_> = self
                    .program
                    .vehicle
                    .outputs
                    .iter()
                    .filter(|output| output.fuse.as_ref() == Some(id))
                    .map(|output| output.id.clone())
                    .collect();
                let heads =
                    self.heads_where(|output| output.is_some_and(|id| outputs.contains(id)));
                self.select(|selection| selection.take_heads(heads, SelectMode::Replace));
            }
            ItemId::Clock(id) => {
                let heads = self
                    .program
                    .vehicle
                    .heads
                    .iter()
                    .filter(|head| head.clock.as_ref() == Some(id))
                    .map(|head| head.id.clone())
                    .collect();
                self.select(|selection| selection.take_heads(heads, SelectMode::Replace));
            }
            ItemId::Group(id) => {
                let target = lampwright_model::Target::Group(id.clone());
                self.select_targets(&[target]);
            }
            ItemId::Situation(id) => {
                if let Some(shown) = crate::Shown::situation(&self.program, id) {
                    self.shown = shown;
                    self.results = Rc::default();
                }
                self.view = View::States;
            }
            ItemId::Signal(_) | ItemId::Control(_) => self.view = View::States,
            ItemId::DimLayer(id) => {
                self.view = View::States;
                let dim = self.program.dims.iter().find(|dim| dim.id == *id);
                if let Some(targets) = dim.map(|dim| dim.heads.clone()) {
                    self.select_targets(&targets);
                }
            }
            ItemId::Guarantee(id) => {
                self.view = View::States;
                let known = self.program.guarantees.iter().find(|known| known.id == *id);
                if let Some(targets) = known.map(|known| known.heads.clone()) {
                    self.select_targets(&targets);
                }
            }
        }
        Ok(())
    }

    fn jump_to_layer(&mut self, id: &LayerId) -> Result<(), String> {
        let layer = self
            .program
            .layers
            .iter()
            .find(|layer| layer.id == *id)
            .cloned()
            .ok_or_else(|| format!("there is no layer {id}"))?;
        let targets: Vec<_> = layer.action.targets().cloned().collect();
        self.select_targets(&targets);
        match &layer.action {
            LayerAction::Play { pattern, .. } => {
                self.view = View::Timeline;
                self.show_pattern(pattern)
            }
            LayerAction::Hold { .. } | LayerAction::Dark { .. } => {
                self.view = View::States;
                Ok(())
            }
        }
    }

    fn select_targets(&mut self, targets: &[lampwright_model::Target]) {
        let heads = self
            .program
            .heads_of(targets)
            .into_iter()
            .filter_map(|index| self.program.vehicle.heads.get(index))
            .map(|head| head.id.clone())
            .collect();
        self.select(|selection| selection.take_heads(heads, SelectMode::Replace));
    }

    fn heads_where(
        &self,
        is_wanted: impl Fn(Option<&lampwright_model::OutputId>) -> bool,
    ) -> Vec<HeadId> {
        self.program
            .vehicle
            .heads
            .iter()
            .filter(|head| {
                head.emitters
                    .iter()
                    .any(|emitter| is_wanted(emitter.output.as_ref()))
            })
            .map(|head| head.id.clone())
            .collect()
    }

    /// The heads of two sets named as findings name them: "left" and "right", "front" and "rear".
    fn heads_named(&self, first: &str, second: &str) -> Vec<HeadId> {
        self.program
            .vehicle
            .heads
            .iter()
            .filter(|head| {
                [first, second].iter().any(|name| match *name {
                    "left" => head.side() == Side::Left,
                    "right" => head.side() == Side::Right,
                    "front" => head.zone() == Zone::A,
                    "rear" => head.zone() == Zone::C,
                    _ => false,
                })
            })
            .map(|head| head.id.clone())
            .collect()
    }

    fn describe_selection(&self) -> String {
        match self.selection.pulses.len() {
            0 => "No pulse selected".into(),
            1 => describe_focus(self),
            more => format!("{more} pulses selected"),
        }
    }

    fn describe_heads(&self) -> String {
        let labels: Vec<_> = self
            .program
            .vehicle
            .heads
            .iter()
            .filter(|head| self.selection.heads.contains(&head.id))
            .map(|head| head.label.as_str())
            .collect();
        match labels.as_slice() {
            [] => "No head selected".into(),
            [only] => format!("Head {only}"),
            more => format!("{} heads selected", more.len()),
        }
    }

    /// The head the keyboard is at, whether it is selected, and how many are.
    fn describe_focused_head(&self) -> String {
        let at = self.selection.focused_head();
        let heads = &self.program.vehicle.heads;
        let Some(head) = heads.iter().find(|head| Some(&head.id) == at) else {
            return self.describe_heads();
        };
        let is_selected = self.selection.heads.contains(&head.id);
        let not = if is_selected { "" } else { "not " };
        format!(
            "Head {}, {not}selected; {}",
            head.label,
            self.describe_heads()
        )
    }
}

fn moved_focus(pattern: &Pattern, focus: Focus, to: FocusMove) -> Focus {
    let n_pulses = |lane: usize| pattern.lanes.get(lane).map_or(0, |lane| lane.pulses.len());
    let at = |lane: usize, pulse: usize| match n_pulses(lane) {
        0 => Focus::Lane(lane),
        n_pulses => Focus::Pulse(PulseAt {
            lane,
            pulse: pulse.min(n_pulses - 1),
        }),
    };
    let Some(lane) = focus.lane() else {
        return match to {
            FocusMove::Lane => Focus::Lane(0),
            _ => at(0, 0),
        };
    };
    match (to, focus) {
        (FocusMove::Lane, _) => Focus::Lane(lane),
        (FocusMove::FirstPulse, _) => at(lane, 0),
        (FocusMove::LastPulse, _) => at(lane, usize::MAX),
        (FocusMove::NextPulse, Focus::Pulse(now)) => at(lane, now.pulse + 1),
        (FocusMove::PreviousPulse, Focus::Pulse(now)) => at(lane, now.pulse.saturating_sub(1)),
        (FocusMove::NextPulse, _) => at(lane, 0),
        (FocusMove::PreviousPulse, _) => at(lane, usize::MAX),
        (FocusMove::LaneBelow | FocusMove::LaneAbove, _) => {
            let other = match to {
                FocusMove::LaneBelow => (lane + 1).min(pattern.lanes.len().saturating_sub(1)),
                _ => lane.saturating_sub(1),
            };
            match focus.pulse().and_then(|now| now.of(pattern)) {
                None => Focus::Lane(other),
                Some(_) if other == lane => focus,
                Some(pulse) => at(other, nearest_pulse(pattern, other, pulse.start)),
            }
        }
    }
}

/// The pulse of a lane whose start is nearest to an instant.
fn nearest_pulse(pattern: &Pattern, lane: usize, instant: Micros) -> usize {
    let Some(lane) = pattern.lanes.get(lane) else {
        return 0;
    };
    let after = lane.pulses.partition_point(|pulse| pulse.start < instant);
    let distance = |index: usize| {
        lane.pulses
            .get(index)
            .map_or(i64::MAX, |pulse| (pulse.start - instant).0.abs())
    };
    match after.checked_sub(1) {
        Some(before) if distance(before) <= distance(after) => before,
        _ => after,
    }
}
