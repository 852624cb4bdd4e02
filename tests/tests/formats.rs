//! Reading program files: everything that is wrong is listed with its path, everything else is kept.

use lampwright_formats::{ReadOutcome, read_program, write_program};
use lampwright_timing::Micros;

/// An invented van with every kind of part in the file.
const FULL: &str = include_str!("data/every-part.json");

fn problems(text: &str) -> Vec<String> {
    let outcome = read_program(text.as_bytes());
    assert_eq!(outcome.n_more_problems, 0);
    outcome.problems.iter().map(ToString::to_string).collect()
}

/// Reads [`FULL`] with one place changed.
#[track_caller]
fn changed(from: &str, to: &str) -> ReadOutcome {
    assert_eq!(FULL.matches(from).count(), 1, "{from} must stand once");
    read_program(FULL.replacen(from, to, 1).as_bytes())
}

#[track_caller]
fn check_change(from: &str, to: &str, expected: &[&str]) {
    let outcome = changed(from, to);
    let problems: Vec<String> = outcome.problems.iter().map(ToString::to_string).collect();
    assert_eq!(problems, expected);
    assert!(outcome.program.is_some());
}

#[test]
fn every_part_is_read_without_a_problem_and_written_as_it_was() {
    let outcome = read_program(FULL.as_bytes());
    assert_eq!(outcome.problems, []);
    let program = outcome.program.unwrap();
    let written = write_program(&program);
    for (written, expected) in written.lines().zip(FULL.lines()) {
        assert_eq!(written, expected);
    }
    assert_eq!(written.len(), FULL.len());
    let pulses = &program.patterns[0].lanes[0].pulses;
    assert_eq!(pulses[0].length, Micros(83_333));
}
