//! The profile file, the rules an agency chooses for any program: `"format": "lampwright-profile"`.

use crate::field::{Field, Notes, object};
use crate::header::Kind;
use crate::reader::Reader;
use crate::schema;
use lampwright_model::{Parts, Problem, Profile, Program};

const PROFILE: Kind = Kind {
    format: "lampwright-profile",
    name: "a lampwright-profile file",
    migrations: &[],
};

object! {
    /// The rules an agency chooses, apart from any program.
    Whole struct ProfileLibraryFile {
        /// The rules with their parameters, severities and confirmations.
        "profile" profile: Profile,
        /// Notes: which publication it follows and what it leaves out.
        "about" about: Notes,
    }
}

/// What came of reading a profile file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ProfileOutcome {
    /// What could be read; none when the bytes are no profile file, or one of a newer version.
    pub profile: Option<Profile>,
    /// Notes on the profile.
    pub about: String,
    /// What was wrong, at most [`MOST_PROBLEMS`](crate::MOST_PROBLEMS); paths as in a program's [`ReadOutcome`](crate::ReadOutcome).
    pub problems: Vec<Problem>,
    /// How many more problems there were.
    pub n_more_problems: usize,
}

/// Reads a profile file.
///
/// States, heads and patterns that a rule is narrowed to are kept as they are written: only the program that the profile is applied to can tell whether it has them.
#[must_use]
pub fn read_profile(bytes: &[u8]) -> ProfileOutcome {
    let mut reader = Reader::default();
    let file = PROFILE.read(bytes, &mut reader, ProfileLibraryFile::read);
    let (mut profile, mut about) = (None, String::new());
    if let Some(file) = file {
        about = file.about.0;
        // A program without a vehicle admits everything that does not speak of one.
        let mut apart = file.profile.clone();
        for choice in &mut apart.rules {
            choice.when = None;
            choice.heads.clear();
            choice.only_patterns.clear();
            choice.except_patterns.clear();
        }
        let (program, problems) = Program::admit(Parts {
            profile: apart,
            ..Parts::default()
        });
        reader.report_admitted(problems);
        let mut rules = file.profile.rules.into_iter();
        let kept = program.to_parts().profile;
        profile = Some(Profile {
            rules: kept
                .rules
                .into_iter()
                .map(|choice| {
                    rules
                        .find(|whole| whole.code == choice.code)
                        .unwrap_or(choice)
                })
                .collect(),
            ..kept
        });
    }
    let (problems, n_more_problems) = reader.into_problems();
    ProfileOutcome {
        profile,
        about,
        problems,
        n_more_problems,
    }
}

/// The text of a profile file; the same profile always gives the same text.
#[must_use]
pub fn write_profile(profile: &Profile, about: &str) -> String {
    let file = ProfileLibraryFile {
        profile: profile.clone(),
        about: Notes(about.to_owned()),
    };
    PROFILE.write(file.to_json())
}

/// JSON Schema (draft 2020-12) of the profile file.
#[must_use]
pub fn profile_schema() -> String {
    schema::of_file::<ProfileLibraryFile>(&PROFILE)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = r#"{
  "format": "lampwright-profile",
  "version": 1,
  "profile": {
    "title": "beacons",
    "jurisdiction": "an invented county",
    "rules": [
      {"code": "LW003", "heads": ["group:roof"], "except_patterns": ["arrow"]},
      {
        "code": "LW001",
        "severity": "warning",
        "parameters": {"gap_ms": 150},
        "confirmed": {"source": "our copy, 5.7", "by": "A. Clerk", "date": "2026-01-02"}
      }
    ]
  },
  "about": "for the test"
}
"#;

    #[test]
    fn what_is_read_is_written_the_same() {
        let outcome = read_profile(TEXT.as_bytes());
        assert_eq!(outcome.problems, []);
        let profile = outcome.profile.unwrap();
        assert_eq!(write_profile(&profile, &outcome.about), TEXT);
    }

    #[test]
    fn a_rule_chosen_twice_and_an_impossible_value_are_problems_and_the_rest_is_kept() {
        let text = TEXT
            .replace("LW003\", \"heads\"", "LW001\", \"heads\"")
            .replace("\"warning\"", "\"grave\"");
        let outcome = read_profile(text.as_bytes());
        assert_eq!(outcome.problems.len(), 1, "{:?}", outcome.problems);
        assert_eq!(outcome.profile.unwrap().rules.len(), 1);
        let twice = TEXT.replace("LW003", "LW001");
        let outcome = read_profile(twice.as_bytes());
        assert_eq!(outcome.problems.len(), 1, "{:?}", outcome.problems);
        let rules = outcome.profile.unwrap().rules;
        assert_eq!(rules.len(), 1);
        assert!(!rules.first().unwrap().heads.is_empty());
    }

    #[test]
    fn a_program_is_no_profile() {
        let outcome = read_profile(br#"{"format": "lampwright-program", "version": 1}"#);
        assert!(outcome.profile.is_none());
        assert!(!outcome.problems.is_empty());
    }
}
