//! The document: plain parts, and the consistent program made of them.

use crate::{
    Alternative, Control, DimLayer, Edit, EditError, Guarantee, Head, Layer, Pattern, Profile,
    Signal, SignalId, Situation, Target, Vehicle, Waiver,
};
use std::fmt;
use std::ops::Deref;

/// A consistent program: every identifier is unique and every reference leads somewhere.
///
/// Reads like its [`Parts`]; made by [`Program::admit`], changed by [`Program::apply`] alone.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Program(Parts);

/// The plain contents of a program, without any promise of consistency.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Parts {
    /// Name of the program.
    pub name: String,
    /// Notes: what it is for, what was decided.
    pub about: String,
    /// Vehicle.
    pub vehicle: Vehicle,
    /// Patterns.
    pub patterns: Vec<Pattern>,
    /// Signals.
    pub signals: Vec<Signal>,
    /// Controls of the operator.
    pub controls: Vec<Control>,
    /// Layers; for each head the first that holds and addresses it decides.
    pub layers: Vec<Layer>,
    /// Dim layers; their order does not matter.
    pub dims: Vec<DimLayer>,
    /// Named states in the agency's order of review.
    pub situations: Vec<Situation>,
    /// Conditions that cannot happen.
    pub impossible: Vec<Alternative>,
    /// Promises of the agency's own.
    pub guarantees: Vec<Guarantee>,
    /// Chosen rules.
    pub profile: Profile,
    /// Accepted findings.
    pub waivers: Vec<Waiver>,
}

/// Something that is wrong in a document: where, what was expected, what was found.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Problem {
    /// Path of the value: `vehicle.heads[3].emitters[0].output`.
    pub path: String,
    /// What would have been right.
    pub expected: String,
    /// What is there instead.
    pub found: String,
}

impl Problem {
    /// A problem at a path.
    pub fn new(
        path: impl Into<String>,
        expected: impl Into<String>,
        found: impl Into<String>,
    ) -> Self {
        Self {
            path: path.into(),
            expected: expected.into(),
            found: found.into(),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "{}: found {}, expected {}",
            self.path, self.found, self.expected
        )
    }
}

impl Deref for Program {
    type Target = Parts;
    fn deref(&self) -> &Parts {
        &self.0
    }
}

impl Program {
    /// Admits what is consistent and lists what had to be left out.
    ///
    /// Total: any parts give a program. A reference that leads nowhere is cut off where the thing makes sense without it; what is otherwise broken is dropped, never guessed.
    #[must_use]
    pub fn admit(mut parts: Parts) -> (Self, Vec<Problem>) {
        let problems = crate::admit::admit(&mut parts);
        (Self(parts), problems)
    }

    /// The program after an edit.
    ///
    /// # Errors
    /// When the edit names something that is not there or would leave the program inconsistent; the program is unchanged then.
    pub fn apply(&self, edit: &Edit) -> Result<Self, EditError> {
        let mut parts = self.0.clone();
        edit.apply_to(&mut parts)?;
        let (program, problems) = Self::admit(parts);
        if problems.is_empty() {
            Ok(program)
        } else {
            Err(EditError::Inconsistent(problems))
        }
    }

    /// A copy of the contents.
    #[must_use]
    pub fn to_parts(&self) -> Parts {
        self.0.clone()
    }

    /// The heads some targets address, as indices into the vehicle's heads, rising, each once.
    #[must_use]
    pub fn heads_of(&self, targets: &[Target]) -> Vec<usize> {
        self.vehicle
            .heads
            .iter()
            .enumerate()
            .filter(|(_, head)| targets.iter().any(|target| self.addresses(target, head)))
            .map(|(index, _)| index)
            .collect()
    }

    /// Whether a target addresses a head.
    #[must_use]
    pub fn addresses(&self, target: &Target, head: &Head) -> bool {
        match target {
            Target::All => true,
            Target::Head(id) => *id == head.id,
            Target::Group(id) => self
                .vehicle
                .groups
                .iter()
                .any(|group| group.id == *id && group.contains(head)),
        }
    }

    /// The signal of an identifier with its index.
    #[must_use]
    pub fn signal(&self, id: &SignalId) -> Option<(usize, &Signal)> {
        self.signals
            .iter()
            .enumerate()
            .find(|(_, signal)| signal.id == *id)
    }
}
