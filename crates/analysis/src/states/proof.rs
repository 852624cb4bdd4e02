//! Guarantees over all possible states: proven, or refuted with a state.
//!
//! Invariant: "proven" means that every possible state in which the guarantee speaks was covered; where that could not be done it is said.

use super::States;
use super::part::{Conditions, Decided, Outline, PartLayers, count, put};
use crate::measure::{MeasureSettings, measure};
use crate::rules::why_broken;
use lampwright_model::{Condition, Guarantee, Must, Program, State, resolve};

/// Most distinct drives that are measured for one guarantee.
const MOST_DRIVES: usize = 1 << 14;

/// What became of a guarantee over all possible states.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Proof {
    /// It holds in every possible state it speaks of.
    Proven {
        /// How many states these are.
        n_states: u128,
    },
    /// It speaks of no possible state.
    SpeaksOfNone,
    /// It is broken in some states.
    Refuted {
        /// In how many.
        n_states: u128,
        /// One of them, in the fewest words.
        state: State,
        /// What breaks it there.
        why: String,
    },
    /// There are too many drives to look at, or to count.
    Open {
        /// How many drives differ in what matters, if that could be counted.
        n_drives: Option<usize>,
    },
}

/// Proves or refutes a guarantee of the program, whose states these are.
#[must_use]
pub fn prove(
    program: &Program,
    states: &States,
    guarantee: &Guarantee,
    settings: &MeasureSettings,
) -> Proof {
    match Proving::of(program, states, guarantee) {
        Ok(mut proving) => {
            while proving.step(program, guarantee, settings) {}
            proving.finish()
        }
        Err(proof) => proof,
    }
}

/// A guarantee being proven, drive after drive.
pub(super) struct Proving {
    /// Signals that bear on it.
    signals: Vec<usize>,
    /// All others in the fewest words that are possible.
    default: State,
    /// Of each drive of the heads it is about the number of states, and values of the signals; the next one last.
    waiting: Vec<(u128, Vec<usize>)>,
    n_others: u128,
    n_speaks: u128,
    n_broken: u128,
    first: Option<(usize, State, String)>,
}

impl Proving {
    /// What is to be looked at; or the proof, where nothing is.
    pub(super) fn of(
        program: &Program,
        states: &States,
        guarantee: &Guarantee,
    ) -> Result<Self, Proof> {
        let conditions = Conditions::of(program);
        let heads: Vec<usize> = if matches!(guarantee.must, Must::TotalCurrentAtMost(_)) {
            (0..program.vehicle.heads.len()).collect()
        } else {
            program.heads_of(&guarantee.heads)
        };
        let (involved, outline) = bearing(program, states, guarantee, &heads);
        let layers = PartLayers::of(program, &conditions, &outline);
        let counted = count(
            program,
            &conditions,
            &outline,
            &layers,
            Some(&guarantee.when),
        )
        .map_err(|_| Proof::Open { n_drives: None })?;
        let mut drives: Vec<(Vec<Decided>, u128, Vec<usize>)> = counted
            .into_iter()
            .filter(|state| state.holds.last() == Some(&true))
            .map(|state| (layers.decided(&state.holds), state.n_states, state.values))
            .collect();
        // Equal ones keep their order, in which fewest words come first.
        lampwright_timing::sort_by(&mut drives, |one, other| one.0.cmp(&other.0));
        drives.dedup_by(|next, kept| {
            let is_same = next.0 == kept.0;
            if is_same {
                kept.1 = kept.1.saturating_add(next.1);
            }
            is_same
        });
        if drives.len() > MOST_DRIVES {
            return Err(Proof::Open {
                n_drives: Some(drives.len()),
            });
        }
        let n_speaks = drives
            .iter()
            .fold(0_u128, |sum, drive| sum.saturating_add(drive.1));
        let n_others = states.n_of_others(&involved);
        if n_speaks.saturating_mul(n_others) == 0 {
            return Err(Proof::SpeaksOfNone);
        }
        Ok(Self {
            signals: outline.signals,
            default: states.state_with(program, &[]),
            waiting: drives
                .into_iter()
                .map(|(_, n_states, values)| (n_states, values))
                .collect(),
            n_others,
            n_speaks,
            n_broken: 0,
            first: None,
        })
    }

    /// Measures the next drive; false when there is none left.
    pub(super) fn step(
        &mut self,
        program: &Program,
        guarantee: &Guarantee,
        settings: &MeasureSettings,
    ) -> bool {
        let Some((n_states, values)) = self.waiting.pop() else {
            return false;
        };
        let state = put(program, &self.signals, &self.default, &values);
        let facts = measure(program, &resolve(program, &state), settings);
        if let Some(why) = why_broken(program, &facts, guarantee) {
            self.n_broken = self.n_broken.saturating_add(n_states);
            let n_away = state.differences(program).len();
            let is_first = self.first.as_ref().is_none_or(|(n_known, known, _)| {
                (n_away, state.indices()) < (*n_known, known.indices())
            });
            if is_first {
                self.first = Some((n_away, state, why));
            }
        }
        true
    }

    /// What became of it, after the last step.
    pub(super) fn finish(self) -> Proof {
        match self.first {
            None => Proof::Proven {
                n_states: self.n_speaks.saturating_mul(self.n_others),
            },
            Some((_, state, why)) => Proof::Refuted {
                n_states: self.n_broken.saturating_mul(self.n_others),
                state,
                why,
            },
        }
    }
}

/// The parts that bear on a guarantee about some heads, by index, and as one.
fn bearing(
    program: &Program,
    states: &States,
    guarantee: &Guarantee,
    heads: &[usize],
) -> (Vec<usize>, Outline) {
    let signals = signals_of(program, &guarantee.when);
    let involved: Vec<usize> = states
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| {
            part.heads.iter().any(|head| heads.contains(head))
                || part.signals.iter().any(|signal| signals.contains(signal))
        })
        .map(|(index, _)| index)
        .collect();
    let mut outline = Outline::default();
    for part in involved.iter().filter_map(|index| states.parts.get(*index)) {
        outline.signals.extend(&part.signals);
        outline.heads.extend(&part.heads);
    }
    outline.heads.retain(|head| heads.contains(head));
    lampwright_timing::sort(&mut outline.signals);
    lampwright_timing::sort(&mut outline.heads);
    (involved, outline)
}

fn signals_of(program: &Program, condition: &Condition) -> Vec<usize> {
    condition
        .0
        .iter()
        .flat_map(|alternative| &alternative.0)
        .filter_map(|(signal, _)| program.signal(signal))
        .map(|(index, _)| index)
        .collect()
}
