//! Alternator and battery: what is left at idle, and how long the lamps run with the engine off.

use crate::Ratio;

/// What the alternator has left.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct IdleMargin {
    /// What the alternator gives, amperes.
    pub alternator: Ratio,
    /// Mean of all else that runs, amperes.
    pub other_load: Ratio,
    /// Mean of the lamps, amperes, exact.
    pub lamps: Ratio,
    /// Alternator less the other load less the lamps, amperes; below zero the battery is drained.
    pub margin: Ratio,
}

/// How long the battery carries the load with the engine off.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct EngineOff {
    /// Minutes; infinite when nothing draws current.
    pub minutes: f64,
    /// The load, amperes: lamps and the other load.
    pub load: Ratio,
    /// The Peukert exponent used.
    pub peukert: Ratio,
    /// The usable share of the charge.
    pub usable: Ratio,
}

/// Minutes a load runs from a reserve capacity: `RC (25 A / I)^k`, times the usable share.
///
/// Calculated from the definition of reserve capacity, minutes at 25 A (electrical facts, section 3.4).
/// Infinite for no load.
#[must_use]
pub fn minutes_from_reserve(reserve_minutes: f64, amps: f64, peukert: f64, usable: f64) -> f64 {
    if amps <= 0.0 {
        return f64::INFINITY;
    }
    reserve_minutes * libm::pow(25.0 / amps, peukert) * usable
}

/// Minutes a load runs from a charge rated over `rated_hours`: `H (C / (I H))^k`, times the usable share.
///
/// Standard algebra of the Peukert law (from memory); a Peukert capacity `Cp` in `t = Cp / I^k` is a charge of `Cp` rated over `Cp` hours, at 1 A.
/// Infinite for no load.
#[must_use]
pub fn minutes_from_amp_hours(
    amp_hours: f64,
    rated_hours: f64,
    amps: f64,
    peukert: f64,
    usable: f64,
) -> f64 {
    if amps <= 0.0 || rated_hours <= 0.0 {
        return f64::INFINITY;
    }
    let hours = rated_hours * libm::pow(amp_hours / (amps * rated_hours), peukert);
    60.0 * hours * usable
}

/// Ampere-hours of a reserve capacity by the rule of thumb 0.6 Ah per minute (second-hand: a service bulletin).
#[must_use]
pub fn amp_hours_of_reserve(reserve_minutes: f64) -> f64 {
    reserve_minutes * 0.6
}
