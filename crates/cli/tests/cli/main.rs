//! The binary as a person runs it: arguments in, text and exit code out.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

mod commands;
mod convert;
mod reports;
mod states;
mod support;
