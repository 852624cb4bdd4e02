//! The pattern builder and the pattern library as one component, and what they have in common: lanes drawn, the verdict of the profile, and taking a pattern over.
//!
//! Invariant: what is drawn here stands still, but for a line that shows the instant while the lamps of the library flash, and a verdict names every rule that a pattern fails.
//! Nothing changes in the program before the person takes a pattern over, and then as one step of the history.

use super::builder::{self, Form};
use super::library::{self, Shelf};
use crate::platform::element;
use crate::store::{Dispatch, Document, use_dispatch, use_document, use_viewed};
use crate::tag::{Tag, button, component, said, tag, text};
use lampwright_analysis::screening::cautions;
use lampwright_editor::Action;
use lampwright_editor::trial::{Scope, Trial};
use lampwright_model::Pattern;
use lampwright_timing::Micros;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsValue;
use web_sys::{Element, Event, InputEvent};
use yew::prelude::*;

/// Properties of [`Patterns`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// What came of a pattern file that was opened, empty when none was; nothing for the builder in place of the library.
    pub(crate) news: Option<AttrValue>,
    /// Called when it is closed.
    pub(crate) on_close: Callback<()>,
}

/// The pattern builder, or the pattern library.
#[component]
pub(crate) fn Patterns(props: &Props) -> Html {
    let viewed = use_viewed();
    component::<Opened>(OpenedProps {
        news: props.news.clone(),
        has_reduced_motion: viewed.is_some_and(|viewed| viewed.preview().has_reduced_motion),
        on_close: props.on_close.clone(),
    })
}

/// Properties of [`Opened`].
#[derive(Properties, PartialEq)]
struct OpenedProps {
    news: Option<AttrValue>,
    has_reduced_motion: bool,
    on_close: Callback<()>,
}

/// Apart from what is looked at, so that a half typed number stays when the program is saved meanwhile.
#[component]
fn Opened(props: &OpenedProps) -> Html {
    let desk = Desk {
        state: use_mut_ref(State::default),
        shown_anew: use_force_update(),
    };
    let (Some(dispatch), Some(document)) = (use_dispatch(), use_document()) else {
        return Html::default();
    };
    let view = View {
        desk,
        dispatch,
        document,
        has_reduced_motion: props.has_reduced_motion,
        on_close: props.on_close.clone(),
    };
    match &props.news {
        None => builder::shown(&view),
        Some(news) => library::shown(&view, news),
    }
}

/// What both need to be shown.
pub(crate) struct View {
    pub(crate) desk: Desk,
    pub(crate) dispatch: Dispatch,
    pub(crate) document: Document,
    pub(crate) has_reduced_motion: bool,
    pub(crate) on_close: Callback<()>,
}

/// What the person has said and chosen so far.
#[derive(Default)]
pub(crate) struct State {
    pub(crate) form: Option<Form>,
    pub(crate) shelf: Shelf,
    pub(crate) scope: Scope,
    pub(crate) is_everywhere: bool,
}

/// What the handlers share.
#[derive(Clone)]
pub(crate) struct Desk {
    pub(crate) state: Rc<RefCell<State>>,
    shown_anew: UseForceUpdateHandle,
}

impl Desk {
    /// Changes the state and shows it.
    pub(crate) fn change(&self, change: impl FnOnce(&mut State)) {
        change(&mut self.state.borrow_mut());
        self.shown_anew.force_update();
    }

    /// Takes over the text of a field, by its identifier.
    fn set(&self, id: &'static str, text: &str) {
        self.change(|state| match id {
            "scope" => {
                state.scope = scope_of(text);
                state.shelf.judge_anew();
            }
            "everywhere" => state.is_everywhere = !state.is_everywhere,
            _ => {
                let is_of_form = state.form.as_mut().is_some_and(|form| form.set(id, text));
                if !is_of_form {
                    state.shelf.set(id, text);
                }
            }
        });
    }

    /// For a field whose value is meant once it is left.
    pub(crate) fn on_change(&self, id: &'static str) -> Callback<Event> {
        let desk = self.clone();
        Callback::from(move |event: Event| desk.set(id, &value_of(&event)))
    }

    /// For a field whose value counts with every change.
    pub(crate) fn on_input(&self, id: &'static str) -> Callback<InputEvent> {
        let desk = self.clone();
        Callback::from(move |event: InputEvent| desk.set(id, &value_of(&event)))
    }
}

/// The value of the field an event comes from.
fn value_of(event: &Event) -> String {
    event
        .target()
        .and_then(|target| js_sys::Reflect::get(&target, &JsValue::from_str("value")).ok())
        .and_then(|value| value.as_string())
        .unwrap_or_default()
}

/// A choice of one of several, each with a value, its words, and whether it is the present one.
pub(crate) fn choice(
    label: &'static str,
    id: &'static str,
    options: impl Iterator<Item = (String, String, bool)>,
    on_change: Callback<Event>,
) -> Tag {
    let options = options.map(|(value, words, is_present)| {
        text("option", "", words)
            .with_text("value", value)
            .flag("selected", is_present)
    });
    tag("label", "field").tag(said("span", "", label)).tag(
        tag("select", "")
            .with("id", id)
            .on_change(on_change)
            .tags(options),
    )
}

/// Scopes with the words of their options.
const SCOPES: [(Scope, &str); 3] = [
    (Scope::Flashing, "heads that flash now"),
    (Scope::Selected, "selected heads"),
    (Scope::All, "all heads"),
];

/// The scope of an option.
fn scope_of(value: &str) -> Scope {
    let index = value.parse::<usize>().unwrap_or(0);
    SCOPES
        .get(index)
        .map_or(Scope::Flashing, |(scope, _)| *scope)
}

/// The choice of heads.
pub(crate) fn scopes(view: &View, id: &'static str) -> Tag {
    let present = view.desk.state.borrow().scope;
    let driven = view.document.driven();
    let mut lamps = driven.drive.heads.iter().flat_map(|head| &head.emitters);
    let is_still = lamps.all(|lamp| lamp.level.is_constant());
    let options = SCOPES.iter().enumerate().map(|(index, (scope, words))| {
        let words = match scope {
            Scope::Flashing if is_still => "all heads, as none flashes now",
            _ => words,
        };
        let n_heads = view.document.heads_of_scope(*scope).len();
        (
            index.to_string(),
            format!("{words} ({n_heads})"),
            *scope == present,
        )
    });
    choice("Heads", id, options, view.desk.on_change("scope"))
}

/// Whether the pattern shall play in every state, as a box to mark; nothing to choose without signals.
pub(crate) fn everywhere(view: &View) -> Option<Tag> {
    let is_everywhere = view.desk.state.borrow().is_everywhere;
    (!view.document.program().signals.is_empty()).then(|| {
        tag("label", "row")
            .tag(
                tag("input", "")
                    .with("type", "checkbox")
                    .with("id", "everywhere")
                    .checked(is_everywhere)
                    .on_change(view.desk.on_change("everywhere")),
            )
            .say("Play in every state, not only in the shown one")
    })
}

/// The two ways to take a pattern over: onto heads, and into the program alone.
pub(crate) fn takers(view: &View, pattern: Option<&Pattern>) -> Tag {
    let (scope, is_everywhere) = {
        let state = view.desk.state.borrow();
        (state.scope, state.is_everywhere)
    };
    let take = |words: &'static str, scope: Option<Scope>| {
        let used = match pattern {
            Some(pattern) => view.document.use_pattern(pattern, scope, is_everywhere),
            None => Err(String::new()),
        };
        let reason = used.as_ref().err().cloned();
        let (dispatch, on_close) = (view.dispatch.clone(), view.on_close.clone());
        let take = Callback::from(move |_: MouseEvent| {
            if let Ok((label, edit, id)) = &used {
                dispatch.send(Action::Edit {
                    label: label.clone(),
                    edit: edit.clone(),
                });
                dispatch.send(Action::ChoosePattern(id.clone()));
                dispatch.send(Action::SetView(lampwright_editor::View::Timeline));
                on_close.emit(());
            }
        });
        match reason {
            Some(reason) => button(words, take)
                .flag("disabled", true)
                .with_text("title", reason),
            None => button(words, take),
        }
    };
    tag("div", "row")
        .tag(
            take("Add and play on these heads", Some(scope))
                .with("class", "main")
                .with("id", "take"),
        )
        .tag(take("Add to the program", None))
}

const WIDTH: i64 = 500;
const ROW: i64 = 24;

/// The lanes of a pattern over one period: large with labels and in words, or small and without.
pub(crate) fn drawn(pattern: &Pattern, is_large: bool) -> Tag {
    let period = pattern.period.get().max(1);
    let (left, below) = if is_large { (60, 18) } else { (0, 0) };
    let number = |value: i64| value.to_string();
    let mut words = format!("Lanes over {}.", pattern.period);
    let mut labels = Vec::new();
    let mut ground = String::new();
    // One outline for all pulses of a color, since a library has thousands of them.
    let mut outlines: Vec<(&'static str, String)> = Vec::new();
    let mut bottom = 0;
    for lane in &pattern.lanes {
        bottom += ROW;
        ground.push_str(&format!("M{left},{bottom}h{WIDTH}"));
        if is_large {
            words.push_str(&format!(" {}:", lane.role));
            labels.push(
                text("text", "", lane.role.to_string())
                    .with("x", "0")
                    .with_text("y", number(bottom - 8)),
            );
        }
        for pulse in lane.pulses.iter() {
            let x = pulse.start.get() * WIDTH / period;
            let width = (pulse.end().get() * WIDTH / period - x).max(1);
            let height = ((ROW - 4) * pulse.level.per_mille() / 1000).max(2);
            let x = left + x;
            let outline = format!("M{x},{bottom}v-{height}h{width}v{height}z");
            let color = pulse.color.map_or("plain", |color| color.name());
            match outlines.iter_mut().find(|(known, _)| *known == color) {
                Some((_, known)) => known.push_str(&outline),
                None => outlines.push((color, outline)),
            }
            if is_large {
                words.push_str(&format!(
                    " {} to {} at {}.",
                    pulse.start,
                    pulse.end(),
                    pulse.level
                ));
            }
        }
    }
    let rows = std::iter::once(("ground", ground))
        .chain(outlines)
        .map(|(class, outline)| tag("path", class).with_text("d", outline))
        .chain(labels);
    let svg = tag("svg", "").with_text(
        "viewBox",
        format!("0 0 {} {}", left + WIDTH + 2, bottom + below + 2),
    );
    if !is_large {
        return svg
            .with("preserveAspectRatio", "none")
            .with("aria-hidden", "true")
            .tags(rows);
    }
    let end = text("text", "", pattern.period.to_string())
        .with("text-anchor", "end")
        .with_text("x", number(left + WIDTH))
        .with_text("y", number(bottom + 14));
    let begin = said("text", "", "0 ms")
        .with_text("x", number(left))
        .with_text("y", number(bottom + 14));
    let instant = tag("path", "instant")
        .with("id", INSTANT)
        .with_text("d", format!("M{left},0v{bottom}"))
        .with("transform", "translate(-100)");
    svg.with("role", "img")
        .with_text("aria-label", words)
        .tags(rows)
        .tag(instant)
        .tag(begin)
        .tag(end)
}

/// Identifier of the line over the lanes that are drawn large.
const INSTANT: &str = "instant";

/// Moves the line over the lanes that are drawn large to an instant of the pattern.
pub(crate) fn show_instant(at: Micros, period: Micros) {
    if let Some(line) = element::<Element>(INSTANT) {
        let period = period.get().max(1);
        let x = at.get() % period * WIDTH / period;
        let _ = line.set_attribute("transform", &format!("translate({x})"));
    }
}

/// What the chosen profile says of a pattern.
pub(crate) fn verdict(trial: &Trial, profile: &str) -> Tag {
    let heads = match (trial.is_assumed, trial.n_heads) {
        (true, n) => {
            format!("{n} assumed heads on the front of the roof, as there are no heads to play on")
        }
        (false, 1) => "1 head".into(),
        (false, n) => format!("{n} heads"),
    };
    let found = match trial.faults.len() {
        _ if trial.n_chosen == 0 => "The profile chooses no rule, so nothing is judged".into(),
        0 => "Nothing found".into(),
        1 => "Fails 1 rule".into(),
        n => format!("Fails {n} rules"),
    };
    let counts = format!(
        "Judged as if it alone played on {heads}: {} rules passed, {} had nothing to look at; rules of the whole program are judged when it is in it",
        trial.n_passed, trial.n_not_judged
    );
    let screened = trial.worst.map(|worst| {
        text(
            "p",
            "",
            format!(
                "Worst second: {} flashes, {} of them red, toward {}°; band {}",
                worst.n,
                worst.n_red,
                worst.azimuth_degrees,
                worst.band.name()
            ),
        )
    });
    let faults = trial.faults.iter().map(|fault| {
        let mut words = format!(" {}", fault.message);
        if fault.n_more > 0 {
            words.push_str(&format!("; {} more findings", fault.n_more));
        }
        if fault.is_bound {
            words.push_str("; the profile asks for it in some states or of some patterns only");
        }
        tag("li", "finding")
            .tag(
                said("span", "", fault.severity.name())
                    .with_text("class", format!("severity {}", fault.severity.name())),
            )
            .tag(text("span", "code", format!(" {}", fault.code)))
            .text(words)
    });
    let title = if profile.is_empty() {
        "the profile"
    } else {
        profile
    };
    tag("section", "verdict column")
        .with("aria-label", "Verdict")
        .tag(
            tag("p", "band")
                .with("role", "status")
                .text(format!("{found}, by {title}")),
        )
        .tags(screened.into_iter())
        .tag(tag("ul", "").tags(faults))
        .tag(text("p", "quiet", counts))
        .tag(
            tag("details", "cautions")
                .tag(said("summary", "", "What this is and is not"))
                .tag(
                    tag("ul", "")
                        .tags(cautions::STANDING.iter().map(|words| said("li", "", words))),
                ),
        )
}
