//! The vehicle from above, always in sight: the preview, its speed and cautions, the heads to select.

use crate::painter::plan::PlanPainter;
use crate::platform::listen::Listener;
use crate::store::{Dispatch, use_dispatch, use_document, use_viewed};
use lampwright_analysis::screening::cautions;
use lampwright_editor::{Action, EditorState, SelectMode, View};
use lampwright_model::{HeadDrive, HeadId, SituationId};
use web_sys::{HtmlCanvasElement, HtmlElement, HtmlSelectElement, PointerEvent};
use yew::prelude::*;

/// The vehicle with the preview's controls.
#[component]
pub(crate) fn Vehicle() -> Html {
    html! {
        <section class="panel vehicle" aria-labelledby="vehicle-title">
            <h2 id="vehicle-title" class="only-spoken">{ "Vehicle and preview" }</h2>
            <SituationChoice />
            <Drawing />
            <Transport />
        </section>
    }
}

#[component]
fn SituationChoice() -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let program = document.program();
    let current = document.current_situation().cloned();
    let state = document.shown_state();
    let on_change = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            let Some(value) = event
                .target_dyn_into::<HtmlSelectElement>()
                .map(|select| select.value())
            else {
                return;
            };
            if let Ok(id) = SituationId::new(&value) {
                dispatch.send(Action::ChooseSituation(id));
            } else if value.is_empty() {
                dispatch.send(Action::ShowDefaultState);
            }
        })
    };
    let on_states = dispatch.callback(|_: MouseEvent| Action::SetView(View::States));
    html! {
        <div class="field">
            <div class="row spread">
                <label for="situation">{ "Situation" }</label>
                <button type="button" class="plain" onclick={on_states}>{ "Signals and controls" }</button>
            </div>
            <select id="situation" onchange={on_change}>
                { for program.situations.iter().map(|situation| html! {
                    <option key={situation.id.as_str().to_owned()} value={situation.id.as_str().to_owned()} selected={current.as_ref() == Some(&situation.id)}>
                        { situation.label.clone() }
                    </option>
                }) }
                if program.situations.is_empty() || state.differences(program).is_empty() && current.is_none() {
                    <option value="" selected={current.is_none()}>{ "all signals at default" }</option>
                } else if current.is_none() {
                    <option value="~" selected={true}>{ "no named situation" }</option>
                }
            </select>
            <p class="quiet" id="state-words">{ state.describe(program) }</p>
        </div>
    }
}

/// What a head does, in a few words.
pub(crate) fn head_words(document: &EditorState, head: &HeadDrive) -> String {
    let label = document
        .program()
        .vehicle
        .heads
        .iter()
        .find(|known| known.id == head.head)
        .map_or_else(|| head.head.to_string(), |known| known.label.clone());
    format!("{label}: {}", light_words(head))
}

/// What light a head gives: "amber flashing, white dark".
pub(crate) fn light_words(head: &HeadDrive) -> String {
    let parts: Vec<String> = head
        .emitters
        .iter()
        .map(|emitter| {
            let what = if emitter.level.maximum() == 0 {
                "dark".to_owned()
            } else if emitter.level.is_constant() {
                format!("steady at {}", percent(emitter.level.maximum()))
            } else {
                format!("flashing up to {}", percent(emitter.level.maximum()))
            };
            format!("{} {what}", emitter.color)
        })
        .collect();
    parts.join(", ")
}

fn percent(per_mille: i64) -> String {
    lampwright_timing::Level::nearest(per_mille).to_string()
}

#[component]
fn Drawing() -> Html {
    let canvas = use_node_ref();
    let (dispatch, document) = (use_dispatch(), use_document());
    {
        let (canvas, dispatch) = (canvas.clone(), dispatch.clone());
        use_effect_with((), move |()| {
            let listeners = canvas
                .cast::<HtmlCanvasElement>()
                .zip(dispatch.clone())
                .map(|(canvas, dispatch)| attach(&canvas, &dispatch));
            move || {
                drop(listeners);
                if let Some(dispatch) = dispatch {
                    *dispatch.live.plan.borrow_mut() = None;
                }
            }
        });
    }
    let (Some(dispatch), Some(document)) = (dispatch, document) else {
        return Html::default();
    };
    let results = document.results();
    let selected = document.selection().heads.iter().next().cloned();
    let active = selected
        .as_ref()
        .map(|head| format!("head-{head}"))
        .unwrap_or_default();
    let on_key = {
        let (dispatch, selected) = (dispatch.clone(), selected.clone());
        Callback::from(move |event: KeyboardEvent| on_key(&dispatch, selected.as_ref(), &event))
    };
    html! {
        <div class="drawing" role="listbox" tabindex="0" aria-label="Heads of the vehicle, arrow keys select"
            aria-multiselectable="true" aria-activedescendant={active} onkeydown={on_key} id="heads">
            <canvas ref={canvas} aria-hidden="true"></canvas>
            <div role="group" aria-label="Heads">{ for results.drive.heads.iter().map(|head| html! {
                <div key={head.head.as_str().to_owned()} role="option" class="only-spoken" id={format!("head-{}", head.head)}
                    aria-selected={if document.selection().heads.contains(&head.head) { "true" } else { "false" }}>
                    { head_words(&document, head) }
                </div>
            }) }</div>
        </div>
    }
}

/// Hover and selection by pointer; the hover goes straight to the canvas.
fn attach(canvas: &HtmlCanvasElement, dispatch: &Dispatch) -> Vec<Listener> {
    *dispatch.live.plan.borrow_mut() = PlanPainter::new(canvas);
    let hovering = {
        let live = dispatch.live.clone();
        move |place: Option<(f64, f64)>| {
            if let Some(painter) = live.plan.borrow_mut().as_mut() {
                painter.hover(place);
            }
        }
    };
    let leaving = hovering.clone();
    let pressing = dispatch.clone();
    vec![
        Listener::typed::<PointerEvent>(canvas, "pointermove", move |event| {
            hovering(Some(place(&event)));
        }),
        Listener::typed::<PointerEvent>(canvas, "pointerleave", move |_| leaving(None)),
        Listener::typed::<PointerEvent>(canvas, "pointerdown", move |event| {
            if event.button() != 0 {
                return;
            }
            let (x, y) = place(&event);
            let head = pressing
                .live
                .plan
                .borrow()
                .as_ref()
                .and_then(|painter| painter.head_at(x, y))
                .map(|head| head.id.clone());
            let is_adding = event.shift_key() || event.ctrl_key() || event.meta_key();
            match head {
                Some(head) if is_adding => {
                    pressing.send(Action::SelectHeads(vec![head], SelectMode::Toggle));
                }
                Some(head) => pressing.send(Action::SelectHeads(vec![head], SelectMode::Replace)),
                None if !is_adding => {
                    pressing.send(Action::SelectHeads(Vec::new(), SelectMode::Replace));
                }
                None => {}
            }
            if let Some(list) = crate::platform::element::<HtmlElement>("heads") {
                let _ = list.focus();
            }
        }),
    ]
}

fn place(event: &PointerEvent) -> (f64, f64) {
    (f64::from(event.offset_x()), f64::from(event.offset_y()))
}

fn on_key(dispatch: &Dispatch, selected: Option<&HeadId>, event: &KeyboardEvent) {
    if event.ctrl_key() || event.alt_key() || event.meta_key() {
        return;
    }
    let editor = dispatch.live.editor();
    let heads = &editor.program().vehicle.heads;
    let toward = |dx: f64, dy: f64| -> Option<HeadId> {
        let from = selected?;
        dispatch
            .live
            .plan
            .borrow()
            .as_ref()
            .and_then(|painter| painter.head_toward(from, dx, dy))
    };
    let first = || heads.first().map(|head| head.id.clone());
    let next = match event.key().as_str() {
        "ArrowUp" => toward(0.0, -1.0),
        "ArrowDown" => toward(0.0, 1.0),
        "ArrowLeft" => toward(-1.0, 0.0),
        "ArrowRight" => toward(1.0, 0.0),
        "Home" => first(),
        "End" => heads.last().map(|head| head.id.clone()),
        _ => return,
    };
    event.prevent_default();
    event.stop_propagation();
    if let Some(head) = next.or_else(|| if selected.is_none() { first() } else { None }) {
        let mode = if event.shift_key() {
            SelectMode::Add
        } else {
            SelectMode::Replace
        };
        dispatch.send(Action::SelectHeads(vec![head], mode));
    }
}

#[component]
fn Transport() -> Html {
    let (Some(dispatch), Some(viewed)) = (use_dispatch(), use_viewed()) else {
        return Html::default();
    };
    let preview = *viewed.preview();
    let speed = viewed.preview_speed().per_mille();
    let on_play = {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| crate::keys::toggle_preview(&dispatch))
    };
    let on_start = dispatch.callback(|_: MouseEvent| Action::Stop);
    let on_speed = {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| {
            let editor = dispatch.live.editor();
            if editor.preview().is_full_speed {
                dispatch.send(Action::UseSafeSpeed);
            } else {
                crate::keys::stop_preview(&dispatch);
                dispatch.send(Action::AskFullSpeed);
            }
        })
    };
    html! {
        <div class="column">
            <div class="row">
                <button type="button" class="main" id="play" onclick={on_play}>
                    { if preview.is_playing { "■ Stop (Space)" } else { "▶ Play" } }
                </button>
                <button type="button" onclick={on_start}>{ "To start" }</button>
                <button type="button" onclick={on_speed} aria-pressed={if preview.is_full_speed { "true" } else { "false" }} disabled={preview.has_reduced_motion}>
                    { "Full speed…" }
                </button>
            </div>
            <p class="rate" id="rate">{ speed_words(speed, preview.is_full_speed && !preview.has_reduced_motion, preview.has_reduced_motion) }</p>
            <p class="caution">{ "Space or Escape stops the preview from anywhere. Do not watch flashing lamps, real or drawn, near people who may be photosensitive without warning them" }</p>
            <details class="caution">
                <summary>{ "Cautions of the screening" }</summary>
                <ul>{ for cautions::STANDING.iter().map(|text| html! { <li>{ *text }</li> }) }</ul>
            </details>
        </div>
    }
}

fn speed_words(per_mille: u16, is_full: bool, has_reduced_motion: bool) -> String {
    if is_full {
        return "Full speed, confirmed for this program".into();
    }
    let slowed = match per_mille {
        0 => "Still picture: no slowed rate keeps it at three flashes a second".to_owned(),
        1000.. => "Real time: at most three flashes a second".to_owned(),
        part => format!(
            "Slowed {}×: at most three flashes a second",
            times(f64::from(part))
        ),
    };
    if has_reduced_motion {
        format!("{slowed}; full speed is off because your system asks for reduced motion")
    } else if per_mille >= 1000 {
        slowed
    } else {
        format!("{slowed}; full speed needs confirmation")
    }
}

fn times(per_mille: f64) -> String {
    let factor = 1000.0 / per_mille;
    let text = format!("{factor:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}
