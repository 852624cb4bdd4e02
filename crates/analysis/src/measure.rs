//! The single entry to the facts: one pass over a drive.
//!
//! Invariant: pure; the same program, drive and settings give the same bits on every machine.

use crate::facts::{Facts, WireTable};
use lampwright_model::{Drive, Milliamps, Millivolts, Program};

/// The facts of a drive of the program; see [`Facts`].
#[must_use]
pub fn measure(program: &Program, drive: &Drive, settings: &MeasureSettings) -> Facts {
    Facts::of(program, drive, settings)
}

/// What may be chosen about measuring.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct MeasureSettings {
    /// Voltage to state currents at; none is the voltage the lamps' currents are stated at.
    pub supply_voltage: Option<Millivolts>,
    /// Where wire resistance is taken from.
    pub wire_table: WireTable,
    /// Conductor temperature for wire resistance, degrees Celsius.
    pub conductor_celsius: i32,
    /// Peukert exponent in thousandths; flooded batteries 1200 to 1300, AGM 1050 to 1150 (second-hand).
    pub peukert_thousandths: u32,
    /// Share of the battery's charge that may be used, per mille; 400 to 500 if the engine must start again.
    pub usable_per_mille: u16,
    /// Mean of all else that draws current with the engine off; none is the supply's other load.
    pub engine_off_load: Option<Milliamps>,
}

impl Default for MeasureSettings {
    /// Peukert 1.2 and 40 % of the charge usable (both within the ranges above; our own choice), largest tabled wire resistance at 50 degrees Celsius (our own choice).
    fn default() -> Self {
        Self {
            supply_voltage: None,
            wire_table: WireTable::Largest,
            conductor_celsius: 50,
            peukert_thousandths: 1200,
            usable_per_mille: 400,
            engine_off_load: None,
        }
    }
}
