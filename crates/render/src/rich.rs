//! A report for reading at length: under each message the lane is drawn in characters and the place to look at is marked.
//!
//! Invariant: without paint the text holds no control characters, so it reads the same in a file.
//! Absent: deciding whether to paint, which depends on where the text goes.

use crate::file::{FileContent, FileReport};
use crate::lane::draw;
use crate::report::{TextOptions, closing_text, file_problems_text, push_details, told_together};
use lampwright_analysis::report::Finding;
use lampwright_analysis::rules::rule;
use lampwright_formats::Location;
use lampwright_model::{Program, Severity};
use std::fmt::Write as _;

/// Whether words are painted with the color codes of a terminal (ECMA-48, select graphic rendition).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Paint {
    /// No codes.
    Plain,
    /// Severity in color and bold, marks bold.
    Colored,
}

impl Paint {
    fn wrap(self, code: &str, text: &str) -> String {
        match self {
            Self::Plain => text.to_owned(),
            Self::Colored => format!("\u{1b}[{code}m{text}\u{1b}[0m"),
        }
    }

    fn severity(self, severity: Severity, text: &str) -> String {
        let code = match severity {
            Severity::Error => "1;31",
            Severity::Warning => "1;33",
            Severity::Info => "1;36",
        };
        self.wrap(code, text)
    }

    fn quiet(self, text: &str) -> String {
        self.wrap("2", text)
    }

    fn strong(self, text: &str) -> String {
        self.wrap("1", text)
    }
}

/// The report of one file.
#[must_use]
pub fn rich(file: &FileReport<'_>, options: TextOptions, paint: Paint) -> String {
    let mut out = format!("{}\n\n", paint.strong(file.path));
    let problems = file_problems_text(file);
    if !problems.is_empty() {
        let _ = writeln!(out, "{problems}");
    }
    match file.content {
        FileContent::Unreadable(why) => {
            let _ = writeln!(out, "could not be judged: {why}");
        }
        FileContent::Pattern { label, n_lanes } => {
            let _ = writeln!(out, "{}", crate::report::pattern_text(label, n_lanes));
        }
        FileContent::Profile { title, n_rules } => {
            let _ = writeln!(out, "{}", crate::report::profile_text(title, n_rules));
        }
        FileContent::Program {
            program,
            report,
            locations,
        } => {
            for found in &report.profile_problems {
                let _ = writeln!(out, "{}\n", crate::words::problem(found));
            }
            for alike in told_together(report, options) {
                push(&mut out, file, program, &alike, locations, paint);
            }
            out.push_str(&closing_text(program, report, options));
        }
    }
    out
}

/// Findings that say the same of several things; what they share is written once.
fn push(
    out: &mut String,
    file: &FileReport<'_>,
    program: &Program,
    alike: &[(usize, &Finding)],
    locations: &[Location],
    paint: Paint,
) {
    let Some((_, finding)) = alike.first() else {
        return;
    };
    let name = rule(finding.code).map_or("", |rule| rule.meta().name);
    let word = if finding.counts() {
        paint.severity(finding.severity, finding.severity.name())
    } else {
        paint.quiet("waived")
    };
    let mut labels = String::new();
    if finding.is_unverified {
        labels.push_str(" [unverified]");
    }
    if finding.depends_on_reading {
        labels.push_str(" [depends on reading]");
    }
    let _ = writeln!(out, "{word} {} {name}{labels}", finding.code);
    for (index, finding) in alike {
        let _ = writeln!(out, "  {}", paint.strong(&finding.message));
        let at = file.at(locations.get(*index));
        let _ = writeln!(out, "  at {at}, {}", finding.place);
    }
    let lane = finding.lane.as_ref().and_then(|(pattern, role)| {
        let pattern = program.patterns.iter().find(|known| known.id == *pattern)?;
        Some((pattern, pattern.lane(role)?))
    });
    if let Some((pattern, lane)) = lane {
        out.push('\n');
        for row in draw(pattern.period, &lane.pulses, finding.span) {
            let row = if row.trim_start().starts_with('^') {
                paint.severity(finding.severity, &row)
            } else {
                row
            };
            let _ = writeln!(out, "      {row}");
        }
        out.push('\n');
    }
    push_details(out, program, finding);
    out.push('\n');
}
