//! What the browser budgets are measured with: the core crates and the app's own painter, on large inputs, called from the page beside it.
//!
//! Invariant: nothing measured is written anew here; the painter is compiled from the app's sources, with the app's profile.
//! Absent: the clock; the page measures.

mod edit;
mod frame;
mod painter;
mod platform;
