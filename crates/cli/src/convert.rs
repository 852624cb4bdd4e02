//! `lampwright convert`: step tables for a controller, and back.
//!
//! Invariant: what rounding does is said in the table itself and on the standard error; a table that is wrong anywhere gives no pattern.
//! Absent: making tables and their texts, which the core crates do.

use crate::arguments::{ConvertArguments, ConvertTo, StateArguments};
use crate::state::{of_bytes, state_of};
use crate::{Ending, complain, files, print};
use lampwright_analysis::report::FoundIn;
use lampwright_analysis::steps::{HandOver, steps_of_pattern, steps_of_state};
use lampwright_formats::{
    read_pattern, read_steps_csv, write_pattern, write_steps_c, write_steps_csv,
};
use lampwright_model::{Parts, PatternId, Program};
use lampwright_timing::Micros;
use std::io;

pub(crate) fn convert(arguments: &ConvertArguments) -> io::Result<Ending> {
    let made = match arguments.to {
        ConvertTo::Pattern => pattern_of(arguments).map(|text| (text, Ending::Clean)),
        ConvertTo::Csv | ConvertTo::C => table_of(arguments),
    };
    match made {
        Ok((text, ending)) => {
            print(&text)?;
            Ok(ending)
        }
        Err(why) => {
            complain(&why);
            Ok(Ending::Failed)
        }
    }
}

/// The table asked for as text; findings when a rule comes out otherwise by rounding.
fn table_of(arguments: &ConvertArguments) -> Result<(String, Ending), String> {
    let tick = arguments
        .tick
        .ok_or("the controller's tick is wanted, as --tick 10ms")?;
    let (program, only, has_problems) = program_of(arguments)?;
    let hand_over = hand_over(arguments, &program, only, tick)?;
    for note in &hand_over.table.notes {
        complain(note);
    }
    let text = match arguments.to {
        ConvertTo::C => write_steps_c(&hand_over.table),
        _ => write_steps_csv(&hand_over.table),
    };
    let ending = if has_problems || !hand_over.changed.is_empty() {
        Ending::Findings
    } else {
        Ending::Clean
    };
    Ok((text, ending))
}

/// The program of the file; that of a pattern file is nothing but the pattern, which is given besides.
fn program_of(arguments: &ConvertArguments) -> Result<(Program, Option<PatternId>, bool), String> {
    let path = arguments.file.display();
    let bytes = files::read(&arguments.file).map_err(|why| format!("{path}: {why}"))?;
    if let Some(pattern) = read_pattern(&bytes).pattern {
        let id = pattern.id.clone();
        let (program, _) = Program::admit(Parts {
            name: pattern.label.clone(),
            patterns: vec![pattern],
            ..Parts::default()
        });
        return Ok((program, Some(id), false));
    }
    let (program, has_problems) = of_bytes(&arguments.file, &bytes)
        .ok_or_else(|| format!("{path}: neither a program nor a pattern"))?;
    Ok((program, None, has_problems))
}

fn hand_over(
    arguments: &ConvertArguments,
    program: &Program,
    only: Option<PatternId>,
    tick: Micros,
) -> Result<HandOver, String> {
    let asked = match &arguments.pattern {
        Some(id) => Some(PatternId::new(id).map_err(|error| error.to_string())?),
        None => only,
    };
    if let Some(id) = asked {
        return steps_of_pattern(program, &id, tick).ok_or_else(|| {
            let known: Vec<&str> = program
                .patterns
                .iter()
                .map(|known| known.id.as_str())
                .collect();
            format!("there is no pattern {id}; there are: {}", known.join(", "))
        });
    }
    let state = state_of(
        program,
        &StateArguments {
            file: arguments.file.clone(),
            situation: arguments.situation.clone(),
            set: arguments.set.clone(),
            format: crate::arguments::Format::Text,
        },
    )?;
    let situation = program
        .situations
        .iter()
        .find(|known| Some(known.id.as_str()) == arguments.situation.as_deref());
    let found_in = match situation {
        Some(situation) if arguments.set.is_empty() => FoundIn::Situation(situation.id.clone()),
        None if arguments.set.is_empty() => FoundIn::DefaultState,
        _ => FoundIn::State(state.clone()),
    };
    Ok(steps_of_state(program, &found_in, &state, tick))
}

/// The pattern file of a table.
fn pattern_of(arguments: &ConvertArguments) -> Result<String, String> {
    let path = arguments.file.display();
    let bytes = files::read(&arguments.file).map_err(|why| format!("{path}: {why}"))?;
    let outcome = read_steps_csv(&bytes);
    for problem in &outcome.problems {
        complain(&format!("{path}: {problem}"));
    }
    let table = outcome.table.ok_or_else(|| {
        format!("{path}: no pattern, since half a table flashes otherwise than the whole")
    })?;
    let id = arguments.pattern.as_deref().unwrap_or("table");
    let id = PatternId::new(id).map_err(|error| error.to_string())?;
    let label = table
        .name()
        .map_or_else(|| format!("from {path}"), str::to_owned);
    let pattern = table.to_pattern(id, label)?;
    Ok(write_pattern(&pattern, ""))
}
