//! Bars above the page: work that is not saved, a second tab, what was left out of a file.
//!
//! Invariant: a bar stays until its cause is gone or the person dismisses it.

use crate::handing::save_copy;
use crate::opening::Opener;
use crate::tag::{button, said, tag, text, together};
use lampwright_editor::{Action, EditorState, SaveState};
use yew::prelude::*;

/// What the person has to know before they go on.
pub(crate) fn notices(editor: &EditorState, opener: &Opener) -> Html {
    let mut bars = Vec::new();
    if let SaveState::Failed { reason } = editor.save_state() {
        let saving = opener.clone();
        let words = format!("Not saved: {reason}. The work is kept while this page is open");
        bars.push(
            tag("div", "notice is-grave")
                .with("role", "alert")
                .tag(text("p", "", words))
                .tag(
                    button(
                        "Download a copy",
                        Callback::from(move |_: MouseEvent| save_copy(&saving)),
                    )
                    .with("class", "main"),
                ),
        );
    }
    if let Some(words) = opener.keeper.shared() {
        bars.push(
            tag("div", "notice")
                .with("id", "shared")
                .with("role", "status")
                .tag(said("p", "", words)),
        );
    }
    let told = opener.keeper.told();
    if !told.is_empty() {
        let keeper = opener.keeper.clone();
        bars.push(
            tag("div", "notice")
                .with("id", "told")
                .with("role", "status")
                .tag(text("p", "", told))
                .tag(button(
                    "Dismiss",
                    Callback::from(move |_: MouseEvent| keeper.tell(String::new())),
                )),
        );
    }
    let left_out = editor
        .notices()
        .iter()
        .filter(|notice| !notice.is_refusal)
        .count();
    if left_out > 0 {
        let words = format!("{left_out} problems of the opened file: what is listed was left out");
        let problems = editor
            .notices()
            .iter()
            .map(|notice| text("li", "", notice.problem.to_string()));
        bars.push(
            tag("div", "notice")
                .tag(
                    tag("details", "")
                        .tag(text("summary", "", words))
                        .tag(tag("ul", "").tags(problems)),
                )
                .tag(button(
                    "Dismiss",
                    opener
                        .dispatch
                        .callback(|_: MouseEvent| Action::DismissNotices),
                )),
        );
    }
    together(bars.into_iter())
}
