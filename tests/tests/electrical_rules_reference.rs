//! The electrical and practice rules against the reference cases of electrical facts.
//!
//! The facts reference holds the formulas to the cases; where a rule rests on one, the same case goes the whole way from a program to a report here.
//! Limits of rules stand on both sides of each expected value, as far as its four digits reach.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use lampwright_analysis::report::{Finding, Verdict};
use lampwright_analysis::rules::CheckSettings;
use lampwright_analysis::{MeasureSettings, check_with};
use lampwright_formats::read_program;
use serde_json::{Value, json};

const CASES: &str = include_str!("../reference/electrical.json");

struct Case {
    inputs: Value,
    expected: Value,
    relative: f64,
}

fn case(id: &str) -> Case {
    let file: Value = serde_json::from_str(CASES).unwrap();
    let case = file["cases"]
        .as_array()
        .unwrap()
        .iter()
        .find(|case| case["id"] == id)
        .unwrap_or_else(|| panic!("no case {id}"))
        .clone();
    Case {
        relative: case["tolerance"]["rel"].as_f64().unwrap(),
        inputs: case["inputs"].clone(),
        expected: case["expected"].clone(),
    }
}

impl Case {
    fn input(&self, name: &str) -> f64 {
        self.inputs[name]
            .as_f64()
            .unwrap_or_else(|| panic!("no input {name}"))
    }

    fn list(&self, name: &str) -> Vec<Option<f64>> {
        self.expected[name]
            .as_array()
            .unwrap()
            .iter()
            .map(Value::as_f64)
            .collect()
    }

    #[track_caller]
    fn is(&self, name: &str, value: f64) {
        let expected = self.expected[name].as_f64().unwrap();
        self.near(name, value, expected);
    }

    #[track_caller]
    fn near(&self, name: &str, value: f64, expected: f64) {
        assert!(
            (value - expected).abs() <= self.relative * expected.abs() + 1e-9,
            "{name}: {value}, expected {expected}"
        );
    }
}

/// A program of lamps on one pattern each, with its profile's rules.
///
/// A lamp is `(extra fields of its emitter, clock, pulses as (start, length, level))`, period in ms; none is lit at its level all the time.
struct Lamp {
    emitter: Value,
    clock: Option<&'static str>,
    pulses: Vec<(f64, f64, i64)>,
}

fn lamp(emitter: Value, pulses: &[(f64, f64, i64)]) -> Lamp {
    Lamp {
        emitter,
        clock: None,
        pulses: pulses.to_vec(),
    }
}

fn findings(
    vehicle: Value,
    lamps: &[Lamp],
    period_ms: f64,
    rule: Value,
    celsius: i32,
) -> (Vec<Finding>, Verdict) {
    let id = |index: usize| format!("lamp-{index}");
    let heads: Vec<Value> = lamps
        .iter()
        .enumerate()
        .map(|(index, lamp)| {
            let mut emitter = lamp.emitter.clone();
            emitter["color"] = json!("red");
            let mut head = json!({"id": id(index), "label": "", "x_m": 0, "y_m": 0, "z_m": 1, "facing_deg": 0, "emitters": [emitter]});
            if let Some(clock) = lamp.clock {
                head["clock"] = json!(clock);
            }
            head
        })
        .collect();
    let lanes: Vec<Value> = lamps
        .iter()
        .enumerate()
        .map(|(index, lamp)| {
            let pulses: Vec<Value> = lamp
                .pulses
                .iter()
                .map(|(start, length, level)| json!({"start_ms": start, "length_ms": length, "level": level}))
                .collect();
            json!({"role": id(index), "pulses": pulses})
        })
        .collect();
    let bindings: Vec<Value> = (0..lamps.len())
        .map(|index| json!({"lane": id(index), "heads": [format!("head:{}", id(index))]}))
        .collect();
    let mut vehicle = vehicle;
    vehicle["heads"] = json!(heads);
    let file = json!({
        "format": "lampwright-program", "version": 1, "name": "case",
        "vehicle": vehicle,
        "patterns": [{"id": "p", "label": "", "period_ms": period_ms, "tick_ms": 0.001, "lanes": lanes}],
        "layers": [{"id": "always", "label": "", "when": [{}], "play": {"pattern": "p", "bindings": bindings}}],
        "profile": {"title": "case", "rules": [rule]},
    });
    let outcome = read_program(file.to_string().as_bytes());
    let real: Vec<_> = outcome.problems.iter().map(ToString::to_string).collect();
    assert_eq!(real, [""; 0]);
    let program = outcome.program.unwrap();
    let settings = CheckSettings {
        measure: MeasureSettings {
            conductor_celsius: celsius,
            ..MeasureSettings::default()
        },
        ..CheckSettings::default()
    };
    let report = check_with(&program, &settings);
    let code = program.profile.rules[0].code;
    let verdict = report.outcome(code).unwrap().verdict.clone();
    let findings = report
        .findings
        .into_iter()
        .filter(|finding| finding.code == code)
        .collect();
    (findings, verdict)
}

fn rule(code: &str, parameters: Value) -> Value {
    json!({"code": code, "parameters": parameters})
}

#[track_caller]
fn measured(found: &(Vec<Finding>, Verdict)) -> f64 {
    assert_eq!(found.0.len(), 1, "{:?}", found.1);
    found.0[0].measured.unwrap().in_units()
}

#[track_caller]
fn passed(found: &(Vec<Finding>, Verdict)) {
    assert!(matches!(found.1, Verdict::Passed { .. }), "{found:?}");
}

fn fused(rating_a: f64) -> Value {
    json!({
        "fuses": [{"id": "f", "label": "", "rating_a": rating_a}],
        "outputs": [
            {"id": "o", "label": "", "rating_a": rating_a, "fuse": "f"},
            {"id": "p", "label": "", "rating_a": rating_a, "fuse": "f"},
        ],
    })
}

/// L01 to L03: one head, two in turn and two in step; the rules see the expected root mean square and peak.
#[test]
fn outputs_and_fuses_carry_what_the_load_cases_say() {
    for (id, offsets) in [
        ("L01", vec![0.0]),
        ("L02", vec![0.0, 250.0]),
        ("L03", vec![0.0, 0.0]),
    ] {
        let case = case(id);
        let amps = case.inputs["heads"][0]["on_amps"].as_f64().unwrap();
        let lamps = |output: &str| -> Vec<Lamp> {
            offsets
                .iter()
                .map(|offset| {
                    lamp(
                        json!({"full_current_a": amps, "output": output}),
                        &[(*offset, 250.0, 1000)],
                    )
                })
                .collect()
        };
        let rms = case.expected["rms_amps"].as_f64().unwrap();
        let at = |rating: f64| {
            findings(
                fused(rating),
                &lamps("o"),
                500.0,
                rule("LW033", json!({})),
                20,
            )
        };
        case.is("rms_amps", measured(&at(round(rms * 0.999))));
        passed(&at(round(rms * 1.001)));
        let peak = findings(fused(1.0), &lamps("o"), 500.0, rule("LW030", json!({})), 20);
        case.is("peak_amps", measured(&peak));
    }
    // Only the heads in step are told that they could take turns, and what the peak would be then: that of L02.
    let two = |offset: f64| {
        let lamps = [("o", 0.0), ("p", offset)].map(|(output, start)| {
            lamp(
                json!({"full_current_a": 10, "output": output}),
                &[(start, 250.0, 1000)],
            )
        });
        findings(fused(50.0), &lamps, 500.0, rule("LW063", json!({})), 20)
    };
    case("L03").is("peak_amps", measured(&two(0.0)));
    let in_turn = two(0.0).0[0].limit.unwrap().at_most.unwrap().in_units();
    case("L02").is("peak_amps", in_turn);
    passed(&two(250.0));
}

/// Thousandths, as files hold them.
fn round(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// L06: half a second dimmed to 30 %, by a carrier and by the current itself.
#[test]
fn a_carrier_heats_an_output_as_the_dimming_case_says() {
    let case = case("L06");
    for (name, dimming) in [
        ("pwm_rms_amps", json!({"carrier_hz": 2000})),
        ("linear_rms_amps", Value::Null),
    ] {
        let mut emitter = json!({"full_current_a": 10, "output": "o"});
        if !dimming.is_null() {
            emitter["dimming"] = dimming;
        }
        let lamps = [lamp(emitter, &[(0.0, 250.0, 300)])];
        case.is(
            name,
            measured(&findings(
                fused(1.0),
                &lamps,
                500.0,
                rule("LW033", json!({})),
                20,
            )),
        );
    }
}

/// L10: four outputs of 10 A dimmed to a quarter; in phase 20 A, unrelated 13.23 A.
#[test]
fn carriers_in_phase_heat_a_fuse_as_the_stagger_case_says() {
    let case = case("L10");
    let lamps: Vec<Lamp> = (0..4)
        .map(|_| {
            let emitter =
                json!({"full_current_a": 10, "output": "o", "dimming": {"carrier_hz": 2000}});
            lamp(emitter, &[(0.0, 500.0, 250)])
        })
        .collect();
    let found = findings(fused(90.0), &lamps, 500.0, rule("LW039", json!({})), 20);
    let ratio = 1.0 + measured(&found) / 100.0;
    let expected = |name: &str| case.expected[name].as_f64().unwrap();
    case.near(
        "in phase over unrelated",
        ratio,
        expected("rms_in_phase_amps") / expected("rms_unrelated_amps"),
    );
    assert!(
        found.0[0].message.contains("carries 20 A RMS"),
        "{}",
        found.0[0].message
    );
}

/// W07's return paths are solid copper, which the facts reference runs; W11 is the metric table the rule takes.
#[test]
fn a_metric_wire_loses_what_its_case_says() {
    let case = case("W11");
    let vehicle = json!({
        "supply": {"test_voltage_v": case.input("supply_v")},
        "outputs": [{"id": "o", "label": "", "rating_a": 50,
            "wire": {"area_mm2": case.input("area_mm2"), "length_m": case.input("one_way_m"), "return": "wire"}}],
    });
    let lamps = [lamp(
        json!({"full_current_a": case.input("amps"), "current_law": "constant-current", "output": "o"}),
        &[(0.0, 500.0, 1000)],
    )];
    let at = |percent: f64| {
        findings(
            vehicle.clone(),
            &lamps,
            500.0,
            rule("LW037", json!({"most_percent": percent})),
            20,
        )
    };
    let percent = case.expected["drop_pct"].as_f64().unwrap();
    case.is("drop_pct", measured(&at(round(percent * 0.999))));
    passed(&at(round(percent * 1.001)));
}

#[test]
fn pulses_are_chopped_as_the_carrier_cases_say() {
    for id in ["P01", "P02", "P04"] {
        let case = case(id);
        let pulse_ms = case.input("flash_ms");
        let hertz = case.input("carrier_hz");
        let level = (case.input("carrier_duty_ratio") * 1000.0).round() as i64;
        let spread = case.expected["spread_pct"].as_f64().unwrap();
        // The rule, with its limit just below and just above.
        let lamps = [lamp(
            json!({"dimming": {"carrier_hz": hertz}}),
            &[(0.0, pulse_ms, level)],
        )];
        let at = |most: f64| {
            findings(
                json!({}),
                &lamps,
                500.0,
                rule("LW060", json!({"most_spread_percent": most})),
                20,
            )
        };
        if spread > 0.0 {
            let measured = measured(&at(round(spread - 0.1)));
            assert!((measured - spread).abs() < 0.1, "{id}: {measured}");
            passed(&at(round(spread + 0.1)));
        } else {
            passed(&at(0.0));
        }
    }
}

#[test]
fn fuse_gates_are_interpolated_as_the_case_says() {
    let case = case("F01");
    // The case's gates are the rule's own: 25 A through a fuse of 10 A, for just too short and just long enough.
    let burst = |ms: f64| {
        let lamps = [lamp(
            json!({"full_current_a": 25, "output": "o"}),
            &[(0.0, ms, 1000)],
        )];
        findings(fused(10.0), &lamps, 2000.0, rule("LW034", json!({})), 20)
    };
    let least_ms = case.expected["least_s"].as_f64().unwrap() * 1000.0;
    passed(&burst(round(least_ms * 0.999)));
    measured(&burst(round(least_ms * 1.001)));
}

#[test]
fn free_running_clocks_slip_as_the_drift_cases_say() {
    for id in ["D01", "D02", "D03", "D04", "D06"] {
        let case = case(id);
        let tolerance = case.input("tolerance_each_ppm") as u32;
        // The rule: two lamps that one pattern plays on, each on such a clock.
        let vehicle = json!({"clocks": Vec::from(["k1", "k2"].map(|id| json!({"id": id, "label": "", "tolerance_ppm": tolerance})))});
        let period = 1000.0 / case.input("rate_hz");
        let lamps = ["k1", "k2"].map(|clock| Lamp {
            clock: Some(clock),
            ..lamp(json!({}), &[(0.0, 50.0, 1000)])
        });
        let minutes = case.expected["half_period_slip_s"].as_f64().unwrap() / 60.0;
        let at = |least: f64| {
            findings(
                vehicle.clone(),
                &lamps,
                period,
                rule("LW069", json!({"least_minutes": least})),
                20,
            )
        };
        case.is(
            "half_period_slip_s",
            measured(&at(round(minutes + 0.001))) * 60.0,
        );
        passed(&at(round(minutes - 0.001)));
    }
}

#[test]
fn carriers_are_limited_as_the_modulation_cases_say() {
    let limits = case("T01");
    let hertz: Vec<u32> = limits.inputs["frequency_hz"]
        .as_array()
        .unwrap()
        .iter()
        .map(|hertz| u32::try_from(hertz.as_u64().unwrap()).unwrap())
        .collect();
    for (name, number) in [("low_risk_pct", 1), ("noel_pct", 2)] {
        for (hertz, expected) in hertz.iter().zip(limits.list(name)) {
            // Full depth, which T02 gives as 100 percent: the rule fails where the limit is below it.
            let lamps = [lamp(
                json!({"dimming": {"carrier_hz": hertz}}),
                &[(0.0, 100.0, 500)],
            )];
            let found = findings(
                json!({}),
                &lamps,
                500.0,
                rule("LW062", json!({"practice": number})),
                20,
            );
            let fails = expected.is_some_and(|expected| expected < 100.0);
            assert_eq!(found.0.len(), usize::from(fails), "{name} at {hertz} Hz");
            if fails {
                let depth = case("T02").expected["percent_flicker_pct"][0]
                    .as_f64()
                    .unwrap();
                limits.near("depth", measured(&found), depth);
            }
        }
    }
}

/// The rules' cases that are left to other tests, or that no rule speaks of, with the reason; nothing else may be left out.
#[test]
fn every_case_is_run_somewhere_or_its_absence_has_a_reason() {
    let here = [
        "L01", "L02", "L03", "L06", "L10", "W11", "P01", "P02", "P04", "F01", "D01", "D02", "D03",
        "D04", "D06", "T01", "T02",
    ];
    let reasons = [
        (
            "W01 W03 W04 W07 W08a W08c W09",
            "resistance, drop and constant power are run by the facts reference",
        ),
        (
            "W05 W06",
            "conductor temperature and a resistivity constant per foot are in no rule",
        ),
        (
            "L04 L08 L09 S01 S02 S04 S05 E01 E03 K01 K02",
            "run by the facts reference",
        ),
        ("F03 E04", "inrush is not in the model"),
        (
            "F04",
            "a number of flashes in a service life decides no rule; its case says that pulse factors do not apply to flashing",
        ),
        ("F05", "the resistance of fuses is not in the model"),
        (
            "F06a F06c H01 H02",
            "thermal time constants are not in the model",
        ),
        (
            "S07 S08",
            "an alternator's curve is not in the model, only its current at idle and at speed",
        ),
        (
            "T03 T04",
            "a carrier switches light off altogether; partial depth and slow edges are not in the model",
        ),
        (
            "T05 T07 T08 T10 T11 T13",
            "visibility measures of steady indoor light do not fit flashing lamps on a road",
        ),
        ("T14 T15", "eye movement and cameras decide no rule"),
        ("E05", "filament lamps are not in the model"),
    ];
    let file: Value = serde_json::from_str(CASES).unwrap();
    for case in file["cases"].as_array().unwrap() {
        let id = case["id"].as_str().unwrap();
        let is_listed = reasons
            .iter()
            .any(|(ids, _)| ids.split(' ').any(|known| known == id));
        let n = usize::from(here.contains(&id))
            + usize::from(is_listed)
            + usize::from(id.starts_with('I'));
        assert_eq!(n, 1, "{id}");
    }
}
