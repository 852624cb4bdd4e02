//! The programs one can open without a file: the demos and what this browser keeps.

use super::dialog::Dialog;
use crate::demos::{DEMOS, Demo};
use crate::session::{self, Kept};
use yew::prelude::*;

/// Properties of [`Programs`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Key of the open program.
    pub(crate) slot: AttrValue,
    /// Opens a demo by its index.
    pub(crate) on_demo: Callback<usize>,
    /// Opens a kept program by its key.
    pub(crate) on_kept: Callback<String>,
    /// Opens an empty program.
    pub(crate) on_empty: Callback<()>,
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

/// Demos and kept programs.
#[component]
pub(crate) fn Programs(props: &Props) -> Html {
    let kept = use_state(session::kept);
    let forget = |slot: &str| {
        let (kept, slot) = (kept.clone(), slot.to_owned());
        Callback::from(move |_: MouseEvent| {
            session::forget(&slot);
            kept.set(session::kept());
        })
    };
    let on_empty = {
        let on_empty = props.on_empty.clone();
        Callback::from(move |_: MouseEvent| on_empty.emit(()))
    };
    html! {
        <Dialog id="programs" title="Programs" on_close={props.on_close.clone()}>
            <p class="text">{ "The open program stays in this browser when another one is opened" }</p>
            <h3>{ "New program from a demo" }</h3>
            <ul class="column">{ for DEMOS.iter().enumerate().map(|(index, demo)| demo_entry(props, index, demo)) }</ul>
            <button type="button" onclick={on_empty}>{ "New empty program" }</button>
            <h3>{ "Kept in this browser" }</h3>
            if kept.is_empty() {
                <p class="quiet">{ "Nothing is kept yet" }</p>
            }
            <ul class="column">{ for kept.iter().map(|kept| kept_entry(props, kept, forget(&kept.slot))) }</ul>
        </Dialog>
    }
}

fn demo_entry(props: &Props, index: usize, demo: &Demo) -> Html {
    let on_open = {
        let on_demo = props.on_demo.clone();
        Callback::from(move |_: MouseEvent| on_demo.emit(index))
    };
    html! {
        <li class="row" key={demo.name}>
            <button type="button" onclick={on_open}>{ demo.name }</button>
            <span class="quiet">{ demo.about }</span>
        </li>
    }
}

fn kept_entry(props: &Props, kept: &Kept, on_forget: Callback<MouseEvent>) -> Html {
    let is_open = kept.slot == props.slot.as_str();
    let on_open = {
        let (on_kept, slot) = (props.on_kept.clone(), kept.slot.clone());
        Callback::from(move |_: MouseEvent| on_kept.emit(slot.clone()))
    };
    html! {
        <li class="row" key={kept.slot.clone()}>
            <button type="button" onclick={on_open} disabled={is_open}>{ kept.name.clone() }</button>
            <span class="quiet">{ format!("saved {}{}", kept.saved, if is_open { ", open now" } else { "" }) }</span>
            if !is_open {
                <button type="button" class="plain" onclick={on_forget} aria-label={format!("Remove {} saved {}", kept.name, kept.saved)}>{ "Remove" }</button>
            }
        </li>
    }
}
