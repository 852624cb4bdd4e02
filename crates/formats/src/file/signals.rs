//! Signals, conditions and controls in a file.

use crate::field::{Field, ID_EXPECTED, Stored, Words, object, parsed, words};
use crate::json::{Json, Object};
use crate::reader::Reader;
use crate::schema::{Definitions, members};
use lampwright_model::{
    Alternative, Condition, Control, ControlId, ControlPosition, ControlStyle, Signal, SignalId,
    SignalKind, ValueId,
};

object! {
    /// A named input with two or more values.
    Strict struct SignalFile {
        /// Identifier, unique among the signals.
        "id" id: SignalId,
        /// What the agency calls it.
        "label" label: Words,
        /// Where it comes from: a switch of the operator, the vehicle (gear, doors, brake), or the light around it.
        "kind" kind: SignalKind,
        /// Its values, 2 to 64, each once.
        "values" values: Vec<ValueId>,
        /// Value at rest, one of the values.
        "default" default: AtRest,
        /// Value taken when the input is lost, one of the values; the default when absent.
        "on_lost" on_lost: Option<ValueId>,
    }
}

object! {
    /// Something in front of the operator that sets signals.
    Strict struct ControlFile {
        /// Identifier, unique among the controls.
        "id" id: ControlId,
        /// The agency's own label.
        "label" label: Words,
        /// How it moves: a button sets its signals, a toggle changes sides, a held one returns, a slide stays in one of several positions.
        "style" style: ControlStyle,
        /// Its positions: one for a button, two for toggle and held (rest first), two or more for a slide.
        "positions" positions: Vec<ControlPosition>,
    }
}

object! {
    /// One position of a control.
    Strict struct ControlPositionFile {
        /// The agency's own label.
        "label" label: Words,
        /// The values it gives to signals.
        "sets" sets: Settings,
    }
}

words! {
    SignalKind {
        "switch" = SignalKind::Switch,
        "vehicle" = SignalKind::Vehicle,
        "ambient" = SignalKind::Ambient,
    }
}

words! {
    ControlStyle {
        "button" = ControlStyle::Button,
        "toggle" = ControlStyle::Toggle,
        "held" = ControlStyle::Held,
        "slide" = ControlStyle::Slide,
    }
}

impl Stored for Signal {
    type File = SignalFile;

    fn from_file(file: SignalFile, reader: &mut Reader) -> Option<Self> {
        let mut index_of = |key: &str, value: &ValueId| {
            let index = file.values.iter().position(|known| known == value);
            if index.is_none() {
                reader.at_key(key, |reader| {
                    reader.report("one of the signal's values", format!("\"{value}\""));
                });
            }
            index
        };
        let default = file
            .default
            .0
            .as_ref()
            .and_then(|value| index_of("default", value));
        let on_lost = match &file.on_lost {
            None => default,
            Some(value) => index_of("on_lost", value),
        };
        Some(Self {
            id: file.id,
            label: file.label.0,
            kind: file.kind,
            default: default?,
            on_lost: on_lost?,
            values: file.values,
        })
    }

    fn to_file(&self) -> SignalFile {
        let value = |index: usize| self.values.get(index).cloned();
        SignalFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            kind: self.kind,
            values: self.values.clone(),
            default: AtRest(value(self.default)),
            on_lost: if self.on_lost == self.default {
                None
            } else {
                value(self.on_lost)
            },
        }
    }
}

impl Stored for Control {
    type File = ControlFile;

    fn from_file(file: ControlFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            style: file.style,
            positions: file.positions,
        })
    }

    fn to_file(&self) -> ControlFile {
        ControlFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            style: self.style,
            positions: self.positions.clone(),
        }
    }
}

impl Stored for ControlPosition {
    type File = ControlPositionFile;

    fn from_file(file: ControlPositionFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            label: file.label.0,
            sets: file.sets.0,
        })
    }

    fn to_file(&self) -> ControlPositionFile {
        ControlPositionFile {
            label: Words(self.label.clone()),
            sets: Settings(self.sets.clone()),
        }
    }
}

/// The value at rest; none only for a signal that no program admits.
#[derive(Clone, Debug)]
pub(crate) struct AtRest(Option<ValueId>);

impl Field for AtRest {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        ValueId::read(node, reader).map(|value| Self(Some(value)))
    }

    fn is_omitted(&self) -> bool {
        self.0.is_none()
    }

    fn to_json(&self) -> Json<'static> {
        self.0.to_json()
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        ValueId::schema(definitions)
    }
}

/// One value per signal: `{"rear-door": "open"}`.
#[derive(Clone, Debug)]
pub(crate) struct Settings(pub(crate) Vec<(SignalId, ValueId)>);

impl Field for Settings {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        read_by_signal(node, reader).map(Self)
    }

    fn to_json(&self) -> Json<'static> {
        by_signal(&self.0)
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        by_signal_schema::<ValueId>(definitions)
    }
}

/// The allowed values of one signal; a single one stands alone.
struct Allowed(Vec<ValueId>);

impl Field for Allowed {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        if let Json::List(_) = node {
            Vec::read(node, reader).map(Self)
        } else {
            ValueId::read(node, reader).map(|value| Self(vec![value]))
        }
    }

    fn to_json(&self) -> Json<'static> {
        match self.0.as_slice() {
            [value] => value.to_json(),
            values => Json::List(values.iter().map(Field::to_json).collect()),
        }
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        let alternatives = vec![
            ValueId::schema(definitions),
            Vec::<ValueId>::schema(definitions),
        ];
        members(vec![("anyOf", Json::List(alternatives))])
    }
}

impl Field for Alternative {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        let allowed: Vec<(SignalId, Allowed)> = read_by_signal(node, reader)?;
        Some(Self(
            allowed
                .into_iter()
                .map(|(signal, values)| (signal, values.0))
                .collect(),
        ))
    }

    fn to_json(&self) -> Json<'static> {
        let allowed: Vec<(SignalId, Allowed)> = self
            .0
            .iter()
            .map(|(signal, values)| (signal.clone(), Allowed(values.clone())))
            .collect();
        by_signal(&allowed)
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        by_signal_schema::<Allowed>(definitions)
    }
}

/// Alternatives of which one must hold; absent is always.
impl Field for Condition {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        Vec::read(node, reader).map(Self)
    }

    fn absent() -> Option<Self> {
        Some(Self::always())
    }

    fn is_omitted(&self) -> bool {
        *self == Self::always()
    }

    fn to_json(&self) -> Json<'static> {
        self.0.to_json()
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        Vec::<Alternative>::schema(definitions)
    }
}

fn read_by_signal<T: Field>(node: &Json<'_>, reader: &mut Reader) -> Option<Vec<(SignalId, T)>> {
    let object = reader.map(node)?;
    if object.members.len() > T::MOST {
        reader.report(
            format!("at most {} members", T::MOST),
            object.members.len().to_string(),
        );
        return None;
    }
    let read: Vec<Option<(SignalId, T)>> = object
        .members
        .iter()
        .map(|(key, value)| {
            reader.at_key(key, |reader| {
                let signal = parsed(
                    &Json::text(key.as_ref()),
                    reader,
                    ID_EXPECTED,
                    SignalId::new,
                );
                let value = T::read(value, reader);
                signal.zip(value)
            })
        })
        .collect();
    if !object.is_complete {
        return None;
    }
    read.into_iter().collect()
}

fn by_signal<T: Field>(values: &[(SignalId, T)]) -> Json<'static> {
    Json::Object(Object::of(
        values
            .iter()
            .map(|(signal, value)| (signal.to_string().into(), value.to_json()))
            .collect(),
    ))
}

fn by_signal_schema<T: Field>(definitions: &mut Definitions) -> Json<'static> {
    let names = SignalId::schema(definitions);
    let values = T::schema(definitions);
    members(vec![
        ("type", Json::text("object")),
        ("propertyNames", names),
        ("additionalProperties", values),
    ])
}
