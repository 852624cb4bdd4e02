//! Parts of a program that do not depend on each other, and the distinct drives of one.

use super::counted::{Compiled, Counted, Counting, TooMany};
use lampwright_model::{Condition, DimKind, HeadDrive, Layer, Program, State, Target, head_under};

/// Signals and heads that depend on each other and on no others.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Part {
    /// Signals, as indices into the program's, rising.
    pub signals: Vec<usize>,
    /// Heads, as indices into the vehicle's, rising.
    pub heads: Vec<usize>,
    /// The distinct drives of these heads, the one in the fewest words first.
    pub drives: Vec<PartDrive>,
}

/// One way in which layers decide and dim layers scale the heads of a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PartDrive {
    /// One entry per head of the part.
    pub heads: Vec<Decided>,
    /// How many states of the part's signals come to it.
    pub n_states: u128,
    /// One of them, away from the defaults in as few signals as any: values of the part's signals, as indices.
    pub values: Vec<usize>,
    /// In how many signals it is away from the defaults.
    pub n_away: usize,
}

/// What decides one head.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Decided {
    /// The layer, as an index into the program's; none where no layer that holds addresses the head.
    pub layer: Option<usize>,
    /// The dim layers that scale it, as indices into the program's.
    pub dims: Vec<usize>,
}

impl Part {
    /// How many possible states its signals have.
    #[must_use]
    pub fn n_states(&self) -> u128 {
        self.drives
            .iter()
            .fold(0, |sum: u128, drive| sum.saturating_add(drive.n_states))
    }

    /// A state with values of the part's signals put in.
    #[must_use]
    pub fn put(&self, program: &Program, state: &State, values: &[usize]) -> State {
        put(program, &self.signals, state, values)
    }
}

/// A state with values of some signals put in.
pub(super) fn put(program: &Program, signals: &[usize], state: &State, values: &[usize]) -> State {
    let mut state = state.clone();
    for (signal, value) in signals.iter().zip(values) {
        if let Some(signal) = program.signals.get(*signal)
            && let Some(value) = signal.values.get(*value)
        {
            state = state.with(program, &signal.id, value);
        }
    }
    state
}

/// A part before its states are counted.
#[derive(Clone, Debug, Default)]
pub(super) struct Outline {
    pub(super) signals: Vec<usize>,
    pub(super) heads: Vec<usize>,
}

/// The program's conditions, compiled once, and whom its layers address.
pub(super) struct Conditions {
    /// Of the layers, then of the dim layers.
    pub(super) whens: Vec<Compiled>,
    pub(super) impossible: Vec<Compiled>,
    /// Heads each layer, then each dim layer, addresses.
    pub(super) addressed: Vec<Vec<usize>>,
    n_layers: usize,
}

impl Conditions {
    pub(super) fn of(program: &Program) -> Self {
        let whens = program
            .layers
            .iter()
            .map(|layer| &layer.when)
            .chain(program.dims.iter().map(|dim| &dim.when));
        let layers = program.layers.iter().map(|layer| {
            let targets: Vec<Target> = layer.action.targets().cloned().collect();
            program.heads_of(&targets)
        });
        let dims = program.dims.iter().map(|dim| program.heads_of(&dim.heads));
        Self {
            whens: whens.map(|when| Compiled::of(program, when)).collect(),
            impossible: program
                .impossible
                .iter()
                .map(|alternative| Compiled::of_alternative(program, alternative))
                .collect(),
            addressed: layers.chain(dims).collect(),
            n_layers: program.layers.len(),
        }
    }

    /// Signals and heads grouped by what joins them; heads that depend on no signal are one part.
    pub(super) fn outlines(&self, program: &Program) -> Vec<Outline> {
        let n_signals = program.signals.len();
        let mut joined = Joined::new(n_signals + program.vehicle.heads.len());
        for (when, heads) in self.whens.iter().zip(&self.addressed) {
            let signals: Vec<usize> = when.signals().collect();
            if let Some(first) = signals.first() {
                let heads = heads.iter().map(|head| n_signals + head);
                for other in signals.iter().copied().chain(heads) {
                    joined.join(*first, other);
                }
            }
        }
        for impossible in &self.impossible {
            let mut signals = impossible.signals();
            if let Some(first) = signals.next() {
                for other in signals {
                    joined.join(first, other);
                }
            }
        }
        let mut fixed = Outline::default();
        let mut outlines: Vec<(usize, Outline)> = Vec::new();
        for signal in 0..n_signals {
            let root = joined.root(signal);
            match outlines.iter_mut().find(|(known, _)| *known == root) {
                Some((_, outline)) => outline.signals.push(signal),
                None => outlines.push((
                    root,
                    Outline {
                        signals: vec![signal],
                        heads: Vec::new(),
                    },
                )),
            }
        }
        for head in 0..program.vehicle.heads.len() {
            let root = joined.root(n_signals + head);
            match outlines.iter_mut().find(|(known, _)| *known == root) {
                Some((_, outline)) => outline.heads.push(head),
                None => fixed.heads.push(head),
            }
        }
        std::iter::once(fixed)
            .chain(outlines.into_iter().map(|(_, outline)| outline))
            .collect()
    }

    /// The layers and dim layers that belong to some signals and heads.
    pub(super) fn belonging(&self, outline: &Outline) -> Vec<usize> {
        (0..self.whens.len())
            .filter(|index| {
                // What speaks of no signal stands with the heads that depend on none, even without a head.
                let speaks = self.whens.get(*index).is_some_and(|when| {
                    let mut signals = when.signals();
                    if outline.signals.is_empty() {
                        signals.next().is_none()
                    } else {
                        signals.any(|signal| outline.signals.contains(&signal))
                    }
                });
                let addresses = self
                    .addressed
                    .get(*index)
                    .is_some_and(|heads| heads.iter().any(|head| outline.heads.contains(head)));
                speaks || addresses
            })
            .collect()
    }

    /// What is impossible of some signals; what is impossible without any signal belongs to all.
    pub(super) fn impossible_of(&self, outline: &Outline) -> Vec<Compiled> {
        self.impossible
            .iter()
            .filter(|impossible| {
                impossible
                    .signals()
                    .all(|signal| outline.signals.contains(&signal))
            })
            .cloned()
            .collect()
    }
}

/// Sets that grow together.
struct Joined(Vec<usize>);

impl Joined {
    fn new(n: usize) -> Self {
        Self((0..n).collect())
    }

    fn root(&self, mut at: usize) -> usize {
        while let Some(above) = self.0.get(at).copied().filter(|above| *above != at) {
            at = above;
        }
        at
    }

    fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.root(one), self.root(other));
        let (least, most) = (one.min(other), one.max(other));
        if let Some(above) = self.0.get_mut(most) {
            *above = least;
        }
    }
}

/// How a head's light is where a layer decides it, before any dim layer.
#[derive(Clone, Debug)]
struct Light {
    drive: HeadDrive,
    is_lit: bool,
    is_steady: bool,
}

/// Who can decide and scale one head of a part.
struct HeadLayers {
    /// Places in the part's layers, the program's index, and the light; the first that holds decides.
    layers: Vec<(usize, usize, Light)>,
    /// Places in the part's layers, the program's index and the kind.
    dims: Vec<(usize, usize, DimKind)>,
}

/// Layers and dim layers of a part, with all that is needed to say what a state comes to.
pub(super) struct PartLayers {
    /// Indices of layers, and of dim layers after all layers.
    pub(super) indices: Vec<usize>,
    pub(super) whens: Vec<Compiled>,
    heads: Vec<HeadLayers>,
    n_layers: usize,
}

/// What stands above what on one head.
pub(super) struct Standing {
    /// The layer that decides.
    pub(super) above: usize,
    /// A layer that holds as well and would do something else.
    pub(super) below: usize,
}

impl PartLayers {
    pub(super) fn of(program: &Program, conditions: &Conditions, outline: &Outline) -> Self {
        let indices = conditions.belonging(outline);
        let addresses = |index: usize, head: usize| {
            conditions
                .addressed
                .get(index)
                .is_some_and(|heads| heads.contains(&head))
        };
        let heads = outline
            .heads
            .iter()
            .map(|head| {
                let known = indices
                    .iter()
                    .enumerate()
                    .filter(|(_, index)| addresses(**index, *head));
                let mut here = HeadLayers {
                    layers: Vec::new(),
                    dims: Vec::new(),
                };
                for (place, index) in known {
                    if let Some(layer) = program.layers.get(*index) {
                        if let Some(light) = Light::of(program, layer, *head) {
                            here.layers.push((place, *index, light));
                        }
                    } else if let Some(dim) = program.dims.get(*index - conditions.n_layers) {
                        here.dims
                            .push((place, *index - conditions.n_layers, dim.only));
                    }
                }
                here
            })
            .collect();
        Self {
            whens: indices
                .iter()
                .filter_map(|index| conditions.whens.get(*index).cloned())
                .collect(),
            indices,
            heads,
            n_layers: conditions.n_layers,
        }
    }

    /// What decides each head of the part where these conditions hold.
    pub(super) fn decided(&self, holds: &[bool]) -> Vec<Decided> {
        let is_on = |place: usize| holds.get(place).copied().unwrap_or(false);
        self.heads
            .iter()
            .map(|head| {
                let decider = head.layers.iter().find(|(place, ..)| is_on(*place));
                let applies = |kind: DimKind| {
                    decider.is_some_and(|(_, _, light)| {
                        light.is_lit
                            && match kind {
                                DimKind::Both => true,
                                DimKind::Steady => light.is_steady,
                                DimKind::Flashing => !light.is_steady,
                            }
                    })
                };
                Decided {
                    layer: decider.map(|(_, index, _)| *index),
                    dims: head
                        .dims
                        .iter()
                        .filter(|(place, _, kind)| is_on(*place) && applies(*kind))
                        .map(|(_, index, _)| *index)
                        .collect(),
                }
            })
            .collect()
    }

    /// Layers above others that hold as well and would do something else on a head of the part.
    pub(super) fn standings(&self, holds: &[bool]) -> Vec<Standing> {
        let is_on = |place: usize| holds.get(place).copied().unwrap_or(false);
        let mut standings = Vec::new();
        for head in &self.heads {
            let mut on = head.layers.iter().filter(|(place, ..)| is_on(*place));
            let Some((_, above, light)) = on.next() else {
                continue;
            };
            for (_, below, other) in on {
                if other.drive.emitters != light.drive.emitters {
                    standings.push(Standing {
                        above: *above,
                        below: *below,
                    });
                }
            }
        }
        standings
    }

    /// Whether a head of the part is lit by what decides it.
    pub(super) fn is_lit(&self, head: usize, decided: &Decided) -> bool {
        self.heads.get(head).is_some_and(|head| {
            head.layers
                .iter()
                .any(|(_, index, light)| decided.layer == Some(*index) && light.is_lit)
        })
    }

    /// Whether an index is that of a layer, not of a dim layer.
    pub(super) fn layer_at(&self, place: usize) -> Option<usize> {
        self.indices
            .get(place)
            .copied()
            .filter(|index| *index < self.n_layers)
    }

    /// The dim layer at a place.
    pub(super) fn dim_at(&self, place: usize) -> Option<usize> {
        self.indices.get(place)?.checked_sub(self.n_layers)
    }
}

impl Light {
    fn of(program: &Program, layer: &Layer, head: usize) -> Option<Self> {
        let drive = head_under(program, layer, program.vehicle.heads.get(head)?);
        Some(Self {
            is_lit: drive.is_lit(),
            is_steady: drive.is_steady(),
            drive,
        })
    }
}

/// Counts the states of an outline by what holds of its layers, and of further conditions after them.
pub(super) fn count(
    program: &Program,
    conditions: &Conditions,
    outline: &Outline,
    layers: &PartLayers,
    further: Option<&Condition>,
) -> Result<Vec<Counted>, TooMany> {
    let mut whens = layers.whens.clone();
    whens.extend(further.map(|condition| Compiled::of(program, condition)));
    Counting::new(
        program,
        &outline.signals,
        &whens,
        &conditions.impossible_of(outline),
    )
    .run()
}
