//! Every reading of every reference case of flash timing, through the rule that states it.
//!
//! The cases were calculated apart from this project's code, in exact fractions; each names its own source.
//! A reading has a rule that asks the same; where a rule asks for more (a second lamp, a color, a name in the profile), the program gives it that.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use lampwright_analysis::facts::{MarineRhythm, TimingFacts};
use lampwright_analysis::report::{Finding, Report, Verdict};
use lampwright_analysis::{check, rules};
use lampwright_model::{
    Action, Binding, Color, Condition, Emitter, Head, Lane, Layer, Millidegrees, Millimeters,
    Parts, Pattern, Program, Pulse, RuleChoice, RuleCode, Target,
};
use lampwright_timing::{Level, Micros, Waveform};
use serde_json::{Value, json};
use std::collections::BTreeMap;

const CASES: &str = include_str!("../reference/flash-rules.json");

/// Which rule states which reading, and the color it looks at.
const READINGS: [(&str, u16, Color); 11] = [
    ("sae_1_to_4_hz", 1, Color::Amber),
    ("trains_75_to_125_per_min", 2, Color::Amber),
    ("arrow_25_to_40_per_min", 4, Color::Amber),
    ("beacon_50_to_60_per_min", 43, Color::Amber),
    ("equal_pulses_55_to_75_per_min", 47, Color::Amber),
    ("equal_pulses_35_to_65_per_min", 48, Color::Amber),
    ("trains_60_to_120_per_min", 55, Color::Amber),
    ("equal_pulses_60_to_90_per_min", 58, Color::Amber),
    ("equal_pulses_60_to_240_per_min", 80, Color::Amber),
    ("cycle_2_to_4_hz", 82, Color::Amber),
    ("every_pulse_1_to_4_hz", 83, Color::Green),
];
const UN_R65: u16 = 3;
const CROSSING: u16 = 48;

/// Start, length and level of a pulse.
type Light = Vec<(Micros, Micros, i64)>;

/// Microseconds of a time in ms as a fraction in text, times `scale`; none when that is not whole.
fn micros(text: &Value, scale: i64) -> Option<Micros> {
    let text = text.as_str().unwrap();
    let (numerator, denominator) = text.split_once('/').unwrap_or((text, "1"));
    let scaled = 1000 * scale * numerator.parse::<i64>().unwrap();
    let denominator: i64 = denominator.parse().unwrap();
    (scaled % denominator == 0).then(|| Micros(scaled / denominator))
}

fn light(pulses: &Value, scale: i64) -> Option<Light> {
    pulses
        .as_array()
        .unwrap()
        .iter()
        .map(|pulse| {
            let on = micros(&pulse["on_ms"], scale)?;
            Some((micros(&pulse["start_ms"], scale)?, on, 1000))
        })
        .collect()
}

/// What is dark in a light, lit.
fn rest_of(light: &Light, period: Micros) -> Light {
    Waveform::from_pulses(period, light.iter().copied())
        .unwrap()
        .pieces()
        .filter(|(_, level)| *level == 0)
        .map(|(dark, _)| (dark.start, dark.length, 1000))
        .collect()
}

fn head(id: &str, y: i64, color: Color) -> Head {
    Head {
        id: id.parse().unwrap(),
        label: String::new(),
        x: Millimeters(2000),
        y: Millimeters(y),
        z: Millimeters(1000),
        facing: Millidegrees(0),
        beam: None,
        emitters: vec![Emitter::of(color)],
        clock: None,
        tags: Vec::new(),
    }
}

/// A lamp on the left, and one on the right where a second light is given, under one rule that the profile names them to.
fn program(choice: RuleChoice, color: Color, period: Micros, lights: &[Light]) -> Program {
    let mut parts = Parts::default();
    let mut bindings = Vec::new();
    let mut lanes = Vec::new();
    for (light, (name, y)) in lights.iter().zip([("left", 800), ("right", -800)]) {
        parts.vehicle.heads.push(head(name, y, color));
        let pulses: Vec<Pulse> = light
            .iter()
            .map(|(start, length, level)| Pulse {
                start: *start,
                length: *length,
                level: Level::new(*level).unwrap(),
                color: None,
            })
            .collect();
        lanes.push(Lane {
            role: name.parse().unwrap(),
            pulses: pulses.into(),
        });
        bindings.push(Binding {
            lane: name.parse().unwrap(),
            heads: vec![Target::Head(name.parse().unwrap())],
            color: None,
            offset: Micros::ZERO,
        });
    }
    parts.patterns.push(Pattern {
        id: "case".parse().unwrap(),
        label: String::new(),
        period,
        tick: Micros(1),
        lanes,
    });
    parts.layers.push(Layer {
        id: "always".parse().unwrap(),
        label: String::new(),
        when: Condition::always(),
        action: Action::Play {
            pattern: "case".parse().unwrap(),
            bindings,
        },
    });
    let choice = RuleChoice {
        heads: vec![Target::All],
        ..choice
    };
    parts.profile.rules.push(choice);
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    program
}

fn is_passed(report: &Report, code: RuleCode) -> bool {
    match &report.outcome(code).unwrap().verdict {
        Verdict::Passed { .. } => true,
        Verdict::Failed { .. } => false,
        other => panic!("{code}: {other:?}"),
    }
}

fn verdict(choice: RuleChoice, color: Color, period: Micros, lights: &[Light]) -> bool {
    let code = choice.code;
    is_passed(&check(&program(choice, color, period, lights)), code)
}

fn findings(code: u16, color: Color, period: Micros, lights: &[Light]) -> Vec<Finding> {
    let choice = RuleChoice::of(RuleCode(code));
    check(&program(choice, color, period, lights))
        .findings
        .into_iter()
        .filter(|finding| finding.code == RuleCode(code))
        .collect()
}

/// The crossing rule wants a second lamp, lit whenever the first is dark.
fn lights_for(code: u16, light: Light, period: Micros) -> Vec<Light> {
    if code == CROSSING {
        let rest = rest_of(&light, period);
        vec![light, rest]
    } else {
        vec![light]
    }
}

fn cases() -> BTreeMap<String, Value> {
    let cases: Value = serde_json::from_str(CASES).unwrap();
    cases["cases"]
        .as_array()
        .unwrap()
        .iter()
        .map(|case| (case["id"].as_str().unwrap().to_owned(), case.clone()))
        .collect()
}

fn case(id: &str) -> (Value, Value) {
    let case = cases().remove(id).unwrap();
    (case["inputs"].clone(), case["expected"].clone())
}

#[test]
fn every_reading_of_every_case_is_that_of_its_rule() {
    let (mut n_cases, mut n_verdicts) = (0, 0);
    let mut not_whole = Vec::new();
    for (id, case) in cases() {
        let Some(verdicts) = case["expected"]["verdicts"].as_object() else {
            continue;
        };
        let inputs = &case["inputs"];
        let (Some(period), Some(light)) =
            (micros(&inputs["period_ms"], 1), light(&inputs["pulses"], 1))
        else {
            not_whole.push(id);
            continue;
        };
        n_cases += 1;
        for (reading, expected) in verdicts {
            n_verdicts += 1;
            if reading.starts_with("r65") {
                continue;
            }
            let (_, code, color) = READINGS
                .iter()
                .find(|(name, ..)| name == reading)
                .unwrap_or_else(|| panic!("no rule states {reading}"));
            let lights = lights_for(*code, light.clone(), period);
            let passed = verdict(RuleChoice::of(RuleCode(*code)), *color, period, &lights);
            assert_eq!(passed, expected == "pass", "{id} {reading} LW{code:03}");
        }
        let found = findings(UN_R65, Color::Amber, period, &[light]);
        let by_sum = found.iter().all(|found| found.depends_on_reading);
        assert_eq!(
            by_sum,
            verdicts["r65_light_sum"] == "pass",
            "{id} light sum"
        );
        let by_envelope = verdicts["r65_envelope"] == "pass";
        assert_eq!(found.is_empty(), by_envelope, "{id} envelope");
    }
    assert_eq!((n_cases, n_verdicts), (25, 25 * 13));
    assert_eq!(not_whole, ["C30", "C31"]);
}

/// C30 and C31 have periods of thirds and sevenths of a ms; at a third or a seventh of the speed, with the bands in proportion, they are whole.
#[test]
fn cases_in_thirds_and_sevenths_hold_in_proportion() {
    for (id, scale, code, reading, bounds) in [
        (
            "C30",
            3,
            58,
            "equal_pulses_60_to_90_per_min",
            [20_000, 30_000],
        ),
        (
            "C30",
            3,
            80,
            "equal_pulses_60_to_240_per_min",
            [20_000, 80_000],
        ),
        ("C30", 3, 55, "trains_60_to_120_per_min", [20_000, 40_000]),
        // The upper end, 65 / 7, is rounded; the case is at the lower one.
        (
            "C31",
            7,
            48,
            "equal_pulses_35_to_65_per_min",
            [5_000, 9_286],
        ),
    ] {
        let (inputs, expected) = case(id);
        let period = micros(&inputs["period_ms"], scale).unwrap();
        let light = light(&inputs["pulses"], scale).unwrap();
        let lights = lights_for(code, light, period);
        let with = |[least, most]: [i64; 2]| {
            let mut choice = RuleChoice::of(RuleCode(code));
            choice.parameters = vec![
                ("least_per_minute".into(), least),
                ("most_per_minute".into(), most),
            ];
            if code == 55 {
                choice.parameters.push(("gap_ms".into(), 160_000 * scale));
            }
            verdict(choice, Color::Amber, period, &lights)
        };
        assert_eq!(
            with(bounds),
            expected["verdicts"][reading] == "pass",
            "{id}"
        );
        // A thousandth inside the end at which the case lies, it no longer passes.
        let [least, most] = bounds;
        if code == 58 {
            assert!(!with([least, most - 1]), "{id}");
        }
        if code == 48 {
            assert!(!with([least + 1, most]), "{id}");
        }
    }
}

#[test]
fn headlamps_in_turn_pass_where_turns_are_asked_for_and_fail_where_they_are_forbidden() {
    for id in ["N05", "N06", "N07"] {
        let (inputs, _) = case(id);
        let period = micros(&inputs["period_ms"], 1).unwrap();
        let left = light(&inputs["left"], 1).unwrap();
        let offset = micros(&inputs["right_offset_ms"], 1).unwrap();
        let right: Light = left
            .iter()
            .map(|(start, length, level)| ((*start + offset).wrap(period), *length, *level))
            .collect();
        for (code, expected) in [(50, true), (51, true), (52, true), (53, false)] {
            let lights = [left.clone(), right.clone()];
            let passed = verdict(
                RuleChoice::of(RuleCode(code)),
                Color::White,
                period,
                &lights,
            );
            assert_eq!(passed, expected, "{id} LW{code:03}");
        }
    }
}

#[test]
fn the_rapid_beacon_plays_its_steps_at_the_edge_of_its_guard() {
    let (inputs, expected) = case("N08");
    let period = micros(&inputs["period_ms"], 1).unwrap();
    let lights = ["left", "right"].map(|side| light(&inputs[side], 1).unwrap());
    for code in [45, 46] {
        let choice = RuleChoice::of(RuleCode(code));
        assert!(
            verdict(choice, Color::Amber, period, &lights),
            "LW{code:03}"
        );
    }
    let guarded = findings(96, Color::Amber, period, &lights);
    assert_eq!(guarded.len(), 2);
    assert!(guarded.iter().all(|found| found.depends_on_reading));
    let rate = guarded[0].measured.unwrap().in_units();
    assert_eq!(json!(rate), json!(expected["pulses_per_lamp_hz"].as_f64()));
}

#[test]
fn a_modulated_headlamp_passes_with_its_trough_and_fails_below_it() {
    let (inputs, expected) = case("N11");
    let high = micros(&inputs["high_ms"], 1).unwrap();
    let low = micros(&inputs["low_ms"], 1).unwrap();
    let passed: Vec<bool> = inputs["low_level_pct"]
        .as_array()
        .unwrap()
        .iter()
        .map(|percent| {
            let trough = percent.as_i64().unwrap() * 10;
            let light = vec![(Micros::ZERO, high, 1000), (high, low, trough)];
            verdict(
                RuleChoice::of(RuleCode(54)),
                Color::White,
                high + low,
                &[light],
            )
        })
        .collect();
    assert_eq!(json!(passed), expected["trough_ok"]);
}

/// A light that never goes dark has no flashes; each rule has to say so and none may stop.
#[test]
fn a_high_and_low_without_dark_is_said_to_have_no_flash() {
    let (inputs, _) = case("N12");
    let high = micros(&inputs["high_ms"], 1).unwrap();
    let low = micros(&inputs["low_ms"], 1).unwrap();
    for trough in [100, 101] {
        let light = vec![(Micros::ZERO, high, 1000), (high, low, trough)];
        for code in [1, 2, 55, 58, 80, 83] {
            let color = if code == 83 {
                Color::Green
            } else {
                Color::Amber
            };
            let found = findings(code, color, high + low, std::slice::from_ref(&light));
            assert!(
                found
                    .iter()
                    .any(|found| found.message.contains("never goes dark")),
                "LW{code:03}: {found:?}"
            );
        }
        // With a tenth of the peak as dark, 10 % is dark and 10.1 % is not.
        let r65 = findings(
            UN_R65,
            Color::Amber,
            high + low,
            std::slice::from_ref(&light),
        );
        let has_no_off_time = r65
            .iter()
            .any(|found| found.message.contains("off-time 0 ms"));
        assert_eq!(has_no_off_time, trough == 101, "{r65:?}");
    }
}

#[test]
fn two_lamps_in_antiphase_pass_each_for_itself() {
    let (inputs, expected) = case("N14");
    let period = Micros(250_000);
    let lights: Vec<Light> = inputs["phase_cycles"]
        .as_array()
        .unwrap()
        .iter()
        .map(|phase| {
            let start = (phase.as_f64().unwrap() * 250_000.0) as i64;
            vec![(Micros(start), Micros(50_000), 1000)]
        })
        .collect();
    assert_eq!(expected["source_ok"], json!([true, true]));
    assert!(verdict(
        RuleChoice::of(RuleCode(1)),
        Color::Amber,
        period,
        &lights
    ));
}

#[test]
fn marine_rhythms_have_the_class_of_their_rate() {
    let (inputs, expected) = case("N15");
    let classes: Vec<String> = inputs["rate_per_min"]
        .as_array()
        .unwrap()
        .iter()
        .map(|rate| {
            // The period in whole microseconds, which leaves a rate between two limits where it is.
            let rate = rate.as_i64().unwrap();
            let one = Waveform::from_pulses(
                Micros(60_000_000 / rate),
                [(Micros::ZERO, Micros(100_000), 1)],
            )
            .unwrap();
            MarineRhythm::of(&TimingFacts::of(&one))
                .unwrap()
                .to_string()
        })
        .collect();
    assert_eq!(json!(classes), expected["rhythm_class"]);
}

/// The default of a rule's parameter, thousandths of flashes per minute.
fn per_minute(code: u16, end: &str) -> i64 {
    let meta = rules::rule(RuleCode(code)).unwrap().meta();
    meta.parameter(&format!("{end}_per_minute")).map_or_else(
        || 60 * meta.parameter(&format!("{end}_hz")).unwrap().default,
        |parameter| parameter.default,
    )
}

#[test]
fn bands_that_can_be_kept_together_are_those_of_the_rules() {
    let (inputs, expected) = case("N16");
    let rule_of = |band: &Value| match band.as_str().unwrap() {
        "r65" => 3,
        "ambulance" => 2,
        "trains_60_120" => 55,
        "sae" => 1,
        "beacon" => 43,
        "arrow" => 4,
        "barricade" => 47,
        other => panic!("no rule for {other}"),
    };
    for (name, band) in inputs["bands"].as_object().unwrap() {
        let code = rule_of(&json!(name));
        for (end, key) in [("least", "min_per_min"), ("most", "max_per_min")] {
            assert_eq!(
                Some(per_minute(code, end) / 1000),
                band[key].as_i64(),
                "{name}"
            );
        }
    }
    let common: Vec<Value> = inputs["pairs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pair| {
            let end = |end| [0, 1].map(|side| per_minute(rule_of(&pair[side]), end));
            let least = end("least").into_iter().max().unwrap();
            let most = end("most").into_iter().min().unwrap();
            if least <= most {
                json!([least / 1000, most / 1000])
            } else {
                Value::Null
            }
        })
        .collect();
    assert_eq!(json!(common), expected["common_band_per_min"]);
}

/// At 4 Hz a flash of 100 ms keeps the share of R65 and leaves no 160 ms of dark; one of 90 ms keeps both.
#[test]
fn the_stricter_of_two_readings_changes_at_their_crossing() {
    let (_, expected) = case("N17");
    let ms = |key: &str| expected[key].as_f64().unwrap();
    let light = |on: f64| vec![(Micros::ZERO, Micros((on * 1000.0) as i64), 1000)];
    let both = |period: i64, on: f64| {
        [UN_R65, 1].map(|code| {
            let choice = RuleChoice::of(RuleCode(code));
            verdict(choice, Color::Amber, Micros(period), &[light(on)])
        })
    };
    assert_eq!(both(250_000, ms("on_max_r65_ms")), [true, false]);
    assert_eq!(both(250_000, ms("on_max_160_ms")), [true, true]);
    assert_eq!(both(250_000, ms("on_max_160_ms") + 0.001), [true, false]);
    // At 3.75 Hz, a period of 266.667 ms, both limits are 106.667 ms.
    assert_eq!(both(266_667, ms("equal_on_ms")), [true, true]);
    assert_eq!(both(266_667, ms("equal_on_ms") + 0.002), [false, false]);
}
