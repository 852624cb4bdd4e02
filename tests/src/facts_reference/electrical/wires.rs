//! Wires and the fuses before them: sizes, resistance, drop, and how long a fuse holds.

use super::at_supply;
use crate::facts_reference::loads::{Load, facts_with, vehicle};
use crate::facts_reference::{Case, numbers};
use lampwright_analysis::MeasureSettings;
use lampwright_analysis::facts::{
    FuseGate, Resistance, WireFacts, WireTable, area_mm2, constant_power_load, diameter_mm,
    gate_at, least_area_mm2,
};
use lampwright_model::{CurrentLaw, Millimeters, Return, Supply, Wire, WireSize};

pub(super) fn gauges(case: &Case<'_>) {
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

fn gauge_of(text: &str) -> i8 {
    match text.split_once('/') {
        Some((number, _)) => 1 - number.parse::<i8>().unwrap(),
        None => text.parse().unwrap(),
    }
}

pub(super) fn published_drops(case: &Case<'_>) {
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

pub(super) fn return_paths(case: &Case<'_>) {
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

pub(super) fn constant_power(case: &Case<'_>) {
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
    let settings = at_supply(supply);
    let without = facts_with(&program, &settings).electrical.vehicle.peak;
    case.number("amps_without_drop", without.as_f64());
    let largest = supply * supply / (4.0 * facts.loop_ohms);
    case.number("largest_power_w", largest);
    assert!(constant_power_load(supply, facts.loop_ohms, largest * 1.001).is_none());
    assert!(constant_power_load(supply, facts.loop_ohms, largest * 0.999).is_some());
}

pub(super) fn metric(case: &Case<'_>) {
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
        wire_table: table,
        conductor_celsius,
        ..at_supply(supply_volts)
    };
    facts_with(&program, &settings).electrical.outputs[0]
        .wire
        .unwrap()
}

pub(super) fn least_sizes(case: &Case<'_>) {
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

pub(super) fn fuse_gates(case: &Case<'_>) {
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
