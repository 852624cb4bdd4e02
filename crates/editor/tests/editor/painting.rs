//! What is drawn, and how much of it.

use crate::support::*;
use lampwright_editor::{
    Action, EditorState, Item, Layout, Overlay, Rect, Role, Scene, SelectMode, hit, lamp_levels,
    plan_scene, playhead, scene,
};
use lampwright_model::Color;
use lampwright_timing::Micros;

fn painted(state: &EditorState) -> Scene {
    scene(state, &Overlay::default())
}

fn rects(scene: &Scene, is_wanted: impl Fn(Role) -> bool) -> Vec<Rect> {
    scene
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Rect(rect) if is_wanted(rect.role) => Some(*rect),
            _ => None,
        })
        .collect()
}

fn texts(scene: &Scene, wanted: Role) -> Vec<String> {
    scene
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Text(text) if text.role == wanted => Some(text.text.clone()),
            _ => None,
        })
        .collect()
}

#[track_caller]
fn near(place_px: f64, expected_px: f64) {
    assert!(
        (place_px - expected_px).abs() < 1e-9,
        "{place_px}, {expected_px} wanted"
    );
}

#[test]
fn bars_stand_at_their_time_as_high_as_their_level_in_the_color_the_layer_gives() {
    let state = editor()
        .apply(Action::SelectPulses(vec![at(1, 0)], SelectMode::Replace))
        .apply(Action::SetLevel(lampwright_timing::Level::nearest(500)))
        .apply(Action::SetColor(Some(Color::Red)));
    let scene = painted(&state);
    let bars = rects(&scene, |role| matches!(role, Role::Pulse(_)));
    assert_eq!(bars.len(), 4);
    assert_eq!((bars[0].x, bars[0].width), (128.0, 60.0));
    assert_eq!((bars[0].y, bars[0].height), (28.0 + 5.0, 34.0));
    let half = bars[2];
    assert_eq!(
        (half.x, half.width, half.height),
        (128.0 + 250.0, 60.0, 17.0)
    );
    near(half.y + half.height, 28.0 + 88.0 - 5.0);
    // The left lane drives a blue and an amber head: no one color.
    assert_eq!(bars[0].role, Role::Pulse(None));
    assert_eq!(half.role, Role::Pulse(Some(Color::Red)));
    assert_eq!(texts(&scene, Role::PulseLetter(Some(Color::Red))), ["R"]);
    assert_eq!(rects(&scene, |role| role == Role::PulseSelected).len(), 1);
}

#[test]
fn the_ruler_is_labelled_in_round_milliseconds() {
    assert_eq!(
        texts(&painted(&editor()), Role::RulerLabel)[..4],
        ["0 ms", "100 ms", "200 ms", "300 ms"]
    );
    let close = editor().apply(Action::ZoomAbout {
        x_px: x(0.0),
        factor: 200.0,
    });
    let labels = texts(&painted(&close), Role::RulerLabel);
    assert_eq!(labels[..3], ["0 ms", "0.5 ms", "1 ms"]);
    let far = editor().apply(Action::ZoomAbout {
        x_px: x(0.0),
        factor: 0.05,
    });
    assert!(texts(&painted(&far), Role::RulerLabel).len() < 14);
}

#[test]
fn zooming_keeps_the_instant_under_the_pointer() {
    let state = editor();
    for (x_px, factor) in [(128.0, 2.0), (400.0, 7.3), (731.5, 0.6), (999.0, 1.01)] {
        let before = state.viewport();
        let under = before.start_us + (x_px - Layout::LABEL_PX) * before.us_per_px;
        let after = before.zoomed_about(x_px, factor);
        let still = after.start_us + (x_px - Layout::LABEL_PX) * after.us_per_px;
        assert!((under - still).abs() < 1e-6, "{under} became {still}");
        assert!(after.us_per_px < before.us_per_px || factor < 1.0);
    }
}

#[test]
fn an_instant_and_its_pixel_agree() {
    let view = *editor().viewport();
    for micros in [0_i64, 1, 499_999, -3, 123_456] {
        assert_eq!(view.time_at(view.x_of(Micros(micros))), Micros(micros));
    }
}

#[test]
fn narrow_pulses_become_columns_as_high_as_the_strongest() {
    let mut view = *editor().viewport();
    view.us_per_px = 100_000.0;
    let state = editor().apply(Action::SetViewport(view));
    let scene = painted(&state);
    assert_eq!(rects(&scene, |role| matches!(role, Role::Pulse(_))), []);
    let columns = rects(&scene, |role| matches!(role, Role::PulseSummary(_)));
    // Left: 0 to 160 ms is columns 0 and 1; right: 250 to 410 ms is columns 2, 3 and 4.
    assert_eq!(
        (columns[0].x, columns[0].width, columns[0].height),
        (128.0, 2.0, 34.0)
    );
    assert_eq!((columns[1].x, columns[1].width), (130.0, 3.0));
}

fn dense(n_lanes: usize, n_pulses: i64, height_px: f64) -> EditorState {
    let mut parts = parts();
    let lanes: Vec<(String, Vec<_>)> = (0..n_lanes)
        .map(|lane| {
            let pulses = (0..n_pulses)
                .map(|index| {
                    let mut pulse = pulse(0, 1);
                    pulse.start = Micros(index * 100);
                    pulse.length = Micros(40 + (index * 7 + lane as i64) % 50);
                    pulse.level = lampwright_timing::Level::nearest(1 + (index * 37) % 1000);
                    pulse
                })
                .collect();
            (format!("lane-{lane}"), pulses)
        })
        .collect();
    let lanes: Vec<_> = lanes
        .iter()
        .map(|(role, pulses)| (role.as_str(), pulses.clone()))
        .collect();
    let mut dense = pattern("dense", 1, &lanes);
    dense.period = Micros(n_pulses * 100);
    parts.patterns.insert(0, dense);
    EditorState::new(admitted(parts)).apply(Action::Resize {
        width_px: 1600.0,
        height_px,
    })
}

#[test]
fn the_number_of_painted_things_follows_the_pixels() {
    for height_px in [300.0, 900.0, 3_000.0] {
        is_bounded(&dense(64, 1_600, height_px));
    }
}

#[track_caller]
fn is_bounded(state: &EditorState) {
    let mut view = *state.viewport();
    let mut counts = Vec::new();
    while view.us_per_px > 0.06 {
        let state = state.apply(Action::SetViewport(view));
        let n_items = painted(&state).items.len();
        assert!(n_items <= 9_000, "{n_items} items");
        counts.push(n_items);
        view = view.zoomed_about(700.0, 3.0);
    }
    assert!(counts.len() > 5);
}

#[test]
fn rows_and_pulses_out_of_sight_are_not_painted() {
    let state = editor().apply(Action::Resize {
        width_px: 1000.0,
        height_px: 28.0 + 44.0,
    });
    let mut view = *state.viewport();
    view.start_us = 90_000.0;
    view.us_per_px = 100.0;
    let scene = painted(&state.apply(Action::SetViewport(view)));
    assert_eq!(
        rects(&scene, |role| matches!(role, Role::Pulse(_))).len(),
        1
    );
    for rect in rects(&scene, |_| true) {
        assert!(
            rect.x >= 0.0 && rect.x + rect.width <= 1000.0 + 1e-9,
            "{rect:?}"
        );
    }
}

#[test]
fn a_hover_and_a_snap_are_marked() {
    let state = editor();
    let hover = hit(&state, x(130.0), y(0));
    let scene = scene(
        &state,
        &Overlay {
            hover,
            ..Overlay::default()
        },
    );
    near(rects(&scene, |role| role == Role::Hover)[0].x, x(100.0));
    let held = Drag::on(state)
        .press(x(160.0), y(0))
        .to(x(247.0), y(0))
        .held();
    let guide = painted(&held)
        .items
        .into_iter()
        .find_map(|item| match item {
            Item::Line(line) if line.role == Role::SnapGuide => Some(line.x1),
            _ => None,
        });
    assert_eq!(guide, Some(x(250.0)));
    assert_eq!(
        texts(&painted(&held), Role::GestureLabel),
        ["100 ms to 250 ms, 150 ms long, dark after 250 ms"]
    );
}

#[test]
fn empty_views_say_what_to_do_first() {
    let empty = EditorState::new(std::rc::Rc::default());
    assert_eq!(
        texts(&painted(&empty), Role::Hint),
        ["Add a pattern to begin"]
    );
    let pattern = empty.apply(Action::AddPattern);
    assert_eq!(
        texts(&painted(&pattern), Role::Hint),
        ["Drag in a lane to draw a pulse, or press I"]
    );
}

#[test]
fn the_playhead_stays_within_the_period() {
    let state = editor();
    let line = playhead(&state, state.viewport(), ms(1_620)).unwrap();
    near(line.x1, x(120.0));
}

#[test]
fn the_plan_has_the_front_up_and_the_left_on_the_left() {
    let state = editor();
    let plan = plan_scene(state.program(), &state.results().drive, 300.0, 500.0);
    let (front_left, rear_right) = (&plan.heads[0], &plan.heads[3]);
    assert!(front_left.x < rear_right.x && front_left.y < rear_right.y);
    assert!((front_left.facing_x, front_left.facing_y) == (0.0, -1.0));
    assert!((rear_right.facing_y - 1.0).abs() < 1e-9);
    let lamps: Vec<_> = plan
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .map(|emitter| emitter.lamp)
        .collect();
    assert_eq!(lamps, [0, 1, 2, 3, 4, 5]);
    let flashing: Vec<_> = plan
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .map(|emitter| emitter.is_flashing)
        .collect();
    assert_eq!(flashing, [true, false, true, false, true, true]);
    for head in &plan.heads {
        assert!((0.0..=300.0).contains(&head.x) && (0.0..=500.0).contains(&head.y));
    }
}

#[test]
fn lamps_glow_as_the_drive_says() {
    let state = editor();
    let drive = &state.results().drive;
    assert_eq!(lamp_levels(drive, ms(10)), [1.0, 0.0, 0.0, 0.0, 1.0, 0.0]);
    assert_eq!(lamp_levels(drive, ms(80)), [0.0; 6]);
    assert_eq!(lamp_levels(drive, ms(760)), [0.0, 0.0, 1.0, 0.0, 0.0, 1.0]);
}
