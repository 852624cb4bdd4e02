//! `lampwright coverage`: the profile against one program.

use crate::arguments::{CoverageArguments, Format};
use crate::state::read;
use crate::{Ending, complain, print, print_json, profile};
use lampwright_analysis::coverage::coverage as rows_of;
use std::io;

pub(crate) fn coverage(arguments: &CoverageArguments) -> io::Result<Ending> {
    let Some((mut program, has_problems)) = read(&arguments.file) else {
        return Ok(Ending::Failed);
    };
    let mut ending = if has_problems {
        Ending::Findings
    } else {
        Ending::Clean
    };
    if let Some(path) = &arguments.profile {
        let Ok(chosen) = profile::read(path) else {
            return Ok(Ending::Failed);
        };
        let (under_it, lacks) = profile::put(&program, &chosen);
        for problem in &lacks {
            complain(&format!("{}: {problem}", path.display()));
            ending = Ending::Findings;
        }
        program = under_it;
    }
    let report = lampwright_analysis::check(&program);
    for problem in &report.profile_problems {
        complain(&problem.to_string());
        ending = Ending::Findings;
    }
    let rows = rows_of(&program, &report);
    match arguments.format {
        Format::Text => print(&lampwright_render::coverage::text(&program, &rows))?,
        Format::Json => print_json(&lampwright_render::coverage::json(&program, &rows))?,
    };
    Ok(ending)
}
