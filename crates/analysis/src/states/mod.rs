//! Every possible state of a program, counted exactly and grouped by what decides its heads.
//!
//! Signals that never meet, neither in a condition nor on a head, make parts of their own: the states of the program are all combinations of the states of its parts, so that their numbers multiply and none has to be listed.
//!
//! Invariant: pure; counts are exact, and a program with more combinations than 128 bits count is refused; no state is sampled or left out.
//! Absent: judging what the heads show in these states, which the rules do.

mod counted;
mod inquiry;
mod judged;
mod part;
mod proof;
mod survey;

pub use inquiry::{Answers, Inquiry, Progress};
pub use judged::{FoundOver, OverStates};
pub use part::{Decided, Part, PartDrive};
pub use proof::{Proof, prove};
pub use survey::{LayerUse, OrderMatters, Use};

use counted::TooMany;
use lampwright_model::{HeadId, Program, SignalId, State};
use std::fmt;
use survey::Survey;

/// All possible states of a program, and what follows from them.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct States {
    /// How many combinations of values there are, impossible ones included.
    pub n_all: u128,
    /// How many of them are possible.
    pub n_possible: u128,
    /// The parts that do not depend on each other; every combination of their states is a state.
    pub parts: Vec<Part>,
    /// What becomes of each layer, in order.
    pub layers: Vec<LayerUse>,
    /// What becomes of each dim layer, in order.
    pub dims: Vec<LayerUse>,
    /// Signals of which no value changes anything in any possible state.
    pub idle_signals: Vec<SignalId>,
    /// Heads that are dark in every possible state.
    pub dark_heads: Vec<HeadId>,
    /// Pairs of layers that would do something else in the other order.
    pub orders: Vec<OrderMatters>,
}

/// Why the states could not be counted.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum TooManyStates {
    /// Too many ways have to be told apart in one part.
    Joined {
        /// Signals of the part.
        signals: Vec<SignalId>,
    },
    /// There are more combinations of values than 128 bits count.
    Uncountable,
}

impl fmt::Display for TooManyStates {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Joined { signals } => {
                let names: Vec<&str> = signals.iter().map(SignalId::as_str).collect();
                write!(
                    formatter,
                    "too many combinations of {} depend on each other to be counted; declare impossible conditions, or part the layers that join them",
                    names.join(", ")
                )
            }
            Self::Uncountable => formatter.write_str(
                "the signals have more combinations than can be counted; take out signals or values that no layer needs",
            ),
        }
    }
}

impl States {
    /// Counts and groups the states of a program.
    ///
    /// # Errors
    /// When too many ways have to be told apart in one part, or there are more combinations than 128 bits count.
    pub fn of(program: &Program) -> Result<Self, TooManyStates> {
        let mut survey = Survey::new(program);
        while survey.step(program)? {}
        Ok(survey.finish(program))
    }

    /// How many distinct drives there are: ways in which layers decide and dim layers scale all heads.
    #[must_use]
    pub fn n_drives(&self) -> u128 {
        self.parts.iter().fold(1, |product, part| {
            product.saturating_mul(part.drives.len() as u128)
        })
    }

    /// Each distinct drive with a state in which it is reached, in the fewest words, and the number of states it stands for.
    pub fn drives<'a>(&'a self, program: &'a Program) -> impl Iterator<Item = (State, u128)> + 'a {
        let mut next = self.first_places();
        std::iter::from_fn(move || {
            let places = next.take()?;
            let drive = self.drive_at(program, &places);
            next = self.next_places(places);
            drive
        })
    }

    /// The first combination of one drive of each part; none where nothing is possible.
    fn first_places(&self) -> Option<Vec<usize>> {
        (self.n_possible > 0).then(|| vec![0; self.parts.len()])
    }

    /// The next combination of one drive of each part; none after the last.
    fn next_places(&self, mut places: Vec<usize>) -> Option<Vec<usize>> {
        for (place, part) in places.iter_mut().zip(&self.parts) {
            *place += 1;
            if *place < part.drives.len() {
                return Some(places);
            }
            *place = 0;
        }
        None
    }

    fn drive_at(&self, program: &Program, places: &[usize]) -> Option<(State, u128)> {
        let mut state = State::default_of(program);
        let mut n_states: u128 = 1;
        for (part, place) in self.parts.iter().zip(places) {
            let drive = part.drives.get(*place)?;
            state = part.put(program, &state, &drive.values);
            n_states = n_states.saturating_mul(drive.n_states);
        }
        Some((state, n_states))
    }

    /// A state in which some parts are as given and all others in the fewest words that are possible.
    pub(crate) fn state_with(&self, program: &Program, given: &[(usize, &[usize])]) -> State {
        let mut state = State::default_of(program);
        for (index, part) in self.parts.iter().enumerate() {
            let values = given
                .iter()
                .find(|(known, _)| *known == index)
                .map(|(_, values)| *values)
                .or_else(|| part.drives.first().map(|drive| drive.values.as_slice()));
            if let Some(values) = values {
                state = part.put(program, &state, values);
            }
        }
        state
    }

    /// How many states there are of all parts but some.
    pub(crate) fn n_of_others(&self, parts: &[usize]) -> u128 {
        self.parts
            .iter()
            .enumerate()
            .filter(|(index, _)| !parts.contains(index))
            .fold(1, |product, (_, part)| {
                product.saturating_mul(part.n_states())
            })
    }
}

fn too_many(program: &Program, signals: &[usize]) -> impl FnOnce(TooMany) -> TooManyStates {
    let signals = signals
        .iter()
        .filter_map(|index| program.signals.get(*index))
        .map(|signal| signal.id.clone())
        .collect();
    move |_| TooManyStates::Joined { signals }
}
