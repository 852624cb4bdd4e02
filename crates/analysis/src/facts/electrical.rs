//! Currents of outputs, fuses and the vehicle.

use super::current::{Currents, Load};
use super::{
    Courses, CurrentFacts, EngineOff, IdleMargin, WireFacts, minutes_from_amp_hours,
    minutes_from_reserve,
};
use crate::{MeasureSettings, Ratio};
use lampwright_model::{
    Battery, CurrentLaw, Dimming, Emitter, FuseId, Milliamps, Millivolts, Output, OutputId,
    Program, Supply,
};
use lampwright_timing::SortedMap;

/// Currents, wires and supply in one state.
#[derive(Clone, PartialEq, Debug)]
pub struct ElectricalFacts {
    /// The voltage all currents here are stated at.
    pub supply_voltage: Millivolts,
    /// One entry per output, in the vehicle's order.
    pub outputs: Vec<OutputFacts>,
    /// One entry per fuse, in the vehicle's order.
    pub fuses: Vec<FuseFacts>,
    /// All lamps of the vehicle, those without an output included.
    pub vehicle: CurrentFacts,
    /// Lit emitters whose current at full level nobody entered.
    pub n_assumed: usize,
    /// What the alternator has left at idle; none when its current is not stated.
    pub idle_margin: Option<IdleMargin>,
    /// The same at driving speed.
    pub speed_margin: Option<IdleMargin>,
    /// How long the battery carries the lamps with the engine off; none without a battery.
    pub engine_off: Option<EngineOff>,
}

/// One output.
#[derive(Clone, PartialEq, Debug)]
pub struct OutputFacts {
    /// The output.
    pub output: OutputId,
    /// Its current.
    pub current: CurrentFacts,
    /// Largest continuous current it is rated for.
    pub rating: Milliamps,
    /// The fuse it is fed through.
    pub fuse: Option<FuseId>,
    /// Emitters connected to it, lit or not.
    pub n_emitters: usize,
    /// Lit emitters of it whose current is assumed.
    pub n_assumed: usize,
    /// Its wire at the peak current; none when no wire is stated.
    pub wire: Option<WireFacts>,
}

/// One fuse.
#[derive(Clone, PartialEq, Debug)]
pub struct FuseFacts {
    /// The fuse.
    pub fuse: FuseId,
    /// Current of all outputs fed through it.
    pub current: CurrentFacts,
    /// Its rating.
    pub rating: Milliamps,
    /// Mean current over the rating, exact.
    pub mean_share: Ratio,
    /// Root mean square over the rating.
    pub rms_share: f64,
    /// Outputs fed through it.
    pub outputs: Vec<OutputId>,
}

/// A lit emitter as a load, with what the sums need to know of it.
#[derive(Clone, Copy)]
pub(crate) struct LitLoad<'a> {
    load: Load,
    emitter: &'a Emitter,
    /// Index of its output in the vehicle.
    output: Option<usize>,
}

/// The lit emitters as loads at the supply voltage of the settings, in the order of [`Courses::lit`].
pub(crate) fn loads<'a>(
    program: &'a Program,
    courses: &Courses,
    settings: &MeasureSettings,
) -> Vec<LitLoad<'a>> {
    let voltage = supply_voltage(program, settings);
    let outputs = indices_of_outputs(program);
    courses
        .lit
        .iter()
        .filter_map(|lit| {
            let emitter = program
                .vehicle
                .heads
                .get(lit.head)?
                .emitters
                .get(lit.emitter)?;
            let load = Load {
                unit: lit.unit,
                course: lit.course,
                full_microamps: full_microamps(
                    emitter,
                    program.vehicle.supply.test_voltage,
                    voltage,
                ),
                is_switched: matches!(emitter.dimming, Dimming::Carrier(_)),
            };
            Some(LitLoad {
                load,
                emitter,
                output: emitter
                    .output
                    .as_ref()
                    .and_then(|id| outputs.get(&id))
                    .copied(),
            })
        })
        .collect()
}

/// The outputs' places in the vehicle.
fn indices_of_outputs(program: &Program) -> SortedMap<&OutputId, usize> {
    let outputs = program.vehicle.outputs.iter().enumerate();
    outputs.map(|(index, output)| (&output.id, index)).collect()
}

/// The current of one lit emitter.
pub(crate) fn current_of_load(currents: &mut Currents<'_>, load: &LitLoad<'_>) -> CurrentFacts {
    currents.of(vec![load.load])
}

/// The voltage currents are stated at.
fn supply_voltage(program: &Program, settings: &MeasureSettings) -> Millivolts {
    settings
        .supply_voltage
        .filter(|voltage| voltage.0 > 0)
        .unwrap_or(program.vehicle.supply.test_voltage)
}

/// Current at full level in microamperes at a voltage, rounded once, halves up.
///
/// Constant power: in inverse proportion to the voltage; resistive: in proportion; constant current: unchanged (electrical facts, section 4.1; calculated).
pub(super) fn full_microamps(emitter: &Emitter, test: Millivolts, voltage: Millivolts) -> i64 {
    let at_test = i128::from(emitter.full_current_or_assumed().value.0) * 1000;
    let (numerator, denominator) = match emitter.current_law {
        CurrentLaw::ConstantPower => (test.0, voltage.0),
        CurrentLaw::Resistive => (voltage.0, test.0),
        CurrentLaw::ConstantCurrent => (1, 1),
    };
    let (numerator, denominator) = (i128::from(numerator), i128::from(denominator.max(1)));
    let rounded = (2 * at_test * numerator + denominator).div_euclid(2 * denominator);
    i64::try_from(rounded).unwrap_or(i64::MAX)
}

pub(crate) fn electrical(
    program: &Program,
    currents: &mut Currents<'_>,
    loads: &[LitLoad<'_>],
    settings: &MeasureSettings,
) -> ElectricalFacts {
    let vehicle_plan = &program.vehicle;
    let voltage = supply_voltage(program, settings);
    let mut sum = |loads: &[LitLoad<'_>]| currents.of(loads.iter().map(|lit| lit.load).collect());
    let n_assumed = |loads: &[LitLoad<'_>]| {
        let assumed = |lit: &&LitLoad<'_>| lit.emitter.full_current.is_none();
        loads.iter().filter(assumed).count()
    };
    let indices = indices_of_outputs(program);
    let mut n_emitters = vec![0; vehicle_plan.outputs.len()];
    for emitter in vehicle_plan.heads.iter().flat_map(|head| &head.emitters) {
        let index = emitter.output.as_ref().and_then(|id| indices.get(&id));
        if let Some(n) = index.and_then(|index| n_emitters.get_mut(*index)) {
            *n += 1;
        }
    }
    let outputs: Vec<OutputFacts> = vehicle_plan
        .outputs
        .iter()
        .zip(n_emitters)
        .enumerate()
        .map(|(index, (output, n_emitters))| {
            let fed = of_outputs(loads, |own| own == index);
            let current = sum(&fed);
            OutputFacts {
                output: output.id.clone(),
                current,
                rating: output.rating,
                fuse: output.fuse.clone(),
                n_emitters,
                n_assumed: n_assumed(&fed),
                wire: wire_of(output, &current, &fed, voltage, settings),
            }
        })
        .collect();
    let fuses = vehicle_plan
        .fuses
        .iter()
        .map(|fuse| {
            let is_fed: Vec<bool> = vehicle_plan
                .outputs
                .iter()
                .map(|output| output.fuse.as_ref() == Some(&fuse.id))
                .collect();
            let current = sum(&of_outputs(loads, |own| is_fed.get(own) == Some(&true)));
            let outputs = vehicle_plan.outputs.iter().zip(&is_fed);
            FuseFacts {
                fuse: fuse.id.clone(),
                current,
                rating: fuse.rating,
                mean_share: current
                    .mean
                    .divided_by(Ratio::thousandths(fuse.rating.0))
                    .unwrap_or(Ratio::ZERO),
                rms_share: current.rms_amps / fuse.rating.in_units(),
                outputs: outputs
                    .filter(|(_, is_fed)| **is_fed)
                    .map(|(output, _)| output.id.clone())
                    .collect(),
            }
        })
        .collect();
    let vehicle = sum(loads);
    let supply = &vehicle_plan.supply;
    let margin = |alternator: Option<Milliamps>| {
        alternator.map(|alternator| {
            let alternator = Ratio::thousandths(alternator.0);
            let other_load = Ratio::thousandths(supply.other_load.0);
            IdleMargin {
                alternator,
                other_load,
                lamps: vehicle.mean,
                margin: alternator.minus(other_load).minus(vehicle.mean),
            }
        })
    };
    ElectricalFacts {
        supply_voltage: voltage,
        n_assumed: n_assumed(loads),
        idle_margin: margin(supply.alternator_idle),
        speed_margin: margin(supply.alternator_speed),
        engine_off: engine_off(supply, &vehicle, settings),
        outputs,
        fuses,
        vehicle,
    }
}

/// The loads on the outputs that are wanted, by index.
fn of_outputs<'a>(loads: &[LitLoad<'a>], is_wanted: impl Fn(usize) -> bool) -> Vec<LitLoad<'a>> {
    let is_on = |lit: &&LitLoad<'_>| lit.output.is_some_and(&is_wanted);
    loads.iter().filter(is_on).copied().collect()
}

fn wire_of(
    output: &Output,
    current: &CurrentFacts,
    fed: &[LitLoad<'_>],
    voltage: Millivolts,
    settings: &MeasureSettings,
) -> Option<WireFacts> {
    let has_constant_power = fed
        .iter()
        .any(|load| load.emitter.current_law == CurrentLaw::ConstantPower);
    Some(WireFacts::of(
        output.wire?,
        settings.wire_table,
        settings.conductor_celsius,
        voltage.in_units(),
        current,
        has_constant_power,
    ))
}

/// Hours a stated charge is rated over: the 20-hour rate is usual (common practice, no source).
const RATED_HOURS: f64 = 20.0;

fn engine_off(
    supply: &Supply,
    vehicle: &CurrentFacts,
    settings: &MeasureSettings,
) -> Option<EngineOff> {
    let other = settings.engine_off_load.unwrap_or(supply.other_load);
    let load = vehicle.mean.plus(Ratio::thousandths(other.0));
    let peukert = Ratio::thousandths(i64::from(settings.peukert_thousandths));
    let usable = Ratio::thousandths(i64::from(settings.usable_per_mille));
    let (amps, exponent, share) = (load.as_f64(), peukert.as_f64(), usable.as_f64());
    let minutes = match supply.battery? {
        Battery::ReserveMinutes(minutes) => {
            minutes_from_reserve(f64::from(minutes), amps, exponent, share)
        }
        Battery::MilliampHours(charge) => {
            let amp_hours = Ratio::thousandths(charge).as_f64();
            minutes_from_amp_hours(amp_hours, RATED_HOURS, amps, exponent, share)
        }
    };
    Some(EngineOff {
        minutes,
        load,
        peukert,
        usable,
    })
}
