//! The programs one can open without a file: the demos and what this browser keeps.

use super::notices::question;
use super::timeline::focus;
use crate::demos::DEMOS;
use crate::opening::Opener;
use crate::saving::{rename_kept, title};
use crate::session::{self, Kept};
use crate::tag::{Tag, button, said, tag, text};
use lampwright_editor::{Action, PlatformTask};
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Properties of [`Programs`].
#[derive(Properties)]
pub(crate) struct Props {
    /// Opens what is chosen.
    pub(crate) opener: Opener,
    /// What only the page can do.
    pub(crate) on_task: Callback<PlatformTask>,
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

impl PartialEq for Props {
    fn eq(&self, _: &Self) -> bool {
        // Shown anew whenever the page is: the list may have changed.
        false
    }
}

/// What the person does with the list.
#[derive(Clone, PartialEq, Default)]
struct Doing {
    /// Key of the program whose name is being changed.
    renaming: Option<String>,
    /// What could not be done.
    problem: Option<String>,
}

/// What can be done with a kept program.
#[derive(Clone, Copy)]
enum Deed {
    Rename,
    Duplicate,
    Remove,
}

/// Demos and kept programs.
#[component]
pub(crate) fn Programs(props: &Props) -> Html {
    let doing = use_state(Doing::default);
    use_effect_with(doing.renaming.clone(), |_| focus("new-name"));
    let act = |act: Box<dyn Fn(&Opener)>| {
        let (opener, on_close) = (props.opener.clone(), props.on_close.clone());
        Callback::from(move |_: MouseEvent| {
            on_close.emit(());
            act(&opener);
        })
    };
    let task = |words: &'static str, task: PlatformTask| {
        let (on_task, on_close) = (props.on_task.clone(), props.on_close.clone());
        button(
            words,
            Callback::from(move |_: MouseEvent| {
                on_close.emit(());
                on_task.emit(task);
            }),
        )
    };
    let demos = DEMOS.iter().enumerate().map(|(index, demo)| {
        tag("li", "row")
            .key(demo.name.to_owned())
            .tag(button(
                demo.name,
                act(Box::new(move |opener| opener.demo(index))),
            ))
            .tag(said("span", "quiet", demo.about))
    });
    let open_slot = props.opener.keeper.kept_slot();
    let kept = session::kept();
    let entries = kept.iter().map(|kept| {
        let slot = kept.slot.clone();
        let on_open = act(Box::new(move |opener| opener.kept(&slot)));
        let is_open = open_slot.as_deref() == Some(&kept.slot);
        entry(kept, is_open, on_open, &doing, &props.opener)
    });
    let none = kept
        .is_empty()
        .then(|| said("p", "quiet", "Nothing is kept yet"));
    let removed = props.opener.keeper.removed.borrow();
    let removed = removed.iter().enumerate().map(|(index, removed)| {
        let words = format!("{} was removed", removed.kept.name);
        let (doing, keeper) = (doing.clone(), props.opener.keeper.clone());
        let put_back = Callback::from(move |_: MouseEvent| {
            let result = keeper.put_back(index);
            doing.set(Doing {
                problem: result.err().map(|problem| problem.text().to_owned()),
                ..Doing::default()
            });
        });
        tag("p", "row")
            .with("role", "status")
            .text(words)
            .tag(button("Put it back", put_back))
    });
    let problem = doing
        .problem
        .clone()
        .map(|problem| text("p", "is-refused", problem).with("role", "alert"));
    let body = tag("div", "column")
        .tag(said(
            "p",
            "text",
            "The open program stays in this browser when another one is opened",
        ))
        .tag(
            tag("div", "row")
                .with("role", "group")
                .with("aria-label", "The open program")
                .tag(task("Name and notes…", PlatformTask::NameProgram))
                .tag(task("Save a copy", PlatformTask::SaveCopy))
                .tag(task("Copy link", PlatformTask::CopyLink)),
        )
        .tag(said("h3", "", "New program"))
        .tag(tag("div", "row").tag(button("New empty program", act(Box::new(Opener::empty)))))
        .tag(said("h3", "", "New program from a demo"))
        .tag(tag("ul", "column").tags(demos))
        .tag(said("h3", "", "Kept in this browser"))
        .tags(none.into_iter())
        .tag(tag("ul", "column kept").tags(entries))
        .tags(removed)
        .maybe(problem);
    question(
        "programs",
        "Programs".into(),
        "Close",
        &props.on_close,
        tag("div", ""),
        body,
    )
}

fn entry(
    kept: &Kept,
    is_open: bool,
    on_open: Callback<MouseEvent>,
    doing: &UseStateHandle<Doing>,
    opener: &Opener,
) -> Tag {
    let n_bytes = session::program_text(&kept.slot).map_or(0, |text| text.len());
    let words = format!(
        "saved {}, {} kB{}",
        kept.saved,
        n_bytes.div_ceil(1024),
        if is_open { ", open now" } else { "" }
    );
    let row = tag("li", "row").key(kept.slot.clone());
    if doing.renaming.as_ref() == Some(&kept.slot) {
        return row.tag(name_field(kept, is_open, doing, opener));
    }
    let deeds: [(Deed, &'static str); 3] = [
        (Deed::Rename, "Rename"),
        (Deed::Duplicate, "Duplicate"),
        (Deed::Remove, "Remove"),
    ];
    let deeds = deeds
        .into_iter()
        .filter(|(deed, _)| !(is_open && matches!(deed, Deed::Remove)))
        .map(|(deed, words)| {
            let (kept, doing, opener) = (kept.clone(), doing.clone(), opener.clone());
            said("button", "plain", words)
                .with("type", "button")
                .with_text(
                    "aria-label",
                    format!("{words} {} saved {}", kept.name, kept.saved),
                )
                .on_click(Callback::from(move |_: MouseEvent| {
                    doing.set(done(deed, &kept, &opener));
                }))
        });
    row.tag(
        text("button", "", kept.name.clone())
            .with("type", "button")
            .flag("disabled", is_open)
            .on_click(on_open),
    )
    .tag(text("span", "quiet", words))
    .tags(deeds)
}

fn done(deed: Deed, kept: &Kept, opener: &Opener) -> Doing {
    let mut doing = Doing::default();
    match deed {
        Deed::Rename => doing.renaming = Some(kept.slot.clone()),
        Deed::Duplicate => {
            // With the last steps, if it is the open one.
            opener.keeper.save_now(&opener.dispatch);
            doing.problem = rename_kept(kept, &session::copy_name(&kept.name), true).err();
        }
        Deed::Remove => {
            let removed = session::remove(&kept.slot);
            opener.keeper.removed.borrow_mut().extend(removed);
            // What had no room may have it now.
            opener.keeper.save_now(&opener.dispatch);
        }
    }
    doing
}

/// The name of a program while it is being changed; what is typed counts when the field is left.
fn name_field(kept: &Kept, is_open: bool, doing: &UseStateHandle<Doing>, opener: &Opener) -> Tag {
    let (kept, doing, opener) = (kept.clone(), doing.clone(), opener.clone());
    let (now, before) = (kept.name.clone(), kept.name.clone());
    let on_leave = Callback::from(move |event: FocusEvent| {
        let typed = event
            .target_dyn_into::<HtmlInputElement>()
            .map_or_else(String::new, |input| input.value());
        let name = typed.trim();
        let mut after = Doing::default();
        if !name.is_empty() && name != kept.name {
            if is_open {
                let editor = opener.dispatch.live.editor();
                opener.dispatch.send(Action::Edit {
                    label: "Rename program".into(),
                    edit: title(editor.program(), name),
                });
            } else {
                after.problem = rename_kept(&kept, name, false).err();
            }
        }
        doing.set(after);
    });
    tag("label", "row").say("New name").tag(
        tag("input", "input")
            .with("id", "new-name")
            .with("maxlength", "200")
            .with_text("value", now)
            .on_key(Callback::from(move |event: KeyboardEvent| {
                let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
                    return;
                };
                // What is typed counts when the field is left, unless by Escape.
                match event.key().as_str() {
                    "Enter" => {
                        let _ = input.blur();
                    }
                    "Escape" => input.set_value(&before),
                    _ => {}
                }
            }))
            .on_blur(on_leave),
    )
}
