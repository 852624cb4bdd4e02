//! Edits: the only way a program changes.

use crate::{
    Alternative, Clock, ClockId, Control, ControlId, DimLayer, Fuse, FuseId, Group, GroupId,
    Guarantee, GuaranteeId, Head, HeadId, Layer, LayerId, Outline, Output, OutputId, Parts,
    Pattern, PatternId, Problem, Profile, Pulse, RoleId, Signal, SignalId, Situation, SituationId,
    Supply, Waiver,
};
use std::fmt;

/// One change of a program; values replace what was there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Edit {
    /// Adds a thing, or replaces the one with the same identifier in its place.
    Put(Item),
    /// Adds a thing at a position of its list; its identifier must be new.
    Insert(usize, Item),
    /// Removes a thing; refused while something refers to it.
    Remove(ItemId),
    /// Moves a thing to another position of its list.
    Move(ItemId, usize),
    /// Replaces the pulses of one lane.
    SetPulses {
        /// The pattern.
        pattern: PatternId,
        /// The lane.
        lane: RoleId,
        /// All its pulses, sorted and free of overlap.
        pulses: Vec<Pulse>,
    },
    /// Replaces the name and the notes.
    SetTitle {
        /// Name of the program.
        name: String,
        /// Notes.
        about: String,
    },
    /// Replaces what describes the vehicle as a whole.
    SetVehicle {
        /// Name the agency uses.
        name: String,
        /// Outer size.
        outline: Outline,
        /// What feeds the lamps.
        supply: Supply,
    },
    /// Replaces the conditions that cannot happen.
    SetImpossible(Vec<Alternative>),
    /// Replaces the profile.
    SetProfile(Profile),
    /// Replaces the waivers.
    SetWaivers(Vec<Waiver>),
    /// Several edits as one; all or none.
    Together(Vec<Edit>),
}

/// Why an edit was refused.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum EditError {
    /// The thing to change is not there.
    Missing(String),
    /// The thing to insert is already there.
    Exists(String),
    /// The result would not be a consistent program.
    Inconsistent(Vec<Problem>),
}

impl fmt::Display for EditError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(what) => write!(formatter, "there is no {what}"),
            Self::Exists(what) => write!(formatter, "there is already a {what}"),
            Self::Inconsistent(problems) => {
                for (index, problem) in problems.iter().enumerate() {
                    if index > 0 {
                        formatter.write_str("; ")?;
                    }
                    write!(formatter, "{problem}")?;
                }
                Ok(())
            }
        }
    }
}

impl std::error::Error for EditError {}

macro_rules! items {
    ($($variant:ident($id:ty) in $($field:ident).+, named $word:literal;)*) => {
        /// A thing with an identifier.
        #[derive(Clone, PartialEq, Eq, Debug)]
        #[expect(missing_docs, reason = "each variant holds the thing of its name")]
        pub enum Item { $($variant($variant)),* }

        /// Kind and identifier of a thing.
        #[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        #[expect(missing_docs, reason = "each variant holds the identifier of its name")]
        pub enum ItemId { $($variant($id)),* }

        impl fmt::Display for ItemId {
            fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                match self { $(Self::$variant(id) => write!(formatter, concat!($word, " {}"), id)),* }
            }
        }

        impl Item {
            /// Kind and identifier.
            #[must_use]
            pub fn id(&self) -> ItemId {
                match self { $(Self::$variant(item) => ItemId::$variant(item.id.clone())),* }
            }
        }

        impl Parts {
            /// The thing of an identifier.
            #[must_use]
            pub fn item(&self, id: &ItemId) -> Option<Item> {
                match id {
                    $(ItemId::$variant(id) => self.$($field).+.iter().find(|item| item.id == *id).cloned().map(Item::$variant)),*
                }
            }

            /// Where the thing stands in its list.
            #[must_use]
            pub fn position(&self, id: &ItemId) -> Option<usize> {
                match id {
                    $(ItemId::$variant(id) => self.$($field).+.iter().position(|item| item.id == *id)),*
                }
            }

            fn put(&mut self, item: Item, at: Option<usize>) {
                let present = self.position(&item.id());
                match item {
                    $(Item::$variant(item) => {
                        let list = &mut self.$($field).+;
                        match present {
                            Some(index) => list[index] = item,
                            None => list.insert(at.unwrap_or(list.len()).min(list.len()), item),
                        }
                    }),*
                }
            }

            fn remove(&mut self, id: &ItemId) -> Option<Item> {
                let index = self.position(id)?;
                match id {
                    $(ItemId::$variant(_) => Some(Item::$variant(self.$($field).+.remove(index)))),*
                }
            }
        }
    };
}

items! {
    Head(HeadId) in vehicle.heads, named "head";
    Output(OutputId) in vehicle.outputs, named "output";
    Fuse(FuseId) in vehicle.fuses, named "fuse";
    Clock(ClockId) in vehicle.clocks, named "clock";
    Group(GroupId) in vehicle.groups, named "group";
    Pattern(PatternId) in patterns, named "pattern";
    Signal(SignalId) in signals, named "signal";
    Control(ControlId) in controls, named "control";
    Layer(LayerId) in layers, named "layer";
    DimLayer(LayerId) in dims, named "dim layer";
    Situation(SituationId) in situations, named "situation";
    Guarantee(GuaranteeId) in guarantees, named "guarantee";
}

impl Edit {
    pub(crate) fn apply_to(&self, parts: &mut Parts) -> Result<(), EditError> {
        match self {
            Self::Put(item) => parts.put(item.clone(), None),
            Self::Insert(at, item) => {
                let id = item.id();
                if parts.position(&id).is_some() {
                    return Err(EditError::Exists(id.to_string()));
                }
                parts.put(item.clone(), Some(*at));
            }
            Self::Remove(id) => {
                parts
                    .remove(id)
                    .ok_or_else(|| EditError::Missing(id.to_string()))?;
            }
            Self::Move(id, to) => {
                let item = parts
                    .remove(id)
                    .ok_or_else(|| EditError::Missing(id.to_string()))?;
                parts.put(item, Some(*to));
            }
            Self::SetPulses {
                pattern,
                lane,
                pulses,
            } => {
                let target = parts
                    .patterns
                    .iter_mut()
                    .find(|known| known.id == *pattern)
                    .and_then(|known| known.lanes.iter_mut().find(|known| known.role == *lane))
                    .ok_or_else(|| {
                        EditError::Missing(format!("lane {lane} of pattern {pattern}"))
                    })?;
                target.pulses = pulses.as_slice().into();
            }
            Self::SetTitle { name, about } => {
                parts.name.clone_from(name);
                parts.about.clone_from(about);
            }
            Self::SetVehicle {
                name,
                outline,
                supply,
            } => {
                parts.vehicle.name.clone_from(name);
                parts.vehicle.outline = *outline;
                parts.vehicle.supply = *supply;
            }
            Self::SetImpossible(impossible) => parts.impossible.clone_from(impossible),
            Self::SetProfile(profile) => parts.profile = profile.clone(),
            Self::SetWaivers(waivers) => parts.waivers.clone_from(waivers),
            Self::Together(edits) => {
                for edit in edits {
                    edit.apply_to(parts)?;
                }
            }
        }
        Ok(())
    }
}
