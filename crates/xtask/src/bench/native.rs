//! Budgets of the command line.

use std::process::{Command, Stdio};
use std::time::Instant;

use super::figure::Figure;
use crate::process::{Problem, run};
use crate::{bundle, workspace};

const N_FILES: usize = 10_000;
const REPEATS: usize = 5;

/// Seconds for counting, proving and judging all states of a 20-signal program with the released command.
pub(super) fn judge_states() -> Result<Figure, Problem> {
    build("write-states")?;
    let programs = workspace::native_target().join("release");
    let file = workspace::native_target().join("bench-states.json");
    run(
        Command::new(programs.join("write-states")).arg(&file),
        "check that the disk has room",
    )?;
    // What is found is not at issue here.
    times(|| {
        let mut command = Command::new(programs.join("lampwright"));
        command.arg("states").arg(&file);
        command
    })
}

/// Seconds for checking 10,000 pattern files with the released command.
pub(super) fn check_files() -> Result<Figure, Problem> {
    build("write-patterns")?;
    let programs = workspace::native_target().join("release");
    let folder = workspace::native_target().join("bench-patterns");
    bundle::empty_folder(&folder)?;
    run(
        Command::new(programs.join("write-patterns"))
            .arg(&folder)
            .arg(N_FILES.to_string()),
        "check that the disk has room",
    )?;
    times(|| {
        let mut command = Command::new(programs.join("lampwright"));
        command.arg("check").arg(&folder);
        command
    })
}

/// Builds the command, and what writes its input.
fn build(writer: &str) -> Result<(), Problem> {
    for (package, binary) in [("lampwright", "lampwright"), ("lampwright-bench", writer)] {
        run(
            workspace::cargo().args(["build", "--release", "--package", package, "--bin", binary]),
            "mend what the compiler reports",
        )?;
    }
    Ok(())
}

/// Seconds of a command, some times over; finding something is no failure.
fn times(command: impl Fn() -> Command) -> Result<Figure, Problem> {
    let mut seconds = Vec::new();
    for _ in 0..REPEATS {
        let start = Instant::now();
        let status = command()
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        let has_run = status.is_ok_and(|status| matches!(status.code(), Some(0 | 1)));
        if !has_run {
            return Err(Problem::new(
                "the command failed",
                "run it by hand to see what it says",
            ));
        }
        seconds.push(start.elapsed().as_secs_f64());
    }
    Figure::of(seconds)
        .ok_or_else(|| Problem::new("nothing was measured", "report this as a fault"))
}
