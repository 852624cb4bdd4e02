//! One state of a program with everything rules look at, measured once.

use crate::facts::Facts;
use crate::light::{
    DirectionTable, LightSettings, ScreenSettings, ScreenedDirections, screen_directions,
};
use crate::measure::{MeasureSettings, measure};
use crate::report::FoundIn;
use lampwright_model::{Drive, Program, RuleCode, State, resolve};

/// What may be chosen about judging.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct CheckSettings {
    /// About measuring.
    pub measure: MeasureSettings,
    /// Where observers stand.
    pub light: LightSettings,
    /// About screening.
    pub screen: ScreenSettings,
}

/// One state, resolved, measured and screened.
#[derive(Clone, Debug)]
pub struct Context<'a> {
    /// The program.
    pub program: &'a Program,
    /// Which state this is.
    pub found_in: FoundIn,
    /// What every head does.
    pub drive: Drive,
    /// What was measured.
    pub facts: Facts,
    /// The screening toward every direction.
    pub screened: ScreenedDirections,
}

impl<'a> Context<'a> {
    /// Resolves, measures and screens a state; `table` is that of the program's vehicle.
    #[must_use]
    pub fn of(
        program: &'a Program,
        found_in: FoundIn,
        state: &State,
        table: &DirectionTable,
        settings: &CheckSettings,
    ) -> Self {
        Self::of_drive(program, found_in, resolve(program, state), table, settings)
    }

    /// Measures and screens a drive of the program's heads, such as one on the tick of a controller.
    #[must_use]
    pub fn of_drive(
        program: &'a Program,
        found_in: FoundIn,
        drive: Drive,
        table: &DirectionTable,
        settings: &CheckSettings,
    ) -> Self {
        let facts = measure(program, &drive, &settings.measure);
        let screened = screen_directions(program, &facts.courses, table, &settings.screen);
        Self {
            program,
            found_in,
            drive,
            facts,
            screened,
        }
    }
}

/// All judged states together.
#[derive(Clone, Copy, Debug)]
pub struct Whole<'a, 'p> {
    /// The program.
    pub program: &'p Program,
    /// The judged states that the profile puts under the rule, the default first.
    pub contexts: &'a [&'a Context<'p>],
    /// Whether these are the default state and every situation; false when a single state is judged for live feedback.
    pub is_complete: bool,
    /// For each waiver of the program whether it accepted a finding of the rules run before.
    pub waivers_used: &'a [bool],
    /// The rules run before this one.
    pub rules_run: &'a [RuleCode],
}
