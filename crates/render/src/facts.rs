//! What was measured of one state, as text and JSON.
//!
//! Rates stand in hertz and per minute side by side; the rate given counts every pulse, since each rule has its own idea of a flash.

use crate::json::quantity;
use lampwright_analysis::Ratio;
use lampwright_analysis::facts::effective::VISUAL_SECONDS;
use lampwright_analysis::facts::{
    CurrentFacts, EffectiveIntensity, EmitterFacts, Facts, GroupFacts, MarineRhythm, PairFacts,
    Phase, Rate, Rhythm, Set, TimingFacts,
};
use lampwright_analysis::quantity::{Quantity, Unit};
use lampwright_analysis::rules::Context;
use lampwright_model::Program;
use lampwright_timing::Micros;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// Everything measured of a state.
#[must_use]
pub fn text(context: &Context<'_>) -> String {
    let program = context.program;
    let facts = &context.facts;
    let mut out = format!("state: {}\n", context.drive.state.describe(program));
    push_lights(&mut out, facts);
    push_sets(&mut out, facts);
    push_power(&mut out, facts);
    push_screening(&mut out, context);
    out
}

fn push_lights(out: &mut String, facts: &Facts) {
    out.push_str("lights:\n");
    let mut n_dark = 0;
    for head in &facts.heads {
        for emitter in &head.emitters {
            if emitter.level.maximum() == 0 {
                n_dark += 1;
                continue;
            }
            let timing = &emitter.timing;
            let mut line = format!(
                "  {} {} ({}): {}",
                head.head,
                emitter.color,
                emitter.color.letter(),
                timing.rhythm
            );
            if timing.is_flashing() {
                let _ = write!(
                    line,
                    ", pulses {}, duty {}, longest lit {}, longest dark {}",
                    pulse_rate(timing),
                    percent(timing.duty),
                    timing.longest_lit,
                    timing.longest_dark
                );
                if let Some(class) = MarineRhythm::of(timing) {
                    let _ = write!(line, ", a marine light would be called {class}");
                }
            }
            if let Some(effective) = effective(emitter) {
                let _ = write!(line, ", effective {}", effective_text(&effective));
            }
            let _ = writeln!(
                out,
                "{line}, mean level {}, peak {} ‰, {} cd s per minute{}, {} mean",
                Quantity::of(timing.mean, Unit::LevelPerMille),
                timing.peak,
                Quantity::of(emitter.candela_seconds_per_minute, Unit::Count),
                if emitter.peak.is_assumed {
                    " (assumed)"
                } else {
                    ""
                },
                Quantity::of(emitter.current.mean, Unit::Amperes),
            );
        }
    }
    let _ = writeln!(out, "  {n_dark} emitters dark");
}

fn effective(emitter: &EmitterFacts) -> Option<EffectiveIntensity> {
    EffectiveIntensity::of(&emitter.level, emitter.peak.value.0 as f64 / 1000.0)
}

/// "408 cd by modified Allard, 333 cd by Blondel-Rey-Douglas, 333 cd by form factor".
fn effective_text(effective: &EffectiveIntensity) -> String {
    let candela = |value: f64| format!("{value:.0} cd");
    let mut text = format!("{} by modified Allard", candela(effective.modified_allard));
    for (value, method) in [
        (effective.blondel_rey_douglas, "Blondel-Rey-Douglas"),
        (effective.form_factor, "form factor"),
    ] {
        match value {
            Some(value) => {
                let _ = write!(text, ", {} by {method}", candela(value));
            }
            None => {
                let _ = write!(text, ", {method} not defined for light without dark");
            }
        }
    }
    text
}

fn push_sets(out: &mut String, facts: &Facts) {
    out.push_str("sets of heads:\n");
    let sets = std::iter::once(&facts.whole)
        .chain(&facts.sides)
        .chain(&facts.zones)
        .chain(&facts.groups);
    for set in sets {
        let duty = set.timing.as_ref().map_or_else(
            || "lit share unknown, clocks drift".into(),
            |timing| format!("lit {}", percent(timing.duty)),
        );
        let _ = writeln!(
            out,
            "  {}: {} of {} heads lit, {duty}, {} cd s per minute",
            set_name(&set.set),
            set.n_lit,
            set.heads.len(),
            Quantity::of(set.candela_seconds_per_minute, Unit::Count)
        );
    }
    for pair in [&facts.left_right, &facts.front_rear] {
        let share = pair.share_of_first.map_or_else(
            || "both dark".into(),
            |share| format!("share {}", percent(share)),
        );
        let overlap = pair.overlap.map_or_else(
            || "overlap unknown".into(),
            |overlap| format!("overlap {}", percent(overlap)),
        );
        let dark = pair
            .both_dark
            .map_or_else(String::new, |dark| format!(", both dark {}", percent(dark)));
        let _ = writeln!(
            out,
            "  {} against {}: {share}, {overlap}{dark}, {}",
            set_name(&pair.first),
            set_name(&pair.second),
            phase(pair.phase)
        );
    }
}

fn push_power(out: &mut String, facts: &Facts) {
    let electrical = &facts.electrical;
    let _ = writeln!(
        out,
        "currents at {}{}:",
        electrical.supply_voltage,
        if electrical.n_assumed > 0 {
            format!(", {} assumed", electrical.n_assumed)
        } else {
            String::new()
        }
    );
    let _ = writeln!(out, "  vehicle: {}", current(&electrical.vehicle));
    for output in &electrical.outputs {
        let drop = output.wire.as_ref().map_or_else(String::new, |wire| {
            wire.drop_volts.map_or_else(
                || ", the wire cannot carry this load".into(),
                |volts| format!(", wire drop {} V", Quantity::rounded(volts, Unit::Count)),
            )
        });
        let _ = writeln!(
            out,
            "  output {}: {}, rated {}{drop}",
            output.output,
            current(&output.current),
            output.rating
        );
    }
    for fuse in &electrical.fuses {
        let _ = writeln!(
            out,
            "  fuse {}: {}, rated {}, RMS {} of it",
            fuse.fuse,
            current(&fuse.current),
            fuse.rating,
            Quantity::rounded(fuse.rms_share * 100.0, Unit::Percent)
        );
    }
    for (word, margin) in [
        ("idle", &electrical.idle_margin),
        ("speed", &electrical.speed_margin),
    ] {
        if let Some(margin) = margin {
            let ampere = |value| Quantity::of(value, Unit::Amperes);
            let _ = writeln!(
                out,
                "  alternator at {word}: {} less {} other load less {} lamps leaves {}",
                ampere(margin.alternator),
                ampere(margin.other_load),
                ampere(margin.lamps),
                ampere(margin.margin)
            );
        }
    }
    if let Some(engine_off) = &electrical.engine_off {
        if engine_off.minutes.is_finite() {
            let _ = writeln!(
                out,
                "  engine off: {} min on the battery at {}",
                Quantity::rounded(libm::round(engine_off.minutes), Unit::Count),
                Quantity::of(engine_off.load, Unit::Amperes)
            );
        } else {
            out.push_str("  engine off: no load on the battery\n");
        }
    }
}

fn push_screening(out: &mut String, context: &Context<'_>) {
    out.push_str("screening in the worst second, by direction (a screen, not a clearance):\n");
    let mut last: Option<(u16, u16, String)> = None;
    let flush = |out: &mut String, run: Option<(u16, u16, String)>| {
        if let Some((from, to, text)) = run {
            let range = if from == to {
                format!("{from}°")
            } else {
                format!("{from}° to {to}°")
            };
            let _ = writeln!(out, "  {range}: {text}");
        }
    };
    for direction in &context.screened.directions {
        let text = match direction.result.as_ref() {
            Err(error) => format!("not screened, {error}"),
            Ok(result) => match result.band() {
                None => "dark".into(),
                Some(band) => format!(
                    "{} flashes, {} red, band {}: {}",
                    result.n(),
                    result.n_red(),
                    band.name(),
                    result.why()
                ),
            },
        };
        let azimuth = direction.azimuth_degrees;
        match &mut last {
            Some((_, to, known)) if *known == text => *to = azimuth,
            _ => {
                flush(out, last.take());
                last = Some((azimuth, azimuth, text));
            }
        }
    }
    flush(out, last);
}

/// The same as JSON.
#[must_use]
pub fn json(context: &Context<'_>) -> Value {
    let facts = &context.facts;
    let electrical = &facts.electrical;
    json!({
        "format": "lampwright-facts",
        "version": 1,
        "state": context.drive.state.describe(context.program),
        "signals": signals(context.program, context),
        "heads": facts
            .heads
            .iter()
            .map(|head| json!({
                "head": head.head.as_str(),
                "zone": head.zone.name(),
                "side": head.side.name(),
                "emitters": head
                    .emitters
                    .iter()
                    .map(|emitter| json!({
                        "color": emitter.color.name(),
                        "timing": timing(&emitter.timing),
                        "candela_seconds_per_minute": emitter.candela_seconds_per_minute.as_f64(),
                        "is_peak_assumed": emitter.peak.is_assumed,
                        "effective_intensity_cd": effective(emitter).map(|effective| json!({
                            "modified_allard": effective.modified_allard,
                            "blondel_rey_douglas": effective.blondel_rey_douglas,
                            "form_factor": effective.form_factor,
                            "visual_time_s": VISUAL_SECONDS,
                        })),
                        "current": current_json(&emitter.current),
                        "is_current_assumed": emitter.is_current_assumed,
                    }))
                    .collect::<Vec<_>>(),
            }))
            .collect::<Vec<_>>(),
        "sets": std::iter::once(&facts.whole)
            .chain(&facts.sides)
            .chain(&facts.zones)
            .chain(&facts.groups)
            .map(set_json)
            .collect::<Vec<_>>(),
        "pairs": ([&facts.left_right, &facts.front_rear].map(pair_json)),
        "electrical": {
            "supply_voltage_v": electrical.supply_voltage.in_units(),
            "n_assumed": electrical.n_assumed,
            "vehicle": current_json(&electrical.vehicle),
            "outputs": electrical
                .outputs
                .iter()
                .map(|output| json!({
                    "output": output.output.as_str(),
                    "current": current_json(&output.current),
                    "rating_a": output.rating.in_units(),
                    "wire_drop_v": output.wire.as_ref().and_then(|wire| wire.drop_volts),
                }))
                .collect::<Vec<_>>(),
            "fuses": electrical
                .fuses
                .iter()
                .map(|fuse| json!({
                    "fuse": fuse.fuse.as_str(),
                    "current": current_json(&fuse.current),
                    "rating_a": fuse.rating.in_units(),
                    "rms_share": fuse.rms_share,
                }))
                .collect::<Vec<_>>(),
            "idle_left_a": electrical.idle_margin.as_ref().map(|margin| margin.margin.as_f64()),
            "speed_left_a": electrical.speed_margin.as_ref().map(|margin| margin.margin.as_f64()),
            "engine_off_minutes": electrical
                .engine_off
                .as_ref()
                .map(|off| off.minutes)
                .filter(|minutes| minutes.is_finite()),
        },
        "directions": context
            .screened
            .directions
            .iter()
            .map(|direction| match direction.result.as_ref() {
                Err(error) => json!({
                    "direction_deg": direction.azimuth_degrees,
                    "not_screened": error.to_string(),
                }),
                Ok(result) => json!({
                    "direction_deg": direction.azimuth_degrees,
                    "flashes_in_worst_second": result.n(),
                    "red_flashes_in_worst_second": result.n_red(),
                    "band": result.band().map(lampwright_analysis::screening::Band::name),
                    "is_bound": result.bound.is_some(),
                    "why": result.why(),
                }),
            })
            .collect::<Vec<_>>(),
        "cautions": lampwright_analysis::screening::cautions::STANDING,
    })
}

fn signals(program: &Program, context: &Context<'_>) -> Value {
    program
        .signals
        .iter()
        .filter_map(|signal| {
            let value = context.drive.state.value(program, &signal.id)?;
            Some((signal.id.to_string(), json!(value.as_str())))
        })
        .collect::<serde_json::Map<_, _>>()
        .into()
}

fn timing(facts: &TimingFacts) -> Value {
    let pulses = facts.flashes(Micros::ZERO);
    json!({
        "rhythm": facts.rhythm.to_string(),
        "marine_rhythm": MarineRhythm::of(facts).map(|class| class.to_string()),
        "is_dark": facts.rhythm == Rhythm::Dark,
        "period_ms": facts.period.map(Micros::as_ms),
        "pulses_per_period": facts.pulses,
        "pulse_rate": pulses.rate().map(|rate| quantity(Quantity::of(rate.hz(), Unit::Hertz))),
        "on_time_ms": facts.on_time.as_ms(),
        "off_time_ms": facts.off_time.as_ms(),
        "longest_lit": facts.longest_lit.to_string(),
        "longest_dark": facts.longest_dark.to_string(),
        "duty": facts.duty.as_f64(),
        "mean_level": facts.mean.as_f64(),
        "peak_level": facts.peak,
        "least_level": facts.least,
    })
}

fn set_json(set: &GroupFacts) -> Value {
    json!({
        "set": set_name(&set.set),
        "n_heads": set.heads.len(),
        "n_lit": set.n_lit,
        "candela_seconds_per_minute": set.candela_seconds_per_minute.as_f64(),
        "duty": set.timing.as_ref().map(|timing| timing.duty.as_f64()),
    })
}

fn pair_json(pair: &PairFacts) -> Value {
    json!({
        "first": set_name(&pair.first),
        "second": set_name(&pair.second),
        "share_of_first": pair.share_of_first.map(Ratio::as_f64),
        "balance": pair.balance.map(Ratio::as_f64),
        "overlap": pair.overlap.map(Ratio::as_f64),
        "both_dark": pair.both_dark.map(Ratio::as_f64),
        "phase_deg": match pair.phase {
            Phase::Angle { degrees, .. } => Some(degrees),
            _ => None,
        },
        "phase": phase(pair.phase),
    })
}

fn current_json(facts: &CurrentFacts) -> Value {
    json!({
        "mean_a": facts.mean.as_f64(),
        "rms_a": facts.rms_amps,
        "peak_a": facts.peak.as_f64(),
        "least_a": facts.least.as_f64(),
        "is_bound": facts.is_bound,
    })
}

fn pulse_rate(facts: &TimingFacts) -> Quantity {
    let rate = facts
        .flashes(Micros::ZERO)
        .rate()
        .map_or(Ratio::ZERO, Rate::hz);
    Quantity::of(rate, Unit::Hertz)
}

fn percent(share: Ratio) -> Quantity {
    Quantity::of(share.times(100), Unit::Percent)
}

fn current(facts: &CurrentFacts) -> String {
    format!(
        "mean {}, RMS {}, peak {}{}",
        Quantity::of(facts.mean, Unit::Amperes),
        Quantity::rounded(facts.rms_amps, Unit::Amperes),
        Quantity::of(facts.peak, Unit::Amperes),
        if facts.is_bound { " (bound)" } else { "" }
    )
}

fn set_name(set: &Set) -> String {
    match set {
        Set::Whole => "all".into(),
        Set::Side(side) => side.name().into(),
        Set::Zone(zone) => zone.name().into(),
        Set::Group(id) => format!("group {id}"),
        Set::Heads(name) => name.clone(),
    }
}

fn phase(phase: Phase) -> String {
    match phase {
        Phase::Angle { degrees, rate } => format!(
            "the second {}° after the first at {rate}",
            Quantity::rounded(whole_degrees(degrees), Unit::Count)
        ),
        Phase::NotLit => "no phase, one is not lit".into(),
        Phase::Unchanging => "no phase, one does not change".into(),
        Phase::NoCommonRate => "no phase, no common rate".into(),
        Phase::Drifting => "no phase, clocks drift".into(),
    }
}

/// Whole degrees, halves up; a full turn is none.
fn whole_degrees(degrees: f64) -> f64 {
    let whole = libm::round(degrees);
    if whole >= 360.0 { 0.0 } else { whole }
}
