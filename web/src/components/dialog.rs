//! A modal dialog: the browser's own, so that focus stays inside and Escape closes it.

use crate::later::take_typed;
use crate::platform::listen::Listener;
use crate::tag::{component, tag, text};
use web_sys::HtmlDialogElement;
use yew::prelude::*;

/// A dialog with words on the button that closes it.
pub(crate) fn dialog(
    id: &'static str,
    title: String,
    close: &'static str,
    on_close: &Callback<()>,
    children: Html,
) -> Html {
    component::<Dialog>(Props {
        id: AttrValue::Static(id),
        title: title.into(),
        on_close: on_close.clone(),
        close: AttrValue::Static(close),
        children,
        buttons: Html::default(),
    })
}

/// Properties of [`Dialog`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Identifier, unique on the page.
    pub(crate) id: AttrValue,
    /// The title.
    pub(crate) title: AttrValue,
    /// Called when the person closes it.
    pub(crate) on_close: Callback<()>,
    /// Words on the button that closes it.
    #[prop_or(AttrValue::Static("Close"))]
    pub(crate) close: AttrValue,
    /// What it shows.
    pub(crate) children: Html,
    /// Buttons beside the one that closes it.
    #[prop_or_default]
    pub(crate) buttons: Html,
}

/// A dialog that is open as long as it is rendered.
#[component]
pub(crate) fn Dialog(props: &Props) -> Html {
    let node = use_node_ref();
    {
        let (node, on_close) = (node.clone(), props.on_close.clone());
        use_effect_with((), move |()| {
            let dialog = node.cast::<HtmlDialogElement>();
            let listener = dialog.as_ref().map(|dialog| {
                if !dialog.open() {
                    // Refused only for a dialog outside the page.
                    let _ = dialog.show_modal();
                }
                // What was typed before it was there was for it alone.
                take_typed();
                Listener::new(dialog, "cancel", move |event| {
                    event.prevent_default();
                    on_close.emit(());
                })
            });
            move || {
                drop(listener);
                if let Some(dialog) = dialog {
                    dialog.close();
                }
            }
        });
    }
    let on_close = {
        let on_close = props.on_close.clone();
        Callback::from(move |_: MouseEvent| on_close.emit(()))
    };
    let title_id = format!("{}-title", props.id);
    let close = text("button", "", props.close.to_string())
        .with("type", "button")
        .on_click(on_close);
    let head = tag("div", "row spread")
        .tag(text("h2", "", props.title.to_string()).with_text("id", title_id.clone()))
        .tag(tag("div", "row").child(props.buttons.clone()).tag(close));
    tag("dialog", "")
        .node(&node)
        .with_text("id", props.id.to_string())
        .with_text("aria-labelledby", title_id)
        .tag(tag("div", "column").tag(head).child(props.children.clone()))
        .done()
}
