//! Places of a program that a finding, a waiver or a jump can name.

use crate::{Color, HeadId, ItemId, PatternId, RoleId};
use std::fmt;

/// A place of a program; its text form is stable and is what waivers name.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Place {
    /// The whole program.
    Program,
    /// The whole vehicle.
    Vehicle,
    /// The supply.
    Supply,
    /// A thing with an identifier.
    Item(ItemId),
    /// One color of a head.
    Emitter(HeadId, Color),
    /// One lane of a pattern.
    Lane(PatternId, RoleId),
    /// Two named sets of heads against each other: "left" and "right".
    Pair(&'static str, &'static str),
    /// A direction around the vehicle, whole degrees counterclockwise from forward.
    Direction(u16),
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Program => formatter.write_str("program"),
            Self::Vehicle => formatter.write_str("vehicle"),
            Self::Supply => formatter.write_str("supply"),
            Self::Item(id) => write!(formatter, "{id}"),
            Self::Emitter(head, color) => write!(formatter, "head {head} {color}"),
            Self::Lane(pattern, role) => write!(formatter, "pattern {pattern} lane {role}"),
            Self::Pair(first, second) => write!(formatter, "{first} against {second}"),
            Self::Direction(degrees) => write!(formatter, "direction {degrees}°"),
        }
    }
}
