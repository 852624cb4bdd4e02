//! Continuous saving in the browser's storage.
//!
//! Invariant: every committed step is written within half a second and when the page is left; an unfinished gesture is never written.
//! What nobody has changed yet is not written: a new program gets its key with its first step.
//! Another tab that has the same program open keeps it: what is changed in this one goes to a copy, and neither overwrites the other.

use crate::demos::{DEMOS, Source};
use crate::platform::clock::{self, Timeout};
use crate::platform::storage::{self, StorageProblem};
use crate::session::{self, ShownLast};
use crate::store::Dispatch;
use lampwright_editor::{Action, EditorState, Theme};
use lampwright_formats::{read_program, write_program};
use lampwright_model::{PatternId, Program, SignalId, ValueId};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use yew::Callback;

/// How long after a step it is written, in milliseconds.
const SAVE_AFTER_MS: i32 = 250;

/// What the page starts with.
pub(crate) struct Start {
    /// The editor.
    pub(crate) editor: EditorState,
    /// Where it is kept.
    pub(crate) keeper: Keeper,
    /// Key of the kept program that could not be read whole, if so.
    pub(crate) damaged: Option<String>,
}

/// The program that was open last, or the first demo.
pub(crate) fn start() -> Start {
    let mut damaged = None;
    let mut kept = None;
    if let Some((slot, text)) =
        session::last_slot().and_then(|slot| session::program_text(&slot).map(|text| (slot, text)))
    {
        let outcome = read_program(text.as_bytes());
        match outcome.program {
            Some(program) if outcome.problems.is_empty() => kept = Some((slot, text, program)),
            // The kept text stays as it is; the person is asked what to do.
            _ => damaged = Some(slot),
        }
    }
    let (program, keeper) = match kept {
        Some((slot, text, program)) => (program, Keeper::new(slot, Some(text))),
        None => (first_demo(), Keeper::new(session::new_slot(), None)),
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
    for action in restoring(&keeper.slot()) {
        editor = editor.apply(action);
    }
    Start {
        editor,
        keeper,
        damaged,
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
    /// The text under the key as this tab read or wrote it last; none while the program is not kept.
    text: RefCell<Option<String>>,
    /// Nobody has worked on the program yet, and it can be had again: it is kept with its first step.
    is_untouched: Cell<bool>,
    /// Revision that needs no writing.
    safe: Cell<Option<u64>>,
    /// Revision that was handed out as a file.
    filed: Cell<Option<u64>>,
    /// Time of day of the last save; empty before the first.
    saved_at: RefCell<String>,
    timer: RefCell<Option<Timeout>>,
    /// What the person is to be told beside the program; empty for nothing.
    told: RefCell<String>,
    /// Called when there is something new to tell.
    pub(crate) on_news: RefCell<Callback<()>>,
}

impl Keeper {
    /// Keeps under a key, where this text stands, or nothing yet.
    pub(crate) fn new(slot: String, text: Option<String>) -> Self {
        Self {
            slot: RefCell::new(slot),
            is_untouched: Cell::new(text.is_none()),
            text: RefCell::new(text),
            safe: Cell::new(None),
            filed: Cell::new(None),
            saved_at: RefCell::default(),
            timer: RefCell::new(None),
            told: RefCell::default(),
            on_news: RefCell::default(),
        }
    }

    /// The present key.
    pub(crate) fn slot(&self) -> String {
        self.slot.borrow().clone()
    }

    /// The key of the present program, once it is kept.
    pub(crate) fn kept_slot(&self) -> Option<String> {
        self.text.borrow().is_some().then(|| self.slot())
    }

    /// Time of day of the last save; empty before the first.
    pub(crate) fn saved_at(&self) -> String {
        self.saved_at.borrow().clone()
    }

    /// What the person is to be told beside the program; empty for nothing.
    pub(crate) fn told(&self) -> String {
        self.told.borrow().clone()
    }

    /// Tells the person something until they dismiss it; empty for nothing.
    pub(crate) fn tell(&self, words: String) {
        *self.told.borrow_mut() = words;
        self.on_news.borrow().emit(());
    }

    /// Keeps another program from now on, under another key, where this text stands, or nothing yet.
    pub(crate) fn switch_to(&self, slot: String, text: Option<String>, is_untouched: bool) {
        *self.slot.borrow_mut() = slot;
        *self.text.borrow_mut() = text;
        self.is_untouched.set(is_untouched);
        self.saved_at.borrow_mut().clear();
        self.safe.set(None);
        self.filed.set(None);
    }

    /// Takes note that the program was handed out as a file.
    pub(crate) fn note_file(&self, revision: u64) {
        self.filed.set(Some(revision));
    }

    /// Writes shortly, so that several steps in a row are written once.
    pub(crate) fn save_soon(self: &Rc<Self>, dispatch: &Dispatch) {
        let (keeper, dispatch) = (self.clone(), dispatch.clone());
        *self.timer.borrow_mut() = Timeout::new(SAVE_AFTER_MS, move || {
            keeper.save_now(&dispatch);
        });
    }

    /// Writes what is not written yet; whether all work is safe now, here or as a file.
    pub(crate) fn save_now(&self, dispatch: &Dispatch) -> bool {
        let editor = dispatch.live.editor();
        let revision = editor.revision();
        if self.safe.get() == Some(revision) {
            return true;
        }
        let is_untouched = self.is_untouched.get() && editor.history().is_empty();
        let kept = if is_untouched {
            // Said before there is work to lose.
            storage::problem().map_or(Ok(()), Err)
        } else {
            self.write(&editor)
        };
        match kept {
            Ok(()) => {
                self.safe.set(Some(revision));
                dispatch.send(Action::SaveFinished { revision });
                true
            }
            Err(problem) => {
                dispatch.send(Action::SaveFailed {
                    reason: problem.text().to_owned(),
                });
                is_untouched || self.filed.get() == Some(revision)
            }
        }
    }

    fn write(&self, editor: &EditorState) -> Result<(), StorageProblem> {
        let is_new = self.text.borrow().is_none();
        if is_new {
            // Another tab may have taken the key since.
            *self.slot.borrow_mut() = session::new_slot();
        }
        let program = editor.committed_program();
        let text = write_program(program);
        if self.text.borrow().as_ref() == Some(&text) {
            session::remember_last(&self.slot())?;
        } else {
            session::keep(&self.slot(), &program.name, &text, &clock::date_and_time())?;
            *self.text.borrow_mut() = Some(text);
        }
        self.is_untouched.set(false);
        *self.saved_at.borrow_mut() = clock::time_of_day();
        if is_new {
            self.remember_shown(editor);
        }
        Ok(())
    }

    /// Remembers what is shown of the program, once it is kept.
    pub(crate) fn remember_shown(&self, editor: &EditorState) {
        let Some(slot) = self.kept_slot() else {
            return;
        };
        let values = editor
            .shown_state()
            .differences(editor.program())
            .into_iter()
            .map(|(signal, value)| (signal.as_str().to_owned(), value.as_str().to_owned()))
            .collect();
        session::remember_shown(
            &slot,
            &ShownLast {
                pattern: editor.open_pattern_id().map(|id| id.as_str().to_owned()),
                values,
            },
        );
    }
}
