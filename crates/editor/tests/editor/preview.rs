//! The preview must not harm: what is drawn is measured by the screening that judges the vehicle.

use crate::support::*;
use lampwright_analysis::screening::{
    Chromaticity, Extent, OwnedScene, Ratio, Settings, Workspace, screen,
};
use lampwright_editor::preview::{
    self, Speed, area_limit_css_px2, drawn_flashes, flashing_area_css_px2, frames,
};
use lampwright_editor::{
    Action, EditorState, Eye, MessageKind, Projection, plan_scene, vehicle_scene,
};
use lampwright_model::{Drive, Parts, Program, Pulse};
use lampwright_timing::Micros;
use proptest::prelude::*;
use std::rc::Rc;

/// Flashes, or red flashes, in the worst second of frames drawn one after the other.
///
/// Every emitter is a cluster however weak; else the settings are the screening's own.
fn flashes_of_frames(
    program: &Program,
    drive: &Drive,
    speed: Speed,
    rate: u32,
    seconds: u32,
) -> u32 {
    let frames = frames(drive, speed, rate, seconds);
    let chromaticities: Vec<_> = program
        .vehicle
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .map(|emitter| {
            let hue = emitter.color.default_chromaticity();
            Chromaticity::new(hue.x, hue.y).unwrap()
        })
        .collect();
    let values = (0..chromaticities.len())
        .flat_map(|lamp| {
            frames
                .iter()
                .map(move |frame| (frame[lamp] * 1000.0).round() as i64)
        })
        .collect();
    let scene = OwnedScene {
        second: i64::from(rate),
        extent: Extent::Once {
            horizon: i64::try_from(frames.len()).unwrap(),
        },
        times: (0..i64::try_from(frames.len()).unwrap()).collect(),
        chromaticities,
        values,
        reference: None,
        luminance_cd_m2_per_light: None,
        ambient: None,
    };
    let settings = Settings {
        cluster_share: Ratio::new(0, 1).unwrap(),
        ..Settings::default()
    };
    let result = screen(&scene.as_scene(), &settings, &mut Workspace::default()).unwrap();
    result.n().max(result.n_red())
}

#[track_caller]
fn is_safe(state: &EditorState) {
    let results = state.results();
    let speed = results.safe_speed;
    let program = state.program();
    assert!(speed <= Speed::FULL);
    assert!(drawn_flashes(program, &results.drive, speed).is_some_and(|count| count <= 3));
    for rate in [60, 50, 144] {
        let count = flashes_of_frames(program, &results.drive, speed, rate, 30);
        assert!(
            count <= 3,
            "{count} flashes a second at {rate} frames a second, {speed:?}"
        );
    }
}

#[test]
fn the_measure_sees_the_full_speed_as_fast() {
    // Two pulses left and two right in each half second: eight distinct onsets a second.
    let state = editor();
    let drive = &state.results().drive;
    assert_eq!(drawn_flashes(state.program(), drive, Speed::FULL), Some(8));
    assert_eq!(
        flashes_of_frames(state.program(), drive, Speed::FULL, 60, 10),
        8
    );
}

#[test]
fn every_situation_plays_at_or_below_three_flashes_a_second() {
    for situation in &editor().program().situations {
        is_safe(&editor().apply(Action::ChooseSituation(situation.id.clone())));
    }
}

#[test]
fn the_next_faster_speed_would_not_do() {
    // 8 onsets a second have to come at most 3 in 1.1 s: 0.34 of the speed, so 30 %.
    let state = editor();
    assert_eq!(state.results().safe_speed.per_mille(), 300);
    assert_eq!(state.preview_speed().per_mille(), 300);
}

#[test]
fn what_does_not_flash_is_not_sped_up() {
    let state = editor().apply(Action::ShowDefaultState);
    assert_eq!(state.preview_speed().per_mille(), 500);
    assert_eq!(
        preview::safe_speed(state.program(), &state.results().drive).per_mille(),
        500
    );
}

#[test]
fn periods_that_never_meet_are_counted_over_the_loop() {
    let mut parts = parts();
    parts.patterns[0].period = Micros(499_979);
    parts
        .patterns
        .push(pattern("odd", 700, &[("a", vec![pulse(0, 50)])]));
    parts.patterns[2].period = Micros(700_001);
    let lampwright_model::Action::Play { bindings, .. } = parts.layers[0].action.clone() else {
        panic!("a layer that plays");
    };
    let mut odd = parts.layers[0].clone();
    odd.id = lampwright_model::LayerId::new("odd").unwrap();
    odd.action = lampwright_model::Action::Play {
        pattern: parts.patterns[2].id.clone(),
        bindings: vec![lampwright_model::Binding {
            lane: parts.patterns[2].lanes[0].role.clone(),
            ..bindings[0].clone()
        }],
    };
    parts.layers.insert(0, odd);
    let state = EditorState::new(admitted(parts));
    let drive = &state.results().drive;
    assert_eq!(preview::loop_period(drive), Some(ms(30_000)));
    is_safe(&state);
    let speed = state.results().safe_speed;
    assert!(speed > Speed::STILL);
    // Long enough to see the loop start over.
    let seconds = 30_000 / u32::from(speed.per_mille()) * 3;
    assert!(flashes_of_frames(state.program(), drive, speed, 60, seconds) <= 3);
}

#[test]
fn every_state_of_the_demo_programs_plays_safely() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../patterns");
    let mut n_programs = 0;
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    for file in files
        .iter()
        .filter(|file| file.extension().is_some_and(|kind| kind == "json"))
    {
        let program = lampwright_formats::read_program(&std::fs::read(file).unwrap())
            .program
            .unwrap();
        n_programs += 1;
        let state = EditorState::new(Rc::new(program));
        is_safe(&state.apply(Action::ShowDefaultState));
        for situation in &state.program().situations {
            let state = state.apply(Action::ChooseSituation(situation.id.clone()));
            is_safe(&state);
            let plan = plan_scene(state.program(), &state.results().drive, 400.0, 600.0);
            assert!(flashing_area_css_px2(&plan) <= area_limit_css_px2());
        }
    }
    assert!(n_programs >= 4);
}

#[test]
fn full_speed_needs_a_confirmed_question_and_no_reduced_motion() {
    let state = editor();
    let unasked = state.apply(Action::ConfirmFullSpeed);
    assert_eq!(unasked.message().kind, MessageKind::Refused);
    assert_ne!(unasked.preview_speed(), Speed::FULL);
    let asked = state.apply(Action::Play).apply(Action::AskFullSpeed);
    assert!(asked.preview().is_asking_full_speed && !asked.preview().is_playing);
    assert_ne!(asked.preview_speed(), Speed::FULL);
    let full = asked.apply(Action::ConfirmFullSpeed);
    assert_eq!(full.preview_speed(), Speed::FULL);
    assert_ne!(
        full.apply(Action::SetReducedMotion(true)).preview_speed(),
        Speed::FULL
    );
    let after = full
        .apply(Action::SetReducedMotion(true))
        .apply(Action::SetReducedMotion(false));
    assert_ne!(after.preview_speed(), Speed::FULL);
    let calm = state
        .apply(Action::SetReducedMotion(true))
        .apply(Action::AskFullSpeed);
    assert_eq!(calm.message().kind, MessageKind::Refused);
    assert_ne!(
        calm.apply(Action::ConfirmFullSpeed).preview_speed(),
        Speed::FULL
    );
    let other = full.apply(Action::Open {
        program: program(),
        problems: vec![],
        file_name: None,
    });
    assert_ne!(other.preview_speed(), Speed::FULL);
    assert!(!other.preview().is_playing);
}

#[test]
fn the_preview_waits_for_a_gesture_and_plays_on() {
    let held = Drag::on(editor().apply(Action::Play))
        .press(x(130.0), y(0))
        .to(x(150.0), y(0));
    let in_gesture = held.held();
    assert!(!in_gesture.preview().is_playing && in_gesture.is_preview_on());
    assert!(in_gesture.apply(Action::Release).preview().is_playing);
    assert!(in_gesture.apply(Action::CancelGesture).preview().is_playing);
    let stopped = in_gesture.apply(Action::Pause { at: None });
    assert!(!stopped.is_preview_on());
    assert!(!stopped.apply(Action::Release).preview().is_playing);
}

#[test]
fn the_area_limit_is_a_quarter_of_a_ten_degree_field() {
    // WCAG 2.2, Understanding 2.3.1: 341 by 256 CSS pixels estimate a 10-degree field.
    assert!(area_limit_css_px2() <= 341.0 * 256.0 / 4.0);
    // 0.006 sr (WCAG 2.2, general flash threshold) at 60 cm is 2160 mm2; a CSS pixel is 25.4/96 mm.
    assert!(area_limit_css_px2() <= 0.006 * 600.0 * 600.0 / (25.4_f64 / 96.0).powi(2));
}

#[test]
fn glows_of_any_number_of_heads_stay_within_the_area() {
    for n_copies in [1_usize, 8, 40] {
        let mut parts = parts();
        let heads = parts.vehicle.heads.clone();
        for copy in 1..n_copies {
            for head in &heads {
                let mut head = head.clone();
                head.id = lampwright_model::HeadId::new(&format!("{}-{copy}", head.id)).unwrap();
                parts.vehicle.heads.push(head);
            }
        }
        all_heads_flash(&mut parts);
        let program = admitted(parts);
        let state = EditorState::new(program.clone());
        let plan = plan_scene(&program, &state.results().drive, 400.0, 600.0);
        let n_flashing = plan
            .heads
            .iter()
            .flat_map(|head| &head.emitters)
            .filter(|emitter| emitter.is_flashing)
            .count();
        assert_eq!(n_flashing, 4 * n_copies);
        assert!(flashing_area_css_px2(&plan) <= area_limit_css_px2());
        assert!(plan.glow_radius_px > 3.0);
        for projection in Projection::ALL {
            let drive = &state.results().drive;
            let size = (400.0, 600.0);
            let scene = vehicle_scene(&program, drive, projection, Eye::default(), size);
            assert!(
                flashing_area_css_px2(&scene) <= area_limit_css_px2(),
                "{projection:?}"
            );
        }
    }
}

fn all_heads_flash(parts: &mut Parts) {
    if let lampwright_model::Action::Play { bindings, .. } = &mut parts.layers[0].action {
        bindings[0].heads = vec![lampwright_model::Target::All];
    }
}

fn lane_pulses() -> impl Strategy<Value = Vec<Pulse>> {
    prop::collection::vec((1_i64..40, 1_i64..30, 1_i64..1001), 1..8).prop_map(|steps| {
        let mut at = Micros::ZERO;
        steps
            .into_iter()
            .map(|(gap, length, level)| {
                let start = at + ms(gap);
                at = start + ms(length);
                Pulse {
                    start,
                    length: ms(length),
                    level: lampwright_timing::Level::nearest(level),
                    color: None,
                }
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_pattern_is_drawn_at_or_below_three_flashes_a_second(
        left in lane_pulses(),
        right in lane_pulses(),
        more_ms in 0_i64..400,
    ) {
        let mut parts = parts();
        let end = left.iter().chain(&right).map(|pulse| pulse.end().0).max().unwrap();
        parts.patterns[0].period = Micros(end) + ms(more_ms);
        parts.patterns[0].lanes[0].pulses = left.into();
        parts.patterns[0].lanes[1].pulses = right.into();
        let program: Rc<Program> = admitted(parts);
        is_safe(&EditorState::new(program));
    }
}
