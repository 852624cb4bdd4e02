//! Fields with exact numbers: of the open pattern, of the focused lane, of the focused pulse; and buttons from the table of commands.
//!
//! Invariant: Enter completes a field and Escape leaves it as it was; both go back to the timeline, in the table they stay in the field, and so does Enter where it is refused.

use super::timeline::focus;
use crate::keys::is_offered;
use crate::platform::element;
use crate::store::{Dispatch, Document};
use crate::tag::{Tag, button, said, tag, text};
use lampwright_editor::{
    Action, COMMANDS, CommandGroup, CommandId, Focus, MessageKind, PulseAt, Question, SelectMode,
    command, lane_heads, lane_numbers, thousandths, typed,
};
use lampwright_formats::MOST_LETTERS;
use lampwright_model::Color;
use lampwright_timing::{Level, Micros};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::{HtmlElement, HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// Attribute that holds what a field shows while nothing is typed in it.
pub(crate) const NOW: &str = "data-now";

/// Attribute of a field whose last answer was refused.
const REFUSED: &str = "data-refused";

/// Milliseconds without unit, as a field shows them.
pub(crate) fn milliseconds(time: Micros) -> String {
    typed(time.get())
}

/// Microseconds of a text in milliseconds with at most three decimals.
pub(crate) fn micros(text: &str) -> Option<Micros> {
    thousandths(text).map(Micros)
}

/// Per cent without unit.
pub(crate) fn percent(level: Level) -> String {
    typed(level.per_mille() * 100)
}

/// Sends what was typed as the answer to a question, which says what it wants when it is refused.
pub(crate) fn answer(
    dispatch: &Dispatch,
    select: Option<PulseAt>,
    question: Question,
) -> Callback<Event> {
    let dispatch = dispatch.clone();
    Callback::from(move |event: Event| {
        let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
            return;
        };
        let mut tried = dispatch.live.editor();
        let mut send = |action: Action| {
            tried = Rc::new(tried.apply(action.clone()));
            dispatch.send(action);
        };
        if let Some(at) = select {
            send(Action::SelectPulses(vec![at], SelectMode::Replace));
        }
        send(Action::Answer(question, input.value()));
        // Refused only for names that no attribute can have.
        let _ = match tried.message().kind {
            MessageKind::Refused => input.set_attribute(REFUSED, ""),
            MessageKind::Done => input.remove_attribute(REFUSED),
        };
    })
}

/// Sends an action made from a field's text once it is complete, or says what was wanted.
pub(crate) fn on_number(
    dispatch: &Dispatch,
    select: Option<PulseAt>,
    make: impl Fn(&str) -> Result<Action, String> + 'static,
) -> Callback<Event> {
    on_text(dispatch.clone(), select, Box::new(make))
}

/// What a text becomes, or what was wanted instead.
type Make = Box<dyn Fn(&str) -> Result<Action, String>>;

#[inline(never)]
fn on_text(dispatch: Dispatch, select: Option<PulseAt>, make: Make) -> Callback<Event> {
    Callback::from(move |event: Event| {
        let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
            return;
        };
        match make(&input.value()) {
            Ok(action) => {
                input.set_custom_validity("");
                let _ = input.remove_attribute("aria-invalid");
                if let Some(at) = select {
                    dispatch.send(Action::SelectPulses(vec![at], SelectMode::Replace));
                }
                dispatch.send(action);
            }
            Err(wanted) => {
                input.set_custom_validity(&wanted);
                // Stays when the words are gone, since the field shows what the program does not have.
                let _ = input.set_attribute("aria-invalid", "true");
                // Shows the words beside the field.
                let _ = input.report_validity();
            }
        }
    })
}

/// An input that shows a value, and gets it back when Escape is pressed in it.
#[inline(never)]
pub(crate) fn input(value: String, on_change: Callback<Event>) -> Tag {
    tag("input", "input")
        .with_text(NOW, value.clone())
        .value(value)
        .on_change(on_change)
}

/// The same for a number, which the arrow keys change by so many thousandths.
#[inline(never)]
pub(crate) fn number_input(value: String, step: i64, on_change: Callback<Event>) -> Tag {
    decimal(input(value, on_change), step)
}

/// An input made one of a name, which is no longer than a file holds.
pub(crate) fn named(input: Tag) -> Tag {
    input.with_text("maxlength", MOST_LETTERS.to_string())
}

/// An input made one of a number: a text, since a browser's own field drops the comma that many write for a point, and 2,5 became 25.
#[inline(never)]
pub(crate) fn decimal(input: Tag, step: i64) -> Tag {
    input
        .with("class", "input decimal")
        .with("inputmode", "decimal")
        .with("autocomplete", "off")
        .on_key(Callback::from(move |event: KeyboardEvent| {
            step_by_key(&event, step);
        }))
}

/// Up and down in a field of a number.
fn step_by_key(event: &KeyboardEvent, step: i64) {
    let by = match event.key().as_str() {
        "ArrowUp" => step,
        "ArrowDown" => -step,
        _ => return,
    };
    let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
        return;
    };
    let Some(now) = thousandths(&input.value()) else {
        return;
    };
    event.prevent_default();
    input.set_value(&typed(now + by));
    for name in ["input", "change"] {
        let bubbling = web_sys::EventInit::new();
        bubbling.set_bubbles(true);
        if let Ok(event) = Event::new_with_event_init_dict(name, &bubbling) {
            // Told apart from typing by nobody, and cannot be refused.
            let _ = input.dispatch_event(&event);
        }
    }
}

/// A step of one, in thousandths.
pub(crate) const WHOLE: i64 = 1_000;

/// A field with its label and its unit.
#[inline(never)]
fn labelled(label: &'static str, id: &'static str, input: Tag, unit: &'static str) -> Tag {
    said("label", "", label).tag(input.with("id", id)).say(unit)
}

/// A choice of a color.
pub(crate) fn color_choice(
    dispatch: &Dispatch,
    select: Option<PulseAt>,
    now: Option<Color>,
) -> Tag {
    let dispatch = dispatch.clone();
    let on_change = Callback::from(move |event: Event| {
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
    });
    let none = said("option", "", "by layer")
        .with("value", "")
        .flag("selected", now.is_none());
    tag("select", "")
        .on_change(on_change)
        .tag(none)
        .tags(Color::ALL.into_iter().map(|color| {
            text("option", "", format!("{} {}", color.letter(), color.name()))
                .with("value", color.name())
                .flag("selected", now == Some(color))
        }))
}

/// Enter and Escape in a group of fields.
fn field_keys() -> Callback<KeyboardEvent> {
    keys_of_fields(|_| {
        focus(if element::<HtmlElement>("timeline").is_some() {
            "timeline"
        } else {
            "lane-table"
        });
    })
}

/// Enter and Escape in the table.
pub(crate) fn cell_keys() -> Callback<KeyboardEvent> {
    keys_of_fields(|input| {
        let _ = input.focus();
        input.select();
    })
}

/// Enter and Escape in fields, and where they go `then`.
fn keys_of_fields(then: fn(&HtmlInputElement)) -> Callback<KeyboardEvent> {
    Callback::from(move |event: KeyboardEvent| {
        let Some(input) = event.target_dyn_into::<HtmlInputElement>() else {
            return;
        };
        match event.key().as_str() {
            "Escape" => {
                event.stop_propagation();
                // The document's value again, so that leaving the field changes nothing.
                if let Some(now) = input.get_attribute(NOW) {
                    input.set_value(&now);
                    input.set_custom_validity("");
                    let _ = input.remove_attribute("aria-invalid");
                }
                then(&input);
            }
            "Enter" if input.type_() != "checkbox" => {
                // Leaving the field is what completes it.
                let _ = input.blur();
                if input.has_attribute(REFUSED) {
                    let _ = input.focus();
                } else {
                    then(&input);
                }
            }
            _ => {}
        }
    })
}

/// A button of the table of commands, which says its keys, or why it cannot be pressed.
pub(crate) fn command_button(
    document: &Document,
    on_command: &Callback<CommandId>,
    id: CommandId,
    words: &'static str,
) -> Tag {
    let on_command = on_command.clone();
    let button = button(
        words,
        Callback::from(move |_: MouseEvent| on_command.emit(id)),
    );
    let Some(command) = command(id) else {
        return button;
    };
    match ((command.why_not)(document), command.chords.first()) {
        (Some(why), _) => button.flag("disabled", true).with("title", why),
        (None, Some(keys)) => button.with_text("title", keys.to_string()),
        (None, None) => button,
    }
}

/// Folds of this name are open one at a time, so that lanes stay in sight below them.
const FOLD: &str = "above-lanes";

/// Commands on the open pattern and the focused lane, in the order of their buttons.
const PATTERN_COMMANDS: [(CommandId, &str); 6] = [
    (CommandId::AddPattern, "Add pattern"),
    (CommandId::RemovePattern, "Remove pattern"),
    (CommandId::ScalePeriod, "Scale…"),
    (CommandId::MoveLaneUp, "Lane up"),
    (CommandId::MoveLaneDown, "Lane down"),
    (CommandId::RemoveLane, "Remove lane"),
];

/// Name, period and tick of the open pattern.
pub(crate) fn pattern_fields(
    dispatch: &Dispatch,
    document: &Document,
    on_command: &Callback<CommandId>,
) -> Tag {
    let Some(pattern) = document.open_pattern() else {
        return tag("p", "row")
            .say("This program has no pattern yet: draw one, or say what it should do")
            .tag(command_button(
                document,
                on_command,
                CommandId::AddPattern,
                "Add pattern",
            ))
            .tag(command_button(
                document,
                on_command,
                CommandId::BuildPattern,
                "Build a pattern…",
            ));
    };
    let rename = {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                dispatch.send(Action::RenamePattern(input.value()));
            }
        })
    };
    let number = |time, make: fn(Micros) -> Action| {
        let on_change = on_number(dispatch, None, move |text| {
            let time = micros(text).ok_or("a number with at most three decimals wanted")?;
            Ok(make(time))
        });
        number_input(milliseconds(time), WHOLE, on_change)
    };
    let period = number(pattern.period, Action::SetPeriod);
    let tick = number(pattern.tick, Action::SetTick);
    let summary = format!(
        "Pattern and lanes: period {}, tick {}",
        pattern.period, pattern.tick
    );
    let row = tag("div", "row")
        .on_key(field_keys())
        .tag(labelled(
            "Name ",
            "pattern-name",
            named(input(pattern.label.clone(), rename)),
            "",
        ))
        .tag(labelled("Period ", "pattern-period", period, " ms"))
        .tag(labelled("Tick ", "pattern-tick", tick, " ms"))
        .tags(
            PATTERN_COMMANDS
                .into_iter()
                .map(|(id, words)| command_button(document, on_command, id, words)),
        );
    tag("details", "pattern")
        .with("name", FOLD)
        .tag(text("summary", "", summary))
        .tag(row)
}

/// Everything that shapes trains of pulses and whole lanes, as buttons.
pub(crate) fn shape_buttons(document: &Document, on_command: &Callback<CommandId>) -> Tag {
    let commands = COMMANDS
        .iter()
        .filter(|command| command.group == CommandGroup::Shape && is_offered(command))
        .map(|command| command_button(document, on_command, command.id, command.name));
    tag("details", "shapes")
        .with("name", FOLD)
        .tag(said("summary", "", "Shape pulses and lanes"))
        .tag(tag("div", "row").tags(commands))
}

/// The focused lane in numbers, how it stands in the preview, and which heads play it.
pub(crate) fn lane_fields(
    dispatch: &Dispatch,
    document: &Document,
    on_command: &Callback<CommandId>,
) -> Option<Tag> {
    let lane = document.focus().lane()?;
    let pattern = document.open_pattern()?;
    let role = &pattern.lanes.get(lane)?.role;
    let numbers = lane_numbers(pattern, lane)?;
    let answer = |question: Question| answer(dispatch, None, question);
    let heard = document.heard(lane);
    let pressed = |is_set: bool| if is_set { "true" } else { "false" };
    let preview = |id, words, is_set| {
        command_button(document, on_command, id, words).with("aria-pressed", pressed(is_set))
    };
    // A long list with one slip in it stays to be mended.
    let slip = document.refused_answer(Question::Runs);
    let shown = slip.unwrap_or(&numbers.runs).to_owned();
    let runs = input(numbers.runs, answer(Question::Runs))
        .value(shown)
        .with_if(slip.is_some(), "aria-invalid", "true")
        .with("autocomplete", "off");
    let rate = input(numbers.rate_hz, answer(Question::Rate)).with("autocomplete", "off");
    let duty = input(numbers.duty_percent, answer(Question::Duty)).with("autocomplete", "off");
    let per_minute = if numbers.rate_per_minute.is_empty() {
        " Hz".to_owned()
    } else {
        format!(" Hz, {} per minute", numbers.rate_per_minute)
    };
    let group = tag("div", "row fields lane")
        .with("role", "group")
        .with_text("aria-label", format!("Lane {role} in numbers"))
        .on_key(field_keys())
        .tag(text("strong", "", format!("Lane {role}")))
        .tag(labelled("lit, dark, … ", "lane-runs", runs, " ms").with("class", "grow nowrap row"))
        .tag(labelled("Repeats at ", "lane-rate", rate, "").text(per_minute))
        .tag(labelled("Lit ", "lane-duty", duty, " %"))
        .tag(preview(CommandId::Mute, "Mute", heard.is_muted))
        .tag(preview(CommandId::PlayAlone, "Alone", heard.is_alone))
        .tag(head_choice(dispatch, document, on_command, lane));
    Some(group)
}

/// Opens the heads of the focused lane and goes to the first.
pub(crate) fn show_heads() {
    let Some(heads) = element::<HtmlElement>("lane-heads") else {
        return;
    };
    // Refused only for names that no attribute can have.
    let _ = heads.set_attribute("open", "");
    let first = heads.query_selector("input").ok().flatten();
    if let Some(first) = first.and_then(|first| first.dyn_into::<HtmlElement>().ok()) {
        let _ = first.focus();
    }
}

/// Which heads play a lane.
fn head_choice(
    dispatch: &Dispatch,
    document: &Document,
    on_command: &Callback<CommandId>,
    lane: usize,
) -> Tag {
    let Some((layer, heads)) = lane_heads(document, lane) else {
        return tag("span", "quiet")
            .say("No layer plays this pattern ")
            .tag(command_button(
                document,
                on_command,
                CommandId::PlayOnHeads,
                "Play on heads",
            ));
    };
    let n_bound = heads.iter().filter(|head| head.is_bound).count();
    let boxes = heads.into_iter().map(|head| {
        let (dispatch, id, is_bound) = (dispatch.clone(), head.id.clone(), head.is_bound);
        let on_change = Callback::from(move |_: Event| {
            dispatch.send(Action::BindHead {
                lane,
                head: id.clone(),
                is_bound: !is_bound,
            });
        });
        let check = tag("input", "")
            .with("type", "checkbox")
            .checked(head.is_bound)
            .on_change(on_change);
        tag("label", "")
            .key(head.id.as_str().to_owned())
            .tag(check)
            .text(format!(" {}", head.label))
    });
    tag("details", "")
        .with("id", "lane-heads")
        .tag(text("summary", "", format!("Heads: {n_bound}")))
        .tag(text("p", "quiet", format!("In layer \"{layer}\"")))
        .tag(tag("div", "row").tags(boxes))
}

/// The focused pulse in numbers.
pub(crate) fn pulse_fields(dispatch: &Dispatch, document: &Document) -> Tag {
    let (Focus::Pulse(at), Some(pulse), Some(pattern)) = (
        document.focus(),
        document.focused_pulse(),
        document.open_pattern(),
    ) else {
        return tag("div", "row fields").tag(said(
            "p",
            "quiet",
            "No pulse in focus: press one, or focus the timeline and use the arrow keys",
        ));
    };
    let title = pattern.lanes.get(at.lane).map_or(String::new(), |lane| {
        format!(
            "Lane {}, pulse {} of {}",
            lane.role,
            at.pulse + 1,
            lane.pulses.len()
        )
    });
    let n_selected = document.selection().pulses.len();
    let selected =
        (n_selected > 1).then(|| text("span", "quiet", format!("({n_selected} selected)")));
    let number = |value: String, step: i64, question: Question| {
        number_input(value, step, answer(dispatch, None, question))
    };
    let tick = pattern.tick.get();
    let start = number(milliseconds(pulse.start), tick, Question::Start);
    let length = number(milliseconds(pulse.length), tick, Question::Length);
    let level = number(percent(pulse.level), 5 * WHOLE, Question::Level);
    let color = color_choice(dispatch, None, pulse.color);
    tag("div", "row fields")
        .with("role", "group")
        .with_text("aria-label", title.clone())
        .on_key(field_keys())
        .tag(text("strong", "", title))
        .maybe(selected)
        .tag(labelled("Start ", "pulse-start", start, " ms"))
        .tag(labelled("Length ", "pulse-length", length, " ms"))
        .tag(labelled("Level ", "pulse-level", level, " %"))
        .tag(labelled("Color ", "pulse-color", color, ""))
}
