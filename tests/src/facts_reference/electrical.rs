//! The electrical cases: wires, currents, supply.

use super::loads::{Load, facts_of, facts_with, vehicle};
use super::{Case, numbers, run_all};
use lampwright_analysis::facts::{
    Drift, FuseGate, ModulationPractice, Rate, Resistance, WireFacts, WireTable,
    amp_hours_of_reserve, area_mm2, chopped, constant_power_load, diameter_mm, gate_at,
    least_area_mm2, minutes_from_amp_hours,
};
use lampwright_analysis::{MeasureSettings, Ratio};
use lampwright_model::*;
use lampwright_timing::Micros;

const ELECTRICAL: &str = include_str!("../../reference/electrical.json");

/// Electrical cases that no fact expresses yet, and why.
const ELECTRICAL_NOT_RUN: &[(&str, &str)] = &[
    ("W05", "conductor temperature is no fact"),
    (
        "W06",
        "a resistivity constant per foot that is not the one used here",
    ),
    ("F03", "inrush is not in the model"),
    (
        "F04",
        "number of flashes in a service life is no fact; the case says that pulse factors do not apply to flashing",
    ),
    ("F05", "resistance of fuses is not in the model"),
    ("F06a", "thermal time constants are not in the model"),
    ("F06c", "thermal time constants are not in the model"),
    ("S07", "alternator curves are not in the model"),
    ("S08", "alternator curves are not in the model"),
    ("T02", "run with the rules, in electrical_rules_reference"),
    (
        "T03",
        "a carrier switches light off altogether; partial depth and slow edges are not in the model",
    ),
    (
        "T04",
        "a carrier switches light off altogether; partial depth and slow edges are not in the model",
    ),
    (
        "T05",
        "visibility measures of steady indoor light do not fit flashing lamps on a road",
    ),
    (
        "T07",
        "visibility measures of steady indoor light do not fit flashing lamps on a road",
    ),
    (
        "T08",
        "visibility measures of steady indoor light do not fit flashing lamps on a road",
    ),
    (
        "T10",
        "visibility measures of steady indoor light do not fit flashing lamps on a road",
    ),
    (
        "T11",
        "visibility measures of steady indoor light do not fit flashing lamps on a road",
    ),
    (
        "T13",
        "visibility measures of steady indoor light do not fit flashing lamps on a road",
    ),
    ("T14", "eye movement and cameras are not in the model"),
    ("T15", "eye movement and cameras are not in the model"),
    ("E04", "inrush is not in the model"),
    ("E05", "filament lamps are not in the model"),
    ("H01", "thermal behavior of heads is not in the model"),
    ("H02", "thermal behavior of heads is not in the model"),
    ("I01", "layers of a program: run by the interlock reference"),
    ("I02", "layers of a program: run by the interlock reference"),
    ("I04", "layers of a program: run by the interlock reference"),
    ("I05", "layers of a program: run by the interlock reference"),
    ("I06", "layers of a program: run by the interlock reference"),
    ("I07", "layers of a program: run by the interlock reference"),
    ("I09", "layers of a program: run by the interlock reference"),
    ("I10", "layers of a program: run by the interlock reference"),
    ("I11", "layers of a program: run by the interlock reference"),
    ("I13", "layers of a program: run by the interlock reference"),
    ("I14", "layers of a program: run by the interlock reference"),
    ("I15", "layers of a program: run by the interlock reference"),
    ("I16", "layers of a program: run by the interlock reference"),
    ("I18", "layers of a program: run by the interlock reference"),
];

/// Runs every electrical case.
///
/// # Panics
/// When a value does not match, or a case is neither run nor listed.
pub fn electrical_cases() {
    run_all(ELECTRICAL, ELECTRICAL_NOT_RUN, |case| {
        match case.id {
            "W01" => gauges(case),
            "W03" | "W04" => published_drops(case),
            "W07" => return_paths(case),
            "W08a" | "W08c" => constant_power(case),
            "W09" => least_sizes(case),
            "W11" => metric(case),
            "L01" | "L02" | "L03" | "L04" | "L08" => loads(case),
            "L06" => dimmed(case),
            "L09" => closed_forms(case),
            "L10" => carriers(case),
            "S01" | "S02" => peukert(case),
            "S04" => reserve(case),
            "S05" => idle_margin(case),
            "E01" | "E03" => current_laws(case),
            "K01" | "K02" => rates(case),
            "P01" | "P02" | "P04" => chopping(case),
            "F01" => fuse_gates(case),
            "D01" | "D02" | "D03" | "D04" | "D06" => drifting(case),
            "T01" => modulation_limits(case),
            _ => return false,
        }
        true
    });
}

fn gauge_of(text: &str) -> i8 {
    match text.split_once('/') {
        Some((number, _)) => 1 - number.parse::<i8>().unwrap(),
        None => text.parse().unwrap(),
    }
}

fn gauges(case: &Case<'_>) {
    let celsius = case.number_in("conductor_c");
    let gauges: Vec<i8> = case.inputs["awg"]
        .as_array()
        .unwrap()
        .iter()
        .map(|text| gauge_of(text.as_str().unwrap()))
        .collect();
    let numbers: Vec<f64> = gauges.iter().map(|gauge| f64::from(*gauge)).collect();
    assert_eq!(numbers, self::numbers(&case.inputs["number_n"]));
    let of = |each: &dyn Fn(i8) -> f64| gauges.iter().map(|gauge| each(*gauge)).collect::<Vec<_>>();
    let resistance = |gauge: i8| {
        Resistance::of(WireSize::Gauge(gauge), WireTable::SolidCopper, celsius).milliohms_per_meter
    };
    case.numbers("diameter_mm", &of(&diameter_mm));
    case.numbers("area_mm2", &of(&area_mm2));
    case.numbers("resistance_mohm_per_m", &of(&resistance));
    let per_kilofoot = of(&|gauge| resistance(gauge) * 0.3048);
    case.numbers("resistance_ohm_per_kft", &per_kilofoot);
    case.numbers("published_ohm_per_kft", &per_kilofoot);
}

/// A wire with its current, at a supply; the load is on all the time.
fn drop_of(
    wire: Wire,
    load: &Load,
    supply_volts: f64,
    table: WireTable,
    conductor_celsius: i32,
) -> WireFacts {
    let program = vehicle(std::slice::from_ref(load), Some(wire), Supply::default());
    let settings = MeasureSettings {
        supply_voltage: Some(Millivolts((supply_volts * 1000.0).round() as i64)),
        wire_table: table,
        conductor_celsius,
        ..MeasureSettings::default()
    };
    facts_with(&program, &settings).electrical.outputs[0]
        .wire
        .unwrap()
}

fn published_drops(case: &Case<'_>) {
    let runs: Vec<(f64, i8)> = if case.id == "W03" {
        let runs = case.inputs["runs"].as_array().unwrap().iter();
        runs.map(|run| {
            let feet = run["length_ft"].as_f64().unwrap();
            (feet, gauge_of(run["awg"].as_str().unwrap()))
        })
        .collect()
    } else {
        let lengths = numbers(&case.inputs["length_ft"]);
        lengths.into_iter().map(|feet| (feet, 10)).collect()
    };
    let drops: Vec<f64> = runs
        .into_iter()
        .map(|(feet, gauge)| {
            let wire = Wire {
                size: WireSize::Gauge(gauge),
                length: Millimeters((feet * 304.8).round() as i64),
                return_path: Return::Chassis(0),
            };
            let load = Load::steady(20.0);
            drop_of(wire, &load, 12.8, WireTable::Largest, 20)
                .drop_volts
                .unwrap()
        })
        .collect();
    case.numbers("drop_v", &drops);
    case.left_out(
        &["published_drop_v"],
        "rounded or misprinted in the published table, as the case says",
    );
}

fn return_paths(case: &Case<'_>) {
    let mut wire = Wire {
        size: WireSize::Gauge(16),
        length: Millimeters((case.number_in("one_way_m") * 1000.0) as i64),
        return_path: Return::Wire,
    };
    let load = Load::steady(case.number_in("amps"));
    let supply = case.number_in("supply_v");
    let celsius = case.number_in("conductor_c") as i32;
    let by_wire = drop_of(wire, &load, supply, WireTable::SolidCopper, celsius);
    let milliohms = case.number_in("chassis_ohm") * 1000.0;
    wire.return_path = Return::Chassis(milliohms.round() as u32);
    let by_chassis = drop_of(wire, &load, supply, WireTable::SolidCopper, celsius);
    case.number(
        "resistance_mohm_per_m",
        by_wire.resistance.milliohms_per_meter,
    );
    case.number("drop_wire_return_v", by_wire.drop_volts.unwrap());
    case.number("drop_wire_return_pct", 100.0 * by_wire.drop_share.unwrap());
    case.number("load_wire_return_v", supply - by_wire.drop_volts.unwrap());
    case.number("loss_wire_return_w", by_wire.heat_watts);
    case.number("drop_chassis_return_v", by_chassis.drop_volts.unwrap());
    case.number(
        "drop_chassis_return_pct",
        100.0 * by_chassis.drop_share.unwrap(),
    );
}

fn constant_power(case: &Case<'_>) {
    let supply = case.number_in("supply_v");
    let watts = case.number_in("power_w");
    let wire = Wire {
        size: WireSize::Gauge(16),
        length: Millimeters((case.number_in("one_way_m") * 1000.0) as i64),
        return_path: Return::Wire,
    };
    let mut load = Load::steady(watts / 12.8);
    load.law = CurrentLaw::ConstantPower;
    let celsius = case.number_in("conductor_c") as i32;
    let facts = drop_of(wire, &load, supply, WireTable::SolidCopper, celsius);
    case.number("drop_v", facts.drop_volts.unwrap());
    case.number("drop_pct", 100.0 * facts.drop_share.unwrap());
    let settled = constant_power_load(supply, facts.loop_ohms, watts).unwrap();
    case.number("load_v", settled.load_volts);
    case.number("amps", settled.amps);
    let program = vehicle(&[load], Some(wire), Supply::default());
    let settings = MeasureSettings {
        supply_voltage: Some(Millivolts((supply * 1000.0).round() as i64)),
        ..MeasureSettings::default()
    };
    let without = facts_with(&program, &settings).electrical.vehicle.peak;
    case.number("amps_without_drop", without.as_f64());
    let largest = supply * supply / (4.0 * facts.loop_ohms);
    case.number("largest_power_w", largest);
    assert!(constant_power_load(supply, facts.loop_ohms, largest * 1.001).is_none());
    assert!(constant_power_load(supply, facts.loop_ohms, largest * 0.999).is_some());
}

fn least_sizes(case: &Case<'_>) {
    let drop = case.number_in("supply_v") * case.number_in("drop_pct") / 100.0;
    let area = least_area_mm2(
        case.number_in("one_way_m"),
        case.number_in("amps"),
        drop,
        case.number_in("conductor_c"),
    );
    case.number("area_mm2", area);
    case.number("awg_10_area_mm2", area_mm2(10));
    case.number("awg_12_area_mm2", area_mm2(12));
    case.left_out(
        &["next_awg", "next_size_mm2"],
        "choosing a size is left to the person",
    );
}

fn metric(case: &Case<'_>) {
    let wire = Wire {
        size: WireSize::ThousandthsMm2(1500),
        length: Millimeters((case.number_in("one_way_m") * 1000.0) as i64),
        return_path: Return::Wire,
    };
    let load = Load::steady(case.number_in("amps"));
    let supply = case.number_in("supply_v");
    let facts = drop_of(wire, &load, supply, WireTable::Largest, 20);
    let pure = drop_of(wire, &load, supply, WireTable::SolidCopper, 20).resistance;
    case.number("drop_v", facts.drop_volts.unwrap());
    case.number("drop_pct", 100.0 * facts.drop_share.unwrap());
    case.number("pure_copper_mohm_per_m", pure.milliohms_per_meter);
    case.number(
        "standard_to_pure_ratio",
        facts.resistance.milliohms_per_meter / pure.milliohms_per_meter,
    );
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

fn loads(case: &Case<'_>) {
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

fn dimmed(case: &Case<'_>) {
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

fn closed_forms(case: &Case<'_>) {
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

fn carriers(case: &Case<'_>) {
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

fn peukert(case: &Case<'_>) {
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

fn reserve(case: &Case<'_>) {
    case.number(
        "available_ah",
        amp_hours_of_reserve(case.number_in("reserve_min")),
    );
    case.left_out(
        &["to_no_start_ah", "to_no_start_days"],
        "draw while parked for days is no fact",
    );
}

fn idle_margin(case: &Case<'_>) {
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

fn current_laws(case: &Case<'_>) {
    let at = |law: CurrentLaw, watts: f64, volts: f64| {
        let mut load = Load::steady(watts / 12.8);
        load.law = law;
        let settings = MeasureSettings {
            supply_voltage: Some(Millivolts((volts * 1000.0).round() as i64)),
            ..MeasureSettings::default()
        };
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

fn rates(case: &Case<'_>) {
    let rates: Vec<Rate> = numbers(&case.inputs["rate_per_min"])
        .into_iter()
        .map(|per_minute| Rate {
            flashes: per_minute as usize,
            period: Micros(60_000_000),
        })
        .collect();
    let hz: Vec<f64> = rates.iter().map(|rate| rate.hz().as_f64()).collect();
    case.numbers("rate_hz", &hz);
    let periods: Vec<f64> = rates
        .iter()
        .map(|rate| Ratio::ONE.divided_by(rate.hz()).unwrap().as_f64())
        .collect();
    case.numbers("period_s", &periods);
    if case.id == "K02" {
        case.left_out(
            &["least_on_s", "sequential_phase_s"],
            "shares of a period stated by a limit, not measured",
        );
    }
}

fn chopping(case: &Case<'_>) {
    let pulse = Micros((case.number_in("flash_ms") * 1000.0).round() as i64);
    let level = (case.number_in("carrier_duty_ratio") * 1000.0).round() as i64;
    let found = chopped(pulse, case.number_in("carrier_hz") as u32, level).unwrap();
    case.number("lit_least_ms", found.least_ms.as_f64());
    case.number("lit_most_ms", found.most_ms.as_f64());
    case.number("lit_ideal_ms", found.ideal_ms.as_f64());
    case.number("spread_pct", 100.0 * found.spread.as_f64());
}

fn fuse_gates(case: &Case<'_>) {
    let gates: Vec<FuseGate> = case.inputs["gates"]
        .as_array()
        .unwrap()
        .iter()
        .map(|gate| FuseGate {
            overload: gate["overload_ratio"].as_f64().unwrap(),
            least_seconds: gate["least_s"].as_f64().unwrap(),
            most_seconds: gate["most_s"].as_f64().unwrap(),
        })
        .collect();
    let gate = gate_at(&gates, case.number_in("overload_ratio")).unwrap();
    case.number("least_s", gate.least_seconds);
    case.number("most_s", gate.most_seconds);
}

fn drifting(case: &Case<'_>) {
    let tolerance = case.number_in("tolerance_each_ppm") as u32;
    let rate = Ratio::new((case.number_in("rate_hz") * 1000.0) as i128, 1000);
    let drift = Drift::of(tolerance, tolerance, rate).unwrap();
    case.number("relative_error_ratio", drift.relative_error.as_f64());
    case.number("half_period_slip_s", drift.half_period_seconds.as_f64());
    case.number("full_beat_s", drift.beat_seconds.as_f64());
    let offset = drift.seconds_to_offset(case.number_in("offset_ms") as i64);
    case.number("to_offset_s", offset.unwrap().as_f64());
    case.left_out(
        &["typical_half_period_slip_s"],
        "a typical pair; the rules take the worst one",
    );
}

fn modulation_limits(case: &Case<'_>) {
    let hertz: Vec<u32> = numbers(&case.inputs["frequency_hz"])
        .into_iter()
        .map(|hertz| hertz as u32)
        .collect();
    for (name, from_name, practice) in [
        (
            "low_risk_pct",
            "full_depth_low_risk_from_hz",
            ModulationPractice::LowRisk,
        ),
        (
            "noel_pct",
            "full_depth_noel_from_hz",
            ModulationPractice::NoEffect,
        ),
    ] {
        let expected = case.expected[name].as_array().unwrap();
        case.seen.borrow_mut().insert(name.into());
        assert_eq!(expected.len(), hertz.len());
        for (hertz, expected) in hertz.iter().zip(expected) {
            let most = practice.most_percent(*hertz).map(Ratio::as_f64);
            assert_eq!(most.is_none(), expected.is_null(), "{name} at {hertz} Hz");
            if let (Some(most), Some(expected)) = (most, expected.as_f64()) {
                case.close(name, expected, most);
            }
        }
        if practice == ModulationPractice::NoEffect {
            // 0.0333 f reaches 100 % at 3003 Hz, past the 3000 Hz up to which there is a limit at all.
            case.left_out(&[from_name], "past the end of the limit");
            continue;
        }
        let from = (90_u32..5000).find(|hertz| {
            practice
                .most_percent(*hertz)
                .is_none_or(|most| most >= Ratio::whole(100))
        });
        case.number(from_name, f64::from(from.unwrap()));
    }
}
