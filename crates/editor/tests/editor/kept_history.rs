//! Steps kept as a text beside the program, as over a reload of the page.

use crate::support::{redo_all, undo_all};
use lampwright_editor::{
    Action, EditorState, History, PulseAt, SelectMode, TextFormat, WrittenTexts,
};
use lampwright_formats::{read_program, write_program};
use lampwright_timing::Micros;
use std::rc::Rc;

fn editor() -> EditorState {
    let text = include_str!("../../../../patterns/harbor-patrol-car.json");
    EditorState::new(Rc::new((FORMAT.read)(text).unwrap()))
}

const FORMAT: TextFormat = TextFormat {
    write: write_program,
    read: |text| {
        let outcome = read_program(text.as_bytes());
        outcome.program.filter(|_| outcome.problems.is_empty())
    },
};

fn kept(state: &EditorState) -> (String, String) {
    let steps = state.history().to_text(
        state.committed_program(),
        FORMAT,
        &mut WrittenTexts::default(),
    );
    (write_program(state.committed_program()), steps)
}

/// What a page shows that is opened again.
fn reopened((program, steps): &(String, String)) -> EditorState {
    let history = History::from_text(steps, program, FORMAT).unwrap();
    EditorState::new(Rc::new((FORMAT.read)(program).unwrap()))
        .apply(Action::TakeHistory(Box::new(history)))
}

#[test]
fn a_run_of_moves_is_kept_as_one_step_though_each_move_is_written() {
    let mut written = WrittenTexts::default();
    let mut state = editor().apply(Action::SelectPulses(
        vec![PulseAt { lane: 0, pulse: 0 }],
        SelectMode::Replace,
    ));
    let mut steps = String::new();
    for ticks in [1, 2, -1, 2] {
        state = state.apply(Action::Nudge(ticks)).apply(Action::SaveStarted);
        steps = state
            .history()
            .to_text(state.committed_program(), FORMAT, &mut written);
    }
    let again = reopened(&(write_program(state.committed_program()), steps));
    assert_eq!(again.history().done().count(), 1);
    assert!(again.history().done().eq(state.history().done()));
    let first = again.apply(Action::Undo);
    assert!(first.program() == editor().program());
    // What was made before the page was opened is a step of its own.
    let more = again
        .apply(Action::SelectPulses(
            vec![PulseAt { lane: 0, pulse: 0 }],
            SelectMode::Replace,
        ))
        .apply(Action::Nudge(1));
    assert_eq!(more.history().done().count(), 2);
    assert!(undo_all(more).0.program() == editor().program());
}

#[test]
fn kept_steps_are_taken_back_and_done_again_with_their_names() {
    let mut state = editor();
    for start in [20, 40, 60, 80] {
        state = state
            .apply(Action::SelectPulses(
                vec![PulseAt { lane: 0, pulse: 0 }],
                SelectMode::Replace,
            ))
            .apply(Action::SetStart(Micros::from_ms(start)));
    }
    state = state
        .apply(Action::RenamePattern("Ümlaut — renamed".into()))
        .apply(Action::Undo)
        .apply(Action::Undo);
    let again = reopened(&kept(&state));
    assert!(again.history().done().eq(state.history().done()));
    assert!(again.history().undone().eq(state.history().undone()));
    assert_eq!(again.open_pattern_id(), state.open_pattern_id());
    let (first, seen) = undo_all(state.clone());
    let (first_again, seen_again) = undo_all(again.clone());
    assert_eq!(seen, seen_again);
    assert_eq!(first.program(), first_again.program());
    assert_eq!(redo_all(first).1, redo_all(first_again).1);
    assert_eq!(redo_all(state).1, redo_all(again).1);
}

#[test]
fn steps_kept_twice_are_still_whole() {
    let state = editor()
        .apply(Action::RenamePattern("one".into()))
        .apply(Action::RenamePattern("two".into()))
        .apply(Action::RenamePattern("three".into()))
        .apply(Action::Undo);
    // One step is taken from its text, another is new, and both are kept anew.
    let again = reopened(&kept(&reopened(&kept(&state)).apply(Action::Undo)));
    let again = reopened(&kept(&again.apply(Action::RenamePattern("four".into()))));
    assert_eq!(again.history().redo_label(), None);
    let (first, seen) = undo_all(again);
    assert_eq!(seen.len(), 3);
    assert_eq!(first.program(), editor().program());
    assert_eq!(redo_all(first).0.open_pattern().unwrap().label, "four");
}

#[test]
fn steps_of_another_text_are_not_brought_back() {
    let state = editor().apply(Action::RenamePattern("one".into()));
    let (program, steps) = kept(&state);
    assert!(History::from_text(&steps, &program, FORMAT).is_some());
    assert!(History::from_text(&steps, &write_program(editor().program()), FORMAT).is_none());
    assert!(History::from_text("", &program, FORMAT).is_none());
}

#[test]
fn a_damaged_text_of_steps_never_changes_the_program_by_itself() {
    let state = editor()
        .apply(Action::RenamePattern("one".into()))
        .apply(Action::RenamePattern("two".into()));
    let (program, steps) = kept(&state);
    for cut in 0..steps.len() {
        let Some(cut) = steps.get(..cut) else {
            continue;
        };
        let Some(history) = History::from_text(cut, &program, FORMAT) else {
            continue;
        };
        let again = EditorState::new(Rc::new((FORMAT.read)(&program).unwrap()))
            .apply(Action::TakeHistory(Box::new(history)));
        assert_eq!(again.program(), state.program());
        // Each step that is left leads to a document of its own or to nothing at all.
        for seen in undo_all(again).1 {
            assert_eq!((FORMAT.read)(&write_program(&seen)).as_ref(), Some(&*seen));
        }
    }
}

#[test]
fn at_most_fifty_steps_of_a_direction_are_kept() {
    let mut state = editor();
    for number in 0..60 {
        state = state.apply(Action::RenamePattern(format!("name {number}")));
    }
    let again = reopened(&kept(&state));
    assert_eq!(again.history().done().count(), 50);
    let (first, _) = undo_all(again);
    assert_eq!(first.open_pattern().unwrap().label, "name 9");
}

#[test]
fn what_was_written_before_changes_nothing_of_what_is_written() {
    let mut written = WrittenTexts::default();
    let mut state = editor();
    for number in 0..40 {
        state = match number % 5 {
            3 => state.apply(Action::Undo),
            4 if number % 2 == 0 => state.apply(Action::Redo),
            _ => state.apply(Action::RenamePattern(format!("name {number}"))),
        };
        // Not after every step, as steps that follow one another soon are written together.
        if number % 3 == 0 {
            let text = state
                .history()
                .to_text(state.committed_program(), FORMAT, &mut written);
            assert_eq!(text, kept(&state).1);
        }
    }
}
