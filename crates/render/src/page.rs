//! The rule book as text.

use lampwright_analysis::quantity::{Quantity, Unit};
use lampwright_analysis::rules::{RULES, RuleMeta};
use std::fmt::Write as _;

/// Every rule with severity, name, sources and how they are known.
#[must_use]
pub fn rules_text() -> String {
    let mut out = String::new();
    for rule in RULES {
        let meta = rule.meta();
        let _ = writeln!(
            out,
            "{} {} ({}, {}{})",
            meta.code,
            meta.name,
            meta.group.name(),
            meta.severity.name(),
            if meta.is_always_run {
                ", always run"
            } else {
                ""
            }
        );
        let _ = writeln!(out, "  {}", meta.summary);
        push_details(&mut out, meta);
    }
    out
}

/// The page of a rule, then its sources and parameters.
#[must_use]
pub fn page_text(meta: &RuleMeta) -> String {
    let mut out = String::from(meta.page.trim_end());
    let _ = writeln!(
        out,
        "\n\nRule {} {}, severity {}, since {}",
        meta.code,
        meta.name,
        meta.severity.name(),
        meta.since
    );
    push_details(&mut out, meta);
    out
}

fn push_details(out: &mut String, meta: &RuleMeta) {
    for source in meta.sources {
        let _ = writeln!(
            out,
            "  source: {} ({}): {}",
            source.title(),
            source.known.name(),
            source.says
        );
    }
    for parameter in meta.parameters {
        let number = |value| Quantity::thousandths(value, Unit::Count);
        let unit = if parameter.unit.is_empty() {
            String::new()
        } else {
            format!(" {}", parameter.unit)
        };
        let _ = writeln!(
            out,
            "  parameter {}: {}, {}{unit} unless set, from {} to {}",
            parameter.name,
            parameter.label,
            number(parameter.default),
            number(parameter.range.0),
            number(parameter.range.1)
        );
    }
}
