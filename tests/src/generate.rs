//! Arbitrary consistent programs for property tests: every kind of part, every reference leading somewhere.
//!
//! Invariant: what [`parts`] gives is admitted whole; a test holds it to that.

use lampwright_model::{
    Action, Alternative, Battery, Beam, Binding, Chromaticity, Clock, Color, Condition,
    Confirmation, Control, ControlPosition, ControlStyle, CurrentLaw, DimKind, DimLayer, Dimming,
    Emitter, Fuse, Group, GroupMembers, Guarantee, Head, Lane, Layer, Milliamps, Millicandela,
    Millidegrees, Millimeters, Millivolts, Must, Outline, Output, Parts, Pattern, Profile, Program,
    Pulse, Return, RuleChoice, RuleCode, Severity, Side, Signal, SignalId, SignalKind, Situation,
    Supply, Target, ValueId, Vehicle, Waiver, Wire, WireSize, Zone,
};
use lampwright_timing::{Level, Micros};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};
use std::str::FromStr;

/// A consistent program of a few of each part.
pub fn program() -> impl Strategy<Value = Program> {
    parts().prop_map(|parts| Program::admit(parts).0)
}

/// The contents of a consistent program.
pub fn parts() -> impl Strategy<Value = Parts> {
    let base = (vehicle(), vec(pattern(), 0..4), vec(signal(), 0..4));
    base.prop_flat_map(|(vehicle, patterns, signals)| {
        let patterns = numbered(patterns, |pattern, index| pattern.id = id("pattern", index));
        let signals = numbered(signals, |signal, index| signal.id = id("signal", index));
        (
            (text(), text()),
            vec(control(&signals), 0..3),
            vec(layer(&vehicle, &patterns, &signals), 0..6),
            vec(dim(&vehicle, &signals), 0..3),
            vec((text(), settings(&signals)), 0..3),
            vec(alternative(&signals), 0..2),
            vec(guarantee(&vehicle, &signals), 0..4),
            profile(&vehicle, &patterns),
            vec(waiver(), 0..3),
        )
            .prop_map(
                move |(
                    (name, about),
                    controls,
                    layers,
                    dims,
                    situations,
                    impossible,
                    guarantees,
                    profile,
                    waivers,
                )| Parts {
                    name,
                    about,
                    vehicle: vehicle.clone(),
                    patterns: patterns.clone(),
                    signals: signals.clone(),
                    controls: numbered(controls, |control, index| {
                        control.id = id("control", index);
                    }),
                    layers: numbered(layers, |layer, index| layer.id = id("layer", index)),
                    dims: numbered(dims, |dim, index| dim.id = id("dim", index)),
                    situations: situations
                        .into_iter()
                        .enumerate()
                        .map(|(index, (label, values))| Situation {
                            id: id("situation", index),
                            label,
                            values,
                        })
                        .collect(),
                    impossible,
                    guarantees: numbered(guarantees, |guarantee, index| {
                        guarantee.id = id("guarantee", index);
                    }),
                    profile,
                    waivers,
                },
            )
    })
}

/// An identifier made of a word and a number.
fn id<T: FromStr>(word: &str, index: usize) -> T
where
    T::Err: std::fmt::Debug,
{
    #[expect(clippy::expect_used, reason = "a word and a number are an identifier")]
    format!("{word}-{index}.x_Y")
        .parse()
        .expect("a word and a number are an identifier")
}

fn numbered<T>(mut items: Vec<T>, mut name: impl FnMut(&mut T, usize)) -> Vec<T> {
    for (index, item) in items.iter_mut().enumerate() {
        name(item, index);
    }
    items
}

/// A short text of any characters, control characters and quotes among them.
pub fn text() -> impl Strategy<Value = String> {
    let letter = prop_oneof![
        any::<char>(),
        select(vec!['"', '\\', '\n', '\u{1}', '/', '\u{2028}', '\u{1f6a8}']),
    ];
    vec(letter, 0..6).prop_map(|letters| letters.into_iter().collect())
}

fn thousandths(largest: i64) -> impl Strategy<Value = i64> {
    prop_oneof![
        0..=largest,
        (0..=largest / 1000).prop_map(|whole| whole * 1000)
    ]
}

fn color() -> impl Strategy<Value = Color> {
    select(Color::ALL.to_vec())
}

fn level_above_zero() -> impl Strategy<Value = Level> {
    (1..=1000_i64).prop_map(Level::nearest)
}

fn vehicle() -> impl Strategy<Value = Vehicle> {
    (
        (text(), outline(), supply()),
        vec((text(), thousandths(100_000)), 0..3),
        vec(output(), 0..4),
        vec((text(), any::<u32>()), 0..3),
        vec((head(), option::of(any::<Index>())), 0..6),
        vec((text(), group_members()), 0..3),
    )
        .prop_map(
            |((name, outline, supply), fuses, outputs, clocks, heads, groups)| {
                let fuses: Vec<Fuse> = fuses
                    .into_iter()
                    .enumerate()
                    .map(|(index, (label, rating))| Fuse {
                        id: id("fuse", index),
                        label,
                        rating: Milliamps(rating + 1),
                    })
                    .collect();
                let outputs: Vec<Output> = outputs
                    .into_iter()
                    .enumerate()
                    .map(|(index, (output, fuse))| Output {
                        id: id("output", index),
                        fuse: pick(fuse, &fuses).map(|fuse| fuse.id.clone()),
                        ..output
                    })
                    .collect();
                let clocks: Vec<Clock> = clocks
                    .into_iter()
                    .enumerate()
                    .map(|(index, (label, tolerance_ppm))| Clock {
                        id: id("clock", index),
                        label,
                        tolerance_ppm,
                    })
                    .collect();
                let heads: Vec<Head> = heads
                    .into_iter()
                    .enumerate()
                    .map(|(index, ((head, emitters), clock))| Head {
                        id: id("head", index),
                        emitters: wired(emitters, &outputs),
                        clock: pick(clock, &clocks).map(|clock| clock.id.clone()),
                        ..head
                    })
                    .collect();
                let groups = groups
                    .into_iter()
                    .enumerate()
                    .map(|(index, (label, (picks, shared)))| Group {
                        id: id("group", index),
                        label,
                        members: shared.unwrap_or_else(|| {
                            let picked = picks
                                .into_iter()
                                .filter_map(|index| pick(Some(index), &heads));
                            GroupMembers::List(picked.map(|head| head.id.clone()).collect())
                        }),
                    })
                    .collect();
                Vehicle {
                    name,
                    outline,
                    supply,
                    heads,
                    outputs,
                    fuses,
                    clocks,
                    groups,
                }
            },
        )
}

fn pick<T>(index: Option<Index>, items: &[T]) -> Option<&T> {
    index
        .filter(|_| !items.is_empty())
        .map(|index| index.get(items))
}

/// Gives each emitter an output; one that may not be shared goes to the first that asks.
fn wired(emitters: Vec<(Emitter, Option<Index>)>, outputs: &[Output]) -> Vec<Emitter> {
    let mut used = Vec::new();
    emitters
        .into_iter()
        .map(|(emitter, output)| {
            let output = pick(output, outputs)
                .filter(|output| output.is_shared_within_head || !used.contains(&output.id));
            used.extend(output.map(|output| output.id.clone()));
            Emitter {
                output: output.map(|output| output.id.clone()),
                ..emitter
            }
        })
        .collect()
}

fn outline() -> impl Strategy<Value = Outline> {
    (thousandths(20_000), thousandths(3_000), thousandths(5_000)).prop_map(
        |(length, width, height)| Outline {
            length: Millimeters(length),
            width: Millimeters(width),
            height: Millimeters(height),
        },
    )
}

fn supply() -> impl Strategy<Value = Supply> {
    let battery = prop_oneof![
        any::<u32>().prop_map(Battery::ReserveMinutes),
        thousandths(500_000).prop_map(Battery::MilliampHours),
    ];
    (
        1_000..=100_000_i64,
        option::of(thousandths(500_000)),
        option::of(thousandths(500_000)),
        thousandths(500_000),
        option::of(battery),
    )
        .prop_map(|(voltage, idle, speed, other_load, battery)| Supply {
            test_voltage: Millivolts(voltage),
            alternator_idle: idle.map(Milliamps),
            alternator_speed: speed.map(Milliamps),
            other_load: Milliamps(other_load),
            battery,
        })
}

fn output() -> impl Strategy<Value = (Output, Option<Index>)> {
    let size = prop_oneof![
        (-3..=40_i8).prop_map(WireSize::Gauge),
        (1..=u32::MAX).prop_map(WireSize::ThousandthsMm2),
    ];
    let return_path = prop_oneof![Just(Return::Wire), any::<u32>().prop_map(Return::Chassis)];
    let wire =
        (size, thousandths(50_000), return_path).prop_map(|(size, length, return_path)| Wire {
            size,
            length: Millimeters(length),
            return_path,
        });
    (
        text(),
        thousandths(100_000),
        option::of(wire),
        any::<bool>(),
        option::of(any::<Index>()),
    )
        .prop_map(|(label, rating, wire, is_shared_within_head, fuse)| {
            let output = Output {
                id: id("output", 0),
                label,
                rating: Milliamps(rating + 1),
                fuse: None,
                wire,
                is_shared_within_head,
            };
            (output, fuse)
        })
}

type Unwired = Vec<(Emitter, Option<Index>)>;

fn head() -> impl Strategy<Value = (Head, Unwired)> {
    let place = -100_000..=100_000_i64;
    (
        text(),
        (place.clone(), place.clone(), place),
        -720_000..=720_000_i64,
        option::of(beam()),
        subsequence(Color::ALL.to_vec(), 1..=3).prop_shuffle(),
        vec((emitter(), option::of(any::<Index>())), 3),
        vec(text(), 0..3),
    )
        .prop_map(|(label, (x, y, z), facing, beam, colors, emitters, tags)| {
            let emitters = colors
                .into_iter()
                .zip(emitters)
                .map(|(color, (emitter, output))| (Emitter { color, ..emitter }, output))
                .collect();
            let head = Head {
                id: id("head", 0),
                label,
                x: Millimeters(x),
                y: Millimeters(y),
                z: Millimeters(z),
                facing: Millidegrees(facing),
                beam,
                emitters: Vec::new(),
                clock: None,
                tags,
            };
            (head, emitters)
        })
}

fn half_angle() -> impl Strategy<Value = Millidegrees> {
    (1..=90_000_i64).prop_map(Millidegrees)
}

fn beam() -> impl Strategy<Value = Beam> {
    let points = btree_map(-180_000..=180_000_i64, 0..=1000_u16, 2..5);
    prop_oneof![
        (half_angle(), half_angle()).prop_map(|(horizontal, vertical)| Beam::HalfPeak {
            horizontal,
            vertical
        }),
        (points, half_angle()).prop_map(|(points, vertical)| Beam::Table {
            horizontal: points
                .into_iter()
                .map(|(angle, fraction)| (Millidegrees(angle), fraction))
                .collect(),
            vertical,
        }),
        half_angle().prop_map(|vertical| Beam::AllRound { vertical }),
    ]
}

fn emitter() -> impl Strategy<Value = Emitter> {
    let chromaticity = (0..=5000_u16, 1..=5000_u16).prop_map(|(x, y)| Chromaticity { x, y });
    let law = select(vec![
        CurrentLaw::ConstantPower,
        CurrentLaw::Resistive,
        CurrentLaw::ConstantCurrent,
    ]);
    let dimming = prop_oneof![
        Just(Dimming::Linear),
        (1..=u32::MAX).prop_map(Dimming::Carrier)
    ];
    (
        option::of(chromaticity),
        option::of(thousandths(10_000_000)),
        option::of(thousandths(20_000)),
        law,
        dimming,
    )
        .prop_map(
            |(chromaticity, peak, full_current, current_law, dimming)| Emitter {
                chromaticity,
                peak: peak.map(Millicandela),
                full_current: full_current.map(Milliamps),
                current_law,
                dimming,
                ..Emitter::of(Color::Red)
            },
        )
}

fn group_members() -> impl Strategy<Value = (Vec<Index>, Option<GroupMembers>)> {
    let shared = (
        option::of(select(Zone::ALL.to_vec())),
        option::of(select(vec![Side::Left, Side::Center, Side::Right])),
        option::of(color()),
        option::of(text()),
    )
        .prop_map(|(zone, side, color, tag)| GroupMembers::Where {
            zone,
            side,
            color,
            tag,
        });
    (vec(any::<Index>(), 0..4), option::of(shared))
}

/// A pattern of lanes whose pulses are sorted, free of overlap and within the period.
pub fn pattern() -> impl Strategy<Value = Pattern> {
    let tick = 1..=100_000_i64;
    (text(), vec(lane(), 0..4), 1..=400_000_i64, tick).prop_map(|(label, lanes, rest, tick)| {
        let end = |(_, end): &(_, i64)| *end;
        let longest = lanes.iter().map(end).max().unwrap_or(0);
        Pattern {
            id: id("pattern", 0),
            label,
            period: Micros(longest + rest),
            tick: Micros(tick),
            lanes: lanes
                .into_iter()
                .enumerate()
                .map(|(index, (pulses, _))| Lane {
                    role: id("lane", index),
                    pulses: pulses.into(),
                })
                .collect(),
        }
    })
}

fn lane() -> impl Strategy<Value = (Vec<Pulse>, i64)> {
    let pulse = (
        prop_oneof![Just(0_i64), 0..=300_000_i64],
        1..=300_000_i64,
        level_above_zero(),
        option::of(color()),
    );
    vec(pulse, 0..6).prop_map(|pulses| {
        let mut end = 0;
        let pulses = pulses
            .into_iter()
            .map(|(gap, length, level, color)| {
                let start = end + gap;
                end = start + length;
                Pulse {
                    start: Micros(start),
                    length: Micros(length),
                    level,
                    color,
                }
            })
            .collect();
        (pulses, end)
    })
}

fn signal() -> impl Strategy<Value = Signal> {
    let kind = select(vec![
        SignalKind::Switch,
        SignalKind::Vehicle,
        SignalKind::Ambient,
    ]);
    (text(), kind, 2..5_usize, any::<Index>(), any::<Index>()).prop_map(
        |(label, kind, n_values, default, on_lost)| Signal {
            id: id("signal", 0),
            label,
            kind,
            values: (0..n_values).map(|index| id("value", index)).collect(),
            default: default.index(n_values),
            on_lost: on_lost.index(n_values),
        },
    )
}

fn settings(signals: &[Signal]) -> impl Strategy<Value = Vec<(SignalId, ValueId)>> + use<> {
    let one_each: Vec<_> = signals
        .iter()
        .map(|signal| {
            (
                Just(signal.id.clone()),
                option::of(select(signal.values.clone())),
            )
        })
        .collect();
    one_each.prop_map(|values| {
        values
            .into_iter()
            .filter_map(|(signal, value)| Some((signal, value?)))
            .collect()
    })
}

fn alternative(signals: &[Signal]) -> impl Strategy<Value = Alternative> + use<> {
    let some_each: Vec<_> = signals
        .iter()
        .map(|signal| {
            let n_values = signal.values.len();
            let allowed = subsequence(signal.values.clone(), 1..=n_values).prop_shuffle();
            (Just(signal.id.clone()), option::of(allowed))
        })
        .collect();
    some_each.prop_shuffle().prop_map(|values| {
        Alternative(
            values
                .into_iter()
                .filter_map(|(signal, values)| Some((signal, values?)))
                .collect(),
        )
    })
}

fn condition(signals: &[Signal]) -> impl Strategy<Value = Condition> + use<> {
    prop_oneof![
        Just(Condition::always()),
        vec(alternative(signals), 0..3).prop_map(Condition),
    ]
}

fn control(signals: &[Signal]) -> impl Strategy<Value = Control> + use<> {
    let shape = prop_oneof![
        Just((ControlStyle::Button, 1)),
        Just((ControlStyle::Toggle, 2)),
        Just((ControlStyle::Held, 2)),
        (2..5_usize).prop_map(|n_positions| (ControlStyle::Slide, n_positions)),
    ];
    let position =
        (text(), settings(signals)).prop_map(|(label, sets)| ControlPosition { label, sets });
    (text(), shape, vec(position, 4)).prop_map(|(label, (style, n_positions), mut positions)| {
        positions.truncate(n_positions);
        Control {
            id: id("control", 0),
            label,
            style,
            positions,
        }
    })
}

fn targets(vehicle: &Vehicle) -> impl Strategy<Value = Vec<Target>> + use<> {
    let heads = vehicle
        .heads
        .iter()
        .map(|head| Target::Head(head.id.clone()));
    let groups = vehicle
        .groups
        .iter()
        .map(|group| Target::Group(group.id.clone()));
    let all: Vec<Target> = heads.chain(groups).chain([Target::All]).collect();
    vec(select(all), 0..4)
}

fn layer(
    vehicle: &Vehicle,
    patterns: &[Pattern],
    signals: &[Signal],
) -> impl Strategy<Value = Layer> + use<> {
    let hold = (targets(vehicle), option::of(color()), level_above_zero()).prop_map(
        |(heads, color, level)| Action::Hold {
            heads,
            color,
            level,
        },
    );
    let dark = targets(vehicle).prop_map(|heads| Action::Dark { heads });
    let action = if patterns.is_empty() {
        prop_oneof![hold, dark].boxed()
    } else {
        prop_oneof![2 => play(vehicle, patterns), 1 => hold, 1 => dark].boxed()
    };
    (text(), condition(signals), action).prop_map(|(label, when, action)| Layer {
        id: id("layer", 0),
        label,
        when,
        action,
    })
}

fn play(vehicle: &Vehicle, patterns: &[Pattern]) -> impl Strategy<Value = Action> + use<> {
    let binding = (
        any::<Index>(),
        targets(vehicle),
        option::of(color()),
        prop_oneof![Just(0_i64), -2_000_000..=2_000_000_i64],
    );
    (select(patterns.to_vec()), vec(binding, 0..3)).prop_map(|(pattern, bindings)| Action::Play {
        bindings: bindings
            .into_iter()
            .filter_map(|(lane, heads, color, offset)| {
                Some(Binding {
                    lane: pick(Some(lane), &pattern.lanes)?.role.clone(),
                    heads,
                    color,
                    offset: Micros(offset),
                })
            })
            .collect(),
        pattern: pattern.id,
    })
}

fn dim(vehicle: &Vehicle, signals: &[Signal]) -> impl Strategy<Value = DimLayer> + use<> {
    let kind = select(vec![DimKind::Flashing, DimKind::Steady, DimKind::Both]);
    let factor = (0..=1000_i64).prop_map(Level::nearest);
    (text(), condition(signals), targets(vehicle), factor, kind).prop_map(
        |(label, when, heads, factor, only)| DimLayer {
            id: id("dim", 0),
            label,
            when,
            heads,
            factor,
            only,
        },
    )
}

fn guarantee(vehicle: &Vehicle, signals: &[Signal]) -> impl Strategy<Value = Guarantee> + use<> {
    let level = || (0..=1000_i64).prop_map(Level::nearest);
    let must = prop_oneof![
        select(vec![
            Must::BeDark,
            Must::BeSteady,
            Must::PlayInStep,
            Must::Alternate
        ]),
        vec(color(), 0..3).prop_map(Must::ShowOnly),
        vec(color(), 0..3).prop_map(Must::ShowNever),
        level().prop_map(Must::LevelAtMost),
        level().prop_map(Must::LevelAtLeast),
        thousandths(500_000).prop_map(|current| Must::TotalCurrentAtMost(Milliamps(current))),
    ];
    (text(), condition(signals), targets(vehicle), must).prop_map(|(label, when, heads, must)| {
        Guarantee {
            id: id("guarantee", 0),
            label,
            when,
            heads,
            must,
        }
    })
}

fn profile(vehicle: &Vehicle, patterns: &[Pattern]) -> impl Strategy<Value = Profile> + use<> {
    let ids: Vec<_> = patterns.iter().map(|pattern| pattern.id.clone()).collect();
    let some_patterns = || subsequence(ids.clone(), 0..=ids.len());
    let confirmation =
        (text(), text(), text()).prop_map(|(source, by, date)| Confirmation { source, by, date });
    let severity = select(vec![Severity::Info, Severity::Warning, Severity::Error]);
    let rule = (
        option::of(severity),
        btree_map(text(), any::<i64>(), 0..3),
        option::of(confirmation),
        targets(vehicle),
        some_patterns(),
        some_patterns(),
    );
    (text(), text(), btree_map(0..=999_u16, rule, 0..4)).prop_map(|(title, jurisdiction, rules)| {
        Profile {
            title,
            jurisdiction,
            rules: rules
                .into_iter()
                .map(
                    |(code, (severity, parameters, confirmed, heads, only, except))| RuleChoice {
                        code: RuleCode(code),
                        severity,
                        parameters: parameters.into_iter().collect(),
                        confirmed,
                        heads,
                        only_patterns: only,
                        except_patterns: except,
                    },
                )
                .collect(),
        }
    })
}

fn waiver() -> impl Strategy<Value = Waiver> {
    (0..=999_u16, option::of(text()), text(), text(), text()).prop_map(
        |(code, place, reason, by, date)| Waiver {
            rule: RuleCode(code),
            place,
            reason,
            by,
            date,
        },
    )
}
