//! What admission drops, what edits refuse, and what resolve decides; invented vehicles throughout.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use lampwright_model::*;
use lampwright_timing::{Level, Micros, Waveform};

fn id<T: std::str::FromStr<Err = BadId>>(text: &str) -> T {
    text.parse().unwrap()
}

fn head(name: &str, y: i64, facing_deg: i64, colors: &[Color]) -> Head {
    Head {
        id: id(name),
        label: name.into(),
        x: Millimeters(0),
        y: Millimeters(y),
        z: Millimeters(2000),
        facing: Millidegrees(facing_deg * 1000),
        beam: None,
        emitters: colors.iter().copied().map(Emitter::of).collect(),
        clock: None,
        tags: Vec::new(),
    }
}

fn signal(name: &str, values: &[&str]) -> Signal {
    Signal {
        id: id(name),
        label: name.into(),
        kind: SignalKind::Switch,
        values: values.iter().map(|value| id(value)).collect(),
        default: 0,
        on_lost: 0,
    }
}

fn when(signal: &str, values: &[&str]) -> Condition {
    Condition(vec![Alternative(vec![(
        id(signal),
        values.iter().map(|value| id(value)).collect(),
    )])])
}

fn pulse(start_ms: i64, length_ms: i64, level: i64) -> Pulse {
    Pulse {
        start: Micros::from_ms(start_ms),
        length: Micros::from_ms(length_ms),
        level: Level::new(level).unwrap(),
        color: None,
    }
}

fn pattern() -> Pattern {
    Pattern {
        id: id("alternating"),
        label: "alternating single flash".into(),
        period: Micros::from_ms(1000),
        tick: Micros::from_ms(5),
        lanes: vec![
            Lane {
                role: id("left"),
                pulses: [pulse(0, 300, 1000)].into(),
            },
            Lane {
                role: id("right"),
                pulses: [pulse(500, 300, 1000)].into(),
            },
        ],
    }
}

fn binding(lane: &str, head: &str, color: Option<Color>) -> Binding {
    Binding {
        lane: id(lane),
        heads: vec![Target::Head(id(head))],
        color,
        offset: Micros::ZERO,
    }
}

fn parts() -> Parts {
    let mut parts = Parts {
        name: "test".into(),
        ..Parts::default()
    };
    parts.vehicle.heads = vec![
        head("left", 500, 0, &[Color::Amber, Color::White]),
        head("right", -500, 0, &[Color::Amber]),
    ];
    parts.signals = vec![
        signal("level", &["off", "on"]),
        signal("scene", &["off", "on"]),
        signal("ambient", &["day", "night"]),
    ];
    parts.patterns = vec![pattern()];
    parts.layers = vec![
        Layer {
            id: id("scene"),
            label: "scene".into(),
            when: when("scene", &["on"]),
            action: Action::Hold {
                heads: vec![Target::Head(id("left"))],
                color: Some(Color::White),
                level: Level::FULL,
            },
        },
        Layer {
            id: id("warn"),
            label: "warn".into(),
            when: when("level", &["on"]),
            action: Action::Play {
                pattern: id("alternating"),
                bindings: vec![
                    binding("left", "left", Some(Color::Amber)),
                    binding("right", "left", Some(Color::White)),
                    binding("right", "right", None),
                ],
            },
        },
    ];
    parts.dims = vec![
        DimLayer {
            id: id("night"),
            label: "night".into(),
            when: when("ambient", &["night"]),
            heads: vec![Target::All],
            factor: Level::new(333).unwrap(),
            only: DimKind::Flashing,
        },
        DimLayer {
            id: id("parade"),
            label: "half".into(),
            when: when("ambient", &["night"]),
            heads: vec![Target::All],
            factor: Level::new(500).unwrap(),
            only: DimKind::Both,
        },
    ];
    parts
}

#[track_caller]
fn admitted(parts: Parts) -> Program {
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

fn state(program: &Program, values: &[(&str, &str)]) -> State {
    values
        .iter()
        .fold(State::default_of(program), |state, (signal, value)| {
            state.with(program, &id(signal), &id(value))
        })
}

#[test]
fn the_first_layer_that_holds_and_addresses_decides() {
    let program = admitted(parts());
    let drive = resolve(
        &program,
        &state(&program, &[("level", "on"), ("scene", "on")]),
    );
    assert_eq!(drive.heads[0].decided_by, Decision::Layer(id("scene")));
    assert_eq!(drive.heads[0].hidden, vec![id::<LayerId>("warn")]);
    assert_eq!(*drive.heads[0].emitters[1].level, Waveform::constant(1000));
    assert_eq!(*drive.heads[0].emitters[0].level, Waveform::constant(0));
    assert_eq!(drive.heads[1].decided_by, Decision::Layer(id("warn")));
}

#[test]
fn no_layer_means_dark_and_says_so() {
    let program = admitted(parts());
    let drive = resolve(&program, &State::default_of(&program));
    for head in &drive.heads {
        assert_eq!(head.decided_by, Decision::Nothing);
        assert!(!head.is_lit());
    }
}

#[test]
fn a_head_may_play_one_lane_per_color() {
    let program = admitted(parts());
    let drive = resolve(&program, &state(&program, &[("level", "on")]));
    let left = &drive.heads[0];
    assert_eq!(left.emitters[0].level.value_at(Micros::from_ms(100)), 1000);
    assert_eq!(left.emitters[0].level.value_at(Micros::from_ms(600)), 0);
    assert_eq!(left.emitters[1].level.value_at(Micros::from_ms(600)), 1000);
    assert_eq!(left.emitters[1].lanes[0].lane, id("right"));
}

#[test]
fn dim_layers_multiply_and_round_once() {
    let program = admitted(parts());
    let drive = resolve(
        &program,
        &state(
            &program,
            &[("level", "on"), ("scene", "on"), ("ambient", "night")],
        ),
    );
    // 1000 x 0.333 x 0.5 = 166.5, halves up.
    assert_eq!(drive.heads[1].emitters[0].level.maximum(), 167);
    assert_eq!(drive.heads[1].dims.len(), 2);
    // The steady head is not touched by the layer for flashing light.
    assert_eq!(drive.heads[0].emitters[1].level.maximum(), 500);
    let mut swapped = parts();
    swapped.dims.reverse();
    let swapped = admitted(swapped);
    let other = resolve(&swapped, &drive.state);
    assert_eq!(drive.heads[1].emitters, other.heads[1].emitters);
}

#[test]
fn a_color_the_head_lacks_is_named_and_stays_dark() {
    let mut parts = parts();
    if let Action::Hold { color, .. } = &mut parts.layers[0].action {
        *color = Some(Color::Blue);
    }
    let program = admitted(parts);
    let drive = resolve(&program, &state(&program, &[("scene", "on")]));
    assert_eq!(drive.heads[0].missing_colors, vec![Color::Blue]);
    assert!(!drive.heads[0].is_lit());
}

#[test]
fn an_offset_moves_the_lane_and_wraps() {
    let mut parts = parts();
    if let Action::Play { bindings, .. } = &mut parts.layers[1].action {
        bindings[2].offset = Micros::from_ms(400);
    }
    let program = admitted(parts);
    let drive = resolve(&program, &state(&program, &[("level", "on")]));
    let level = &drive.heads[1].emitters[0].level;
    assert_eq!(level.value_at(Micros::from_ms(950)), 1000);
    assert_eq!(level.value_at(Micros::from_ms(150)), 1000);
    assert_eq!(level.value_at(Micros::from_ms(250)), 0);
}

#[test]
fn states_are_told_in_the_fewest_words() {
    let program = admitted(parts());
    assert_eq!(
        state(&program, &[("level", "on")]).describe(&program),
        "level on, rest default"
    );
    assert_eq!(
        State::default_of(&program).describe(&program),
        "all signals at default"
    );
}

#[test]
fn what_leads_nowhere_is_dropped_and_named() {
    let mut broken = parts();
    if let Action::Play { pattern, .. } = &mut broken.layers[1].action {
        *pattern = id("absent");
    }
    broken.vehicle.heads[1].emitters[0].output = Some(id("out-9"));
    let (program, problems) = Program::admit(broken);
    let paths: Vec<&str> = problems.iter().map(|problem| &*problem.path).collect();
    assert_eq!(
        paths,
        [
            "vehicle.heads[1].emitters[0].output",
            "layers[1].play.pattern",
        ]
    );
    assert_eq!(program.vehicle.heads.len(), 2);
    assert_eq!(program.vehicle.heads[1].emitters[0].output, None);
    assert_eq!(program.layers.len(), 1);
}

#[test]
fn a_bad_pulse_or_target_does_not_take_the_rest_with_it() {
    let mut broken = parts();
    broken.patterns[0].lanes[0].pulses = [
        pulse(0, 300, 1000),
        pulse(200, 300, 1000),
        pulse(600, 100, 1000),
    ]
    .into();
    if let Action::Play { bindings, .. } = &mut broken.layers[1].action {
        bindings[0].heads.push(Target::Head(id("absent")));
        bindings[1].lane = id("absent");
    }
    let (program, problems) = Program::admit(broken);
    let paths: Vec<&str> = problems.iter().map(|problem| &*problem.path).collect();
    assert_eq!(
        paths,
        [
            "patterns[0].lanes[0].pulses[1].start_ms",
            "layers[1].play.bindings[0].heads",
            "layers[1].play.bindings[1].lane",
        ]
    );
    assert_eq!(program.patterns[0].lanes[0].pulses.len(), 2);
    assert_eq!(program.layers.len(), 2);
}

#[test]
fn lanes_must_be_sorted_inside_and_free_of_overlap() {
    let period = Micros::from_ms(1000);
    let check = |pulses: &[Pulse], count: usize| {
        assert_eq!(lane_problems(period, pulses).len(), count, "{pulses:?}");
    };
    check(&[pulse(0, 500, 1), pulse(500, 500, 1000)], 0);
    check(&[pulse(0, 500, 1), pulse(499, 500, 1000)], 1);
    check(&[pulse(0, 1001, 1)], 1);
    check(&[pulse(0, 0, 1)], 1);
    check(&[pulse(0, 10, 0)], 1);
    check(&[pulse(-1, 10, 10)], 1);
}

#[test]
fn an_edit_that_would_break_a_reference_is_refused() {
    let program = admitted(parts());
    let remove = Edit::Remove(ItemId::Pattern(id("alternating")));
    assert!(matches!(
        program.apply(&remove),
        Err(EditError::Inconsistent(_))
    ));
    let together = Edit::Together(vec![
        Edit::Remove(ItemId::Layer(id("warn"))),
        remove.clone(),
    ]);
    let smaller = program.apply(&together).unwrap();
    assert!(smaller.patterns.is_empty());
    assert_eq!(
        smaller.apply(&remove),
        Err(EditError::Missing("pattern alternating".into()))
    );
}

#[test]
fn put_replaces_in_place_and_move_reorders() {
    let program = admitted(parts());
    let mut layer = program.layers[0].clone();
    layer.label = "scene light".into();
    let program = program.apply(&Edit::Put(Item::Layer(layer))).unwrap();
    assert_eq!(program.layers[0].label, "scene light");
    let program = program
        .apply(&Edit::Move(ItemId::Layer(id("scene")), 1))
        .unwrap();
    assert_eq!(program.layers[1].id, id("scene"));
    let drive = resolve(
        &program,
        &state(&program, &[("level", "on"), ("scene", "on")]),
    );
    assert_eq!(drive.heads[0].decided_by, Decision::Layer(id("warn")));
    assert!(matches!(
        program.apply(&Edit::Insert(0, Item::Layer(program.layers[0].clone()))),
        Err(EditError::Exists(_))
    ));
}

#[test]
fn untouched_lanes_are_shared_between_snapshots() {
    let program = admitted(parts());
    let changed = program
        .apply(&Edit::SetPulses {
            pattern: id("alternating"),
            lane: id("left"),
            pulses: vec![pulse(0, 200, 1000)],
        })
        .unwrap();
    let lane = |program: &Program, index: usize| program.patterns[0].lanes[index].pulses.clone();
    assert!(std::sync::Arc::ptr_eq(
        &lane(&program, 1),
        &lane(&changed, 1)
    ));
    assert!(!std::sync::Arc::ptr_eq(
        &lane(&program, 0),
        &lane(&changed, 0)
    ));
}

#[test]
fn zones_split_at_45_degrees_and_sides_at_50_millimeters() {
    let zone = |facing: i64| head("x", 0, facing, &[Color::Red]).zone();
    assert_eq!(zone(45), Zone::A);
    assert_eq!(zone(46), Zone::D);
    assert_eq!(zone(134), Zone::D);
    assert_eq!(zone(135), Zone::C);
    assert_eq!(zone(-135), Zone::C);
    assert_eq!(zone(-90), Zone::B);
    assert_eq!(zone(-45), Zone::A);
    let side = |y: i64| head("x", y, 0, &[Color::Red]).side();
    assert_eq!(side(51), Side::Left);
    assert_eq!(side(50), Side::Center);
    assert_eq!(side(-51), Side::Right);
}

#[test]
fn one_output_per_emitter_of_a_head_unless_stated() {
    let mut base = parts();
    base.vehicle.outputs = vec![Output {
        id: id("o1"),
        label: "1".into(),
        rating: Milliamps(5000),
        fuse: None,
        wire: None,
        is_shared_within_head: false,
    }];
    for emitter in &mut base.vehicle.heads[0].emitters {
        emitter.output = Some(id("o1"));
    }
    assert_eq!(Program::admit(base.clone()).1.len(), 1);
    base.vehicle.outputs[0].is_shared_within_head = true;
    admitted(base);
}
