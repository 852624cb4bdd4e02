//! Arbitrary consistent programs for property tests: every kind of part, every reference leading somewhere.
//!
//! Invariant: what [`parts`] gives is admitted whole; a test holds it to that.

mod vehicle;

use self::vehicle::vehicle;
use lampwright_model::{
    Action, Alternative, Binding, Color, Condition, Confirmation, Control, ControlPosition,
    ControlStyle, DimKind, DimLayer, Guarantee, Lane, Layer, Milliamps, Must, Parts, Pattern,
    Profile, Program, Pulse, RuleChoice, RuleCode, Severity, Signal, SignalId, SignalKind,
    Situation, Target, ValueId, Vehicle, Waiver,
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
            profile(&vehicle, &patterns, &signals),
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

fn pick<T>(index: Option<Index>, items: &[T]) -> Option<&T> {
    index
        .filter(|_| !items.is_empty())
        .map(|index| index.get(items))
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

fn profile(
    vehicle: &Vehicle,
    patterns: &[Pattern],
    signals: &[Signal],
) -> impl Strategy<Value = Profile> + use<> {
    let ids: Vec<_> = patterns.iter().map(|pattern| pattern.id.clone()).collect();
    let some_patterns = || subsequence(ids.clone(), 0..=ids.len());
    let confirmation =
        (text(), text(), text()).prop_map(|(source, by, date)| Confirmation { source, by, date });
    let severity = select(vec![Severity::Info, Severity::Warning, Severity::Error]);
    let rule = (
        option::of(severity),
        btree_map(text(), any::<i64>(), 0..3),
        option::of(confirmation),
        option::of(condition(signals)),
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
                    |(code, (severity, parameters, confirmed, when, heads, only, except))| {
                        RuleChoice {
                            code: RuleCode(code),
                            severity,
                            parameters: parameters.into_iter().collect(),
                            confirmed,
                            when,
                            heads,
                            only_patterns: only,
                            except_patterns: except,
                        }
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
