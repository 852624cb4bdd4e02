//! Budgets of the command line.

use std::process::{Command, Stdio};
use std::time::Instant;

use super::figure::Figure;
use crate::process::{Problem, run};
use crate::{bundle, workspace};

const N_FILES: usize = 10_000;
const REPEATS: usize = 5;

/// Seconds for checking 10,000 pattern files with the released command.
pub(super) fn check_files() -> Result<Figure, Problem> {
    for (package, binary) in [
        ("lampwright", "lampwright"),
        ("lampwright-bench", "write-patterns"),
    ] {
        run(
            workspace::cargo().args(["build", "--release", "--package", package, "--bin", binary]),
            "mend what the compiler reports",
        )?;
    }
    let programs = workspace::native_target().join("release");
    let folder = workspace::native_target().join("bench-patterns");
    bundle::empty_folder(&folder)?;
    run(
        Command::new(programs.join("write-patterns"))
            .arg(&folder)
            .arg(N_FILES.to_string()),
        "check that the disk has room",
    )?;
    let mut seconds = Vec::new();
    for _ in 0..REPEATS {
        let start = Instant::now();
        run(
            Command::new(programs.join("lampwright"))
                .arg("check")
                .arg(&folder)
                .stdin(Stdio::null())
                .stdout(Stdio::null())
                .stderr(Stdio::null()),
            "run the command by hand to see what it says",
        )?;
        seconds.push(start.elapsed().as_secs_f64());
    }
    Figure::of(seconds)
        .ok_or_else(|| Problem::new("nothing was measured", "report this as a fault"))
}
