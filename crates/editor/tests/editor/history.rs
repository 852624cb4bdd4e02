//! Undo and redo over whole documents.

use crate::support::*;
use lampwright_editor::{
    Action, EditorState, FocusMove, Modifiers, Pointer, PulseAt, SelectMode, preview::Speed,
};
use lampwright_model::{Color, Pattern};
use lampwright_timing::{Level, Micros};
use proptest::prelude::*;

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

#[track_caller]
fn steps(state: &EditorState, labels: &[&str]) {
    let done: Vec<&str> = state.history().done().collect();
    assert_eq!(done, labels);
}

#[test]
fn moves_by_key_in_a_row_are_one_step_that_says_the_whole_way() {
    let first = editor().apply(Action::SelectPulses(vec![at(0, 1)], SelectMode::Replace));
    let moved = first.apply(Action::Nudge(1)).apply(Action::Nudge(10));
    let moved = moved.apply(Action::ZoomToFit).apply(Action::Nudge(-2));
    steps(&moved, &["Move pulse 90 ms later"]);
    assert!(moved.apply(Action::Undo).program() == first.program());
    let longer = moved.apply(Action::Stretch(-1)).apply(Action::Stretch(3));
    let dim = longer
        .apply(Action::StepLevel(-50))
        .apply(Action::StepLevel(-50));
    steps(
        &dim,
        &[
            "Move pulse 90 ms later",
            "Lengthen pulse by 20 ms",
            "Lower level of pulse by 10 %",
        ],
    );
    // Past full there is nothing to raise.
    let full = dim
        .apply(Action::StepLevel(70))
        .apply(Action::StepLevel(70));
    steps(
        &full,
        &["Move pulse 90 ms later", "Lengthen pulse by 20 ms"],
    );
    let below = first
        .apply(Action::SelectPulses(vec![at(0, 0)], SelectMode::Add))
        .apply(Action::MoveToLane(1))
        .apply(Action::MoveToLane(-1))
        .apply(Action::MoveToLane(1))
        .apply(Action::Nudge(1));
    steps(
        &below,
        &["Move 2 pulses 1 lane down", "Move 2 pulses 10 ms later"],
    );
    assert!(undo_all(below).0.program() == first.program());
    let two = Action::SelectPulses(vec![at(0, 0), at(0, 1)], SelectMode::Replace);
    let back = [two, Action::MoveToLane(1), Action::MoveToLane(-1)]
        .into_iter()
        .fold(editor(), |state, action| state.apply(action));
    assert_eq!(&*back.message().text, "Back as it was");
    steps(&back, &[]);
}

#[test]
fn moved_back_to_where_it_was_there_is_no_step_and_the_work_is_saved_anew() {
    let first = editor().apply(Action::SelectPulses(vec![at(0, 1)], SelectMode::Replace));
    let there = first.apply(Action::Nudge(1));
    let back = there.apply(Action::Nudge(-1));
    steps(&back, &[]);
    assert!(back.program() == first.program());
    assert!(back.revision() > there.revision());
    steps(&back.apply(Action::Nudge(2)), &["Move pulse 20 ms later"]);
}

#[test]
fn a_row_of_moves_ends_with_anything_else() {
    let select = |pulse| Action::SelectPulses(vec![at(0, pulse)], SelectMode::Replace);
    let moved = editor().apply(select(1)).apply(Action::Nudge(1));
    let twice = |between: Vec<Action>| {
        let between = between.into_iter();
        let state = between.fold(moved.clone(), |state, action| state.apply(action));
        state.apply(Action::Nudge(1)).history().done().count()
    };
    assert_eq!(twice(vec![]), 1);
    assert_eq!(twice(vec![Action::Undo, Action::Redo]), 2);
    assert_eq!(twice(vec![select(0), select(1)]), 2);
    assert_eq!(twice(vec![Action::StepLevel(-50)]), 3);
    assert_eq!(twice(vec![Action::AddLane, Action::Undo]), 2);
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
