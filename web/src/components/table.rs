//! The lanes and pulses as a real table.
//!
//! Invariant: whatever the canvas can change can be changed here by keyboard alone.

use super::fields::{WHOLE, answer, cell_keys, color_choice, input, number_input, percent};
pub(crate) use super::fields::{micros, milliseconds, on_number};
use super::timeline::focus;
use crate::platform::clock::Timeout;
use crate::platform::document as page;
use crate::store::{Dispatch, Document};
use crate::tag::{Tag, button, columns, tag, text};
use lampwright_editor::{Action, LaneRow, PulseRow, Question, SelectMode, lane_table};
use lampwright_model::Color;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Most pulses in the visible table, so that it stays quick.
const MOST_VISIBLE: usize = 400;
/// Most pulses in the table that is only read out.
const MOST_SPOKEN: usize = 120;

const COLUMNS: [(&str, bool); 7] = [
    ("Pulse", false),
    ("Start, ms", true),
    ("Length, ms", true),
    ("Dark after, ms", true),
    ("Level, %", true),
    ("Color", false),
    ("Do", false),
];

/// All lanes and pulses of the open pattern; if it is not shown, it is only read out, without fields.
pub(crate) fn pulse_table(dispatch: &Dispatch, document: &Document, is_visible: bool) -> Tag {
    let most = if is_visible {
        MOST_VISIBLE
    } else {
        MOST_SPOKEN
    };
    let rows = lane_table(document, most);
    let n_pulses: usize = rows.iter().map(|lane| lane.n_pulses).sum();
    let label = document
        .open_pattern()
        .map_or("no pattern", |pattern| pattern.label.as_str());
    let mut caption = format!("Lanes and pulses of {label}: ");
    if n_pulses > most {
        caption.push_str(&format!("the first {most} of "));
    }
    caption.push_str(&format!("{n_pulses} pulses"));
    let titles = if is_visible {
        &COLUMNS[..]
    } else {
        COLUMNS.split_last().map_or(&[][..], |(_, titles)| titles)
    };
    let lanes = rows.iter().map(|lane| {
        let body = tag("tbody", "").key(lane.lane.to_string());
        let pulses = lane.pulses.iter();
        if is_visible {
            body.tag(lane_row(dispatch, document, lane))
                .tags(pulses.map(|pulse| pulse_row(dispatch, lane, pulse)))
        } else {
            let words = format!("{}: {}", lane.role, heads_words(lane));
            let title = text("th", "", words)
                .with("scope", "rowgroup")
                .with("colspan", "6");
            body.tag(tag("tr", "").tag(title))
                .tags(pulses.map(spoken_row))
        }
    });
    let table = tag("table", "")
        .with("id", "lane-table")
        .with("tabindex", "-1")
        .on_key(cell_keys())
        .tag(text("caption", "", caption))
        .tag(columns(titles))
        .tags(lanes);
    tag("div", if is_visible { "wide" } else { "only-spoken" }).tag(table)
}

fn heads_words(lane: &LaneRow) -> String {
    if lane.heads.is_empty() {
        "drives no head in this state".into()
    } else {
        format!("drives {}: {}", lane.heads.len(), lane.heads.join(", "))
    }
}

fn spoken_row(pulse: &PulseRow) -> Tag {
    let cells = [
        milliseconds(pulse.start),
        milliseconds(pulse.length),
        milliseconds(pulse.gap_after),
        percent(pulse.level),
        pulse.color.map_or("by layer", Color::name).into(),
    ];
    tag("tr", "")
        .tag(text("th", "", pulse.number.to_string()).with("scope", "row"))
        .tags(cells.into_iter().map(|words| text("td", "", words)))
}

fn lane_row(dispatch: &Dispatch, document: &Document, lane: &LaneRow) -> Tag {
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
    let insert = {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| {
            dispatch.send(Action::SelectLanes(vec![index], SelectMode::Replace));
            dispatch.send(Action::InsertAtFocus);
        })
    };
    let is_selected = document.selection().lanes.contains(&index);
    let name = tag("label", "")
        .tag(text(
            "span",
            "only-spoken",
            format!("Name of lane {}", index + 1),
        ))
        .tag(input(lane.role.as_str().to_owned(), rename));
    let title = tag("th", "")
        .with("scope", "rowgroup")
        .with("colspan", "6")
        .tag(name)
        .tag(text("span", "quiet", format!(" {}", heads_words(lane))))
        .tags(
            lane.findings
                .iter()
                .map(|finding| text("p", "quiet", finding.clone())),
        );
    let add = button("Add pulse", insert)
        .with_text("id", format!("add-{index}"))
        .with_text("aria-label", format!("Add pulse to lane {}", lane.role));
    tag("tr", if is_selected { "is-selected" } else { "" })
        .tag(title)
        .tag(tag("td", "").tag(add))
}

fn pulse_row(dispatch: &Dispatch, lane: &LaneRow, pulse: &PulseRow) -> Tag {
    let at = pulse.at;
    let name = format!("lane {}, pulse {}", lane.role, pulse.number);
    let number = |what: &str, unit: &str, value: String, question: Question| {
        let field = number_input(value, WHOLE, answer(dispatch, Some(at), question))
            .with_text("aria-label", format!("{what} of {name} in {unit}"));
        tag("td", "number").tag(field)
    };
    let delete = {
        let dispatch = dispatch.clone();
        Callback::from(move |_: MouseEvent| {
            dispatch.send(Action::SelectPulses(vec![at], SelectMode::Replace));
            dispatch.send(Action::Delete);
            // After the last row is gone, the one before gets the focus.
            let next = match at.pulse.checked_sub(1) {
                Some(before) => format!("delete-{}-{before}", at.lane),
                None => format!("add-{}", at.lane),
            };
            if let Some(timeout) = Timeout::new(50, move || keep_focus(&next)) {
                std::mem::forget(timeout);
            }
        })
    };
    let color = color_choice(dispatch, Some(at), pulse.color)
        .with_text("aria-label", format!("Color of {name}"));
    let delete = button("Delete", delete)
        .with_text("id", format!("delete-{}-{}", at.lane, at.pulse))
        .with_text("aria-label", format!("Delete {name}"));
    tag("tr", if pulse.is_selected { "is-selected" } else { "" })
        .key(pulse.number.to_string())
        .tag(text("th", "", pulse.number.to_string()).with("scope", "row"))
        .tag(number(
            "Start",
            "ms",
            milliseconds(pulse.start),
            Question::Start,
        ))
        .tag(number(
            "Length",
            "ms",
            milliseconds(pulse.length),
            Question::Length,
        ))
        .tag(text("td", "number", milliseconds(pulse.gap_after)))
        .tag(number(
            "Level",
            "per cent",
            percent(pulse.level),
            Question::Level,
        ))
        .tag(tag("td", "").tag(color))
        .tag(tag("td", "").tag(delete))
}

/// Gives the focus to an element when nothing has it any more.
fn keep_focus(next: &str) {
    let has_it = page()
        .and_then(|page| page.active_element())
        .is_some_and(|element| element.tag_name() != "BODY");
    if !has_it {
        focus(next);
    }
}
