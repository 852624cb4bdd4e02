//! The command line: arguments, files, exit codes.
//!
//! Exit codes: 0 clean, 1 findings at or above the chosen severity, 2 something could not be run.
//! Invariant: output is deterministic; findings go to the standard output, what keeps a file from being judged and progress to the standard error.
//! Absent: judging, measuring and wording, which live in the core crates.

mod arguments;
mod check;
mod checked;
mod convert;
mod coverage;
mod files;
mod fix;
mod junit;
mod profile;
mod state;
mod states;
mod watch;

use arguments::{Arguments, Command};
use clap::Parser as _;
use lampwright_analysis::rules::rule;
use lampwright_model::RuleCode;
use std::io::{self, Write as _};
use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Ending {
    /// Nothing to report.
    Clean,
    /// Findings at or above the chosen severity.
    Findings,
    /// Something could not be run.
    Failed,
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> Self {
        match ending {
            Ending::Clean => Self::SUCCESS,
            Ending::Findings => Self::from(1),
            Ending::Failed => Self::from(2),
        }
    }
}

/// Runs the command that the process was started with.
#[must_use]
pub fn run() -> ExitCode {
    match carry_out(&Arguments::parse().command) {
        Ok(ending) => ending.into(),
        Err(error) => {
            complain(&format!("cannot write the output: {error}"));
            Ending::Failed.into()
        }
    }
}

fn carry_out(command: &Command) -> io::Result<Ending> {
    match command {
        Command::Check(arguments) => check::check(arguments),
        Command::Convert(arguments) => convert::convert(arguments),
        Command::Coverage(arguments) => coverage::coverage(arguments),
        Command::Fix(arguments) => fix::fix(arguments),
        Command::Measure(arguments) => state::measure(arguments),
        Command::Resolve(arguments) => state::resolve(arguments),
        Command::States(arguments) => states::states(arguments),
        Command::Explain { code } => explain(code),
        Command::Rules { format } => match format {
            arguments::Format::Text => print(&lampwright_render::page::rules_text()),
            arguments::Format::Json => print_json(&lampwright_render::json::rules()),
        },
        Command::Schema { pattern, profile } => print(&match (pattern, profile) {
            (true, _) => lampwright_formats::pattern_schema(),
            (_, true) => lampwright_formats::profile_schema(),
            _ => lampwright_formats::program_schema(),
        }),
    }
}

fn explain(code: &str) -> io::Result<Ending> {
    let known = code.parse::<RuleCode>().ok().and_then(rule);
    match known {
        Some(rule) => print(&lampwright_render::page::page_text(rule.meta())),
        None => {
            complain(&format!(
                "there is no rule {code}; `lampwright rules` lists them"
            ));
            Ok(Ending::Failed)
        }
    }
}

/// Writes a text with a line end to the standard output.
fn print(text: &str) -> io::Result<Ending> {
    let end = if text.ends_with('\n') { "" } else { "\n" };
    write_while_read(&mut io::stdout().lock(), &[text, end])?;
    Ok(Ending::Clean)
}

/// Writes some texts; false when nobody reads them any more.
///
/// A reader that has seen enough, such as a pager, is no failure, and changes nothing about how the command ends.
fn write_while_read(out: &mut impl io::Write, texts: &[&str]) -> io::Result<bool> {
    let written = texts
        .iter()
        .try_for_each(|text| out.write_all(text.as_bytes()))
        .and_then(|()| out.flush());
    match written {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(error),
    }
}

fn print_json(value: &serde_json::Value) -> io::Result<Ending> {
    print(&format!("{value:#}"))
}

/// Says on the standard error what could not be run.
fn complain(text: &str) {
    // There is nowhere left to say that this failed.
    let _ = writeln!(io::stderr(), "lampwright: {text}");
}
