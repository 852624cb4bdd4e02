//! Large invented inputs: what the budgets are measured on, and what other tests use where size matters.
//!
//! Invariant: pure arithmetic on indices, so every machine and every target gets the same input.
//! Absent: chance; see `generate` for arbitrary programs.

mod patterns;
mod program;
mod pulses;
mod states;
mod vehicle;

pub use patterns::library_pattern;
pub use program::{vehicle_edit, vehicle_program};
pub use pulses::{N_LANES, N_PULSES, lanes_program, played_program};
pub use states::states_program;
pub use vehicle::N_HEADS;

use lampwright_model::{Alternative, Condition, Parts, Program};
use std::str::FromStr;

fn only(signal: &str, value: &str) -> Condition {
    Condition(vec![Alternative(vec![(id(signal), vec![id(value)])])])
}

fn admitted(parts: Parts) -> Program {
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

fn whole(index: usize) -> i64 {
    i64::try_from(index).unwrap_or(i64::MAX)
}

fn id<T: FromStr>(text: &str) -> T
where
    T::Err: std::fmt::Debug,
{
    #[expect(clippy::expect_used, reason = "every text here is an identifier")]
    text.parse().expect("an identifier")
}
