//! The form of a thing: rows made from the table of its fields, with what is filled in now.
//!
//! Invariant: pure; a row says by itself where its value stands and how it is put there.

mod choices;
mod conditions;
mod light;
mod row;

pub use row::{Chosen, Control, How, Row, VARIOUS_VALUE};

use super::fields::{Field, Kind};
use super::{ThingKind, fields, labels};
use crate::EditorState;
use lampwright_formats::{Thing, decimal_text};
use lampwright_model::{Color, ItemId, Parts};

/// The form of some things of one kind, filled in with what the first of them holds; no things at all are the program and the vehicle as a whole.
///
/// Empty when the first is not there.
#[must_use]
pub fn form(state: &EditorState, ids: &[ItemId]) -> Vec<Row> {
    let parts: &Parts = state.program();
    let things: Vec<Thing> = ids
        .iter()
        .filter_map(|id| parts.item(id))
        .map(|item| Thing::of(&item))
        .collect();
    let (fields, thing) = match (ids.first(), things.first()) {
        (None, _) => (fields::TITLE, Thing::of_title(parts)),
        (Some(id), Some(thing)) => match ThingKind::of(id) {
            Some(kind) => (kind.fields(), thing.clone()),
            None => return Vec::new(),
        },
        (Some(_), None) => return Vec::new(),
    };
    let mut shown = rows(parts, &thing, fields);
    for other in things.get(1..).unwrap_or_default() {
        let others = rows(parts, other, fields);
        for row in &mut shown {
            let is_same = |other: &Row| {
                (&other.path, &other.how, &other.label) == (&row.path, &row.how, &row.label)
                    && other.control == row.control
            };
            if !others.iter().any(is_same) {
                row.control.vary();
            }
        }
    }
    shown
}

/// The form of what cannot happen: one list of values per condition, and an empty one for the next.
///
/// It is filled in as the program as a whole is.
#[must_use]
pub fn impossible_form(state: &EditorState) -> Vec<Row> {
    let parts: &Parts = state.program();
    rows(parts, &Thing::of_title(parts), fields::IMPOSSIBLE)
}

fn rows(parts: &Parts, thing: &Thing, fields: &'static [Field]) -> Vec<Row> {
    let mut form = Form {
        parts,
        thing,
        shaped: Vec::new(),
        rows: Vec::new(),
    };
    form.fields("", fields);
    form.rows
}

struct Form<'form> {
    parts: &'form Parts,
    thing: &'form Thing,
    /// Members that stand only while another field has the shape for them.
    shaped: Vec<String>,
    rows: Vec<Row>,
}

impl Form<'_> {
    fn fields(&mut self, base: &str, fields: &'static [Field]) {
        for field in fields {
            let path = below(base, field.path);
            let parent = path.rsplit_once('/').map_or("", |(parent, _)| parent);
            let has_place = parent.is_empty() || self.thing.has(parent);
            if has_place && (self.thing.has(&path) || !self.shaped.contains(&path)) {
                self.field(path, field);
            }
        }
    }

    fn push(&mut self, label: &str, path: &str, how: How, control: Control) {
        self.rows.push(Row {
            label: label.to_owned(),
            unit: "",
            path: path.to_owned(),
            how,
            control,
        });
    }

    fn field(&mut self, path: String, field: &'static Field) {
        let label = field.label;
        let is_there = path.is_empty() || self.thing.has(&path);
        match &field.kind {
            Kind::Text => self.entry(path, field, How::Text),
            Kind::Words => self.entry(path, field, How::Words),
            Kind::Lines => {
                let value = self.thing.word(&path).unwrap_or_default();
                self.push(label, &path, How::Text, Control::Lines(value.to_owned()));
            }
            Kind::Number => self.entry(path, field, How::Number),
            Kind::Percent => self.entry(path, field, How::Percent),
            Kind::Check => {
                let is_on = self.thing.word(&path) == Some("true");
                self.push(label, &path, How::Json, Control::Check(is_on));
            }
            Kind::Choice(none, words) => self.words((label, none), &path, How::Text, words),
            Kind::Refer(refer, none) => self.refer(&path, field, *refer, none),
            Kind::Shape(shapes) => {
                let options = self.shapes(&path, shapes);
                self.push(label, &path, How::Json, Control::Choice(options));
            }
            Kind::OneOf(shapes) if is_there => {
                let options = self.shapes(&path, shapes);
                self.push(label, &path, How::OneOf(shapes), Control::Choice(options));
            }
            Kind::Targets if is_there => {
                let groups = labels(self.parts, ThingKind::Group);
                let heads = labels(self.parts, ThingKind::Head);
                let mut options = vec![("all".to_owned(), "all heads".to_owned())];
                let listed = |prefix: &'static str, list: Vec<(String, String)>| {
                    list.into_iter()
                        .map(move |(id, label)| (format!("{prefix}{id}"), label))
                };
                options.extend(listed("group:", groups));
                options.extend(listed("head:", heads));
                self.checks(label, &path, options);
                self.push(
                    SELECTED,
                    &path,
                    How::SelectedHeads,
                    Control::Button("head:".into()),
                );
            }
            Kind::Members if is_there => {
                self.checks(label, &path, labels(self.parts, ThingKind::Head));
                self.push(
                    SELECTED,
                    &path,
                    How::SelectedHeads,
                    Control::Button(String::new()),
                );
            }
            Kind::When => self.when(&path, label),
            Kind::Impossible => self.impossible(&path),
            Kind::Colors if is_there => {
                let words = fields::COLORS.iter();
                let options = words.map(|(word, label)| ((*word).to_owned(), (*label).to_owned()));
                self.checks(label, &path, options.collect());
            }
            Kind::Chromaticity => self.chromaticity(path, field),
            Kind::Points if is_there => self.points(&path, label),
            Kind::Sets => {
                for signal in &self.parts.signals {
                    let path = below(&path, signal.id.as_str());
                    let now = self.thing.word(&path).unwrap_or_default();
                    let mut options = vec![chosen("", "not set", now.is_empty())];
                    options.extend(signal.values.iter().map(|value| {
                        chosen(value.as_str(), value.as_str(), value.as_str() == now)
                    }));
                    let label = format!("{label}: {}", signal.label);
                    self.push(&label, &path, How::Text, Control::Choice(options));
                }
            }
            Kind::Act => self.words((label, ""), &path, How::Act, fields::ACTS),
            Kind::Style => self.words((label, ""), &path, How::Style, fields::STYLES),
            Kind::TakeState => self.push(
                "Take the shown state",
                &path,
                How::TakeState,
                Control::Button(String::new()),
            ),
            Kind::Rebind => {
                let pattern = self.thing.word("play/pattern").unwrap_or_default();
                let button = Control::Button(pattern.to_owned());
                self.push(
                    "Bind the lanes anew by side and place",
                    &path,
                    How::Pattern,
                    button,
                );
            }
            Kind::Parts { one, fields } if is_there => self.parts(&path, one, fields),
            _ => {}
        }
    }

    fn entry(&mut self, path: String, field: &Field, how: How) {
        let value = match how {
            How::Words => self.thing.words(&path).join(", "),
            How::Percent => self
                .thing
                .word(&path)
                .and_then(|word| word.parse().ok())
                .map_or_else(String::new, |per_mille| decimal_text(per_mille, 1)),
            _ => self.thing.word(&path).unwrap_or_default().to_owned(),
        };
        let hint = self.hint(&path);
        self.entered(path, field, how, (value, hint));
    }

    /// A field with its value and what stands in for an empty one.
    fn entered(&mut self, path: String, field: &Field, how: How, (value, hint): (String, String)) {
        self.rows.push(Row {
            label: field.label.to_owned(),
            unit: field.unit,
            path,
            how,
            control: Control::Entry {
                value,
                hint,
                is_number: matches!(how, How::Number | How::Percent | How::Share),
            },
        });
    }

    fn parts(&mut self, path: &str, one: &'static str, fields: &'static [Field]) {
        let n_items = self.thing.n_items(path);
        for index in 0..n_items {
            let path = below(path, &index.to_string());
            self.push(
                &format!("{one} {}", index + 1),
                &path,
                How::Text,
                Control::Title,
            );
            self.fields(&path, fields);
            self.push(
                &format!("Remove {} {}", one.to_ascii_lowercase(), index + 1),
                &path,
                How::Remove,
                button(),
            );
        }
        let fresh = match one {
            "Emitter" => self.free_color(path, n_items),
            "Lane" => self.lanes().first().map(|(lane, _)| {
                // Identifiers need no marks of their own inside a text.
                format!(r#"{{"lane": "{lane}", "heads": []}}"#)
            }),
            _ => Some(format!(r#"{{"label": "{}", "sets": {{}}}}"#, n_items + 1)),
        };
        if let Some(fresh) = fresh {
            self.push(
                &format!("Add {}", one.to_ascii_lowercase()),
                path,
                How::Add,
                Control::Button(fresh),
            );
        }
    }

    /// An emitter of the first color the head does not have.
    fn free_color(&self, path: &str, n_items: usize) -> Option<String> {
        let is_taken = |color: &Color| {
            (0..n_items).any(|index| {
                self.thing.word(&format!("{path}/{index}/color")) == Some(color.name())
            })
        };
        let color = Color::ALL.into_iter().find(|color| !is_taken(color))?;
        Some(format!(r#"{{"color": "{color}"}}"#))
    }
}

const SELECTED: &str = "Take the selected heads";

fn button() -> Control {
    Control::Button(String::new())
}

fn chosen(value: &str, label: &str, is_on: bool) -> Chosen {
    Chosen {
        value: value.to_owned(),
        label: label.to_owned(),
        is_on,
    }
}

fn below(base: &str, path: &str) -> String {
    if base.is_empty() || path.is_empty() {
        format!("{base}{path}")
    } else {
        format!("{base}/{path}")
    }
}
