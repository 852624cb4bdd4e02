//! One edit on a 60-head program, whole and in parts.

use lampwright_analysis::facts::Facts;
use lampwright_analysis::light::{DirectionTable, screen_directions};
use lampwright_analysis::report::FoundIn;
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::{check_state, measure};
use lampwright_editor::preview::safe_speed;
use lampwright_editor::{Action, EditorState};
use lampwright_model::{Drive, State, resolve};
use lampwright_tests::large::{vehicle_edit, vehicle_program};
use std::rc::Rc;
use wasm_bindgen::prelude::wasm_bindgen;

/// An editor with the 60-head program open.
#[wasm_bindgen]
#[derive(Debug)]
pub struct EditBench {
    editor: EditorState,
    table: DirectionTable,
    settings: CheckSettings,
    state: State,
    drive: Drive,
    facts: Facts,
    n_edits: i64,
}

#[wasm_bindgen]
impl EditBench {
    /// Opens the program; what does not change with an edit is made here.
    #[wasm_bindgen(constructor)]
    #[must_use]
    pub fn new() -> Self {
        let editor = EditorState::new(Rc::new(vehicle_program()));
        let settings = CheckSettings::default();
        let program = editor.program();
        let state = editor.shown_state();
        let drive = resolve(program, &state);
        Self {
            table: DirectionTable::new(&program.vehicle, settings.light),
            facts: measure(program, &drive, &settings.measure),
            settings,
            state,
            drive,
            n_edits: 0,
            editor,
        }
    }

    /// Moves a pulse, another one's worth each time: the new document, with the old one kept for undo.
    pub fn edit(&mut self) {
        self.n_edits += 1;
        self.editor = self.editor.apply(Action::Edit {
            label: "Move a pulse".into(),
            edit: vehicle_edit(1 + self.n_edits % 30),
        });
    }

    /// All that the page shows of the new document: what every head does, facts, directions, findings, the speed of the preview; the number of findings.
    #[must_use]
    pub fn results(&self) -> usize {
        self.editor.results().report.findings.len()
    }

    /// Resolving, measuring, screening all directions and running all rules; the number of findings.
    #[must_use]
    pub fn check(&self) -> usize {
        let program = self.editor.program();
        let (_, report) = check_state(
            program,
            FoundIn::DefaultState,
            &self.state,
            &self.table,
            &self.settings,
        );
        report.findings.len()
    }

    /// Resolving alone.
    pub fn resolve(&mut self) {
        self.drive = resolve(self.editor.program(), &self.state);
    }

    /// The speed of the safe preview alone, in per mille of real time.
    #[must_use]
    pub fn safe_speed(&self) -> u16 {
        safe_speed(self.editor.program(), &self.drive).per_mille()
    }

    /// Measuring alone, of what was resolved last.
    pub fn measure(&mut self) {
        self.facts = measure(self.editor.program(), &self.drive, &self.settings.measure);
    }

    /// Screening alone, of what was measured last; the number of directions.
    #[must_use]
    pub fn screen(&self) -> usize {
        let program = self.editor.program();
        screen_directions(
            program,
            &self.facts.courses,
            &self.table,
            &self.settings.screen,
        )
        .directions
        .len()
    }
}

impl Default for EditBench {
    fn default() -> Self {
        Self::new()
    }
}
