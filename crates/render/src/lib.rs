//! What was found, measured and decided, as text for people and JSON for machines.
//!
//! Invariant: values in, text out; no I/O, no clock, the same input gives the same bytes.
//! Absent: judging and measuring, and color codes of a terminal.

pub mod drive;
pub mod facts;
pub mod json;
pub mod page;
pub mod report;
mod words;

pub use words::{found_in, found_in_also};
