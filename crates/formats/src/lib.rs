//! Files: what a program looks like on disk, how it is read and written.
//!
//! Reading never gives up halfway: it gives what could be read and a list of problems, each with its path, what was expected and what was found.
//!
//! Invariant: bytes in, values out; no I/O, no clock, no panic on any input, memory and time bounded by [`MOST_BYTES`].
//! What is written reads back equal, and the same program is always written the same.

mod decimal;
mod field;
mod file;
mod header;
mod json;
mod locate;
mod pattern_file;
mod profile_file;
mod program_file;
mod reader;
mod schema;
mod steps;
mod thing;

pub use field::MOST_LETTERS;
pub use header::MOST_BYTES;
pub use locate::{FileIndex, Location};
pub use pattern_file::{PatternOutcome, pattern_schema, read_pattern, write_pattern};
pub use profile_file::{ProfileOutcome, profile_schema, read_profile, write_profile};
pub use program_file::{ReadOutcome, program_schema, read_program, write_program};
pub use reader::{MOST_PROBLEMS, MOST_PULSES};
pub use steps::{StepsOutcome, read_steps_csv, write_steps_c, write_steps_csv};
pub use thing::{Thing, decimal_text};
