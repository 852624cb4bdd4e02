//! Setting a vehicle up: lists of its things, the form of each, and the ways from an empty program to a playing one.
//!
//! What is offered gives labelled edits of the model; a refusal says what is in the way.
//!
//! Invariant: pure; nothing here changes a program by itself.
//! Absent: patterns and pulses, which the timeline edits; rules and waivers, which have a view of their own; changing identifiers of things, which nobody sees.

mod fields;
mod fill;
mod form;
mod heads;
mod missing;
mod points;
mod renaming;
mod starter;

pub use fields::Shape;
pub use fill::{fill, step, step_label};
pub use form::{Chosen, Control, How, Row, VARIOUS_VALUE, form, impossible_form};
pub use heads::{HeadDrag, HeadsChange};
pub use missing::{Missing, missing};
pub use starter::{Around, around, new_program, play_on_heads, with_vehicle_of};

use crate::EditorState;
use fields::Field;
use lampwright_formats::{Thing, decimal_text};
use lampwright_model::{
    ClockId, ControlId, Edit, EditError, FuseId, GroupId, GuaranteeId, HeadId, Item, ItemId,
    LayerId, OutputId, Parts, Problem, Program, SignalId, SituationId,
};

macro_rules! kinds {
    ($($kind:ident($id:ident) in $list:literal $($field:ident).+, $one:literal, $many:literal, $fields:ident, $fresh:literal;)*) => {
        /// What there are lists of.
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        #[expect(missing_docs, reason = "each variant is the kind of the item of its name")]
        pub enum ThingKind { $($kind),* }

        impl ThingKind {
            /// All kinds in the order of their lists.
            pub const ALL: &'static [Self] = &[$(Self::$kind),*];

            /// The kind of an identifier; none for patterns.
            #[must_use]
            pub fn of(id: &ItemId) -> Option<Self> {
                match id {
                    $(ItemId::$kind(_) => Some(Self::$kind),)*
                    _ => None,
                }
            }

            /// What one is called.
            #[must_use]
            pub const fn one(self) -> &'static str {
                match self { $(Self::$kind => $one),* }
            }

            /// What many are called.
            #[must_use]
            pub const fn many(self) -> &'static str {
                match self { $(Self::$kind => $many),* }
            }

            const fn fields(self) -> &'static [Field] {
                match self { $(Self::$kind => fields::$fields),* }
            }

            /// The list in a path: "vehicle.heads".
            const fn list(self) -> &'static str {
                match self { $(Self::$kind => $list),* }
            }

            /// A new one as in a file, without its identifier.
            const fn fresh(self) -> &'static str {
                match self { $(Self::$kind => $fresh),* }
            }

            /// The identifier of a text.
            #[must_use]
            pub fn id(self, text: &str) -> Option<ItemId> {
                Some(match self { $(Self::$kind => ItemId::$kind($id::new(text).ok()?)),* })
            }

            fn item(self, parts: &Parts, index: usize) -> Option<Item> {
                match self { $(Self::$kind => parts.$($field).+.get(index).cloned().map(Item::$kind)),* }
            }
        }
    };
}

kinds! {
    Head(HeadId) in "vehicle.heads" vehicle.heads, "Head", "Heads", HEAD,
        r#"{"x_m": 0, "y_m": 0, "z_m": 2, "facing_deg": 0, "emitters": [{"color": "amber"}]}"#;
    Output(OutputId) in "vehicle.outputs" vehicle.outputs, "Output", "Outputs", OUTPUT,
        r#"{"rating_a": 10}"#;
    Fuse(FuseId) in "vehicle.fuses" vehicle.fuses, "Fuse", "Fuses", FUSE,
        r#"{"rating_a": 15}"#;
    Clock(ClockId) in "vehicle.clocks" vehicle.clocks, "Clock", "Clocks", CLOCK,
        r#"{"tolerance_ppm": 100}"#;
    Group(GroupId) in "vehicle.groups" vehicle.groups, "Group", "Groups", GROUP,
        r#"{"heads": []}"#;
    Signal(SignalId) in "signals" signals, "Signal", "Signals", SIGNAL,
        r#"{"kind": "switch", "values": ["off", "on"], "default": "off"}"#;
    Control(ControlId) in "controls" controls, "Control", "Controls", CONTROL,
        r#"{"style": "toggle", "positions": [{"label": "off", "sets": {}}, {"label": "on", "sets": {}}]}"#;
    Layer(LayerId) in "layers" layers, "Layer", "Layers", LAYER,
        r#"{"dark": {"heads": []}}"#;
    DimLayer(LayerId) in "dims" dims, "Dim layer", "Dim layers", DIM,
        r#"{"heads": [], "factor": 500}"#;
    Situation(SituationId) in "situations" situations, "Situation", "Situations", SITUATION,
        r#"{"values": {}}"#;
    Guarantee(GuaranteeId) in "guarantees" guarantees, "Guarantee", "Guarantees", GUARANTEE,
        r#"{"heads": [], "must": "be-dark"}"#;
}

/// Identifiers and labels of a list, in its order; an empty label shows the identifier.
#[must_use]
pub fn labels(parts: &Parts, kind: ThingKind) -> Vec<(String, String)> {
    (0..)
        .map_while(|index| kind.item(parts, index))
        .map(|item| {
            let thing = Thing::of(&item);
            let id = thing.word("id").unwrap_or_default();
            let label = thing.word("label").filter(|label| !label.is_empty());
            (id.to_owned(), label.unwrap_or(id).to_owned())
        })
        .collect()
}

/// The label of a thing, or its identifier.
pub(crate) fn label_of(parts: &Parts, id: &ItemId) -> String {
    parts
        .item(id)
        .and_then(|item| {
            let thing = Thing::of(&item);
            let label = thing.word("label").filter(|label| !label.is_empty());
            label.or(thing.word("id")).map(str::to_owned)
        })
        .unwrap_or_default()
}

/// A labelled edit, and the thing to show after it.
pub type Step = (String, Edit, Option<ItemId>);

/// Adds a new thing after another one, or at the end; a layer without one before it comes first, as the first decides.
///
/// New groups, layers and guarantees take the selected heads, a new situation the shown state.
///
/// # Errors
/// Why there can be none more.
pub fn add(state: &EditorState, kind: ThingKind, after: Option<&ItemId>) -> Result<Step, String> {
    let program = state.program();
    let stem = kind.one().to_ascii_lowercase().replace(' ', "-");
    let (id, number) = free_id(program, kind, &stem, 1)?;
    let mut thing = Thing::parse(kind.fresh()).ok_or("nothing to begin with")?;
    thing.set_text("id", &id);
    let mut marks = ["rating_a", "tolerance_ppm"].iter();
    let assumed = marks.find(|path| thing.has(path));
    let assumed = assumed
        .and_then(|path| missing::mark(path))
        .unwrap_or_default();
    thing.set_text("label", &format!("{} {number}{assumed}", kind.one()));
    let (path, prefix) = match kind {
        ThingKind::Group => ("heads", ""),
        ThingKind::Layer => ("dark/heads", "head:"),
        ThingKind::DimLayer | ThingKind::Guarantee => ("heads", "head:"),
        _ => ("", ""),
    };
    if !path.is_empty() {
        let heads = state.selection().heads.iter();
        let heads: Vec<String> = heads.map(|head| format!("{prefix}{head}")).collect();
        let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
        thing.set_words(path, &heads);
    }
    if kind == ThingKind::Situation {
        for (signal, value) in state.shown_state().differences(program) {
            thing.set_text(&format!("values/{signal}"), value.as_str());
        }
    }
    let at = match after.and_then(|after| program.position(after)) {
        Some(at) => at + 1,
        None if kind == ThingKind::Layer => 0,
        None => usize::MAX,
    };
    let label = format!("Add {}", kind.one().to_ascii_lowercase());
    insert(program, kind, &id, &thing, at, label)
}

/// Adds a copy of a thing right after it.
///
/// # Errors
/// When it is not there.
pub fn duplicate(state: &EditorState, id: &ItemId) -> Result<Step, String> {
    let program = state.program();
    let kind = ThingKind::of(id).ok_or("this cannot be copied here")?;
    let item = program
        .item(id)
        .ok_or_else(|| format!("there is no {id}"))?;
    let mut thing = Thing::of(&item);
    let stem = thing.word("id").unwrap_or_default();
    let stem = stem.trim_end_matches(|letter: char| letter.is_ascii_digit());
    let (new, number) = free_id(program, kind, stem.trim_end_matches('-'), 2)?;
    let label = label_of(program, id);
    let label = label.trim_end_matches(|letter: char| letter.is_ascii_digit());
    thing.set_text("label", &format!("{} {number}", label.trim_end()));
    thing.set_text("id", &new);
    if let Item::Head(head) = &item {
        // Beside the first, so that both can be seen and taken.
        let beside = decimal_text(head.y.0 - BESIDE_MM, 3);
        thing.set_number("y_m", &beside, 0)?;
    }
    let at = program.position(id).map_or(usize::MAX, |at| at + 1);
    let label = format!("Duplicate {}", label_of(program, id));
    insert(program, kind, &new, &thing, at, label)
}

/// How far to the right of a head its copy stands, in millimeters.
const BESIDE_MM: i64 = 200;

fn insert(
    program: &Program,
    kind: ThingKind,
    id: &str,
    thing: &Thing,
    at: usize,
    label: String,
) -> Result<Step, String> {
    let id = kind.id(id).ok_or("no free name is left")?;
    let item = thing.item(&id).map_err(|problem| words(&problem))?;
    let edit = fill::tried(program, Edit::Insert(at, item))?;
    Ok((label, edit, Some(id)))
}

/// Removes things, and shows what stood after the last of them, or else before the first.
///
/// # Errors
/// Names what still refers to them.
pub fn remove(program: &Program, ids: &[ItemId]) -> Result<Step, String> {
    let edits: Vec<Edit> = ids.iter().cloned().map(Edit::Remove).collect();
    let edit = Edit::Together(edits);
    match program.apply(&edit) {
        Ok(_) => {
            let label = format!("Remove {}", named(program, ids));
            Ok((label, edit, beside(program, ids)))
        }
        Err(EditError::Inconsistent(problems)) => {
            let mut owners: Vec<String> = Vec::new();
            for problem in &problems {
                let owner = owner(program, &problem.path).map(|(_, owner)| owner);
                let owner = owner.unwrap_or_else(|| match problem.path.split(['[', '.']).next() {
                    Some("impossible") => "an impossible condition".to_owned(),
                    list => format!("the {}", list.unwrap_or_default()),
                });
                if !owners.contains(&owner) {
                    owners.push(owner);
                }
            }
            let it = if ids.len() == 1 { "it" } else { "them" };
            let verb = if owners.len() == 1 { "refers" } else { "refer" };
            if owners.len() > MOST_OWNERS {
                let n_more = owners.len() - MOST_OWNERS;
                owners.truncate(MOST_OWNERS);
                owners.push(format!("{n_more} more"));
            }
            Err(format!(
                "{} still {verb} to {it}, change that first",
                owners.join(", ")
            ))
        }
        Err(error) => Err(error.to_string()),
    }
}

/// Removes heads, and takes them out of groups, layers and dim layers first.
///
/// # Errors
/// When something refers to them that must not change by the way: a guarantee or a rule of the profile.
pub fn remove_heads_everywhere(program: &Program, ids: &[ItemId]) -> Result<Step, String> {
    let mut parts = program.to_parts();
    let heads = &mut parts.vehicle.heads;
    heads.retain(|head| !ids.contains(&ItemId::Head(head.id.clone())));
    let (after, _) = Program::admit(parts);
    let mut edits = Vec::new();
    let kinds = ThingKind::ALL.iter();
    for kind in kinds.filter(|kind| **kind != ThingKind::Guarantee) {
        for item in (0..).map_while(|index| kind.item(program, index)) {
            match after.item(&item.id()) {
                Some(cut) if Thing::of(&cut) != Thing::of(&item) => edits.push(Edit::Put(cut)),
                _ => {}
            }
        }
    }
    edits.extend(ids.iter().cloned().map(Edit::Remove));
    let label = format!("Remove {} everywhere", named(program, ids));
    let edit = fill::tried(program, Edit::Together(edits))?;
    Ok((label, edit, beside(program, ids)))
}

/// What stands after the last of some things, or else before the first.
fn beside(program: &Program, ids: &[ItemId]) -> Option<ItemId> {
    let kind = ThingKind::of(ids.first()?)?;
    let places = || ids.iter().filter_map(|id| program.position(id));
    let after = places().max()? + 1;
    let before = places().min()?.checked_sub(1);
    let item = kind
        .item(program, after)
        .or_else(|| kind.item(program, before?));
    item.map(|item| item.id())
}

/// The label of one thing, or how many there are: "3 heads".
fn named(parts: &Parts, ids: &[ItemId]) -> String {
    match ids {
        [id] => label_of(parts, id),
        [first, ..] => {
            let many = ThingKind::of(first).map_or("things", ThingKind::many);
            format!("{} {}", ids.len(), many.to_ascii_lowercase())
        }
        [] => String::new(),
    }
}

/// Most things that a refusal names.
const MOST_OWNERS: usize = 3;

/// Moves a thing one place up or down in its list.
///
/// # Errors
/// When it is at the end already.
pub fn shift(program: &Program, id: &ItemId, is_down: bool) -> Result<Step, String> {
    let at = program
        .position(id)
        .ok_or_else(|| format!("there is no {id}"))?;
    let to = if is_down {
        Some(at + 1)
    } else {
        at.checked_sub(1)
    };
    let kind = ThingKind::of(id);
    let to = to.filter(|to| kind.is_some_and(|kind| kind.item(program, *to).is_some()));
    let to = to.ok_or("it stands at the end of the list already")?;
    let direction = if is_down { "down" } else { "up" };
    let label = format!("Move {} {direction}", label_of(program, id));
    Ok((label, Edit::Move(id.clone(), to), Some(id.clone())))
}

/// The first of `stem-1`, `stem-2` and so on, from a number on, that no thing of the kind has; with its number.
pub(crate) fn free_id(
    parts: &Parts,
    kind: ThingKind,
    stem: &str,
    from: usize,
) -> Result<(String, usize), String> {
    let kinds = match kind {
        ThingKind::Layer | ThingKind::DimLayer => vec![ThingKind::Layer, ThingKind::DimLayer],
        kind => vec![kind],
    };
    let stem: String = stem.chars().take(50).collect();
    (from..from + 10_000)
        .map(|number| (format!("{stem}-{number}"), number))
        .find(|(id, _)| {
            kinds
                .iter()
                .filter_map(|kind| kind.id(id))
                .all(|id| parts.item(&id).is_none())
        })
        .ok_or_else(|| "no free name is left".to_owned())
}

/// The thing that a path of the program leads into, and what it is called: "layer Rear amber".
fn owner(parts: &Parts, path: &str) -> Option<(ItemId, String)> {
    let (list, rest) = path.split_once('[')?;
    let index: usize = rest.split_once(']')?.0.parse().ok()?;
    let kind = ThingKind::ALL.iter().find(|kind| kind.list() == list)?;
    let id = kind.item(parts, index)?.id();
    let one = kind.one().to_ascii_lowercase();
    let label = format!("{one} {}", label_of(parts, &id));
    Some((id, label))
}

/// A problem at a field in a few words: "more than 0 A wanted, not 0".
fn words(problem: &Problem) -> String {
    if problem.found == "nothing" {
        return "this has to be filled in".into();
    }
    let found = problem
        .found
        .strip_suffix(" thousandths")
        .and_then(|number| number.parse().ok())
        .map_or_else(
            || problem.found.clone(),
            |thousandths| decimal_text(thousandths, 3),
        );
    format!("{} wanted, not {found}", problem.expected)
}
