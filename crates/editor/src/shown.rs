//! Which state of the signals is shown, and how the operator's controls change it.
//!
//! Values are kept by name, so that they outlive edits of the signals.

use lampwright_model::{
    Control, ControlId, ControlStyle, Program, SignalId, SituationId, State, ValueId,
};

/// The shown state.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Shown {
    values: Vec<(SignalId, ValueId)>,
    chosen: Option<SituationId>,
}

impl Shown {
    /// The first situation of a program, or the default state when it has none.
    #[must_use]
    pub fn first_of(program: &Program) -> Self {
        program
            .situations
            .first()
            .map_or_else(Self::default, |situation| Self {
                values: situation.values.clone(),
                chosen: Some(situation.id.clone()),
            })
    }

    /// The state of a situation; none when there is no such situation.
    #[must_use]
    pub fn situation(program: &Program, id: &SituationId) -> Option<Self> {
        let situation = program.situations.iter().find(|known| known.id == *id)?;
        Some(Self {
            values: situation.values.clone(),
            chosen: Some(id.clone()),
        })
    }

    /// Any state.
    #[must_use]
    pub fn of_state(program: &Program, state: &State) -> Self {
        Self {
            values: state.differences(program),
            chosen: None,
        }
    }

    /// Takes over the new names of values; one that is gone goes by its place.
    pub(crate) fn follow(&mut self, before: &Program, after: &Program) {
        for (id, value) in &mut self.values {
            if let (Some((_, before)), Some((_, after))) = (before.signal(id), after.signal(id))
                && before.values.len() == after.values.len()
                && !after.values.contains(value)
                && let Some(at) = before.values.iter().position(|known| known == value)
                && let Some(name) = after.values.get(at)
            {
                value.clone_from(name);
            }
        }
    }

    /// The state itself.
    #[must_use]
    pub fn state(&self, program: &Program) -> State {
        self.values
            .iter()
            .fold(State::default_of(program), |state, (signal, value)| {
                state.with(program, signal, value)
            })
    }

    /// The situation that was chosen and still holds, else the first one with just this state.
    #[must_use]
    pub fn current_situation<'a>(&self, program: &'a Program) -> Option<&'a SituationId> {
        let state = self.state(program);
        let holds = |id: &SituationId| State::of_situation_id(program, id).as_ref() == Some(&state);
        let mut situations = program.situations.iter().map(|situation| &situation.id);
        if let Some(chosen) = &self.chosen
            && holds(chosen)
        {
            return situations.find(|id| *id == chosen);
        }
        situations.find(|id| holds(id))
    }

    /// With one signal at another value.
    #[must_use]
    pub fn with(&self, signal: &SignalId, value: &ValueId) -> Self {
        let mut shown = self.clone();
        shown.values.retain(|(known, _)| known != signal);
        shown.values.push((signal.clone(), value.clone()));
        shown
    }

    /// Which position a control is in: the last one all of whose values hold.
    #[must_use]
    pub fn position_of(&self, program: &Program, control: &Control) -> Option<usize> {
        let state = self.state(program);
        control.positions.iter().rposition(|position| {
            position
                .sets
                .iter()
                .all(|(signal, value)| state.value(program, signal) == Some(value))
        })
    }

    /// With a control operated.
    #[must_use]
    pub fn pressed(
        &self,
        program: &Program,
        id: &ControlId,
        position: Option<usize>,
    ) -> Option<Self> {
        let control = program.controls.iter().find(|known| known.id == *id)?;
        let n_positions = control.positions.len();
        let to = match control.style {
            ControlStyle::Button => 0,
            ControlStyle::Held => 1,
            ControlStyle::Toggle => match self.position_of(program, control) {
                Some(1) => 0,
                _ => 1,
            },
            ControlStyle::Slide => position.unwrap_or_else(|| {
                self.position_of(program, control)
                    .map_or(0, |at| (at + 1) % n_positions.max(1))
            }),
        };
        self.at_position(control, to)
    }

    /// With a held control let go; none when there is no such control or it is not held down to act.
    #[must_use]
    pub fn released(&self, program: &Program, id: &ControlId) -> Option<Self> {
        let control = program.controls.iter().find(|known| known.id == *id)?;
        (control.style == ControlStyle::Held)
            .then(|| self.at_position(control, 0))
            .flatten()
    }

    fn at_position(&self, control: &Control, position: usize) -> Option<Self> {
        let position = control.positions.get(position)?;
        Some(
            position
                .sets
                .iter()
                .fold(self.clone(), |shown, (signal, value)| {
                    shown.with(signal, value)
                }),
        )
    }
}
