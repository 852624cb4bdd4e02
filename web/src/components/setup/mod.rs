//! Set-up: the lists of what a program is made of, and one form for any of them.
//!
//! Invariant: rows come from the editor crate; here they are only drawn, and what is typed goes back as one value at one path.

mod form;
mod lists;
mod session;
mod start;

use crate::store::{use_dispatch, use_document};
use crate::tag::tag;
use form::{fields, show_choices};
use lampwright_editor::setup::{How, ThingKind, form, impossible_form};
use lampwright_editor::{CommandId, EditorState};
use lampwright_model::{Color, ItemId};
use session::Session;
use std::rc::Rc;
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
    /// The open things of a list other than the heads, whose selection is the plan's.
    chosen: Vec<ItemId>,
    /// The row in which something is typed, or refused; none for the lists.
    at: Option<(String, How)>,
    /// What is typed there.
    typed: String,
    /// Why it is refused; empty if it is not.
    refusal: String,
    /// Whether it is refused because something refers to what was to be removed.
    is_used: bool,
    /// Numbers of the starter as typed: front, rear, each side, spacing in meters.
    starter: [String; 4],
    /// Color of the starter's heads.
    color: Color,
}

impl Default for Open {
    fn default() -> Self {
        Self {
            subject: Subject::List(ThingKind::Head),
            chosen: Vec::new(),
            at: None,
            typed: String::new(),
            refusal: String::new(),
            is_used: false,
            starter: ["4", "4", "0", "0.4"].map(str::to_owned),
            color: Color::Amber,
        }
    }
}

/// Lists and forms.
#[component]
pub(crate) fn Setup(props: &Props) -> Html {
    let (dispatch, document) = (use_dispatch(), use_document());
    let open = use_state(Open::default);
    let wanted = use_mut_ref(Vec::<String>::new);
    let focused = wanted.clone();
    use_effect(move || {
        // A select keeps what was picked in it, also when that was refused or taken back.
        show_choices();
        session::show_chosen();
        session::go_to(&focused.take());
    });
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
        wanted,
    };
    let (on_change, on_input, on_click) = (session.clone(), session.clone(), session.clone());
    let kind = open.subject.kind();
    let form = tag("div", "form")
        .key("form".into())
        .with("id", "setup-form")
        .tags(lists::about(&document, open.subject, &ids).into_iter())
        .tags(fields(&rows, open.at.as_ref(), &open.typed, &open.refusal).into_iter());
    // What a program begins with stands first until something plays, and last from then on.
    let is_begun = !document.program().layers.is_empty();
    let start = (kind == Some(ThingKind::Head)).then(|| start::start(&document, &open));
    let (before, after) = if is_begun {
        (None, start)
    } else {
        (start, None)
    };
    let inside = tag("div", "column")
        .tags(before.into_iter())
        .tags(
            kind.map(|kind| lists::things(&document, &open, kind, &ids))
                .into_iter(),
        )
        .tag(form)
        .tags(after.into_iter());
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
            session.key(&event);
        }))
        .tag(lists::kinds(&document, &open))
        .tag(inside)
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
    let chosen = open.chosen.iter();
    chosen
        .filter(|id| document.program().position(id).is_some())
        .cloned()
        .collect()
}
