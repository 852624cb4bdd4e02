//! The timing rules against the reference cases of flash timing.
//!
//! Each case gives the verdict of several readings of published rules, calculated by hand arithmetic in exact fractions.
//! Here the rules themselves have to come to the same verdicts, through the whole way from a program to a report.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use lampwright_analysis::check;
use lampwright_analysis::report::{Finding, Report, Verdict};
use lampwright_model::{
    Action, Binding, Color, Condition, Emitter, Head, Lane, Layer, Millidegrees, Millimeters,
    Parts, Pattern, Program, Pulse, RuleChoice, RuleCode, Severity, Target,
};
use lampwright_timing::{Level, Micros};
use serde_json::Value;

const CASES: &str = include_str!("../reference/flash-rules.json");
const SAE: RuleCode = RuleCode(1);
const AMBULANCE: RuleCode = RuleCode(2);
const UN_R65: RuleCode = RuleCode(3);
const ARROW: RuleCode = RuleCode(4);

/// Whole microseconds of a time in ms; none for one that is no whole number of them.
fn micros(text: &Value) -> Option<Micros> {
    let text = text.as_str().unwrap();
    let (numerator, denominator) = text.split_once('/').unwrap_or((text, "1"));
    let thousandths = 1000 * numerator.parse::<i64>().unwrap();
    let denominator: i64 = denominator.parse().unwrap();
    (thousandths % denominator == 0).then(|| Micros(thousandths / denominator))
}

/// One lamp that plays the case's pulses; none when its times are no whole microseconds.
fn program(inputs: &Value) -> Option<Program> {
    let period = micros(&inputs["period_ms"])?;
    let pulses: Vec<Pulse> = inputs["pulses"]
        .as_array()?
        .iter()
        .map(|pulse| {
            Some(Pulse {
                start: micros(&pulse["start_ms"])?,
                length: micros(&pulse["on_ms"])?,
                level: Level::FULL,
                color: None,
            })
        })
        .collect::<Option<_>>()?;
    let mut parts = Parts::default();
    parts.vehicle.heads.push(Head {
        id: "lamp".parse().unwrap(),
        label: String::new(),
        x: Millimeters(0),
        y: Millimeters(0),
        z: Millimeters(1000),
        facing: Millidegrees(0),
        beam: None,
        emitters: vec![Emitter::of(Color::Amber)],
        clock: None,
        tags: Vec::new(),
    });
    parts.patterns.push(Pattern {
        id: "case".parse().unwrap(),
        label: String::new(),
        period,
        tick: Micros(1),
        lanes: vec![Lane {
            role: "all".parse().unwrap(),
            pulses: pulses.into(),
        }],
    });
    parts.layers.push(Layer {
        id: "always".parse().unwrap(),
        label: String::new(),
        when: Condition::always(),
        action: Action::Play {
            pattern: "case".parse().unwrap(),
            bindings: vec![Binding {
                lane: "all".parse().unwrap(),
                heads: vec![Target::All],
                color: None,
                offset: Micros::ZERO,
            }],
        },
    });
    for code in [SAE, AMBULANCE, UN_R65] {
        parts.profile.rules.push(RuleChoice::of(code));
    }
    let mut arrow = RuleChoice::of(ARROW);
    arrow.only_patterns.push("case".parse().unwrap());
    parts.profile.rules.push(arrow);
    let (program, problems) = Program::admit(parts);
    assert!(problems.is_empty(), "{problems:?}");
    Some(program)
}

fn passes(report: &Report, code: RuleCode) -> bool {
    match &report.outcome(code).unwrap().verdict {
        Verdict::Passed { .. } => true,
        Verdict::Failed { .. } => false,
        other => panic!("{code}: {other:?}"),
    }
}

fn findings(report: &Report, code: RuleCode) -> Vec<&Finding> {
    report
        .findings
        .iter()
        .filter(|finding| finding.code == code)
        .collect()
}

/// Every case with pulses, except those whose times are no whole microseconds.
fn cases() -> Vec<(String, Value, Program)> {
    let cases: Value = serde_json::from_str(CASES).unwrap();
    cases["cases"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|case| case["expected"]["verdicts"].is_object())
        .filter_map(|case| {
            Some((
                case["id"].as_str().unwrap().to_owned(),
                case["expected"]["verdicts"].clone(),
                program(&case["inputs"])?,
            ))
        })
        .collect()
}

#[test]
fn all_cases_but_the_two_in_thirds_and_sevenths_are_run() {
    let ids: Vec<String> = cases().into_iter().map(|(id, ..)| id).collect();
    assert_eq!(ids.len(), 25, "{ids:?}");
    assert!(!ids.contains(&"C30".into()) && !ids.contains(&"C31".into()));
}

#[test]
fn rules_with_one_reading_come_to_the_verdict_of_each_case() {
    for (id, verdicts, program) in cases() {
        let report = check(&program);
        for (code, reading) in [
            (SAE, "sae_1_to_4_hz"),
            (AMBULANCE, "trains_75_to_125_per_min"),
        ] {
            assert_eq!(
                passes(&report, code),
                verdicts[reading] == "pass",
                "{id} {reading}"
            );
        }
    }
}

/// The reading of the cases also asks for equal flashes, which the rule does not.
#[test]
fn arrows_come_to_the_verdict_of_each_case() {
    for (id, verdicts, program) in cases() {
        let report = check(&program);
        assert_eq!(
            passes(&report, ARROW),
            verdicts["arrow_25_to_40_per_min"] == "pass",
            "{id}"
        );
    }
}

#[test]
fn both_readings_of_grouped_pulses_come_to_their_verdicts() {
    let mut n_depends = 0;
    for (id, verdicts, program) in cases() {
        let report = check(&program);
        let found = findings(&report, UN_R65);
        let by_sum = verdicts["r65_light_sum"] == "pass";
        let by_envelope = verdicts["r65_envelope"] == "pass";
        match (by_sum, by_envelope) {
            (true, true) => assert!(passes(&report, UN_R65), "{id}"),
            (true, false) => {
                n_depends += 1;
                assert!(
                    !found.is_empty() && found.iter().all(|found| found.depends_on_reading),
                    "{id}: {found:?}"
                );
            }
            (false, false) => assert!(
                found.iter().any(|found| !found.depends_on_reading),
                "{id}: {found:?}"
            ),
            (false, true) => panic!("{id}: an envelope is never shorter than its light"),
        }
        // Known from memory alone, so nothing here is an error.
        assert!(
            found
                .iter()
                .all(|found| found.severity <= Severity::Warning && found.is_unverified),
            "{id}"
        );
    }
    assert!(n_depends > 0);
}

/// A rate is an error of its own only when counting every pulse or trains of any length does not bring it into the band.
#[test]
fn a_verdict_that_rests_on_the_remembered_gap_is_never_an_error() {
    for (id, verdicts, program) in cases() {
        let report = check(&program);
        let is_naive_pass = verdicts["every_pulse_1_to_4_hz"] == "pass";
        for found in findings(&report, SAE) {
            if is_naive_pass {
                assert_eq!(found.severity, Severity::Warning, "{id}");
                assert!(found.is_unverified && found.depends_on_reading, "{id}");
            }
        }
    }
}

/// Case C04: 240.96 per minute is over 4.0 Hz and would round onto it.
#[test]
fn nothing_is_rounded_onto_a_limit() {
    let (_, _, program) = cases().into_iter().find(|(id, ..)| id == "C04").unwrap();
    let report = check(&program);
    let found = findings(&report, SAE);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].severity, Severity::Error);
    assert!(
        found[0].message.contains("4.016 Hz (240.964 per minute)"),
        "{}",
        found[0].message
    );
}
