//! Words that several outputs share.

use lampwright_analysis::report::{Finding, FoundIn};
use lampwright_model::{Problem, Program};
use std::fmt::Write as _;

/// A judged state in words: "situation night-parked \"Parked, night\"".
#[must_use]
pub fn found_in(program: &Program, state: &FoundIn) -> String {
    match state {
        FoundIn::Program => "the program".into(),
        FoundIn::DefaultState => "the default state".into(),
        FoundIn::Situation(id) => {
            let label = program
                .situations
                .iter()
                .find(|situation| situation.id == *id)
                .map(|situation| situation.label.as_str())
                .unwrap_or_default();
            if label.is_empty() || label == id.as_str() {
                format!("situation {id}")
            } else {
                format!("situation {id} \"{label}\"")
            }
        }
        FoundIn::State(state) => format!("the state {}", state.describe(program)),
    }
}

/// The first state of a finding and how many more there are.
#[must_use]
pub fn found_in_also(program: &Program, finding: &Finding) -> String {
    let mut text = found_in(program, &finding.found_in);
    match finding.also_in.as_slice() {
        [] => {}
        [one] => {
            let _ = write!(text, " and {}", found_in(program, one));
        }
        more => {
            let _ = write!(text, " and {} more states", more.len());
        }
    }
    text
}

/// "1 rule", "2 rules".
pub(crate) fn counted(n: usize, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}

/// A problem on one line: path, what was expected, what was found.
#[must_use]
pub(crate) fn problem(problem: &Problem) -> String {
    format!(
        "{}: expected {}, found {}",
        problem.path, problem.expected, problem.found
    )
}
