//! Finding a command by its name, and the questions some commands ask.
//!
//! Invariant: what is listed comes from the editor's table alone, with its keys, and why it cannot be done now.

use super::dialog::dialog;
use super::timeline::focus_soon;
use crate::keys::{self, is_offered};
use crate::later::take_typed;
use crate::platform::element;
use crate::store::{use_dispatch, use_document};
use crate::tag::{Tag, button, said, tag, text};
use lampwright_editor::{Action, COMMANDS, Command, MessageKind, PlatformTask, Question};
use web_sys::{HtmlElement, HtmlInputElement};
use yew::prelude::*;

/// Properties of [`Finder`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Does what only the page can do.
    pub(crate) on_task: Callback<PlatformTask>,
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

/// Whether every typed word is in a command's name, group or keys.
fn matches(command: &Command, words: &str) -> bool {
    let mut text = format!("{} {}", command.name, command.group.name());
    text.make_ascii_lowercase();
    words
        .split_whitespace()
        .all(|word| text.contains(&word.to_ascii_lowercase()))
}

/// A field to type in and a list of the commands that have it, to be chosen with the arrow keys.
#[component]
pub(crate) fn Finder(props: &Props) -> Html {
    let typed = use_memo((), |()| take_typed());
    let (words, chosen) = (
        use_state(|| typed.trim_end_matches('\n').to_owned()),
        use_state(|| 0_usize),
    );
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let found: Vec<&'static Command> = COMMANDS
        .iter()
        .filter(|command| is_offered(command) && matches(command, &words))
        .collect();
    let place = (*chosen).min(found.len().saturating_sub(1));
    let run = {
        let (dispatch, document, props) = (
            dispatch.clone(),
            document.clone(),
            (props.on_task.clone(), props.on_close.clone()),
        );
        move |command: &Command| {
            // What cannot be done now stays in sight with its reason.
            if command.is_enabled(&document) {
                let (on_task, on_close) = &props;
                on_close.emit(());
                keys::run(&dispatch, command.id, on_task);
            }
        }
    };
    {
        let (run, command) = (run.clone(), found.first().copied());
        use_effect_with((), move |()| {
            // Enter was pressed before this was there.
            if let Some(command) = command.filter(|_| typed.ends_with('\n')) {
                run(command);
            }
        });
    }
    let on_input = {
        let (words, chosen) = (words.clone(), chosen.clone());
        Callback::from(move |event: InputEvent| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                words.set(input.value());
                chosen.set(0);
            }
        })
    };
    let on_key = {
        let (chosen, n_found) = (chosen.clone(), found.len().max(1));
        Callback::from(move |event: KeyboardEvent| {
            let step = match event.key().as_str() {
                "ArrowDown" => 1,
                "ArrowUp" => n_found - 1,
                _ => return,
            };
            event.prevent_default();
            let next = (place + step) % n_found;
            chosen.set(next);
            if let Some(option) = element::<HtmlElement>(&option_id(next)) {
                option.scroll_into_view_with_bool(false);
            }
        })
    };
    let on_submit = {
        let (run, command) = (run.clone(), found.get(place).copied());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            if let Some(command) = command {
                run(command);
            }
        })
    };
    let options = found.iter().enumerate().map(|(index, command)| {
        let (run, command) = (run.clone(), *command);
        let why = (command.why_not)(&document);
        let note = match (why, command.chords.first()) {
            (Some(why), _) => Some(said("span", "quiet", why)),
            (None, Some(keys)) => Some(text("kbd", "", keys.to_string())),
            (None, None) => None,
        };
        tag("li", "row spread")
            .with("role", "option")
            .with_text("id", option_id(index))
            .with(
                "aria-selected",
                if index == place { "true" } else { "false" },
            )
            .with(
                "aria-disabled",
                if why.is_some() { "true" } else { "false" },
            )
            .on_click(Callback::from(move |_: MouseEvent| run(command)))
            .tag(said("span", "", command.name))
            .maybe(note)
    });
    let field = tag("input", "input grow")
        .with("id", "find")
        .flag("autofocus", true)
        .with("autocomplete", "off")
        .with("role", "combobox")
        .with("aria-label", "Command")
        .with("aria-expanded", "true")
        .with("aria-controls", "found")
        .with_text("aria-activedescendant", option_id(place))
        .value((*words).clone())
        .on_input(on_input)
        .on_key(on_key);
    let n_found = format!("{} commands", found.len());
    let list = tag("ul", "found")
        .with("id", "found")
        .with("role", "listbox")
        .with("aria-label", "Commands")
        .tags(options);
    let form = tag("form", "column finder")
        .on_submit(on_submit)
        .tag(tag("div", "row").tag(field))
        .tag(text("p", "quiet", n_found).with("role", "status"))
        .tag(list);
    dialog(
        "finder",
        "Find a command".into(),
        "Close",
        &props.on_close,
        form.done(),
    )
}

fn option_id(index: usize) -> String {
    format!("found-{index}")
}

/// Properties of [`Asker`].
#[derive(Properties, PartialEq)]
pub(crate) struct AskerProps {
    /// What is asked.
    pub(crate) question: Question,
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

/// One field for the number or text that a command asks for.
#[component]
pub(crate) fn Asker(props: &AskerProps) -> Html {
    // What was refused, which stays in the field to be mended, and why.
    let refused = use_state(|| None::<(String, String)>);
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let question = props.question;
    let on_submit = {
        let (dispatch, document) = (dispatch.clone(), document.clone());
        let (refused, on_close) = (refused.clone(), props.on_close.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let Some(input) = element::<HtmlInputElement>("answer") else {
                return;
            };
            let action = Action::Answer(question, input.value());
            // Tried first, so that what is refused can be mended here.
            let tried = document.apply(action.clone());
            if tried.message().kind == MessageKind::Refused {
                refused.set(Some((input.value(), tried.message().text.to_string())));
                return;
            }
            on_close.emit(());
            dispatch.send(action);
            focus_soon("timeline");
        })
    };
    let (typed, problem) = (*refused)
        .clone()
        .unwrap_or_else(|| (question.present(&document), String::new()));
    let field = tag("input", "input grow")
        .with("id", "answer")
        .flag("autofocus", true)
        .with("autocomplete", "off")
        .with("aria-describedby", "answer-problem")
        .value(typed);
    let form = tag("form", "column finder")
        .on_submit(on_submit)
        .tag(said("label", "column", question.words()).tag(field))
        .tag(refusal(problem))
        .tag(
            tag("div", "row").tag(
                button("Do it", Callback::noop())
                    .with("type", "submit")
                    .with("class", "main"),
            ),
        );
    dialog(
        "asker",
        question.title().into(),
        "Close",
        &props.on_close,
        form.done(),
    )
}

fn refusal(words: String) -> Tag {
    text("p", "is-refused", words)
        .with("id", "answer-problem")
        .with("role", "alert")
}
