//! Hand-over to a controller: a pattern or a whole state as steps on the controller's tick, with what the rounding does to the verdicts.
//!
//! The rounded course takes the place of the exact one and the program is judged again; whatever rule comes out otherwise is named.
//! Invariant: pure; the table that is judged is the table that is given.
//! Absent: the texts of files.

use crate::check::{check, contexts, judge};
use crate::light::DirectionTable;
use crate::quantity::{Quantity, Unit};
use crate::report::{FoundIn, Outcome, Report, Verdict};
use crate::rules::{CheckSettings, Context, rule};
use lampwright_model::{
    Action, Edit, Item, PatternId, Program, RuleCode, State, StepColumn, StepTable,
};
use lampwright_timing::{Micros, Waveform};
use std::sync::Arc;

/// What has to be said with every table.
pub const STEPS_CAUTION: &str = "Caution: a table is no approval; local law and the agency's specification decide. Try it on the vehicle with a qualified installer, and warn people who may be photosensitive before lamps flash";

/// A table and what rounding to the tick does to the verdicts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HandOver {
    /// The table; its notes say all of this in words.
    pub table: StepTable,
    /// Rules that come out otherwise with the rounded course, by code.
    pub changed: Vec<VerdictChange>,
}

/// A rule that comes out otherwise.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct VerdictChange {
    /// The rule.
    pub code: RuleCode,
    /// With the exact course: "passed", "failed 2 times".
    pub before: String,
    /// With the rounded one.
    pub after: String,
}

/// The lanes of a pattern on a tick above zero; none when there is no such pattern.
#[must_use]
pub fn steps_of_pattern(program: &Program, id: &PatternId, tick: Micros) -> Option<HandOver> {
    let pattern = program.patterns.iter().find(|known| known.id == *id)?;
    let columns: Vec<StepColumn> = pattern
        .lanes
        .iter()
        .map(|lane| StepColumn::of(lane.role.to_string(), pattern.period, &lane.pulses, tick))
        .collect();
    let mut rounded = pattern.clone();
    rounded.period = pattern.period.round_to(tick).max(tick);
    for (lane, column) in rounded.lanes.iter_mut().zip(&columns) {
        lane.pulses = column.pulses().into();
    }
    let is_played = program
        .layers
        .iter()
        .any(|layer| matches!(&layer.action, Action::Play { pattern, .. } if *pattern == *id));
    let is_rounded = rounded != *pattern;
    let changed = match program.apply(&Edit::Put(Item::Pattern(rounded))) {
        Ok(after) if is_rounded => changes(&check(program), &check(&after), None),
        _ => Vec::new(),
    };
    let unjudged = (!is_played).then_some("no layer plays the pattern, so no rule looks at it");
    let subject = format!("pattern {id}, {}", pattern.label);
    Some(hand_over(
        program, subject, tick, columns, changed, unjudged,
    ))
}

/// The outputs in a state on a tick above zero; emitters without an output, and those that differ from the others on theirs, have columns of their own.
#[must_use]
pub fn steps_of_state(
    program: &Program,
    found_in: &FoundIn,
    state: &State,
    tick: Micros,
) -> HandOver {
    let settings = CheckSettings::default();
    let table = DirectionTable::new(&program.vehicle, settings.light);
    let mut judged = contexts(program, &settings);
    let index = judged.iter().position(|known| known.found_in == *found_in);
    let index = index.unwrap_or_else(|| {
        judged.push(Context::of(
            program,
            found_in.clone(),
            state,
            &table,
            &settings,
        ));
        judged.len() - 1
    });
    let before = judge(program, &judged, true, &settings);
    let mut columns: Vec<StepColumn> = Vec::new();
    let mut notes: Vec<String> = Vec::new();
    // Output, exact course and column of what was put into the table.
    let mut known: Vec<(Option<&str>, Arc<Waveform>, usize)> = Vec::new();
    if let Some(context) = judged.get_mut(index) {
        let mut drive = context.drive.clone();
        for (head, head_drive) in program.vehicle.heads.iter().zip(&mut drive.heads) {
            for (emitter, emitter_drive) in head.emitters.iter().zip(&mut head_drive.emitters) {
                let output = emitter.output.as_ref().map(|output| output.as_str());
                let exact = emitter_drive.level.clone();
                let column = known
                    .iter()
                    .find(|(of, course, _)| of.is_some() && *of == output && *course == exact)
                    .map(|(.., column)| *column);
                let what = format!("{} {}", head.label, emitter.color.name());
                let column = if let Some(column) = column {
                    if let Some(note) = notes.get_mut(column) {
                        note.push_str("; ");
                        note.push_str(&what);
                    }
                    column
                } else {
                    let is_first = known.iter().all(|(of, ..)| *of != output);
                    let own = format!("{}.{}", head.id, emitter.color.name());
                    let name = output.filter(|_| is_first).unwrap_or(&own);
                    let column_name = free_name(name, &columns);
                    let mut note = column_name.clone();
                    if let Some(output) = output.filter(|_| !is_first) {
                        note.push_str(", which differs from the others on output ");
                        note.push_str(output);
                    }
                    note.push_str(" drives ");
                    note.push_str(&what);
                    if let Some(clock) = &head.clock {
                        note.push_str(&format!(" (clock {clock})"));
                    }
                    notes.push(note);
                    known.push((output, exact.clone(), columns.len()));
                    columns.push(StepColumn::of_course(column_name, &exact, tick));
                    columns.len() - 1
                };
                if let Some(column) = columns.get(column)
                    && !exact.is_constant()
                {
                    emitter_drive.level = Arc::new(column.course());
                }
            }
        }
        *context = Context::of_drive(program, found_in.clone(), drive, &table, &settings);
    }
    let after = judge(program, &judged, true, &settings);
    let subject = match found_in {
        FoundIn::Situation(id) => format!("situation {id}, {}", state.describe(program)),
        _ => format!("state with {}", state.describe(program)),
    };
    let changed = changes(&before, &after, Some(found_in));
    let mut hand_over = hand_over(program, subject, tick, columns, changed, None);
    hand_over.table.drives = notes;
    hand_over
}

/// The name, or one like it that no column has yet and that can be a lane's role.
fn free_name(name: &str, columns: &[StepColumn]) -> String {
    // Identifiers are letters of one byte each.
    let mut free = name
        .get(..name.len().min(58))
        .unwrap_or_default()
        .to_owned();
    let stem = free.clone();
    let mut number = 2;
    while columns.iter().any(|column| column.name == free) {
        free = format!("{stem}-{number}");
        number += 1;
    }
    free
}

fn hand_over(
    program: &Program,
    subject: String,
    tick: Micros,
    columns: Vec<StepColumn>,
    changed: Vec<VerdictChange>,
    unjudged: Option<&'static str>,
) -> HandOver {
    let mut largest = (Micros::ZERO, Micros::ZERO);
    let mut at = None;
    let (mut n_pulses, mut n_gaps) = (0, 0);
    for column in &columns {
        let own = column.largest_rounding();
        if own.0.get().abs() > largest.0.get().abs() {
            largest = own;
            at = Some(&column.name);
        }
        n_pulses += column.n_lost_pulses;
        n_gaps += column.n_lost_gaps;
    }
    let mut notes = Vec::new();
    match at {
        None => notes.push("Rounding: none, every edge is on the tick".into()),
        Some(name) => {
            let (by, until) = largest;
            let way = if by > Micros::ZERO {
                "later"
            } else {
                "earlier"
            };
            let by = Micros(by.get().abs());
            notes.push(format!(
                "Rounding: at most {by}, {name} at {until} is {by} {way}"
            ));
        }
    }
    notes.extend(period_note(&columns));
    if n_pulses + n_gaps > 0 {
        notes.push(format!(
            "Lost by rounding: pulses {n_pulses}, dark gaps {n_gaps}; a finer tick keeps them"
        ));
    }
    let verdicts = if let Some(why) = unjudged {
        why.to_owned()
    } else if program.profile.rules.is_empty() {
        "the profile chooses no rules".into()
    } else if changed.is_empty() {
        "no rule comes out otherwise by rounding".into()
    } else {
        match changed.len() {
            1 => "rounding changes 1 rule".into(),
            n => format!("rounding changes {n} rules"),
        }
    };
    notes.push(format!("Verdicts: {verdicts}"));
    notes.extend(changed.iter().map(|change| {
        let name = rule(change.code).map_or("", |rule| rule.meta().name);
        format!(
            "{} {name}: {} before, {} after",
            change.code, change.before, change.after
        )
    }));
    notes.push(STEPS_CAUTION.into());
    HandOver {
        table: StepTable {
            program: program.name.clone(),
            subject,
            tick,
            columns,
            notes,
            drives: Vec::new(),
        },
        changed,
    }
}

/// How much faster or slower lanes repeat on the tick, once for each period; none when all of them keep theirs.
fn period_note(columns: &[StepColumn]) -> Option<String> {
    let mut changed: Vec<(Micros, Micros)> = columns
        .iter()
        .map(|column| (column.period - column.period_rounded_by, column.period))
        .filter(|(exact, rounded)| exact != rounded)
        .collect();
    lampwright_timing::sort(&mut changed);
    changed.dedup();
    let rate = |period: Micros| Quantity::new(1_000_000, i128::from(period.get()), Unit::Hertz);
    let words: Vec<String> = changed
        .into_iter()
        .map(|(exact, rounded)| {
            let (asked, got) = (rate(exact), rate(rounded));
            format!(
                "{exact} becomes {rounded} and repeats at {} instead of {}",
                got.text_apart_from(&[asked]),
                asked.text_apart_from(&[got])
            )
        })
        .collect();
    (!words.is_empty()).then(|| format!("Period: {}", words.join("; ")))
}

/// Which rules come out otherwise: another verdict, or found another number of times; in one state where one is named, else over all judged states.
///
/// A finding that several states share is one in a report, and becomes several as soon as one of the states is rounded; so it counts once for each state.
fn changes(before: &Report, after: &Report, only: Option<&FoundIn>) -> Vec<VerdictChange> {
    let mut changed = Vec::new();
    for (one, other) in before.outcomes.iter().zip(&after.outcomes) {
        let was = verdict_text(before, one, only);
        let is = verdict_text(after, other, only);
        if was != is {
            changed.push(VerdictChange {
                code: one.code,
                before: was,
                after: is,
            });
        }
    }
    changed
}

fn verdict_text(report: &Report, outcome: &Outcome, only: Option<&FoundIn>) -> String {
    let is_meant = |found_in: &FoundIn| {
        only.is_none_or(|only| found_in == only) || *found_in == FoundIn::Program
    };
    let n_times = report
        .findings
        .iter()
        .filter(|finding| finding.code == outcome.code)
        .flat_map(|finding| std::iter::once(&finding.found_in).chain(&finding.also_in))
        .filter(|found_in| is_meant(found_in))
        .count();
    match (&outcome.verdict, n_times) {
        (Verdict::Failed { .. }, 0) => "nothing found in this state".into(),
        (Verdict::Failed { .. }, 1) => "failed once".into(),
        (Verdict::Failed { .. }, n) => format!("failed {n} times"),
        (other, _) => other.name().into(),
    }
}

#[cfg(test)]
mod tests;
