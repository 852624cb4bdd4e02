//! Heads, outputs, fuses, clocks and groups of a consistent program.

use super::{Review, Seen, again, claim, cut_reference, cut_unknown, has, is_new, keep, within};
use crate::{
    Battery, Beam, Dimming, GroupMembers, Head, Milliamps, Outline, Output, Problem, Supply,
    Vehicle, WireSize,
};

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
    let mut fuses = Seen::default();
    keep(
        &mut vehicle.fuses,
        "vehicle.fuses",
        review,
        |fuse, path, review| {
            claim(&mut fuses, fuse.id.as_str(), path, review);
            within(
                fuse.rating.0,
                (1, LARGEST_THOUSANDTHS),
                "more than 0 A",
                (path, "rating_a"),
                review,
            );
        },
    );
    let fuses = names(vehicle.fuses.iter().map(|fuse| fuse.id.as_str()));
    let mut outputs = Seen::default();
    keep(
        &mut vehicle.outputs,
        "vehicle.outputs",
        review,
        |output, path, review| {
            claim(&mut outputs, output.id.as_str(), path, review);
            within(
                output.rating.0,
                (1, LARGEST_THOUSANDTHS),
                "more than 0 A",
                (path, "rating_a"),
                review,
            );
            cut_reference(&mut output.fuse, "a fuse", (path, "fuse"), review, |fuse| {
                has(&fuses, fuse.as_str())
            });
            if let Some(wire) = output.wire {
                within(
                    wire.length.0,
                    (0, LARGEST_THOUSANDTHS),
                    "0 m or more",
                    (path, "wire.length_m"),
                    review,
                );
                let possible = match wire.size {
                    WireSize::Gauge(gauge) => (-3..=40).contains(&gauge),
                    WireSize::ThousandthsMm2(size) => size > 0,
                };
                if !possible {
                    review.breaks_at(
                        path,
                        "wire",
                        "a gauge from -3 (4/0) to 40 or a cross-section above 0 mm2",
                        match wire.size {
                            WireSize::Gauge(gauge) => format!("gauge {gauge}"),
                            WireSize::ThousandthsMm2(size) => {
                                format!("{size} thousandths of mm2")
                            }
                        },
                    );
                }
            }
        },
    );
    let outputs = names(vehicle.outputs.iter().map(|output| output.id.as_str()));
    let mut clocks = Seen::default();
    keep(
        &mut vehicle.clocks,
        "vehicle.clocks",
        review,
        |clock, path, review| claim(&mut clocks, clock.id.as_str(), path, review),
    );
    let mut heads = Seen::default();
    keep(
        &mut vehicle.heads,
        "vehicle.heads",
        review,
        |head, path, review| {
            claim(&mut heads, head.id.as_str(), path, review);
            cut_reference(
                &mut head.clock,
                "a clock",
                (path, "clock"),
                review,
                |clock| has(&clocks, clock.as_str()),
            );
            admit_head(head, path, &outputs, &vehicle.outputs, review);
        },
    );
    let heads = names(vehicle.heads.iter().map(|head| head.id.as_str()));
    let mut groups = Seen::default();
    keep(
        &mut vehicle.groups,
        "vehicle.groups",
        review,
        |group, path, review| {
            claim(&mut groups, group.id.as_str(), path, review);
            if let GroupMembers::List(members) = &mut group.members {
                cut_unknown(members, "a head", &format!("{path}.heads"), review, |id| {
                    has(&heads, id.as_str())
                });
            }
        },
    );
}

fn names<'a>(ids: impl Iterator<Item = &'a str>) -> Seen {
    ids.map(str::to_owned).collect()
}

/// Empties the currents and the charge that no supply has.
fn cut_amounts(supply: &mut Supply, review: &mut Review) {
    let is_possible = |amount: i64| (0..=LARGEST_THOUSANDTHS).contains(&amount);
    let mut cut = |key: &str, found: String| {
        review.cuts_at("vehicle.supply", key, "0 to 1,000,000", found);
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
            review.cuts_at("vehicle.outline", key, "0 m to 100 m", size.to_string());
            *size = usual;
        }
    }
}

pub(super) fn admit_head(
    head: &mut Head,
    path: &str,
    outputs: &Seen,
    output_list: &[Output],
    review: &mut Review,
) {
    for (name, value) in [("x_m", head.x), ("y_m", head.y), ("z_m", head.z)] {
        within(
            value.0,
            (-100_000, 100_000),
            "-100 m to 100 m",
            (path, name),
            review,
        );
    }
    within(
        head.facing.0,
        (-LARGEST_THOUSANDTHS, LARGEST_THOUSANDTHS),
        "-1,000,000° to 1,000,000°",
        (path, "facing_deg"),
        review,
    );
    if head.emitters.is_empty() {
        review.breaks_at(path, "emitters", "at least one emitter", "none".into());
    }
    let mut colors = Seen::default();
    let mut used = Seen::default();
    for (index, emitter) in head.emitters.iter_mut().enumerate() {
        let path = format!("{path}.emitters[{index}]");
        if !is_new(&mut colors, emitter.color.name()) {
            review.breaks_at(
                &path,
                "color",
                "a color only once per head",
                format!("{} again", emitter.color),
            );
        }
        for (name, value) in [
            ("peak_cd", emitter.peak.map(|peak| peak.0)),
            ("full_current_a", emitter.full_current.map(|amps| amps.0)),
        ] {
            if let Some(value) = value {
                within(
                    value,
                    (0, LARGEST_THOUSANDTHS),
                    "0 to 1,000,000",
                    (&path, name),
                    review,
                );
            }
        }
        if let Some(impossible) = emitter
            .chromaticity
            .take_if(|chromaticity| !chromaticity.is_possible())
        {
            review.cuts_at(
                &path,
                "chromaticity",
                "y above 0 and x + y at most 1",
                impossible.to_string(),
            );
        }
        if emitter.dimming == Dimming::Carrier(0) {
            review.breaks_at(&path, "dimming.carrier_hz", "more than 0 Hz", "0 Hz".into());
        }
        cut_reference(
            &mut emitter.output,
            "an output",
            (&path, "output"),
            review,
            |output| has(outputs, output.as_str()),
        );
        let Some(output) = emitter.output.clone() else {
            continue;
        };
        let may_share = output_list
            .iter()
            .any(|other| other.id == output && other.is_shared_within_head);
        if !is_new(&mut used, output.as_str()) && !may_share {
            review.cuts_at(
                &path,
                "output",
                "one output per emitter of a head, unless the output says shared_within_head",
                again(output.as_str()),
            );
            emitter.output = None;
        }
    }
    if let Some((expected, found)) = head.beam.as_ref().and_then(beam_fault) {
        review.cuts_at(path, "beam", expected, found);
        head.beam = None;
    }
}

/// What is wrong with a beam first: what is wanted, and what is there.
fn beam_fault(beam: &Beam) -> Option<(&'static str, String)> {
    let (horizontal, vertical) = match beam {
        Beam::HalfPeak {
            horizontal,
            vertical,
        } => (Some(horizontal), vertical),
        Beam::Table { vertical, .. } | Beam::AllRound { vertical } => (None, vertical),
    };
    let mut half_angles = horizontal.into_iter().chain([vertical]);
    if let Some(angle) = half_angles.find(|angle| !is_half_angle(angle.0)) {
        let expected = "a half-angle of the beam above 0° up to 90°";
        return Some((expected, angle.to_string()));
    }
    let Beam::Table { horizontal, .. } = beam else {
        return None;
    };
    if horizontal.len() < 2 {
        let expected = "a beam of two or more points";
        return Some((expected, horizontal.len().to_string()));
    }
    for (angle, fraction) in horizontal {
        if angle.0.abs() > 180_000 {
            return Some(("angles of the beam from -180° to 180°", angle.to_string()));
        }
        if *fraction > 1000 {
            let expected = "fractions of the peak from 0 to 1";
            return Some((expected, format!("{fraction} thousandths")));
        }
    }
    let mut pairs = horizontal.windows(2);
    pairs.find_map(|pair| match pair {
        [(before, _), (after, _)] if before.0 >= after.0 => Some((
            "angles of the beam that rise",
            format!("{after} after {before}"),
        )),
        _ => None,
    })
}

pub(super) const fn is_half_angle(millidegrees: i64) -> bool {
    millidegrees > 0 && millidegrees <= 90_000
}
