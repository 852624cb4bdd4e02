//! The same as JSON, built by hand so that its shape stays when the types change.
//!
//! Numbers that limits are compared with are given as an exact fraction and as a decimal.

use lampwright_analysis::Standing;
use lampwright_analysis::coverage::UsedLimit;
use lampwright_analysis::quantity::{Limit, Quantity};
use lampwright_analysis::report::{Finding, FoundIn, Outcome, Report, Verdict};
use lampwright_analysis::rules::{Parameter, RULES, Rule, RuleMeta, Source, rule};
use lampwright_formats::Location;
use lampwright_model::{Confirmation, Problem, Program, State};
use serde_json::{Value, json};

/// Version of the report's shape.
pub const REPORT_VERSION: u32 = 1;

/// The report of one program; `locations` has the place of each finding in the file, or is empty.
#[must_use]
pub fn report(program: &Program, report: &Report, locations: &[Location]) -> Value {
    json!({
        "profile": {
            "title": program.profile.title,
            "jurisdiction": program.profile.jurisdiction,
            "n_rules_chosen": report.n_rules_chosen,
            "problems": problems(&report.profile_problems),
        },
        "judged": report.judged.iter().map(found_in).collect::<Vec<_>>(),
        "findings": report
            .findings
            .iter()
            .enumerate()
            .map(|(index, finding)| {
                let mut value = self::finding(program, finding);
                value["location"] = locations.get(index).map_or(Value::Null, location);
                value
            })
            .collect::<Vec<_>>(),
        "outcomes": report
            .outcomes
            .iter()
            .map(outcome)
            .collect::<Vec<_>>(),
        "screening": report
            .screened
            .iter()
            .map(|state| json!({
                "state": found_in(&state.found_in),
                "n_directions": state.n_directions,
                "n_not_screened": state.n_not_screened,
                "worst": state.worst.map(|worst| json!({
                    "direction_deg": worst.azimuth_degrees,
                    "flashes_in_worst_second": worst.n,
                    "red_flashes_in_worst_second": worst.n_red,
                    "band": worst.band.name(),
                    "is_bound": worst.is_bound,
                })),
            }))
            .collect::<Vec<_>>(),
        "screening_changes": report.screening_changes,
        "cautions": report.cautions,
    })
}

/// What one rule came to.
#[must_use]
pub fn outcome(outcome: &Outcome) -> Value {
    let mut value = json!({
        "code": outcome.code.to_string(),
        "verdict": outcome.verdict.name(),
        "note": outcome.note,
        "is_unverified": outcome.is_unverified,
        "n_states": outcome.n_states,
    });
    match &outcome.verdict {
        Verdict::Passed { margin } => value["margin"] = json!(margin),
        Verdict::Failed {
            n_findings,
            n_waived,
        } => {
            value["n_findings"] = json!(n_findings);
            value["n_waived"] = json!(n_waived);
        }
        Verdict::NotApplicable { why } | Verdict::NotEvaluated { why } => {
            value["why"] = json!(why);
        }
    }
    value
}

/// An agency's confirmation of a limit.
#[must_use]
pub fn confirmed(confirmation: &Confirmation) -> Value {
    json!({
        "source": confirmation.source,
        "by": confirmation.by,
        "date": confirmation.date,
    })
}

/// A stretch of a file's text.
#[must_use]
pub fn location(location: &Location) -> Value {
    json!({
        "pointer": location.pointer,
        "line": location.line,
        "column": location.column,
        "end_line": location.end_line,
        "end_column": location.end_column,
    })
}

/// One finding.
#[must_use]
pub fn finding(program: &Program, finding: &Finding) -> Value {
    let meta = rule(finding.code).map(Rule::meta);
    let standing = Standing::of(program, finding);
    let standing = standing.as_ref();
    json!({
        "code": finding.code.to_string(),
        "name": meta.map(|meta| meta.name),
        "severity": finding.severity.name(),
        "place": finding.place.to_string(),
        "state": found_in(&finding.found_in),
        "also_in": finding.also_in.iter().map(found_in).collect::<Vec<_>>(),
        "pattern": finding.lane.as_ref().map(|(pattern, _)| pattern.to_string()),
        "lane": finding.lane.as_ref().map(|(_, lane)| lane.to_string()),
        "span": finding.span.map(|span| json!({
            "start_ms": span.start.as_ms(),
            "length_ms": span.length.as_ms(),
        })),
        "head": finding.head.as_ref().map(ToString::to_string),
        "direction_deg": finding.direction_degrees,
        "measured": finding.measured.map(quantity),
        "limit": finding.limit.map(limit),
        "margin": finding.margin.map(quantity),
        "message": finding.message,
        "help": finding.help,
        "source": standing.map(|standing| source(standing.source)),
        "set_by_profile": standing
            .map(|standing| standing.replaced.iter().map(replaced).collect::<Vec<_>>()),
        "confirmed": standing
            .and_then(|standing| standing.confirmed)
            .map(confirmed),
        "is_unverified": finding.is_unverified,
        "depends_on_reading": finding.depends_on_reading,
        "waived": finding
            .waived_by
            .and_then(|index| program.waivers.get(index))
            .map(|waiver| json!({
                "reason": waiver.reason,
                "by": waiver.by,
                "date": waiver.date,
            })),
    })
}

/// A figure that the profile set in place of the rule's own.
fn replaced(limit: &UsedLimit) -> Value {
    json!({
        "name": limit.name,
        "value": thousandths(limit.thousandths),
        "own": thousandths(limit.own_thousandths),
        "unit": limit.unit,
    })
}

/// Problems with their paths.
#[must_use]
pub fn problems(problems: &[Problem]) -> Value {
    problems
        .iter()
        .map(|problem| {
            json!({
                "path": problem.path,
                "expected": problem.expected,
                "found": problem.found,
            })
        })
        .collect()
}

/// The whole rule book.
#[must_use]
pub fn rules() -> Value {
    let rules: Vec<Value> = RULES.iter().map(|rule| meta(rule.meta())).collect();
    json!({"format": "lampwright-rules", "version": 1, "rules": rules})
}

fn meta(meta: &RuleMeta) -> Value {
    json!({
        "code": meta.code.to_string(),
        "name": meta.name,
        "summary": meta.summary,
        "group": meta.group.name(),
        "severity": meta.severity.name(),
        "since": meta.since,
        "is_always_run": meta.is_always_run,
        "sources": meta.sources.iter().map(source).collect::<Vec<_>>(),
        "parameters": meta
            .parameters
            .iter()
            .map(parameter)
            .collect::<Vec<_>>(),
    })
}

/// A figure a profile can set.
#[must_use]
pub fn parameter(parameter: &Parameter) -> Value {
    json!({
        "name": parameter.name,
        "label": parameter.label,
        "unit": parameter.unit,
        "default": thousandths(parameter.default),
        "least": thousandths(parameter.range.0),
        "most": thousandths(parameter.range.1),
        "source": parameter.source,
    })
}

/// Where a limit comes from and how it is known.
#[must_use]
pub fn source(source: &Source) -> Value {
    json!({
        "document": source.document,
        "edition": source.edition,
        "clause": source.clause,
        "says": source.says,
        "known": source.known.name(),
    })
}

/// A state by the signals away from their defaults, and in words.
#[must_use]
pub fn state(program: &Program, state: &State) -> Value {
    let values: serde_json::Map<String, Value> = state
        .differences(program)
        .into_iter()
        .map(|(signal, value)| (signal.as_str().to_owned(), json!(value.as_str())))
        .collect();
    json!({ "signals": values, "words": state.describe(program) })
}

/// A judged state: `"program"`, `"default"`, or its identifier or signal values in an object.
#[must_use]
pub fn found_in(state: &FoundIn) -> Value {
    match state {
        FoundIn::Program => json!("program"),
        FoundIn::DefaultState => json!("default"),
        FoundIn::Situation(id) => json!({"situation": id.as_str()}),
        FoundIn::State(state) => json!({"signals": state.indices()}),
    }
}

/// A value with unit: the exact fraction, the nearest decimal, and the text.
#[must_use]
pub fn quantity(quantity: Quantity) -> Value {
    let (numerator, denominator) = quantity.fraction();
    json!({
        "value": quantity.in_units(),
        "exact": format!("{numerator}/{denominator}"),
        "unit": quantity.unit().text(),
        "text": quantity.to_string(),
    })
}

fn limit(limit: Limit) -> Value {
    json!({
        "at_least": limit.at_least.map(quantity),
        "at_most": limit.at_most.map(quantity),
        "text": limit.text(),
    })
}

#[expect(clippy::cast_precision_loss, reason = "parameters stay far below 2^53")]
pub(crate) fn thousandths(value: i64) -> f64 {
    value as f64 / 1000.0
}
