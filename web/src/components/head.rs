//! The head of the page: program, files, history, save state, theme, help.

use crate::store::{use_dispatch, use_viewed};
use crate::tag::{Tag, button, said, tag, text};
use lampwright_editor::{Action, CommandId, SaveState, Theme};
use yew::prelude::*;

/// Properties of [`Head`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Runs a command of the editor's table.
    pub(crate) on_command: Callback<CommandId>,
    /// Where and when the program was saved last; empty before that.
    pub(crate) saved: AttrValue,
}

/// The head of the page.
#[component]
pub(crate) fn Head(props: &Props) -> Html {
    let (Some(dispatch), Some(viewed)) = (use_dispatch(), use_viewed()) else {
        return Html::default();
    };
    let run = |id: CommandId| {
        let on_command = props.on_command.clone();
        Callback::from(move |_: MouseEvent| on_command.emit(id))
    };
    let command = |words: &'static str, id: CommandId| button(words, run(id));
    let step = |words: &'static str, id: &'static str, command_id, label: Option<&str>| {
        let button = command(words, command_id)
            .with("id", id)
            .flag("disabled", label.is_none());
        match label {
            Some(label) => button.text(format!(": {label}")),
            None => button,
        }
    };
    let history = viewed.history();
    let is_light = viewed.theme() == Theme::Light;
    let on_theme = dispatch.callback(move |_: MouseEvent| {
        Action::SetTheme(if is_light { Theme::Dark } else { Theme::Light })
    });
    let has_failed = matches!(viewed.save_state(), SaveState::Failed { .. });
    let files: [(&'static str, CommandId); 3] = [
        ("Open file…", CommandId::OpenFile),
        ("Save file", CommandId::SaveFile),
        ("Programs…", CommandId::NewProgram),
    ];
    tag("header", "head")
        .tag(
            tag("div", "title").tag(said("h1", "", "Lampwright")).tag(
                text("button", "plain program", viewed.program().name.clone())
                    .with("type", "button")
                    .with("id", "program-name")
                    .with("title", "Name and notes of the program")
                    .on_click(run(CommandId::NameProgram)),
            ),
        )
        .tag(
            tag("nav", "row")
                .with("aria-label", "Files")
                .tags(files.into_iter().map(|(words, id)| command(words, id)))
                .tag(command("Build pattern…", CommandId::BuildPattern))
                .tag(command("Library…", CommandId::ShowLibrary))
                .tag(command("Step table…", CommandId::StepTables)),
        )
        .tag(
            tag("div", "row end")
                .tag(button(
                    if is_light {
                        "Dark theme"
                    } else {
                        "Light theme"
                    },
                    on_theme,
                ))
                .tag(command("Keys (?)", CommandId::ShowHelp)),
        )
        .tag(
            tag("div", "row history")
                .with("role", "group")
                .with("aria-label", "History")
                .tag(step("Undo", "undo", CommandId::Undo, history.undo_label()))
                .tag(step("Redo", "redo", CommandId::Redo, history.redo_label())),
        )
        .tag(save_state(viewed.save_state(), &props.saved).with(
            "class",
            if has_failed {
                "saved is-failed"
            } else {
                "saved"
            },
        ))
        .done()
}

fn save_state(state: &SaveState, saved: &str) -> Tag {
    let words = match state {
        SaveState::Failed { reason } => format!("Not saved: {reason}"),
        SaveState::Saved if !saved.is_empty() => saved.to_owned(),
        SaveState::Saved => "Not changed yet".into(),
        SaveState::Unsaved | SaveState::Saving => "Saving…".into(),
    };
    text("p", "", words)
        .with("id", "save-state")
        .with("role", "status")
}
