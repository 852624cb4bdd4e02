//! Problems that say what to do, and child processes that are announced and checked.
//!
//! Invariant: a child that fails becomes a [`Problem`]; nothing is retried in silence.
//! Absent: shells. Commands are run directly, with their arguments as a list.

use std::fmt;
use std::process::{Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// What went wrong and what the person at the terminal can do about it.
#[derive(Debug)]
pub(crate) struct Problem {
    what: String,
    advice: String,
}

impl Problem {
    pub(crate) fn new(what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            advice: advice.into(),
        }
    }

    /// A problem with reading or writing the given path.
    pub(crate) fn file(path: &std::path::Path, error: &std::io::Error) -> Self {
        Self::new(
            format!("{}: {error}", path.display()),
            "check that the path exists, that it may be written, and that the disk is not full",
        )
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "problem: {}\nwhat to do: {}",
            self.what, self.advice
        )
    }
}

/// Runs a command to its end, showing it first.
pub(crate) fn run(command: &mut Command, advice: &str) -> Result<(), Problem> {
    println!("> {}", shown(command));
    let status = command
        .status()
        .map_err(|error| Problem::new(format!("{}: {error}", shown(command)), advice))?;
    check(command, status, advice)
}

/// Runs a command, but ends it after `limit`.
pub(crate) fn run_within(
    command: &mut Command,
    limit: Duration,
    advice: &str,
) -> Result<(), Problem> {
    println!("> {} (at most {} s)", shown(command), limit.as_secs());
    let failed = |error: std::io::Error| Problem::new(format!("{error}"), advice);
    let start = Instant::now();
    let mut child = command.stdin(Stdio::null()).spawn().map_err(failed)?;
    loop {
        if let Some(status) = child.try_wait().map_err(failed)? {
            return check(command, status, advice);
        }
        if start.elapsed() > limit {
            child.kill().map_err(failed)?;
            child.wait().map_err(failed)?;
            return Err(Problem::new(
                format!("{} took more than {} s", shown(command), limit.as_secs()),
                advice,
            ));
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}

/// The trimmed standard output of a command, or nothing if it could not run or failed.
pub(crate) fn output_of(command: &mut Command) -> Option<String> {
    let output = command
        .stdin(Stdio::null())
        .stderr(Stdio::null())
        .output()
        .ok()?;
    output
        .status
        .success()
        .then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

fn check(command: &Command, status: ExitStatus, advice: &str) -> Result<(), Problem> {
    if status.success() {
        Ok(())
    } else {
        Err(Problem::new(
            format!("{} ended with {status}", shown(command)),
            advice,
        ))
    }
}

fn shown(command: &Command) -> String {
    let program = std::path::Path::new(command.get_program());
    let mut text = program.file_name().map_or_else(
        || program.display().to_string(),
        |name| name.to_string_lossy().into_owned(),
    );
    for argument in command.get_args() {
        text.push(' ');
        text.push_str(&argument.to_string_lossy());
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_past_its_limit_is_ended_and_said_so() {
        let problem = run_within(
            Command::new("sleep").arg("30"),
            Duration::from_millis(100),
            "wait longer",
        )
        .expect_err("thirty seconds are more than a tenth of one");
        assert!(problem.to_string().contains("took more than"), "{problem}");
    }

    #[test]
    fn a_failing_command_gives_its_advice() {
        let problem = run(&mut Command::new("false"), "do this").expect_err("false fails");
        assert!(
            problem.to_string().contains("what to do: do this"),
            "{problem}"
        );
    }
}
