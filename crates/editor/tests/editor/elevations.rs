//! The vehicle from its sides and as someone sees it who comes toward it.

use crate::support::*;
use lampwright_editor::preview::Speed;
use lampwright_editor::{
    Action, BodyPart, EditorState, Eye, Item, MessageKind, Overlay, PlanHead, PlanScene,
    Projection, Role, approach, painted_lamps, scene, vehicle_scene,
};
use lampwright_model::{Action as LayerAction, HeadId};
use lampwright_timing::Micros;

fn seen(state: &EditorState, projection: Projection, eye: Eye) -> PlanScene {
    let drive = &state.results().drive;
    vehicle_scene(state.program(), drive, projection, eye, (300.0, 400.0))
}

fn labels(scene: &PlanScene) -> Vec<&str> {
    scene.heads.iter().map(|head| head.label.as_str()).collect()
}

#[track_caller]
fn head<'a>(scene: &'a PlanScene, label: &str) -> &'a PlanHead {
    scene.heads.iter().find(|head| head.label == label).unwrap()
}

fn from(distance_m: u16, azimuth_degrees: u16) -> Eye {
    Eye {
        distance_m,
        azimuth_degrees,
    }
}

// ISO 8855: x forward, y left, z up; who stands before a vehicle has its left on the right.
#[test]
fn sides_are_where_an_observer_has_them() {
    let state = editor();
    let front = seen(&state, Projection::Front, Eye::default());
    assert_eq!(labels(&front), ["front left", "front right"]);
    assert!(head(&front, "front left").x > head(&front, "front right").x);
    assert_eq!(front.edges[2..], ["RIGHT", "LEFT"]);
    let rear = seen(&state, Projection::Rear, Eye::default());
    assert_eq!(labels(&rear), ["rear left", "rear right"]);
    assert!(head(&rear, "rear left").x < head(&rear, "rear right").x);
    let mut parts = parts();
    parts.vehicle.heads[0].facing = lampwright_model::Millidegrees(90_000);
    parts.vehicle.heads[2].facing = lampwright_model::Millidegrees(90_000);
    parts.vehicle.heads[2].z = lampwright_model::Millimeters(500);
    let turned = EditorState::new(admitted(parts));
    let left = seen(&turned, Projection::Left, Eye::default());
    assert_eq!(labels(&left), ["front left", "rear left"]);
    let (before, behind) = (head(&left, "front left"), head(&left, "rear left"));
    assert!(
        before.x < behind.x && before.y < behind.y,
        "front on the left, higher up"
    );
    assert!(labels(&seen(&turned, Projection::Right, Eye::default())).is_empty());
}

#[test]
fn every_head_is_on_an_elevation_whatever_it_faces() {
    for degrees in (0..360_i64).step_by(5) {
        let mut parts = parts();
        parts.vehicle.heads[0].facing = lampwright_model::Millidegrees(degrees * 1000);
        let state = EditorState::new(admitted(parts));
        let n_views = [
            Projection::Front,
            Projection::Left,
            Projection::Rear,
            Projection::Right,
        ]
        .into_iter()
        .filter(|view| labels(&seen(&state, *view, Eye::default())).contains(&"front left"))
        .count();
        assert!((1..=2).contains(&n_views), "{degrees}: {n_views}");
    }
}

#[test]
fn lamps_keep_their_numbers_in_every_view() {
    let state = editor();
    let rear = seen(&state, Projection::Rear, Eye::default());
    let lamps: Vec<_> = rear
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .map(|emitter| emitter.lamp)
        .collect();
    assert_eq!(lamps, [4, 5]);
    assert_eq!(
        painted_lamps(&rear, &[1.0; 6]),
        [0.0, 0.0, 0.0, 0.0, 1.0, 1.0]
    );
}

#[test]
fn nothing_is_drawn_outside_the_drawing() {
    let state = editor();
    for projection in Projection::ALL {
        for eye in [from(3, 0), from(30, 37), from(500, 180)] {
            let scene = seen(&state, projection, eye);
            for (x, y) in scene.faces.iter().flat_map(|face| &face.corners) {
                assert!(
                    (0.0..=300.0).contains(x) && (0.0..=400.0).contains(y),
                    "{x} {y}"
                );
            }
            assert!(scene.faces.iter().any(|face| face.part == BodyPart::Body));
        }
    }
}

#[test]
fn the_approach_view_shows_the_side_one_comes_from() {
    let state = editor();
    let behind = seen(&state, Projection::Approach, from(40, 180));
    assert_eq!(labels(&behind), ["rear left", "rear right"]);
    assert_eq!(behind.edges[0], "FROM 40 m AT 180°");
    let before = seen(&state, Projection::Approach, from(40, 0));
    assert_eq!(labels(&before), ["front left", "front right"]);
}

// Central projection: a distance d away, a step sideways is seen under step / d.
#[test]
fn what_is_nearer_is_larger() {
    let mut parts = parts();
    // Two pairs one meter either side, four meters apart along the line of sight.
    for (index, (x, y)) in [(2000, 1000), (2000, -1000), (-2000, 1000), (-2000, -1000)]
        .into_iter()
        .enumerate()
    {
        let head = &mut parts.vehicle.heads[index];
        (head.x, head.y) = (
            lampwright_model::Millimeters(x),
            lampwright_model::Millimeters(y),
        );
        head.z = lampwright_model::Millimeters(if x > 0 { 400 } else { 2000 });
        head.facing = lampwright_model::Millidegrees(0);
    }
    let state = EditorState::new(admitted(parts));
    let width = |scene: &PlanScene, left: &str, right: &str| {
        (head(scene, left).x - head(scene, right).x).abs()
    };
    for distance_m in [10, 50] {
        let scene = seen(&state, Projection::Approach, from(distance_m, 0));
        let ratio =
            width(&scene, "front left", "front right") / width(&scene, "rear left", "rear right");
        let d = f64::from(distance_m);
        assert!(
            (ratio - (d + 2.0) / (d - 2.0)).abs() < 1e-6,
            "{ratio} at {d} m"
        );
    }
}

// The beam's half-peak angle halves the candela (definition), distance squared divides the illuminance.
#[test]
fn lamps_show_fainter_from_afar_and_off_their_axis() {
    let state = editor();
    let vehicle = &state.program().vehicle;
    let strength = |eye| approach::strengths(vehicle, eye)[4];
    assert!(strength(from(30, 180)) > strength(from(300, 180)));
    assert!(strength(from(30, 180)) > strength(from(30, 220)));
    assert!(
        strength(from(30, 0)) <= 0.0,
        "nothing shines behind the face"
    );
    let scene = seen(&state, Projection::Approach, from(300, 180));
    for emitter in scene.heads.iter().flat_map(|head| &head.emitters) {
        assert!(emitter.strength > 0.0 && emitter.strength < 1.0);
    }
    let candela = approach::candelas_toward(vehicle, from(30, 180));
    let weights = state.results();
    assert_eq!(candela.len(), 6);
    assert!(candela[4] > 0 && candela[0] == 0);
    drop(weights);
}

#[test]
fn the_view_and_the_observer_are_chosen_and_stay() {
    let state = editor()
        .apply(Action::LookFrom(Projection::Approach))
        .apply(Action::StandAt(from(9_000, 400)));
    assert_eq!(state.preview().projection, Projection::Approach);
    assert_eq!(state.preview().eye, from(500, 40));
    let opened = state.apply(Action::Open {
        program: state.program().clone(),
        problems: Vec::new(),
        file_name: None,
    });
    assert_eq!(opened.preview().projection, Projection::Approach);
    assert_eq!(opened.preview().eye, from(500, 40));
}

#[test]
fn slow_motion_is_a_part_of_the_safe_speed() {
    let state = editor();
    let safe = state.preview_speed().per_mille();
    for slowness in [2, 4, 10] {
        let slow = state.apply(Action::SetSlowness(slowness));
        assert_eq!(slow.preview_speed().per_mille(), safe / slowness);
    }
    assert_eq!(Speed::of(3).divided_by(10), Speed::of(1));
    assert_eq!(Speed::STILL.divided_by(10), Speed::STILL);
}

#[test]
fn steps_move_the_preview_by_ticks_and_around_its_end() {
    let state = editor().apply(Action::StepPreview(2));
    assert_eq!(state.preview().at, ms(20));
    assert_eq!(state.apply(Action::StepPreview(-3)).preview().at, ms(490));
}

#[test]
fn a_loop_plays_the_selected_span_at_a_speed_of_its_own() {
    let state = editor();
    let refused = state.apply(Action::LoopSelection(true));
    assert_eq!(refused.message().kind, MessageKind::Refused);
    // The double flash of the left: 0 to 160 ms.
    let selected = state.apply(Action::SelectPulses(
        vec![at(0, 0), at(0, 1)],
        lampwright_editor::SelectMode::Replace,
    ));
    let looped = selected.apply(Action::LoopSelection(true));
    assert_eq!(looped.preview_range(), (ms(0), ms(160)));
    assert_eq!(looped.preview_instant(ms(170)), ms(10));
    for time in 0..320 {
        assert_eq!(
            looped.preview_levels(ms(time)),
            selected.preview_levels(ms(time % 160)),
            "{time} ms"
        );
    }
    // Lit 0 to 60 and 100 to 160 of 160 ms is one flash each 160 ms: at most 3 in 1.1 s is less than half of real time.
    let excerpt = looped.excerpt().unwrap();
    let flashes = lampwright_editor::preview::drawn_flashes(
        looped.program(),
        &excerpt.drive,
        looped.preview_speed(),
    );
    assert!(
        flashes.is_some_and(|count| (1..=3).contains(&count)),
        "{flashes:?}"
    );
    assert!(excerpt.safe_speed < Speed::of(500));
    let narrowed = looped.apply(Action::SelectNothing);
    assert!(
        narrowed.excerpt().is_none(),
        "nothing selected, so all plays"
    );
    assert_eq!(narrowed.preview_range(), (Micros::ZERO, ms(500)));
}

#[test]
fn a_loop_plays_the_pulses_when_the_heads_play_them() {
    let mut parts = parts();
    let LayerAction::Play { bindings, .. } = &mut parts.layers[0].action else {
        panic!("a layer that plays is wanted");
    };
    // The left lane: 100 ms later on the front, and a whole period and 200 ms later on the rear.
    bindings[0].offset = ms(100);
    bindings[1].offset = ms(700);
    let looped = flat(EditorState::new(admitted(parts)))
        .apply(Action::SelectPulses(
            vec![at(0, 1)],
            lampwright_editor::SelectMode::Replace,
        ))
        .apply(Action::LoopSelection(true));
    // The pulse from 100 to 160 ms is at 200 to 260 ms on the front and at 300 to 360 ms on the rear.
    assert_eq!(looped.preview_range(), (ms(200), ms(360)));
    let is_lit = |head: usize, time: i64| -> bool {
        let n_before: usize = looped.program().vehicle.heads[..head]
            .iter()
            .map(|head| head.emitters.len())
            .sum();
        looped.preview_levels(ms(time))[n_before] > 0.0
    };
    let (front_left, rear_left) = (0, 2);
    assert!(is_lit(front_left, 200) && is_lit(front_left, 259) && !is_lit(front_left, 260));
    assert!(is_lit(rear_left, 300) && is_lit(rear_left, 359));
    // A pattern that plays nowhere is looped as it is drawn.
    let unused = looped
        .apply(Action::AddPattern)
        .apply(Action::InsertPulse { lane: 0, at: ms(0) });
    let (from, to) = unused.selected_span().unwrap();
    assert_eq!(unused.preview_range(), (from, to));
}

#[test]
fn a_head_under_the_pointer_marks_the_lanes_that_drive_it() {
    let state = editor();
    let n_marks = |overlay: &Overlay| {
        scene(&state, overlay)
            .items
            .iter()
            .filter(
                |item| matches!(item, Item::Rect(rect) if rect.role == Role::LaneOfSelectedHead),
            )
            .count()
    };
    assert_eq!(n_marks(&Overlay::default()), 0);
    let overlay = Overlay {
        head: Some(HeadId::new("front-left").unwrap()),
        ..Overlay::default()
    };
    assert_eq!(n_marks(&overlay), 1);
}
