//! The person's own patterns, kept in this browser: one pattern file per line.
//!
//! Invariant: a pattern is never lost by keeping another, and a failed save leaves what was kept before in place.

use crate::platform::storage::{self, StorageProblem};
use lampwright_formats::{read_pattern, write_pattern};
use lampwright_model::Pattern;

const OWN: &str = "lampwright.patterns";

/// A pattern with its notes.
#[derive(Clone)]
pub(crate) struct Kept {
    pub(crate) pattern: Pattern,
    pub(crate) about: String,
}

/// The patterns of a text with one pattern file per line; what is no pattern is left out.
pub(crate) fn patterns(text: &str) -> Vec<Kept> {
    let read = |line: &str| {
        let outcome = read_pattern(line.as_bytes());
        outcome.pattern.map(|pattern| Kept {
            pattern,
            about: outcome.about,
        })
    };
    text.lines().filter_map(read).collect()
}

/// The own patterns, the newest first.
pub(crate) fn own() -> Vec<Kept> {
    patterns(&storage::read(OWN).unwrap_or_default())
}

/// Keeps a pattern as the first one; the same pattern twice is one.
///
/// # Errors
/// When storage is blocked or full.
pub(crate) fn keep(pattern: &Pattern, about: &str) -> Result<(), StorageProblem> {
    let line = line(pattern, about);
    let kept = storage::read(OWN).unwrap_or_default();
    let others = kept.lines().filter(|known| *known != line);
    let lines: Vec<&str> = std::iter::once(line.as_str()).chain(others).collect();
    storage::write(OWN, &lines.join("\n"))
}

/// Removes a pattern, because the person said so.
pub(crate) fn forget(kept: &Kept) {
    let line = line(&kept.pattern, &kept.about);
    let lines = storage::read(OWN).unwrap_or_default();
    let lines: Vec<&str> = lines.lines().filter(|known| *known != line).collect();
    // Fewer letters than before always fit.
    let _ = storage::write(OWN, &lines.join("\n"));
}

/// Reads the file of one pattern and keeps it.
///
/// # Errors
/// What was wrong, in words.
pub(crate) fn import(name: &str, bytes: &[u8]) -> Result<String, String> {
    let outcome = read_pattern(bytes);
    let Some(pattern) = outcome.pattern.filter(|_| outcome.problems.is_empty()) else {
        let problems: Vec<String> = outcome
            .problems
            .iter()
            .take(3)
            .map(ToString::to_string)
            .collect();
        return Err(format!("{name} was not imported: {}", problems.join("; ")));
    };
    match keep(&pattern, &outcome.about) {
        Ok(()) => Ok(format!("Imported {}", pattern.label)),
        Err(problem) => Err(format!("{name} was not imported: {}", problem.text())),
    }
}

/// A pattern file without its line breaks and indents; texts within it write theirs as `\n`.
fn line(pattern: &Pattern, about: &str) -> String {
    write_pattern(pattern, about)
        .lines()
        .map(str::trim_start)
        .collect()
}
