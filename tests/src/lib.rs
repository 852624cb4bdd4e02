//! Shared pieces of the cross-crate tests.

pub mod screening_reference;
