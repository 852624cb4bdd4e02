//! The pattern file, one pattern for any vehicle: `"format": "lampwright-pattern"`.

use crate::field::{Field, Notes, object};
use crate::header::Kind;
use crate::reader::Reader;
use crate::schema;
use lampwright_model::{Parts, Pattern, Problem, Program};

const PATTERN: Kind = Kind {
    format: "lampwright-pattern",
    name: "a lampwright-pattern file",
    migrations: &[],
};

object! {
    /// A pattern of a library: lanes of pulses that know nothing of any vehicle.
    Strict struct PatternLibraryFile {
        /// The pattern.
        "pattern" pattern: Pattern,
        /// Notes: what it is good for.
        "about" about: Notes,
    }
}

/// What came of reading a pattern file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PatternOutcome {
    /// The pattern; none when something in it is wrong.
    pub pattern: Option<Pattern>,
    /// Notes on the pattern.
    pub about: String,
    /// What was wrong, at most [`MOST_PROBLEMS`](crate::MOST_PROBLEMS); paths as in a program's [`ReadOutcome`](crate::ReadOutcome).
    pub problems: Vec<Problem>,
    /// How many more problems there were.
    pub n_more_problems: usize,
}

/// Reads a pattern file.
#[must_use]
pub fn read_pattern(bytes: &[u8]) -> PatternOutcome {
    let mut reader = Reader::default();
    let file = PATTERN.read(bytes, &mut reader, PatternLibraryFile::read);
    let (mut pattern, mut about) = (None, String::new());
    if let Some(file) = file {
        about = file.about.0;
        let (program, mut problems) = Program::admit(Parts {
            patterns: vec![file.pattern],
            ..Parts::default()
        });
        for problem in &mut problems {
            problem.path = problem.path.replacen("patterns[0]", "pattern", 1);
        }
        reader.report_admitted(problems);
        pattern = program.to_parts().patterns.pop();
    }
    let (problems, n_more_problems) = reader.into_problems();
    PatternOutcome {
        pattern,
        about,
        problems,
        n_more_problems,
    }
}

/// The text of a pattern file; the same pattern always gives the same text.
#[must_use]
pub fn write_pattern(pattern: &Pattern, about: &str) -> String {
    let file = PatternLibraryFile {
        pattern: pattern.clone(),
        about: Notes(about.to_owned()),
    };
    PATTERN.write(file.to_json())
}

/// JSON Schema (draft 2020-12) of the pattern file.
#[must_use]
pub fn pattern_schema() -> String {
    schema::of_file::<PatternLibraryFile>(&PATTERN)
}
