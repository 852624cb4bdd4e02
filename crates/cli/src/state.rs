//! `lampwright measure` and `lampwright resolve`: one state of one program.

use crate::arguments::{Format, StateArguments};
use crate::{Ending, complain, files, print, print_json};
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::FoundIn;
use lampwright_analysis::rules::{CheckSettings, Context};
use lampwright_formats::read_program;
use lampwright_model::{Program, SignalId, SituationId, State, ValueId};
use lampwright_render::report::problems_text;
use std::io;
use std::path::Path;

pub(crate) fn measure(arguments: &StateArguments) -> io::Result<Ending> {
    with_state(arguments, |program, state| {
        let settings = CheckSettings::default();
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let context = Context::of(
            program,
            FoundIn::State(state.clone()),
            state,
            &table,
            &settings,
        );
        match arguments.format {
            Format::Text => {
                print(&lampwright_render::facts::text(&context))?;
                let cautions = lampwright_analysis::screening::cautions::STANDING;
                print(&format!("cautions:\n  - {}", cautions.join("\n  - ")))
            }
            Format::Json => print_json(&lampwright_render::facts::json(&context)),
        }
    })
}

pub(crate) fn resolve(arguments: &StateArguments) -> io::Result<Ending> {
    with_state(arguments, |program, state| {
        let drive = lampwright_model::resolve(program, state);
        match arguments.format {
            Format::Text => print(&lampwright_render::drive::text(program, &drive)),
            Format::Json => print_json(&lampwright_render::drive::json(program, &drive)),
        }
    })
}

fn with_state(
    arguments: &StateArguments,
    run: impl FnOnce(&Program, &State) -> io::Result<Ending>,
) -> io::Result<Ending> {
    let Some((program, has_problems)) = read(&arguments.file) else {
        return Ok(Ending::Failed);
    };
    let state = match state_of(&program, arguments) {
        Ok(state) => state,
        Err(why) => {
            complain(&why);
            return Ok(Ending::Failed);
        }
    };
    let ending = run(&program, &state)?;
    // What is shown is not all that the file says.
    Ok(if has_problems {
        ending.max(Ending::Findings)
    } else {
        ending
    })
}

/// The program of a file, and whether something in the file is wrong, which is said on the standard error.
pub(crate) fn read(file: &Path) -> Option<(Program, bool)> {
    let path = file.display();
    let bytes = match files::read(file) {
        Ok(bytes) => bytes,
        Err(why) => {
            complain(&format!("{path}: {why}"));
            return None;
        }
    };
    of_bytes(file, &bytes)
}

/// The same of bytes that were read.
pub(crate) fn of_bytes(file: &Path, bytes: &[u8]) -> Option<(Program, bool)> {
    let path = file.display();
    let outcome = read_program(bytes);
    let problems = problems_text(&outcome.problems, outcome.n_more_problems);
    for problem in problems.lines() {
        complain(&format!("{path}: {problem}"));
    }
    if outcome.program.is_none() {
        complain(&format!("{path}: no program could be read"));
    }
    Some((outcome.program?, !outcome.problems.is_empty()))
}

/// The state the arguments ask for.
///
/// # Errors
/// In plain words, with what there is to choose from.
pub(crate) fn state_of(program: &Program, arguments: &StateArguments) -> Result<State, String> {
    let mut state = match &arguments.situation {
        None => State::default_of(program),
        Some(name) => SituationId::new(name)
            .ok()
            .and_then(|id| State::of_situation_id(program, &id))
            .ok_or_else(|| {
                let known: Vec<&str> = program
                    .situations
                    .iter()
                    .map(|situation| situation.id.as_str())
                    .collect();
                format!(
                    "there is no situation {name}; there are: {}",
                    known.join(", ")
                )
            })?,
    };
    for setting in &arguments.set {
        let Some((signal, value)) = setting.split_once('=') else {
            return Err(format!("\"{setting}\" is no setting, SIGNAL=VALUE wanted"));
        };
        let known = SignalId::new(signal)
            .ok()
            .and_then(|id| program.signal(&id));
        let Some((_, known)) = known else {
            let names: Vec<&str> = program
                .signals
                .iter()
                .map(|signal| signal.id.as_str())
                .collect();
            return Err(format!(
                "there is no signal {signal}; there are: {}",
                names.join(", ")
            ));
        };
        let wanted = ValueId::new(value)
            .ok()
            .filter(|value| known.values.contains(value));
        let Some(wanted) = wanted else {
            let names: Vec<&str> = known.values.iter().map(ValueId::as_str).collect();
            return Err(format!(
                "signal {signal} has no value {value}; it has: {}",
                names.join(", ")
            ));
        };
        state = state.with(program, &known.id, &wanted);
    }
    Ok(state)
}
