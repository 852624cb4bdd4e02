//! `--profile FILE`: the rules of a file in place of a program's own.

use crate::{complain, files};
use lampwright_formats::read_profile;
use lampwright_model::{Parts, Problem, Profile, Program};
use std::path::Path;

/// The profile of a file; says what is wrong with it on the standard error.
///
/// # Errors
/// When the file cannot be read, or something in it is wrong: half a profile would pass what the whole one fails.
pub(crate) fn read(path: &Path) -> Result<Profile, Complained> {
    let shown = path.display();
    let bytes = files::read(path).map_err(|why| {
        complain(&format!("{shown}: {why}"));
        Complained
    })?;
    let outcome = read_profile(&bytes);
    for problem in &outcome.problems {
        complain(&format!("{shown}: {problem}"));
    }
    if outcome.n_more_problems > 0 {
        complain(&format!("{shown}: and {} more", outcome.n_more_problems));
    }
    match outcome.profile {
        Some(profile) if outcome.problems.is_empty() => Ok(profile),
        _ => {
            complain(&format!("{shown}: the profile is not used"));
            Err(Complained)
        }
    }
}

/// What was wrong has been said.
#[derive(Debug)]
pub(crate) struct Complained;

/// The program under another profile, and what that profile names that the program does not have.
pub(crate) fn put(program: &Program, profile: &Profile) -> (Program, Vec<Problem>) {
    Program::admit(Parts {
        profile: profile.clone(),
        ..program.to_parts()
    })
}
