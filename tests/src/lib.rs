//! Shared pieces of the cross-crate tests.

pub mod facts_reference;
#[cfg(not(target_arch = "wasm32"))]
pub mod generate;
pub mod large;
pub mod screening_reference;
