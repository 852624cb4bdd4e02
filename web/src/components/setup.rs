//! Set-up: the lists of what a program is made of, and one form for any of them.
//!
//! Invariant: rows come from the editor crate; here they are only drawn, and what is typed goes back as one value at one path.

use super::findings::judged_by;
use super::setup_form::{fields, show_choices};
use super::table::micros;
use crate::platform::promise::get;
use crate::store::{Dispatch, use_dispatch, use_document};
use crate::tag::{Tag, said, tag, text};
use lampwright_editor::setup::{
    Around, Control, How, Row, Step, ThingKind, add, around, duplicate, fill, form,
    impossible_form, labels, remove, remove_heads_everywhere, shift, step_label,
};
use lampwright_editor::{Action, CommandId, EditorState, SelectMode, View};
use lampwright_formats::decimal_text;
use lampwright_model::{Color, HeadId, ItemId, Millimeters};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::{Element, Event, HtmlInputElement};
use yew::prelude::*;

/// Properties of [`Setup`].
#[derive(Properties, PartialEq)]
pub(crate) struct Props {
    /// Runs a command of the editor's table.
    pub(crate) on_command: Callback<CommandId>,
}

/// What the form is about.
#[derive(Clone, Copy, PartialEq)]
enum Subject {
    /// The vehicle as a whole.
    Whole,
    /// The chosen things of a list.
    List(ThingKind),
    /// What cannot happen.
    Impossible,
}

impl Subject {
    /// The list it is one of.
    fn kind(self) -> Option<ThingKind> {
        match self {
            Self::List(kind) => Some(kind),
            _ => None,
        }
    }

    /// What its button says: a number for a list.
    fn value(self) -> String {
        match self {
            Self::Whole => "whole".into(),
            Self::Impossible => "impossible".into(),
            Self::List(kind) => {
                let index = ThingKind::ALL.iter().position(|known| *known == kind);
                index.unwrap_or_default().to_string()
            }
        }
    }

    /// What a button said.
    fn of(value: &str) -> Self {
        let kind = value.parse::<usize>().ok();
        match kind.and_then(|index| ThingKind::ALL.get(index)) {
            Some(kind) => Self::List(*kind),
            None if value == "impossible" => Self::Impossible,
            None => Self::Whole,
        }
    }
}

/// What is open here and what is typed and not yet taken.
#[derive(Clone, PartialEq)]
struct Open {
    /// What is set up.
    subject: Subject,
    /// The open thing of a list other than the heads, whose selection is the plan's.
    chosen: Option<ItemId>,
    /// The row in which something is typed, or refused; none for the lists.
    at: Option<(String, How)>,
    /// What is typed there.
    typed: String,
    /// Why it is refused; empty if it is not.
    refusal: String,
    /// Numbers of the starter as typed: front, rear, each side, spacing in meters.
    starter: [String; 4],
    /// Color of the starter's heads.
    color: Color,
}

impl Default for Open {
    fn default() -> Self {
        Self {
            subject: Subject::List(ThingKind::Head),
            chosen: None,
            at: None,
            typed: String::new(),
            refusal: String::new(),
            starter: ["4", "4", "0", "0.4"].map(str::to_owned),
            color: Color::Amber,
        }
    }
}

/// What is pressed above the form: the value of its button, and its words.
const LIST_BUTTONS: [(&str, &str); 5] = [
    ("add", "Add"),
    ("duplicate", "Duplicate"),
    ("remove", "Remove"),
    ("up", "Move up"),
    ("down", "Move down"),
];

/// Commands on the selected heads.
const HEAD_COMMANDS: [(CommandId, &str); 5] = [
    (CommandId::SameForward, "Line up across"),
    (CommandId::SameLeft, "Line up lengthwise"),
    (CommandId::SpreadHeads, "Spread evenly"),
    (CommandId::MirrorHeads, "Copy to the other side"),
    (CommandId::WireHeads, "An output for each emitter"),
];

/// What the starter asks for, with the unit.
const STARTER: [&str; 4] = [
    "Facing forward",
    "Facing rearward",
    "On each side",
    "Spacing, m",
];

/// Lists and forms.
#[component]
pub(crate) fn Setup(props: &Props) -> Html {
    let (dispatch, document) = (use_dispatch(), use_document());
    let open = use_state(Open::default);
    // A select keeps what was picked in it, also when that was refused or taken back.
    use_effect(show_choices);
    let (Some(dispatch), Some(document)) = (dispatch, document) else {
        return Html::default();
    };
    let ids = Rc::new(chosen_ids(&document, &open));
    let rows = Rc::new(match open.subject {
        Subject::List(_) if ids.is_empty() => Vec::new(),
        Subject::Impossible => impossible_form(&document),
        _ => form(&document, &ids),
    });
    let session = Session {
        dispatch,
        open: open.clone(),
        ids: ids.clone(),
        rows: rows.clone(),
        on_command: props.on_command.clone(),
    };
    let (on_change, on_input, on_click, on_key) = (
        session.clone(),
        session.clone(),
        session.clone(),
        session.clone(),
    );
    let form = tag("div", "form")
        .with("id", "setup-form")
        .maybe((ids.len() > 1).then(|| {
            let words = format!("What is filled in here goes into all {} heads", ids.len());
            text("p", "quiet wide-field", words).key("many".into())
        }))
        .tags(fields(&rows, open.at.as_ref(), &open.typed, &open.refusal).into_iter());
    tag("div", "view setup")
        .on_change(Callback::from(move |event: Event| {
            on_change.entered(&event, true);
        }))
        .on_input(Callback::from(move |event: InputEvent| {
            on_input.entered(&event, false);
        }))
        .on_click(Callback::from(move |event: MouseEvent| {
            on_click.pressed(&event);
        }))
        .on_key(Callback::from(move |event: KeyboardEvent| {
            match event.key().as_str() {
                "Escape" if on_key.open.at.is_some() => {
                    event.stop_propagation();
                    on_key.settle(String::new());
                }
                "ArrowUp" => on_key.stepped(&event, 1),
                "ArrowDown" => on_key.stepped(&event, -1),
                _ => {}
            }
        }))
        .tag(kinds(&document, &open))
        .maybe((open.subject.kind() == Some(ThingKind::Head)).then(|| heads(&document, &open)))
        .maybe(
            open.subject
                .kind()
                .map(|kind| things(&document, &open, kind, &ids)),
        )
        .maybe((open.subject == Subject::Impossible).then(|| {
            said("p", "quiet", "Values of signals that never come together, such as gear in drive with the rear door open; several values of one signal stand for any of them. Kept in the program: no rule looks at it yet, as only the default state and named situations are judged")
        }))
        .tag(form)
        .done()
}

/// What the form is about; nothing for the vehicle as a whole.
fn chosen_ids(document: &EditorState, open: &Open) -> Vec<ItemId> {
    if open.subject.kind() == Some(ThingKind::Head) {
        let selected = &document.selection().heads;
        let heads = document.program().vehicle.heads.iter();
        return heads
            .filter(|head| selected.contains(&head.id))
            .map(|head| ItemId::Head(head.id.clone()))
            .collect();
    }
    let chosen = open.chosen.clone().into_iter();
    chosen
        .filter(|id| document.program().position(id).is_some())
        .collect()
}

/// What can be set up, each list with how long it is.
fn kinds(document: &EditorState, open: &Open) -> Tag {
    let program = document.program();
    let button = |subject: Subject, words: String| {
        let value = subject.value();
        text("button", "", words)
            .key(value.clone())
            .with("type", "button")
            .with("name", "kind")
            .with_text("value", value)
            .with(
                "aria-pressed",
                if open.subject == subject {
                    "true"
                } else {
                    "false"
                },
            )
    };
    let lists = ThingKind::ALL.iter().map(|kind| {
        let n_things = labels(program, *kind).len();
        button(Subject::List(*kind), format!("{} {n_things}", kind.many()))
    });
    let impossible = format!("Impossible conditions {}", program.impossible.len());
    tag("div", "row")
        .with("role", "group")
        .with("aria-label", "What to set up")
        .tag(button(Subject::Whole, "Vehicle and supply".into()))
        .tags(lists)
        .tag(button(Subject::Impossible, impossible))
        .maybe((open.subject == Subject::Whole).then(|| {
            said("button", "", "New program with this vehicle")
                .with("type", "button")
                .with("name", "copy")
        }))
}

/// The starter, what the selected heads can do together, and the way to a playing pattern.
fn heads(document: &EditorState, open: &Open) -> Tag {
    let vehicle = &document.program().vehicle;
    let fields = STARTER.iter().zip(&open.starter).enumerate();
    let fields = fields.map(|(index, (label, value))| {
        tag("label", "").key(index.to_string()).say(label).tag(
            tag("input", "input short")
                .with("inputmode", "decimal")
                .with_text("name", format!("starter-{index}"))
                .value(value.clone()),
        )
    });
    let colors = Color::ALL.into_iter().map(|color| {
        let words = format!("{} {color}", color.letter());
        text("option", "", words)
            .with("value", color.name())
            .flag("selected", open.color == color)
    });
    let n_heads = starter(open).map_or_else(|_| "the".into(), |plan| plan.n_heads().to_string());
    let starter = tag("details", "")
        .flag("open", vehicle.heads.is_empty())
        .tag(said("summary", "", "Heads around the roof"))
        .tag(
            tag("div", "row")
                .tags(fields)
                .tag(
                    tag("label", "").say("Color").tag(
                        tag("select", "")
                            .with("name", "starter-color")
                            .with("data-now", open.color.name())
                            .tags(colors),
                    ),
                )
                .tag(
                    text(
                        "button",
                        "main",
                        format!("Add {n_heads} heads around the roof"),
                    )
                    .with("type", "button")
                    .with("name", "around"),
                ),
        );
    let n_selected = document.selection().heads.len();
    let commands = HEAD_COMMANDS.iter().enumerate();
    let commands = commands.map(|(index, (_, words))| {
        said("button", "", words)
            .key(index.to_string())
            .with("type", "button")
            .with("name", "command")
            .with_text("value", index.to_string())
            .flag("disabled", n_selected == 0)
    });
    let profile = &document.program().profile;
    let rules = if profile.rules.is_empty() {
        "Choose rules"
    } else {
        "Change rules"
    };
    let rules = tag("div", "row")
        .tag(text("span", "", judged_by(profile)))
        .tag(
            said("button", "", rules)
                .with("type", "button")
                .with("name", "rules"),
        );
    let on_which = match n_selected {
        0 => "all heads".to_owned(),
        1 => "the selected head".to_owned(),
        more => format!("the {more} selected heads"),
    };
    let play = match document.open_pattern() {
        None => said("button", "", "Add a pattern to play").with("name", "pattern"),
        Some(pattern) => {
            let words = format!("Play {} on {on_which}", pattern.label);
            text("button", "main", words)
                .with("name", "play")
                .flag("disabled", vehicle.heads.is_empty())
        }
    };
    tag("div", "column")
        .tag(starter)
        .tag(tag("div", "row").tag(play.with("type", "button")))
        .tag(rules)
        .maybe((!vehicle.heads.is_empty()).then(|| tag("div", "row").tags(commands)))
        .maybe((!vehicle.heads.is_empty()).then(|| {
            said(
                "p",
                "quiet",
                "Select heads on the plan or in the list; drag them on the plan from above, or Alt and the arrow keys there move them by 0.05 m",
            )
        }))
}

/// The things of a list, and what can be done with the chosen one.
fn things(document: &EditorState, open: &Open, kind: ThingKind, ids: &[ItemId]) -> Tag {
    let list = labels(document.program(), kind)
        .into_iter()
        .map(|(id, label)| {
            let is_chosen = ids
                .iter()
                .any(|chosen| Some(chosen) == kind.id(&id).as_ref());
            tag("li", "").key(id.clone()).tag(
                text("button", "plain", label)
                    .with("type", "button")
                    .with("name", "thing")
                    .with_text("value", id)
                    .with("aria-pressed", if is_chosen { "true" } else { "false" }),
            )
        });
    let buttons = LIST_BUTTONS.iter().map(|(value, words)| {
        said("button", "", words)
            .key((*words).to_owned())
            .with("type", "button")
            .with("name", "list")
            .with("value", value)
            .flag("disabled", ids.is_empty() && *value != "add")
    });
    let order = match kind {
        ThingKind::Layer => {
            Some("For each head the first layer that acts and addresses it decides")
        }
        ThingKind::DimLayer => Some("Every dim layer that acts multiplies, in any order"),
        _ => None,
    };
    let refusal = (open.at.is_none() && !open.refusal.is_empty()).then(|| {
        let words = text("p", "is-refused", open.refusal.clone()).with("role", "alert");
        let also = (kind == ThingKind::Head && !ids.is_empty()).then(|| {
            said("button", "", "Remove there too")
                .with("type", "button")
                .with("name", "list")
                .with("value", "everywhere")
        });
        tag("div", "row").tag(words).maybe(also)
    });
    tag("div", "column")
        .tag(tag("div", "row").tags(buttons))
        .maybe(refusal)
        .maybe(order.map(|words| said("p", "quiet", words)))
        .tag(
            tag(
                "ol",
                if order.is_some() {
                    "things in-order"
                } else {
                    "things"
                },
            )
            .with_text("aria-label", kind.many().to_owned())
            .tags(list),
        )
        .maybe(
            ids.is_empty()
                .then(|| said("p", "quiet", "Choose one to fill it in, or add one")),
        )
}

/// The plan that the starter's numbers stand for.
fn starter(open: &Open) -> Result<Around, String> {
    let [front, rear, side, spacing] = &open.starter;
    let count = |text: &str| {
        text.trim()
            .parse::<usize>()
            .map_err(|_| format!("\"{text}\" heads, a whole number wanted"))
    };
    let spacing = micros(spacing).ok_or("a spacing in meters wanted, such as 0.4")?;
    Ok(Around {
        n_front: count(front)?,
        n_rear: count(rear)?,
        n_side: count(side)?,
        // Meters with three decimals have the digits of milliseconds.
        spacing: Millimeters(spacing.get()),
        color: open.color,
    })
}

/// How far an arrow key goes, in thousandths of the unit.
fn step_thousandths(unit: &str) -> i64 {
    match unit {
        "m" => 50,
        "°" | "%" => 5_000,
        "A" => 100,
        "cd" => 100_000,
        _ => 1_000,
    }
}

/// What the listeners of one rendering work with.
#[derive(Clone)]
struct Session {
    dispatch: Dispatch,
    open: UseStateHandle<Open>,
    ids: Rc<Vec<ItemId>>,
    rows: Rc<Vec<Row>>,
    on_command: Callback<CommandId>,
}

impl Session {
    /// Forgets what was typed, and shows a refusal of the lists.
    fn settle(&self, refusal: String) {
        let mut open = (*self.open).clone();
        open.at = None;
        open.typed = String::new();
        open.refusal = refusal;
        self.open.set(open);
    }

    /// Something was typed or chosen; only what `is_meant` goes into the program.
    fn entered(&self, event: &Event, is_meant: bool) {
        let Some(target) = target_of(event) else {
            return;
        };
        // Whether it is of one line or of several, or a choice.
        let Some(value) = get(&target, "value")
            .ok()
            .and_then(|value| value.as_string())
        else {
            return;
        };
        let input = target.dyn_ref::<HtmlInputElement>();
        let name = target.get_attribute("name").unwrap_or_default();
        if let Some(what) = name.strip_prefix("starter-") {
            let mut open = (*self.open).clone();
            if let Some(typed) = what
                .parse()
                .ok()
                .and_then(|at: usize| open.starter.get_mut(at))
            {
                *typed = value;
            } else if let Some(color) = Color::from_name(&value) {
                open.color = color;
            }
            self.open.set(open);
            return;
        }
        let Some(row) = self.row_of(&target) else {
            return;
        };
        let is_entry = matches!(row.control, Control::Entry { .. } | Control::Lines(_));
        let value = match (&row.control, input) {
            (Control::Check(_), Some(input)) if input.checked() => "true".to_owned(),
            (Control::Check(_), _) => String::new(),
            _ => value,
        };
        if is_entry || is_meant {
            self.put(row, &value, is_meant);
        }
    }

    /// An arrow key in a field of a number: one step more or less.
    fn stepped(&self, event: &KeyboardEvent, direction: i64) {
        let Some(target) = target_of(event) else {
            return;
        };
        if let (Some(input), Some(row)) =
            (target.dyn_ref::<HtmlInputElement>(), self.row_of(&target))
            && matches!(
                row.control,
                Control::Entry {
                    is_number: true,
                    ..
                }
            )
            && let Some(now) = micros(&input.value())
        {
            event.prevent_default();
            let next = now.get() + direction * step_thousandths(row.unit);
            self.put(row, &decimal_text(next, 3), true);
        }
    }

    fn row_of(&self, target: &Element) -> Option<&Row> {
        let index: usize = target.get_attribute("data-row")?.parse().ok()?;
        self.rows.get(index)
    }

    /// Tries a value at the place of a row, and puts it there if it `is_meant` and taken.
    fn put(&self, row: &Row, value: &str, is_meant: bool) {
        let editor = self.dispatch.live.editor();
        let filled = fill(&editor, &self.ids, &row.path, row.how, value);
        let mut open = (*self.open).clone();
        open.at = None;
        open.typed = String::new();
        open.refusal = String::new();
        match filled {
            Ok(edit) if is_meant => {
                let label = step_label(&editor, &self.ids, row);
                self.dispatch.send(Action::Edit { label, edit });
            }
            filled => {
                open.at = Some((row.path.clone(), row.how));
                value.clone_into(&mut open.typed);
                open.refusal = filled.err().unwrap_or_default();
            }
        }
        self.open.set(open);
    }

    /// A button was pressed.
    fn pressed(&self, event: &MouseEvent) {
        let Some(target) = target_of(event) else {
            return;
        };
        let attribute = |name: &str| target.get_attribute(name).unwrap_or_default();
        let value = attribute("value");
        let mut open = (*self.open).clone();
        match attribute("name").as_str() {
            "row" => {
                if let Some(row) = self.row_of(&target)
                    && let Control::Button(value) = &row.control
                {
                    self.put(row, value, true);
                }
            }
            "kind" => {
                self.open.set(Open {
                    subject: Subject::of(&value),
                    chosen: None,
                    at: None,
                    refusal: String::new(),
                    ..open
                });
            }
            "thing" => {
                let is_adding = event.shift_key() || event.ctrl_key() || event.meta_key();
                if open.subject.kind() == Some(ThingKind::Head) {
                    let mode = if is_adding {
                        SelectMode::Toggle
                    } else {
                        SelectMode::Replace
                    };
                    if let Ok(id) = HeadId::new(&value) {
                        self.dispatch.send(Action::SelectHeads(vec![id], mode));
                    }
                } else {
                    open.chosen = open.subject.kind().and_then(|kind| kind.id(&value));
                    open.at = None;
                    open.refusal = String::new();
                    self.open.set(open);
                }
            }
            "list" => self.list(&value),
            "around" => {
                let editor = self.dispatch.live.editor();
                match starter(&open).and_then(|plan| around(editor.program(), &plan)) {
                    Ok((label, edit, ids)) => {
                        self.dispatch.send(Action::Edit { label, edit });
                        let select = Action::SelectHeads(ids, SelectMode::Replace);
                        self.dispatch.send(select);
                        self.settle(String::new());
                    }
                    Err(refusal) => self.settle(refusal),
                }
            }
            "command" => {
                let command = value.parse().ok();
                let command = command.and_then(|index: usize| HEAD_COMMANDS.get(index));
                if let Some((command, _)) = command {
                    self.on_command.emit(*command);
                }
            }
            "play" => self.on_command.emit(CommandId::PlayOnHeads),
            "copy" => self.on_command.emit(CommandId::CopyVehicle),
            "rules" => self.dispatch.send(Action::SetView(View::Rules)),
            "pattern" => {
                self.dispatch.send(Action::AddPattern);
                self.dispatch.send(Action::SetView(View::Timeline));
            }
            _ => {}
        }
    }

    /// Adds, copies, removes or moves in the open list.
    fn list(&self, what: &str) {
        let Some(kind) = self.open.subject.kind() else {
            return;
        };
        let editor = self.dispatch.live.editor();
        let program = editor.program();
        let last = self.ids.last();
        let step: Result<Step, String> = match (what, last) {
            ("add", last) => add(&editor, kind, last),
            (_, None) => return,
            ("duplicate", Some(id)) => duplicate(&editor, id),
            ("remove", Some(_)) => remove(program, &self.ids),
            ("everywhere", Some(_)) => remove_heads_everywhere(program, &self.ids),
            (way, Some(id)) => shift(program, id, way == "down"),
        };
        let mut open = (*self.open).clone();
        open.at = None;
        open.refusal = String::new();
        match step {
            Ok((label, edit, shown)) => {
                self.dispatch.send(Action::Edit { label, edit });
                if let Some(ItemId::Head(head)) = &shown {
                    let select = Action::SelectHeads(vec![head.clone()], SelectMode::Replace);
                    self.dispatch.send(select);
                }
                open.chosen = shown;
            }
            Err(refusal) => open.refusal = refusal,
        }
        self.open.set(open);
    }
}

/// The element an event happened to.
fn target_of(event: &Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}
