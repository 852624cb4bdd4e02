//! The preview's controls: play and stop, time, speed, loop, and its cautions.

use crate::store::{use_dispatch, use_document, use_viewed};
use crate::tag::{button, said, tag, text};
use lampwright_analysis::screening::cautions;
use lampwright_analysis::shortened;
use lampwright_editor::Action;
use lampwright_editor::preview::{SLOWNESSES, Speed};
use lampwright_timing::Micros;
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// Plays, stops and scrubs.
#[component]
pub(crate) fn Transport() -> Html {
    let (dispatch, viewed, document) = (use_dispatch(), use_viewed(), use_document());
    let (slider, pace) = (use_node_ref(), use_node_ref());
    {
        let (slider, dispatch) = (slider.clone(), dispatch.clone());
        use_effect(move || {
            if let Some(dispatch) = dispatch {
                *dispatch.live.scrubber.borrow_mut() = slider.cast::<HtmlInputElement>();
                dispatch.live.scrubbed_ms.set(-1);
            }
        });
    }
    // Both contexts render this again: what plays depends on the preview and on the selection.
    let (Some(dispatch), Some(_), Some(_)) = (dispatch, viewed, document) else {
        return Html::default();
    };
    let editor = dispatch.live.editor();
    let preview = *editor.preview();
    let speed = editor.known_preview_speed();
    let (from, to) = editor.preview_range();
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
    let on_scrub = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: InputEvent| {
            if let Some(at) = time_of(event.target_dyn_into()) {
                dispatch.live.seek(at);
            }
        })
    };
    let on_scrubbed = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            if let Some(at) = time_of(event.target_dyn_into()) {
                dispatch.live.seek(at);
                dispatch.send(Action::Seek(at));
            }
        })
    };
    let on_pace = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            let slowness = event
                .target_dyn_into::<HtmlSelectElement>()
                .and_then(|select| select.value().parse().ok());
            if let Some(slowness) = slowness {
                dispatch.send(Action::SetSlowness(slowness));
            }
        })
    };
    let is_looped = preview.is_looped;
    let on_loop = dispatch.callback(move |_: MouseEvent| Action::LoopSelection(!is_looped));
    let pressed = |is_pressed: bool| if is_pressed { "true" } else { "false" };
    show_choice(&pace, &preview.slowness.to_string());
    let paces = SLOWNESSES.into_iter().zip(PACES).map(|(slowness, words)| {
        said("option", "", words)
            .with_text("value", slowness.to_string())
            .flag("selected", slowness == preview.slowness)
    });
    let play = if preview.is_playing {
        "■ Stop (Space)"
    } else {
        "▶ Play"
    };
    let cautions = cautions::STANDING.iter().map(|text| said("li", "", text));
    tag("div", "column")
        .tag(
            tag("div", "row")
                .tag(
                    said("button", "main", play)
                        .with("type", "button")
                        .with("id", "play")
                        .on_click(on_play),
                )
                .tag(button("To start", on_start))
                .tag(
                    button("Full speed…", on_speed)
                        .with("aria-pressed", pressed(preview.is_full_speed))
                        .flag("disabled", preview.has_reduced_motion),
                ),
        )
        .tag(
            tag("div", "row nowrap time")
                .tag(said("label", "", "Time").with("for", "scrub"))
                .tag(
                    tag("input", "grow")
                        .with("type", "range")
                        .with("id", "scrub")
                        .with("aria-label", "Time of the preview, ms")
                        .node(&slider)
                        .with_text("min", (from.0 / 1000).to_string())
                        .with_text("max", (to.0 / 1000).to_string())
                        .on_input(on_scrub)
                        .on_change(on_scrubbed),
                )
                .tag(tag("output", "number").with("aria-live", "off")),
        )
        .tag(
            tag("div", "row nowrap")
                .tag(
                    tag("select", "grow")
                        .with("id", "pace")
                        .with("aria-label", "Pace of the preview")
                        .node(&pace)
                        .on_change(on_pace)
                        .tags(paces),
                )
                .tag(
                    button("Loop selection", on_loop)
                        .with("id", "loop")
                        .with("aria-pressed", pressed(is_looped))
                        .flag("disabled", !is_looped && editor.selected_span().is_none()),
                ),
        )
        .tag(
            text(
                "p",
                "rate",
                speed_words(
                    speed,
                    preview.is_full_speed && !preview.has_reduced_motion,
                    preview.has_reduced_motion,
                ),
            )
            .with("id", "rate"),
        )
        .tag(said(
            "p",
            "caution",
            "Space or Escape stops the preview from anywhere. Do not watch flashing lamps, real or drawn, near people who may be photosensitive without warning them",
        ))
        .tag(
            tag("details", "caution")
                .tag(said("summary", "", "Cautions of the screening"))
                .tag(tag("ul", "").tags(cautions)),
        )
        .done()
}

/// What the paces are called, in the order of [`SLOWNESSES`].
const PACES: [&str; 4] = [
    "Safe speed",
    "Half of it",
    "A quarter of it",
    "A tenth of it",
];

/// Lets a choice show a value also after the person has changed it: the page's own mark no longer counts then.
pub(crate) fn show_choice(select: &NodeRef, value: &str) {
    if let Some(select) = select.cast::<HtmlSelectElement>()
        && select.value() != value
    {
        select.set_value(value);
    }
}

fn time_of(slider: Option<HtmlInputElement>) -> Option<Micros> {
    let milliseconds: i64 = slider?.value().parse().ok()?;
    Some(Micros::from_ms(milliseconds))
}

fn speed_words(speed: Option<Speed>, is_full: bool, has_reduced_motion: bool) -> String {
    let Some(per_mille) = speed.map(Speed::per_mille) else {
        return "Still picture until the safe speed is known: judging…".into();
    };
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
    shortened(1000.0 / per_mille, 1)
}
