//! The form of a thing: rows made from the table of its fields, with what is filled in now.
//!
//! Invariant: pure; a row says by itself where its value stands and how it is put there.

use super::fields::{Field, Kind, Refer, Shape};
use super::points::share_text;
use super::{ThingKind, fields, labels};
use crate::{EditorState, thousandths};
use lampwright_formats::{Thing, decimal_text};
use lampwright_model::{Color, Emitter, ItemId, Parts};

/// One line of a form.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// What it is called.
    pub label: String,
    /// Unit of the number; empty without.
    pub unit: &'static str,
    /// Where the value stands in its thing, steps parted by `/`.
    pub path: String,
    /// How a value is put there.
    pub how: How,
    /// What is shown.
    pub control: Control,
}

/// What is shown in a row.
#[derive(Clone, PartialEq, Debug)]
pub enum Control {
    /// The title of the rows below.
    Title,
    /// What the rows below stand on one line with, as far as their paths lie below its own.
    Line,
    /// A text or a number.
    Entry {
        /// What is filled in.
        value: String,
        /// What stands in for an empty one: "1153, assumed".
        hint: String,
        /// Whether it is a number.
        is_number: bool,
    },
    /// Numbers on lines.
    Lines(String),
    /// One of several.
    Choice(Vec<Chosen>),
    /// Any of several.
    Checks(Vec<Chosen>),
    /// Set or not.
    Check(bool),
    /// A button that puts this value.
    Button(String),
}

/// One of several to choose from.
#[derive(Clone, PartialEq, Debug)]
pub struct Chosen {
    /// What is put when it is chosen.
    pub value: String,
    /// What it is called.
    pub label: String,
    /// Whether it is chosen.
    pub is_on: bool,
}

/// How a value is put into a thing.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum How {
    /// As a text; an empty one takes the member away.
    Text,
    /// As a list of the words parted by commas.
    Words,
    /// As a number; an empty one takes the member away.
    Number,
    /// As a number in per cent.
    Percent,
    /// As a fraction from a number in per cent.
    Share,
    /// As the x and y of a chromaticity; empty takes them away.
    Chromaticity,
    /// As all points of a beam, an angle and an intensity on each line.
    Points,
    /// As JSON; an empty one takes the member away.
    Json,
    /// As JSON whose members stand in place of those of the other shapes.
    OneOf(&'static [Shape]),
    /// As JSON at the end of the list.
    Add,
    /// Takes away what is there.
    Remove,
    /// Into a list of texts, or out of it.
    Member,
    /// The selected heads, as a list.
    SelectedHeads,
    /// What a layer does.
    Act,
    /// The pattern of a layer, with its lanes bound anew.
    Pattern,
    /// How a control moves, with as many positions as it needs.
    Style,
    /// The shown state.
    TakeState,
}

impl PartialEq for Shape {
    fn eq(&self, other: &Self) -> bool {
        self.probe == other.probe
    }
}

impl std::fmt::Debug for Shape {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(self.probe)
    }
}

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
    rows(parts, &thing, things.get(1..).unwrap_or_default(), fields)
}

/// The form of what cannot happen: one list of values per condition, and an empty one for the next.
///
/// It is filled in as the program as a whole is.
#[must_use]
pub fn impossible_form(state: &EditorState) -> Vec<Row> {
    let parts: &Parts = state.program();
    rows(parts, &Thing::of_title(parts), &[], fields::IMPOSSIBLE)
}

fn rows(parts: &Parts, thing: &Thing, others: &[Thing], fields: &'static [Field]) -> Vec<Row> {
    let mut form = Form {
        parts,
        thing,
        others,
        shaped: Vec::new(),
        rows: Vec::new(),
    };
    form.fields("", fields);
    form.rows
}

struct Form<'form> {
    parts: &'form Parts,
    thing: &'form Thing,
    others: &'form [Thing],
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
            Kind::Number => self.entry(path, field, How::Number),
            Kind::Percent => self.entry(path, field, How::Percent),
            Kind::Check => {
                let is_on = self.thing.word(&path) == Some("true");
                self.push(label, &path, How::Json, Control::Check(is_on));
            }
            Kind::Choice(words) => self.words(label, &path, How::Text, words),
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
            Kind::Act => self.words(label, &path, How::Act, fields::ACTS),
            Kind::Style => self.words(label, &path, How::Style, fields::STYLES),
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

    /// One of some words of the file, or of some members that exclude each other.
    fn words(&mut self, label: &str, path: &str, how: How, words: &[(&str, &str)]) {
        let now = self.thing.word(path).unwrap_or_default();
        let is_member = path.is_empty();
        let options = words
            .iter()
            .map(|(word, label)| {
                let is_on = if is_member {
                    self.thing.has(word)
                } else {
                    *word == now
                };
                chosen(word, label, is_on)
            })
            .collect();
        self.push(label, path, how, Control::Choice(options));
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
        let now = self.thing.word(&path);
        let is_various = self.others.iter().any(|other| other.word(&path) != now);
        let hint = self.hint(&path);
        self.entered(path, field, how, (value, hint), is_various);
    }

    /// A field with its value and what stands in for an empty one; empty when several things hold `various` values.
    fn entered(
        &mut self,
        path: String,
        field: &Field,
        how: How,
        (value, hint): (String, String),
        is_various: bool,
    ) {
        let (value, hint) = if is_various {
            (String::new(), "various".to_owned())
        } else {
            (value, hint)
        };
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

    /// The x and y of an emitter's light.
    fn chromaticity(&mut self, path: String, field: &Field) {
        let shown = |thing: &Thing| {
            let x = thing.word(&below(&path, "x"))?;
            Some(format!("{x}, {}", thing.word(&below(&path, "y"))?))
        };
        let now = shown(self.thing);
        let is_various = self.others.iter().any(|other| shown(other) != now);
        let emitter = path.strip_suffix("/chromaticity").unwrap_or_default();
        let usual = self.usual(emitter).chromaticity_or_assumed().value;
        let [x, y] = [usual.x, usual.y].map(|value| decimal_text(i64::from(value), 4));
        let texts = (now.unwrap_or_default(), format!("{x}, {y}, assumed"));
        self.entered(path, field, How::Chromaticity, texts, is_various);
    }

    /// An emitter of the color at a path of which nothing else is stated.
    fn usual(&self, emitter: &str) -> Emitter {
        let color = self.thing.word(&below(emitter, "color"));
        Emitter::of(color.and_then(Color::from_name).unwrap_or(Color::Amber))
    }

    /// The points of a beam, one on each line, and all of them as text.
    fn points(&mut self, path: &str, label: &str) {
        let title = format!(
            "{label}, each an angle from the axis, left above 0, and an intensity in per cent of the peak"
        );
        self.push(&title, path, How::Text, Control::Title);
        let mut lines = Vec::new();
        let mut last = 0;
        for index in 0..self.thing.n_items(path) {
            let path = below(path, &index.to_string());
            let number = index + 1;
            let angle = below(&path, "angle_deg");
            let fraction = below(&path, "fraction");
            let share = share_text(self.thing.word(&fraction).unwrap_or_default());
            let degrees = self.thing.word(&angle).unwrap_or_default().to_owned();
            last = thousandths(&degrees).unwrap_or(last);
            lines.push(format!("{degrees} {share}"));
            self.push(&number.to_string(), &path, How::Text, Control::Line);
            for (path, label, unit, how, value) in [
                (angle, "Angle", "°", How::Number, degrees),
                (fraction, "Intensity", "%", How::Share, share),
            ] {
                self.rows.push(Row {
                    label: format!("{label} of point {number}"),
                    unit,
                    path,
                    how,
                    control: Control::Entry {
                        value,
                        hint: String::new(),
                        is_number: true,
                    },
                });
            }
            let label = format!("Remove point {number}");
            self.push(&label, &path, How::Remove, button());
        }
        let next = decimal_text(last + NEXT_POINT, 3);
        let next = format!(r#"{{"angle_deg": {next}, "fraction": 0}}"#);
        self.push("Add a point", path, How::Add, Control::Button(next));
        self.push(
            "All points as text: an angle in degrees and an intensity on each line, in cd or per cent; the largest becomes the peak",
            path,
            How::Points,
            Control::Lines(lines.join("\n")),
        );
    }

    /// What stands in for an absent number.
    fn hint(&self, path: &str) -> String {
        let emitter = path
            .strip_suffix("/peak_cd")
            .or(path.strip_suffix("/full_current_a"));
        if let Some(emitter) = emitter {
            let usual = self.usual(emitter);
            let assumed = if path.ends_with("peak_cd") {
                usual.peak_or_assumed().value.0
            } else {
                usual.full_current_or_assumed().value.0
            };
            return format!("{}, assumed", decimal_text(assumed, 3));
        }
        let usual = match path {
            "hold/level" => "100",
            "vehicle/supply/other_load_a" => "0",
            _ if path.ends_with("offset_ms") => "0",
            _ => "",
        };
        usual.to_owned()
    }

    fn refer(&mut self, path: &str, field: &Field, refer: Refer, none: &str) {
        let now = self.thing.word(path).unwrap_or_default();
        let known = match refer {
            Refer::Output => labels(self.parts, ThingKind::Output),
            Refer::Fuse => labels(self.parts, ThingKind::Fuse),
            Refer::Clock => labels(self.parts, ThingKind::Clock),
            Refer::Pattern => self
                .parts
                .patterns
                .iter()
                .map(|pattern| (pattern.id.to_string(), pattern.label.clone()))
                .collect(),
            Refer::Lane => self.lanes(),
            Refer::Value => {
                let values = self.thing.words("values");
                let twice = |value: &&str| ((*value).to_owned(), (*value).to_owned());
                values.iter().map(twice).collect()
            }
        };
        let mut options = Vec::new();
        if !none.is_empty() {
            options.push(chosen("", none, now.is_empty()));
        }
        options.extend(
            known
                .iter()
                .map(|(id, label)| chosen(id, label, *id == now)),
        );
        let how = match refer {
            Refer::Pattern => How::Pattern,
            _ => How::Text,
        };
        self.push(field.label, path, how, Control::Choice(options));
    }

    /// The lanes of the pattern that the layer plays.
    fn lanes(&self) -> Vec<(String, String)> {
        let id = self.thing.word("play/pattern").unwrap_or_default();
        let patterns = self.parts.patterns.iter();
        patterns
            .filter(|pattern| pattern.id.as_str() == id)
            .flat_map(|pattern| &pattern.lanes)
            .map(|lane| (lane.role.to_string(), lane.role.to_string()))
            .collect()
    }

    /// The shapes to choose from.
    fn shapes(&mut self, path: &str, shapes: &'static [Shape]) -> Vec<Chosen> {
        let probed = shapes.iter().map(|shape| below(path, shape.probe));
        self.shaped.extend(probed);
        let is_now = |shape: &Shape| {
            if shape.probe.is_empty() {
                !self.thing.has(path)
            } else {
                self.thing.word(path) == Some(shape.probe)
                    || self.thing.has(&below(path, shape.probe))
            }
        };
        shapes
            .iter()
            .map(|shape| chosen(shape.json, shape.label, is_now(shape)))
            .collect()
    }

    fn checks(&mut self, label: &str, path: &str, options: Vec<(String, String)>) {
        let now = self.thing.words(path);
        let options = options
            .iter()
            .map(|(value, label)| chosen(value, label, now.contains(&value.as_str())))
            .collect();
        self.push(label, path, How::Member, Control::Checks(options));
    }

    fn when(&mut self, path: &str, label: &str) {
        let is_always = !self.thing.has(path);
        let n_alternatives = if is_always {
            1
        } else {
            self.thing.n_items(path)
        };
        let title = match n_alternatives {
            0 => format!("{label}, never"),
            _ if is_always => format!("{label}, always as nothing is checked"),
            _ => label.to_owned(),
        };
        self.push(&title, path, How::Text, Control::Title);
        for index in 0..n_alternatives {
            let path = below(path, &index.to_string());
            self.signals(&path);
            if n_alternatives > 1 {
                self.push("Remove this alternative", &path, How::Remove, button());
            }
        }
        let add = Control::Button("{}".into());
        self.push("Add an alternative: or also when…", path, How::Add, add);
    }

    /// The values of every signal, to check those that are allowed.
    fn signals(&mut self, path: &str) {
        for signal in &self.parts.signals {
            let values = signal.values.iter();
            let options = values
                .map(|value| (value.to_string(), value.to_string()))
                .collect();
            self.checks(&signal.label, &below(path, signal.id.as_str()), options);
        }
    }

    fn impossible(&mut self, path: &str) {
        if self.parts.signals.is_empty() {
            let words = "There is no signal yet: add one first";
            self.push(words, path, How::Text, Control::Title);
        }
        let n_conditions = self.thing.n_items(path);
        for index in 0..n_conditions {
            let path = below(path, &index.to_string());
            let number = index + 1;
            let words =
                format!("Condition {number}, a state in which all of this holds cannot happen");
            self.push(&words, &path, How::Text, Control::Title);
            self.signals(&path);
            let remove = format!("Remove condition {number}");
            self.push(&remove, &path, How::Remove, button());
        }
        if !self.parts.signals.is_empty() {
            let path = below(path, &n_conditions.to_string());
            let words = "Another condition, check values that never come together";
            self.push(words, &path, How::Text, Control::Title);
            self.signals(&path);
        }
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
                &format!("Remove {one} {}", index + 1),
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
                &format!("Add {one}"),
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

/// How far the next point of a beam stands from the last, in thousandths of a degree.
const NEXT_POINT: i64 = 5_000;

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
