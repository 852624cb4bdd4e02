//! The set of rules and parameters an agency chooses, and what it waives.

use crate::{Condition, PatternId, RuleCode, Target};

/// The rules an agency chooses.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Profile {
    /// Title: "county road service".
    pub title: String,
    /// Where it applies; free text.
    pub jurisdiction: String,
    /// The chosen rules, each once; a rule not listed is not run.
    pub rules: Vec<RuleChoice>,
}

/// One chosen rule.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RuleChoice {
    /// Which rule.
    pub code: RuleCode,
    /// Severity in place of the rule's own.
    pub severity: Option<Severity>,
    /// Parameters in place of the rule's own, by name, in thousandths of the parameter's unit.
    pub parameters: Vec<(String, i64)>,
    /// Set when the agency has confirmed a limit that is known only from memory.
    pub confirmed: Option<Confirmation>,
    /// In which states it looks, such as only while blocking; none means all.
    pub when: Option<Condition>,
    /// Heads it looks at; none listed means all.
    pub heads: Vec<Target>,
    /// Patterns it looks at; none listed means all.
    pub only_patterns: Vec<PatternId>,
    /// Patterns it does not look at, such as an arrow's for a warning rate.
    pub except_patterns: Vec<PatternId>,
}

impl RuleChoice {
    /// The rule with its own severity and parameters.
    #[must_use]
    pub fn of(code: RuleCode) -> Self {
        Self {
            code,
            severity: None,
            parameters: Vec::new(),
            confirmed: None,
            when: None,
            heads: Vec::new(),
            only_patterns: Vec::new(),
            except_patterns: Vec::new(),
        }
    }

    /// Whether the rule looks at a pattern.
    #[must_use]
    pub fn looks_at_pattern(&self, pattern: &PatternId) -> bool {
        (self.only_patterns.is_empty() || self.only_patterns.contains(pattern))
            && !self.except_patterns.contains(pattern)
    }
}

/// How grave a finding is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// Worth knowing.
    Info,
    /// To be looked at.
    Warning,
    /// Breaks a limit.
    Error,
}

impl Severity {
    /// The plain word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Info => "info",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// An agency's confirmation of a limit, with its own source.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Confirmation {
    /// Document, edition and clause as the agency has it.
    pub source: String,
    /// Who confirmed it.
    pub by: String,
    /// When, as `YYYY-MM-DD`.
    pub date: String,
}

/// A finding the agency accepts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Waiver {
    /// Which rule.
    pub rule: RuleCode,
    /// Where: a place as findings write it, or none for everywhere.
    pub place: Option<String>,
    /// Why.
    pub reason: String,
    /// Who accepts it.
    pub by: String,
    /// When, as `YYYY-MM-DD`.
    pub date: String,
}
