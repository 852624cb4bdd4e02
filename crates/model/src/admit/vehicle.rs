//! Heads, outputs, fuses, clocks and groups of a consistent program.

use super::{Review, claim, cut_reference, cut_unknown, keep, within};
use crate::{
    Battery, Beam, Dimming, GroupMembers, Head, Milliamps, Outline, Output, OutputId, Problem,
    Supply, Vehicle, WireSize,
};
use std::collections::HashSet;

/// Largest current, intensity or length that is taken seriously, in thousandths; keeps every sum inside 64 bits.
pub(super) const LARGEST_THOUSANDTHS: i64 = 1_000_000_000;

pub(super) fn admit_vehicle(vehicle: &mut Vehicle, review: &mut Review) {
    let supply = &mut vehicle.supply;
    if !(1_000..=100_000).contains(&supply.test_voltage.0) {
        review.cuts(Problem::new(
            "vehicle.supply.test_voltage_v",
            "1 V to 100 V",
            supply.test_voltage.to_string(),
        ));
        *supply = Supply {
            test_voltage: Supply::default().test_voltage,
            ..*supply
        };
    }
    cut_amounts(supply, review);
    cut_size(&mut vehicle.outline, review);
    let mut fuses = HashSet::new();
    keep(
        &mut vehicle.fuses,
        "vehicle.fuses",
        review,
        |fuse, path, review| {
            claim(&mut fuses, &fuse.id, path, review);
            within(
                fuse.rating.0,
                1..=LARGEST_THOUSANDTHS,
                "more than 0 A",
                format!("{path}.rating_a"),
                review,
            );
        },
    );
    let fuses: HashSet<_> = vehicle.fuses.iter().map(|fuse| fuse.id.clone()).collect();
    let mut outputs = HashSet::new();
    keep(
        &mut vehicle.outputs,
        "vehicle.outputs",
        review,
        |output, path, review| {
            claim(&mut outputs, &output.id, path, review);
            within(
                output.rating.0,
                1..=LARGEST_THOUSANDTHS,
                "more than 0 A",
                format!("{path}.rating_a"),
                review,
            );
            cut_reference(
                &mut output.fuse,
                "a fuse",
                format!("{path}.fuse"),
                review,
                |fuse| fuses.contains(fuse),
            );
            if let Some(wire) = output.wire {
                within(
                    wire.length.0,
                    0..=LARGEST_THOUSANDTHS,
                    "0 m or more",
                    format!("{path}.wire.length_m"),
                    review,
                );
                let possible = match wire.size {
                    WireSize::Gauge(gauge) => (-3..=40).contains(&gauge),
                    WireSize::ThousandthsMm2(size) => size > 0,
                };
                if !possible {
                    review.breaks(Problem::new(
                        format!("{path}.wire"),
                        "a gauge from -3 (4/0) to 40 or a cross-section above 0 mm2",
                        format!("{:?}", wire.size),
                    ));
                }
            }
        },
    );
    let outputs: HashSet<_> = vehicle
        .outputs
        .iter()
        .map(|output| output.id.clone())
        .collect();
    let mut clocks = HashSet::new();
    keep(
        &mut vehicle.clocks,
        "vehicle.clocks",
        review,
        |clock, path, review| claim(&mut clocks, &clock.id, path, review),
    );
    let mut heads = HashSet::new();
    keep(
        &mut vehicle.heads,
        "vehicle.heads",
        review,
        |head, path, review| {
            claim(&mut heads, &head.id, path, review);
            cut_reference(
                &mut head.clock,
                "a clock",
                format!("{path}.clock"),
                review,
                |clock| clocks.contains(clock),
            );
            admit_head(head, path, &outputs, &vehicle.outputs, review);
        },
    );
    let heads: HashSet<_> = vehicle.heads.iter().map(|head| head.id.clone()).collect();
    let mut groups = HashSet::new();
    keep(
        &mut vehicle.groups,
        "vehicle.groups",
        review,
        |group, path, review| {
            claim(&mut groups, &group.id, path, review);
            if let GroupMembers::List(members) = &mut group.members {
                cut_unknown(members, "a head", &format!("{path}.heads"), review, |id| {
                    heads.contains(id)
                });
            }
        },
    );
}

/// Empties the currents and the charge that no supply has.
fn cut_amounts(supply: &mut Supply, review: &mut Review) {
    let is_possible = |amount: i64| (0..=LARGEST_THOUSANDTHS).contains(&amount);
    let mut cut = |key: &str, found: String| {
        review.cuts(Problem::new(
            format!("vehicle.supply.{key}"),
            "0 to 1,000,000",
            found,
        ));
    };
    for (key, current) in [
        ("alternator_idle_a", &mut supply.alternator_idle),
        ("alternator_speed_a", &mut supply.alternator_speed),
    ] {
        if let Some(current) = current.take_if(|current| !is_possible(current.0)) {
            cut(key, current.to_string());
        }
    }
    if !is_possible(supply.other_load.0) {
        cut("other_load_a", supply.other_load.to_string());
        supply.other_load = Milliamps(0);
    }
    if let Some(Battery::MilliampHours(charge)) = supply.battery
        && !is_possible(charge)
    {
        cut("battery.amp_hours", format!("{charge} thousandths"));
        supply.battery = None;
    }
}

/// Puts the usual size in place of one that no vehicle has.
fn cut_size(outline: &mut Outline, review: &mut Review) {
    let usual = Outline::default();
    for (key, size, usual) in [
        ("length_m", &mut outline.length, usual.length),
        ("width_m", &mut outline.width, usual.width),
        ("height_m", &mut outline.height, usual.height),
    ] {
        if !(0..=100_000).contains(&size.0) {
            review.cuts(Problem::new(
                format!("vehicle.outline.{key}"),
                "0 m to 100 m",
                size.to_string(),
            ));
            *size = usual;
        }
    }
}

pub(super) fn admit_head(
    head: &mut Head,
    path: &str,
    outputs: &HashSet<OutputId>,
    output_list: &[Output],
    review: &mut Review,
) {
    for (name, value) in [("x_m", head.x), ("y_m", head.y), ("z_m", head.z)] {
        within(
            value.0,
            -100_000..=100_000,
            "-100 m to 100 m",
            format!("{path}.{name}"),
            review,
        );
    }
    within(
        head.facing.0,
        -LARGEST_THOUSANDTHS..=LARGEST_THOUSANDTHS,
        "-1,000,000° to 1,000,000°",
        format!("{path}.facing_deg"),
        review,
    );
    if head.emitters.is_empty() {
        review.breaks(Problem::new(
            format!("{path}.emitters"),
            "at least one emitter",
            "none",
        ));
    }
    let mut colors = HashSet::new();
    let mut used = HashSet::new();
    for (index, emitter) in head.emitters.iter_mut().enumerate() {
        let path = format!("{path}.emitters[{index}]");
        if !colors.insert(emitter.color) {
            review.breaks(Problem::new(
                format!("{path}.color"),
                "a color only once per head",
                format!("{} again", emitter.color),
            ));
        }
        for (name, value) in [
            ("peak_cd", emitter.peak.map(|peak| peak.0)),
            ("full_current_a", emitter.full_current.map(|amps| amps.0)),
        ] {
            if let Some(value) = value {
                within(
                    value,
                    0..=LARGEST_THOUSANDTHS,
                    "0 to 1,000,000",
                    format!("{path}.{name}"),
                    review,
                );
            }
        }
        if emitter
            .chromaticity
            .is_some_and(|chromaticity| !chromaticity.is_possible())
        {
            review.cuts(Problem::new(
                format!("{path}.chromaticity"),
                "y above 0 and x + y at most 1",
                "an impossible chromaticity",
            ));
            emitter.chromaticity = None;
        }
        if emitter.dimming == Dimming::Carrier(0) {
            review.breaks(Problem::new(
                format!("{path}.dimming.carrier_hz"),
                "more than 0 Hz",
                "0 Hz",
            ));
        }
        cut_reference(
            &mut emitter.output,
            "an output",
            format!("{path}.output"),
            review,
            |output| outputs.contains(output),
        );
        let Some(output) = emitter.output.clone() else {
            continue;
        };
        let may_share = output_list
            .iter()
            .any(|other| other.id == output && other.is_shared_within_head);
        if !used.insert(output.clone()) && !may_share {
            review.cuts(Problem::new(
                format!("{path}.output"),
                "one output per emitter of a head, unless the output says shared_within_head",
                format!("\"{output}\" again"),
            ));
            emitter.output = None;
        }
    }
    let beam_ok = match &head.beam {
        None => true,
        Some(Beam::HalfPeak {
            horizontal,
            vertical,
        }) => is_half_angle(horizontal.0) && is_half_angle(vertical.0),
        Some(Beam::AllRound { vertical }) => is_half_angle(vertical.0),
        Some(Beam::Table {
            horizontal,
            vertical,
        }) => {
            is_half_angle(vertical.0)
                && horizontal.len() >= 2
                && horizontal.is_sorted_by(|left, right| left.0 < right.0)
                && horizontal
                    .iter()
                    .all(|(angle, fraction)| angle.0.abs() <= 180_000 && *fraction <= 1000)
        }
    };
    if !beam_ok {
        review.cuts(Problem::new(
            format!("{path}.beam"),
            "half-angles above 0° up to 90°, or a table of two or more rising angles within 180° with fractions from 0 to 1",
            "another beam",
        ));
        head.beam = None;
    }
}

pub(super) const fn is_half_angle(millidegrees: i64) -> bool {
    millidegrees > 0 && millidegrees <= 90_000
}
