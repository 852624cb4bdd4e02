//! A report as text: one block per finding, then what was judged and how it came out.

use crate::file::FileReport;
use crate::words::{counted, found_in, found_in_also, problem};
use lampwright_analysis::report::{Finding, NOT_IN_PROFILE, Outcome, Report, Verdict};
use lampwright_analysis::rules::rule;
use lampwright_analysis::{Standing, alike};
use lampwright_formats::Location;
use lampwright_model::{Problem, Program, Severity};
use std::fmt::Write as _;

/// How much of a report is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TextOptions {
    /// Findings below this are counted but not written.
    pub least: Severity,
    /// Whether every outcome gets a line of its own.
    pub outcomes: bool,
}

impl Default for TextOptions {
    fn default() -> Self {
        Self {
            least: Severity::Info,
            outcomes: false,
        }
    }
}

/// The report of one program, each finding led by its `path:line:column`.
#[must_use]
pub fn text(
    file: &FileReport<'_>,
    program: &Program,
    report: &Report,
    locations: &[Location],
    options: TextOptions,
) -> String {
    let mut out = String::new();
    for problem in &report.profile_problems {
        let _ = writeln!(out, "{}: {}", file.at(None), self::problem(problem));
    }
    for alike in told_together(report, options) {
        for (index, finding) in &alike {
            let _ = write!(out, "{}: ", file.at(locations.get(*index)));
            push_line(&mut out, program, finding);
        }
        if let Some((_, first)) = alike.first() {
            push_details(&mut out, program, first);
        }
    }
    out.push_str(&closing_text(program, report, options));
    out
}

/// The findings to be written, by their indices, in lists of which one telling of the details does; lanes are each looked at.
pub(crate) fn told_together(report: &Report, options: TextOptions) -> Vec<Vec<(usize, &Finding)>> {
    let mut told = Vec::new();
    for indices in alike(&report.findings) {
        let finding = |index: usize| Some((index, report.findings.get(index)?));
        let findings = indices.into_iter().filter_map(finding);
        let (lanes, others): (Vec<_>, Vec<_>) = findings
            .filter(|(_, finding)| finding.severity >= options.least)
            .partition(|(_, finding)| finding.lane.is_some());
        told.extend(lanes.into_iter().map(|finding| vec![finding]));
        told.push(others);
    }
    told.retain(|findings| !findings.is_empty());
    lampwright_timing::sort_by(&mut told, |one, other| {
        let first = |findings: &[(usize, &Finding)]| findings.first().map(|(index, _)| *index);
        first(one).cmp(&first(other))
    });
    told
}

/// What stands below the findings: the screening, the outcomes when asked for, and the sums.
#[must_use]
pub fn closing_text(program: &Program, report: &Report, options: TextOptions) -> String {
    let mut out = String::new();
    push_screening(&mut out, program, report);
    push_outcomes(&mut out, report, options);
    out
}

/// Problems of a file, one a line, each led by its `path:line:column`, and how many were left out.
#[must_use]
pub fn file_problems_text(file: &FileReport<'_>) -> String {
    let mut out = String::new();
    for (index, problem) in file.problems.iter().enumerate() {
        let at = file.at(file.problem_locations.get(index));
        let _ = writeln!(out, "{at}: problem {}", self::problem(problem));
    }
    if file.n_more_problems > 0 {
        let at = file.at(None);
        let _ = writeln!(out, "{at}: problem and {} more", file.n_more_problems);
    }
    out
}

/// Problems, one a line, and how many were left out.
#[must_use]
pub fn problems_text(problems: &[Problem], n_more: usize) -> String {
    let mut out = String::new();
    for problem in problems {
        let _ = writeln!(out, "problem {}", self::problem(problem));
    }
    if n_more > 0 {
        let _ = writeln!(out, "problem and {n_more} more");
    }
    out
}

/// A pattern of a library on one line.
#[must_use]
pub fn pattern_text(label: &str, n_lanes: usize) -> String {
    let lanes = if n_lanes == 1 { "lane" } else { "lanes" };
    format!("pattern \"{label}\", {n_lanes} {lanes}, valid")
}

/// A profile on one line.
#[must_use]
pub fn profile_text(title: &str, n_rules: usize) -> String {
    let rules = if n_rules == 1 { "rule" } else { "rules" };
    format!("profile \"{title}\", {n_rules} {rules}, read")
}

/// The cautions of some reports, each once, in order; empty when there are none.
#[must_use]
pub fn cautions_text<'a>(reports: impl IntoIterator<Item = &'a Report>) -> String {
    let mut texts: Vec<&str> = Vec::new();
    for report in reports {
        for text in &report.cautions {
            if !texts.contains(text) {
                texts.push(text);
            }
        }
    }
    let mut out = String::new();
    if !texts.is_empty() {
        out.push_str("cautions:\n");
    }
    for text in texts {
        let _ = writeln!(out, "  - {text}");
    }
    out
}

/// One finding on its own lines.
#[must_use]
pub fn finding_text(program: &Program, finding: &Finding) -> String {
    let mut out = String::new();
    push_finding(&mut out, program, finding);
    out
}

fn push_finding(out: &mut String, program: &Program, finding: &Finding) {
    push_line(out, program, finding);
    push_details(out, program, finding);
}

/// What is wrong and where, on one line.
fn push_line(out: &mut String, program: &Program, finding: &Finding) {
    let meta = rule(finding.code).map(lampwright_analysis::rules::Rule::meta);
    let name = meta.map_or("", |meta| meta.name);
    let waived = finding
        .waived_by
        .and_then(|index| program.waivers.get(index));
    let word = if waived.is_some() {
        "waived"
    } else {
        finding.severity.name()
    };
    let mut labels = String::new();
    if finding.is_unverified {
        labels.push_str(" [unverified]");
    }
    if finding.depends_on_reading {
        labels.push_str(" [depends on reading]");
    }
    let _ = writeln!(
        out,
        "{word} {} {name}{labels} at {}: {}",
        finding.code, finding.place, finding.message
    );
}

/// Everything about a finding below its first line.
pub(crate) fn push_details(out: &mut String, program: &Program, finding: &Finding) {
    let waived = finding
        .waived_by
        .and_then(|index| program.waivers.get(index));
    let _ = writeln!(out, "  in: {}", found_in_also(program, finding));
    if let Some((pattern, lane)) = &finding.lane {
        let span = finding.span.map_or_else(String::new, |span| {
            format!(", from {} for {}", span.start, span.length)
        });
        let _ = writeln!(out, "  look at: pattern {pattern} lane {lane}{span}");
    }
    if let (Some(limit), Some(margin)) = (finding.limit, finding.margin) {
        let _ = writeln!(out, "  margin: {margin} against {}", limit.text());
    }
    let _ = writeln!(out, "  help: {}", finding.help);
    if let Some(standing) = Standing::of(program, finding) {
        let _ = writeln!(out, "  source: {}", standing.text());
    }
    if let Some(waiver) = waived {
        let _ = writeln!(
            out,
            "  waived: {} ({}, {})",
            waiver.reason, waiver.by, waiver.date
        );
    }
}

fn push_screening(out: &mut String, program: &Program, report: &Report) {
    let worst = report
        .screened
        .iter()
        .filter_map(|state| state.worst.map(|worst| (state, worst)))
        .reduce(|one, other| {
            let key = |worst: &lampwright_analysis::report::WorstDirection| {
                (worst.band.rank(), worst.n, worst.n_red)
            };
            if key(&other.1) > key(&one.1) {
                other
            } else {
                one
            }
        });
    match worst {
        None => out.push_str("screening: nothing is lit in any judged state\n"),
        Some((state, worst)) => {
            let bound = if worst.is_bound {
                ", a bound over free-running clocks"
            } else {
                ""
            };
            let _ = writeln!(
                out,
                "screening: worst band {} toward {}° in {}; {} and {} in the worst second{bound} (a screen, not a clearance)",
                worst.band.name(),
                worst.azimuth_degrees,
                found_in(program, &state.found_in),
                counted_flashes(worst.n, "flash"),
                counted_flashes(worst.n_red, "red flash")
            );
        }
    }
    let n_not_screened: usize = report
        .screened
        .iter()
        .map(|state| state.n_not_screened)
        .sum();
    if n_not_screened > 0 {
        let _ = writeln!(
            out,
            "screening: {} could not be screened",
            counted(n_not_screened, "direction")
        );
    }
    for change in &report.screening_changes {
        let _ = writeln!(out, "screening setting: {change}");
    }
}

fn push_outcomes(out: &mut String, report: &Report, options: TextOptions) {
    if options.outcomes {
        let (chosen, others): (Vec<&Outcome>, Vec<&Outcome>) = report
            .outcomes
            .iter()
            .partition(|outcome| !is_left_out(outcome));
        for outcome in chosen {
            let _ = writeln!(out, "{}", outcome_text(outcome));
        }
        if !others.is_empty() {
            let _ = writeln!(
                out,
                "  {} not evaluated, not in the profile; `lampwright coverage` lists them",
                counted(others.len(), "rule")
            );
        }
    }
    let count = |name: &str| {
        report
            .outcomes
            .iter()
            .filter(|outcome| outcome.verdict.name() == name)
            .count()
    };
    let _ = writeln!(
        out,
        "rules: {} passed, {} failed, {} not applicable, {} not evaluated of {} in {}",
        count("passed"),
        count("failed"),
        count("not applicable"),
        count("not evaluated"),
        report.outcomes.len(),
        counted(report.judged.len(), "judged state")
    );
    let severity = |severity: Severity| {
        report
            .findings
            .iter()
            .filter(|finding| finding.counts() && finding.severity == severity)
            .count()
    };
    let n_waived = report
        .findings
        .iter()
        .filter(|finding| !finding.counts())
        .count();
    let _ = writeln!(
        out,
        "findings: {}, {}, {}, {n_waived} waived",
        counted(severity(Severity::Error), "error"),
        counted(severity(Severity::Warning), "warning"),
        counted(severity(Severity::Info), "info")
    );
    if report.n_rules_chosen == 0 {
        out.push_str(
            "the profile chooses no rules, so nothing but the program's own promises was judged\n",
        );
    }
}

/// Whether the rule did not run because the profile does not choose it.
fn is_left_out(outcome: &Outcome) -> bool {
    matches!(&outcome.verdict, Verdict::NotEvaluated { why } if why == NOT_IN_PROFILE)
}

fn counted_flashes(n: u32, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "es" })
}

/// One outcome on one line.
#[must_use]
pub fn outcome_text(outcome: &Outcome) -> String {
    let name = rule(outcome.code).map_or("", |rule| rule.meta().name);
    format!("  {} {name}: {}", outcome.code, verdict_text(outcome))
}

/// What a rule came to, without its name.
#[must_use]
pub fn verdict_text(outcome: &Outcome) -> String {
    let mut text = outcome.verdict.name().to_owned();
    let detail = match &outcome.verdict {
        Verdict::Passed { margin } => margin.clone(),
        Verdict::Failed {
            n_findings,
            n_waived,
        } => {
            let noun = if *n_findings == 1 {
                "finding"
            } else {
                "findings"
            };
            if *n_waived == 0 {
                format!("{n_findings} {noun}")
            } else {
                format!("{n_findings} {noun}, {n_waived} waived")
            }
        }
        Verdict::NotApplicable { why } | Verdict::NotEvaluated { why } => why.clone(),
    };
    if !detail.is_empty() {
        let _ = write!(text, ", {detail}");
    }
    if !outcome.note.is_empty() {
        let _ = write!(text, " ({})", outcome.note);
    }
    if outcome.is_unverified {
        text.push_str(" [unverified]");
    }
    text
}
