//! The program file: `"format": "lampwright-program"`.

use crate::field::Field;
use crate::file::program::ProgramFile;
use crate::header::Kind;
use crate::reader::Reader;
use crate::schema;
use lampwright_model::{Parts, Problem, Program};

const PROGRAM: Kind = Kind {
    format: "lampwright-program",
    name: "a lampwright-program file",
    migrations: &[],
};

/// What came of reading a program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ReadOutcome {
    /// What could be read; none when the bytes are no program file, or one of a newer version.
    pub program: Option<Program>,
    /// What was wrong, in the order it was met, at most [`MOST_PROBLEMS`](crate::MOST_PROBLEMS).
    ///
    /// Paths have the names and indices of the file: `vehicle.heads[3].emitters[0].output`.
    /// A text that is not JSON gives the place as `line 3, column 14`, and a problem of the whole file is at `file`.
    pub problems: Vec<Problem>,
    /// How many more problems there were.
    pub n_more_problems: usize,
}

/// Reads a program file.
///
/// Total: a thing with something wrong inside is left out, every other is kept, and each thing that is wrong is listed.
/// An unknown key is a problem but loses nothing.
#[must_use]
pub fn read_program(bytes: &[u8]) -> ReadOutcome {
    let mut reader = Reader::default();
    let parts: Option<Parts> = PROGRAM.read(bytes, &mut reader, Parts::read);
    let program = parts.map(|parts| {
        let (program, problems) = Program::admit(parts);
        reader.report_admitted(problems);
        program
    });
    let (problems, n_more_problems) = reader.into_problems();
    ReadOutcome {
        program,
        problems,
        n_more_problems,
    }
}

/// The text of a program file; the same program always gives the same text, and reading it gives the program again.
#[must_use]
pub fn write_program(program: &Program) -> String {
    PROGRAM.write(program.to_parts().to_json())
}

/// JSON Schema (draft 2020-12) of the program file.
#[must_use]
pub fn program_schema() -> String {
    schema::of_file::<ProgramFile>(&PROGRAM)
}
