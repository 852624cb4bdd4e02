//! Drags on the timeline, without a browser.

use crate::support::*;
use lampwright_editor::{
    Action, EditorState, Focus, GestureKind, HitPart, PulseEdge, SelectMode, SnapTarget, hit,
};

#[track_caller]
fn labels(state: &EditorState, expected: &[&str]) {
    assert_eq!(state.history().done().collect::<Vec<_>>(), expected);
}

#[test]
fn body_follows_the_pointer_in_ticks() {
    let state = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(153.0), y(0))
        .release();
    assert_eq!(spans(&state, 0), [(0.0, 60.0), (120.0, 60.0)]);
    labels(&state, &["Move pulse"]);
}

#[test]
fn body_moves_freely_with_the_key_against_snapping() {
    let state = Drag::on(editor())
        .without_snap()
        .press(x(130.0), y(0))
        .to(x(153.0), y(0))
        .release();
    assert_eq!(spans(&state, 0), [(0.0, 60.0), (123.0, 60.0)]);
}

#[test]
fn a_drag_is_recomputed_from_its_base_and_is_one_step() {
    let there_and_on = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(300.0), y(0))
        .to(x(10.0), y(0))
        .to(x(150.0), y(0))
        .release();
    let straight = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(150.0), y(0))
        .release();
    assert_eq!(there_and_on.program(), straight.program());
    labels(&there_and_on, &["Move pulse"]);
}

#[test]
fn a_drag_there_and_back_is_no_step() {
    let before = editor();
    let state = Drag::on(before.clone())
        .press(x(130.0), y(0))
        .to(x(180.0), y(0))
        .to(x(130.0), y(0))
        .release();
    assert_eq!(state.program(), before.program());
    labels(&state, &[]);
    assert_eq!(state.revision(), before.revision());
}

#[test]
fn bodies_stop_at_their_neighbors_and_at_the_period() {
    let left = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(-900.0), y(0))
        .release();
    assert_eq!(spans(&left, 0), [(0.0, 60.0), (60.0, 60.0)]);
    let right = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(5000.0), y(0))
        .release();
    assert_eq!(spans(&right, 0), [(0.0, 60.0), (440.0, 60.0)]);
}

#[test]
fn edges_keep_one_tick_and_stop_at_neighbors() {
    let short = Drag::on(editor())
        .press(x(161.0), y(0))
        .to(x(20.0), y(0))
        .release();
    assert_eq!(spans(&short, 0), [(0.0, 60.0), (100.0, 10.0)]);
    let wide = Drag::on(editor())
        .press(x(101.0), y(0))
        .to(x(-50.0), y(0))
        .release();
    assert_eq!(spans(&wide, 0), [(0.0, 60.0), (60.0, 100.0)]);
    labels(&wide, &["Move start of pulse"]);
}

#[test]
fn an_edge_snaps_to_another_pulse_before_the_tick() {
    // 247 ms would round to 250 ms anyhow; with the other pulse at 253 ms it goes there.
    let state = Drag::on(editor())
        .without_snap()
        .press(x(280.0), y(1))
        .to(x(283.0), y(1))
        .release();
    assert_eq!(spans(&state, 1)[0], (253.0, 60.0));
    let held = Drag::on(state)
        .press(x(160.0), y(0))
        .to(x(247.0), y(0))
        .held();
    let snapped = held.gesture().unwrap().snapped().unwrap();
    assert_eq!(
        (snapped.target, snapped.at),
        (SnapTarget::PulseEdge, ms(253))
    );
    assert_eq!(spans(&held, 0)[1], (100.0, 153.0));
}

#[test]
fn an_edge_snaps_to_another_pulse_before_the_playhead_and_to_that_before_the_tick() {
    let state = editor().apply(Action::Seek(lampwright_timing::Micros(203_500)));
    let near_playhead = Drag::on(state)
        .press(x(160.0), y(0))
        .to(x(201.0), y(0))
        .held();
    let snapped = near_playhead.gesture().unwrap().snapped().unwrap();
    assert_eq!(snapped.target, SnapTarget::Playhead);
    // A playhead stopped beside the tick still puts the edge on it.
    assert_eq!(spans(&near_playhead, 0)[1], (100.0, 100.0));
    let state = editor().apply(Action::Seek(lampwright_timing::Micros(246_500)));
    let near_both = Drag::on(state)
        .press(x(160.0), y(0))
        .to(x(247.0), y(0))
        .held();
    assert_eq!(
        near_both.gesture().unwrap().snapped().unwrap().target,
        SnapTarget::PulseEdge
    );
    assert_eq!(spans(&near_both, 0)[1], (100.0, 150.0));
}

#[test]
fn selected_pulses_move_together_as_far_as_all_can() {
    let state = editor().apply(Action::SelectPulses(
        vec![at(0, 1), at(1, 0), at(1, 1)],
        SelectMode::Replace,
    ));
    let moved = Drag::on(state.clone())
        .press(x(130.0), y(0))
        .to(x(150.0), y(0))
        .release();
    assert_eq!(spans(&moved, 0), [(0.0, 60.0), (120.0, 60.0)]);
    assert_eq!(spans(&moved, 1), [(270.0, 60.0), (370.0, 60.0)]);
    labels(&moved, &["Move pulses"]);
    let far = Drag::on(state)
        .press(x(130.0), y(0))
        .to(x(800.0), y(0))
        .release();
    assert_eq!(spans(&far, 1), [(340.0, 60.0), (440.0, 60.0)]);
    assert_eq!(spans(&far, 0), [(0.0, 60.0), (190.0, 60.0)]);
}

#[test]
fn a_cancelled_drag_leaves_everything_as_it_was() {
    let before = editor().apply(Action::SelectPulses(vec![at(1, 1)], SelectMode::Replace));
    for (from, to) in [
        ((130.0, y(0)), (180.0, y(0))),
        ((161.0, y(0)), (190.0, y(0))),
        ((200.0, y(0)), (240.0, y(0))),
        ((130.0, 34.0), (130.0, 60.0)),
        ((130.0, 10.0), (180.0, 10.0)),
    ] {
        let after = Drag::on(before.clone())
            .press(x(from.0), from.1)
            .to(x(to.0), to.1)
            .cancel();
        assert_eq!(after.program(), before.program());
        assert_eq!(after.selection(), before.selection());
        assert_eq!(after.focus(), before.focus());
        assert_eq!(after.preview(), before.preview());
        assert_eq!(after.revision(), before.revision());
        labels(&after, &[]);
        assert!(after.gesture().is_none());
    }
}

#[test]
fn what_is_saved_in_the_middle_of_a_drag_is_the_document_before_it() {
    let before = editor();
    let held = Drag::on(before.clone())
        .press(x(130.0), y(0))
        .to(x(180.0), y(0))
        .held();
    assert_ne!(held.program(), before.program());
    assert_eq!(held.committed_program(), before.program());
}

#[test]
fn drawing_fills_the_gap_at_most_and_selects_the_new_pulse() {
    let state = Drag::on(editor())
        .press(x(203.0), y(0))
        .to(x(236.0), y(0))
        .release();
    assert_eq!(
        spans(&state, 0),
        [(0.0, 60.0), (100.0, 60.0), (200.0, 40.0)]
    );
    assert_eq!(state.focus(), Focus::Pulse(at(0, 2)));
    labels(&state, &["Draw pulse"]);
    let clamped = Drag::on(editor())
        .press(x(203.0), y(0))
        .to(x(-40.0), y(0))
        .release();
    assert_eq!(spans(&clamped, 0)[2], (160.0, 40.0));
    let undone = state.apply(Action::Undo);
    assert_eq!(undone.program(), editor().program());
}

#[test]
fn a_press_without_a_drag_draws_nothing() {
    let state = Drag::on(editor())
        .press(x(203.0), y(0))
        .to(x(205.0), y(0))
        .release();
    assert_eq!(state.program(), editor().program());
    assert_eq!(state.focus(), Focus::Lane(0));
}

#[test]
fn the_upper_edge_sets_the_level_in_steps_of_five_percent() {
    // The bar of a full pulse is 34 px high and starts 5 px below its row.
    let state = Drag::on(editor())
        .press(x(130.0), 28.0 + 5.0)
        .to(x(130.0), 28.0 + 5.0 + 17.0)
        .release();
    let pulses = &state.open_pattern().unwrap().lanes[0].pulses;
    assert_eq!(pulses[1].level.per_mille(), 500);
    let floor = Drag::on(editor())
        .press(x(130.0), 33.0)
        .to(x(130.0), 400.0)
        .release();
    assert_eq!(
        floor.open_pattern().unwrap().lanes[0].pulses[1]
            .level
            .per_mille(),
        50
    );
}

#[test]
fn a_rectangle_selects_what_it_touches() {
    let state = Drag::on(editor())
        .extending()
        .press(x(120.0 + 60.0), y(0))
        .to(x(300.0), y(1))
        .release();
    assert_eq!(state.selection().pulses, [at(1, 0)].into());
    let wider = Drag::on(editor())
        .extending()
        .press(x(200.0), y(0))
        .to(x(20.0), y(0))
        .release();
    assert_eq!(wider.selection().pulses, [at(0, 0), at(0, 1)].into());
    labels(&wider, &[]);
}

#[test]
fn the_pointer_finds_edges_within_six_pixels_and_bodies_between() {
    let state = editor();
    let part = |milliseconds: f64| hit(&state, x(milliseconds), y(0)).map(|hit| hit.part);
    assert_eq!(part(94.0), Some(HitPart::Edge(at(0, 1), PulseEdge::Start)));
    assert_eq!(part(93.5), Some(HitPart::Lane(0)));
    assert_eq!(part(106.0), Some(HitPart::Edge(at(0, 1), PulseEdge::Start)));
    assert_eq!(part(107.0), Some(HitPart::Body(at(0, 1))));
    assert_eq!(part(166.0), Some(HitPart::Edge(at(0, 1), PulseEdge::End)));
    assert_eq!(hit(&state, 40.0, y(1)).unwrap().part, HitPart::LaneLabel(1));
    assert_eq!(hit(&state, x(40.0), 5.0).unwrap().part, HitPart::Ruler);
    assert_eq!(hit(&state, x(40.0), 300.0), None);
}

#[test]
fn a_narrow_pulse_can_still_be_taken_by_its_body() {
    let mut view = *editor().viewport();
    view.us_per_px = 6_000.0;
    let state = editor().apply(Action::SetViewport(view));
    // 60 ms are 10 px here: a third of it belongs to each edge.
    let middle = 128.0 + 130.0 / 6.0;
    assert_eq!(
        hit(&state, middle, y(0)).unwrap().part,
        HitPart::Body(at(0, 1))
    );
}

#[test]
fn dragging_the_ruler_moves_the_playhead_and_stops_the_preview() {
    let playing = editor().apply(Action::Play);
    let state = Drag::on(playing)
        .press(x(100.0), 10.0)
        .to(x(220.0), 10.0)
        .held();
    assert_eq!(state.gesture().unwrap().kind(), GestureKind::Scrub);
    assert_eq!(state.preview().at, ms(220));
    assert!(!state.preview().is_playing);
    labels(&state.apply(Action::Release), &[]);
}

#[test]
fn a_body_dragged_over_another_lane_goes_there_and_comes_back() {
    let dragging = || Drag::on(editor()).press(x(130.0), y(0)).to(x(130.0), y(1));
    let over = dragging().held();
    assert_eq!(spans(&over, 0), [(0.0, 60.0)]);
    assert_eq!(
        spans(&over, 1),
        [(100.0, 60.0), (250.0, 60.0), (350.0, 60.0)]
    );
    assert_eq!(over.focus(), Focus::Pulse(at(1, 0)));
    let back = dragging().to(x(130.0), y(0)).release();
    assert!(back.program() == editor().program());
    assert_eq!(back.focus(), Focus::Pulse(at(0, 1)));
    let moved = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(150.0), y(1))
        .release();
    assert_eq!(spans(&moved, 1)[0], (120.0, 60.0));
    assert_eq!(moved.history().undo_label(), Some("Move pulse"));
    let blocked = Drag::on(editor())
        .press(x(130.0), y(0))
        .to(x(280.0), y(1))
        .held();
    assert!(blocked.program() == editor().program());
    assert_eq!(blocked.gesture().unwrap().values(), "no room in lane right");
}
