//! Edits of the open pattern and its lanes.

use crate::builder::Wish;
use crate::edits::{Done, Outcome};
use crate::operate::beside_tick;
use crate::{Action, EditorState, Focus, View};
use lampwright_model::{
    Action as LayerAction, Edit, Item, ItemId, Lane, Pattern, PatternId, Place, Program, Pulse,
    RoleId,
};
use lampwright_timing::{MAX_COMMON_PERIOD, Micros};

/// Period of a new pattern: one second.
const NEW_PERIOD: Micros = Micros::from_ms(1_000);
/// Lanes of a new pattern: most flash one side against the other, and lanes of these names find their heads by themselves.
const NEW_LANES: [&str; 2] = ["left", "right"];

impl EditorState {
    pub(crate) fn edit_pattern(&mut self, action: Action) -> Done {
        if let Action::AddPattern = action {
            return self.add_pattern();
        }
        let Some(pattern) = self.open_pattern().cloned() else {
            return Err("no pattern is open, add one first".into());
        };
        match action {
            Action::SetPeriod(period) => {
                if period <= Micros::ZERO {
                    return Err(format!("period {period}, more than 0 ms wanted"));
                }
                if period > MAX_COMMON_PERIOD {
                    return Err(format!(
                        "period {period}, at most {MAX_COMMON_PERIOD} wanted"
                    ));
                }
                if period < pattern.tick {
                    return Err(format!(
                        "period {period} is shorter than the tick, {}",
                        pattern.tick
                    ));
                }
                let last = pattern
                    .lanes
                    .iter()
                    .filter_map(|lane| lane.pulses.last().map(Pulse::end))
                    .max()
                    .unwrap_or(Micros::ZERO);
                if last > period {
                    return Err(format!(
                        "period {period} is too short, the last pulse ends at {last}"
                    ));
                }
                let (was_fitted, tick) = (pattern.period, pattern.tick);
                self.put(Pattern { period, ..pattern }, "Set period")?;
                if was_fitted != period {
                    self.zoom_to_fit();
                }
                let beside = beside_tick(period, tick);
                Ok(Outcome::Say(format!("Period {period}{beside}")))
            }
            Action::SetTick(tick) => {
                if tick <= Micros::ZERO {
                    return Err(format!("tick {tick}, more than 0 ms wanted"));
                }
                if tick > pattern.period {
                    return Err(format!(
                        "tick {tick}, at most the period wanted, {}",
                        pattern.period
                    ));
                }
                self.put(Pattern { tick, ..pattern }, "Set tick")?;
                Ok(Outcome::Say(format!("Tick {tick}")))
            }
            Action::RenamePattern(label) => {
                let label = label.trim().to_owned();
                if label.is_empty() {
                    return Err("a pattern needs a name".into());
                }
                self.put(Pattern { label, ..pattern }, "Rename pattern")?;
                Ok(Outcome::Quiet)
            }
            Action::RemovePattern => {
                let layers = layers_playing(&self.program, &pattern.id, None);
                if !layers.is_empty() {
                    return Err(format!(
                        "{} play{} this pattern, change that first",
                        layers.join(" and "),
                        if layers.len() == 1 { "s" } else { "" }
                    ));
                }
                let text = format!("Removed pattern {}", pattern.label);
                self.commit("Remove pattern", &Edit::Remove(ItemId::Pattern(pattern.id)))?;
                Ok(Outcome::Say(text))
            }
            Action::AddLane => self.add_lane(pattern),
            Action::RemoveLane(lane_idx) => self.remove_lane(pattern, lane_idx),
            Action::RenameLane { lane, role } => self.rename_lane(pattern, lane, &role),
            Action::MoveLane { lane, to } => self.move_lane(pattern, lane, to),
            _ => Ok(Outcome::Quiet),
        }
    }

    fn put(&mut self, pattern: Pattern, label: &str) -> Result<(), String> {
        self.commit(label, &Edit::Put(Item::Pattern(pattern)))
    }

    fn add_pattern(&mut self) -> Done {
        let id = (1_usize..)
            .filter_map(|number| PatternId::new(&format!("pattern-{number}")).ok())
            .find(|id| !self.program.patterns.iter().any(|known| known.id == *id))
            .ok_or("there is no free name for a pattern")?;
        let mut lanes = Vec::new();
        for name in NEW_LANES {
            lanes.push(Lane {
                role: RoleId::new(name).map_err(|error| error.to_string())?,
                pulses: [].into(),
            });
        }
        let pattern = Pattern {
            id: id.clone(),
            label: "New pattern".into(),
            period: NEW_PERIOD,
            tick: Wish::default().tick,
            lanes,
        };
        self.put(pattern, "Add pattern")?;
        self.show_pattern(&id)?;
        self.view = View::Timeline;
        self.focus = Focus::Lane(0);
        Ok(Outcome::Say(
            "Added a pattern with lanes left and right".into(),
        ))
    }

    fn add_lane(&mut self, mut pattern: Pattern) -> Done {
        let role = free_role(&pattern)?;
        let at = self
            .focus
            .lane()
            .map_or(pattern.lanes.len(), |lane| lane + 1)
            .min(pattern.lanes.len());
        let text = format!("Added lane {role}");
        pattern.lanes.insert(
            at,
            Lane {
                role,
                pulses: [].into(),
            },
        );
        self.put(pattern, "Add lane")?;
        self.focus = Focus::Lane(at);
        self.select(|selection| {
            selection.pulses.clear();
            selection.lanes = [at].into();
        });
        Ok(Outcome::Say(text))
    }

    fn remove_lane(&mut self, mut pattern: Pattern, lane_idx: usize) -> Done {
        let role = lane_of(&pattern, lane_idx)?.role.clone();
        let layers = layers_playing(&self.program, &pattern.id, Some(&role));
        if !layers.is_empty() {
            return Err(format!(
                "{} play{} lane {role}, change that first",
                layers.join(" and "),
                if layers.len() == 1 { "s" } else { "" }
            ));
        }
        pattern.lanes.remove(lane_idx);
        self.select(|selection| {
            selection.pulses.clear();
            selection.lanes.clear();
        });
        self.put(pattern, "Remove lane")?;
        Ok(Outcome::Say(format!("Removed lane {role}")))
    }

    fn rename_lane(&mut self, mut pattern: Pattern, lane_idx: usize, role: &str) -> Done {
        let new_role = RoleId::new(role.trim()).map_err(|error| error.to_string())?;
        let old_role = lane_of(&pattern, lane_idx)?.role.clone();
        if new_role == old_role {
            return Ok(Outcome::Quiet);
        }
        if pattern.lane(&new_role).is_some() {
            return Err(format!("there is already a lane {new_role}"));
        }
        if let Some(lane) = pattern.lanes.get_mut(lane_idx) {
            lane.role = new_role.clone();
        }
        let id = pattern.id.clone();
        let mut edits = vec![Edit::Put(Item::Pattern(pattern))];
        for layer in &self.program.layers {
            let mut layer = layer.clone();
            if let LayerAction::Play { pattern, bindings } = &mut layer.action
                && *pattern == id
                && bindings.iter().any(|binding| binding.lane == old_role)
            {
                for binding in bindings.iter_mut() {
                    if binding.lane == old_role {
                        binding.lane = new_role.clone();
                    }
                }
                edits.push(Edit::Put(Item::Layer(layer)));
            }
        }
        // Waivers name lanes by their places.
        let place = |role| Place::Lane(id.clone(), role).to_string();
        let (old_place, new_place) = (place(old_role), place(new_role.clone()));
        let mut waivers = self.program.waivers.clone();
        for waiver in &mut waivers {
            if waiver.place.as_ref() == Some(&old_place) {
                waiver.place = Some(new_place.clone());
            }
        }
        edits.push(Edit::SetWaivers(waivers));
        self.commit("Rename lane", &Edit::Together(edits))?;
        Ok(Outcome::Say(format!("Lane {new_role}")))
    }

    fn move_lane(&mut self, mut pattern: Pattern, lane_idx: usize, to: usize) -> Done {
        lane_of(&pattern, lane_idx)?;
        let to = to.min(pattern.lanes.len() - 1);
        let lane = pattern.lanes.remove(lane_idx);
        let text = format!("Lane {} is now row {}", lane.role, to + 1);
        pattern.lanes.insert(to, lane);
        self.select(|selection| {
            selection.pulses.clear();
            selection.lanes = [to].into();
        });
        self.put(pattern, "Move lane")?;
        self.focus = Focus::Lane(to);
        Ok(Outcome::Say(text))
    }
}

/// The first number that names no lane yet.
pub(crate) fn free_role(pattern: &Pattern) -> Result<RoleId, String> {
    (1_usize..)
        .filter_map(|number| RoleId::new(&number.to_string()).ok())
        .find(|role| pattern.lane(role).is_none())
        .ok_or_else(|| "there is no free name for a lane".into())
}

fn lane_of(pattern: &Pattern, lane_idx: usize) -> Result<&Lane, String> {
    pattern
        .lanes
        .get(lane_idx)
        .ok_or_else(|| "there is no such lane".into())
}

/// Labels of the layers that play a pattern, or one lane of it.
fn layers_playing(program: &Program, id: &PatternId, role: Option<&RoleId>) -> Vec<String> {
    program
        .layers
        .iter()
        .filter(|layer| match &layer.action {
            LayerAction::Play { pattern, bindings } => {
                pattern == id
                    && role.is_none_or(|role| bindings.iter().any(|known| known.lane == *role))
            }
            LayerAction::Hold { .. } | LayerAction::Dark { .. } => false,
        })
        .map(|layer| format!("layer \"{}\"", layer.label))
        .collect()
}
