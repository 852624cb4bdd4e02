//! LW096: a lamp of a rapid beacon flashes in the range that the approval keeps clear of.

use super::flash_rule::{hz, unnamed};
use super::lights::lights;
use super::meta::{Known, RuleMeta, Source};
use super::rate_band::hertz;
use super::{Context, Draft, Judgment, Margin, Options, Rule};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_timing::Micros;

/// A rate between 5 and 30 per second.
pub(super) struct RateWithinGuardedRange;

const GUARD: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    96,
    "rate-within-guarded-range",
    "A lamp of a rapid beacon flashes between 5 and 30 times per second",
    &[Source::of(
        "FHWA Interim Approval 21",
        "20 March 2018",
        "",
        "the rate of each indication over the sequence is not between 5 and 30 flashes per second; whether exactly 5 and 30 are meant is not known",
        Known::Memory,
    )],
    &[
        hz("from_hz", "least rate kept clear of", 5, GUARD),
        hz("to_hz", "largest rate kept clear of", 30, GUARD),
    ],
    page!("pages/lw096.md"),
);

impl Rule for RateWithinGuardedRange {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if let Some(judgment) = unnamed(options, "a rapid beacon") {
            return judgment;
        }
        let lights = lights(context, options);
        if lights.list.is_empty() {
            return Judgment::not_applicable(lights.why_empty());
        }
        let end = |name| Quantity::thousandths(options.thousandths(name), Unit::Hertz);
        let (from, to) = (end("from_hz"), end("to_hz"));
        let mut findings = Vec::new();
        let mut tightest = None;
        for light in &lights.list {
            let rate = hertz(&light.timing.flashes(Micros::ZERO));
            if rate < from || rate > to {
                let limit = if rate < from {
                    Limit::at_most(from)
                } else {
                    Limit::at_least(to)
                };
                Margin::tighten(&mut tightest, rate, limit, &light.place);
                continue;
            }
            let is_at_end = rate == from || rate == to;
            let whether = if is_at_end {
                "; whether exactly this rate is meant is not known"
            } else {
                ""
            };
            findings.push(
                Draft::new(options, GUARD, light.place.clone())
                    .lane(light.lane_id())
                    .head(light.heads.first())
                    .span(light.on_lane(Micros::ZERO, light.level.period()))
                    .measured(rate, Limit::at_most(from))
                    .reading_differs(is_at_end)
                    .say(
                        format!(
                            "flashes at {}{}, outside {from} to {to} wanted{whether}",
                            rate.text_apart_from(&[from, to]),
                            light.on_heads()
                        ),
                        "Leave out pulses or stretch the sequence",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest,
            note: String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    fn lamp(period: &str, pulses: &str) -> String {
        format!("head a front amber\nrule LW096 heads=a\nlane a period {period} ms: {pulses}")
    }

    /// The approved sequence itself, cases C27L and C27R of the flash rules, is at exactly 5 per second.
    #[test]
    fn exactly_five_and_thirty_depend_on_the_reading_and_a_microsecond_decides() {
        let four = "0-50 200-250 400-450 500-550";
        assert!(finding(96, &lamp("800", four)).depends_on_reading);
        passes(96, &lamp("800.001", four));
        assert!(!finding(96, &lamp("799.999", four)).depends_on_reading);
        let three = "0-5 30-35 60-65";
        assert!(finding(96, &lamp("100", three)).depends_on_reading);
        passes(96, &lamp("99.999", three));
        assert!(!finding(96, &lamp("100.001", three)).depends_on_reading);
    }

    #[test]
    fn the_guard_is_from_memory() {
        assert!(finding(96, &lamp("100", "0-50")).is_unverified);
    }
}
