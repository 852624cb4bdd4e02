//! A thousand actions of every kind in any order, and all of them taken back.
//!
//! Invariant: every kind of action, command, operation, question, change of heads and edit comes about here, and what edits does edit.
//! A new kind does not compile until it is listed, and fails until it comes about.

mod actions;
mod edits;
mod kinds;
mod numbers;
mod program;

use crate::support::*;
use kinds::*;
use lampwright_editor::{
    Action, COMMANDS, CommandId, EditorState, History, MessageKind, Perform, View, command,
};
use lampwright_model::{Edit, Millimeters, Parts, Program, lane_problems};
use numbers::Numbers;
use program::full;
use std::collections::BTreeSet;
use std::rc::Rc;

/// What a person would call an action, down to its parts.
fn names(action: &Action) -> Vec<String> {
    let mut names = vec![kind_of_action(action).to_owned()];
    match action {
        Action::Run(id) => names.push(format!("Run {id:?}")),
        Action::Operate(operation) => names.push(format!("Operate {operation:?}")),
        Action::Answer(question, _) => names.push(format!("Answer {question:?}")),
        Action::Heads(change) => names.push(format!("Heads {}", kind_of_heads(change))),
        Action::Edit { edit, .. } => {
            names.push(format!("Edit {}", kind_of_edit(edit)));
            if let Edit::Put(item) = edit {
                names.push(format!("Put {}", kind_of_item(item)));
            }
        }
        _ => {}
    }
    names
}

/// What came about in some runs.
#[derive(Default)]
struct Seen {
    /// Without being refused.
    done: BTreeSet<String>,
    /// With a change of the document.
    edited: BTreeSet<String>,
}

fn is_sound(program: &Program) {
    for pattern in &program.patterns {
        for lane in &pattern.lanes {
            assert_eq!(lane_problems(pattern.period, &lane.pulses), []);
        }
    }
}

/// A thousand actions from a seed, and back and forth over all of them.
fn run(seed: u64, seen: &mut Seen) {
    let first = full();
    let open = Action::Open {
        program: first.clone(),
        problems: Vec::new(),
        file_name: None,
    };
    let begin = Action::TakeHistory(Box::<History>::default());
    let mut state = flat(editor().apply(open).apply(begin));
    let mut numbers = Numbers::from_seed(seed);
    for number in 0..1000 {
        let action = numbers.action(&state, seen);
        let is_possible = match &action {
            Action::Run(id) => command(*id).is_some_and(|command| command.is_enabled(&state)),
            _ => true,
        };
        let names = names(&action);
        // What was under way is a step of its own, and not the action's.
        let has_gesture = state.gesture().is_some();
        let next = state.apply(action);
        let is_refused = next.message().serial != state.message().serial
            && next.message().kind == MessageKind::Refused;
        if is_possible && !is_refused {
            seen.done.extend(names.iter().cloned());
        }
        if next.revision() != state.revision() && !has_gesture {
            seen.edited.extend(names);
        }
        state = next;
        is_sound(state.program());
        if number % 100 == 99 {
            let (again, problems) = Program::admit(state.program().to_parts());
            assert_eq!(problems, [], "seed {seed}, after action {number}");
            assert!(again == **state.program());
        }
    }
    state = state.apply(Action::Release);
    assert_eq!(state.history().n_dropped(), 0);
    assert!(
        state.history().done().count() > 100,
        "seed {seed}: too few steps"
    );
    let (last, _) = redo_all(state);
    let (start, _) = undo_all(last.clone());
    assert!(*start.program() == first, "seed {seed}");
    assert!(redo_all(start).0.program() == last.program(), "seed {seed}");
}

#[test]
fn a_thousand_actions_of_every_kind_and_undo_all_return_the_first_document() {
    let mut seen = Seen::default();
    for seed in 1..=5 {
        run(seed, &mut seen);
    }
    let mut missing = Vec::new();
    let mut wanted = |set: &BTreeSet<String>, name: String, what: &str| {
        if !set.contains(&name) {
            missing.push(format!("{name} never {what}"));
        }
    };
    for kind in ACTIONS.iter().filter(|kind| !BEGINNINGS.contains(kind)) {
        // Two of them only ever tell that something went wrong.
        if !matches!(*kind, "Refuse" | "SaveFailed") {
            wanted(&seen.done, (*kind).to_owned(), "came about");
        }
    }
    for kind in EDITING {
        wanted(&seen.edited, kind.to_owned(), "changed the document");
    }
    let state = editor();
    for command in COMMANDS {
        // What only the page can do has no effect here.
        if matches!((command.perform)(&state), Perform::Do(_))
            && !needs_an_empty_vehicle(command.id)
        {
            wanted(&seen.done, format!("Run {:?}", command.id), "was possible");
        }
    }
    for operation in OPERATIONS {
        listed_operation(*operation);
        let set = if LOOKING.contains(operation) {
            &seen.done
        } else {
            &seen.edited
        };
        wanted(set, format!("Operate {operation:?}"), "did anything");
    }
    for question in QUESTIONS {
        listed_question(*question);
        wanted(
            &seen.edited,
            format!("Answer {question:?}"),
            "changed the document",
        );
    }
    for kind in HEADS {
        // The two moves of a drag change the document when it ends.
        let set = if matches!(*kind, "Press" | "Drag") {
            &seen.done
        } else {
            &seen.edited
        };
        wanted(set, format!("Heads {kind}"), "did anything");
    }
    for kind in EDITS {
        wanted(&seen.edited, format!("Edit {kind}"), "changed the document");
    }
    for kind in ITEMS {
        wanted(&seen.edited, format!("Put {kind}"), "changed the document");
    }
    assert_eq!(missing, [""; 0]);
}

/// The first heads of a vehicle are tested on their own, since no vehicle stays without heads here.
fn needs_an_empty_vehicle(id: CommandId) -> bool {
    id == CommandId::AddHeads
}

#[test]
fn the_first_heads_come_by_a_command_and_go_with_undo() {
    let empty = EditorState::new(Rc::default());
    let eight = empty.apply(Action::Run(CommandId::AddHeads));
    assert_eq!(eight.program().vehicle.heads.len(), 8);
    assert_eq!(
        eight.history().undo_label(),
        Some("Add 8 heads around the roof")
    );
    assert!(eight.apply(Action::Undo).program() == empty.program());
    let again = eight.apply(Action::Run(CommandId::AddHeads));
    assert_eq!(again.message().kind, MessageKind::Refused);
    assert!(again.program() == eight.program());
    // A vehicle too small for them is set up by other numbers.
    let mut parts = Parts::default();
    parts.vehicle.outline.width = Millimeters(900);
    let narrow = EditorState::new(admitted(parts)).apply(Action::Run(CommandId::AddHeads));
    assert_eq!(narrow.view(), View::Setup);
    assert!(narrow.program().vehicle.heads.is_empty());
}
