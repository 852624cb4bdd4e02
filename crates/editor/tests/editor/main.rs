//! The editor, driven as the front end drives it.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that meets something unexpected has failed"
)]

mod actions;
mod anything;
mod authoring;
mod elevations;
mod gate;
mod gestures;
mod history;
mod judging;
mod kept_history;
mod operations;
mod painting;
mod preview;
mod support;
mod trains;
