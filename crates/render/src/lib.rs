//! What was found, measured and decided, as text for people and as JSON and SARIF for machines.
//!
//! Invariant: values in, text out; no I/O, no clock, the same input gives the same bytes.
//! Absent: judging and measuring, and knowing whether a terminal shows colors.

pub mod coverage;
pub mod drive;
pub mod facts;
pub mod file;
pub mod json;
pub mod lane;
pub mod page;
pub mod replacement;
pub mod report;
pub mod rich;
pub mod sarif;
pub mod states;
mod words;

pub use words::{found_in, found_in_also};
