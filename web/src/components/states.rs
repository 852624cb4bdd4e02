//! The signals and the operator's controls, so that each state can be shown, and what every head does in it.

use super::every_state::EveryState;
use super::reason::layer_label;
use super::timeline::focus;
use super::vehicle::light_words;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{Tag, button, columns, component, link, said, tag, text};
use lampwright_editor::{Action, EditorState, SelectMode};
use lampwright_model::{Control, ControlStyle, Decision, HeadDrive, Signal, SignalKind, ValueId};
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// Signals, controls and heads.
#[component]
pub(crate) fn States() -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let program = document.program();
    let on_default = dispatch.callback(|_: MouseEvent| Action::ShowDefaultState);
    let controls = program
        .controls
        .iter()
        .map(|control| control_tag(&dispatch, &document, control));
    let signals = program
        .signals
        .iter()
        .map(|signal| signal_tag(&dispatch, &document, signal));
    tag("div", "view column")
        .tag(
            tag("div", "row spread")
                .tag(
                    tag("p", "")
                        .tag(said("strong", "", "State: "))
                        .text(document.shown_state().describe(program)),
                )
                .tag(button(
                    "Every possible state",
                    Callback::from(|_: MouseEvent| focus("every-state")),
                ))
                .tag(button("All signals to default", on_default)),
        )
        .maybe((!program.controls.is_empty()).then(|| {
            section("controls-title", "Operator's controls")
                .tag(tag("div", "controls").tags(controls))
        }))
        .tag(
            section("signals-title", "Signals")
                .maybe(program.signals.is_empty().then(|| {
                    said(
                        "p",
                        "quiet",
                        "This program has no signals: it has one state",
                    )
                }))
                .tag(tag("div", "cards").tags(signals)),
        )
        .tag(
            section("drive-title", "What each head does in this state, and why")
                .tag(drive(&dispatch, &document)),
        )
        .tag(
            section("every-state-title", "Every possible state")
                .with("id", "every-state")
                .with("tabindex", "-1")
                .child(component::<EveryState>(())),
        )
        .done()
}

fn section(id: &'static str, title: &'static str) -> Tag {
    tag("section", "")
        .with("aria-labelledby", id)
        .tag(said("h2", "", title).with("id", id))
}

fn kind_words(kind: SignalKind) -> &'static str {
    match kind {
        SignalKind::Switch => "switch",
        SignalKind::Vehicle => "vehicle",
        SignalKind::Ambient => "ambient",
    }
}

/// Signals with more values than this are a list instead of radio buttons.
const RADIO_VALUES: usize = 6;

fn signal_tag(dispatch: &Dispatch, document: &EditorState, signal: &Signal) -> Tag {
    let state = document.shown_state();
    let current = state.value(document.program(), &signal.id).cloned();
    let legend = format!("{} ({})", signal.label, kind_words(signal.kind));
    let choose = |value: &ValueId| {
        let (dispatch, signal, value) = (dispatch.clone(), signal.id.clone(), value.clone());
        Callback::from(move |_: Event| {
            dispatch.send(Action::SetSignal(signal.clone(), value.clone()));
        })
    };
    let words = |index: usize, value: &ValueId| {
        if index == signal.default {
            format!("{value} (default)")
        } else {
            value.to_string()
        }
    };
    if signal.values.len() > RADIO_VALUES {
        let on_change = {
            let (dispatch, signal) = (dispatch.clone(), signal.id.clone());
            Callback::from(move |event: Event| {
                let value = event
                    .target_dyn_into::<HtmlSelectElement>()
                    .and_then(|select| ValueId::new(&select.value()).ok());
                if let Some(value) = value {
                    dispatch.send(Action::SetSignal(signal.clone(), value));
                }
            })
        };
        let options = signal.values.iter().enumerate().map(|(index, value)| {
            text("option", "", words(index, value))
                .with_text("value", value.to_string())
                .flag("selected", current.as_ref() == Some(value))
        });
        return tag("label", "field")
            .key(signal.id.to_string())
            .tag(text("span", "quiet", legend))
            .tag(tag("select", "").tags(options).on_change(on_change));
    }
    let values = signal.values.iter().enumerate().map(|(index, value)| {
        radio(
            value.to_string(),
            format!("signal-{}", signal.id),
            current.as_ref() == Some(value),
            choose(value),
            words(index, value),
        )
    });
    choices(signal.id.to_string(), legend).tag(tag("div", "choices").tags(values))
}

fn choices(key: String, legend: String) -> Tag {
    tag("fieldset", "").key(key).tag(text("legend", "", legend))
}

fn radio(
    key: String,
    name: String,
    is_checked: bool,
    on_change: Callback<Event>,
    words: String,
) -> Tag {
    let input = tag("input", "")
        .with("type", "radio")
        .with_text("name", name)
        .checked(is_checked)
        .on_change(on_change);
    tag("label", "").key(key).tag(input).text(words)
}

fn control_tag(dispatch: &Dispatch, document: &EditorState, control: &Control) -> Tag {
    let at = document.control_position(control);
    let press = |position: Option<usize>| {
        let (dispatch, control) = (dispatch.clone(), control.id.clone());
        Callback::from(move |()| {
            dispatch.send(Action::PressControl {
                control: control.clone(),
                position,
            });
        })
    };
    let button = |words: String| {
        text("button", "", words)
            .key(control.id.to_string())
            .with("type", "button")
    };
    match control.style {
        ControlStyle::Button => button(control.label.clone()).on_click(press(None).reform(|_| ())),
        ControlStyle::Toggle => {
            let position = at
                .and_then(|at| control.positions.get(at))
                .map_or("no position", |position| position.label.as_str());
            button(format!("{}: {position}", control.label))
                .with("aria-pressed", true_or_false(at == Some(1)))
                .on_click(press(None).reform(|_| ()))
        }
        ControlStyle::Held => {
            let button = button(format!("{} (hold)", control.label));
            let up = {
                let (dispatch, control) = (dispatch.clone(), control.id.clone());
                Callback::from(move |()| dispatch.send(Action::ReleaseControl(control.clone())))
            };
            held(button, at == Some(1), press(None), up)
        }
        ControlStyle::Slide => {
            let positions = control
                .positions
                .iter()
                .enumerate()
                .map(|(index, position)| {
                    radio(
                        index.to_string(),
                        format!("control-{}", control.id),
                        at == Some(index),
                        press(Some(index)).reform(|_| ()),
                        position.label.clone(),
                    )
                });
            choices(control.id.to_string(), control.label.clone())
                .tag(tag("div", "choices").tags(positions))
        }
    }
}

fn true_or_false(is_true: bool) -> &'static str {
    if is_true { "true" } else { "false" }
}

/// A held button: acts while the pointer or the Space or Enter key is down.
fn held(button: Tag, is_held: bool, down: Callback<()>, up: Callback<()>) -> Tag {
    let is_key = |event: &KeyboardEvent| matches!(event.key().as_str(), " " | "Enter");
    let while_held = if is_held {
        up.clone()
    } else {
        Callback::noop()
    };
    let (key_down, key_up) = (down.clone(), up.clone());
    button
        .with("aria-pressed", true_or_false(is_held))
        .on_pointer_down(down.reform(|_| ()))
        .on_pointer_up(up.reform(|_| ()))
        .on_pointer_leave(while_held.reform(|_| ()))
        .on_blur(while_held.reform(|_| ()))
        .on_key(Callback::from(move |event: KeyboardEvent| {
            if is_key(&event) && !event.repeat() {
                event.prevent_default();
                key_down.emit(());
            }
        }))
        .on_key_up(Callback::from(move |event: KeyboardEvent| {
            if is_key(&event) {
                key_up.emit(());
            }
        }))
}

fn drive(dispatch: &Dispatch, document: &EditorState) -> Tag {
    let driven = document.driven();
    let program = document.program();
    let row = |head: &HeadDrive| {
        let label = program
            .vehicle
            .heads
            .iter()
            .find(|known| known.id == head.head)
            .map_or_else(|| head.head.to_string(), |known| known.label.clone());
        let on_select = {
            let (dispatch, id) = (dispatch.clone(), head.head.clone());
            Callback::from(move |_: MouseEvent| {
                dispatch.send(Action::SelectHeads(vec![id.clone()], SelectMode::Replace));
            })
        };
        let is_selected = document.selection().heads.contains(&head.head);
        let lamps = head.emitters.iter().map(|emitter| {
            tag("span", "")
                .with_text("class", format!("lamp {}", emitter.color.name()))
                .text(format!("{}\u{a0}", emitter.color.letter()))
        });
        let decided_by = match &head.decided_by {
            Decision::Nothing => "no layer".to_owned(),
            Decision::Layer(id) => layer_label(document, id),
        };
        tag("tr", if is_selected { "is-selected" } else { "" })
            .key(head.head.to_string())
            .tag(
                tag("th", "")
                    .with("scope", "row")
                    .tag(link(label, on_select)),
            )
            .tag(
                tag("td", "")
                    .tags(lamps)
                    .tag(tag("br", ""))
                    .text(light_words(head)),
            )
            .tag(text("td", "", decided_by))
            .tag(text("td", "", names(document, &head.dims)))
            .tag(text("td", "", names(document, &head.hidden)))
    };
    tag("table", "")
        .tag(columns(&[
            ("Head", false),
            ("Light", false),
            ("Decided by", false),
            ("Dimmed by", false),
            ("Hidden below", false),
        ]))
        .tag(tag("tbody", "").tags(driven.drive.heads.iter().map(row)))
}

fn names(document: &EditorState, layers: &[lampwright_model::LayerId]) -> String {
    layers
        .iter()
        .map(|id| layer_label(document, id))
        .collect::<Vec<_>>()
        .join(", ")
}
