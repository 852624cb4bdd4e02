//! Manners of the timeline while authoring: where new pulses go, what the view does, what is refused.

use crate::support::*;
use lampwright_editor::{Action, FocusMove, MessageKind, Question, SelectMode};
use lampwright_model::{PatternId, SituationId};

#[track_caller]
fn refused(state: &lampwright_editor::EditorState, text: &str) {
    assert_eq!(state.message().kind, MessageKind::Refused);
    assert_eq!(&*state.message().text, text);
}

#[test]
fn a_new_pulse_leaves_the_gap_the_lane_has_already() {
    let focused = |pulse| {
        editor().apply(Action::SelectPulses(
            vec![at(0, pulse)],
            SelectMode::Replace,
        ))
    };
    // 40 ms lie between the two pulses there are.
    let after = focused(1).apply(Action::InsertAtFocus);
    assert_eq!(spans(&after, 0)[2], (200.0, 60.0));
    // Between them there is room for a third of the gap alone.
    let between = focused(0).apply(Action::InsertAtFocus);
    assert_eq!(spans(&between, 0)[1], (70.0, 10.0));
    // A lane in focus takes it after its last pulse.
    let lane = editor()
        .apply(Action::SelectLanes(vec![0], SelectMode::Replace))
        .apply(Action::InsertAtFocus);
    assert_eq!(spans(&lane, 0)[2], (200.0, 100.0));
}

#[test]
fn moving_the_focus_leaves_the_view_alone_while_all_is_in_sight() {
    let fitted = editor().apply(Action::ZoomToFit);
    let moves = [
        FocusMove::NextPulse,
        FocusMove::LastPulse,
        FocusMove::LaneBelow,
    ];
    let moved = moves.into_iter().fold(fitted.clone(), |state, to| {
        state.apply(Action::MoveFocus { to, extend: false })
    });
    assert_eq!(moved.viewport(), fitted.viewport());
    let wider = moved.apply(Action::Resize {
        width_px: 1600.0,
        height_px: 480.0,
    });
    let end = wider.viewport().x_of(ms(500));
    assert!((1580.0..=1600.0).contains(&end), "the period ends at {end}");
}

#[test]
fn zooming_out_ends_at_a_few_periods() {
    let far = (0..40).fold(editor().apply(Action::ZoomToFit), |state, _| {
        state.apply(Action::ZoomAbout {
            x_px: 500.0,
            factor: 0.5,
        })
    });
    let view = far.viewport();
    let shown = view.x_of(ms(500)) - view.x_of(ms(0));
    assert!(shown > 200.0, "the period is {shown} pixels wide");
    let same = far.apply(Action::ZoomAbout {
        x_px: 500.0,
        factor: f64::NAN,
    });
    assert_eq!(same.viewport(), view);
}

#[test]
fn a_pattern_that_stops_playing_gives_way_to_the_one_that_plays() {
    let parked = SituationId::new("parked-night").unwrap();
    let open =
        |state: &lampwright_editor::EditorState| state.open_pattern_id().unwrap().to_string();
    let state = editor().apply(Action::ChooseSituation(parked.clone()));
    assert_eq!(open(&state), "sweep");
    assert!(state.message().text.ends_with("now pattern pattern sweep"));
    // One that was opened without playing stays open.
    let looked_at = state.apply(Action::ChoosePattern(PatternId::new("double").unwrap()));
    let responding = looked_at.apply(Action::ChooseSituation(
        SituationId::new("responding").unwrap(),
    ));
    assert_eq!(open(&responding), "double");
    // And where nothing plays, the open one stays as well.
    let off = responding.apply(Action::ShowDefaultState);
    assert_eq!(open(&off), "double");
}

#[test]
fn periods_and_ticks_out_of_reach_are_refused_with_what_was_typed() {
    let state = editor();
    refused(
        &state.apply(Action::SetPeriod(ms(999_999_999))),
        "period 999999999 ms, at most 120000 ms wanted",
    );
    refused(
        &state.apply(Action::SetTick(ms(5_000))),
        "tick 5000 ms, at most the period wanted, 500 ms",
    );
    refused(
        &state.apply(Action::Answer(Question::Period, "5".into())),
        "scaled to 5 ms, a pulse or a gap would vanish on the tick, 10 ms",
    );
}
