//! Continuous saving in the browser's storage.
//!
//! Invariant: every committed step is written within half a second and when the page is left; an unfinished gesture is never written.
//! Another tab that saves the same program gets its own copy beside this one: neither overwrites the other.

use crate::demos::{DEMOS, Source};
use crate::platform::clock::{self, Timeout};
use crate::session::{self, ShownLast};
use crate::store::Dispatch;
use lampwright_editor::{Action, EditorState, Theme};
use lampwright_formats::{read_program, write_program};
use lampwright_model::{PatternId, Problem, Program, SignalId, ValueId};
use std::cell::{Cell, RefCell};
use std::rc::Rc;

/// How long after a step it is written, in milliseconds.
const SAVE_AFTER_MS: i32 = 250;

/// What the page starts with.
pub(crate) struct Start {
    /// The editor.
    pub(crate) editor: EditorState,
    /// Key the program is kept under.
    pub(crate) slot: String,
    /// What was wrong with the kept program.
    pub(crate) problems: Vec<Problem>,
}

/// The program that was open last, or the first demo.
pub(crate) fn start() -> Start {
    let kept = session::last_slot()
        .and_then(|slot| session::program_text(&slot).map(|text| (slot, text)))
        .map(|(slot, text)| (slot, read_program(text.as_bytes())));
    let (program, slot, problems) = match kept {
        Some((slot, outcome)) => match outcome.program {
            Some(program) if outcome.problems.is_empty() => (program, slot, Vec::new()),
            // The kept text stays as it is; what could be read goes on under a key of its own.
            Some(program) => (program, session::new_slot(), outcome.problems),
            None => (first_demo(), session::new_slot(), outcome.problems),
        },
        None => (first_demo(), session::new_slot(), Vec::new()),
    };
    // Dark until the person chooses: the app is used at night, beside the vehicle.
    let is_light = session::chosen_theme().unwrap_or(false);
    let mut editor = EditorState::new(Rc::new(program))
        .apply(Action::SetTheme(if is_light {
            Theme::Light
        } else {
            Theme::Dark
        }))
        .apply(Action::SetReducedMotion(
            crate::platform::preferences::is_motion_reduced(),
        ));
    for action in restoring(&slot) {
        editor = editor.apply(action);
    }
    Start {
        editor,
        slot,
        problems,
    }
}

fn first_demo() -> Program {
    DEMOS
        .first()
        .and_then(|demo| match demo.source {
            Source::Within(text) => read_program(text.as_bytes()).program,
            Source::Beside(_) => None,
        })
        .unwrap_or_default()
}

/// What brings back what was shown of a kept program.
pub(crate) fn restoring(slot: &str) -> Vec<Action> {
    let Some(last) = session::shown_last(slot) else {
        return Vec::new();
    };
    let pattern = last
        .pattern
        .and_then(|pattern| PatternId::new(&pattern).ok())
        .map(Action::ChoosePattern);
    let values = last.values.iter().filter_map(|(signal, value)| {
        Some(Action::SetSignal(
            SignalId::new(signal).ok()?,
            ValueId::new(value).ok()?,
        ))
    });
    std::iter::once(Action::ShowDefaultState)
        .chain(values)
        .chain(pattern)
        .collect()
}

/// Saves the program of one tab.
pub(crate) struct Keeper {
    slot: RefCell<String>,
    /// Revision written last under the present key.
    written: Cell<Option<u64>>,
    /// Another tab wrote the same key.
    is_shared: Cell<bool>,
    timer: RefCell<Option<Timeout>>,
}

impl Keeper {
    /// Keeps under a key.
    pub(crate) fn new(slot: String) -> Self {
        Self {
            slot: RefCell::new(slot),
            written: Cell::new(None),
            is_shared: Cell::new(false),
            timer: RefCell::new(None),
        }
    }

    /// The present key.
    pub(crate) fn slot(&self) -> String {
        self.slot.borrow().clone()
    }

    /// Keeps another program from now on, under another key.
    pub(crate) fn switch_to(&self, slot: String) {
        *self.slot.borrow_mut() = slot;
        self.written.set(None);
        self.is_shared.set(false);
    }

    /// Takes note that another tab wrote a key.
    pub(crate) fn note_foreign_write(&self, key: &str) {
        if key == session::key(&self.slot()) {
            self.is_shared.set(true);
        }
    }

    /// Writes shortly, so that several steps in a row are written once.
    pub(crate) fn save_soon(
        self: &Rc<Self>,
        dispatch: &Dispatch,
        on_saved: impl Fn(String) + 'static,
    ) {
        let (keeper, dispatch) = (self.clone(), dispatch.clone());
        *self.timer.borrow_mut() =
            Timeout::new(SAVE_AFTER_MS, move || keeper.save_now(&dispatch, on_saved));
    }

    /// Writes what is not written yet.
    pub(crate) fn save_now(&self, dispatch: &Dispatch, on_saved: impl Fn(String)) {
        let editor = dispatch.live.editor();
        let revision = editor.revision();
        if self.written.get() == Some(revision) {
            return;
        }
        if self.is_shared.take() {
            *self.slot.borrow_mut() = session::new_slot();
        }
        let program = editor.committed_program();
        let kept = session::keep(
            &self.slot(),
            &program.name,
            &write_program(program),
            &clock::date_and_time(),
        );
        match kept {
            Ok(()) => {
                self.written.set(Some(revision));
                on_saved(clock::time_of_day());
                dispatch.send(Action::SaveFinished { revision });
            }
            Err(problem) => dispatch.send(Action::SaveFailed {
                reason: problem.text().to_owned(),
            }),
        }
    }

    /// Remembers what is shown of the program.
    pub(crate) fn remember_shown(&self, editor: &EditorState) {
        let values = editor
            .shown_state()
            .differences(editor.program())
            .into_iter()
            .map(|(signal, value)| (signal.as_str().to_owned(), value.as_str().to_owned()))
            .collect();
        session::remember_shown(
            &self.slot(),
            &ShownLast {
                pattern: editor.open_pattern_id().map(|id| id.as_str().to_owned()),
                values,
            },
        );
    }
}
