//! Signals, conditions on them, and the controls that set them.

use crate::{ControlId, SignalId, ValueId};

/// A named input with two or more values.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Signal {
    /// Identifier.
    pub id: SignalId,
    /// What the agency calls it.
    pub label: String,
    /// Where it comes from.
    pub kind: SignalKind,
    /// Its values, at least two, each once.
    pub values: Vec<ValueId>,
    /// Value at rest, an index into `values`.
    pub default: usize,
    /// Value taken when the input is lost, an index into `values`.
    pub on_lost: usize,
}

/// Where a signal comes from.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SignalKind {
    /// A switch the operator sets.
    Switch,
    /// The vehicle: gear, doors, brake.
    Vehicle,
    /// Light around the vehicle.
    Ambient,
}

/// Allowed values per signal; all of them must hold. Empty always holds.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Alternative(pub Vec<(SignalId, Vec<ValueId>)>);

/// Alternatives of which one must hold; none at all never holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Condition(pub Vec<Alternative>);

impl Condition {
    /// Holds in every state.
    #[must_use]
    pub fn always() -> Self {
        Self(vec![Alternative::default()])
    }

    /// Whether it holds whatever the signals are, as written.
    #[must_use]
    pub fn is_always(&self) -> bool {
        self.0.iter().any(|alternative| alternative.0.is_empty())
    }
}

/// Something in front of the operator that sets signals.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Control {
    /// Identifier.
    pub id: ControlId,
    /// The agency's own label.
    pub label: String,
    /// How it moves.
    pub style: ControlStyle,
    /// What each position sets: one for a button, two for toggles and held buttons (rest first), two or more for a slide.
    pub positions: Vec<ControlPosition>,
}

/// How a control moves.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ControlStyle {
    /// A press sets its signals and leaves them.
    Button,
    /// Each press goes to the other position.
    Toggle,
    /// In the second position only while held.
    Held,
    /// Stays in one of several positions.
    Slide,
}

/// One position of a control.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ControlPosition {
    /// The agency's own label.
    pub label: String,
    /// Values it gives to signals.
    pub sets: Vec<(SignalId, ValueId)>,
}
