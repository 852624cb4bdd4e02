//! The rule book: a static registry, one file and one page per rule.
//!
//! Invariant: a rule is a pure function of the facts of a state (or of all judged states) and of its options; it says passed, failed, not applicable or not evaluated, never nothing.
//! Absent: measuring (facts), counting flashes for the screening, and printing.

mod judgment;
mod meta;
mod options;

pub use judgment::{Judgment, Margin};
pub use meta::{Known, Parameter, RuleGroup, RuleMeta, Source};
pub use options::Options;

use lampwright_model::RuleCode;

/// A rule of the book.
pub trait Rule: Sync {
    /// Code, name, sources, parameters and page.
    fn meta(&self) -> &'static RuleMeta;
}

/// Every rule, by code.
pub static RULES: &[&dyn Rule] = &[];

/// The rule of a code.
#[must_use]
pub fn rule(code: RuleCode) -> Option<&'static dyn Rule> {
    RULES.iter().copied().find(|rule| rule.meta().code == code)
}
