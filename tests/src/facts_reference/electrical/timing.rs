//! What runs in time: rates, pulses chopped by a carrier, clocks that drift, and how deep fast light may be modulated.

use crate::facts_reference::{Case, numbers};
use lampwright_analysis::Ratio;
use lampwright_analysis::facts::{Drift, ModulationPractice, Rate, chopped};
use lampwright_timing::Micros;

pub(super) fn rates(case: &Case<'_>) {
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

pub(super) fn chopping(case: &Case<'_>) {
    let pulse = Micros((case.number_in("flash_ms") * 1000.0).round() as i64);
    let level = (case.number_in("carrier_duty_ratio") * 1000.0).round() as i64;
    let found = chopped(pulse, case.number_in("carrier_hz") as u32, level).unwrap();
    case.number("lit_least_ms", found.least_ms.as_f64());
    case.number("lit_most_ms", found.most_ms.as_f64());
    case.number("lit_ideal_ms", found.ideal_ms.as_f64());
    case.number("spread_pct", 100.0 * found.spread.as_f64());
}

pub(super) fn drifting(case: &Case<'_>) {
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

pub(super) fn modulation_limits(case: &Case<'_>) {
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
