//! What the rules say of every distinct drive, put together.
//!
//! Invariant: the order in which drives are added changes nothing.
//! Absent: running the rules, which [`check_state`](crate::check_state) does for each drive; rules over the program as a whole, which do not look at one state.

use crate::report::{Finding, FoundIn, Report, WorstDirection};
use crate::screening::Band;
use lampwright_model::{Program, State};
use std::cmp::Reverse;

/// Findings and screening over all distinct drives that were added.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct OverStates {
    /// How many drives were added.
    pub n_drives: usize,
    /// How many states they stand for.
    pub n_states: u128,
    /// Each finding once, the gravest first.
    pub findings: Vec<FoundOver>,
    /// Of each band in the worst direction how many states there are, slowest first; what is dark has none.
    pub bands: Vec<(Band, u128)>,
    /// The worst direction of all, with its state in the fewest words.
    pub worst: Option<(WorstDirection, State)>,
    /// In how many states at least one direction could not be screened.
    pub n_not_screened: u128,
}

/// A finding that stands for the same one in other states.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FoundOver {
    /// The gravest; among equals the one farthest outside its limit, then the one in the fewest words.
    pub finding: Finding,
    /// In how many drives it is found.
    pub n_drives: usize,
    /// In how many states.
    pub n_states: u128,
}

impl OverStates {
    /// Adds the report of one drive, judged in a state of its own that stands for so many.
    pub fn add(&mut self, program: &Program, state: &State, n_states: u128, report: Report) {
        self.n_drives += 1;
        self.n_states = self.n_states.saturating_add(n_states);
        for screened in &report.screened {
            if screened.n_not_screened > 0 {
                self.n_not_screened = self.n_not_screened.saturating_add(n_states);
            }
            let Some(worst) = screened.worst else {
                continue;
            };
            match self.bands.iter_mut().find(|(band, _)| *band == worst.band) {
                Some((_, n_known)) => *n_known = n_known.saturating_add(n_states),
                None => self.bands.push((worst.band, n_states)),
            }
            let key = |(worst, state): &(WorstDirection, State)| {
                let n_away = state.differences(program).len();
                (
                    (worst.band.rank(), worst.n, worst.n_red),
                    Reverse((n_away, state.indices().to_vec())),
                )
            };
            let here = (worst, state.clone());
            if self
                .worst
                .as_ref()
                .is_none_or(|known| key(&here) > key(known))
            {
                self.worst = Some(here);
            }
        }
        lampwright_timing::sort_by(&mut self.bands, |one, other| {
            one.0.rank().cmp(&other.0.rank())
        });
        let mut counted: Vec<usize> = Vec::new();
        for mut finding in report.findings {
            if finding.found_in != FoundIn::Program {
                finding.found_in = FoundIn::State(state.clone());
            }
            match self
                .findings
                .iter()
                .position(|known| is_same(&known.finding, &finding))
            {
                Some(index) => {
                    if let Some(known) = self.findings.get_mut(index) {
                        // A drive can break one rule at one place by more than one source.
                        if !counted.contains(&index) {
                            known.n_drives += 1;
                            known.n_states = known.n_states.saturating_add(n_states);
                            counted.push(index);
                        }
                        if weight(program, &finding) < weight(program, &known.finding) {
                            known.finding = finding;
                        }
                    }
                }
                None => {
                    counted.push(self.findings.len());
                    self.findings.push(FoundOver {
                        finding,
                        n_drives: 1,
                        n_states,
                    });
                }
            }
        }
    }

    /// Puts the findings in order: the gravest first, then by code and place.
    #[must_use]
    pub fn sorted(mut self) -> Self {
        lampwright_timing::sort_by(&mut self.findings, |one, other| {
            let key = |found: &FoundOver| {
                let finding = &found.finding;
                (
                    !finding.counts(),
                    Reverse(finding.severity),
                    finding.code,
                    finding.place.clone(),
                    finding.head.clone(),
                    finding.lane.clone(),
                    finding.source,
                )
            };
            key(one).cmp(&key(other))
        });
        self
    }
}

/// Whether two findings of different states are one to a person.
fn is_same(one: &Finding, other: &Finding) -> bool {
    one.code == other.code
        && one.place == other.place
        && one.lane == other.lane
        && one.head == other.head
        && one.source == other.source
        && one.counts() == other.counts()
}

/// The least stands for the others.
fn weight(program: &Program, finding: &Finding) -> impl Ord {
    let state = match &finding.found_in {
        FoundIn::State(state) => (state.differences(program).len(), state.indices().to_vec()),
        _ => (0, Vec::new()),
    };
    (
        Reverse(finding.severity),
        finding.margin,
        state,
        finding.message.clone(),
    )
}
