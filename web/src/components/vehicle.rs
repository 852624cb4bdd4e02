//! The vehicle, always in sight: from where it is seen, its heads to select, and the preview.

use super::table::micros;
use super::transport::{Transport, show_choice};
use crate::painter::plan::PlanPainter;
use crate::platform::listen::Listener;
use crate::platform::{preferences, storage};
use crate::store::{Dispatch, use_dispatch, use_document, use_viewed};
use crate::tag::{Tag, component, said, tag, text};
use lampwright_editor::approach::candelas_toward;
use lampwright_editor::setup::{HeadDrag, HeadsChange};
use lampwright_editor::{Action, EditorState, Eye, Projection, SelectMode, View};
use lampwright_model::{HeadDrive, HeadId, Millimeters, SituationId};
use std::cell::Cell;
use std::rc::Rc;
use web_sys::{HtmlCanvasElement, HtmlElement, HtmlInputElement, HtmlSelectElement, PointerEvent};
use yew::prelude::*;

/// The vehicle with the preview's controls.
#[component]
pub(crate) fn Vehicle() -> Html {
    tag("section", "panel vehicle")
        .with("aria-labelledby", "vehicle-title")
        .tag(said("h2", "only-spoken", "Vehicle and preview").with("id", "vehicle-title"))
        .child(component::<SituationChoice>(()))
        .child(component::<ViewChoice>(()))
        .child(component::<Drawing>(()))
        .child(component::<Transport>(()))
        .done()
}

#[component]
fn SituationChoice() -> Html {
    let (dispatch, document) = (use_dispatch(), use_document());
    let select = use_node_ref();
    let current = document
        .as_ref()
        .and_then(|document| document.current_situation())
        .map(ToString::to_string);
    let (Some(dispatch), Some(document)) = (dispatch, document) else {
        return Html::default();
    };
    let program = document.program();
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
    let unnamed = if program.situations.is_empty()
        || state.differences(program).is_empty() && current.is_none()
    {
        Some(("", "all signals at default"))
    } else if current.is_none() {
        Some(("~", "no named situation"))
    } else {
        None
    };
    let shown = current.unwrap_or_else(|| unnamed.map_or("", |(value, _)| value).to_owned());
    show_choice(&select, &shown);
    let option = |value: String, words: String| {
        let is_shown = value == shown;
        text("option", "", words)
            .key(value.clone())
            .with_text("value", value)
            .flag("selected", is_shown)
    };
    let options = program
        .situations
        .iter()
        .map(|known| option(known.id.to_string(), known.label.clone()));
    let unnamed = unnamed.map(|(value, words)| option(value.to_owned(), words.to_owned()));
    tag("div", "field")
        .tag(
            tag("div", "row spread")
                .tag(said("label", "", "Situation").with("for", "situation"))
                .tag(crate::tag::button("Signals and controls", on_states)),
        )
        .tag(
            tag("select", "")
                .with("id", "situation")
                .node(&select)
                .on_change(on_change)
                .tags(options)
                .tags(unnamed.into_iter()),
        )
        .tag(text("p", "quiet", state.describe(program)).with("id", "state-words"))
        .done()
}

/// From where the vehicle is seen, and where the observer of the approach view stands.
#[component]
fn ViewChoice() -> Html {
    let (dispatch, viewed) = (use_dispatch(), use_viewed());
    let chosen = viewed.as_ref().map(|viewed| {
        let preview = viewed.preview();
        (preview.projection, preview.eye, preview.slowness)
    });
    let is_first = use_mut_ref(|| true);
    {
        let dispatch = dispatch.clone();
        use_effect_with(chosen, move |chosen| {
            if is_first.replace(false) {
                if let Some(dispatch) = dispatch {
                    restore(&dispatch);
                }
            } else if let Some((projection, eye, slowness)) = chosen {
                let (meters, degrees) = (eye.distance_m, eye.azimuth_degrees);
                let name = projection.name();
                let _ =
                    storage::write(REMEMBERED, &format!("{name} {meters} {degrees} {slowness}"));
            }
        });
    }
    let (Some(dispatch), Some(viewed)) = (dispatch, viewed) else {
        return Html::default();
    };
    let preview = *viewed.preview();
    let choices = Projection::ALL.into_iter().map(|projection| {
        let dispatch = dispatch.clone();
        let on_change = Callback::from(move |_: Event| {
            crate::keys::keep_still(&dispatch);
            dispatch.send(Action::LookFrom(projection));
        });
        let input = tag("input", "only-spoken")
            .with("type", "radio")
            .with("name", "projection")
            .checked(preview.projection == projection)
            .on_change(on_change);
        tag("label", "")
            .key(projection.name().to_owned())
            .tag(input)
            .tag(said("span", "", projection.name()))
    });
    let fields = (preview.projection == Projection::Approach).then(|| {
        let eye = preview.eye;
        tag("div", "column").tags(
            EYE_FIELDS
                .iter()
                .map(|field| eye_field(&dispatch, eye, field)),
        )
    });
    tag("fieldset", "segments")
        .tag(said(
            "legend",
            "only-spoken",
            "From where the vehicle is seen",
        ))
        .tag(tag("div", "row").tags(choices))
        .maybe(fields)
        .done()
}

/// Where the browser keeps from where the vehicle was seen last, and how slowly it played.
const REMEMBERED: &str = "lampwright.preview";

/// Looks from where the person looked last.
fn restore(dispatch: &Dispatch) {
    let kept = storage::read(REMEMBERED).unwrap_or_default();
    let mut parts = kept.split(' ');
    let name = parts.next().unwrap_or_default();
    let mut number = || parts.next().and_then(|part| part.parse().ok());
    let (Some(distance_m), Some(azimuth_degrees), Some(slowness)) = (number(), number(), number())
    else {
        return;
    };
    let projection = Projection::ALL
        .into_iter()
        .find(|known| known.name() == name);
    dispatch.send(Action::StandAt(Eye {
        distance_m,
        azimuth_degrees,
    }));
    dispatch.send(Action::SetSlowness(slowness));
    dispatch.send(Action::LookFrom(projection.unwrap_or_default()));
}

/// A number that says where the observer stands.
struct EyeField {
    id: &'static str,
    words: &'static str,
    unit: &'static str,
    spoken: &'static str,
    range: (u16, u16),
    of: fn(Eye) -> u16,
    with: fn(Eye, i64) -> Eye,
}

const EYE_FIELDS: [EyeField; 2] = [
    EyeField {
        id: "eye-distance",
        words: "Distance",
        unit: "m",
        spoken: "Distance from the middle of the vehicle, m",
        range: (Eye::LEAST_M, Eye::MOST_M),
        of: |eye| eye.distance_m,
        with: Eye::at_distance,
    },
    EyeField {
        id: "eye-direction",
        words: "Direction",
        unit: "°",
        spoken: "Direction from the vehicle, degrees: 0 front, 90 left, 180 rear, 270 right",
        range: (0, 359),
        of: |eye| eye.azimuth_degrees,
        with: Eye::toward,
    },
];

/// A number with its slider; both do the same.
fn eye_field(dispatch: &Dispatch, eye: Eye, field: &'static EyeField) -> Tag {
    let stand = {
        let dispatch = dispatch.clone();
        move |input: Option<HtmlInputElement>| {
            let Some(input) = input else {
                return;
            };
            let mut eye = dispatch.live.editor().preview().eye;
            if let Some(thousandths) = micros(&input.value()) {
                let nearest = (thousandths.get() + 500).div_euclid(1000);
                eye = (field.with)(eye, nearest);
                dispatch.send(Action::StandAt(eye));
            }
            // What was typed may be no such place, or another name of the same one.
            input.set_value(&(field.of)(eye).to_string());
        }
    };
    let sliding = stand.clone();
    let input = |kind: &'static str| {
        tag("input", "input")
            .with("type", kind)
            .with_text("min", field.range.0.to_string())
            .with_text("max", field.range.1.to_string())
            .value((field.of)(eye).to_string())
    };
    // A number counts when it is typed to its end, the slider as it moves.
    let on_number = Callback::from(move |event: Event| stand(event.target_dyn_into()));
    let on_slide = Callback::from(move |event: InputEvent| sliding(event.target_dyn_into()));
    tag("div", "row nowrap")
        .key(field.id.to_owned())
        .tag(said("label", "", field.words).with("for", field.id))
        .tag(
            input("number")
                .with("id", field.id)
                .with("aria-label", field.spoken)
                .on_change(on_number),
        )
        .tag(said("span", "", field.unit))
        .tag(
            input("range")
                .with("aria-label", field.words)
                .on_input(on_slide),
        )
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
    let (dispatch, document, viewed) = (use_dispatch(), use_document(), use_viewed());
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
    let (Some(dispatch), Some(document), Some(viewed)) = (dispatch, document, viewed) else {
        return Html::default();
    };
    let driven = document.driven();
    let focused = document.selection().focused_head().cloned();
    let active = focused
        .as_ref()
        .map(|head| format!("head-{head}"))
        .unwrap_or_default();
    let on_key = {
        let (dispatch, focused) = (dispatch.clone(), focused.clone());
        Callback::from(move |event: KeyboardEvent| on_key(&dispatch, focused.as_ref(), &event))
    };
    let preview = viewed.preview();
    let candelas = if preview.projection == Projection::Approach {
        candelas_toward(&document.program().vehicle, preview.eye)
    } else {
        Vec::new()
    };
    let mut toward = candelas.into_iter();
    let heads = driven.drive.heads.iter().map(|head| {
        let mut words = head_words(&document, head);
        let seen: i64 = toward
            .by_ref()
            .take(head.emitters.len())
            .max()
            .unwrap_or(-1);
        if seen >= 0 {
            words.push_str(&format!("; up to {seen} cd toward the observer"));
        }
        let is_selected = document.selection().heads.contains(&head.head);
        text("div", "only-spoken", words)
            .key(head.head.to_string())
            .with("role", "option")
            .with_text("id", format!("head-{}", head.head))
            .with("aria-selected", if is_selected { "true" } else { "false" })
    });
    tag("div", "drawing")
        .with("role", "listbox")
        .with("tabindex", "0")
        .with("aria-label", "Heads of the vehicle, arrow keys select")
        .with("aria-multiselectable", "true")
        .with_text("aria-activedescendant", active)
        .with("id", "heads")
        .on_key(on_key)
        .tag(tag("canvas", "").node(&canvas).with("aria-hidden", "true"))
        .tag(
            tag("div", "")
                .with("role", "group")
                .with("aria-label", "Heads")
                .tags(heads),
        )
        .done()
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
    let dragging = dispatch.clone();
    let drag = Rc::new(Cell::new(None::<HeadDrag>));
    let (held, moved) = (drag.clone(), drag.clone());
    let on_end = |is_kept: bool| {
        let (dispatch, drag) = (dispatch.clone(), drag.clone());
        move |_: PointerEvent| {
            if drag.take().is_some() {
                let end = if is_kept {
                    Action::Release
                } else {
                    Action::CancelGesture
                };
                dispatch.send(end);
            }
        }
    };
    let pressed_on = canvas.clone();
    let live = dispatch.live.clone();
    let repaint: Rc<dyn Fn()> = Rc::new(move || live.change_looks());
    let mut listeners = preferences::on_colors_change(&repaint);
    listeners.extend([
        Listener::typed::<PointerEvent>(canvas, "pointermove", move |event| {
            hovering(Some(place(&event)));
            if let Some(drag) = moved.get() {
                let change = drag.at(place(&event), event.alt_key());
                dragging.send(Action::Heads(change));
            }
        }),
        Listener::typed::<PointerEvent>(canvas, "pointerup", on_end(true)),
        Listener::typed::<PointerEvent>(canvas, "pointercancel", on_end(false)),
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
            let start = pressing.live.plan.borrow().as_ref().and_then(|painter| {
                HeadDrag::start(&pressing.live.editor(), painter.scene(), (x, y))
            });
            match head {
                Some(head) if start.is_some() && !is_adding => {
                    held.set(start);
                    let _ = pressed_on.set_pointer_capture(event.pointer_id());
                    pressing.send(Action::Heads(HeadsChange::Press(head)));
                }
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
    ]);
    listeners
}

fn place(event: &PointerEvent) -> (f64, f64) {
    (f64::from(event.offset_x()), f64::from(event.offset_y()))
}

/// The keys of a list of several to choose from: arrows go and choose, with Shift they choose as well, with Ctrl they only go, and Space takes in or leaves out.
fn on_key(dispatch: &Dispatch, focused: Option<&HeadId>, event: &KeyboardEvent) {
    let editor = dispatch.live.editor();
    if event.key() == "Escape" && editor.gesture().is_some() {
        event.stop_propagation();
        dispatch.send(Action::CancelGesture);
    }
    let is_apart = event.ctrl_key() || event.meta_key();
    if event.alt_key() {
        if is_apart {
            return;
        }
        let step = Millimeters(if event.shift_key() { 10 } else { 50 });
        let back = Millimeters(-step.0);
        let none = Millimeters(0);
        let (forward, left) = match event.key().as_str() {
            "ArrowUp" => (step, none),
            "ArrowDown" => (back, none),
            "ArrowLeft" => (none, step),
            "ArrowRight" => (none, back),
            _ => return,
        };
        if editor.view() == View::Setup {
            event.prevent_default();
            event.stop_propagation();
            dispatch.send(Action::Heads(HeadsChange::Move(forward, left)));
        }
        return;
    }
    let heads = &editor.program().vehicle.heads;
    let drawn = dispatch.live.plan.borrow();
    let toward = |dx: f64, dy: f64| -> Option<HeadId> {
        let (from, painter) = (focused?, drawn.as_ref()?);
        if painter.shows(from) {
            painter.head_toward(from, dx, dy)
        } else {
            painter.first_head()
        }
    };
    let first = || heads.first().map(|head| head.id.clone());
    let next = match event.key().as_str() {
        "ArrowUp" => toward(0.0, -1.0),
        "ArrowDown" => toward(0.0, 1.0),
        "ArrowLeft" => toward(-1.0, 0.0),
        "ArrowRight" => toward(1.0, 0.0),
        "Home" => first(),
        "End" => heads.last().map(|head| head.id.clone()),
        " " => focused.cloned(),
        "a" if is_apart => first(),
        _ => return,
    };
    drop(drawn);
    event.prevent_default();
    event.stop_propagation();
    let Some(head) = next.or_else(|| if focused.is_none() { first() } else { None }) else {
        return;
    };
    let (heads, mode) = match event.key().as_str() {
        "a" => {
            let all = heads.iter().map(|head| head.id.clone());
            (all.collect(), SelectMode::Replace)
        }
        " " => (vec![head], SelectMode::Toggle),
        _ if event.shift_key() => (vec![head], SelectMode::Add),
        _ if is_apart => (vec![head], SelectMode::Keep),
        _ => (vec![head], SelectMode::Replace),
    };
    dispatch.send(Action::SelectHeads(heads, mode));
}
