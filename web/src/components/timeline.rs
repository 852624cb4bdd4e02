//! The timeline: a canvas for the pointer, keys for the keyboard, fields for exact numbers, a table for everyone else.

use super::fields::{command_button, lane_fields, pattern_fields, pulse_fields, shape_buttons};
use super::table::pulse_table;
use crate::painter::timeline::TimelinePainter;
use crate::platform::clock::Timeout;
use crate::platform::listen::Listener;
use crate::platform::preferences::text_scale;
use crate::store::{Dispatch, Document, use_dispatch, use_document};
use crate::tag::{Tag, button, component, said, tag, text};
use lampwright_editor::{
    Action, CommandId, HitPart, Modifiers, PlatformTask, Pointer, describe_focus,
};
use lampwright_model::PatternId;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use web_sys::{HtmlCanvasElement, HtmlElement, HtmlSelectElement, PointerEvent, WheelEvent};
use yew::prelude::*;

/// Properties of [`Timeline`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Whether the table is shown in place of the canvas.
    pub(crate) is_table: bool,
    /// Switches between canvas and table.
    pub(crate) on_table: Callback<bool>,
    /// Runs a command of the editor's table.
    pub(crate) on_command: Callback<CommandId>,
}

/// Commands with a button beside the choice of a pattern.
const COMMANDS: [(CommandId, &str); 5] = [
    (CommandId::ZoomToFit, "Whole period"),
    (CommandId::InsertPulse, "Insert pulse"),
    (CommandId::Delete, "Delete"),
    (CommandId::AddLane, "Add lane"),
    (CommandId::FindCommand, "Commands…"),
];

/// The timeline view.
#[component]
pub(crate) fn Timeline(props: &Props) -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let (is_table, on_command) = (props.is_table, &props.on_command);
    let on_table = {
        let on_table = props.on_table.clone();
        Callback::from(move |_: MouseEvent| on_table.emit(!is_table))
    };
    let row = tag("div", "row")
        .tag(pattern_choice(&dispatch, &document))
        .tags(
            COMMANDS
                .into_iter()
                .map(|(id, words)| command_button(&document, on_command, id, words)),
        )
        .tag(
            button("Table", on_table)
                .with("id", "table-switch")
                .with("aria-pressed", if is_table { "true" } else { "false" }),
        );
    let canvas = if is_table {
        Html::default()
    } else {
        component::<Canvas>(())
    };
    let hint = (!is_table).then(|| {
        said("p", "quiet", "Drag edges, bodies or upper edges of pulses, or draw in a free place, with Shift a rectangle that selects; Alt leaves the tick and the limits of rules, Escape gives up. Wheel zooms, Shift with wheel or the middle button pans")
    });
    tag("div", "view")
        .tag(row)
        .tag(
            tag("div", "row foldable")
                .tag(pattern_fields(&dispatch, &document, on_command))
                .tag(shape_buttons(&document, on_command)),
        )
        // Above what comes and goes with the focus, so that lanes stay under the pointer.
        .child(canvas)
        .tag(pulse_fields(&dispatch, &document))
        .maybe(lane_fields(&dispatch, &document, on_command))
        .maybe(hint)
        .tag(pulse_table(&dispatch, &document, is_table))
        .done()
}

fn pattern_choice(dispatch: &Dispatch, document: &Document) -> Tag {
    let open = document.open_pattern_id();
    let on_change = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            let id = event
                .target_dyn_into::<HtmlSelectElement>()
                .and_then(|select| PatternId::new(&select.value()).ok());
            if let Some(id) = id {
                dispatch.send(Action::ChoosePattern(id));
            }
        })
    };
    let driven = document.driven();
    let options = document.program().patterns.iter().map(|pattern| {
        let is_played = pattern.lanes.iter().any(|lane| {
            !driven
                .heads_of_lane(Some(&pattern.id), &lane.role)
                .is_empty()
        });
        let note = if is_played { ", plays now" } else { "" };
        text(
            "option",
            "",
            format!("{}, {}{note}", pattern.label, pattern.period),
        )
        .key(pattern.id.as_str().to_owned())
        .with_text("value", pattern.id.as_str().to_owned())
        .flag("selected", open == Some(&pattern.id))
    });
    let select = tag("select", "grow")
        .with("id", "pattern")
        .on_change(on_change)
        .tags(options);
    said("label", "row grow nowrap", "Pattern").tag(select)
}

/// Words for people who cannot see the canvas.
const LABEL: &str = "Timeline. Arrow keys move between pulses and lanes, Alt with arrows moves and dims the pulse, square brackets change its length, Enter edits its numbers, question mark lists all keys";

#[component]
fn Canvas() -> Html {
    let (lanes, above, frame) = (use_node_ref(), use_node_ref(), use_node_ref());
    let (dispatch, document) = (use_dispatch(), use_document());
    {
        let (lanes, above, frame, dispatch) = (
            lanes.clone(),
            above.clone(),
            frame.clone(),
            dispatch.clone(),
        );
        use_effect_with((), move |()| {
            let listeners = match (
                lanes.cast::<HtmlCanvasElement>(),
                above.cast::<HtmlCanvasElement>(),
                frame.cast::<HtmlElement>(),
                dispatch.clone(),
            ) {
                (Some(lanes), Some(above), Some(frame), Some(dispatch)) => {
                    attach(&lanes, &above, &frame, &dispatch)
                }
                _ => Vec::new(),
            };
            move || {
                drop(listeners);
                if let Some(dispatch) = dispatch {
                    *dispatch.live.timeline.borrow_mut() = None;
                }
            }
        });
    }
    let Some(document) = document else {
        return Html::default();
    };
    let on_key = Callback::from(|event: KeyboardEvent| {
        let is_plain = !(event.ctrl_key() || event.alt_key() || event.meta_key());
        if event.key() == "Enter" && is_plain {
            event.prevent_default();
            focus("pulse-start");
        }
    });
    let canvas = |node: &NodeRef| tag("canvas", "").node(node).with("aria-hidden", "true");
    tag("div", "timeline")
        .node(&frame)
        .with("id", "timeline")
        .with("tabindex", "0")
        .with("role", "application")
        .with("aria-label", LABEL)
        .with("aria-describedby", "timeline-focus")
        .on_key(on_key)
        .tag(canvas(&lanes))
        .tag(canvas(&above).with("id", "timeline-above"))
        .tag(text("p", "only-spoken", describe_focus(&document)).with("id", "timeline-focus"))
        .done()
}

/// Gives the keyboard focus to an element, and selects its text if it has some.
pub(crate) fn focus(id: &str) {
    if let Some(element) = crate::platform::element::<HtmlElement>(id) {
        // Refused only for elements that cannot have it.
        let _ = element.focus();
    }
    if let Some(input) = crate::platform::element::<web_sys::HtmlInputElement>(id) {
        input.select();
    }
}

/// Gives the keyboard focus to an element that is about to be rendered, after a dialog has given it back.
pub(crate) fn focus_soon(id: &'static str) {
    soon(move || focus(id));
}

/// Does something with what is about to be rendered.
pub(crate) fn soon(what: impl FnOnce() + 'static) {
    if let Some(timeout) = Timeout::new(50, what) {
        std::mem::forget(timeout);
    }
}

/// What a pointer does to the canvas at the moment.
#[derive(Clone, Copy, PartialEq)]
enum Use {
    Nothing,
    Gesture,
    Pan { last: (f64, f64) },
}

fn attach(
    lanes: &HtmlCanvasElement,
    above: &HtmlCanvasElement,
    frame: &HtmlElement,
    dispatch: &Dispatch,
) -> Vec<Listener> {
    *dispatch.live.timeline.borrow_mut() = TimelinePainter::new(lanes, above);

    let using = Rc::new(Cell::new(Use::Nothing));
    let pending: Rc<RefCell<Option<Timeout>>> = Rc::default();
    let mut listeners = vec![wheel(above, dispatch, &pending)];

    let (sending, state, canvas, holder) = (
        dispatch.clone(),
        using.clone(),
        above.clone(),
        frame.clone(),
    );
    listeners.push(Listener::typed::<PointerEvent>(
        above,
        "pointerdown",
        move |event| {
            // Keeps the focus where it is put here, and the page from selecting text.
            event.prevent_default();
            let _ = holder.focus();
            settle_view(&sending);
            match event.button() {
                0 => {
                    state.set(Use::Gesture);
                    sending.send(Action::Press(pointer(&event)));
                }
                1 => state.set(Use::Pan {
                    last: place(&event),
                }),
                _ => return,
            }
            let _ = canvas.set_pointer_capture(event.pointer_id());
        },
    ));
    let (sending, state, canvas) = (dispatch.clone(), using.clone(), above.clone());
    listeners.push(Listener::typed::<PointerEvent>(
        above,
        "pointermove",
        move |event| match state.get() {
            Use::Gesture => sending.send(Action::Drag(pointer(&event))),
            Use::Pan { last } => {
                let now = place(&event);
                state.set(Use::Pan { last: now });
                pan(&sending, last.0 - now.0, last.1 - now.1);
            }
            Use::Nothing => hover(&sending, &canvas, Some(place(&event))),
        },
    ));
    let (sending, state) = (dispatch.clone(), using.clone());
    listeners.push(Listener::typed::<PointerEvent>(
        above,
        "pointerup",
        move |_| match state.replace(Use::Nothing) {
            Use::Gesture => sending.send(Action::Release),
            Use::Pan { .. } => settle_view(&sending),
            Use::Nothing => {}
        },
    ));
    let (sending, state) = (dispatch.clone(), using);
    listeners.push(Listener::typed::<PointerEvent>(
        above,
        "pointercancel",
        move |_| {
            if state.replace(Use::Nothing) == Use::Gesture {
                sending.send(Action::CancelGesture);
            }
        },
    ));
    let (sending, canvas) = (dispatch.clone(), above.clone());
    listeners.push(Listener::typed::<PointerEvent>(
        above,
        "pointerleave",
        move |_| hover(&sending, &canvas, None),
    ));
    listeners
}

fn wheel(
    canvas: &HtmlCanvasElement,
    dispatch: &Dispatch,
    pending: &Rc<RefCell<Option<Timeout>>>,
) -> Listener {
    let (sending, pending) = (dispatch.clone(), pending.clone());
    Listener::typed::<WheelEvent>(canvas, "wheel", move |event| {
        event.prevent_default();
        // Lines and pages of the wheel in pixels, as browsers scroll them.
        let unit = match event.delta_mode() {
            WheelEvent::DOM_DELTA_LINE => 16.0,
            WheelEvent::DOM_DELTA_PAGE => 320.0,
            _ => 1.0,
        };
        let (dx, dy) = (event.delta_x() * unit, event.delta_y() * unit);
        if event.shift_key() {
            // Browsers turn the wheel sideways themselves when Shift is held.
            let along = if dx.abs() > dy.abs() { dx } else { dy };
            pan(&sending, along, 0.0);
        } else if event.ctrl_key() || dx.abs() <= dy.abs() {
            let editor = sending.live.editor();
            if let Some(painter) = sending.live.timeline.borrow_mut().as_mut() {
                let factor = libm::exp(-dy * 0.0015);
                let (view, x_px) = (painter.viewport(&editor), place(&event).0);
                let view = match editor.open_pattern() {
                    Some(pattern) => view.zoomed_within(x_px, factor, pattern.period),
                    None => view.zoomed_about(x_px, factor),
                };
                painter.show(limited(&editor, view));
            }
        } else {
            pan(&sending, dx, 0.0);
        }
        let settling = sending.clone();
        *pending.borrow_mut() = Timeout::new(120, move || settle_view(&settling));
    })
}

fn limited(
    editor: &lampwright_editor::EditorState,
    view: lampwright_editor::Viewport,
) -> lampwright_editor::Viewport {
    editor.open_pattern().map_or(view, |pattern| {
        view.limited_to(pattern.period, pattern.lanes.len())
    })
}

/// Pans without a change of the state.
fn pan(dispatch: &Dispatch, dx_px: f64, dy_px: f64) {
    let editor = dispatch.live.editor();
    if let Some(painter) = dispatch.live.timeline.borrow_mut().as_mut() {
        let view = painter.viewport(&editor).panned(dx_px, dy_px);
        painter.show(limited(&editor, view));
    }
}

/// Gives a view the canvas worked with by itself to the state.
fn settle_view(dispatch: &Dispatch) {
    let view = dispatch
        .live
        .timeline
        .borrow_mut()
        .as_mut()
        .and_then(TimelinePainter::take_view);
    if let Some(view) = view {
        dispatch.send(Action::SetViewport(view));
    }
}

fn hover(dispatch: &Dispatch, canvas: &HtmlCanvasElement, at: Option<(f64, f64)>) {
    let editor = dispatch.live.editor();
    let found = dispatch
        .live
        .timeline
        .borrow_mut()
        .as_mut()
        .and_then(|painter| painter.point(&editor, at));
    let cursor = match found.map(|hit| hit.part) {
        Some(HitPart::Edge(..)) => "ew-resize",
        Some(HitPart::Level(_)) => "ns-resize",
        Some(HitPart::Body(_)) => "grab",
        Some(HitPart::Lane(_)) => "crosshair",
        Some(HitPart::Ruler) => "col-resize",
        Some(HitPart::LaneLabel(_)) => "pointer",
        None => "default",
    };
    let _ = canvas.style().set_property("cursor", cursor);
}

/// Where the pointer is, in units of drawing, which grow with the page's text.
fn place(event: &web_sys::MouseEvent) -> (f64, f64) {
    let scale = text_scale();
    (
        f64::from(event.offset_x()) / scale,
        f64::from(event.offset_y()) / scale,
    )
}

fn pointer(event: &PointerEvent) -> Pointer {
    let (x_px, y_px) = place(event);
    Pointer {
        x_px,
        y_px,
        modifiers: Modifiers {
            extend: event.shift_key() || event.ctrl_key() || event.meta_key(),
            no_snap: event.alt_key(),
        },
    }
}

/// Does what only the page can do about the timeline; false when the task is another's.
pub(crate) fn perform(task: PlatformTask, on_table: &Callback<bool>) -> bool {
    if task != PlatformTask::FocusTable {
        return false;
    }
    on_table.emit(true);
    focus_soon("lane-table");
    true
}
