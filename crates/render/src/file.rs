//! One checked file as the outputs see it: what it holds, what came of it, and where each thing stands in its text.

use crate::replacement::FixText;
use lampwright_analysis::report::Report;
use lampwright_formats::Location;
use lampwright_model::{Problem, Program};

/// A checked file.
#[derive(Clone, Copy, Debug)]
pub struct FileReport<'a> {
    /// Its path with forward slashes.
    pub path: &'a str,
    /// What it holds.
    pub content: FileContent<'a>,
    /// What was wrong with it as a file.
    pub problems: &'a [Problem],
    /// Where each of `problems` stands.
    pub problem_locations: &'a [Location],
    /// How many more problems there were.
    pub n_more_problems: usize,
    /// For each finding the changes that take it away, as changes of the text; empty when none were asked for.
    pub fixes: &'a [Vec<FixText>],
}

/// What a checked file holds.
#[derive(Clone, Copy, Debug)]
pub enum FileContent<'a> {
    /// A program, judged.
    Program {
        /// The program.
        program: &'a Program,
        /// Its report.
        report: &'a Report,
        /// Where each finding of the report stands.
        locations: &'a [Location],
    },
    /// A pattern of a library, read and validated.
    Pattern {
        /// Its description.
        label: &'a str,
        /// How many lanes it has.
        n_lanes: usize,
    },
    /// A profile, read and held against the rule book.
    Profile {
        /// Its title.
        title: &'a str,
        /// How many rules it chooses.
        n_rules: usize,
    },
    /// Not read, with the reason.
    Unreadable(&'a str),
}

impl<'a> FileReport<'a> {
    /// The report, when the file holds a program.
    #[must_use]
    pub const fn report(&self) -> Option<&'a Report> {
        match self.content {
            FileContent::Program { report, .. } => Some(report),
            _ => None,
        }
    }

    /// `path:line:column`, which a terminal can open.
    #[must_use]
    pub fn at(&self, location: Option<&Location>) -> String {
        match location {
            Some(location) => format!("{}:{}:{}", self.path, location.line, location.column),
            None => format!("{}:1:1", self.path),
        }
    }
}
