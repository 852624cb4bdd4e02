//! The electrical cases: which one is run by what, and which ones no fact expresses.

mod currents;
mod supply;
mod timing;
mod wires;

use super::run_all;
use lampwright_analysis::MeasureSettings;
use lampwright_model::Millivolts;

const ELECTRICAL: &str = include_str!("../../../reference/electrical.json");

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
            "W01" => wires::gauges(case),
            "W03" | "W04" => wires::published_drops(case),
            "W07" => wires::return_paths(case),
            "W08a" | "W08c" => wires::constant_power(case),
            "W09" => wires::least_sizes(case),
            "W11" => wires::metric(case),
            "L01" | "L02" | "L03" | "L04" | "L08" => currents::loads(case),
            "L06" => currents::dimmed(case),
            "L09" => currents::closed_forms(case),
            "L10" => currents::carriers(case),
            "S01" | "S02" => supply::peukert(case),
            "S04" => supply::reserve(case),
            "S05" => supply::idle_margin(case),
            "E01" | "E03" => currents::current_laws(case),
            "K01" | "K02" => timing::rates(case),
            "P01" | "P02" | "P04" => timing::chopping(case),
            "F01" => wires::fuse_gates(case),
            "D01" | "D02" | "D03" | "D04" | "D06" => timing::drifting(case),
            "T01" => timing::modulation_limits(case),
            _ => return false,
        }
        true
    });
}

/// Measures at a supply of some volts.
fn at_supply(volts: f64) -> MeasureSettings {
    MeasureSettings {
        supply_voltage: Some(Millivolts((volts * 1000.0).round() as i64)),
        ..MeasureSettings::default()
    }
}
