//! Opening by picker, drop, paste and list; the present program stays until the new one is accepted.

use crate::components::notices::Broken;
use crate::demos::{DEMOS, Source};
use crate::platform::listen::Listener;
use crate::platform::{beside, files};
use crate::platform::{document, element, window};
use crate::saving::{Keeper, restoring};
use crate::session;
use crate::store::Dispatch;
use lampwright_editor::Action;
use lampwright_formats::{MOST_BYTES, read_program};
use lampwright_model::{Parts, Problem, Program};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::{ClipboardEvent, DragEvent, Element, File, HtmlInputElement};
use yew::Callback;

/// Identifier of the hidden file input.
pub(crate) const INPUT: &str = "file-input";

/// Takes over programs.
#[derive(Clone)]
pub(crate) struct Opener {
    pub(crate) dispatch: Dispatch,
    pub(crate) keeper: Rc<Keeper>,
    /// Writes what is not written yet of the present program.
    pub(crate) flush: Callback<()>,
    /// Shows the problems of a file.
    pub(crate) on_broken: Callback<Rc<Broken>>,
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
            Ok(bytes) => opener.bytes(name, &bytes),
            Err(found) => opener.refuse(name, vec![Problem::new("file", "a program file", found)]),
        });
    }

    /// Takes the bytes of a program file over, or shows their problems.
    pub(crate) fn bytes(&self, name: String, bytes: &[u8]) {
        let outcome = read_program(bytes);
        match outcome.program {
            Some(program) if outcome.problems.is_empty() => {
                self.accept(Rc::new(program), Vec::new(), Some(name));
            }
            program => {
                self.dispatch.send(Action::Refuse {
                    problems: outcome.problems.clone(),
                    file_name: Some(name.clone()),
                });
                self.on_broken.emit(Rc::new(Broken {
                    name,
                    program: program.map(Rc::new),
                    problems: outcome.problems,
                    n_more: outcome.n_more_problems,
                }));
            }
        }
    }

    fn refuse(&self, name: String, problems: Vec<Problem>) {
        self.dispatch.send(Action::Refuse {
            problems: problems.clone(),
            file_name: Some(name.clone()),
        });
        self.on_broken.emit(Rc::new(Broken {
            name,
            program: None,
            problems,
            n_more: 0,
        }));
    }

    /// Takes a program over under a key of its own; the present one is written first.
    pub(crate) fn accept(
        &self,
        program: Rc<Program>,
        problems: Vec<Problem>,
        file_name: Option<String>,
    ) {
        self.flush.emit(());
        self.keeper.switch_to(session::new_slot());
        self.dispatch.send(Action::Open {
            program,
            problems,
            file_name,
        });
    }

    /// Opens a demo as a new program.
    pub(crate) fn demo(&self, index: usize) {
        let Some(demo) = DEMOS.get(index) else {
            return;
        };
        let name = demo.name.to_owned();
        match demo.source {
            Source::Within(text) => self.bytes(name, text.as_bytes()),
            Source::Beside(path) => {
                let opener = self.clone();
                beside::read(path, move |text| match text {
                    Ok(text) => opener.bytes(name, text.as_bytes()),
                    Err(found) => {
                        opener.refuse(name, vec![Problem::new("file", "the demo's file", found)]);
                    }
                });
            }
        }
    }

    /// Opens an empty program.
    pub(crate) fn empty(&self) {
        let parts = Parts {
            name: "New program".into(),
            ..Parts::default()
        };
        self.accept(Rc::new(Program::admit(parts).0), Vec::new(), None);
    }

    /// Opens a program this browser keeps.
    pub(crate) fn kept(&self, slot: &str) {
        let Some(text) = session::program_text(slot) else {
            return;
        };
        let outcome = read_program(text.as_bytes());
        match outcome.program {
            Some(program) if outcome.problems.is_empty() => {
                self.flush.emit(());
                self.keeper.switch_to(slot.to_owned());
                self.dispatch.send(Action::Open {
                    program: Rc::new(program),
                    problems: Vec::new(),
                    file_name: None,
                });
                for action in restoring(slot) {
                    self.dispatch.send(action);
                }
            }
            _ => self.bytes("kept program".into(), text.as_bytes()),
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
                let file = event
                    .data_transfer()
                    .and_then(|data| data.files())
                    .and_then(|files| files.get(0));
                if let Some(file) = file {
                    dropping.file(&file);
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
                let Some(data) = event.clipboard_data() else {
                    return;
                };
                if let Some(file) = data.files().and_then(|files| files.get(0)) {
                    event.prevent_default();
                    pasting.file(&file);
                    return;
                }
                let text = data.get_data("text/plain").unwrap_or_default();
                if text.trim_start().starts_with('{') {
                    event.prevent_default();
                    pasting.bytes("pasted text".into(), text.as_bytes());
                }
            }),
        ]
    }
}

fn mark_dropping(is_dropping: bool) {
    if let Some(body) = document().and_then(|document| document.body()) {
        let _ = body.class_list().toggle_with_force("dropping", is_dropping);
    }
}
