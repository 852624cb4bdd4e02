//! Step tables of the open program: what there is to choose from, the table as text with what rounding did, and a table read back as a pattern.
//!
//! Invariant: pure; a table that is read back is one edit.
//! Absent: making tables and their texts, which analysis and formats do.

use crate::EditorState;
use crate::builder::free_id;
use lampwright_analysis::report::FoundIn;
use lampwright_analysis::steps::{steps_of_pattern, steps_of_state};
use lampwright_formats::{read_steps_csv, write_steps_c, write_steps_csv};
use lampwright_model::{Edit, Item, Pattern, PatternId, Program, SituationId, State};
use lampwright_timing::Micros;

/// A table as text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepText {
    /// The file.
    pub text: String,
    /// What rounding did, what it does to the verdicts, and the caution; one line each.
    pub notes: Vec<String>,
    /// What to call the file, without an ending.
    pub name: String,
}

/// Texts of the choice before an identifier.
const PATTERN: &str = "pattern:";
const SITUATION: &str = "situation:";

/// What a table can be made of, as value and words: the open pattern first, then the shown state, all situations and the other patterns.
#[must_use]
pub fn step_subjects(editor: &EditorState) -> Vec<(String, String)> {
    let program = editor.committed_program();
    let of_pattern = |pattern: &Pattern| {
        (
            format!("{PATTERN}{}", pattern.id),
            format!("Pattern {}, lane by lane", pattern.label),
        )
    };
    let open = editor.open_pattern_id();
    let mut subjects: Vec<(String, String)> = Vec::new();
    let (opened, others): (Vec<_>, Vec<_>) = program
        .patterns
        .iter()
        .partition(|pattern| Some(&pattern.id) == open);
    subjects.extend(opened.into_iter().map(of_pattern));
    subjects.push((String::new(), "The shown state, output by output".into()));
    for situation in &program.situations {
        subjects.push((
            format!("{SITUATION}{}", situation.id),
            format!("Situation {}, output by output", situation.label),
        ));
    }
    subjects.extend(others.into_iter().map(of_pattern));
    subjects
}

/// The table of a subject on a tick, as C or CSV.
///
/// # Errors
/// In plain words when the tick is no length of time, or the subject is not there any more.
pub fn step_text(
    editor: &EditorState,
    subject: &str,
    tick: Micros,
    is_c: bool,
) -> Result<StepText, String> {
    // The longest is the longest common period.
    if !(1..=120_000_000).contains(&tick.get()) {
        return Err("a tick from 0.001 ms to 120000 ms wanted".into());
    }
    let program = editor.committed_program();
    let gone = || "it is not in the program any more".to_owned();
    let hand_over = if let Some(id) = subject.strip_prefix(PATTERN) {
        let id = PatternId::new(id).map_err(|error| error.to_string())?;
        steps_of_pattern(program, &id, tick).ok_or_else(gone)?
    } else if let Some(id) = subject.strip_prefix(SITUATION) {
        let id = SituationId::new(id).map_err(|error| error.to_string())?;
        let state = State::of_situation_id(program, &id).ok_or_else(gone)?;
        steps_of_state(program, &FoundIn::Situation(id), &state, tick)
    } else {
        let state = editor.shown_state();
        let found_in = match editor.current_situation() {
            Some(id) => FoundIn::Situation(id.clone()),
            None if state == State::default_of(program) => FoundIn::DefaultState,
            None => FoundIn::State(state.clone()),
        };
        steps_of_state(program, &found_in, &state, tick)
    };
    let table = hand_over.table;
    Ok(StepText {
        text: if is_c {
            write_steps_c(&table)
        } else {
            write_steps_csv(&table)
        },
        name: format!("{} {}", table.program, table.subject),
        notes: table.notes,
    })
}

/// The pattern of a table in CSV, by the name the table carries, or else by that of its file.
///
/// # Errors
/// What is wrong, one line each.
pub fn read_steps(file_name: &str, bytes: &[u8]) -> Result<Pattern, Vec<String>> {
    let outcome = read_steps_csv(bytes);
    let table = outcome.table.ok_or_else(|| -> Vec<String> {
        outcome.problems.iter().map(ToString::to_string).collect()
    })?;
    let file = file_name
        .rsplit_once('.')
        .map_or(file_name, |(stem, _)| stem);
    let name = table.name().unwrap_or(file).to_owned();
    let id = PatternId::new("step-table").map_err(|error| vec![error.to_string()])?;
    table.to_pattern(id, name).map_err(|why| vec![why])
}

/// The label and the edit of the one step that adds a pattern that was read, called by a name, with the identifier it gets.
///
/// # Errors
/// Why it cannot be added.
pub fn add_read(
    program: &Program,
    pattern: &Pattern,
    name: &str,
) -> Result<(String, Edit, PatternId), String> {
    let name = name.trim();
    if name.is_empty() {
        return Err("a pattern needs a name".into());
    }
    let id = free_id(program, &pattern.id);
    let pattern = Pattern {
        id: id.clone(),
        label: name.to_owned(),
        ..pattern.clone()
    };
    let edit = Edit::Insert(program.patterns.len(), Item::Pattern(pattern));
    program.apply(&edit).map_err(|error| error.to_string())?;
    Ok((format!("Add {name} from a step table"), edit, id))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Action;
    use lampwright_formats::read_program;
    use std::rc::Rc;

    fn editor() -> EditorState {
        let text = include_str!("../../../patterns/incident-support-van.json");
        EditorState::new(Rc::new(read_program(text.as_bytes()).program.unwrap()))
    }

    #[test]
    fn each_kind_of_subject_gives_a_table_in_both_forms() {
        let editor = editor();
        let subjects = step_subjects(&editor);
        let n = editor.program().patterns.len() + editor.program().situations.len() + 1;
        assert_eq!(subjects.len(), n);
        assert!(subjects[0].0.starts_with(PATTERN));
        // The first of each kind, since each judges all states twice.
        for (subject, _) in subjects.into_iter().take(3) {
            let tick = Micros::from_ms(15);
            let csv = step_text(&editor, &subject, tick, false).unwrap();
            assert!(csv.text.contains("\nlane,period_ms,"), "{subject}");
            assert!(csv.notes[0].starts_with("Rounding: "), "{:?}", csv.notes);
            let c = step_text(&editor, &subject, tick, true).unwrap();
            assert!(c.text.contains("lampwright_lanes[]"), "{subject}");
        }
    }

    #[test]
    fn a_table_is_read_back_as_a_pattern_in_one_step() {
        let editor = editor();
        let (subject, _) = &step_subjects(&editor)[0];
        let text = step_text(&editor, subject, Micros(1), false).unwrap().text;
        let read = read_steps("beat.csv", text.as_bytes()).unwrap();
        // The table says what it was called.
        assert_eq!(read.label, editor.open_pattern().unwrap().label);
        let (label, edit, id) = add_read(editor.program(), &read, " Old beat ").unwrap();
        let after = editor.apply(Action::Edit { label, edit });
        assert_eq!(
            after.history().undo_label(),
            Some("Add Old beat from a step table")
        );
        let read = after.program().patterns.iter().find(|known| known.id == id);
        let open = editor.open_pattern().unwrap();
        assert_eq!(read.unwrap().lanes, open.lanes);
        assert_eq!(read.unwrap().period, open.period);
        assert_eq!(read.unwrap().label, "Old beat");
        assert_eq!(after.apply(Action::Undo).program(), editor.program());
    }

    #[test]
    fn what_cannot_be_done_says_why() {
        let editor = editor();
        assert!(step_text(&editor, "", Micros(0), false).is_err());
        assert!(step_text(&editor, "pattern:none", Micros(1), false).is_err());
        assert!(step_text(&editor, "situation:none", Micros(1), false).is_err());
        let wrong = read_steps("a.csv", b"lane,period_ms\n").unwrap_err();
        assert!(wrong[0].starts_with("line 1"), "{wrong:?}");
        let rows = b"lane,period_ms,time_ms,level_permille\na,500,0,1000\na,500,80,0\n";
        let read = read_steps("Rear beat.csv", rows).unwrap();
        assert_eq!(read.label, "Rear beat");
        assert_eq!(
            add_read(editor.program(), &read, "  "),
            Err("a pattern needs a name".into())
        );
    }
}
