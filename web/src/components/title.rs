//! Name and notes of the program.

use super::notices::question;
use crate::opening::Opener;
use crate::platform::element;
use crate::platform::promise::get;
use crate::tag::{said, tag, text};
use lampwright_editor::Action;
use lampwright_model::Edit;
use yew::prelude::*;

const FORM: &str = "title-form";
const NAME: &str = "program-title";
const NOTES: &str = "program-notes";

/// Asks for the name and the notes of the program.
pub(crate) fn name_and_notes(opener: &Opener, on_close: &Callback<()>) -> Html {
    let editor = opener.dispatch.live.editor();
    let program = editor.program();
    let (closing, dispatch) = (on_close.clone(), opener.dispatch.clone());
    let on_submit = Callback::from(move |event: SubmitEvent| {
        event.prevent_default();
        closing.emit(());
        let editor = dispatch.live.editor();
        let program = editor.program();
        let typed = |id: &str| {
            // A field of several lines has its text under the same name.
            let field = element::<web_sys::Element>(id)?;
            let value = get(&field, "value").ok()?;
            value.as_string()
        };
        let name = typed(NAME).unwrap_or_default().trim().to_owned();
        let about = typed(NOTES).unwrap_or_default();
        let label = if name == program.name {
            "Change notes"
        } else {
            "Rename program"
        };
        if name != program.name || about != program.about {
            dispatch.send(Action::Edit {
                label: label.into(),
                edit: Edit::SetTitle { name, about },
            });
        }
    });
    let body = tag("form", "column")
        .with("id", FORM)
        .on_submit(on_submit)
        .tag(
            tag("label", "field").say("Name").tag(
                tag("input", "input")
                    .with("id", NAME)
                    .with("required", "required")
                    .with("maxlength", "200")
                    .with_text("value", program.name.clone()),
            ),
        )
        .tag(
            tag("label", "field").say("Notes").tag(
                text("textarea", "input", program.about.clone())
                    .with("id", NOTES)
                    .with("rows", "6"),
            ),
        );
    let apply = said("button", "main", "Apply")
        .with("type", "submit")
        .with("form", FORM);
    question(
        "title",
        "Name and notes of the program".into(),
        "Cancel",
        on_close,
        tag("div", "row").tag(apply),
        body,
    )
}
