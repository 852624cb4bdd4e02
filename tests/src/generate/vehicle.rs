//! Arbitrary vehicles: heads with emitters and beams, and the wiring that feeds them.

use super::{color, id, pick, text, thousandths};
use lampwright_model::{
    Battery, Beam, Chromaticity, Clock, Color, CurrentLaw, Dimming, Emitter, Fuse, Group,
    GroupMembers, Head, Milliamps, Millicandela, Millidegrees, Millimeters, Millivolts, Outline,
    Output, Return, Side, Supply, Vehicle, Wire, WireSize, Zone,
};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};

/// A vehicle whose references lead somewhere.
pub(super) fn vehicle() -> impl Strategy<Value = Vehicle> {
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
