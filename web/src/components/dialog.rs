//! A modal dialog: the browser's own, so that focus stays inside and Escape closes it.

use crate::platform::listen::Listener;
use web_sys::HtmlDialogElement;
use yew::prelude::*;

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
    html! {
        <dialog ref={node} id={props.id.clone()} aria-labelledby={title_id.clone()}>
            <div class="column">
                <div class="row spread">
                    <h2 id={title_id}>{ props.title.clone() }</h2>
                    <div class="row">
                        { props.buttons.clone() }
                        <button type="button" onclick={on_close}>{ props.close.clone() }</button>
                    </div>
                </div>
                { props.children.clone() }
            </div>
        </dialog>
    }
}
