//! Continuous saving in the browser's storage.
//!
//! Invariant: every committed step is written within half a second and when the page is left; an unfinished gesture is never written.
//! What nobody has changed yet is not written: a new program gets its key with its first step.
//! Another tab that has the same program open keeps it: what is changed in this one goes to a copy, and neither overwrites the other.

use crate::demos::DEMOS;
use crate::platform::beside;
use crate::platform::clock::{self, Timeout};
use crate::platform::in_place::ChosenFile;
use crate::platform::preferences;
use crate::platform::storage::{self, StorageProblem};
use crate::session::{self, Kept, Removed, ShownLast};
use crate::store::Dispatch;
use crate::tabs::Tabs;
use lampwright_editor::{Action, EditorState, History, TextFormat, Theme, WrittenTexts};
use lampwright_formats::{read_program, write_program};
use lampwright_model::{Edit, PatternId, Program, SignalId, ValueId};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use yew::Callback;

/// How long after a step it is written, in milliseconds.
const SAVE_AFTER_MS: i32 = 250;

/// How often another tab with the same program is asked whether it is still there, in milliseconds.
const ASK_AFTER_MS: i32 = 3_000;

/// Instead of a key, before the index of the demo that is open unchanged.
const DEMO: &str = "demo:";

/// How kept steps are written and read.
const FORMAT: TextFormat = TextFormat {
    write: write_program,
    read: |text| {
        let outcome = read_program(text.as_bytes());
        outcome.program.filter(|_| outcome.problems.is_empty())
    },
};

/// What the page starts with.
pub(crate) struct Start {
    /// The editor.
    pub(crate) editor: Rc<EditorState>,
    /// Where it is kept.
    pub(crate) keeper: Rc<Keeper>,
    /// Key of the kept program that could not be read whole, if so.
    pub(crate) damaged: Option<String>,
    /// Why the first demo could not be read, if so; the program is empty then.
    pub(crate) missing: Option<String>,
}

/// Calls back with the program that was open last, or with the first demo once it is read.
pub(crate) fn start(done: impl FnOnce(Start) + 'static) {
    let mut damaged = None;
    let mut demo = DEMOS.first();
    for slot in session::last_slots() {
        if let Some(text) = session::program_text(&slot) {
            let outcome = read_program(text.as_bytes());
            match outcome.program {
                Some(program) if outcome.problems.is_empty() => {
                    return done(started(program, slot, Some(text)));
                }
                // The kept text stays as it is; the person is asked what to do.
                _ => damaged = Some(slot),
            }
            break;
        }
        // A demo of which nothing is kept before it is changed.
        let index = slot
            .strip_prefix(DEMO)
            .and_then(|index| index.parse::<usize>().ok());
        if let Some(open) = index.and_then(|index| DEMOS.get(index)) {
            demo = Some(open);
            break;
        }
    }
    let path = demo.map_or("", |demo| demo.path);
    beside::read(path, move |text| {
        let (program, missing) = match text {
            Ok(text) => (read_program(text.as_bytes()).program, None),
            Err(found) => (None, Some(found)),
        };
        done(Start {
            damaged,
            missing,
            ..started(program.unwrap_or_default(), session::new_slot(), None)
        });
    });
}

fn started(program: Program, slot: String, text: Option<String>) -> Start {
    let restoring = text.as_ref().map(|text| restoring(&slot, text));
    let keeper = Keeper::new(slot, text);
    keeper.enter();
    // Dark until the person chooses: the app is used at night, beside the vehicle.
    let is_light = session::chosen_theme().unwrap_or(false);
    let mut editor = EditorState::new(Rc::new(program))
        .apply(Action::SetTheme(if is_light {
            Theme::Light
        } else {
            Theme::Dark
        }))
        .apply(Action::SetReducedMotion(preferences::is_motion_reduced()));
    for action in restoring.into_iter().flatten() {
        editor = editor.apply(action);
    }
    Start {
        editor: Rc::new(editor),
        keeper: Rc::new(keeper),
        damaged: None,
        missing: None,
    }
}

/// What brings back what was shown of a kept program, and its steps.
pub(crate) fn restoring(slot: &str, text: &str) -> Vec<Action> {
    let mut actions = Vec::new();
    if let Some(history) =
        session::steps(slot).and_then(|steps| History::from_text(&steps, text, FORMAT))
    {
        actions.push(Action::TakeHistory(Box::new(history)));
    }
    let Some(last) = session::shown_last(slot) else {
        return actions;
    };
    actions.push(Action::ShowDefaultState);
    for (signal, value) in &last.values {
        if let (Ok(signal), Ok(value)) = (SignalId::new(signal), ValueId::new(value)) {
            actions.push(Action::SetSignal(signal, value));
        }
    }
    if let Some(Ok(pattern)) = last.pattern.as_deref().map(PatternId::new) {
        actions.push(Action::ChoosePattern(pattern));
    }
    actions
}

/// Saves the program of one tab.
pub(crate) struct Keeper {
    slot: RefCell<String>,
    /// The text under the key as this tab read or wrote it last; none while the program is not kept.
    text: RefCell<Option<Rc<str>>>,
    /// Texts of the program and of its steps.
    written: RefCell<WrittenTexts>,
    /// Nobody has worked on the program yet, and it can be had again: it is kept with its first step.
    is_untouched: Cell<bool>,
    /// Revision that needs no writing.
    safe: Cell<Option<u64>>,
    /// Revision that was handed out as a file.
    filed: Cell<Option<u64>>,
    /// Where and when the program was saved last; empty before that.
    saved: RefCell<String>,
    /// The file that saving writes in place.
    pub(crate) file: RefCell<Option<ChosenFile>>,
    timer: RefCell<Option<Timeout>>,
    watch: RefCell<Option<Timeout>>,
    /// What the person is to be told beside the program; empty for nothing.
    told: RefCell<String>,
    /// Other tabs with the same program.
    tabs: Tabs,
    /// Programs that the person removed, as long as the page is open.
    pub(crate) removed: RefCell<Vec<Removed>>,
    /// Name that the copy made last is still to get.
    copy_name: RefCell<Option<String>>,
    /// Called when there is something new to tell.
    pub(crate) on_news: RefCell<Callback<()>>,
}

impl Keeper {
    /// Keeps under a key, where this text stands, or nothing yet.
    pub(crate) fn new(slot: String, text: Option<String>) -> Self {
        Self {
            slot: RefCell::new(slot),
            is_untouched: Cell::new(text.is_none()),
            text: RefCell::new(text.map(Rc::from)),
            written: RefCell::default(),
            tabs: Tabs::default(),
            removed: RefCell::default(),
            copy_name: RefCell::default(),
            safe: Cell::new(None),
            filed: Cell::new(None),
            saved: RefCell::default(),
            file: RefCell::default(),
            timer: RefCell::new(None),
            watch: RefCell::new(None),
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

    /// Where and when the program was saved last; empty before that.
    pub(crate) fn saved(&self) -> String {
        self.saved.borrow().clone()
    }

    /// Says where and when the program was saved.
    pub(crate) fn say_saved(&self, words: String) {
        *self.saved.borrow_mut() = words;
        self.on_news.borrow().emit(());
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
        self.leave();
        *self.slot.borrow_mut() = slot;
        *self.text.borrow_mut() = text.map(Rc::from);
        self.is_untouched.set(is_untouched);
        self.copy_name.take();
        self.enter();
        self.saved.borrow_mut().clear();
        self.file.take();
        self.safe.set(None);
        self.filed.set(None);
    }

    /// Remembers which demo is open, so that a reload shows it again; where that fails, the first one is shown.
    pub(crate) fn remember_demo(&self, name: &str) {
        if let Some(index) = DEMOS.iter().position(|demo| demo.name == name) {
            let _ = session::remember_last(&format!("{DEMO}{index}"));
        }
    }

    /// Tells other tabs that the program is open here, if it is kept.
    pub(crate) fn enter(&self) {
        if let Some(slot) = self.kept_slot() {
            self.tabs.enter(&slot);
            preferences::name_slot(&slot);
        }
    }

    /// Tells other tabs that the program is no longer open here.
    pub(crate) fn leave(&self) {
        if let Some(slot) = self.kept_slot() {
            self.tabs.leave(&slot);
            preferences::name_slot("");
        }
    }

    /// Hears what another tab tells.
    pub(crate) fn hear(self: &Rc<Self>, message: &str) {
        if self
            .kept_slot()
            .is_some_and(|slot| self.tabs.hear(message, &slot))
        {
            self.on_news.borrow().emit(());
            self.watch();
        }
    }

    /// Asks the other tab every few seconds whether it is still there.
    fn watch(self: &Rc<Self>) {
        let keeper = self.clone();
        *self.watch.borrow_mut() = Timeout::new(ASK_AFTER_MS, move || {
            if keeper.tabs.has_other()
                && let Some(slot) = keeper.kept_slot()
            {
                if keeper.tabs.ask(&slot) {
                    keeper.on_news.borrow().emit(());
                }
                keeper.watch();
            }
        });
    }

    /// What follows from the program being open in another tab too; none when it is not.
    pub(crate) fn shared(&self) -> Option<&'static str> {
        if self.tabs.is_second() {
            Some("This program is open in another tab too: what you change here goes to a copy")
        } else {
            self.tabs.has_other().then_some(
                "This program is open in another tab too: what is changed there goes to a copy",
            )
        }
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
                if editor.gesture().is_none()
                    && let Some(name) = self.copy_name.take()
                {
                    dispatch.send(Action::Edit {
                        label: "Name the copy".into(),
                        edit: title(editor.program(), &name),
                    });
                }
                true
            }
            Err(problem) => {
                self.written.take();
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
        let mut program = editor.committed_program().clone();
        let mut text = self.written.borrow_mut().text(&program, FORMAT);
        let is_changed = self.text.borrow().as_ref() != Some(&text);
        if is_changed && !is_new && self.is_anothers() {
            let name = session::copy_name(&program.name);
            if let Ok(copy) = program.apply(&title(&program, &name)) {
                program = Rc::new(copy);
                text = (FORMAT.write)(&program).into();
            }
            let slot = session::new_slot();
            session::keep(&slot, &name, &text, &clock::date_and_time())?;
            self.leave();
            *self.slot.borrow_mut() = slot;
            self.tell(format!("{} is open or was changed in another tab: a copy was made of it for what is changed here, {name}", editor.program().name));
            *self.copy_name.borrow_mut() = Some(name);
            *self.text.borrow_mut() = Some(text);
            self.enter();
        } else if is_changed {
            session::keep(&self.slot(), &program.name, &text, &clock::date_and_time())?;
            *self.text.borrow_mut() = Some(text);
        } else {
            session::remember_last(&self.slot())?;
        }
        if is_new {
            self.enter();
            self.remember_shown(editor);
        }
        self.is_untouched.set(false);
        *self.saved.borrow_mut() = format!("Saved in this browser {}", clock::time_of_day());
        let steps = editor
            .history()
            .to_text(&program, FORMAT, &mut self.written.borrow_mut());
        session::keep_steps(&self.slot(), &steps);
        Ok(())
    }

    /// Puts a removed program back; where there is no room for it, it can be put back later.
    ///
    /// # Errors
    /// When its room in storage was taken since.
    pub(crate) fn put_back(&self, index: usize) -> Result<(), StorageProblem> {
        let mut removed = self.removed.borrow_mut();
        if let Some(program) = removed.get(index) {
            session::put_back(program)?;
            removed.remove(index);
        }
        Ok(())
    }

    /// Whether what stands under the key belongs to another tab.
    fn is_anothers(&self) -> bool {
        let kept = session::program_text(&self.slot());
        let is_replaced = kept.is_some() && kept.as_deref() != self.text.borrow().as_deref();
        is_replaced || self.tabs.is_second()
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

/// The edit that gives a program another name.
pub(crate) fn title(program: &Program, name: &str) -> Edit {
    Edit::SetTitle {
        name: name.to_owned(),
        about: program.about.clone(),
    }
}

/// Gives a kept program another name; under a key of its own, or as a copy under a new one.
///
/// # Errors
/// Why not, in plain words.
pub(crate) fn rename_kept(kept: &Kept, name: &str, is_copy: bool) -> Result<(), String> {
    let program = session::program_text(&kept.slot)
        .and_then(|text| (FORMAT.read)(&text))
        .ok_or("it cannot be read whole: open it first")?;
    let renamed = program
        .apply(&title(&program, name))
        .map_err(|error| error.to_string())?;
    let slot = if is_copy {
        session::new_slot()
    } else {
        kept.slot.clone()
    };
    session::put(
        &slot,
        name,
        &write_program(&renamed),
        &clock::date_and_time(),
    )
    .map_err(|problem| problem.text().to_owned())
}
