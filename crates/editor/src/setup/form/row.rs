//! What a form shows in one row, and how what is filled in there goes into the thing.

use crate::setup::fields::Shape;

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

impl Control {
    /// Shows that several things hold different values.
    pub(super) fn vary(&mut self) {
        match self {
            Self::Entry { value, hint, .. } => {
                value.clear();
                VARIOUS.clone_into(hint);
            }
            Self::Choice(options) => {
                options.retain(|option| option.value != VARIOUS_VALUE);
                for option in options.iter_mut() {
                    option.is_on = false;
                }
                options.push(Chosen {
                    value: VARIOUS_VALUE.to_owned(),
                    label: VARIOUS.to_owned(),
                    is_on: true,
                });
            }
            _ => {}
        }
    }
}

const VARIOUS: &str = "various";

/// The value that stands for various ones and is no value of a file.
pub const VARIOUS_VALUE: &str = "*";

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
