//! Everything that is said of all states, in steps, so that whoever asks can do something else in between.
//!
//! Invariant: all steps together give what [`States::of`], [`prove`](super::prove) and judging each drive give.
//! Absent: a clock; whoever calls decides how many steps to do at once.

use super::proof::Proving;
use super::survey::Survey;
use super::{OverStates, Proof, States, TooManyStates};
use crate::check::check_state;
use crate::light::DirectionTable;
use crate::report::FoundIn;
use crate::rules::CheckSettings;
use lampwright_model::Program;

/// What is known of all states of a program so far.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answers {
    /// The states.
    pub states: States,
    /// What became of the guarantees, in order, as far as they were looked at.
    pub proofs: Vec<Proof>,
    /// What the rules say of the drives judged so far.
    pub judged: OverStates,
}

/// How far an inquiry is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Progress {
    /// States are being counted.
    Counting,
    /// This guarantee is being proven, of so many.
    Proving(usize, usize),
    /// So many distinct drives are judged, of so many.
    Judging(u128, u128),
    /// There is nothing left to do.
    Done,
}

/// An inquiry into all states of a program that stays the same.
pub struct Inquiry {
    settings: CheckSettings,
    survey: Option<Survey>,
    answers: Option<Answers>,
    proving: Option<Proving>,
    /// The drive to be judged next, as one of each part; none after the last.
    places: Option<Vec<usize>>,
}

impl Inquiry {
    /// Into the states of a program.
    #[must_use]
    pub fn new(program: &Program, settings: CheckSettings) -> Self {
        Self {
            settings,
            survey: Some(Survey::new(program)),
            answers: None,
            proving: None,
            places: None,
        }
    }

    /// What is known so far; none while states are being counted.
    #[must_use]
    pub fn answers(&self) -> Option<&Answers> {
        self.answers.as_ref()
    }

    /// How far it is.
    #[must_use]
    pub fn progress(&self, program: &Program) -> Progress {
        match &self.answers {
            None => Progress::Counting,
            Some(answers) if answers.proofs.len() < program.guarantees.len() => {
                Progress::Proving(answers.proofs.len() + 1, program.guarantees.len())
            }
            Some(answers) if self.places.is_some() => {
                Progress::Judging(answers.judged.n_drives as u128, answers.states.n_drives())
            }
            Some(_) => Progress::Done,
        }
    }

    /// Does the next step; false when there is none left.
    ///
    /// All steps are given the program, and the table of its vehicle.
    ///
    /// # Errors
    /// When the states cannot be counted.
    pub fn step(
        &mut self,
        program: &Program,
        table: &DirectionTable,
    ) -> Result<bool, TooManyStates> {
        if let Some(mut survey) = self.survey.take() {
            if survey.step(program)? {
                self.survey = Some(survey);
            } else {
                let states = survey.finish(program);
                self.places = states.first_places();
                self.answers = Some(Answers {
                    states,
                    proofs: Vec::new(),
                    judged: OverStates::default(),
                });
            }
            return Ok(true);
        }
        let Some(answers) = &mut self.answers else {
            return Ok(false);
        };
        if let Some(guarantee) = program.guarantees.get(answers.proofs.len()) {
            let proof = match self.proving.take() {
                None => match Proving::of(program, &answers.states, guarantee) {
                    Ok(proving) => {
                        self.proving = Some(proving);
                        None
                    }
                    Err(proof) => Some(proof),
                },
                Some(mut proving) => {
                    if proving.step(program, guarantee, &self.settings.measure) {
                        self.proving = Some(proving);
                        None
                    } else {
                        Some(proving.finish())
                    }
                }
            };
            answers.proofs.extend(proof);
            return Ok(true);
        }
        let Some(places) = self.places.take() else {
            return Ok(false);
        };
        if let Some((state, n_states)) = answers.states.drive_at(program, &places) {
            let found_in = FoundIn::State(state.clone());
            let (_, report) = check_state(program, found_in, &state, table, &self.settings);
            answers.judged.add(program, &state, n_states, report);
            self.places = answers.states.next_places(places);
        }
        Ok(true)
    }
}
