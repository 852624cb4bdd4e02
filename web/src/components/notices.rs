//! What was wrong with a text, what is not safe, and what to do about it.

use super::dialog::{Dialog, Props};
use crate::above::Broken;
use crate::opening::{From, Next, Opener};
use crate::platform::files;
use crate::tag::{Tag, button, tag, text};
use lampwright_editor::PlatformTask;
use lampwright_model::Program;
use std::rc::Rc;
use yew::prelude::*;
use yew::virtual_dom::{Key, VComp};

/// A dialog that asks something: its answers stand beside the one that changes nothing.
pub(crate) fn question(
    id: &'static str,
    title: String,
    close: &'static str,
    on_close: &Callback<()>,
    answers: Tag,
    body: Tag,
) -> Html {
    let props = Props {
        id: AttrValue::Static(id),
        title: title.into(),
        on_close: on_close.clone(),
        close: AttrValue::Static(close),
        children: body.done(),
        buttons: answers.done(),
    };
    // By its key, so that one that follows another opens afresh.
    VComp::new::<Dialog>(Rc::new(props), Some(Key::from(id))).into()
}

/// A button that closes the dialog and does something.
fn answer(words: &'static str, on_close: &Callback<()>, act: impl Fn() + 'static) -> Tag {
    let on_close = on_close.clone();
    button(
        words,
        Callback::from(move |_: MouseEvent| {
            on_close.emit(());
            act();
        }),
    )
}

/// The problems of a text with their paths in plain words.
pub(crate) fn broken(broken: &Rc<Broken>, opener: &Opener, on_close: &Callback<()>) -> Html {
    let name = &broken.from.name;
    let is_kept = broken.from.kept.is_some();
    let title = match (broken.instead, broken.problems.len() + broken.n_more) {
        (Some(_), _) => format!("{name} is no program"),
        (None, 1) => format!("{name}: 1 problem"),
        (None, n) => format!("{name}: {n} problems"),
    };
    let (using, opener) = (broken.clone(), opener.clone());
    let on_use = move || {
        if let Some(program) = &using.program {
            opener.offer(Next {
                program: program.clone(),
                problems: using.problems.clone(),
                // As a new program: the text it comes from stays as it is.
                from: From {
                    name: using.from.name.clone(),
                    ..From::default()
                },
            });
        }
    };
    let words = if is_kept {
        "Open what could be read as a new program"
    } else {
        "Use what could be read"
    };
    let use_it = broken
        .program
        .is_some()
        .then(|| answer(words, on_close, on_use).with("class", "main"));
    let download = broken.from.kept.clone().map(|(_, text)| {
        let name = files::file_name(name);
        button(
            "Download the kept text",
            Callback::from(move |_: MouseEvent| {
                // What the browser refuses it says itself.
                let _ = files::download(&name, &text);
            }),
        )
    });
    let mut body = tag("div", "column").tag(text("p", "text", what_now(broken, is_kept)));
    if broken.instead.is_none() {
        let more =
            (broken.n_more > 0).then(|| text("li", "", format!("and {} more", broken.n_more)));
        let problems = broken.problems.iter().map(|problem| {
            tag("li", "")
                .tag(text("code", "", problem.path.clone()))
                .text(format!(
                    ": found {}, expected {}",
                    problem.found, problem.expected
                ))
        });
        body = body.tag(
            tag("ol", "problems")
                .with("tabindex", "0")
                .with("aria-label", "Problems")
                .tags(problems)
                .tags(more.into_iter()),
        );
    }
    question(
        "problems",
        title,
        if broken.is_first {
            "Start with a demo"
        } else {
            "Keep the present program"
        },
        on_close,
        tag("div", "row")
            .tags(use_it.into_iter())
            .tags(download.into_iter()),
        body,
    )
}

fn what_now(broken: &Broken, is_kept: bool) -> String {
    let mut words = match (broken.instead, &broken.program) {
        (Some(instead), _) => instead.to_owned(),
        (None, None) => "Nothing of it could be read as a program".into(),
        (None, Some(program)) => readable(program),
    };
    words.push_str(if is_kept {
        ". The kept text stays in this browser as it is"
    } else if broken.program.is_some() {
        ". The present program stays until this one is accepted, and is kept in this browser afterwards"
    } else {
        "; the present program is untouched"
    });
    words
}

fn readable(program: &Program) -> String {
    format!(
        "Could be read: {} heads, {} patterns, {} signals, {} layers, {} situations",
        program.vehicle.heads.len(),
        program.patterns.len(),
        program.signals.len(),
        program.layers.len(),
        program.situations.len()
    )
}

/// Asks before work that could not be kept gives way to another program.
pub(crate) fn unsaved(
    next: &Rc<Next>,
    opener: &Opener,
    on_task: &Callback<PlatformTask>,
    on_close: &Callback<()>,
) -> Html {
    let (first, second) = (opener.clone(), opener.clone());
    let (after_download, at_once) = (next.clone(), next.clone());
    let on_task = on_task.clone();
    let download = answer("Download and open", on_close, move || {
        on_task.emit(PlatformTask::SaveCopy);
        first.open(&after_download);
    })
    .with("class", "main");
    let open = answer("Open without saving", on_close, move || {
        second.open(&at_once);
    });
    let editor = opener.dispatch.live.editor();
    let name = &editor.program().name;
    question(
        "unsaved",
        "The present program is not saved".into(),
        "Cancel",
        on_close,
        tag("div", "row").tag(download).tag(open),
        tag("div", "").tag(text(
            "p",
            "text",
            format!("This browser could not keep the last changes of {name}. Opening {} takes its place: download it first, or they are gone", next.program.name),
        )),
    )
}

/// Shows a link that the browser would not copy by itself.
pub(crate) fn link(address: &str, on_close: &Callback<()>) -> Html {
    let field = tag("input", "input")
        .with("id", "link")
        .with("readonly", "readonly")
        .with_text("value", address.to_owned());
    question(
        "link-dialog",
        "Link to this program".into(),
        "Close",
        on_close,
        tag("div", ""),
        tag("label", "field")
            .say("This browser copies nothing by itself here: select the link and copy it")
            .tag(field),
    )
}
