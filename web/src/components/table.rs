//! The lanes and pulses as a real table, and the focused pulse as fields with exact numbers.
//!
//! Invariant: whatever the canvas can change can be changed here by keyboard alone.

use super::timeline::focus;
use crate::store::{Dispatch, use_dispatch, use_document};
use lampwright_editor::{
    Action, EditorState, Focus, LaneRow, PulseAt, PulseRow, SelectMode, lane_table,
};
use lampwright_model::Color;
use lampwright_timing::{Level, Micros};
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// Most pulses in the visible table, so that it stays quick.
const MOST_VISIBLE: usize = 400;
/// Most pulses in the table that is only read out.
const MOST_SPOKEN: usize = 120;

/// Milliseconds without unit, as a field shows them.
pub(crate) fn milliseconds(time: Micros) -> String {
    let text = time.to_string();
    text.strip_suffix(" ms").map_or(text.clone(), str::to_owned)
}

/// Microseconds of a text in milliseconds with at most three decimals.
pub(crate) fn micros(text: &str) -> Option<Micros> {
    let text = text.trim().replace(',', ".");
    let (sign, text) = text
        .strip_prefix('-')
        .map_or((1, text.as_str()), |rest| (-1, rest));
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let is_number = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || decimals.len() > 3 || !is_number(whole) || !is_number(decimals) {
        return None;
    }
    let whole: i64 = whole.parse().ok().filter(|whole| *whole < 1_000_000_000)?;
    let decimals: i64 = format!("{decimals:0<3}").parse().ok()?;
    Some(Micros(sign * (whole * 1000 + decimals)))
}

/// Level of a text in per cent with at most one decimal.
fn level(text: &str) -> Option<Level> {
    // Per cent with one decimal has the digits of milliseconds with one.
    let thousandths = micros(text)?.get();
    (thousandths % 100 == 0)
        .then(|| Level::new(thousandths / 100).ok())
        .flatten()
}

/// Per cent without unit.
fn percent(level: Level) -> String {
    let text = level.to_string();
    text.strip_suffix(" %").map_or(text.clone(), str::to_owned)
}

/// Sends an action made from a field's text once it is complete, or says what was wanted.
pub(crate) fn on_number(
    dispatch: &Dispatch,
    select: Option<PulseAt>,
    make: impl Fn(&str) -> Option<Action> + 'static,
) -> Callback<Event> {
    let dispatch = dispatch.clone();
    Callback::from(move |event: Event| {
        let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
            return;
        };
        match make(&input.value()) {
            Some(action) => {
                input.set_custom_validity("");
                if let Some(at) = select {
                    dispatch.send(Action::SelectPulses(vec![at], SelectMode::Replace));
                }
                dispatch.send(action);
            }
            None => {
                input.set_custom_validity("a number with at most three decimals wanted");
                // Shows the words beside the field.
                let _ = input.report_validity();
            }
        }
    })
}

fn on_color(dispatch: &Dispatch, select: Option<PulseAt>) -> Callback<Event> {
    let dispatch = dispatch.clone();
    Callback::from(move |event: Event| {
        let Some(value) = event
            .target_dyn_into::<HtmlSelectElement>()
            .map(|select| select.value())
        else {
            return;
        };
        if let Some(at) = select {
            dispatch.send(Action::SelectPulses(vec![at], SelectMode::Replace));
        }
        let color = Color::ALL.into_iter().find(|color| color.name() == value);
        dispatch.send(Action::SetColor(color));
    })
}

fn color_options(current: Option<Color>) -> Html {
    html! {
        <>
            <option value="" selected={current.is_none()}>{ "as the layer says" }</option>
            { for Color::ALL.into_iter().map(|color| html! {
                <option value={color.name()} selected={current == Some(color)}>{ format!("{} {}", color.letter(), color.name()) }</option>
            }) }
        </>
    }
}

/// The focused pulse in numbers.
#[component]
pub(crate) fn PulseFields() -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let Some(pulse) = document.focused_pulse().copied() else {
        return html! {
            <div class="row fields">
                <p class="quiet">{ "No pulse in focus: press one, or focus the timeline and use the arrow keys" }</p>
            </div>
        };
    };
    let tick = document
        .open_pattern()
        .map_or_else(|| "1".to_owned(), |pattern| milliseconds(pattern.tick));
    let on_keys = Callback::from(move |event: KeyboardEvent| match event.key().as_str() {
        "Escape" => {
            event.stop_propagation();
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                // The document's value again, so that leaving the field changes nothing.
                input.set_value(&match input.id().as_str() {
                    "pulse-start" => milliseconds(pulse.start),
                    "pulse-length" => milliseconds(pulse.length),
                    _ => percent(pulse.level),
                });
                input.set_custom_validity("");
            }
            focus("timeline");
        }
        "Enter" => {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                // Leaving the field is what completes it.
                let _ = input.blur();
                focus("timeline");
            }
        }
        _ => {}
    });
    let title = match document.focus() {
        Focus::Pulse(at) => document
            .open_pattern()
            .and_then(|pattern| pattern.lanes.get(at.lane))
            .map_or(String::new(), |lane| {
                format!(
                    "Lane {}, pulse {} of {}",
                    lane.role,
                    at.pulse + 1,
                    lane.pulses.len()
                )
            }),
        _ => String::new(),
    };
    let n_selected = document.selection().pulses.len();
    let set_start = on_number(&dispatch, None, |text| micros(text).map(Action::SetStart));
    let set_length = on_number(&dispatch, None, |text| micros(text).map(Action::SetLength));
    let set_level = on_number(&dispatch, None, |text| level(text).map(Action::SetLevel));
    html! {
        <div class="row fields" role="group" aria-label={title.clone()} onkeydown={on_keys}>
            <strong>{ title }</strong>
            if n_selected > 1 {
                <span class="quiet">{ format!("({n_selected} selected)") }</span>
            }
            <label>{ "Start " }<input type="number" class="input" id="pulse-start" step={tick.clone()} value={milliseconds(pulse.start)} onchange={set_start} />{ " ms" }</label>
            <label>{ "Length " }<input type="number" class="input" id="pulse-length" step={tick} value={milliseconds(pulse.length)} onchange={set_length} />{ " ms" }</label>
            <label>{ "Level " }<input type="number" class="input" id="pulse-level" step="5" min="0.1" max="100" value={percent(pulse.level)} onchange={set_level} />{ " %" }</label>
            <label>{ "Color " }<select id="pulse-color" onchange={on_color(&dispatch, None)}>{ color_options(pulse.color) }</select></label>
        </div>
    }
}

/// Properties of [`LaneTable`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Whether it is shown; else it is only read out, without fields.
    pub(crate) is_visible: bool,
}

/// All lanes and pulses of the open pattern.
#[component]
pub(crate) fn LaneTable(props: &Props) -> Html {
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let rows = lane_table(&document);
    let n_pulses: usize = rows.iter().map(|lane| lane.pulses.len()).sum();
    let most = if props.is_visible {
        MOST_VISIBLE
    } else {
        MOST_SPOKEN
    };
    let label = document
        .open_pattern()
        .map_or("no pattern", |pattern| pattern.label.as_str());
    let caption = if n_pulses > most {
        format!("Lanes and pulses of {label}: the first {most} of {n_pulses} pulses")
    } else {
        format!("Lanes and pulses of {label}: {n_pulses} pulses")
    };
    let mut room = most;
    let lanes = rows.iter().map(|lane| {
        let shown = lane.pulses.len().min(room);
        room -= shown;
        if props.is_visible {
            lane_fields(&dispatch, &document, lane, shown)
        } else {
            lane_words(lane, shown)
        }
    });
    html! {
        <div class={if props.is_visible { "wide" } else { "only-spoken" }}>
            <table id="lane-table" tabindex="-1">
                <caption>{ caption }</caption>
                <thead><tr>
                    <th scope="col">{ "Pulse" }</th>
                    <th scope="col" class="number">{ "Start, ms" }</th>
                    <th scope="col" class="number">{ "Length, ms" }</th>
                    <th scope="col" class="number">{ "Dark after, ms" }</th>
                    <th scope="col" class="number">{ "Level, %" }</th>
                    <th scope="col">{ "Color" }</th>
                    if props.is_visible {
                        <th scope="col">{ "Do" }</th>
                    }
                </tr></thead>
                { for lanes }
            </table>
        </div>
    }
}

fn heads_words(lane: &LaneRow) -> String {
    if lane.heads.is_empty() {
        "drives no head in this state".into()
    } else {
        format!("drives {}: {}", lane.heads.len(), lane.heads.join(", "))
    }
}

fn lane_words(lane: &LaneRow, shown: usize) -> Html {
    html! {
        <tbody key={lane.lane}>
            <tr><th scope="rowgroup" colspan="6">{ format!("{}: {}", lane.role, heads_words(lane)) }</th></tr>
            { for lane.pulses.iter().take(shown).map(|pulse| html! {
                <tr>
                    <th scope="row">{ pulse.number }</th>
                    <td>{ milliseconds(pulse.start) }</td>
                    <td>{ milliseconds(pulse.length) }</td>
                    <td>{ milliseconds(pulse.gap_after) }</td>
                    <td>{ percent(pulse.level) }</td>
                    <td>{ pulse.color.map_or("as the layer says", Color::name) }</td>
                </tr>
            }) }
        </tbody>
    }
}

fn lane_fields(dispatch: &Dispatch, document: &EditorState, lane: &LaneRow, shown: usize) -> Html {
    let index = lane.lane;
    let rename = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                dispatch.send(Action::RenameLane {
                    lane: index,
                    role: input.value(),
                });
            }
        })
    };
    let end = lane
        .pulses
        .last()
        .map_or(Micros::ZERO, |pulse| pulse.start + pulse.length);
    let gap = document.open_pattern().map_or(Micros::ZERO, |pattern| {
        // Leaves one tick dark after the last pulse, when there is room.
        if end == Micros::ZERO {
            end
        } else {
            end + pattern.tick
        }
    });
    let insert = dispatch.callback(move |_: MouseEvent| Action::InsertPulse {
        lane: index,
        at: gap,
    });
    let is_selected = document.selection().lanes.contains(&index);
    html! {
        <tbody key={index}>
            <tr class={classes!(is_selected.then_some("is-selected"))}>
                <th scope="rowgroup" colspan="6">
                    <label>
                        <span class="only-spoken">{ format!("Name of lane {}", index + 1) }</span>
                        <input class="input" value={lane.role.as_str().to_owned()} onchange={rename} />
                    </label>
                    <span class="quiet">{ format!(" {}", heads_words(lane)) }</span>
                    { for lane.findings.iter().map(|finding| html! { <p class="quiet">{ finding.clone() }</p> }) }
                </th>
                <td><button type="button" onclick={insert} aria-label={format!("Add pulse to lane {}", lane.role)}>{ "Add pulse" }</button></td>
            </tr>
            { for lane.pulses.iter().take(shown).map(|pulse| pulse_fields(dispatch, lane, pulse)) }
        </tbody>
    }
}

fn pulse_fields(dispatch: &Dispatch, lane: &LaneRow, pulse: &PulseRow) -> Html {
    let at = pulse.at;
    let name = format!("lane {}, pulse {}", lane.role, pulse.number);
    let set_start = on_number(dispatch, Some(at), |text| {
        micros(text).map(Action::SetStart)
    });
    let set_length = on_number(dispatch, Some(at), |text| {
        micros(text).map(Action::SetLength)
    });
    let set_level = on_number(dispatch, Some(at), |text| level(text).map(Action::SetLevel));
    let delete = {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| {
            dispatch.send(Action::SelectPulses(vec![at], SelectMode::Replace));
            dispatch.send(Action::Delete);
        })
    };
    html! {
        <tr key={pulse.number} class={classes!(pulse.is_selected.then_some("is-selected"))}>
            <th scope="row">{ pulse.number }</th>
            <td class="number"><input type="number" class="input" step="any" aria-label={format!("Start of {name} in ms")} value={milliseconds(pulse.start)} onchange={set_start} /></td>
            <td class="number"><input type="number" class="input" step="any" aria-label={format!("Length of {name} in ms")} value={milliseconds(pulse.length)} onchange={set_length} /></td>
            <td class="number">{ milliseconds(pulse.gap_after) }</td>
            <td class="number"><input type="number" class="input" step="any" aria-label={format!("Level of {name} in per cent")} value={percent(pulse.level)} onchange={set_level} /></td>
            <td><select aria-label={format!("Color of {name}")} onchange={on_color(dispatch, Some(at))}>{ color_options(pulse.color) }</select></td>
            <td><button type="button" onclick={delete} aria-label={format!("Delete {name}")}>{ "Delete" }</button></td>
        </tr>
    }
}
