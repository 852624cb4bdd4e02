//! The signals and the operator's controls, so that each state can be shown, and what every head does in it.

use super::reason::layer_label;
use super::vehicle::light_words;
use crate::store::{Dispatch, use_dispatch, use_document};
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
    html! {
        <div class="view column">
            <div class="row spread">
                <p><strong>{ "State: " }</strong>{ document.shown_state().describe(program) }</p>
                <button type="button" onclick={on_default}>{ "All signals to default" }</button>
            </div>
            if !program.controls.is_empty() {
                <section aria-labelledby="controls-title">
                    <h2 id="controls-title">{ "Operator's controls" }</h2>
                    <div class="controls">{ for program.controls.iter().map(|control| control_html(&dispatch, &document, control)) }</div>
                </section>
            }
            <section aria-labelledby="signals-title">
                <h2 id="signals-title">{ "Signals" }</h2>
                if program.signals.is_empty() {
                    <p class="quiet">{ "This program has no signals: it has one state" }</p>
                }
                <div class="cards">{ for program.signals.iter().map(|signal| signal_html(&dispatch, &document, signal)) }</div>
            </section>
            <section aria-labelledby="drive-title">
                <h2 id="drive-title">{ "What each head does in this state, and why" }</h2>
                { drive(&dispatch, &document) }
            </section>
        </div>
    }
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

fn signal_html(dispatch: &Dispatch, document: &EditorState, signal: &Signal) -> Html {
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
        return html! {
            <label class="field" key={signal.id.as_str().to_owned()}>
                <span class="quiet">{ legend }</span>
                <select onchange={on_change}>
                    { for signal.values.iter().enumerate().map(|(index, value)| html! {
                        <option value={value.as_str().to_owned()} selected={current.as_ref() == Some(value)}>{ words(index, value) }</option>
                    }) }
                </select>
            </label>
        };
    }
    html! {
        <fieldset key={signal.id.as_str().to_owned()}>
            <legend>{ legend }</legend>
            <div class="choices">
                { for signal.values.iter().enumerate().map(|(index, value)| html! {
                    <label key={value.as_str().to_owned()}>
                        <input type="radio" name={format!("signal-{}", signal.id)} checked={current.as_ref() == Some(value)} onchange={choose(value)} />
                        { words(index, value) }
                    </label>
                }) }
            </div>
        </fieldset>
    }
}

fn control_html(dispatch: &Dispatch, document: &EditorState, control: &Control) -> Html {
    let at = document.control_position(control);
    let key = control.id.as_str().to_owned();
    let press = |position: Option<usize>| {
        let (dispatch, control) = (dispatch.clone(), control.id.clone());
        move || {
            dispatch.send(Action::PressControl {
                control: control.clone(),
                position,
            });
        }
    };
    match control.style {
        ControlStyle::Button => {
            let press = press(None);
            html! { <button key={key} type="button" onclick={Callback::from(move |_: MouseEvent| press())}>{ control.label.clone() }</button> }
        }
        ControlStyle::Toggle => {
            let press = press(None);
            let position = at
                .and_then(|at| control.positions.get(at))
                .map_or("no position", |position| position.label.as_str());
            html! {
                <button key={key} type="button" aria-pressed={if at == Some(1) { "true" } else { "false" }} onclick={Callback::from(move |_: MouseEvent| press())}>
                    { format!("{}: {position}", control.label) }
                </button>
            }
        }
        ControlStyle::Held => held_html(dispatch, control, at),
        ControlStyle::Slide => html! {
            <fieldset key={key}>
                <legend>{ control.label.clone() }</legend>
                <div class="choices">
                    { for control.positions.iter().enumerate().map(|(index, position)| {
                        let press = press(Some(index));
                        html! {
                            <label key={index}>
                                <input type="radio" name={format!("control-{}", control.id)} checked={at == Some(index)} onchange={Callback::from(move |_: Event| press())} />
                                { position.label.clone() }
                            </label>
                        }
                    }) }
                </div>
            </fieldset>
        },
    }
}

/// A held button: acts while the pointer or the Space or Enter key is down.
fn held_html(dispatch: &Dispatch, control: &Control, at: Option<usize>) -> Html {
    let down = {
        let (dispatch, control) = (dispatch.clone(), control.id.clone());
        move || {
            dispatch.send(Action::PressControl {
                control: control.clone(),
                position: None,
            });
        }
    };
    let up = {
        let (dispatch, control) = (dispatch.clone(), control.id.clone());
        move || dispatch.send(Action::ReleaseControl(control.clone()))
    };
    let is_held = at == Some(1);
    let is_key = |event: &KeyboardEvent| matches!(event.key().as_str(), " " | "Enter");
    let (key_down, key_up, leave, blur) = (down.clone(), up.clone(), up.clone(), up.clone());
    html! {
        <button key={control.id.as_str().to_owned()} type="button" aria-pressed={if is_held { "true" } else { "false" }}
            onpointerdown={Callback::from(move |_: PointerEvent| down())}
            onpointerup={Callback::from(move |_: PointerEvent| up())}
            onpointerleave={Callback::from(move |_: PointerEvent| if is_held { leave() })}
            onblur={Callback::from(move |_: FocusEvent| if is_held { blur() })}
            onkeydown={Callback::from(move |event: KeyboardEvent| if is_key(&event) && !event.repeat() { event.prevent_default(); key_down(); })}
            onkeyup={Callback::from(move |event: KeyboardEvent| if is_key(&event) { key_up(); })}>
            { format!("{} (hold)", control.label) }
        </button>
    }
}

fn drive(dispatch: &Dispatch, document: &EditorState) -> Html {
    let results = document.results();
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
        html! {
            <tr key={head.head.as_str().to_owned()} class={classes!(is_selected.then_some("is-selected"))}>
                <th scope="row"><button type="button" class="plain" onclick={on_select}>{ label }</button></th>
                <td>{ for head.emitters.iter().map(|emitter| html! {
                    <span class={classes!("lamp", emitter.color.name())}>{ emitter.color.letter() }{ "\u{a0}" }</span>
                }) }<br/>{ light_words(head) }</td>
                <td>{ match &head.decided_by {
                    Decision::Nothing => "no layer".to_owned(),
                    Decision::Layer(id) => layer_label(document, id),
                } }</td>
                <td>{ names(document, &head.dims) }</td>
                <td>{ names(document, &head.hidden) }</td>
            </tr>
        }
    };
    html! {
        <table>
            <thead><tr>
                <th scope="col">{ "Head" }</th><th scope="col">{ "Light" }</th><th scope="col">{ "Decided by" }</th>
                <th scope="col">{ "Dimmed by" }</th><th scope="col">{ "Hidden below" }</th>
            </tr></thead>
            <tbody>{ for results.drive.heads.iter().map(row) }</tbody>
        </table>
    }
}

fn names(document: &EditorState, layers: &[lampwright_model::LayerId]) -> String {
    layers
        .iter()
        .map(|id| layer_label(document, id))
        .collect::<Vec<_>>()
        .join(", ")
}
