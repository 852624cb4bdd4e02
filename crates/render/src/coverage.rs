//! The profile against the program as text and JSON: what was chosen, where it ran, what it rests on.

use crate::json;
use crate::report::verdict_text;
use lampwright_analysis::coverage::{Coverage, UsedLimit};
use lampwright_analysis::report::Verdict;
use lampwright_model::Program;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// One block per rule, then the sums.
#[must_use]
pub fn text(program: &Program, rows: &[Coverage<'_>]) -> String {
    let profile = &program.profile;
    let mut out = format!("profile \"{}\"", profile.title);
    if !profile.jurisdiction.is_empty() {
        let _ = write!(out, ", {}", profile.jurisdiction);
    }
    out.push('\n');
    for row in rows {
        push(&mut out, row);
    }
    out.push_str(&sums(rows));
    out
}

fn push(out: &mut String, row: &Coverage<'_>) {
    let meta = row.meta;
    let _ = writeln!(
        out,
        "{} {} ({}, {}): {}",
        meta.code,
        meta.name,
        meta.group.name(),
        row.severity.name(),
        chosen(row)
    );
    if let Some(outcome) = row.outcome.filter(|_| row.is_run) {
        let _ = writeln!(
            out,
            "  looked in {} of {} judged states; {}",
            outcome.n_states,
            row.n_judged,
            verdict_text(outcome)
        );
    }
    for limit in &row.limits {
        let _ = writeln!(out, "  limit {}", limit_text(limit));
    }
    for source in &row.other_sources {
        let _ = writeln!(out, "  source {} ({})", source.title(), source.known.name());
    }
    if let Some(confirmed) = row.confirmed {
        let _ = writeln!(
            out,
            "  confirmed by {} on {} from {}",
            confirmed.by, confirmed.date, confirmed.source
        );
    }
}

fn chosen(row: &Coverage<'_>) -> &'static str {
    match (row.is_chosen, row.is_run, row.is_narrowed) {
        (true, _, true) => "chosen, narrowed by the profile",
        (true, _, false) => "chosen",
        (false, true, _) => "not chosen, run all the same",
        (false, false, _) => "not chosen",
    }
}

fn limit_text(limit: &UsedLimit) -> String {
    let mut text = format!("{} {}", limit.label, limit.value_text());
    if limit.is_set {
        text.push_str(", set by the profile");
    }
    if let Some(source) = limit.source {
        let what = if limit.is_set { "in place of " } else { "" };
        let _ = write!(text, ": {what}{} ({})", source.title(), source.known.name());
    }
    if limit.is_unverified {
        text.push_str(" [unverified]");
    }
    text
}

fn sums(rows: &[Coverage<'_>]) -> String {
    let count = |is: &dyn Fn(&Coverage<'_>) -> bool| rows.iter().filter(|row| is(row)).count();
    let looked = |row: &Coverage<'_>| {
        row.outcome.is_some_and(|outcome| {
            matches!(
                outcome.verdict,
                Verdict::Passed { .. } | Verdict::Failed { .. }
            )
        })
    };
    let n_unverified = rows
        .iter()
        .filter(|row| row.is_run)
        .flat_map(|row| &row.limits)
        .filter(|limit| limit.is_unverified)
        .count();
    format!(
        "{} of {} rules chosen, {} run, {} found something to look at, {} confirmed by the agency; {n_unverified} limits in use are unverified\n",
        count(&|row| row.is_chosen),
        rows.len(),
        count(&|row| row.is_run),
        count(&looked),
        count(&|row| row.confirmed.is_some()),
    )
}

/// The same as JSON.
#[must_use]
pub fn json(program: &Program, rows: &[Coverage<'_>]) -> Value {
    let rules: Vec<Value> = rows
        .iter()
        .map(|row| {
            json!({
                "code": row.meta.code.to_string(),
                "name": row.meta.name,
                "group": row.meta.group.name(),
                "severity": row.severity.name(),
                "is_chosen": row.is_chosen,
                "is_run": row.is_run,
                "is_narrowed": row.is_narrowed,
                "n_judged": row.n_judged,
                "outcome": row.outcome.map(json::outcome),
                "limits": row.limits.iter().map(limit_json).collect::<Vec<_>>(),
                "other_sources": row
                    .other_sources
                    .iter()
                    .map(|source| json::source(source))
                    .collect::<Vec<_>>(),
                "confirmed": row.confirmed.map(json::confirmed),
            })
        })
        .collect();
    json!({
        "format": "lampwright-coverage",
        "version": 1,
        "profile": {
            "title": program.profile.title,
            "jurisdiction": program.profile.jurisdiction,
        },
        "rules": rules,
    })
}

fn limit_json(limit: &UsedLimit) -> Value {
    json!({
        "name": limit.name,
        "label": limit.label,
        "value": json::thousandths(limit.thousandths),
        "unit": limit.unit,
        "is_set": limit.is_set,
        "source": limit.source.map(json::source),
        "is_unverified": limit.is_unverified,
    })
}
