//! `lampwright check`: many files on all cores, written in the order of their names.

use crate::arguments::{CheckArguments, ColorArgument, ReportFormat};
use crate::checked::{Checked, check_file};
use crate::{Ending, complain, files, junit, print, print_json, profile, watch};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use lampwright_model::{Profile, Severity};
use lampwright_render::file::{FileContent, FileReport};
use lampwright_render::report::{
    TextOptions, cautions_text, file_problems_text, pattern_text, profile_text, text,
};
use lampwright_render::rich::{Paint, rich};
use rayon::prelude::*;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io::{self, IsTerminal as _};
use std::path::PathBuf;

/// Fewest files for which progress is shown.
const PROGRESS_FROM: usize = 16;

pub(crate) fn check(arguments: &CheckArguments) -> io::Result<Ending> {
    if arguments.watch {
        return watch::watch(arguments);
    }
    if arguments.fixes && arguments.format != ReportFormat::Sarif {
        complain("--fixes is part of SARIF reports; `lampwright fix` shows and writes fixes");
        return Ok(Ending::Failed);
    }
    let chosen = match &arguments.profile {
        None => None,
        Some(path) => match profile::read(path) {
            Ok(profile) => Some(profile),
            Err(profile::Complained) => return Ok(Ending::Failed),
        },
    };
    let found = files::find(&arguments.paths);
    for text in &found.unreadable {
        complain(text);
    }
    if found.files.is_empty() {
        complain("no files to check; name program or pattern files, or folders with .json files");
        return Ok(Ending::Failed);
    }
    let files: Vec<PathBuf> = found.files.into_iter().collect();
    let checked = check_all(&files, chosen.as_ref(), arguments.fixes);
    print_report(&checked, arguments)?;
    let worst = ending(&checked, Severity::from(arguments.severity));
    Ok(if found.unreadable.is_empty() {
        worst
    } else {
        Ending::Failed
    })
}

/// Checks files on all cores; the results are in the order of the files.
pub(crate) fn check_all(
    files: &[PathBuf],
    profile: Option<&Profile>,
    is_fixing: bool,
) -> Vec<Checked> {
    let progress = progress(files.len());
    let checked = files
        .par_iter()
        .map(|path| {
            let checked = check_file(path, profile, is_fixing);
            progress.inc(1);
            checked
        })
        .collect();
    progress.finish_and_clear();
    checked
}

/// The gravest ending.
pub(crate) fn ending(checked: &[Checked], severity: Severity) -> Ending {
    checked
        .iter()
        .map(|checked| checked.ending(severity))
        .max()
        .unwrap_or(Ending::Clean)
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

fn print_report(checked: &[Checked], arguments: &CheckArguments) -> io::Result<Ending> {
    let files: Vec<FileReport<'_>> = checked.iter().map(Checked::view).collect();
    match arguments.format {
        ReportFormat::Text | ReportFormat::Rich => print(&for_people(&files, arguments)),
        ReportFormat::Json => print_json(&as_json(&files)),
        ReportFormat::Sarif => print_json(&lampwright_render::sarif::sarif(
            &files,
            env!("CARGO_PKG_VERSION"),
            arguments.outcomes,
        )),
        ReportFormat::Junit => {
            let text = junit::junit(&files, Severity::from(arguments.severity))
                .map_err(io::Error::other)?;
            print(&text)
        }
    }
}

/// The text or rich report of some files.
pub(crate) fn for_people(files: &[FileReport<'_>], arguments: &CheckArguments) -> String {
    let options = TextOptions {
        outcomes: arguments.outcomes,
        ..TextOptions::default()
    };
    let mut out = String::new();
    for file in files {
        if arguments.format == ReportFormat::Rich {
            out.push_str(&rich(file, options, paint(arguments.color)));
        } else {
            push_text(&mut out, file, options);
        }
        out.push('\n');
    }
    out.push_str(&cautions_text(files.iter().filter_map(FileReport::report)));
    out
}

fn push_text(out: &mut String, file: &FileReport<'_>, options: TextOptions) {
    let _ = writeln!(out, "== {}", file.path);
    out.push_str(&file_problems_text(file));
    match file.content {
        FileContent::Unreadable(why) => {
            let _ = writeln!(out, "could not be judged: {why}");
        }
        FileContent::Pattern { label, n_lanes } => {
            let _ = writeln!(out, "{}", pattern_text(label, n_lanes));
        }
        FileContent::Profile { title, n_rules } => {
            let _ = writeln!(out, "{}", profile_text(title, n_rules));
        }
        FileContent::Program {
            program,
            report,
            locations,
        } => out.push_str(&text(file, program, report, locations, options)),
    }
}

/// Colors on a terminal, unless `NO_COLOR` is set to anything (no-color.org) or the terminal has none.
fn paint(argument: ColorArgument) -> Paint {
    let is_set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let is_dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
    let is_colored = match argument {
        ColorArgument::Always => true,
        ColorArgument::Never => false,
        ColorArgument::Auto => io::stdout().is_terminal() && !is_set("NO_COLOR") && !is_dumb,
    };
    if is_colored {
        Paint::Colored
    } else {
        Paint::Plain
    }
}

fn as_json(files: &[FileReport<'_>]) -> Value {
    let files: Vec<Value> = files
        .iter()
        .map(|file| {
            let mut problems = lampwright_render::json::problems(file.problems);
            if let Value::Array(list) = &mut problems {
                for (problem, location) in list.iter_mut().zip(file.problem_locations) {
                    problem["location"] = lampwright_render::json::location(location);
                }
            }
            let mut value = json!({
                "path": file.path,
                "problems": problems,
                "n_more_problems": file.n_more_problems,
            });
            match file.content {
                FileContent::Unreadable(why) => {
                    value["kind"] = json!("unreadable");
                    value["why"] = json!(why);
                }
                FileContent::Pattern { label, n_lanes } => {
                    value["kind"] = json!("pattern");
                    value["label"] = json!(label);
                    value["n_lanes"] = json!(n_lanes);
                }
                FileContent::Profile { title, n_rules } => {
                    value["kind"] = json!("profile");
                    value["title"] = json!(title);
                    value["n_rules"] = json!(n_rules);
                }
                FileContent::Program {
                    program,
                    report,
                    locations,
                } => {
                    value["kind"] = json!("program");
                    value["name"] = json!(program.name);
                    value["report"] = lampwright_render::json::report(program, report, locations);
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
