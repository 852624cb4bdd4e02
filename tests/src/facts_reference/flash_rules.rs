//! The flash-rule cases: lists of flashes, rates, two heads together.

use super::loads::{Load, facts_of};
use super::{Case, course, fraction, numbers, pulse_times, run_all, scale_of, scaled};
use lampwright_analysis::Ratio;
use lampwright_analysis::facts::effective::{
    Stretch, blondel_rey, blondel_rey_douglas, form_factor, modified_allard,
};
use lampwright_analysis::facts::{Flashes, Phase, Rate, TimingFacts};
use lampwright_timing::{Micros, Waveform};
use serde_json::Value;
use std::collections::BTreeSet;

const FLASH_RULES: &str = include_str!("../../reference/flash-rules.json");

/// Flash-rule cases that no fact expresses yet, and why.
const FLASH_RULES_NOT_RUN: &[(&str, &str)] = &[
    ("N15", "run with the rules, in flash_rules_reference"),
    (
        "N16",
        "compares limits with limits: run with the rules, in flash_rules_reference",
    ),
    (
        "N17",
        "compares limits with limits: run with the rules, in flash_rules_reference",
    ),
];

/// Runs every case of the flash rules.
///
/// # Panics
/// When a value does not match, or a case is neither run nor listed.
pub fn flash_rule_cases() {
    run_all(FLASH_RULES, FLASH_RULES_NOT_RUN, |case| {
        match case.id {
            id if id.starts_with('C') => flash_lists(case),
            "N01" | "N02" | "N03" => effective_intensities(case),
            "N05" | "N06" | "N07" => two_heads(case),
            "N08" => crossing_beacon(case),
            "N11" => modulated_headlamp(case),
            "N12" => high_low(case),
            "N14" => two_in_antiphase(case),
            _ => return false,
        }
        true
    });
}

fn effective_intensities(case: &Case<'_>) {
    let a = case.number_in("a_s");
    let candela = case.number_in("peak_cd");
    let stretch = |start: f64, on: f64| Stretch {
        start,
        end: start + on,
        candela,
    };
    if case.id == "N02" {
        let single: Vec<f64> = numbers(&case.inputs["on_s"])
            .into_iter()
            .map(|on| blondel_rey(&[stretch(0.0, on)], a))
            .collect();
        case.numbers("blondel_rey_cd", &single);
        return;
    }
    let flash: Vec<Stretch> = case.inputs["pulses"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pulse| {
            let second = |key: &str| pulse[key].as_f64().unwrap();
            stretch(second("start_s"), second("on_s"))
        })
        .collect();
    if case.id == "N01" {
        case.number("blondel_rey_cd", blondel_rey(&flash, a));
    } else {
        case.number("whole_train_blondel_rey_cd", blondel_rey(&flash, a));
        case.left_out(
            &["sum_of_pulses_cd"],
            "for contrast only: its published condition is a dark gap of at most 10 ms",
        );
    }
    case.number("douglas_cd", blondel_rey_douglas(&flash, a));
    case.number("form_factor_cd", form_factor(&flash, a));
    case.number("modified_allard_cd", modified_allard(&flash, a));
}

fn flash_lists(case: &Case<'_>) {
    let period = fraction(&case.inputs["period_ms"]);
    let pulses = pulse_times(&case.inputs["pulses"]);
    let gaps = case.inputs["flash_gaps"].as_object().unwrap();
    let mut times = vec![period];
    times.extend(pulses.iter().flat_map(|(start, on)| [*start, *on]));
    times.extend(gaps.values().map(fraction));
    let scale = scale_of(&times);
    let facts = TimingFacts::of(&course(period, &pulses, scale));
    case.number("duty_pct", 100.0 * facts.duty.as_f64());
    for (name, gap) in gaps {
        let key = if name == "each_pulse_ms" {
            "each_pulse"
        } else {
            name
        };
        let expected = &case.expected[key];
        case.seen.borrow_mut().insert(key.into());
        let flashes = facts.flashes(scaled(fraction(gap), scale));
        compare_flashes(case, key, expected, &flashes, scale);
    }
    case.left_out(&["verdicts"], "limits are the rules' to hold facts against");
}

fn compare_flashes(case: &Case<'_>, key: &str, expected: &Value, flashes: &Flashes, scale: i128) {
    let what = |name: &str| format!("{key} {name}");
    let rate = flashes
        .rate()
        .map(Rate::hz)
        .unwrap_or(Ratio::ZERO)
        .times(scale);
    let ms = |time: Micros| Ratio::new(time.0.into(), 1000 * scale).as_f64();
    let mut left: BTreeSet<&str> = expected
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect();
    for (name, found) in [
        ("flashes_per_period", flashes.list.len() as f64),
        ("rate_hz", rate.as_f64()),
        ("rate_per_min", rate.times(60).as_f64()),
    ] {
        assert!(left.remove(name), "{} {key} {name}", case.id);
        case.close(&what(name), expected[name].as_f64().unwrap(), found);
    }
    let lists: [(&str, Vec<f64>); 4] = [
        (
            "light_ms",
            flashes.list.iter().map(|flash| ms(flash.light)).collect(),
        ),
        (
            "envelope_ms",
            flashes
                .list
                .iter()
                .map(|flash| ms(flash.envelope()))
                .collect(),
        ),
        (
            "off_ms",
            flashes.list.iter().map(|flash| ms(flash.off)).collect(),
        ),
        (
            "interval_ms",
            flashes
                .list
                .iter()
                .map(|flash| ms(flash.interval))
                .collect(),
        ),
    ];
    for (name, found) in lists {
        assert!(left.remove(name), "{} {key} {name}", case.id);
        let expected = numbers(&expected[name]);
        assert_eq!(expected.len(), found.len(), "{} {key} {name}", case.id);
        for (expected, found) in expected.iter().zip(found) {
            case.close(&what(name), *expected, found);
        }
    }
    assert!(left.is_empty(), "{} {key}: {left:?} not compared", case.id);
}

fn two_heads(case: &Case<'_>) {
    let period = fraction(&case.inputs["period_ms"]);
    let pulses = pulse_times(&case.inputs["left"]);
    let amps = case.inputs["amps_while_lit"].as_f64().unwrap_or(1.0);
    let mut left = Load::flashing(amps, period, &pulses);
    left.y = 800;
    let mut right = left.clone();
    right.y = -800;
    let in_step = facts_of(&[left.clone(), right.clone()]);
    right.offset_ms = fraction(&case.inputs["right_offset_ms"]);
    let facts = facts_of(&[left, right]);
    let both = facts.electrical.fuses[0].current;
    let period_s = period.as_f64() / 1000.0;
    if case.id == "N07" {
        let light = |head: usize| {
            let timing = facts.heads[head].timing.as_ref().unwrap();
            timing.duty.as_f64() * 1000.0 * period_s
        };
        case.number("light_left_ms", light(0));
        case.number("light_right_ms", light(1));
        case.number("overlap_ms", facts.left_right.overlap.unwrap().as_f64());
        let Phase::Angle { degrees, rate } = facts.left_right.phase else {
            panic!("N07: no phase");
        };
        case.number("phase_cycles", degrees / 360.0);
        assert_eq!(rate.hz(), Ratio::whole(2));
        assert_eq!(facts.left_right.share_of_first, Some(Ratio::new(1, 2)));
        return;
    }
    case.number("average_both_amps", both.mean.as_f64());
    if case.id == "N05" {
        case.number(
            "average_per_head_amps",
            facts.heads[0].emitters[0].current.mean.as_f64(),
        );
        case.number("peak_alternating_amps", both.peak.as_f64());
        case.number(
            "peak_in_step_amps",
            in_step.electrical.vehicle.peak.as_f64(),
        );
        case.number(
            "charge_both_per_period_amp_s",
            both.mean.as_f64() * period_s,
        );
    } else {
        case.number("peak_both_amps", both.peak.as_f64());
        case.number("least_both_amps", both.least.as_f64());
    }
}

fn crossing_beacon(case: &Case<'_>) {
    let period = fraction(&case.inputs["period_ms"]);
    let lamp = |key: &str, y: i64| {
        let mut load = Load::flashing(1.0, period, &pulse_times(&case.inputs[key]));
        load.y = y;
        load
    };
    let facts = facts_of(&[lamp("left", 800), lamp("right", -800)]);
    let period_ms = period.as_f64();
    let timing = |head: usize| facts.heads[head].timing.as_ref().unwrap();
    let whole = facts.whole.timing.as_ref().unwrap();
    case.number("light_left_ms", timing(0).on_time.as_ms());
    case.number("light_right_ms", timing(1).on_time.as_ms());
    let either_ms = whole.on_time.as_ms();
    let pair = &facts.left_right;
    case.number("overlap_ms", pair.overlap.unwrap().as_f64() * either_ms);
    case.number("both_dark_ms", pair.both_dark.unwrap().as_f64() * period_ms);
    let pulses = timing(0).flashes(Micros::ZERO).rate().unwrap();
    case.number("pulses_per_lamp_hz", pulses.hz().as_f64());
    case.number("lit_intervals_per_period", whole.pulses as f64);
    let lit = whole.flashes(Micros::ZERO).rate().unwrap();
    case.number("lit_intervals_hz", lit.hz().as_f64());
}

fn modulated_headlamp(case: &Case<'_>) {
    let high = scaled(fraction(&case.inputs["high_ms"]), 1);
    let low = scaled(fraction(&case.inputs["low_ms"]), 1);
    let troughs: Vec<Value> = numbers(&case.inputs["low_level_pct"])
        .into_iter()
        .map(|percent| {
            let trough = (percent * 10.0).round() as i64;
            let light = Waveform::from_pulses(
                high + low,
                [(Micros::ZERO, high, 1000), (high, low, trough)],
            )
            .unwrap();
            let facts = TimingFacts::above(&light, 999);
            case.number("full_power_pct", 100.0 * facts.duty.as_f64());
            let rate = facts.flashes(Micros::ZERO).rate().unwrap();
            case.number("rate_per_min", rate.per_minute().as_f64());
            let bounds =
                ["rate_min_per_min", "rate_max_per_min"].map(|key| fraction(&case.inputs[key]));
            let is_inside = (bounds[0]..=bounds[1]).contains(&rate.per_minute());
            case.equal("rate_ok", is_inside.into());
            let duty = facts.duty.times(100);
            let least = Ratio::whole(case.number_in("full_power_min_pct") as i64);
            let most = Ratio::whole(case.number_in("full_power_max_pct") as i64);
            case.equal("full_power_ok", (least..=most).contains(&duty).into());
            let least_trough = case.number_in("trough_min_pct") as i64 * 10;
            (facts.least >= least_trough).into()
        })
        .collect();
    case.equal("trough_ok", troughs.into());
}

fn high_low(case: &Case<'_>) {
    let high = scaled(fraction(&case.inputs["high_ms"]), 1);
    let low = scaled(fraction(&case.inputs["low_ms"]), 1);
    let threshold = fraction(&case.inputs["on_above_ratio_of_peak"]).times(1000);
    let (mut guidance, mut is_on, mut defined) = (Vec::new(), Vec::new(), Vec::new());
    for percent in case.inputs["low_level_pct"].as_array().unwrap() {
        let trough = (percent.as_str().unwrap().parse::<f64>().unwrap() * 10.0).round() as i64;
        let light = Waveform::from_pulses(
            high + low,
            [(Micros::ZERO, high, 1000), (high, low, trough)],
        )
        .unwrap();
        let facts = TimingFacts::above(&light, threshold.numerator() as i64);
        guidance.push(Ratio::whole(facts.least) >= threshold);
        is_on.push(facts.off_time == Micros::ZERO);
        defined.push(!facts.flashes(Micros::ZERO).list.is_empty());
        assert!(
            TimingFacts::of(&light)
                .flashes(Micros::ZERO)
                .list
                .is_empty()
        );
    }
    case.equal("guidance_met", guidance.into());
    case.equal("trough_counts_as_on", is_on.into());
    case.equal("flash_count_defined", defined.into());
}

fn two_in_antiphase(case: &Case<'_>) {
    let period = Ratio::whole(250);
    let limit = Ratio::whole(case.number_in("source_max_hz") as i64);
    let loads: Vec<Load> = numbers(&case.inputs["phase_cycles"])
        .into_iter()
        .map(|cycles| {
            let mut load = Load::flashing(1.0, period, &[(Ratio::ZERO, Ratio::whole(50))]);
            load.offset_ms = Ratio::new((cycles * 250_000.0) as i128, 1000);
            load
        })
        .collect();
    let facts = facts_of(&loads);
    let rate_of = |timing: &TimingFacts| timing.flashes(Micros::ZERO).rate().unwrap().hz();
    let sources: Vec<bool> = facts
        .heads
        .iter()
        .map(|head| rate_of(head.timing.as_ref().unwrap()) <= limit)
        .collect();
    case.equal("source_ok", sources.into());
    let seen = rate_of(facts.whole.timing.as_ref().unwrap());
    case.number("observer_rate_hz", seen.as_f64());
}
