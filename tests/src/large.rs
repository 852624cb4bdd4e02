//! Large invented inputs: what the budgets are measured on, and what other tests use where size matters.
//!
//! Invariant: pure arithmetic on indices, so every machine and every target gets the same input.
//! Absent: chance; see `generate` for arbitrary programs.

use lampwright_model::{
    Action, Alternative, Beam, Binding, Color, Condition, CurrentLaw, DimKind, DimLayer, Dimming,
    Edit, Emitter, Fuse, Group, GroupMembers, Head, Lane, Layer, Milliamps, Millicandela,
    Millidegrees, Millimeters, Outline, Output, Parts, Pattern, Profile, Program, Pulse, Return,
    RuleChoice, RuleCode, Signal, SignalKind, Situation, Supply, Target, Vehicle, Wire, WireSize,
};
use lampwright_timing::{Level, Micros};
use std::str::FromStr;

/// Heads of [`vehicle_program`].
pub const N_HEADS: usize = 60;

/// Lanes of [`lanes_program`].
pub const N_LANES: usize = 64;

/// Pulses of [`lanes_program`], over all lanes.
pub const N_PULSES: usize = 100_000;

/// Rows of heads around the vehicle: name, how many, from and to place (millimeters forward and left), height, facing.
type Row = (&'static str, usize, (i64, i64), (i64, i64), i64, i64);

const ROWS: [Row; 6] = [
    ("roof-front", 14, (1200, 800), (1200, -800), 2400, 0),
    ("roof-rear", 14, (-2400, 800), (-2400, -800), 2400, 180_000),
    ("side-left", 10, (1800, 1000), (-2200, 1000), 1900, 90_000),
    (
        "side-right",
        10,
        (1800, -1000),
        (-2200, -1000),
        1900,
        270_000,
    ),
    ("grille", 6, (2600, 600), (2600, -600), 800, 0),
    ("tail", 6, (-2600, 700), (-2600, -700), 900, 180_000),
];

/// An invented rescue vehicle with 60 heads of two colors each, wired and fused, six patterns in several layers, every rule chosen.
///
/// In its default state 54 heads flash in four patterns whose common period is 4 s, and the six of the grille are steady.
#[must_use]
pub fn vehicle_program() -> Program {
    let patterns = vec![
        alternating("double-75", 800, 2, 120),
        alternating("triple-75", 800, 3, 70),
        alternating("quad-60", 1000, 4, 70),
        alternating("single-120", 500, 1, 200),
        sweep("sweep-60", 1000, 14),
        alternating("slow-60", 1000, 1, 450),
    ];
    let play = |name: &str, row: &str, pattern: &str, color: Color, when: Condition| Layer {
        id: id(name),
        label: name.replace('-', " "),
        when,
        action: Action::Play {
            pattern: id(pattern),
            bindings: ["left", "right"]
                .into_iter()
                .enumerate()
                .map(|(half, lane)| Binding {
                    lane: id(lane),
                    heads: half_of(row, half),
                    color: Some(color),
                    offset: Micros(0),
                })
                .collect(),
        },
    };
    let mode = |value: &str| only("mode", value);
    let warning = Condition(vec![Alternative(vec![(
        id("mode"),
        vec![id("respond"), id("scene")],
    )])]);
    let layers = vec![
        Layer {
            id: id("door-open"),
            label: "Rear door open: dark beside it".into(),
            when: only("door", "open"),
            action: Action::Dark {
                heads: vec![Target::Group(id("tail"))],
            },
        },
        Layer {
            id: id("reversing"),
            label: "Reversing: steady white to the rear".into(),
            when: only("gear", "reverse"),
            action: Action::Hold {
                heads: vec![Target::Group(id("tail"))],
                color: Some(Color::White),
                level: Level::FULL,
            },
        },
        play(
            "roof-front-responding",
            "roof-front",
            "quad-60",
            Color::Red,
            mode("respond"),
        ),
        play(
            "roof-front-at-scene",
            "roof-front",
            "slow-60",
            Color::Red,
            mode("scene"),
        ),
        Layer {
            id: id("roof-rear-sweep"),
            label: "Sweep to the left".into(),
            when: only("arrow", "left"),
            action: Action::Play {
                pattern: id("sweep-60"),
                bindings: (0..14)
                    .map(|index| Binding {
                        lane: id(&format!("place-{index}")),
                        heads: vec![Target::Head(id(&format!("roof-rear-{index}")))],
                        color: Some(Color::Amber),
                        offset: Micros(0),
                    })
                    .collect(),
            },
        },
        play(
            "roof-rear-warning",
            "roof-rear",
            "double-75",
            Color::Amber,
            warning.clone(),
        ),
        play(
            "left-side",
            "side-left",
            "triple-75",
            Color::Red,
            warning.clone(),
        ),
        play(
            "right-side",
            "side-right",
            "triple-75",
            Color::Red,
            warning.clone(),
        ),
        play("rear-ends", "tail", "single-120", Color::Amber, warning),
        Layer {
            id: id("grille-steady"),
            label: "Grille steady".into(),
            when: Condition::always(),
            action: Action::Hold {
                heads: vec![Target::Group(id("grille"))],
                color: Some(Color::White),
                level: Level::nearest(300),
            },
        },
    ];
    admitted(Parts {
        name: "Sixty heads".into(),
        about: "An invented vehicle, larger than most".into(),
        vehicle: vehicle(),
        patterns,
        signals: signals(),
        layers,
        dims: vec![DimLayer {
            id: id("night"),
            label: "Night".into(),
            when: only("light", "night"),
            heads: vec![Target::All],
            factor: Level::nearest(400),
            only: DimKind::Flashing,
        }],
        situations: ["respond", "scene"]
            .into_iter()
            .map(|mode| Situation {
                id: id(mode),
                label: mode.into(),
                values: vec![(id("mode"), id(mode))],
            })
            .collect(),
        profile: every_rule(),
        ..Parts::default()
    })
}

/// One edit of [`vehicle_program`]: the first pulse on the left of the pattern of the roof's front moves by some milliseconds.
#[must_use]
pub fn vehicle_edit(milliseconds: i64) -> Edit {
    let pulses = flashes(0, 4, 70).map(|pulse| Pulse {
        start: if pulse.start == Micros::ZERO {
            Micros(milliseconds.clamp(0, 30) * 1000)
        } else {
            pulse.start
        },
        ..pulse
    });
    Edit::SetPulses {
        pattern: id("quad-60"),
        lane: id("left"),
        pulses: pulses.collect(),
    }
}

/// One pattern of 64 lanes that together hold 100,000 pulses of uneven length, level and color, each lane driving a head.
#[must_use]
pub fn lanes_program() -> Program {
    let lanes: Vec<Lane> = (0..N_LANES).map(|lane| long_lane(lane, uneven)).collect();
    let heads = (0..N_LANES)
        .map(|lane| Head {
            id: id(&format!("head-{lane}")),
            label: format!("Head {lane}"),
            x: Millimeters(whole(lane % 16) * 250 - 2000),
            y: Millimeters(if lane % 2 == 0 { 900 } else { -900 }),
            z: Millimeters(2000),
            facing: Millidegrees(whole(lane / 16) * 90_000),
            beam: None,
            emitters: vec![Emitter::of(Color::ALL[lane % Color::ALL.len()])],
            clock: None,
            tags: Vec::new(),
        })
        .collect();
    admitted(Parts {
        name: "A hundred thousand pulses".into(),
        vehicle: Vehicle {
            heads,
            ..Vehicle::default()
        },
        patterns: vec![Pattern {
            id: id("long"),
            label: "Long".into(),
            period: Micros(64_000_000),
            tick: Micros(10_000),
            lanes,
        }],
        layers: vec![Layer {
            id: id("all"),
            label: "All".into(),
            when: Condition::always(),
            action: Action::Play {
                pattern: id("long"),
                bindings: (0..N_LANES)
                    .map(|lane| Binding {
                        lane: id(&lane_name(lane)),
                        heads: vec![Target::Head(id(&format!("head-{lane}")))],
                        color: None,
                        offset: Micros(0),
                    })
                    .collect(),
            },
        }],
        ..Parts::default()
    })
}

/// [`vehicle_program`] with one pattern of 64 lanes that together hold 100,000 pulses, all of them played by its 60 heads in its default state.
///
/// Edges lie on the tick of 10 ms, as the editor snaps them; four heads have a lane for each of their colors.
#[must_use]
pub fn played_program() -> Program {
    let mut parts = vehicle_program().to_parts();
    parts.name = "Sixty heads, a hundred thousand pulses".into();
    let heads: Vec<_> = parts
        .vehicle
        .heads
        .iter()
        .map(|head| head.id.clone())
        .collect();
    parts.patterns.push(Pattern {
        id: id("long"),
        label: "Long".into(),
        period: Micros(64_000_000),
        tick: Micros(10_000),
        lanes: (0..N_LANES)
            .map(|lane| long_lane(lane, uneven_on_tick))
            .collect(),
    });
    let bindings = (0..N_LANES)
        .map(|lane| Binding {
            lane: id(&lane_name(lane)),
            heads: vec![Target::Head(heads[lane % N_HEADS].clone())],
            color: (lane >= N_HEADS).then_some(Color::White),
            offset: Micros(0),
        })
        .collect();
    parts.layers.insert(
        0,
        Layer {
            id: id("long-responding"),
            label: "Long, responding".into(),
            when: only("mode", "respond"),
            action: Action::Play {
                pattern: id("long"),
                bindings,
            },
        },
    );
    admitted(parts)
}

/// The pattern with this number in a library of many, 1 to 4 flashes to a side and a period of 0.8 s to 4.79 s.
#[must_use]
pub fn library_pattern(number: usize) -> Pattern {
    let n_flashes = number % 4 + 1;
    let period_ms = 800 + 10 * (whole(number) % 400);
    let mut pattern = alternating(&format!("library-{number}"), period_ms, n_flashes, 40);
    pattern.label = format!("Library pattern {number}");
    pattern
}

fn lane_name(lane: usize) -> String {
    format!("lane-{lane}")
}

/// One of 64 lanes that share 100,000 pulses.
fn long_lane(lane: usize, pulse: fn(usize, usize) -> Pulse) -> Lane {
    let n_pulses = N_PULSES / N_LANES + usize::from(lane < N_PULSES % N_LANES);
    Lane {
        role: id(&lane_name(lane)),
        pulses: (0..n_pulses).map(|index| pulse(lane, index)).collect(),
    }
}

/// The same as [`uneven`] with both edges on a tick of 10 ms.
fn uneven_on_tick(lane: usize, index: usize) -> Pulse {
    let pulse = uneven(lane, index);
    let tick = Micros(10_000);
    Pulse {
        start: pulse.start.round_to(tick),
        length: pulse.length.round_to(tick).max(tick),
        ..pulse
    }
}

/// Pulse `index` of a lane: somewhere in its own 40 ms, neither long nor bright alike.
fn uneven(lane: usize, index: usize) -> Pulse {
    let mix = whole((lane * 37 + index * 101) % 211);
    Pulse {
        start: Micros(whole(index) * 40_000 + mix % 7 * 1000),
        length: Micros(10_000 + mix % 21 * 1000),
        level: Level::nearest(200 + mix * 37 % 801),
        color: (mix % 11 == 0).then_some(Color::White),
    }
}

/// Left and right in turn, each with some flashes of a length in milliseconds.
fn alternating(name: &str, period_ms: i64, n_flashes: usize, length_ms: i64) -> Pattern {
    let lane = |role: &str, from_ms: i64| Lane {
        role: id(role),
        pulses: flashes(from_ms, n_flashes, length_ms).collect(),
    };
    Pattern {
        id: id(name),
        label: name.replace('-', " "),
        period: Micros(period_ms * 1000),
        tick: Micros(10_000),
        lanes: vec![lane("left", 0), lane("right", period_ms / 2)],
    }
}

/// Flashes with gaps of 40 ms.
fn flashes(from_ms: i64, n_flashes: usize, length_ms: i64) -> impl Iterator<Item = Pulse> {
    (0..n_flashes).map(move |index| Pulse {
        start: Micros((from_ms + whole(index) * (length_ms + 40)) * 1000),
        length: Micros(length_ms * 1000),
        level: Level::FULL,
        color: None,
    })
}

/// One place after the other, each lit for 300 ms.
fn sweep(name: &str, period_ms: i64, n_places: usize) -> Pattern {
    Pattern {
        id: id(name),
        label: name.replace('-', " "),
        period: Micros(period_ms * 1000),
        tick: Micros(10_000),
        lanes: (0..n_places)
            .map(|place| Lane {
                role: id(&format!("place-{place}")),
                pulses: flashes(whole(place) * 50, 1, 300).collect(),
            })
            .collect(),
    }
}

fn vehicle() -> Vehicle {
    let mut heads = Vec::new();
    for (row, n_heads, from, to, z, facing) in ROWS {
        let last = whole(n_heads) - 1;
        for index in 0..n_heads {
            let between = |from: i64, to: i64| from + (to - from) * whole(index) / last;
            heads.push(Head {
                id: id(&format!("{row}-{index}")),
                label: format!("{row} {index}"),
                x: Millimeters(between(from.0, to.0)),
                y: Millimeters(between(from.1, to.1)),
                z: Millimeters(z),
                facing: Millidegrees(facing),
                beam: Some(Beam::HalfPeak {
                    horizontal: Millidegrees(25_000),
                    vertical: Millidegrees(6_000),
                }),
                emitters: emitters(row, index),
                clock: None,
                tags: Vec::new(),
            });
        }
    }
    let outputs = heads
        .iter()
        .flat_map(|head| &head.emitters)
        .filter_map(|emitter| emitter.output.clone())
        .enumerate()
        .map(|(index, output)| Output {
            label: output.to_string(),
            id: output,
            rating: Milliamps(2000),
            fuse: Some(id(&format!("fuse-{}", index % 8))),
            wire: Some(Wire {
                size: WireSize::ThousandthsMm2(1500),
                length: Millimeters(4000),
                return_path: Return::Wire,
            }),
            is_shared_within_head: false,
        })
        .collect();
    let groups = ROWS
        .iter()
        .map(|(row, n_heads, ..)| Group {
            id: id(row),
            label: (*row).into(),
            members: GroupMembers::List(
                (0..*n_heads)
                    .map(|index| id(&format!("{row}-{index}")))
                    .collect(),
            ),
        })
        .collect();
    Vehicle {
        name: "Invented rescue vehicle".into(),
        outline: Outline::default(),
        supply: Supply {
            alternator_idle: Some(Milliamps(90_000)),
            alternator_speed: Some(Milliamps(180_000)),
            other_load: Milliamps(30_000),
            ..Supply::default()
        },
        heads,
        outputs,
        fuses: (0..8)
            .map(|index| Fuse {
                id: id(&format!("fuse-{index}")),
                label: format!("Fuse {index}"),
                rating: Milliamps(15_000),
            })
            .collect(),
        clocks: Vec::new(),
        groups,
    }
}

/// A warning color and white, each on an output of its own.
fn emitters(row: &str, index: usize) -> Vec<Emitter> {
    let warning = if row == "roof-rear" || row == "tail" {
        Color::Amber
    } else {
        Color::Red
    };
    [(warning, 1400), (Color::White, 2800)]
        .into_iter()
        .map(|(color, candela)| Emitter {
            peak: Some(Millicandela(candela * 1000)),
            full_current: Some(Milliamps(450)),
            current_law: CurrentLaw::ConstantPower,
            dimming: Dimming::Linear,
            output: Some(id(&format!("{row}-{index}-{}", color.name()))),
            ..Emitter::of(color)
        })
        .collect()
}

fn signals() -> Vec<Signal> {
    [
        ("mode", SignalKind::Switch, ["respond", "scene", "off"]),
        ("arrow", SignalKind::Switch, ["off", "left", "right"]),
        ("gear", SignalKind::Vehicle, ["park", "reverse", "drive"]),
        ("door", SignalKind::Vehicle, ["closed", "open", "unknown"]),
        ("light", SignalKind::Ambient, ["day", "dusk", "night"]),
    ]
    .into_iter()
    .map(|(name, kind, values)| Signal {
        id: id(name),
        label: name.into(),
        kind,
        values: values.into_iter().map(id).collect(),
        default: 0,
        on_lost: 0,
    })
    .collect()
}

/// Every rule with its own figures.
fn every_rule() -> Profile {
    Profile {
        title: "Every rule".into(),
        jurisdiction: "Invented; local codes decide".into(),
        rules: lampwright_analysis::rules::RULES
            .iter()
            .map(|rule| rule.meta().code)
            .filter(|code| *code != RuleCode(4))
            .map(RuleChoice::of)
            .collect(),
    }
}

/// The left or the right half of a row, by place in the row.
fn half_of(row: &str, half: usize) -> Vec<Target> {
    let n_heads = ROWS
        .iter()
        .find(|(name, ..)| *name == row)
        .map_or(0, |(_, n_heads, ..)| *n_heads);
    (0..n_heads)
        .filter(|index| usize::from(*index >= n_heads / 2) == half)
        .map(|index| Target::Head(id(&format!("{row}-{index}"))))
        .collect()
}

fn only(signal: &str, value: &str) -> Condition {
    Condition(vec![Alternative(vec![(id(signal), vec![id(value)])])])
}

fn admitted(parts: Parts) -> Program {
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

fn whole(index: usize) -> i64 {
    i64::try_from(index).unwrap_or(i64::MAX)
}

fn id<T: FromStr>(text: &str) -> T
where
    T::Err: std::fmt::Debug,
{
    #[expect(clippy::expect_used, reason = "every text here is an identifier")]
    text.parse().expect("an identifier")
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_analysis::check_state;
    use lampwright_analysis::light::DirectionTable;
    use lampwright_analysis::report::FoundIn;
    use lampwright_analysis::rules::CheckSettings;
    use lampwright_formats::{read_program, write_program};
    use lampwright_model::{State, resolve};

    #[test]
    fn the_vehicle_has_its_heads_and_most_of_them_flash() {
        let program = vehicle_program();
        assert_eq!(program.vehicle.heads.len(), N_HEADS);
        let drive = resolve(&program, &State::default_of(&program));
        let flashing = drive.heads.iter().filter(|head| {
            head.emitters
                .iter()
                .any(|emitter| !emitter.lanes.is_empty())
        });
        assert_eq!(flashing.count(), N_HEADS - 6);
    }

    #[test]
    fn every_direction_of_the_vehicle_can_be_screened() {
        let program = vehicle_program();
        let settings = CheckSettings::default();
        let table = DirectionTable::new(&program.vehicle, settings.light);
        let state = State::default_of(&program);
        let (context, report) =
            check_state(&program, FoundIn::DefaultState, &state, &table, &settings);
        assert_eq!(context.screened.directions.len(), 72);
        assert!(
            report
                .screened
                .iter()
                .all(|state| state.n_not_screened == 0)
        );
        assert_eq!(report.n_rules_chosen, program.profile.rules.len());
    }

    #[test]
    fn the_edit_changes_the_vehicle_and_every_amount_differs() {
        let program = vehicle_program();
        let moved: Vec<Program> = (1..=30)
            .map(|milliseconds| program.apply(&vehicle_edit(milliseconds)).unwrap())
            .collect();
        for (index, one) in moved.iter().enumerate() {
            assert_ne!(*one, program);
            assert!(moved.iter().skip(index + 1).all(|other| other != one));
        }
    }

    #[test]
    fn the_lanes_hold_exactly_their_pulses() {
        let program = lanes_program();
        let lanes = &program.patterns[0].lanes;
        assert_eq!(lanes.len(), N_LANES);
        let n_pulses: usize = lanes.iter().map(|lane| lane.pulses.len()).sum();
        assert_eq!(n_pulses, N_PULSES);
    }

    #[test]
    fn every_lane_of_the_played_program_lights_a_head_and_its_file_can_be_read() {
        let program = played_program();
        let drive = resolve(&program, &State::default_of(&program));
        let mut played: Vec<_> = drive
            .heads
            .iter()
            .flat_map(|head| &head.emitters)
            .flat_map(|emitter| &emitter.lanes)
            .filter(|lane| lane.pattern.as_str() == "long")
            .map(|lane| lane.lane.as_str())
            .collect();
        played.sort_unstable();
        played.dedup();
        assert_eq!(played.len(), N_LANES);
        let n_pulses: usize = program
            .patterns
            .iter()
            .filter(|pattern| pattern.id.as_str() == "long")
            .flat_map(|pattern| &pattern.lanes)
            .map(|lane| lane.pulses.len())
            .sum();
        assert_eq!(n_pulses, N_PULSES);
        let outcome = read_program(write_program(&program).as_bytes());
        assert_eq!(outcome.problems, []);
        assert_eq!(outcome.program, Some(program));
    }

    #[test]
    fn library_patterns_are_sound() {
        for number in 0..10_000 {
            let pattern = library_pattern(number);
            for lane in &pattern.lanes {
                let problems = lampwright_model::lane_problems(pattern.period, &lane.pulses);
                assert!(problems.is_empty(), "{number}: {problems:?}");
            }
        }
    }
}
