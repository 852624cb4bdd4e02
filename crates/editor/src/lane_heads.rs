//! Which heads play a lane, read from the layer that plays the pattern, and changed there.
//!
//! Invariant: a head plays at most one lane of a layer in one color; what is bound to a lane leaves the others.
//! Absent: which heads suit a lane, see [`crate::bind_lanes`].

use crate::EditorState;
use crate::edits::{Done, Outcome};
use lampwright_model::{
    Action as LayerAction, Binding, Edit, HeadId, Item, Layer, Program, RoleId, Target,
};
use lampwright_timing::Micros;

/// A head and whether it plays a lane.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LaneHead {
    /// The head.
    pub id: HeadId,
    /// What the agency calls it.
    pub label: String,
    /// Whether it plays the lane.
    pub is_bound: bool,
}

/// The layer that plays the open pattern, by label, and every head with whether it plays the lane; none when no layer plays the pattern.
///
/// The layer that acts in the shown state counts, else the first that plays the pattern.
#[must_use]
pub fn lane_heads(state: &EditorState, lane: usize) -> Option<(String, Vec<LaneHead>)> {
    let role = &state.open_pattern()?.lanes.get(lane)?.role;
    let layer = playing_layer(state)?;
    let LayerAction::Play { bindings, .. } = &layer.action else {
        return None;
    };
    let heads = state.program().vehicle.heads.iter().map(|head| LaneHead {
        id: head.id.clone(),
        label: head.label.clone(),
        is_bound: bindings
            .iter()
            .filter(|binding| binding.lane == *role)
            .flat_map(|binding| &binding.heads)
            .any(|target| state.program().addresses(target, head)),
    });
    Some((layer.label.clone(), heads.collect()))
}

fn playing_layer(state: &EditorState) -> Option<&Layer> {
    let open = state.open_pattern_id()?;
    let program = state.program();
    let plays = |layer: &&Layer| matches!(&layer.action, LayerAction::Play { pattern, .. } if pattern == open);
    let shown = state.shown_state();
    program
        .layers
        .iter()
        .filter(plays)
        .find(|layer| shown.meets(program, &layer.when))
        .or_else(|| program.layers.iter().find(plays))
}

/// Targets without a head; a group that has it becomes its other heads.
fn without(program: &Program, targets: &[Target], head: &HeadId) -> Vec<Target> {
    let Some(place) = program.vehicle.heads.iter().find(|known| known.id == *head) else {
        return targets.to_vec();
    };
    targets
        .iter()
        .flat_map(|target| {
            if !program.addresses(target, place) {
                return vec![target.clone()];
            }
            program
                .heads_of(std::slice::from_ref(target))
                .into_iter()
                .filter_map(|index| program.vehicle.heads.get(index))
                .filter(|known| known.id != *head)
                .map(|known| Target::Head(known.id.clone()))
                .collect()
        })
        .collect()
}

fn bound(
    program: &Program,
    bindings: &[Binding],
    role: &RoleId,
    head: &HeadId,
    is_bound: bool,
) -> Vec<Binding> {
    let color = bindings
        .iter()
        .find(|binding| binding.lane == *role)
        .and_then(|binding| binding.color);
    let mut next: Vec<Binding> = bindings
        .iter()
        .map(|binding| {
            let mut binding = binding.clone();
            if binding.lane == *role || (is_bound && binding.color == color) {
                binding.heads = without(program, &binding.heads, head);
            }
            binding
        })
        .collect();
    if is_bound {
        let target = Target::Head(head.clone());
        match next.iter_mut().find(|binding| binding.lane == *role) {
            Some(binding) => binding.heads.push(target),
            None => next.push(Binding {
                lane: role.clone(),
                heads: vec![target],
                color: None,
                offset: Micros::ZERO,
            }),
        }
    }
    next.retain(|binding| !binding.heads.is_empty());
    next
}

impl EditorState {
    pub(crate) fn bind_head(&mut self, lane: usize, head: &HeadId, is_bound: bool) -> Done {
        let role = self
            .open_pattern()
            .and_then(|pattern| pattern.lanes.get(lane))
            .map(|lane| lane.role.clone())
            .ok_or("there is no such lane")?;
        let mut layer = playing_layer(self)
            .cloned()
            .ok_or("no layer plays this pattern")?;
        let LayerAction::Play { bindings, .. } = &mut layer.action else {
            return Ok(Outcome::Quiet);
        };
        *bindings = bound(&self.program, bindings, &role, head, is_bound);
        let label = layer.label.clone();
        self.commit("Bind head", &Edit::Put(Item::Layer(layer)))?;
        let verb = if is_bound { "plays" } else { "does not play" };
        Ok(Outcome::Say(format!(
            "Head {head} {verb} lane {role} in layer \"{label}\""
        )))
    }
}
