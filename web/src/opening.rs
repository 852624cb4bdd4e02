//! Opening by picker, drop, paste and list; the present program stays until the new one is accepted.
//!
//! Invariant: work that could not be kept is never given up without asking.

use crate::above::{Above, Broken};
use crate::demos::DEMOS;
use crate::platform::listen::Listener;
use crate::platform::{beside, files};
use crate::platform::{document, element, window};
use crate::saving::{Keeper, restoring};
use crate::session;
use crate::shelf;
use crate::store::Dispatch;
use lampwright_editor::setup::{new_program, with_vehicle_of};
use lampwright_editor::{Action, View};
use lampwright_formats::{MOST_BYTES, read_profile, read_program, write_program};
use lampwright_model::{Problem, Program};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::{ClipboardEvent, DataTransfer, DragEvent, Element, File, HtmlInputElement};
use yew::Callback;

/// Identifier of the hidden file input.
pub(crate) const INPUT: &str = "file-input";

/// A program about to be opened.
#[derive(Clone, Debug, Default)]
pub(crate) struct Next {
    /// The program.
    pub(crate) program: Rc<Program>,
    /// What could not be read of it.
    pub(crate) problems: Vec<Problem>,
    /// Where it came from.
    pub(crate) from: From,
}

/// Where a program comes from.
#[derive(Clone, Debug, Default)]
pub(crate) struct From {
    /// Name of the file, or what to call it; empty for what is made here.
    pub(crate) name: String,
    /// Key and text in this browser, if it is kept already.
    pub(crate) kept: Option<(String, String)>,
    /// It can be had again, so that it is not kept before its first step.
    pub(crate) is_untouched: bool,
}

/// Other files of this app, which are no programs: format, and what to do with them.
const OTHERS: [(&str, &str); 1] = [(
    "lampwright-profile",
    "This is the file of a profile, not of a program: an open program takes it over in the view Rules",
)];

/// The profile a new program starts with, beside the app.
const STARTING_PROFILE: &str = "profiles/starting-set.json";

/// The format of a pattern file, which goes into the pattern library.
const PATTERN: &str = "lampwright-pattern";

/// Takes over programs.
#[derive(Clone)]
pub(crate) struct Opener {
    pub(crate) dispatch: Dispatch,
    pub(crate) keeper: Rc<Keeper>,
    /// Shows something above the page.
    pub(crate) above: Callback<Above>,
}

impl Opener {
    /// Lets the person pick a file.
    pub(crate) fn pick(&self) {
        if let Some(input) = element::<HtmlInputElement>(INPUT) {
            // The same file can be picked twice.
            input.set_value("");
            input.click();
        }
    }

    /// Reads a file and takes it over, or shows its problems.
    pub(crate) fn file(&self, file: &File) {
        let opener = self.clone();
        files::read(file, MOST_BYTES, move |name, bytes| match bytes {
            Ok(bytes) => opener.named(name, &bytes),
            Err(found) => opener.refuse(name, vec![Problem::new("file", "a program file", found)]),
        });
    }

    /// Takes the bytes of a program file over, or shows their problems.
    pub(crate) fn named(&self, name: String, bytes: &[u8]) {
        let from = From {
            name,
            ..From::default()
        };
        self.bytes(from, bytes);
    }

    fn bytes(&self, from: From, bytes: &[u8]) {
        let outcome = read_program(bytes);
        match outcome.program {
            Some(program) if outcome.problems.is_empty() => self.offer(Next {
                program: Rc::new(program),
                problems: Vec::new(),
                from,
            }),
            program => {
                let program = program.filter(has_content).map(Rc::new);
                let start = bytes.get(..bytes.len().min(200)).unwrap_or_default();
                let start = String::from_utf8_lossy(start);
                if program.is_none() && start.contains(PATTERN) {
                    let news = shelf::import(&from.name, bytes).unwrap_or_else(|problem| problem);
                    self.above.emit(Above::Patterns(Some(news.into())));
                    return;
                }
                let instead = OTHERS
                    .iter()
                    .find(|(format, _)| program.is_none() && start.contains(format))
                    .map(|(_, words)| *words);
                self.show_broken(Broken {
                    from,
                    program,
                    problems: outcome.problems,
                    n_more: outcome.n_more_problems,
                    instead,
                    is_first: false,
                });
            }
        }
    }

    fn refuse(&self, name: String, problems: Vec<Problem>) {
        self.show_broken(Broken {
            from: From {
                name,
                ..From::default()
            },
            problems,
            ..Broken::default()
        });
    }

    fn show_broken(&self, broken: Broken) {
        self.dispatch.send(Action::Refuse {
            problems: broken.problems.clone(),
            file_name: Some(broken.from.name.clone()),
        });
        self.above.emit(Above::Broken(Rc::new(broken)));
    }

    /// Opens a program if the work on the present one is safe, and asks otherwise.
    pub(crate) fn offer(&self, next: Next) {
        if self.keeper.save_now(&self.dispatch) {
            self.open(&next);
        } else {
            self.above.emit(Above::Unsaved(Rc::new(next)));
        }
    }

    /// Opens a program; what is not kept of the present one is gone.
    pub(crate) fn open(&self, next: &Next) {
        let kept = next.from.kept.clone().or_else(|| {
            if next.from.is_untouched {
                return None;
            }
            let text = write_program(&next.program);
            Some((session::slot_of(&text)?, text))
        });
        let restoring = kept.as_ref().map(|(slot, text)| restoring(slot, text));
        match kept {
            Some((slot, text)) => self.keeper.switch_to(slot, Some(text), false),
            None => {
                self.keeper
                    .switch_to(session::new_slot(), None, next.from.is_untouched);
            }
        }
        let name = &next.from.name;
        let is_file = !name.is_empty() && next.from.kept.is_none();
        if next.from.is_untouched {
            self.keeper.remember_demo(name);
        }
        // What was asked of the present program has nothing to say of the next.
        self.dispatch.live.under_way.take();
        self.dispatch.send(Action::Open {
            program: next.program.clone(),
            problems: next.problems.clone(),
            file_name: is_file.then(|| name.clone()),
        });
        if !has_content(&next.program) {
            // The vehicle comes first.
            self.dispatch.send(Action::SetView(View::Setup));
        }
        for action in restoring.into_iter().flatten() {
            self.dispatch.send(action);
        }
    }

    /// Opens a demo as a new program.
    pub(crate) fn demo(&self, index: usize) {
        let Some(demo) = DEMOS.get(index) else {
            return;
        };
        let from = From {
            name: demo.name.to_owned(),
            is_untouched: true,
            ..From::default()
        };
        let opener = self.clone();
        beside::read(demo.path, move |text| match text {
            Ok(text) => opener.bytes(from, text.as_bytes()),
            Err(found) => {
                let problem = Problem::new("file", "the demo's file", found);
                opener.refuse(from.name, vec![problem]);
            }
        });
    }

    /// Opens a program with nothing in it but the rules to start with.
    pub(crate) fn empty(&self) {
        let opener = self.clone();
        beside::read(STARTING_PROFILE, move |text| {
            let outcome = text.map(|text| read_profile(text.as_bytes()));
            let trouble = outcome.as_ref().err().cloned();
            let profile = outcome.ok().and_then(|outcome| outcome.profile);
            opener.offer(Next {
                program: Rc::new(new_program(profile.unwrap_or_default())),
                problems: Vec::new(),
                from: From {
                    is_untouched: true,
                    ..From::default()
                },
            });
            if let Some(found) = trouble {
                opener.keeper.tell(format!(
                    "The new program has no rules to be judged by: {found}, or choose rules in the view Rules"
                ));
            }
        });
    }

    /// Opens a new program with the vehicle of the present one.
    pub(crate) fn copy_vehicle(&self) {
        let program = with_vehicle_of(self.dispatch.live.editor().program());
        self.offer(Next {
            program: Rc::new(program),
            ..Next::default()
        });
    }

    /// Opens a program this browser keeps.
    pub(crate) fn kept(&self, slot: &str) {
        if let Some(text) = session::program_text(slot) {
            let bytes = text.clone();
            self.bytes(kept_from(slot, text), bytes.as_bytes());
        }
    }

    /// Opens what is dropped on the page or pasted outside a text field.
    pub(crate) fn listen(&self) -> Vec<Listener> {
        let Some(window) = window() else {
            return Vec::new();
        };
        let (dropping, pasting) = (self.clone(), self.clone());
        vec![
            Listener::typed::<DragEvent>(&window, "dragover", |event| {
                event.prevent_default();
                mark_dropping(true);
            }),
            Listener::typed::<DragEvent>(&window, "dragleave", |event| {
                // Left for something outside the page.
                if event.related_target().is_none() {
                    mark_dropping(false);
                }
            }),
            Listener::typed::<DragEvent>(&window, "drop", move |event| {
                event.prevent_default();
                mark_dropping(false);
                if let Some(data) = event.data_transfer()
                    && !dropping.take(&data, "dropped text")
                {
                    dropping
                        .keeper
                        .tell("Nothing of what was dropped is a file, or the text of one".into());
                }
            }),
            Listener::typed::<ClipboardEvent>(&window, "paste", move |event| {
                let is_text_field = event
                    .target()
                    .and_then(|target| target.dyn_into::<Element>().ok())
                    .is_some_and(|target| {
                        matches!(target.tag_name().as_str(), "INPUT" | "TEXTAREA")
                    });
                if is_text_field {
                    return;
                }
                if let Some(data) = event.clipboard_data()
                    && pasting.take(&data, "pasted text")
                {
                    event.prevent_default();
                }
            }),
        ]
    }

    /// Takes a file, or the text of one, that was dropped or pasted; false when it is neither.
    fn take(&self, data: &DataTransfer, name: &str) -> bool {
        let files = data.files();
        if let Some(file) = files.as_ref().and_then(|files| files.get(0)) {
            let n_files = files.map_or(0, |files| files.length());
            if n_files > 1 {
                self.keeper.tell(format!(
                    "{n_files} files at once: only the first is read, {}",
                    file.name()
                ));
            }
            self.file(&file);
            return true;
        }
        let text = data.get_data("text/plain").unwrap_or_default();
        let is_file = text.trim_start().starts_with('{');
        if is_file {
            self.named(name.into(), text.as_bytes());
        }
        is_file
    }
}

/// A program this browser keeps, as the source of what is read.
pub(crate) fn kept_from(slot: &str, text: String) -> From {
    let name = session::kept()
        .into_iter()
        .find(|kept| kept.slot == slot)
        .map_or_else(|| "a program".into(), |kept| kept.name);
    From {
        name: format!("{name}, kept in this browser"),
        kept: Some((slot.to_owned(), text)),
        is_untouched: false,
    }
}

/// Whether there is anything to use in what could be read.
pub(crate) fn has_content(program: &Program) -> bool {
    let n_things = program.vehicle.heads.len()
        + program.patterns.len()
        + program.signals.len()
        + program.layers.len()
        + program.situations.len();
    n_things > 0
}

fn mark_dropping(is_dropping: bool) {
    if let Some(body) = document().and_then(|document| document.body()) {
        let _ = body.class_list().toggle_with_force("dropping", is_dropping);
    }
}
