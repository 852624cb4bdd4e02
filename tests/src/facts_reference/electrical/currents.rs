//! Currents of flashing, dimmed and steady loads, and how they follow the voltage.

use super::at_supply;
use crate::facts_reference::loads::{Load, facts_of, facts_with, vehicle};
use crate::facts_reference::{Case, numbers};
use lampwright_analysis::Ratio;
use lampwright_model::{CurrentLaw, Dimming, Supply};

pub(super) fn loads(case: &Case<'_>) {
    let (period, pulses) = cells(case);
    let mut loads = Vec::new();
    for head in case.inputs["heads"].as_array().unwrap() {
        let mut load = Load::flashing(head["on_amps"].as_f64().unwrap(), period, &pulses);
        let offset_ms = head["offset_s"].as_f64().unwrap() * 1000.0;
        load.offset_ms = Ratio::whole(offset_ms.round() as i64);
        loads.push(load);
        // What a head draws at all times is a steady load of its own here.
        if let Some(quiescent) = head["quiescent_amps"].as_f64() {
            loads.push(Load::steady(quiescent));
        }
    }
    if let Some(steady) = case.inputs["steady_amps"].as_f64() {
        loads.push(Load::steady(steady));
    }
    let facts = facts_of(&loads);
    let current = facts.electrical.fuses[0].current;
    case.number("average_amps", current.mean.as_f64());
    case.number("rms_amps", current.rms_amps);
    case.number("peak_amps", current.peak.as_f64());
    case.number("least_amps", current.least.as_f64());
    assert_eq!(facts.electrical.vehicle, current);
}

pub(super) fn dimmed(case: &Case<'_>) {
    let (period, pulses) = cells(case);
    for (prefix, dimming) in [("pwm", Dimming::Carrier(200)), ("linear", Dimming::Linear)] {
        let mut load = Load::flashing(10.0, period, &pulses);
        load.dimming = dimming;
        load.level = (case.number_in("dim_ratio") * 1000.0).round() as i64;
        let current = facts_of(&[load]).electrical.outputs[0].current;
        let key = |name: &str| format!("{prefix}_{name}_amps");
        case.number(&key("average"), current.mean.as_f64());
        case.number(&key("rms"), current.rms_amps);
        case.number(&key("peak"), current.peak.as_f64());
        case.number(&key("least"), current.least.as_f64());
    }
}

/// Pulses of cells in seconds, with the period, in milliseconds.
fn cells(case: &Case<'_>) -> (Ratio, Vec<(Ratio, Ratio)>) {
    let mut now = Ratio::ZERO;
    let mut pulses = Vec::new();
    for cell in case.inputs["cells"].as_array().unwrap() {
        let seconds = cell["duration_s"].as_f64().unwrap();
        let length = Ratio::whole((seconds * 1000.0).round() as i64);
        if cell["level_ratio"].as_f64().unwrap() > 0.0 {
            pulses.push((now, length));
        }
        now = now.plus(length);
    }
    (now, pulses)
}

pub(super) fn closed_forms(case: &Case<'_>) {
    let period = Ratio::whole(1000);
    let (mut over_mean, mut over_peak) = (Vec::new(), Vec::new());
    for duty in numbers(&case.inputs["duty_ratio"]) {
        let lit = Ratio::whole((duty * 1000.0).round() as i64);
        let load = Load::flashing(7.0, period, &[(Ratio::ZERO, lit)]);
        let current = facts_of(&[load]).heads[0].emitters[0].current;
        over_mean.push(current.rms_amps / current.mean.as_f64());
        over_peak.push(current.rms_amps / current.peak.as_f64());
    }
    case.numbers("rms_over_average_ratio", &over_mean);
    case.numbers("rms_over_peak_ratio", &over_peak);
}

pub(super) fn carriers(case: &Case<'_>) {
    let mut load = Load::steady(case.number_in("on_amps"));
    load.dimming = Dimming::Carrier(200);
    load.level = (case.number_in("duty_ratio") * 1000.0).round() as i64;
    let current = facts_of(&vec![load; case.number_in("outputs") as usize])
        .electrical
        .vehicle;
    case.number("average_amps", current.mean.as_f64());
    case.number("rms_unrelated_amps", current.rms_amps);
    case.number("rms_in_phase_amps", current.rms_in_phase_amps);
    case.number("peak_in_phase_amps", current.peak.as_f64());
    case.left_out(
        &["rms_staggered_amps", "peak_staggered_amps"],
        "phases of carriers are not in the model",
    );
}

pub(super) fn current_laws(case: &Case<'_>) {
    let at = |law: CurrentLaw, watts: f64, volts: f64| {
        let mut load = Load::steady(watts / 12.8);
        load.law = law;
        let settings = at_supply(volts);
        facts_with(&vehicle(&[load], None, Supply::default()), &settings)
            .electrical
            .vehicle
            .mean
            .as_f64()
    };
    if case.id == "E01" {
        let watts = case.number_in("power_w");
        let amps: Vec<f64> = numbers(&case.inputs["supply_v"])
            .into_iter()
            .map(|volts| at(CurrentLaw::ConstantPower, watts, volts))
            .collect();
        case.numbers("amps", &amps);
        case.left_out(&["led_power_w"], "driver efficiency is not in the model");
        return;
    }
    let (from, to) = (case.number_in("from_v"), case.number_in("to_v"));
    let change = |law| 100.0 * (at(law, 30.0, to) / at(law, 30.0, from) - 1.0);
    case.number("constant_power_pct", change(CurrentLaw::ConstantPower));
    case.left_out(
        &["resistor_string_pct", "filament_pct"],
        "forward voltages and filaments are not in the model",
    );
}
