//! What is known at once of a program, and what only after judging it in steps.

use crate::support::{Drag, admitted, editor, flat, ms, parts, pattern, pulse, x, y};
use lampwright_analysis::check_with;
use lampwright_analysis::report::FoundIn;
use lampwright_analysis::rules::{CheckSettings, RULES};
use lampwright_editor::{Action, EditorState, Item, Overlay, Role, directions, scene};
use lampwright_model::{Pulse, RuleChoice, RuleCode};

/// The escort car with a minute of 400 flashes to a side, and every rule chosen.
fn long() -> EditorState {
    let mut parts = parts();
    let flashes =
        |from_ms: i64| -> Vec<Pulse> { (0..400).map(|at| pulse(150 * at + from_ms, 60)).collect() };
    parts.patterns[0] = pattern(
        "double",
        60_000,
        &[("left", flashes(0)), ("right", flashes(70))],
    );
    parts.profile.rules = RULES
        .iter()
        .map(|rule| rule.meta().code)
        .filter(|code| *code != RuleCode(4))
        .map(RuleChoice::of)
        .collect();
    flat(EditorState::new(admitted(parts)))
}

fn has_marks(state: &EditorState) -> bool {
    scene(state, &Overlay::default())
        .items
        .iter()
        .any(|item| matches!(item, Item::Rect(rect) if matches!(rect.role, Role::Finding(_))))
}

#[test]
fn what_is_quickly_judged_is_known_at_once() {
    let state = editor();
    assert!(!state.driven().is_long_to_judge());
    assert!(state.judged().is_some());
    assert!(state.known_preview_speed().is_some());
}

#[test]
fn what_is_long_to_judge_is_known_after_its_last_step_and_is_the_same_then() {
    let state = long();
    assert!(state.driven().is_long_to_judge());
    let mut n_steps = 0;
    loop {
        assert!(state.judged().is_none());
        assert_eq!(state.known_preview_speed(), None);
        assert!(!has_marks(&state));
        if !state.judge_step() {
            break;
        }
        n_steps += 1;
    }
    assert!(n_steps > 72 + RULES.len(), "{n_steps}");
    let judged = state.judged().unwrap();
    assert!(has_marks(&state));
    assert!(!state.judge_step());
    let settings = CheckSettings::default();
    let (context, report) = lampwright_analysis::check_state(
        state.program(),
        state.found_in(),
        &state.shown_state(),
        &directions(&state.program().vehicle),
        &settings,
    );
    assert_eq!(judged.report, report);
    assert_eq!(judged.facts, context.facts);
    assert_eq!(judged.screened, context.screened);
    assert_eq!(
        state.known_preview_speed(),
        Some(lampwright_editor::preview::safe_speed(
            state.program(),
            &context.drive
        ))
    );
    let all = check_with(state.program(), &settings);
    assert!(all.judged.contains(&FoundIn::DefaultState));
}

#[test]
fn an_edit_takes_back_what_was_known_and_a_drag_goes_on_without_it() {
    let state = long();
    let _ = state.results();
    assert!(state.judged().is_some());
    let state = Drag::on(state)
        .without_snap()
        .press(x(60.0), y(0))
        .to(x(70.0), y(0))
        .held();
    assert_eq!(
        state.open_pattern().unwrap().lanes[0].pulses[0].length,
        ms(70)
    );
    assert!(state.judged().is_none());
    let state = state.apply(Action::Release);
    assert!(state.judged().is_none());
    // What the lamps do is known all the same.
    let level = &state.driven().drive.heads[0].emitters[0].level;
    assert!(level.value_at(ms(65)) > 0);
}

#[test]
fn a_dragged_edge_stops_at_the_limits_of_what_is_not_judged_yet() {
    let mut parts = parts();
    // Dark for 160 ms after each flash, which is as much as LW001 ends one by, but for 200 ms after the first.
    let flashes = |from_ms: i64| -> Vec<Pulse> {
        let starts = (0..400).map(|at| if at == 0 { 0 } else { 240 * at + 40 });
        starts.map(|start| pulse(start + from_ms, 80)).collect()
    };
    parts.patterns[0] = pattern(
        "double",
        96_040,
        &[("left", flashes(0)), ("right", flashes(70))],
    );
    parts.profile.rules = vec![RuleChoice::of(RuleCode(1))];
    let state = flat(EditorState::new(admitted(parts)));
    assert!(state.driven().is_long_to_judge());
    let drag = |drag: Drag| drag.press(x(79.0), y(0)).to(x(200.0), y(0)).held();
    let held = drag(Drag::on(state.clone()));
    assert!(held.judged().is_none());
    let gesture = held.gesture().unwrap();
    assert!(
        gesture.values().ends_with("held by LW001, Alt goes on"),
        "{}",
        gesture.values()
    );
    let length = |state: &EditorState| state.open_pattern().unwrap().lanes[0].pulses[0].length;
    assert_eq!(length(&held), ms(120));
    let once_judged = state.clone();
    let _ = once_judged.results();
    assert_eq!(length(&drag(Drag::on(once_judged))), ms(120));
    assert_eq!(length(&drag(Drag::on(state).without_snap())), ms(201));
}

#[test]
fn a_state_judged_half_is_judged_to_its_end_when_all_is_asked_for() {
    let (half, whole) = (long(), long());
    for _ in 0..40 {
        assert!(half.judge_step());
    }
    assert_eq!(half.results().report, whole.results().report);
    assert_eq!(half.results().safe_speed, whole.results().safe_speed);
}
