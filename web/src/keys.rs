//! Keys that work from anywhere: stopping the preview first, then the commands of the editor's table.
//!
//! Invariant: while the preview plays, Space and Escape stop it before any element sees the key.

use crate::components::fields::NOW;
use crate::components::steps::copy;
use crate::components::timeline::focus_soon;
use crate::later::{is_dialog_coming, type_ahead};
use crate::platform::clock::Timeout;
use crate::platform::listen::Listener;
use crate::platform::{document, window};
use crate::store::Dispatch;
use lampwright_editor::{
    Action, Command, CommandId, Operation, Perform, PlatformTask, View, command, command_for_key,
};
use wasm_bindgen::JsCast;
use web_sys::{Element, Event, HtmlElement, HtmlInputElement, KeyboardEvent};
use yew::Callback;

/// Starts the preview, or stops it where it is.
pub(crate) fn toggle_preview(dispatch: &Dispatch) {
    if dispatch.live.editor().preview().is_playing {
        stop_preview(dispatch);
    } else {
        dispatch.send(Action::Play);
    }
}

/// Stops the preview where it is.
pub(crate) fn stop_preview(dispatch: &Dispatch) {
    dispatch.send(Action::Pause {
        at: Some(dispatch.live.playhead()),
    });
}

/// Stops the preview where it is, if it plays.
pub(crate) fn keep_still(dispatch: &Dispatch) {
    if dispatch.live.editor().preview().is_playing {
        stop_preview(dispatch);
    }
}

/// Runs a command of the editor's table, if it is enabled.
pub(crate) fn run(dispatch: &Dispatch, id: CommandId, on_task: &Callback<PlatformTask>) {
    let editor = dispatch.live.editor();
    let Some(command) = command(id).filter(|command| is_offered(command)) else {
        return;
    };
    if !command.is_enabled(&editor) {
        // Says why not.
        dispatch.send(Action::Run(id));
        return;
    }
    match (command.perform)(&editor) {
        Perform::Do(Action::Pause { .. }) => stop_preview(dispatch),
        Perform::Do(action) => {
            // Looking from elsewhere puts lamps out in one place and on in another, which would add to the flashes that play.
            let is_for_still = matches!(
                action,
                Action::AskFullSpeed | Action::StepPreview(_) | Action::LookFrom(_)
            );
            if is_for_still {
                keep_still(dispatch);
            }
            if matches!(action, Action::Operate(Operation::Copy | Operation::Cut)) {
                // As run lengths for other programs; a browser may refuse, and paste here works without.
                copy(&editor.apply(action.clone()).clip_text(), |_| {});
            }
            // What was asked for by key is where the next key goes.
            let shown = match action {
                Action::AddPattern | Action::SetView(View::Timeline) => Some("timeline"),
                Action::SetView(_) => Some("view"),
                _ => None,
            };
            dispatch.send(action);
            if let Some(id) = shown {
                focus_soon(id);
            }
        }
        Perform::Platform(task) => on_task.emit(task),
    }
}

/// Whether this page can do what a command asks for.
pub(crate) fn is_offered(command: &Command) -> bool {
    !matches!(
        command.id,
        CommandId::ShowNight | CommandId::ShowSheet | CommandId::Print
    )
}

/// Listens on the whole window.
pub(crate) fn listen(dispatch: &Dispatch, on_task: &Callback<PlatformTask>) -> Vec<Listener> {
    let Some(window) = window() else {
        return Vec::new();
    };
    let (stopping, commanding, on_task) = (dispatch.clone(), dispatch.clone(), on_task.clone());
    let hiding = dispatch.clone();
    let mut listeners = vec![
        Listener::capturing(&window, "keydown", move |event| {
            let Some(key) = event.dyn_ref::<KeyboardEvent>() else {
                return;
            };
            if key.repeat() && is_hasty(key) {
                event.prevent_default();
                event.stop_propagation();
                return;
            }
            let is_stop = matches!(key.key().as_str(), " " | "Escape");
            if is_stop && stopping.live.editor().preview().is_playing {
                stop_preview(&stopping);
                if key.key() == "Escape" && stopping.live.editor().gesture().is_some() {
                    stopping.send(Action::CancelGesture);
                }
                event.prevent_default();
                event.stop_propagation();
                return;
            }
            let has_modifier = key.ctrl_key() || key.meta_key() || key.alt_key();
            if is_dialog_coming() && !has_modifier {
                type_ahead(&key.key());
                event.prevent_default();
                event.stop_propagation();
            }
        }),
        Listener::new(&window, "keydown", move |event| {
            on_key(&commanding, &on_task, &event);
        }),
    ];
    if let Some(document) = document() {
        let page = document.clone();
        listeners.push(Listener::new(&document, "visibilitychange", move |_| {
            if page.hidden() && hiding.live.editor().preview().is_playing {
                stop_preview(&hiding);
            }
        }));
    }
    listeners
}

/// Whether a held key must not repeat here: it could show state after state faster than three changes a second.
///
/// Typing repeats, and so do the keys that move about; but not in a choice, where moving chooses.
fn is_hasty(key: &KeyboardEvent) -> bool {
    let target: Option<Element> = key.target().and_then(|target| target.dyn_into().ok());
    let (tag, kind) = target.map_or_else(Default::default, |element| {
        (
            element.tag_name().to_ascii_lowercase(),
            element.get_attribute("type").unwrap_or_default(),
        )
    });
    let is_choice = tag == "select" || matches!(kind.as_str(), "radio" | "checkbox");
    let is_typing = matches!(tag.as_str(), "input" | "textarea") && !is_choice;
    let is_moving = matches!(
        key.key().as_str(),
        "ArrowLeft"
            | "ArrowRight"
            | "ArrowUp"
            | "ArrowDown"
            | "PageUp"
            | "PageDown"
            | "Home"
            | "End"
    );
    let is_leaving = key.key() == "Tab";
    !(is_leaving || is_typing || (is_moving && !is_choice))
}

fn on_key(dispatch: &Dispatch, on_task: &Callback<PlatformTask>, event: &Event) {
    if event.default_prevented() {
        return;
    }
    let Some(key) = event.dyn_ref::<KeyboardEvent>() else {
        return;
    };
    let target: Option<Element> = event.target().and_then(|target| target.dyn_into().ok());
    let place = Place::of(target.clone());
    let has_command_key = key.ctrl_key() || key.meta_key();
    if !place.takes(&key.key(), has_command_key || key.alt_key()) {
        return;
    }
    if let Some(command) =
        command_for_key(&key.key(), has_command_key, key.shift_key(), key.alt_key())
            .filter(|command| is_offered(command))
    {
        if command.id == CommandId::Paste && !dispatch.live.editor().has_clip() {
            // A program on the clipboard is the page's to open.
            return;
        }
        event.prevent_default();
        match target.and_then(|target| target.dyn_into().ok()) {
            Some(field) if place == Place::Text => {
                complete(&field);
                let (dispatch, on_task, id) = (dispatch.clone(), on_task.clone(), command.id);
                // Once what was typed is in the program that the command works on.
                if let Some(timeout) = Timeout::new(0, move || run(&dispatch, id, &on_task)) {
                    std::mem::forget(timeout);
                }
            }
            _ => run(dispatch, command.id, on_task),
        }
    }
}

/// Takes what is typed in a field, as leaving it does, and lets the person type on.
fn complete(field: &HtmlElement) {
    let _ = field.blur();
    let _ = field.focus();
}

/// Whether a field shows what the program has.
fn is_as_shown(target: &Element) -> bool {
    let input = target.dyn_ref::<HtmlInputElement>();
    input.is_some_and(|input| target.get_attribute(NOW) == Some(input.value()))
}

/// Whether a dialog is open.
fn has_dialog() -> bool {
    let open = document().and_then(|document| document.query_selector("dialog[open]").ok());
    open.flatten().is_some()
}

/// What has the keyboard focus.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Place {
    /// An open dialog: what happens in it is its own.
    Dialog,
    /// Something that takes text.
    Text,
    /// A field in which nothing has been typed.
    Still,
    /// A choice from a list: plain keys and the arrows are its own.
    Choice,
    /// A button, a choice, a dialog: plain keys are its own.
    Widget,
    /// The timeline.
    Timeline,
    /// The page itself.
    Page,
}

impl Place {
    fn of(target: Option<Element>) -> Self {
        let Some(target) = target else {
            return Self::Page;
        };
        let is_in = |selector: &str| target.closest(selector).ok().flatten().is_some();
        if is_in("dialog") || is_dialog_coming() {
            return Self::Dialog;
        }
        match target.tag_name().as_str() {
            "TEXTAREA" => Self::Text,
            "SELECT" => Self::Choice,
            "INPUT" => match target.get_attribute("type").as_deref() {
                Some("radio" | "checkbox" | "range" | "button") => Self::Widget,
                _ if is_as_shown(&target) => Self::Still,
                _ => Self::Text,
            },
            "BUTTON" | "SUMMARY" | "A" => Self::Widget,
            _ if is_in(".timeline") => Self::Timeline,
            // What had the focus in an open dialog may be gone; the keys are still the dialog's.
            "BODY" | "HTML" if has_dialog() => Self::Dialog,
            "BODY" | "HTML" => Self::Page,
            _ => Self::Widget,
        }
    }

    /// Whether a key may be a command here.
    fn takes(self, key: &str, has_modifier: bool) -> bool {
        let is_function_key = key.len() > 1 && key.starts_with('F');
        match self {
            Self::Timeline => true,
            // Space starts the preview; the arrows, Enter and Delete belong to the timeline.
            Self::Page | Self::Widget | Self::Choice
                if has_modifier && matches!(key, "c" | "x" | "v") =>
            {
                false
            }
            Self::Page => has_modifier || is_function_key || matches!(key, " " | "?" | "Escape"),
            Self::Widget => has_modifier || is_function_key || key == "?",
            Self::Choice => (has_modifier && !key.starts_with("Arrow")) || is_function_key,
            // What was typed is on its way no more, so undo is the program's.
            Self::Still if has_modifier && matches!(key, "z" | "Z" | "y") => true,
            // To another view, and to any command by its name, also in the middle of typing.
            Self::Text | Self::Still
                if has_modifier && (key == "k" || key.bytes().all(|key| key.is_ascii_digit())) =>
            {
                true
            }
            // Undo inside a text field is the field's own.
            Self::Dialog | Self::Text | Self::Still => {
                is_function_key || (has_modifier && matches!(key, "s" | "S" | "o" | "O"))
            }
        }
    }
}
