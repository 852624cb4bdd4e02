//! The lists of the set-up: what can be set up, the things of one list, and what can be done with the chosen ones.

use super::{Open, Subject};
use crate::tag::{Tag, said, tag, text};
use lampwright_editor::setup::{ThingKind, labels, missing};
use lampwright_editor::{CommandId, EditorState};
use lampwright_model::ItemId;

/// What is pressed above the list: the value of its button, its words, and how many things have to be chosen for it at least and at most.
const LIST_BUTTONS: [(&str, &str, usize, usize); 6] = [
    ("add", "Add", 0, usize::MAX),
    ("duplicate", "Duplicate", 1, 1),
    ("remove", "Remove", 1, usize::MAX),
    ("up", "Move up", 1, 1),
    ("down", "Move down", 1, 1),
    ("all", "All", 0, usize::MAX),
];

/// Commands on the selected heads.
pub(super) const HEAD_COMMANDS: [(CommandId, &str); 5] = [
    (CommandId::SameForward, "Line up across"),
    (CommandId::SameLeft, "Line up lengthwise"),
    (CommandId::SpreadHeads, "Spread evenly"),
    (CommandId::MirrorHeads, "Copy to the other side"),
    (CommandId::WireHeads, "An output for each emitter"),
];

/// What can be set up, each list with how long it is.
pub(super) fn kinds(document: &EditorState, open: &Open) -> Tag {
    let program = document.program();
    let button = |subject: Subject, words: &'static str, n: Option<usize>| {
        let is_open = open.subject == subject;
        let value = subject.value();
        chooser("kind", value.clone(), words.to_owned(), is_open, is_open)
            .key(value)
            .tags(n.map(|n| text("span", "", format!(" {n}"))).into_iter())
    };
    let lists = ThingKind::ALL.iter().map(|kind| {
        let n_things = labels(program, *kind).len();
        button(Subject::List(*kind), kind.many(), Some(n_things))
    });
    let n_impossible = Some(program.impossible.len());
    tag("div", "kinds")
        .with("role", "toolbar")
        .with("aria-label", "What to set up")
        .tag(button(Subject::Whole, "Vehicle and supply", None))
        .tags(lists)
        .tag(button(
            Subject::Impossible,
            "Impossible conditions",
            n_impossible,
        ))
}

/// A button that chooses one of several, of which the arrow keys reach the others.
fn chooser(
    name: &'static str,
    value: String,
    words: String,
    is_chosen: bool,
    is_first: bool,
) -> Tag {
    text("button", "plain", words)
        .with("type", "button")
        .with("name", name)
        .with_text("value", value)
        .with("aria-pressed", if is_chosen { "true" } else { "false" })
        .with("tabindex", if is_first { "0" } else { "-1" })
}

/// What the form below is about.
pub(super) fn about(document: &EditorState, subject: Subject, ids: &[ItemId]) -> Vec<Tag> {
    let title = |words: String, note: &'static str| {
        text("h3", "about", words)
            .key("about".into())
            .tag(said("span", "quiet", note))
    };
    match (subject, ids) {
        (Subject::Whole, _) => vec![
            title("Vehicle and supply".into(), ""),
            tag("div", "wide-field").key("copy".into()).tag(
                said("button", "", "New program with this vehicle")
                    .with("type", "button")
                    .with("name", "copy"),
            ),
        ],
        (Subject::Impossible, _) => vec![
            title("Impossible conditions".into(), ""),
            said("p", "quiet wide-field", "Values of signals that never come together, such as gear in drive with the rear door open; several values of one signal stand for any of them. Left out when every state is judged, in the view States; the default state and named situations are judged all the same").key("note".into()),
        ],
        (Subject::List(_), []) => Vec::new(),
        (Subject::List(kind), [id]) => {
            let labels = labels(document.program(), kind).into_iter();
            let label = labels.filter(|(text, _)| kind.id(text).as_ref() == Some(id));
            let label = label.map(|(_, label)| label).next().unwrap_or_default();
            let words = format!("{} {label}", kind.one());
            vec![title(words, "Page Up and Page Down go to the others")]
        }
        (Subject::List(kind), ids) => {
            let many = kind.many().to_ascii_lowercase();
            let words = format!("What is filled in here goes into all {} {many}", ids.len());
            vec![title(words, "")]
        }
    }
}

/// The things of a list, and what can be done with the chosen ones.
pub(super) fn things(document: &EditorState, open: &Open, kind: ThingKind, ids: &[ItemId]) -> Tag {
    let known = labels(document.program(), kind);
    let is_empty = known.is_empty();
    let list = known.into_iter().enumerate().map(|(index, (id, label))| {
        let is = |chosen: &ItemId| Some(chosen) == kind.id(&id).as_ref();
        let is_first = ids.first().map_or(index == 0, is);
        let is_chosen = ids.iter().any(is);
        tag("li", "")
            .key(id.clone())
            .tag(chooser("thing", id, label, is_chosen, is_first))
    });
    let buttons = LIST_BUTTONS.iter().map(|(value, words, least, most)| {
        let is_useless = is_empty && *value == "all";
        said("button", "", words)
            .key((*words).to_owned())
            .with("type", "button")
            .with("name", "list")
            .with("value", value)
            .flag(
                "disabled",
                is_useless || !(*least..=*most).contains(&ids.len()),
            )
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
        let also = (open.is_used && kind == ThingKind::Head).then(|| {
            said("button", "", "Remove there too")
                .with("type", "button")
                .with("name", "list")
                .with("value", "everywhere")
        });
        tag("div", "row").tag(words).maybe(also)
    });
    let lacks = missing(document.program(), kind);
    let lacks = (!lacks.is_empty()).then(|| {
        let buttons = lacks.iter().enumerate().map(|(index, lack)| {
            text(
                "button",
                "plain",
                format!("{} {}", lack.words, lack.ids.len()),
            )
            .key(lack.words.to_owned())
            .with("type", "button")
            .with("name", "missing")
            .with_text("value", index.to_string())
        });
        tag("div", "row")
            .with("role", "group")
            .with("aria-label", "Not entered yet")
            .tag(said("span", "quiet", "Not entered yet").key(String::new()))
            .tags(buttons)
    });
    let hint = match (ids, kind) {
        _ if is_empty => "",
        ([], ThingKind::Head) => {
            "Choose heads here or on the plan, Shift adds; drag them on the plan from above, or Alt and the arrow keys there move them by 0.05 m"
        }
        ([], _) => "Choose one to fill it in, Shift adds, or add one",
        _ => "",
    };
    let commands = (kind == ThingKind::Head && !ids.is_empty()).then(|| {
        let commands = HEAD_COMMANDS.iter().enumerate();
        tag("div", "row").tags(commands.map(|(index, (_, words))| {
            said("button", "", words)
                .key(index.to_string())
                .with("type", "button")
                .with("name", "command")
                .with_text("value", index.to_string())
        }))
    });
    let class = if order.is_some() {
        "things in-order"
    } else {
        "things"
    };
    tag("div", "column")
        .key("things".into())
        .tag(tag("div", "row").tags(buttons))
        .maybe(refusal)
        .maybe(order.map(|words| said("p", "quiet", words)))
        .tag(
            tag("ol", class)
                .with_text("aria-label", kind.many().to_owned())
                .tags(list),
        )
        .maybe(lacks)
        .maybe(commands)
        .maybe((!hint.is_empty()).then(|| said("p", "quiet", hint)))
}
