//! What becomes of every layer, signal and head over all possible states.
//!
//! Invariant: each claim is about all possible states; each one that something happens comes with a state in which it does.

use super::counted::{Counted, Counting};
use super::part::{Conditions, Decided, Outline, Part, PartDrive, PartLayers, count};
use super::{States, TooManyStates, too_many};
use lampwright_model::{HeadId, LayerId, Program, SignalId, State, resolve};

/// What becomes of a layer or dim layer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LayerUse {
    /// The layer.
    pub layer: LayerId,
    /// What becomes of it.
    pub found: Use,
}

/// What becomes of a layer over all possible states.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Use {
    /// Its condition holds in no possible state.
    NeverHolds,
    /// Its condition holds in some states, but in none of them it decides or scales a head: layers above it decide all its heads, or none of its heads has light of its kind.
    NeverActs {
        /// In how many states it holds.
        n_holding: u128,
        /// One of them.
        state: State,
    },
    /// It decides or scales a head in some states.
    Acts {
        /// In how many states it holds.
        n_holding: u128,
        /// In how many of them it acts.
        n_acting: u128,
        /// One in which it acts, in the fewest words.
        state: State,
    },
}

/// Two layers of which the lower one would do something else on a head that the upper one decides.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OrderMatters {
    /// The layer that decides.
    pub above: LayerId,
    /// The layer that holds as well.
    pub below: LayerId,
    /// In how many states this is so.
    pub n_states: u128,
    /// One of them, in the fewest words.
    pub state: State,
}

/// How often something is so in one part, and where first.
#[derive(Clone, Debug, Default)]
struct Tally {
    n_states: u128,
    first: Option<Vec<usize>>,
}

impl Tally {
    fn add(&mut self, counted: &Counted) {
        self.n_states = self.n_states.saturating_add(counted.n_states);
        // The one in the fewest words comes first.
        if self.first.is_none() {
            self.first = Some(counted.values.clone());
        }
    }
}

/// One part with what was tallied in it.
struct Surveyed {
    /// Holding and acting, for each layer and dim layer of the program.
    uses: Vec<(Tally, Tally)>,
    orders: Vec<((usize, usize), Tally)>,
    idle: Vec<usize>,
    lit: Vec<usize>,
}

/// The survey of a program that stays the same, step by step: part after part, and in each signal after signal.
pub(super) struct Survey {
    conditions: Conditions,
    /// The next one last.
    waiting: Vec<Outline>,
    /// How many combinations of values there are, as far as they can be counted.
    n_all: Option<u128>,
    /// The part whose signals are looked at, with how many have been.
    under_way: Option<(Outline, PartLayers, usize)>,
    parts: Vec<Part>,
    surveyed: Vec<Surveyed>,
}

impl Survey {
    pub(super) fn new(program: &Program) -> Self {
        let conditions = Conditions::of(program);
        let mut waiting = conditions.outlines(program);
        waiting.reverse();
        Self {
            conditions,
            waiting,
            // Every other count is at most this one.
            n_all: program.signals.iter().try_fold(1, |product: u128, signal| {
                product.checked_mul(signal.values.len() as u128)
            }),
            under_way: None,
            parts: Vec::new(),
            surveyed: Vec::new(),
        }
    }

    /// Does the next step; false when there is none left.
    pub(super) fn step(&mut self, program: &Program) -> Result<bool, TooManyStates> {
        if self.n_all.is_none() {
            return Err(TooManyStates::Uncountable);
        }
        if let Some((outline, layers, n_done)) = &mut self.under_way {
            let Some(signal) = outline.signals.get(*n_done) else {
                self.under_way = None;
                return Ok(true);
            };
            *n_done += 1;
            let is_idle = is_idle(program, &self.conditions, outline, layers, *signal)?;
            if let (true, Some(found)) = (is_idle, self.surveyed.last_mut()) {
                found.idle.push(*signal);
            }
            return Ok(true);
        }
        let Some(outline) = self.waiting.pop() else {
            return Ok(false);
        };
        let layers = PartLayers::of(program, &self.conditions, &outline);
        let (part, found) = survey_part(program, &self.conditions, &outline, &layers)?;
        self.parts.push(part);
        self.surveyed.push(found);
        self.under_way = Some((outline, layers, 0));
        Ok(true)
    }

    /// What was found, after the last step.
    pub(super) fn finish(self, program: &Program) -> States {
        let surveyed = self.surveyed;
        let mut states = States {
            n_all: self.n_all.unwrap_or(u128::MAX),
            n_possible: 0,
            parts: self.parts,
            layers: Vec::new(),
            dims: Vec::new(),
            idle_signals: Vec::new(),
            dark_heads: Vec::new(),
            orders: Vec::new(),
        };
        states.n_possible = states.n_of_others(&[]);
        states.idle_signals = idle_signals(program, &states, &surveyed);
        let uses = uses(program, &states, &surveyed);
        let (layers, dims) = uses.split_at(program.layers.len().min(uses.len()));
        (states.layers, states.dims) = (layers.to_vec(), dims.to_vec());
        states.orders = orders(program, &states, &surveyed);
        states.dark_heads = dark_heads(program, &states, &surveyed);
        states
    }
}

/// Each signal stands in one part; where nothing is possible none changes anything.
fn idle_signals(program: &Program, states: &States, surveyed: &[Surveyed]) -> Vec<SignalId> {
    program
        .signals
        .iter()
        .enumerate()
        .filter(|(index, _)| {
            states.n_possible == 0 || surveyed.iter().any(|found| found.idle.contains(index))
        })
        .map(|(_, signal)| signal.id.clone())
        .collect()
}

fn survey_part(
    program: &Program,
    conditions: &Conditions,
    outline: &Outline,
    layers: &PartLayers,
) -> Result<(Part, Surveyed), TooManyStates> {
    let counted = count(program, conditions, outline, layers, None)
        .map_err(too_many(program, &outline.signals))?;
    let n_uses = program.layers.len() + program.dims.len();
    let mut found = Surveyed {
        uses: vec![(Tally::default(), Tally::default()); n_uses],
        orders: Vec::new(),
        idle: Vec::new(),
        lit: Vec::new(),
    };
    let mut drives: Vec<PartDrive> = Vec::new();
    for state in &counted {
        let decided = layers.decided(&state.holds);
        tally(&mut found, layers, program.layers.len(), state, &decided);
        drives.push(PartDrive {
            heads: decided,
            n_states: state.n_states,
            values: state.values.clone(),
            n_away: state.n_away,
        });
    }
    let drives = distinct(drives);
    for (place, head) in outline.heads.iter().enumerate() {
        let lit = |drive: &&PartDrive| {
            drive
                .heads
                .get(place)
                .is_some_and(|decided| layers.is_lit(place, decided))
        };
        let is_lit = drives.iter().filter(lit).any(|drive| {
            drive
                .heads
                .get(place)
                .is_some_and(|decided| decided.dims.is_empty())
                || is_lit_dimmed(program, outline, drive, *head)
        });
        if is_lit {
            found.lit.push(*head);
        }
    }
    let part = Part {
        signals: outline.signals.clone(),
        heads: outline.heads.clone(),
        drives,
    };
    Ok((part, found))
}

/// Dim layers can leave nothing of a low level.
fn is_lit_dimmed(program: &Program, outline: &Outline, drive: &PartDrive, head: usize) -> bool {
    let default = State::default_of(program);
    let state = super::part::put(program, &outline.signals, &default, &drive.values);
    resolve(program, &state)
        .heads
        .get(head)
        .is_some_and(lampwright_model::HeadDrive::is_lit)
}

fn tally(
    found: &mut Surveyed,
    layers: &PartLayers,
    n_layers: usize,
    state: &Counted,
    decided: &[Decided],
) {
    for place in 0..layers.indices.len() {
        if !state.holds.get(place).copied().unwrap_or(false) {
            continue;
        }
        let (index, acts) = match (layers.layer_at(place), layers.dim_at(place)) {
            (Some(layer), _) => (layer, decided.iter().any(|head| head.layer == Some(layer))),
            (None, Some(dim)) => (
                n_layers + dim,
                decided.iter().any(|head| head.dims.contains(&dim)),
            ),
            (None, None) => continue,
        };
        if let Some((holding, acting)) = found.uses.get_mut(index) {
            holding.add(state);
            if acts {
                acting.add(state);
            }
        }
    }
    let mut pairs: Vec<(usize, usize)> = layers
        .standings(&state.holds)
        .into_iter()
        .map(|standing| (standing.above, standing.below))
        .collect();
    lampwright_timing::sort(&mut pairs);
    pairs.dedup();
    for pair in pairs {
        match found.orders.iter_mut().find(|(known, _)| *known == pair) {
            Some((_, tally)) => tally.add(state),
            None => {
                let mut tally = Tally::default();
                tally.add(state);
                found.orders.push((pair, tally));
            }
        }
    }
}

/// The drives with equal ones as one, those in the fewest words first.
fn distinct(mut drives: Vec<PartDrive>) -> Vec<PartDrive> {
    lampwright_timing::sort_by(&mut drives, |one, other| {
        (&one.heads, one.n_away, &one.values).cmp(&(&other.heads, other.n_away, &other.values))
    });
    drives.dedup_by(|next, kept| {
        let is_same = next.heads == kept.heads;
        if is_same {
            kept.n_states = kept.n_states.saturating_add(next.n_states);
        }
        is_same
    });
    lampwright_timing::sort_by(&mut drives, |one, other| {
        (one.n_away, &one.values).cmp(&(other.n_away, &other.values))
    });
    drives
}

/// Whether no value of a signal changes what decides or scales a head of the part.
fn is_idle(
    program: &Program,
    conditions: &Conditions,
    outline: &Outline,
    layers: &PartLayers,
    signal: usize,
) -> Result<bool, TooManyStates> {
    // With the signal last, what it decides stands side by side.
    let mut order: Vec<usize> = outline
        .signals
        .iter()
        .copied()
        .filter(|other| *other != signal)
        .collect();
    order.push(signal);
    let impossible = conditions.impossible_of(outline);
    let ways = Counting::new(program, &order, &layers.whens, &impossible)
        .by_last_signal()
        .map_err(too_many(program, &outline.signals))?;
    Ok(ways.iter().all(|values| {
        let mut decided = values.iter().map(|holds| layers.decided(holds));
        let first = decided.next();
        decided.all(|other| Some(other) == first)
    }))
}

fn uses(program: &Program, states: &States, surveyed: &[Surveyed]) -> Vec<LayerUse> {
    let ids = program
        .layers
        .iter()
        .map(|layer| &layer.id)
        .chain(program.dims.iter().map(|dim| &dim.id));
    ids.enumerate()
        .map(|(index, id)| {
            let over_parts = |is_acting: bool| {
                let tallies: Vec<(usize, &Tally)> = surveyed
                    .iter()
                    .enumerate()
                    .filter_map(|(part, found)| {
                        let (holding, acting) = found.uses.get(index)?;
                        Some((part, if is_acting { acting } else { holding }))
                    })
                    .filter(|(_, tally)| tally.first.is_some())
                    .collect();
                in_any(program, states, &tallies)
            };
            let found = match (over_parts(false), over_parts(true)) {
                (_, Some((n_acting, state))) => Use::Acts {
                    n_holding: over_parts(false).map_or(n_acting, |(n_holding, _)| n_holding),
                    n_acting,
                    state,
                },
                (Some((n_holding, state)), None) => Use::NeverActs { n_holding, state },
                (None, None) => Use::NeverHolds,
            };
            LayerUse {
                layer: id.clone(),
                found,
            }
        })
        .collect()
}

/// In how many states something is so in at least one of some parts, and in which first; none for none.
fn in_any(
    program: &Program,
    states: &States,
    tallies: &[(usize, &Tally)],
) -> Option<(u128, State)> {
    if states.n_possible == 0 {
        return None;
    }
    let parts: Vec<usize> = tallies.iter().map(|(part, _)| *part).collect();
    let (mut n_all, mut n_without) = (1_u128, 1_u128);
    for (part, tally) in tallies {
        let n_states = states.parts.get(*part)?.n_states();
        n_all = n_all.saturating_mul(n_states);
        n_without = n_without.saturating_mul(n_states - tally.n_states);
    }
    let n_here = n_all - n_without;
    let witness = tallies
        .iter()
        .filter_map(|(part, tally)| {
            let values = tally.first.as_deref()?;
            Some(states.state_with(program, &[(*part, values)]))
        })
        .min_by_key(|state| state.differences(program).len())?;
    Some((n_here.saturating_mul(states.n_of_others(&parts)), witness))
}

fn orders(program: &Program, states: &States, surveyed: &[Surveyed]) -> Vec<OrderMatters> {
    let mut pairs: Vec<(usize, usize)> = surveyed
        .iter()
        .flat_map(|found| found.orders.iter().map(|(pair, _)| *pair))
        .collect();
    lampwright_timing::sort(&mut pairs);
    pairs.dedup();
    pairs
        .into_iter()
        .filter_map(|(above, below)| {
            let tallies: Vec<(usize, &Tally)> = surveyed
                .iter()
                .enumerate()
                .flat_map(|(part, found)| {
                    found
                        .orders
                        .iter()
                        .filter(|(pair, _)| *pair == (above, below))
                        .map(move |(_, tally)| (part, tally))
                })
                .collect();
            let (n_states, state) = in_any(program, states, &tallies)?;
            Some(OrderMatters {
                above: program.layers.get(above)?.id.clone(),
                below: program.layers.get(below)?.id.clone(),
                n_states,
                state,
            })
        })
        .collect()
}

fn dark_heads(program: &Program, states: &States, surveyed: &[Surveyed]) -> Vec<HeadId> {
    program
        .vehicle
        .heads
        .iter()
        .enumerate()
        .filter(|(index, _)| {
            states.n_possible == 0 || !surveyed.iter().any(|found| found.lit.contains(index))
        })
        .map(|(_, head)| head.id.clone())
        .collect()
}
