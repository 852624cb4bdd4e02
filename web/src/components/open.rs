//! The programs one can open without a file: the demos and what this browser keeps.

use super::notices::question;
use crate::demos::DEMOS;
use crate::opening::Opener;
use crate::session::{self, Kept};
use crate::tag::{Tag, button, said, tag, text};
use lampwright_editor::PlatformTask;
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

/// Demos and kept programs.
#[component]
pub(crate) fn Programs(props: &Props) -> Html {
    let update = use_force_update();
    let act = |act: Box<dyn Fn(&Opener)>| {
        let (opener, on_close) = (props.opener.clone(), props.on_close.clone());
        Callback::from(move |_: MouseEvent| {
            on_close.emit(());
            act(&opener);
        })
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
        let (slot, update) = (kept.slot.clone(), update.clone());
        let on_forget = Callback::from(move |_: MouseEvent| {
            session::forget(&slot);
            update.force_update();
        });
        entry(
            kept,
            open_slot.as_deref() == Some(&kept.slot),
            on_open,
            on_forget,
        )
    });
    let none = kept
        .is_empty()
        .then(|| said("p", "quiet", "Nothing is kept yet"));
    let body = tag("div", "column")
        .tag(said(
            "p",
            "text",
            "The open program stays in this browser when another one is opened",
        ))
        .tag(said("h3", "", "New program from a demo"))
        .tag(tag("ul", "column").tags(demos))
        .tag(button("New empty program", act(Box::new(Opener::empty))))
        .tag(said("h3", "", "Kept in this browser"))
        .tags(none.into_iter())
        .tag(tag("ul", "column").tags(entries));
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
    on_forget: Callback<MouseEvent>,
) -> Tag {
    let words = format!(
        "saved {}{}",
        kept.saved,
        if is_open { ", open now" } else { "" }
    );
    let row = tag("li", "row")
        .key(kept.slot.clone())
        .tag(
            text("button", "", kept.name.clone())
                .with("type", "button")
                .flag("disabled", is_open)
                .on_click(on_open),
        )
        .tag(text("span", "quiet", words));
    if is_open {
        return row;
    }
    row.tag(
        said("button", "plain", "Remove")
            .with("type", "button")
            .with_text(
                "aria-label",
                format!("Remove {} saved {}", kept.name, kept.saved),
            )
            .on_click(on_forget),
    )
}
