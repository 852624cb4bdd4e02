//! Reports as SARIF 2.1.0 (OASIS Standard, Static Analysis Results Interchange Format), for tools that gather findings.
//!
//! One run with one result per finding; waived findings carry a suppression; what kept a file from being read is a notification.
//! Columns count characters, and the run says so.
//! A finding carries the changes that take it away, when those were tried and put into the report.
//! Absent: making fixes, and finding their places in the text.

use crate::file::{FileContent, FileReport};
use crate::json;
use crate::replacement::FixText;
use crate::report::outcome_text;
use crate::words::{counted, found_in, problem};
use lampwright_analysis::report::{Finding, Outcome, Verdict};
use lampwright_analysis::rules::{RULES, RuleMeta};
use lampwright_formats::Location;
use lampwright_model::{Program, RuleCode, Severity};
use serde_json::{Value, json};

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The log of some files; with `outcomes` also a result for each rule that found nothing.
#[must_use]
pub fn sarif(files: &[FileReport<'_>], version: &str, outcomes: bool) -> Value {
    let mut results = Vec::new();
    let mut notifications = Vec::new();
    let mut cautions: Vec<&str> = Vec::new();
    for (index, file) in files.iter().enumerate() {
        push_notifications(&mut notifications, file, index);
        if let FileContent::Program {
            program,
            report,
            locations,
        } = file.content
        {
            for (number, finding) in report.findings.iter().enumerate() {
                let place = place_of(
                    file,
                    index,
                    locations.get(number),
                    &finding.place.to_string(),
                );
                let fixes = file.fixes.get(number).map_or(&[][..], Vec::as_slice);
                results.push(result(program, finding, &place, fixes));
            }
            if outcomes {
                results.extend(
                    report
                        .outcomes
                        .iter()
                        .filter_map(|outcome| outcome_result(file, index, outcome)),
                );
            }
            for text in &report.cautions {
                if !cautions.contains(text) {
                    cautions.push(text);
                }
            }
        }
    }
    let is_successful = !files.iter().any(|file| {
        matches!(file.content, FileContent::Unreadable(_))
            || file
                .report()
                .is_some_and(|report| report.n_rules_chosen == 0)
    });
    json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": {"driver": {
                "name": "lampwright",
                "semanticVersion": version,
                "shortDescription": {"text": "Timing analyzer for the flash programs of vehicles"},
                "rules": RULES.iter().map(|rule| descriptor(rule.meta())).collect::<Vec<_>>(),
            }},
            "columnKind": "unicodeCodePoints",
            "invocations": [{
                "executionSuccessful": is_successful,
                "toolExecutionNotifications": notifications,
            }],
            "artifacts": files.iter().map(artifact).collect::<Vec<_>>(),
            "results": results,
            "properties": {"cautions": cautions},
        }],
    })
}

fn descriptor(meta: &RuleMeta) -> Value {
    let fix: Vec<&str> = meta
        .page
        .lines()
        .skip_while(|line| *line != "## How to fix")
        .skip(1)
        .take_while(|line| !line.starts_with("## "))
        .filter(|line| !line.is_empty())
        .collect();
    json!({
        "id": meta.code.to_string(),
        "name": meta.name,
        "shortDescription": {"text": meta.summary},
        "fullDescription": {"text": format!("{}.", meta.summary)},
        "help": {"text": fix.join(" "), "markdown": meta.page},
        "defaultConfiguration": {"level": level(meta.severity), "enabled": meta.is_always_run},
        "properties": {
            "tags": [meta.group.name()],
            "group": meta.group.name(),
            "since": meta.since,
            "isAlwaysRun": meta.is_always_run,
            "sources": meta.sources.iter().map(json::source).collect::<Vec<_>>(),
            "parameters": meta.parameters.iter().map(json::parameter).collect::<Vec<_>>(),
        },
    })
}

const fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Info => "note",
        Severity::Warning => "warning",
        Severity::Error => "error",
    }
}

fn artifact(file: &FileReport<'_>) -> Value {
    let properties = match file.content {
        FileContent::Program {
            program, report, ..
        } => json!({
            "kind": "program",
            "name": program.name,
            "profile": program.profile.title,
            "jurisdiction": program.profile.jurisdiction,
            "outcomes": report
                .outcomes
                .iter()
                .map(json::outcome)
                .collect::<Vec<_>>(),
        }),
        FileContent::Pattern { label, .. } => json!({"kind": "pattern", "label": label}),
        FileContent::Profile { title, .. } => json!({"kind": "profile", "title": title}),
        FileContent::Unreadable(_) => json!({"kind": "unreadable"}),
    };
    json!({
        "location": {"uri": uri(file.path)},
        "mimeType": "application/json",
        "roles": ["analysisTarget"],
        "properties": properties,
    })
}

fn place_of(file: &FileReport<'_>, index: usize, at: Option<&Location>, name: &str) -> Value {
    let mut physical = json!({"artifactLocation": {"uri": uri(file.path), "index": index}});
    let mut logical = json!({"name": name, "kind": "object"});
    if let Some(at) = at {
        physical["region"] = region(at);
        logical["fullyQualifiedName"] = json!(at.pointer);
    }
    json!({"physicalLocation": physical, "logicalLocations": [logical]})
}

fn region(at: &Location) -> Value {
    json!({
        "startLine": at.line,
        "startColumn": at.column,
        "endLine": at.end_line,
        "endColumn": at.end_column,
    })
}

fn result(program: &Program, finding: &Finding, place: &Value, fixes: &[FixText]) -> Value {
    let mut properties = json::finding(program, finding);
    properties["states"] = std::iter::once(&finding.found_in)
        .chain(&finding.also_in)
        .map(|state| found_in(program, state))
        .collect();
    let mut result = json!({
        "ruleId": finding.code.to_string(),
        "ruleIndex": rule_index(finding.code),
        "kind": "fail",
        "level": level(finding.severity),
        "message": {"text": format!("{}. {}.", finding.message, finding.help)},
        "locations": [place],
        "partialFingerprints": {
            "codeAndPlace/v1": format!("{} {}", finding.code, finding.place),
        },
        "properties": properties,
    });
    if !fixes.is_empty() {
        let file = &place["physicalLocation"]["artifactLocation"];
        result["fixes"] = fixes.iter().map(|fix| fix_object(fix, file)).collect();
    }
    if let Some(waiver) = finding
        .waived_by
        .and_then(|index| program.waivers.get(index))
    {
        result["suppressions"] = json!([{
            "kind": "inSource",
            "status": "accepted",
            "justification": format!("{} ({}, {})", waiver.reason, waiver.by, waiver.date),
        }]);
    }
    result
}

fn fix_object(fix: &FixText, file: &Value) -> Value {
    let replacements: Vec<Value> = fix
        .replacements
        .iter()
        .map(|one| {
            json!({
                "deletedRegion": region(&one.deleted),
                "insertedContent": {"text": one.inserted},
            })
        })
        .collect();
    json!({
        "description": {"text": fix.label},
        "artifactChanges": [{"artifactLocation": file, "replacements": replacements}],
    })
}

/// A rule that found nothing, as a result of another kind than a failure.
fn outcome_result(file: &FileReport<'_>, index: usize, outcome: &Outcome) -> Option<Value> {
    let kind = match outcome.verdict {
        Verdict::Failed { .. } => return None,
        Verdict::Passed { .. } => "pass",
        Verdict::NotApplicable { .. } => "notApplicable",
        Verdict::NotEvaluated { .. } => "open",
    };
    Some(json!({
        "ruleId": outcome.code.to_string(),
        "ruleIndex": rule_index(outcome.code),
        "kind": kind,
        "level": "none",
        "message": {"text": outcome_text(outcome).trim()},
        "locations": [place_of(file, index, None, "program")],
        "properties": json::outcome(outcome),
    }))
}

fn push_notifications(notifications: &mut Vec<Value>, file: &FileReport<'_>, index: usize) {
    let mut push = |level: &str, text: String, at: Option<&Location>, name: &str| {
        notifications.push(json!({
            "level": level,
            "message": {"text": text},
            "locations": [place_of(file, index, at, name)],
        }));
    };
    if let FileContent::Unreadable(why) = file.content {
        push("error", format!("could not be judged: {why}"), None, "file");
    }
    for (number, found) in file.problems.iter().enumerate() {
        push(
            "warning",
            problem(found),
            file.problem_locations.get(number),
            &found.path,
        );
    }
    if file.n_more_problems > 0 {
        let text = format!("and {}", counted(file.n_more_problems, "more problem"));
        push("warning", text, None, "file");
    }
    if let Some(report) = file.report() {
        for found in &report.profile_problems {
            push("warning", problem(found), None, &found.path);
        }
        if report.n_rules_chosen == 0 {
            push(
                "error",
                "the profile chooses no rules".into(),
                None,
                "profile",
            );
        }
    }
}

fn rule_index(code: RuleCode) -> Option<usize> {
    RULES.iter().position(|rule| rule.meta().code == code)
}

/// A path as a URI reference (RFC 3986): relative paths stay relative, absolute ones become `file:` addresses.
fn uri(path: &str) -> String {
    let mut uri = String::new();
    let has_drive = path.as_bytes().get(1) == Some(&b':');
    if path.starts_with('/') {
        uri.push_str("file://");
    } else if has_drive {
        uri.push_str("file:///");
    }
    for (index, byte) in path.bytes().enumerate() {
        let is_plain = byte.is_ascii_alphanumeric() || b"/-._~".contains(&byte);
        if is_plain || (has_drive && index == 1) {
            uri.push(char::from(byte));
        } else {
            uri.push_str(&format!("%{byte:02X}"));
        }
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::uri;

    #[test]
    fn paths_become_uri_references() {
        assert_eq!(uri("patterns/a b.json"), "patterns/a%20b.json");
        assert_eq!(uri("/srv/ä.json"), "file:///srv/%C3%A4.json");
        assert_eq!(uri("C:/a.json"), "file:///C:/a.json");
        assert_eq!(uri("50%/x#1"), "50%25/x%231");
    }
}
