//! Facts, rules and screening of a program: pure functions of the model.
//!
//! Invariant: no I/O, no clock, no randomness; no floating point takes part in a count or a band.

pub mod facts;
pub mod light;
mod measure;
pub mod quantity;
mod ratio;
pub mod report;
pub mod rules;
pub mod screening;

pub use measure::{MeasureSettings, measure};
pub use ratio::Ratio;
