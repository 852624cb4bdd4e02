//! Manners of the timeline while authoring: where new pulses go, what the view does, what is refused.

use crate::support::*;
use lampwright_editor::{
    Action, EditorState, FocusMove, Item, MessageKind, Operation, Overlay, Question, Role,
    SelectMode, lane_heads, scene,
};
use lampwright_model::{HeadId, PatternId, RuleChoice, RuleCode, SituationId};

#[track_caller]
fn refused(state: &EditorState, text: &str) {
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
    let open = |state: &EditorState| state.open_pattern_id().unwrap().to_string();
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

/// An editor whose profile chooses LW003, which wants a light lit for at most 0.4 of the interval and dark for at least 100 ms.
fn judged() -> EditorState {
    let mut parts = parts();
    parts.profile.rules.push(RuleChoice::of(RuleCode(3)));
    flat(EditorState::new(admitted(parts)))
}

#[test]
fn a_dragged_edge_stops_at_the_limit_of_a_chosen_rule_unless_the_key_is_held() {
    // The left lane is lit for 120 of 500 ms, so 80 ms more are allowed.
    let drag = |drag: Drag| drag.press(x(159.0), y(0)).to(x(300.0), y(0));
    let held = drag(Drag::on(judged())).held();
    assert_eq!(spans(&held, 0)[1], (100.0, 140.0));
    let gesture = held.gesture().unwrap();
    assert_eq!(
        gesture.values(),
        "100 ms to 240 ms, 140 ms long, dark after 260 ms, held by LW003, Alt goes on"
    );
    let guides: Vec<_> = gesture
        .guides()
        .iter()
        .map(|guide| (guide.at, guide.text.as_str()))
        .collect();
    assert!(
        guides.contains(&(ms(240), "LW003 lit at most 200 ms")),
        "{guides:?}"
    );
    assert!(
        guides.contains(&(ms(400), "LW003 dark at least 100 ms")),
        "{guides:?}"
    );
    let drawn = scene(&held, &Overlay::default());
    let is_guide = |item: &&Item| matches!(item, Item::Line(line) if line.role == Role::LimitGuide && (line.x1 - x(240.0)).abs() < 0.01);
    assert_eq!(drawn.items.iter().filter(is_guide).count(), 1);

    let free = drag(Drag::on(judged()).without_snap()).release();
    assert_eq!(spans(&free, 0)[1], (100.0, 201.0));
    let without_profile = drag(Drag::on(editor())).release();
    assert_eq!(spans(&without_profile, 0)[1], (100.0, 200.0));
}

#[test]
fn a_drawn_pulse_stops_at_the_limit_of_a_chosen_rule_unless_the_key_is_held() {
    // The left lane is lit for 120 of 500 ms, and may be for 200.
    let draw = |drag: Drag| drag.press(x(300.0), y(0)).to(x(395.0), y(0)).held();
    let held = draw(Drag::on(judged()));
    assert_eq!(spans(&held, 0)[2], (300.0, 80.0));
    let gesture = held.gesture().unwrap();
    assert_eq!(
        gesture.values(),
        "300 ms to 380 ms, 80 ms long, held by LW003, Alt goes on"
    );
    assert!(gesture.guides().iter().any(|guide| guide.at == ms(380)));
    let free = draw(Drag::on(judged()).without_snap());
    assert_eq!(spans(&free, 0)[2], (300.0, 95.0));
    let short = Drag::on(judged())
        .press(x(300.0), y(0))
        .to(x(261.0), y(0))
        .held();
    assert_eq!(spans(&short, 0)[2], (260.0, 40.0));
}

#[test]
fn a_muted_lane_is_dark_in_the_preview_and_nowhere_else() {
    let left = editor().apply(Action::SelectLanes(vec![0], SelectMode::Replace));
    let lit = |state: &EditorState, at: i64| -> Vec<bool> {
        let levels = state.preview_levels(ms(at));
        levels.into_iter().map(|level| level > 0.0).collect()
    };
    let (both_left, both_right) = (lit(&left, 10), lit(&left, 260));
    assert_eq!(both_left.iter().filter(|is_lit| **is_lit).count(), 2);
    let muted = left.apply(Action::Operate(Operation::Mute));
    assert!(lit(&muted, 10).iter().all(|is_lit| !is_lit));
    assert_eq!(lit(&muted, 260), both_right);
    assert!(muted.heard(0).is_silent && !muted.heard(1).is_silent);
    assert_eq!(muted.revision(), left.revision());
    assert_eq!(muted.results().report, left.results().report);

    let back = muted.apply(Action::Operate(Operation::Mute));
    assert_eq!(lit(&back, 10), both_left);
    let alone = back.apply(Action::Operate(Operation::Alone));
    assert_eq!(lit(&alone, 10), both_left);
    assert!(lit(&alone, 260).iter().all(|is_lit| !is_lit));
    // Lamps that flash alone may play no faster than is safe for them.
    assert_eq!(
        alone.preview_speed(),
        lampwright_editor::preview::safe_speed(alone.program(), alone.results().drawn())
    );
}

#[test]
fn heads_are_bound_to_a_lane_in_the_layer_that_plays_it() {
    let plays = |state: &EditorState, lane: usize| -> Vec<String> {
        let (layer, heads) = lane_heads(state, lane).unwrap();
        assert_eq!(layer, "Respond");
        let bound = heads.into_iter().filter(|head| head.is_bound);
        bound.map(|head| head.label).collect()
    };
    let state = editor();
    assert_eq!(plays(&state, 0), ["front left", "rear left"]);
    let bind = |state: &EditorState, lane: usize, head: &str, is_bound: bool| {
        state.apply(Action::BindHead {
            lane,
            head: HeadId::new(head).unwrap(),
            is_bound,
        })
    };
    let moved = bind(&state, 0, "rear-right", true);
    assert_eq!(plays(&moved, 0), ["front left", "rear left", "rear right"]);
    assert_eq!(plays(&moved, 1), ["front right"]);
    let off = bind(&moved, 0, "rear-left", false);
    assert_eq!(plays(&off, 0), ["front left", "rear right"]);
    assert_eq!(off.history().done().count(), 2);
    let back = off.apply(Action::Undo).apply(Action::Undo);
    assert!(back.program() == state.program());
    let unused = state.apply(Action::AddPattern);
    assert_eq!(lane_heads(&unused, 0), None);
    refused(
        &bind(&unused, 0, "rear-left", true),
        "no layer plays this pattern",
    );
}
