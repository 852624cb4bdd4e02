//! Step tables for a controller: what, on which tick, in which form, what rounding does; and a table read back as a pattern.
//!
//! Invariant: the rounding statement stands beside the table it belongs to; a table that is read back is named first, and is one step of the history.

use super::dialog::dialog;
use super::fields::{WHOLE, decimal};
use super::findings::counted;
use super::profile::{Picked, file_field};
use super::repair::{Field, FieldProps, field};
use super::rules::value_of;
use super::table::{micros, milliseconds};
use super::timeline::focus_soon;
use crate::platform::promise::{call, get, then};
use crate::platform::{files, window};
use crate::store::Dispatch;
use crate::tag::{button, component, said, tag, text};
use lampwright_editor::{Action, View, add_read, read_steps, step_subjects, step_text};
use lampwright_model::Pattern;
use lampwright_timing::Micros;
use std::rc::Rc;
use wasm_bindgen::JsValue;
use yew::prelude::*;

/// Properties of [`Steps`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Reaches the program.
    pub(crate) dispatch: Dispatch,
    /// Closes the dialog.
    pub(crate) on_close: Callback<()>,
}

/// Identifier of the field for the name of what was read.
const NAME: &str = "steps-name";

/// What is asked for: value of the subject, tick as it was typed, whether as C.
#[derive(Clone, PartialEq)]
struct Asked {
    subject: String,
    tick: Option<Micros>,
    is_c: bool,
}

/// The dialog.
#[component]
pub(crate) fn Steps(props: &Props) -> Html {
    let dispatch = props.dispatch.clone();
    let asked = use_state(|| {
        let editor = props.dispatch.live.editor();
        let subjects = step_subjects(&editor);
        Asked {
            subject: subjects
                .into_iter()
                .next()
                .map(|(value, _)| value)
                .unwrap_or_default(),
            tick: Some(
                editor
                    .open_pattern()
                    .map_or(Micros::from_ms(10), |open| open.tick),
            ),
            is_c: false,
        }
    });
    let news = use_state(Vec::<String>::new);
    let read = use_state(|| None::<Rc<Pattern>>);
    // Judging all states twice takes its time, so it is done once for what is asked.
    let made = use_memo((*asked).clone(), |asked| {
        let tick = asked
            .tick
            .ok_or("a number with at most three decimals wanted")?;
        step_text(&dispatch.live.editor(), &asked.subject, tick, asked.is_c)
    });
    let change = |alter: fn(&mut Asked, String)| {
        let asked = asked.clone();
        Callback::from(move |event: Event| {
            let mut next = (*asked).clone();
            alter(&mut next, value_of(&event));
            asked.set(next);
        })
    };
    let editor = dispatch.live.editor();
    let subjects = step_subjects(&editor).into_iter().map(|(value, words)| {
        let is_chosen = value == asked.subject;
        text("option", "", words)
            .with_text("value", value)
            .flag("selected", is_chosen)
    });
    let on_read = {
        let (read, news) = (read.clone(), news.clone());
        Callback::from(move |(name, bytes): Picked| {
            let found = bytes
                .map_err(|why| vec![why])
                .and_then(|bytes| read_steps(&name, &bytes));
            match found {
                Ok(pattern) => {
                    news.set(Vec::new());
                    read.set(Some(Rc::new(pattern)));
                    focus_soon(NAME);
                }
                Err(problems) => {
                    read.set(None);
                    news.set(problems);
                }
            }
        })
    };
    let (told, on_close) = (news.clone(), props.on_close.clone());
    let naming = (*read).clone().map(|pattern| {
        let shown = pattern.clone();
        let on_submit = Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let program = dispatch.live.editor().committed_program().clone();
            match add_read(&program, &pattern, &field(NAME)) {
                Ok((label, edit, id)) => {
                    on_close.emit(());
                    dispatch.send(Action::SetView(View::Timeline));
                    dispatch.send(Action::Edit { label, edit });
                    dispatch.send(Action::ChoosePattern(id));
                }
                Err(why) => told.set(vec![why]),
            }
        });
        let name = component::<Field>(FieldProps {
            id: AttrValue::Static(NAME),
            kind: "text",
            value: shown.label.clone(),
            is_required: true,
            is_disabled: false,
            on_change: Callback::noop(),
        });
        let lanes = counted(shown.lanes.len(), "lane");
        tag("form", "row")
            .on_submit(on_submit)
            .tag(said("label", "field grow", "Name of the pattern").child(name))
            .tag(text("span", "quiet", format!("{lanes}, {}", shown.period)))
            .tag(said("button", "main", "Add pattern").with("type", "submit"))
    });
    let mut body = tag("div", "column").tag(
        tag("div", "row")
            .tag(
                said("label", "row", "Table of ").tag(
                    tag("select", "")
                        .with("id", "steps-subject")
                        .with("autofocus", "autofocus")
                        .on_change(change(|asked, value| asked.subject = value))
                        .tags(subjects),
                ),
            )
            .tag(
                said("label", "row", "Tick ")
                    .tag(
                        decimal(tag("input", "input"), WHOLE)
                            .with("id", "steps-tick")
                            .value(asked.tick.map_or_else(String::new, milliseconds))
                            .on_change(change(|asked, value| asked.tick = micros(&value))),
                    )
                    .say(" ms"),
            )
            .tag(
                said("label", "row", "Form ").tag(
                    tag("select", "")
                        .with("id", "steps-form")
                        .on_change(change(|asked, value| asked.is_c = value == "c"))
                        .tag(
                            said("option", "", "CSV")
                                .with("value", "csv")
                                .flag("selected", true),
                        )
                        .tag(said("option", "", "C array").with("value", "c")),
                ),
            ),
    );
    body = match &*made {
        Err(why) => body.tag(text("p", "is-refused", why.clone()).with("role", "alert")),
        Ok(made) => {
            let name = files::file_name(&made.name);
            let ending = if asked.is_c { ".c" } else { ".csv" };
            let name = format!("{}{ending}", name.trim_end_matches(".json"));
            let (handed, copied, told) = (made.text.clone(), made.text.clone(), news.clone());
            let download = Callback::from(move |_: MouseEvent| {
                // What the browser refuses it says itself.
                let _ = files::download(&name, &handed);
            });
            let copy = Callback::from(move |_: MouseEvent| {
                let told = told.clone();
                copy(&copied, move |is_copied| {
                    let words = if is_copied {
                        "Copied"
                    } else {
                        "This browser refused to copy; select the text of the table instead"
                    };
                    told.set(vec![words.into()]);
                });
            });
            let notes = made.notes.iter().map(|note| text("li", "", note.clone()));
            body.tag(
                tag("div", "")
                    .with("id", "steps-notes")
                    .with("role", "status")
                    .tag(tag("ul", "bullets").tags(notes)),
            )
            .tag(
                said("label", "field", "Table").tag(
                    tag("textarea", "input code")
                        .with("id", "steps-text")
                        .with("rows", "12")
                        .with("readonly", "readonly")
                        .value(made.text.clone()),
                ),
            )
            .tag(
                tag("p", "row")
                    .tag(button("Download", download).with("class", "main"))
                    .tag(button("Copy", copy)),
            )
        }
    };
    let news = news.iter().map(|words| text("li", "", words.clone()));
    let body = body
        .tag(file_field(
            "steps-file",
            "Read a table in CSV back as a pattern ",
            ".csv",
            on_read,
        ))
        .maybe(naming)
        .tag(
            tag("div", "")
                .with("id", "steps-news")
                .with("role", "status")
                .tag(tag("ul", "bullets").tags(news)),
        );
    dialog(
        "steps",
        "Step table for a controller".into(),
        "Close",
        &props.on_close,
        body.done(),
    )
}

/// Puts a text on the clipboard and says whether it is there.
pub(crate) fn copy(text: &str, done: impl FnOnce(bool) + 'static) {
    let copied = window()
        .ok_or(JsValue::NULL)
        .and_then(|window| get(&window, "navigator"))
        .and_then(|navigator| get(&navigator, "clipboard"))
        .and_then(|clipboard| call(&clipboard, "writeText", &[JsValue::from_str(text)]));
    then(copied, move |copied| done(copied.is_ok()));
}
