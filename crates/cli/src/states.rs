//! `lampwright states`: every possible state of one program, counted, proven and judged.

use crate::arguments::{Format, SeverityArgument, StatesArguments};
use crate::state::read;
use crate::{Ending, complain, print, print_json};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use lampwright_analysis::check_state;
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::{FoundIn, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::states::{OverStates, Proof, States, prove};
use lampwright_model::{Program, Severity, State};
use lampwright_render::states::{AllStates, json, text};
use rayon::prelude::*;
use std::io;

/// How many drives are judged side by side before they are put together.
const BATCH: usize = 256;

pub(crate) fn states(arguments: &StatesArguments) -> io::Result<Ending> {
    let Some((program, has_problems)) = read(&arguments.file) else {
        return Ok(Ending::Failed);
    };
    let states = match States::of(&program) {
        Ok(states) => states,
        Err(problem) => {
            complain(&problem.to_string());
            return Ok(Ending::Failed);
        }
    };
    let settings = CheckSettings::default();
    let proofs: Vec<_> = program
        .guarantees
        .par_iter()
        .map(|guarantee| {
            let proof = prove(&program, &states, guarantee, &settings.measure);
            (guarantee, proof)
        })
        .collect();
    let n_drives = states.n_drives();
    let judged = if n_drives <= arguments.most_drives {
        Ok(judge(&program, &states, &settings))
    } else {
        Err(format!(
            "{n_drives} distinct drives are more than --most-drives {}",
            arguments.most_drives
        ))
    };
    let all = AllStates {
        program: &program,
        states: &states,
        proofs: &proofs,
        judged: judged.as_ref().map_err(Clone::clone),
    };
    match arguments.format {
        Format::Text => print(&text(&all, arguments.all))?,
        Format::Json => print_json(&json(&all))?,
    };
    Ok(ending(&all, has_problems, arguments.severity))
}

/// What was not judged is no clean result.
fn ending(all: &AllStates<'_>, has_problems: bool, severity: SeverityArgument) -> Ending {
    let least = Severity::from(severity);
    let is_broken = all
        .proofs
        .iter()
        .any(|(_, proof)| matches!(proof, Proof::Refuted { .. } | Proof::Open { .. }));
    let is_found = match &all.judged {
        Err(_) => true,
        Ok(judged) => judged
            .findings
            .iter()
            .any(|found| found.finding.counts() && found.finding.severity >= least),
    };
    if has_problems || is_broken || is_found {
        Ending::Findings
    } else {
        Ending::Clean
    }
}

/// Judges every distinct drive once, on all cores.
fn judge(program: &Program, states: &States, settings: &CheckSettings) -> OverStates {
    let table = DirectionTable::new(&program.vehicle, settings.light);
    let progress = progress(states.n_drives());
    let mut over = OverStates::default();
    let mut drives = states.drives(program);
    loop {
        let batch: Vec<(State, u128)> = drives.by_ref().take(BATCH).collect();
        if batch.is_empty() {
            break;
        }
        let reports: Vec<Report> = batch
            .par_iter()
            .map(|(state, _)| {
                let found_in = FoundIn::State(state.clone());
                let (_, report) = check_state(program, found_in, state, &table, settings);
                progress.inc(1);
                report
            })
            .collect();
        for ((state, n_states), report) in batch.iter().zip(reports) {
            over.add(program, state, *n_states, report);
        }
    }
    progress.finish_and_clear();
    over.sorted()
}

fn progress(n_drives: u128) -> ProgressBar {
    let n_drives = u64::try_from(n_drives).unwrap_or(u64::MAX);
    let bar = ProgressBar::with_draw_target(Some(n_drives), ProgressDrawTarget::stderr());
    match ProgressStyle::with_template("judging {wide_bar} {pos} of {len} distinct drives") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
