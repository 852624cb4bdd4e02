//! Facts, rules and screening of a program: pure functions of the model.
//!
//! Invariant: no I/O, no clock, no randomness; no floating point takes part in a count or a band.

mod alike;
mod angle;
mod check;
pub mod coverage;
mod decimals;
pub mod facts;
pub mod fix;
mod judging;
pub mod light;
mod limits;
mod measure;
pub mod quantity;
mod ratio;
pub mod report;
pub mod rules;
pub mod screening;
mod standing;
pub mod states;
pub mod steps;

pub use alike::{alike, others_named};
pub use angle::sincos;
pub use check::{WIRING_CAUTION, check, check_state, check_with, contexts, judge};
pub use decimals::{fixed, shortened};
pub use judging::{Judging, Measured, n_changes};
pub use limits::{Timed, TimingLimit, timing_limits};
pub use measure::{MeasureSettings, measure};
pub use ratio::Ratio;
pub use standing::Standing;
