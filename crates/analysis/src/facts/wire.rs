//! Wire: resistance from size and temperature, and the drop over it.
//!
//! Gauge and square millimeters are never converted into each other; each is looked up in tables of its own.

use super::CurrentFacts;
use lampwright_model::{Return, Wire, WireSize};

/// Where the resistance of a wire is taken from.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum WireTable {
    /// Largest resistance of stranded wire: FAA AC 43.13-1B CHG 1, Table 11-9 for gauges (read); IEC 60228 class 5 plain for square millimeters (second-hand).
    #[default]
    Largest,
    /// Solid copper of exactly that size, calculated; stranded wire is worse.
    SolidCopper,
}

/// How a resistance is known.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ResistanceSource {
    /// FAA AC 43.13-1B CHG 1, Table 11-9, largest resistance of tin-plated stranded copper (read).
    Faa43Table11Dash9,
    /// IEC 60228 class 5 plain copper, largest resistance (second-hand).
    Iec60228Class5,
    /// Calculated for solid copper of exactly that size.
    SolidCopper,
    /// Size not in the table: solid copper times the table's largest excess over it (our own choice).
    SolidCopperWithMargin,
}

/// Resistance per length, and how it is known.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Resistance {
    /// Milliohms per meter at the conductor temperature.
    pub milliohms_per_meter: f64,
    /// How it is known.
    pub source: ResistanceSource,
}

/// The wire of an output at its peak current.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WireFacts {
    /// The wire.
    pub wire: Wire,
    /// Its resistance per length.
    pub resistance: Resistance,
    /// Conductor temperature assumed, degrees Celsius.
    pub conductor_celsius: i32,
    /// Out and back, ohms; fuse, holder and contacts are not in it.
    pub loop_ohms: f64,
    /// Volts lost at the peak current; with any constant-power load on the wire the whole peak is taken as such, whose current rises as the voltage sags; none when the wire cannot carry constant-power loads of that size at any voltage.
    pub drop_volts: Option<f64>,
    /// That drop over the supply voltage.
    pub drop_share: Option<f64>,
    /// Heat in the loop from the root mean square, watts.
    pub heat_watts: f64,
}

/// A constant-power load at the end of a wire.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ConstantPowerLoad {
    /// Voltage at the load.
    pub load_volts: f64,
    /// Current.
    pub amps: f64,
    /// Volts lost in the wire.
    pub drop_volts: f64,
}

/// Resistivity of annealed copper at 20 degrees Celsius, ohm square millimeter per meter: 1/58 (from memory; second-hand as 0.017241).
const COPPER_AT_20_C: f64 = 1.0 / 58.0;

/// Change of copper's resistance per kelvin from 20 degrees Celsius (second-hand).
const COPPER_PER_KELVIN: f64 = 0.00393;

/// Meters in a thousand feet.
const METERS_PER_KILOFOOT: f64 = 304.8;

/// Largest resistance of stranded wire in ohms per thousand feet at 20 degrees Celsius: FAA AC 43.13-1B CHG 1, Table 11-9 (read); gauge number, 0 is 1/0.
const GAUGE_LARGEST: [(i8, f64); 17] = [
    (24, 28.40),
    (22, 16.20),
    (20, 9.88),
    (18, 6.23),
    (16, 4.81),
    (14, 3.06),
    (12, 2.02),
    (10, 1.26),
    (8, 0.70),
    (6, 0.44),
    (4, 0.28),
    (2, 0.18),
    (1, 0.15),
    (0, 0.12),
    (-1, 0.09),
    (-2, 0.07),
    (-3, 0.06),
];

/// Largest excess of that table over solid copper, at 12 gauge (calculated).
const GAUGE_EXCESS: f64 = 1.28;

/// Largest resistance in ohms per kilometer at 20 degrees Celsius by thousandths of a square millimeter: IEC 60228 class 5 plain (second-hand).
const METRIC_LARGEST: [(u32, f64); 12] = [
    (500, 39.0),
    (750, 26.0),
    (1_000, 19.5),
    (1_500, 13.3),
    (2_500, 7.98),
    (4_000, 4.95),
    (6_000, 3.30),
    (10_000, 1.91),
    (16_000, 1.21),
    (25_000, 0.780),
    (35_000, 0.554),
    (50_000, 0.386),
];

/// Largest excess of that table over solid copper, at 1.5 and 2.5 square millimeters (calculated).
const METRIC_EXCESS: f64 = 1.16;

/// Resistivity of copper at a conductor temperature, ohm square millimeter per meter: `(1/58)(1 + 0.00393 (T - 20))`.
#[must_use]
pub fn copper_resistivity(conductor_celsius: f64) -> f64 {
    COPPER_AT_20_C * (1.0 + COPPER_PER_KELVIN * (conductor_celsius - 20.0))
}

/// Diameter of a gauge in millimeters: `0.127 x 92^((36 - n) / 39)`; 0 is 1/0 (second-hand: ASTM B258).
#[must_use]
pub fn diameter_mm(gauge: i8) -> f64 {
    0.127 * libm::pow(92.0, (36.0 - f64::from(gauge)) / 39.0)
}

/// Area of a gauge in square millimeters.
#[must_use]
pub fn area_mm2(gauge: i8) -> f64 {
    let diameter = diameter_mm(gauge);
    std::f64::consts::PI * diameter * diameter / 4.0
}

/// Least copper area in square millimeters for a drop: `2 L I rho(T) / drop`, return by a like wire (calculated).
#[must_use]
pub fn least_area_mm2(one_way_m: f64, amps: f64, drop_volts: f64, conductor_celsius: f64) -> f64 {
    2.0 * one_way_m * amps * copper_resistivity(conductor_celsius) / drop_volts
}

/// A constant-power load of `watts` behind `loop_ohms`: `VL = (VS + sqrt(VS^2 - 4 R P)) / 2` (calculated); none when `P > VS^2 / 4R`.
#[must_use]
pub fn constant_power_load(
    supply_volts: f64,
    loop_ohms: f64,
    watts: f64,
) -> Option<ConstantPowerLoad> {
    let inside = supply_volts * supply_volts - 4.0 * loop_ohms * watts;
    if inside < 0.0 || supply_volts <= 0.0 {
        return None;
    }
    let load_volts = (supply_volts + libm::sqrt(inside)) / 2.0;
    Some(ConstantPowerLoad {
        load_volts,
        amps: watts / load_volts,
        drop_volts: supply_volts - load_volts,
    })
}

impl Resistance {
    /// Of a conductor size from a table, at a conductor temperature.
    #[must_use]
    pub fn of(size: WireSize, table: WireTable, conductor_celsius: f64) -> Self {
        let (solid_area, tabled, excess) = match size {
            WireSize::Gauge(gauge) => {
                let row = GAUGE_LARGEST.iter().find(|(number, _)| *number == gauge);
                let tabled = row.map(|(_, ohms_per_kilofoot)| {
                    (
                        ohms_per_kilofoot * 1000.0 / METERS_PER_KILOFOOT,
                        ResistanceSource::Faa43Table11Dash9,
                    )
                });
                (area_mm2(gauge), tabled, GAUGE_EXCESS)
            }
            WireSize::ThousandthsMm2(thousandths) => {
                let row = METRIC_LARGEST.iter().find(|(size, _)| *size == thousandths);
                let tabled =
                    row.map(|(_, ohms_per_km)| (*ohms_per_km, ResistanceSource::Iec60228Class5));
                (f64::from(thousandths) / 1000.0, tabled, METRIC_EXCESS)
            }
        };
        let solid = 1000.0 * COPPER_AT_20_C / solid_area;
        let (at_20, source) = match (table, tabled) {
            (WireTable::SolidCopper, _) => (solid, ResistanceSource::SolidCopper),
            (WireTable::Largest, Some(tabled)) => tabled,
            (WireTable::Largest, None) => (solid * excess, ResistanceSource::SolidCopperWithMargin),
        };
        Self {
            milliohms_per_meter: at_20 * copper_resistivity(conductor_celsius) / COPPER_AT_20_C,
            source,
        }
    }
}

impl WireFacts {
    /// Of a wire at a current, at a supply voltage in volts.
    #[must_use]
    pub fn of(
        wire: Wire,
        table: WireTable,
        conductor_celsius: i32,
        supply_volts: f64,
        current: &CurrentFacts,
        has_constant_power: bool,
    ) -> Self {
        let resistance = Resistance::of(wire.size, table, f64::from(conductor_celsius));
        let one_way = resistance.milliohms_per_meter / 1000.0 * wire.length.in_units();
        let loop_ohms = match wire.return_path {
            Return::Wire => 2.0 * one_way,
            Return::Chassis(milliohms) => one_way + f64::from(milliohms) / 1000.0,
        };
        let peak = current.peak.as_f64();
        let drop_volts = if has_constant_power {
            constant_power_load(supply_volts, loop_ohms, peak * supply_volts)
                .map(|load| load.drop_volts)
        } else {
            Some(peak * loop_ohms)
        };
        Self {
            wire,
            resistance,
            conductor_celsius,
            loop_ohms,
            drop_volts,
            drop_share: drop_volts.map(|drop| drop / supply_volts),
            heat_watts: current.rms_amps * current.rms_amps * loop_ohms,
        }
    }
}
