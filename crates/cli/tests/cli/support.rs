//! The binary run as a person runs it, and texts held against golden files.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a run left behind.
pub(crate) struct Run {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

pub(crate) fn lampwright(arguments: &[&str]) -> Run {
    lampwright_reading(arguments, "")
}

/// With a text at its standard input.
pub(crate) fn lampwright_reading(arguments: &[&str], input: &str) -> Run {
    let mut child = Command::new(env!("CARGO_BIN_EXE_lampwright"))
        .current_dir(root())
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that does not look at it closes it early.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let output = child.wait_with_output().unwrap();
    Run {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The top of the repository.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

#[track_caller]
pub(crate) fn check_golden(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        fs::write(&path, text).unwrap();
    }
    let golden = fs::read_to_string(&path).unwrap_or_default();
    for (line, golden) in text.lines().zip(golden.lines()) {
        assert_eq!(
            line, golden,
            "{name}; with UPDATE_GOLDEN=1 the file is written anew"
        );
    }
    assert_eq!(
        text.len(),
        golden.len(),
        "{name} has other lines at its end"
    );
}
