//! Fields with exact numbers: of the open pattern, of the focused lane, of the focused pulse; and buttons from the table of commands.
//!
//! Invariant: Enter completes a field and Escape leaves it as it was; both go back to the timeline, in the table they stay in the field.

use super::timeline::focus;
use crate::keys::is_offered;
use crate::platform::element;
use crate::store::{Dispatch, Document};
use crate::tag::{Tag, button, said, tag, text};
use lampwright_editor::{
    Action, COMMANDS, CommandGroup, CommandId, Focus, PulseAt, Question, SelectMode, command,
    lane_heads, lane_numbers, thousandths, typed,
};
use lampwright_model::Color;
use lampwright_timing::{Level, Micros};
use web_sys::{HtmlElement, HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// Attribute that holds what a field shows while nothing is typed in it.
pub(crate) const NOW: &str = "data-now";

/// Milliseconds without unit, as a field shows them.
pub(crate) fn milliseconds(time: Micros) -> String {
    typed(time.get())
}

/// Microseconds of a text in milliseconds with at most three decimals.
pub(crate) fn micros(text: &str) -> Option<Micros> {
    thousandths(text).map(Micros)
}

/// Level of a text in per cent with at most one decimal.
pub(crate) fn level(text: &str) -> Option<Level> {
    // Per cent with one decimal has the digits of milliseconds with one.
    let thousandths = thousandths(text)?;
    (thousandths % 100 == 0)
        .then(|| Level::new(thousandths / 100).ok())
        .flatten()
}

/// Per cent without unit.
pub(crate) fn percent(level: Level) -> String {
    typed(level.per_mille() * 100)
}

/// Sends an action made from a field's text once it is complete, or says what was wanted.
pub(crate) fn on_number(
    dispatch: &Dispatch,
    select: Option<PulseAt>,
    make: impl Fn(&str) -> Option<Action> + 'static,
) -> Callback<Event> {
    on_text(dispatch.clone(), select, Box::new(make))
}

/// What a text becomes; none when it is no number.
type Make = Box<dyn Fn(&str) -> Option<Action>>;

#[inline(never)]
fn on_text(dispatch: Dispatch, select: Option<PulseAt>, make: Make) -> Callback<Event> {
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

/// The start of a typed pulse.
pub(crate) fn to_start(text: &str) -> Option<Action> {
    micros(text).map(Action::SetStart)
}

/// The length of a typed pulse.
pub(crate) fn to_length(text: &str) -> Option<Action> {
    micros(text).map(Action::SetLength)
}

/// The level of a typed pulse.
pub(crate) fn to_level(text: &str) -> Option<Action> {
    level(text).map(Action::SetLevel)
}

/// An input that shows a value, and gets it back when Escape is pressed in it.
#[inline(never)]
pub(crate) fn input(value: String, on_change: Callback<Event>) -> Tag {
    tag("input", "input")
        .with_text(NOW, value.clone())
        .value(value)
        .on_change(on_change)
}

/// The same for a number, which the arrow keys change by `step`.
#[inline(never)]
pub(crate) fn number_input(value: String, step: String, on_change: Callback<Event>) -> Tag {
    input(value, on_change)
        .with("type", "number")
        .with_text("step", step)
}

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
                }
                then(&input);
            }
            "Enter" if input.type_() != "checkbox" => {
                // Leaving the field is what completes it.
                let _ = input.blur();
                then(&input);
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
    let number = |time, make: fn(&str) -> Option<Action>| {
        let on_change = on_number(dispatch, None, make);
        number_input(milliseconds(time), "any".into(), on_change)
    };
    let period = number(pattern.period, |text| micros(text).map(Action::SetPeriod));
    let tick = number(pattern.tick, |text| micros(text).map(Action::SetTick));
    let summary = format!(
        "Pattern and lanes: period {}, tick {}",
        pattern.period, pattern.tick
    );
    let row = tag("div", "row")
        .on_key(field_keys())
        .tag(labelled(
            "Name ",
            "pattern-name",
            input(pattern.label.clone(), rename),
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
    let answer = |question: Question| {
        let dispatch = dispatch.clone();
        Callback::from(move |event: Event| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                dispatch.send(Action::Answer(question, input.value()));
            }
        })
    };
    let heard = document.heard(lane);
    let pressed = |is_set: bool| if is_set { "true" } else { "false" };
    let preview = |id, words, is_set| {
        command_button(document, on_command, id, words).with("aria-pressed", pressed(is_set))
    };
    let runs = input(numbers.runs, answer(Question::Runs)).with("autocomplete", "off");
    let rate = input(numbers.rate_hz, answer(Question::Rate)).with("autocomplete", "off");
    let duty = input(numbers.duty_percent, answer(Question::Duty)).with("autocomplete", "off");
    let per_minute = format!(" Hz, {} per minute", numbers.rate_per_minute);
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
        .tag(head_choice(dispatch, document, lane));
    Some(group)
}

/// Which heads play a lane.
fn head_choice(dispatch: &Dispatch, document: &Document, lane: usize) -> Tag {
    let Some((layer, heads)) = lane_heads(document, lane) else {
        return said("span", "quiet", "No layer plays this pattern");
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
    let tick = milliseconds(pattern.tick);
    let n_selected = document.selection().pulses.len();
    let selected =
        (n_selected > 1).then(|| text("span", "quiet", format!("({n_selected} selected)")));
    let start = number_input(
        milliseconds(pulse.start),
        tick.clone(),
        on_number(dispatch, None, to_start),
    );
    let length = number_input(
        milliseconds(pulse.length),
        tick,
        on_number(dispatch, None, to_length),
    );
    let level = number_input(
        percent(pulse.level),
        "5".into(),
        on_number(dispatch, None, to_level),
    )
    .with("min", "0.1")
    .with("max", "100");
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
