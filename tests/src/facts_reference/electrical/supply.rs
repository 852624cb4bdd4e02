//! The supply: battery minutes, reserve, and what is left of the alternator at idle.

use crate::facts_reference::loads::{Load, facts_with, vehicle};
use crate::facts_reference::{Case, numbers};
use lampwright_analysis::MeasureSettings;
use lampwright_analysis::facts::{amp_hours_of_reserve, minutes_from_amp_hours};
use lampwright_model::{Battery, Milliamps, Supply};

pub(super) fn peukert(case: &Case<'_>) {
    let exponent = case.number_in("exponent_k");
    let hours = |charge: f64, rated: f64, amps: f64| {
        minutes_from_amp_hours(charge, rated, amps, exponent, 1.0) / 60.0
    };
    if case.id == "S01" {
        let capacity = case.number_in("capacity_one_hour_ah");
        let run = hours(capacity, capacity, case.number_in("amps"));
        case.number("run_h", run);
        case.number("published_run_h", run);
        return;
    }
    let amps = numbers(&case.inputs["amps"]);
    let runs: Vec<f64> = amps
        .iter()
        .map(|amps| {
            hours(
                case.number_in("capacity_ah"),
                case.number_in("rated_h"),
                *amps,
            )
        })
        .collect();
    case.numbers("run_h", &runs);
    let delivered: Vec<f64> = runs
        .iter()
        .zip(&amps)
        .map(|(run, amps)| run * amps)
        .collect();
    case.numbers("delivered_ah", &delivered);
}

pub(super) fn reserve(case: &Case<'_>) {
    case.number(
        "available_ah",
        amp_hours_of_reserve(case.number_in("reserve_min")),
    );
    case.left_out(
        &["to_no_start_ah", "to_no_start_days"],
        "draw while parked for days is no fact",
    );
}

pub(super) fn idle_margin(case: &Case<'_>) {
    let milliamps = |amps: f64| Milliamps((amps * 1000.0).round() as i64);
    let idle = case.number_in("rated_amps") * case.number_in("idle_ratio");
    let base = case.number_in("base_vehicle_amps") + case.number_in("radio_amps");
    let margin = |other: f64| {
        let supply = Supply {
            alternator_idle: Some(milliamps(idle)),
            other_load: milliamps(other),
            ..Supply::default()
        };
        let load = Load::steady(case.number_in("warning_average_amps"));
        let program = vehicle(&[load], None, supply);
        facts_with(&program, &MeasureSettings::default())
            .electrical
            .idle_margin
            .unwrap()
    };
    let with = margin(base + case.number_in("hvac_amps"));
    case.number("idle_amps", with.alternator.as_f64());
    case.number("load_amps", with.other_load.plus(with.lamps).as_f64());
    case.number("margin_amps", with.margin.as_f64());
    case.number("margin_without_hvac_amps", margin(base).margin.as_f64());
    // With the alternator's share taken off, the deficit alone drains the battery.
    let deficit = -with.margin.as_f64();
    let supply = Supply {
        battery: Some(Battery::MilliampHours(
            (case.number_in("battery_ah") * 1000.0) as i64,
        )),
        ..Supply::default()
    };
    let settings = MeasureSettings {
        peukert_thousandths: (case.number_in("exponent_k") * 1000.0).round() as u32,
        usable_per_mille: (case.number_in("usable_ratio") * 1000.0) as u16,
        ..MeasureSettings::default()
    };
    let program = vehicle(&[Load::steady(deficit)], None, supply);
    let engine_off = facts_with(&program, &settings)
        .electrical
        .engine_off
        .unwrap();
    case.number("battery_at_deficit_min", engine_off.minutes);
}
