//! Undo and redo over whole documents.

use crate::support::*;
use lampwright_editor::{
    Action, EditorState, FocusMove, Modifiers, Pointer, PulseAt, SelectMode, preview::Speed,
};
use lampwright_model::{Color, Pattern, Program};
use lampwright_timing::{Level, Micros};
use proptest::prelude::*;
use std::rc::Rc;

fn undo_all(mut state: EditorState) -> (EditorState, Vec<Rc<Program>>) {
    let mut seen = vec![state.program().clone()];
    while state.history().undo_label().is_some() {
        state = state.apply(Action::Undo);
        seen.push(state.program().clone());
    }
    (state, seen)
}

fn redo_all(mut state: EditorState) -> (EditorState, Vec<Rc<Program>>) {
    let mut seen = vec![state.program().clone()];
    while state.history().redo_label().is_some() {
        state = state.apply(Action::Redo);
        seen.push(state.program().clone());
    }
    (state, seen)
}

fn micros() -> impl Strategy<Value = Micros> {
    (-20_000_i64..700_000).prop_map(Micros)
}

fn pointer() -> impl Strategy<Value = Pointer> {
    (0.0..1000.0, 0.0..480.0, any::<bool>(), any::<bool>()).prop_map(
        |(x_px, y_px, extend, no_snap)| Pointer {
            x_px,
            y_px,
            modifiers: Modifiers { extend, no_snap },
        },
    )
}

/// Any action a person can cause while a program is open.
fn action() -> impl Strategy<Value = Action> {
    let lane = 0_usize..4;
    prop_oneof![
        2 => (lane.clone(), micros()).prop_map(|(lane, at)| Action::InsertPulse { lane, at }),
        2 => Just(Action::InsertAtFocus),
        1 => Just(Action::Delete),
        3 => (0_usize..3, 0_usize..5, any::<bool>()).prop_map(|(lane, pulse, adds)| {
            let mode = if adds { SelectMode::Add } else { SelectMode::Replace };
            Action::SelectPulses(vec![PulseAt { lane, pulse }], mode)
        }),
        1 => Just(Action::SelectAll),
        1 => (0_i64..1100).prop_map(|level| Action::SetLevel(Level::nearest(level))),
        1 => (-300_i64..300).prop_map(Action::StepLevel),
        2 => micros().prop_map(Action::SetStart),
        2 => micros().prop_map(Action::SetLength),
        1 => Just(Action::SetColor(Some(Color::Amber))),
        3 => (-20_i64..20).prop_map(Action::Nudge),
        3 => (-5_i64..5).prop_map(Action::Stretch),
        1 => micros().prop_map(Action::SetPeriod),
        1 => (0_i64..40_000).prop_map(|tick| Action::SetTick(Micros(tick))),
        1 => "[a-z ]{0,8}".prop_map(Action::RenamePattern),
        1 => Just(Action::AddPattern),
        1 => Just(Action::RemovePattern),
        1 => Just(Action::AddLane),
        1 => lane.clone().prop_map(Action::RemoveLane),
        1 => (lane.clone(), "[a-z]{0,3}").prop_map(|(lane, role)| Action::RenameLane { lane, role }),
        1 => (lane, 0_usize..5).prop_map(|(lane, to)| Action::MoveLane { lane, to }),
        4 => pointer().prop_map(Action::Press),
        8 => pointer().prop_map(Action::Drag),
        3 => Just(Action::Release),
        1 => Just(Action::CancelGesture),
        2 => prop_oneof![
            Just(FocusMove::NextPulse),
            Just(FocusMove::LaneBelow),
            Just(FocusMove::LaneAbove),
            Just(FocusMove::LastPulse),
        ]
        .prop_map(|to| Action::MoveFocus { to, extend: false }),
        1 => (0.0..1000.0, 0.2..5.0).prop_map(|(x_px, factor)| Action::ZoomAbout { x_px, factor }),
        1 => Just(Action::ZoomToFit),
        2 => Just(Action::Undo),
        1 => Just(Action::Redo),
    ]
}

#[track_caller]
fn is_sound(state: &EditorState) {
    for pattern in &state.program().patterns {
        for lane in &pattern.lanes {
            assert_eq!(
                lampwright_model::lane_problems(pattern.period, &lane.pulses),
                []
            );
        }
    }
    let open: Option<&Pattern> = state.open_pattern();
    for at in &state.selection().pulses {
        assert!(
            open.is_some_and(|pattern| at.of(pattern).is_some()),
            "{at:?} is not there"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn undo_all_and_redo_all_pass_through_the_same_documents(actions in prop::collection::vec(action(), 1..200)) {
        let first = editor();
        let mut state = first.clone();
        for action in actions {
            state = state.apply(action);
            is_sound(&state);
        }
        // What the actions took back is done again first.
        let (last, _) = redo_all(state.apply(Action::Release));
        let n_steps = last.history().done().count();
        let (start, back) = undo_all(last.clone());
        prop_assert!(start.program() == first.program());
        prop_assert_eq!(back.len(), n_steps + 1);
        let (end, forth) = redo_all(start);
        prop_assert!(end.program() == last.program());
        prop_assert!(back.iter().rev().eq(forth.iter()));
        prop_assert!(back.windows(2).all(|pair| pair[0] != pair[1]), "a step that changes nothing");
    }

    #[test]
    fn a_cancelled_gesture_is_the_identity(
        before in prop::collection::vec(action(), 0..20),
        press in pointer(),
        moves in prop::collection::vec(pointer(), 0..12),
    ) {
        let before = before.into_iter().fold(editor(), |state, action| state.apply(action)).apply(Action::Release);
        let pressed = before.apply(Action::Press(press));
        prop_assume!(pressed.gesture().is_some());
        let after = moves.into_iter().fold(pressed, |state, at| state.apply(Action::Drag(at))).apply(Action::CancelGesture);
        prop_assert!(after.program() == before.program());
        prop_assert_eq!(after.selection(), before.selection());
        prop_assert_eq!(after.focus(), before.focus());
        prop_assert_eq!(after.preview().at, before.preview().at);
        prop_assert_eq!(after.revision(), before.revision());
        prop_assert!(after.history().done().eq(before.history().done()));
        prop_assert!(after.history().undone().eq(before.history().undone()));
    }

    #[test]
    fn only_the_last_move_of_a_drag_counts(
        press in pointer(),
        detour in prop::collection::vec(pointer(), 1..8),
        last in pointer(),
    ) {
        let pressed = editor().apply(Action::Press(press));
        // A detour far enough to be a drag on both ways.
        let far = Pointer { x_px: 900.0, y_px: 470.0, ..last };
        let straight = pressed.apply(Action::Drag(far)).apply(Action::Drag(last));
        let around = detour.into_iter().fold(pressed.apply(Action::Drag(far)), |state, at| state.apply(Action::Drag(at))).apply(Action::Drag(last));
        prop_assert!(straight.program() == around.program());
        prop_assert_eq!(straight.selection(), around.selection());
    }
}

#[test]
fn lanes_that_did_not_change_are_shared_between_snapshots() {
    let before = editor();
    let after = before.apply(Action::InsertPulse {
        lane: 0,
        at: ms(200),
    });
    let lane =
        |state: &EditorState, lane: usize| state.open_pattern().unwrap().lanes[lane].pulses.clone();
    assert!(std::sync::Arc::ptr_eq(&lane(&before, 1), &lane(&after, 1)));
    assert!(!std::sync::Arc::ptr_eq(&lane(&before, 0), &lane(&after, 0)));
}

#[test]
fn a_new_change_forgets_what_was_taken_back() {
    let state = editor()
        .apply(Action::InsertPulse {
            lane: 0,
            at: ms(200),
        })
        .apply(Action::Undo);
    assert_eq!(state.history().redo_label(), Some("Insert pulse"));
    let state = state.apply(Action::AddLane);
    assert_eq!(state.history().redo_label(), None);
    assert_eq!(state.history().undo_label(), Some("Add lane"));
}

#[test]
fn the_oldest_steps_are_forgotten_when_there_are_too_many() {
    let first = editor();
    let mut state = first.clone();
    for step in 0..2_100_i64 {
        state = state.apply(Action::SetTick(Micros(1_000 + step)));
    }
    assert!(state.history().done().count() <= 2_000);
    assert_eq!(
        state.history().n_dropped() + state.history().done().count(),
        2_100
    );
}

#[test]
fn undo_gives_an_open_gesture_up_before_taking_a_step_back() {
    let one = editor().apply(Action::InsertPulse {
        lane: 0,
        at: ms(200),
    });
    let held = Drag::on(one)
        .press(x(130.0), y(0))
        .to(x(135.0), y(0))
        .held();
    let state = held.apply(Action::Undo);
    assert!(state.program() == editor().program());
    assert!(state.gesture().is_none());
    assert_eq!(state.preview_speed(), editor().preview_speed());
    assert_ne!(state.preview_speed(), Speed::FULL);
}
