//! One number made of the bits of every floating-point fact of an invented vehicle.

use super::loads::{Load, facts_with, vehicle};
use lampwright_analysis::facts::Phase;
use lampwright_analysis::light::{DirectionTable, LightSettings};
use lampwright_analysis::{MeasureSettings, Ratio};
use lampwright_model::{
    Battery, Beam, CurrentLaw, Dimming, Millidegrees, Millimeters, Millivolts, Return, Supply,
    Wire, WireSize,
};

/// The fingerprint the native build gave; any other bit anywhere changes it.
pub const FINGERPRINT: u64 = 15_636_518_851_860_183_998;

/// Bits of currents, drops, run time, phase and light toward 72 directions, mixed into one number.
///
/// # Panics
/// When the invented vehicle is not admitted.
#[must_use]
pub fn fingerprint() -> u64 {
    let loads: Vec<Load> = (0..12)
        .map(|index| {
            let start = Ratio::whole(17 * index);
            let mut load = Load::flashing(
                0.4 + 0.1 * index as f64,
                Ratio::whole(if index % 3 == 0 { 350 } else { 700 }),
                &[
                    (start, Ratio::whole(40 + index)),
                    (start.plus(Ratio::whole(90)), Ratio::whole(31)),
                ],
            );
            load.y = 900 - 150 * index;
            load.level = 1000 - 61 * index;
            if index % 2 == 0 {
                load.dimming = Dimming::Carrier(200);
                load.law = CurrentLaw::ConstantPower;
            }
            load
        })
        .collect();
    let wire = Wire {
        size: WireSize::Gauge(15),
        length: Millimeters(4300),
        return_path: Return::Wire,
    };
    let supply = Supply {
        battery: Some(Battery::MilliampHours(71_000)),
        ..Supply::default()
    };
    let program = vehicle(&loads, Some(wire), supply);
    let settings = MeasureSettings {
        supply_voltage: Some(Millivolts(13_600)),
        conductor_celsius: 61,
        ..MeasureSettings::default()
    };
    let facts = facts_with(&program, &settings);
    let mut mix = Mix(0xcbf2_9ce4_8422_2325);
    for output in &facts.electrical.outputs {
        mix.float(output.current.rms_amps);
        mix.float(output.current.rms_in_phase_amps);
        let wire = output.wire.unwrap();
        mix.float(wire.drop_volts.unwrap());
        mix.float(wire.heat_watts);
    }
    mix.float(facts.electrical.vehicle.rms_amps);
    mix.float(facts.electrical.engine_off.unwrap().minutes);
    if let Phase::Angle { degrees, .. } = facts.left_right.phase {
        mix.float(degrees);
    }
    let mut plan = program.vehicle.clone();
    for (index, head) in (0_i64..).zip(&mut plan.heads) {
        head.facing = Millidegrees(31_700 * index);
        head.beam = Some(Beam::HalfPeak {
            horizontal: Millidegrees(9_000 + 4_100 * index),
            vertical: Millidegrees(4_300),
        });
    }
    let table = DirectionTable::new(&plan, LightSettings::default());
    for direction in table.directions() {
        for weight in &direction.weights {
            mix.whole(weight.unsigned_abs());
        }
    }
    mix.0
}

/// FNV-1a over 64-bit words.
struct Mix(u64);

impl Mix {
    fn whole(&mut self, word: u64) {
        for byte in word.to_le_bytes() {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn float(&mut self, value: f64) {
        self.whole(value.to_bits());
    }
}
