//! `lampwright check`: many files on all cores, written in the order of their names.

use crate::arguments::{CheckArguments, Format};
use crate::{Ending, complain, files, print, print_json};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use lampwright_analysis::report::Report;
use lampwright_formats::{read_pattern, read_program};
use lampwright_model::{Problem, Program, Severity};
use lampwright_render::report::{TextOptions, cautions_text, problems_text, text};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

/// What came of one file.
struct Checked {
    path: PathBuf,
    content: Content,
    problems: Vec<Problem>,
    n_more_problems: usize,
}

enum Content {
    /// A program, judged.
    Program(Box<(Program, Report)>),
    /// A pattern of a library, read and validated.
    Pattern { label: String, n_lanes: usize },
    /// Not read, with the reason.
    Unreadable(String),
}

/// Fewest files for which progress is shown.
const PROGRESS_FROM: usize = 16;

pub(crate) fn check(arguments: &CheckArguments) -> io::Result<Ending> {
    let found = files::find(&arguments.paths);
    for text in &found.unreadable {
        complain(text);
    }
    if found.files.is_empty() {
        complain("no files to check; name program or pattern files, or folders with .json files");
        return Ok(Ending::Failed);
    }
    let files: Vec<PathBuf> = found.files.into_iter().collect();
    let progress = progress(files.len());
    let checked: Vec<Checked> = files
        .into_par_iter()
        .map(|path| {
            let checked = check_file(path);
            progress.inc(1);
            checked
        })
        .collect();
    progress.finish_and_clear();

    let severity = Severity::from(arguments.severity);
    match arguments.format {
        Format::Text => print(&as_text(&checked, arguments.outcomes))?,
        Format::Json => print_json(&as_json(&checked))?,
    };
    let worst = checked
        .iter()
        .map(|checked| checked.ending(severity))
        .max()
        .unwrap_or(Ending::Clean);
    Ok(if found.unreadable.is_empty() {
        worst
    } else {
        Ending::Failed
    })
}

/// Shown on a terminal only.
fn progress(n_files: usize) -> ProgressBar {
    if n_files < PROGRESS_FROM {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(n_files as u64), ProgressDrawTarget::stderr());
    match ProgressStyle::with_template("checking {wide_bar} {pos} of {len} files") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

fn check_file(path: PathBuf) -> Checked {
    let bytes = match files::read(&path) {
        Ok(bytes) => bytes,
        Err(why) => {
            return Checked {
                path,
                content: Content::Unreadable(why),
                problems: Vec::new(),
                n_more_problems: 0,
            };
        }
    };
    if is_pattern_file(&bytes) {
        let outcome = read_pattern(&bytes);
        let content = outcome.pattern.map_or_else(
            || Content::Unreadable("no pattern could be read".into()),
            |pattern| Content::Pattern {
                n_lanes: pattern.lanes.len(),
                label: pattern.label,
            },
        );
        return Checked {
            path,
            content,
            problems: outcome.problems,
            n_more_problems: outcome.n_more_problems,
        };
    }
    let outcome = read_program(&bytes);
    let content = outcome.program.map_or_else(
        || Content::Unreadable("no program could be read".into()),
        |program| {
            let report = lampwright_analysis::check(&program);
            Content::Program(Box::new((program, report)))
        },
    );
    Checked {
        path,
        content,
        problems: outcome.problems,
        n_more_problems: outcome.n_more_problems,
    }
}

/// Which of the two formats is named first; a file that names neither is read as a program and says so.
fn is_pattern_file(bytes: &[u8]) -> bool {
    let position = |name: &[u8]| bytes.windows(name.len()).position(|window| window == name);
    match (
        position(b"\"lampwright-pattern\""),
        position(b"\"lampwright-program\""),
    ) {
        (Some(pattern), Some(program)) => pattern < program,
        (Some(_), None) => true,
        (None, _) => false,
    }
}

impl Checked {
    fn ending(&self, severity: Severity) -> Ending {
        let own = match &self.content {
            Content::Unreadable(_) => Ending::Failed,
            Content::Pattern { .. } => Ending::Clean,
            Content::Program(judged) => {
                let (_, report) = judged.as_ref();
                if report.n_rules_chosen == 0 {
                    Ending::Failed
                } else if report.n_at_least(severity) > 0 || !report.profile_problems.is_empty() {
                    Ending::Findings
                } else {
                    Ending::Clean
                }
            }
        };
        let of_problems = if self.problems.is_empty() {
            Ending::Clean
        } else {
            Ending::Findings
        };
        own.max(of_problems)
    }

    fn report(&self) -> Option<&Report> {
        match &self.content {
            Content::Program(judged) => Some(&judged.1),
            Content::Pattern { .. } | Content::Unreadable(_) => None,
        }
    }
}

fn as_text(checked: &[Checked], outcomes: bool) -> String {
    let options = TextOptions {
        outcomes,
        ..TextOptions::default()
    };
    let mut out = String::new();
    for file in checked {
        let _ = writeln!(out, "== {}", shown(&file.path));
        out.push_str(&problems_text(&file.problems, file.n_more_problems));
        match &file.content {
            Content::Unreadable(why) => {
                let _ = writeln!(out, "could not be judged: {why}");
            }
            Content::Pattern { label, n_lanes } => {
                let lanes = if *n_lanes == 1 { "lane" } else { "lanes" };
                let _ = writeln!(out, "pattern \"{label}\", {n_lanes} {lanes}, valid");
            }
            Content::Program(judged) => {
                let (program, report) = judged.as_ref();
                out.push_str(&text(program, report, options));
            }
        }
        out.push('\n');
    }
    out.push_str(&cautions_text(checked.iter().filter_map(Checked::report)));
    out
}

fn as_json(checked: &[Checked]) -> Value {
    let files: Vec<Value> = checked
        .iter()
        .map(|file| {
            let mut value = json!({
                "path": shown(&file.path),
                "problems": lampwright_render::json::problems(&file.problems),
                "n_more_problems": file.n_more_problems,
            });
            match &file.content {
                Content::Unreadable(why) => {
                    value["kind"] = json!("unreadable");
                    value["why"] = json!(why);
                }
                Content::Pattern { label, n_lanes } => {
                    value["kind"] = json!("pattern");
                    value["label"] = json!(label);
                    value["n_lanes"] = json!(n_lanes);
                }
                Content::Program(judged) => {
                    let (program, report) = judged.as_ref();
                    value["kind"] = json!("program");
                    value["name"] = json!(program.name);
                    value["report"] = lampwright_render::json::report(program, report);
                }
            }
            value
        })
        .collect();
    json!({
        "format": "lampwright-report",
        "version": lampwright_render::json::REPORT_VERSION,
        "files": files,
    })
}

/// The path with forward slashes, so that output does not depend on the system.
fn shown(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}
