//! The objects of the files, one module per area, and their conversion from and to the model.
//!
//! Invariant: a unit is the end of its member's name; what a member means is said once, in its comment, and stands in the schema.

pub(crate) mod layers;
pub(crate) mod pattern;
pub(crate) mod profile;
pub(crate) mod program;
pub(crate) mod signals;
pub(crate) mod vehicle;
pub(crate) mod wiring;
