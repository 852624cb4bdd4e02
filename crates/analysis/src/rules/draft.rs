//! How rules write findings: severity and verification follow from the source a finding rests on.
//!
//! The finding stays in one place while it is written, and each part is set by a call, since every rule does this and the browser build counts it.

use super::Options;
use crate::quantity::{Limit, Quantity};
use crate::report::{Finding, FoundIn};
use lampwright_model::{HeadId, PatternId, Place, RoleId, Severity};
use lampwright_timing::Interval;

/// A finding being written.
pub(crate) struct Draft<'o, 'p> {
    options: &'o Options<'p>,
    finding: Box<Finding>,
}

impl<'o, 'p> Draft<'o, 'p> {
    /// A finding at a place that rests on one of the rule's sources.
    #[inline(never)]
    pub(crate) fn new(options: &'o Options<'p>, source: usize, place: Place) -> Self {
        let finding = Finding {
            code: options.meta().code,
            severity: options.severity(source),
            place,
            found_in: FoundIn::Program,
            also_in: Vec::new(),
            lane: None,
            span: None,
            head: None,
            direction_degrees: None,
            measured: None,
            limit: None,
            margin: None,
            message: String::new(),
            help: String::new(),
            source: Some(source),
            is_unverified: options.is_unverified(source),
            depends_on_reading: false,
            waived_by: None,
        };
        Self {
            options,
            finding: Box::new(finding),
        }
    }

    /// The same finding resting on another source.
    #[inline(never)]
    pub(crate) fn resting_on(mut self, source: usize) -> Self {
        self.finding.source = Some(source);
        self.finding.severity = self.options.severity(source);
        self.finding.is_unverified = self.options.is_unverified(source);
        self
    }

    /// Marks that another reading of the source passes; such a finding is a warning at most.
    #[inline(never)]
    pub(crate) fn reading_differs(mut self, differs: bool) -> Self {
        if differs {
            self.finding.depends_on_reading = true;
            self.finding.severity = self.finding.severity.min(Severity::Warning);
        }
        self
    }

    #[inline(never)]
    pub(crate) fn lane(mut self, lane: (PatternId, RoleId)) -> Self {
        self.finding.lane = Some(lane);
        self
    }

    #[inline(never)]
    pub(crate) fn span(mut self, span: Interval) -> Self {
        self.finding.span = Some(span);
        self
    }

    #[inline(never)]
    pub(crate) fn head(mut self, head: Option<&&HeadId>) -> Self {
        self.finding.head = head.map(|head| (*head).clone());
        self
    }

    #[inline(never)]
    pub(crate) fn direction(mut self, degrees: u16) -> Self {
        self.finding.direction_degrees = Some(degrees);
        self
    }

    #[inline(never)]
    pub(crate) fn measured(mut self, value: Quantity, limit: Limit) -> Self {
        self.finding.measured = Some(value);
        self.finding.limit = Some(limit);
        self.finding.margin = limit.margin(value);
        self
    }

    /// A measured value that no single number limits.
    #[inline(never)]
    pub(crate) fn value(mut self, value: Quantity) -> Self {
        self.finding.measured = Some(value);
        self
    }

    /// The finding with its texts: what is wrong, and what to do.
    pub(crate) fn say(mut self, message: impl Into<String>, help: impl Into<String>) -> Finding {
        self.finding.message = message.into();
        self.finding.help = help.into();
        *self.finding
    }
}

/// "1 flash", "2 flashes".
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// "head a", "heads a and b".
pub(crate) fn heads_listed(ids: &[&HeadId]) -> String {
    let kind = if ids.len() == 1 { "head" } else { "heads" };
    format!("{kind} {}", listed(ids))
}

/// "a", "a and b", "a, b and 3 more".
pub(crate) fn listed<T: std::fmt::Display>(items: &[T]) -> String {
    match items {
        [] => "none".into(),
        [one] => one.to_string(),
        [one, other] => format!("{one} and {other}"),
        [one, other, third] => format!("{one}, {other} and {third}"),
        [one, other, rest @ ..] => format!("{one}, {other} and {} more", rest.len()),
    }
}
