//! The parts of the page.
//!
//! Invariant: a component shows what the core crates computed and sends actions; it decides nothing about programs.

pub(crate) mod bars;
pub(crate) mod builder;
pub(crate) mod dialog;
pub(crate) mod every_state;
pub(crate) mod fields;
pub(crate) mod finder;
pub(crate) mod findings;
pub(crate) mod head;
pub(crate) mod help;
pub(crate) mod library;
pub(crate) mod notices;
pub(crate) mod open;
pub(crate) mod power;
pub(crate) mod profile;
pub(crate) mod reason;
pub(crate) mod repair;
pub(crate) mod results;
pub(crate) mod rules;
pub(crate) mod screening;
pub(crate) mod setup;
pub(crate) mod states;
pub(crate) mod steps;
pub(crate) mod summary;
pub(crate) mod table;
pub(crate) mod timeline;
pub(crate) mod title;
pub(crate) mod transport;
pub(crate) mod trying;
pub(crate) mod vehicle;
