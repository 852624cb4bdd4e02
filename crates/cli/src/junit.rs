//! Reports as JUnit XML, for build servers: one suite per file, one case per rule.
//!
//! Invariant: a case fails exactly when the exit code says so for its rule; what was not looked at is skipped with the reason, never passed.
//! Absent: times and host names, which would make two runs differ.

use lampwright_analysis::report::{Finding, Outcome, Report, Verdict};
use lampwright_analysis::rules::rule;
use lampwright_model::{Program, Severity};
use lampwright_render::file::{FileContent, FileReport};
use lampwright_render::report::{finding_text, verdict_text};
use quick_junit::{NonSuccessKind, SerializeError, TestCase, TestCaseStatus, TestSuite};

/// The XML of some files; findings below `least` do not fail their case but stand in its output.
pub(crate) fn junit(files: &[FileReport<'_>], least: Severity) -> Result<String, SerializeError> {
    let mut junit = quick_junit::Report::new("lampwright");
    for file in files {
        let mut suite = TestSuite::new(file.path);
        suite.add_test_case(reads(file));
        if let FileContent::Program {
            program, report, ..
        } = file.content
        {
            for outcome in &report.outcomes {
                suite.add_test_case(case(file, program, report, outcome, least));
            }
        }
        junit.add_test_suite(suite);
    }
    junit.to_string()
}

/// Whether the file could be read, and as a whole.
fn reads(file: &FileReport<'_>) -> TestCase {
    let mut problems: Vec<String> = file
        .problems
        .iter()
        .enumerate()
        .map(|(index, problem)| {
            format!("{}: {problem}", file.at(file.problem_locations.get(index)))
        })
        .collect();
    if file.n_more_problems > 0 {
        problems.push(format!("and {} more", file.n_more_problems));
    }
    if let Some(report) = file.report() {
        problems.extend(report.profile_problems.iter().map(ToString::to_string));
    }
    let no_rules = file
        .report()
        .is_some_and(|report| report.n_rules_chosen == 0);
    let status = match file.content {
        FileContent::Unreadable(why) => failed(NonSuccessKind::Error, why, &problems.join("\n")),
        _ if no_rules => failed(
            NonSuccessKind::Error,
            "the profile chooses no rules",
            &problems.join("\n"),
        ),
        _ if problems.is_empty() => TestCaseStatus::success(),
        _ => failed(
            NonSuccessKind::Failure,
            "the file is not as it should be",
            &problems.join("\n"),
        ),
    };
    let mut case = TestCase::new("the file can be read", status);
    case.set_classname(file.path);
    case
}

fn failed(kind: NonSuccessKind, message: &str, description: &str) -> TestCaseStatus {
    let mut status = TestCaseStatus::non_success(kind);
    status.set_message(message);
    if !description.is_empty() {
        status.set_description(description);
    }
    status
}

fn case(
    file: &FileReport<'_>,
    program: &Program,
    report: &Report,
    outcome: &Outcome,
    least: Severity,
) -> TestCase {
    let findings: Vec<(usize, &Finding)> = report
        .findings
        .iter()
        .enumerate()
        .filter(|(_, finding)| finding.code == outcome.code)
        .collect();
    let n_failing = findings
        .iter()
        .filter(|(_, finding)| finding.counts() && finding.severity >= least)
        .count();
    let text: Vec<String> = findings
        .iter()
        .map(|(index, finding)| {
            let location = match file.content {
                FileContent::Program { locations, .. } => locations.get(*index),
                _ => None,
            };
            format!("{}: {}", file.at(location), finding_text(program, finding))
        })
        .collect();
    let text = text.join("\n");
    let verdict = verdict_text(outcome);
    let status = match &outcome.verdict {
        Verdict::Failed { .. } if n_failing > 0 => failed(NonSuccessKind::Failure, &verdict, &text),
        Verdict::NotApplicable { .. } | Verdict::NotEvaluated { .. } => {
            let mut status = TestCaseStatus::skipped();
            status.set_message(verdict.as_str());
            status
        }
        Verdict::Passed { .. } | Verdict::Failed { .. } => TestCaseStatus::success(),
    };
    let is_success = matches!(status, TestCaseStatus::Success { .. });
    let name = rule(outcome.code).map_or("", |rule| rule.meta().name);
    let mut case = TestCase::new(format!("{} {name}", outcome.code), status);
    case.set_classname(file.path);
    if is_success {
        case.set_system_out(format!("{verdict}\n{text}").trim_end());
    }
    if outcome.is_unverified {
        case.add_property(("unverified", "a limit it rests on is not confirmed"));
    }
    if let Some(confirmed) = program
        .profile
        .rules
        .iter()
        .find(|choice| choice.code == outcome.code)
        .and_then(|choice| choice.confirmed.as_ref())
    {
        let text = format!(
            "by {} on {} from {}",
            confirmed.by, confirmed.date, confirmed.source
        );
        case.add_property(("confirmed", text.as_str()));
    }
    case
}
