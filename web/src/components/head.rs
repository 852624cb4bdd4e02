//! The head of the page: program, files, history, save state, theme, help.

use crate::store::{use_dispatch, use_viewed};
use lampwright_editor::{Action, CommandId, SaveState, Theme};
use yew::prelude::*;

/// Properties of [`Head`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Runs a command of the editor's table.
    pub(crate) on_command: Callback<CommandId>,
    /// Time of day of the last save; empty before the first.
    pub(crate) saved_at: AttrValue,
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
    let history = viewed.history();
    let undo = history.undo_label().map(str::to_owned);
    let redo = history.redo_label().map(str::to_owned);
    let is_light = viewed.theme() == Theme::Light;
    let on_theme = dispatch.callback(move |_: MouseEvent| {
        Action::SetTheme(if is_light { Theme::Dark } else { Theme::Light })
    });
    let has_failed = matches!(viewed.save_state(), SaveState::Failed { .. });
    html! {
        <header class="head">
            <div class="title">
                <h1>{ "Lampwright" }</h1>
                <span class="program" id="program-name">{ viewed.program().name.clone() }</span>
            </div>
            <nav class="row" aria-label="Files">
                <button type="button" onclick={run(CommandId::OpenFile)}>{ "Open file…" }</button>
                <button type="button" onclick={run(CommandId::SaveFile)}>{ "Save file" }</button>
                <button type="button" onclick={run(CommandId::NewProgram)}>{ "Programs…" }</button>
            </nav>
            <div class="row" role="group" aria-label="History">
                <button type="button" id="undo" onclick={run(CommandId::Undo)} disabled={undo.is_none()}>
                    { undo.map_or_else(|| "Undo".to_owned(), |label| format!("Undo: {label}")) }
                </button>
                <button type="button" id="redo" onclick={run(CommandId::Redo)} disabled={redo.is_none()}>
                    { redo.map_or_else(|| "Redo".to_owned(), |label| format!("Redo: {label}")) }
                </button>
            </div>
            <p id="save-state" role="status" class={classes!("saved", has_failed.then_some("is-failed"))}>
                { save_words(viewed.save_state(), &props.saved_at) }
            </p>
            <div class="row end">
                <button type="button" onclick={on_theme}>{ if is_light { "Dark surface" } else { "Light surface" } }</button>
                <button type="button" onclick={run(CommandId::ShowHelp)}>{ "Keys (?)" }</button>
            </div>
        </header>
    }
}

fn save_words(state: &SaveState, saved_at: &str) -> String {
    match state {
        SaveState::Failed { reason } => reason.clone(),
        SaveState::Saved if !saved_at.is_empty() => format!("Saved in this browser {saved_at}"),
        SaveState::Saved => "Not changed yet".into(),
        SaveState::Unsaved | SaveState::Saving => "Saving…".into(),
    }
}
