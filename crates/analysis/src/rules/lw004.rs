//! LW004: a lamp of an arrow flashes outside the arrow-board band or is lit too briefly.

use super::lights::lights;
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::Rate;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{RuleCode, Severity};
use lampwright_timing::Micros;

/// Arrow lamp outside 25 to 40 per minute, or lit for less than half the time.
pub(super) struct ArrowRateOutsideBand;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(4),
    name: "arrow-rate-outside-band",
    summary: "A lamp of an arrow flashes outside 25 to 40 per minute or is lit less than 50 % of the time",
    group: RuleGroup::Timing,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[Source {
        document: "Florida DOT specification 990-3.3 (g) and (h), citing the MUTCD",
        edition: "in a municipal contract file",
        clause: "990-3.3",
        says: "arrow boards flash 25 to 40 per minute; lamps lit at least 50 % for a flashing arrow, 25 % for sequential chevrons",
        known: Known::SecondHand,
    }],
    parameters: &[
        Parameter {
            name: "least_per_minute",
            label: "fewest flashes per minute",
            unit: "per minute",
            default: 25_000,
            range: (1_000, 6_000_000),
            source: SOURCE,
        },
        Parameter {
            name: "most_per_minute",
            label: "most flashes per minute",
            unit: "per minute",
            default: 40_000,
            range: (1_000, 6_000_000),
            source: SOURCE,
        },
        Parameter {
            name: "least_on_percent",
            label: "least lit share of the period; 25 for sequential chevrons",
            unit: "%",
            default: 50_000,
            range: (0, 100_000),
            source: SOURCE,
        },
    ],
    is_always_run: false,
    page: page!("pages/lw004.md"),
};

impl Rule for ArrowRateOutsideBand {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if !options.is_narrowed() {
            return Judgment::not_evaluated(
                "the profile does not say what is an arrow; list its patterns in only_patterns or its heads in heads",
            );
        }
        let lights = lights(context, options);
        if lights.list.is_empty() {
            return Judgment::not_applicable(lights.why_empty());
        }
        let per_minute =
            |name| Quantity::new(i128::from(options.thousandths(name)), 60_000, Unit::Hertz);
        let rates = Limit::between(
            per_minute("least_per_minute"),
            per_minute("most_per_minute"),
        );
        let least_on =
            Quantity::thousandths(options.thousandths("least_on_percent"), Unit::Percent);
        let mut findings = Vec::new();
        let mut tightest = None;
        for light in &lights.list {
            let on_heads = light.on_heads();
            let whole = light.on_lane(Micros::ZERO, light.level.period());
            let draft = || {
                Draft::new(options, SOURCE, light.place.clone())
                    .lane(light.lane_id())
                    .head(light.heads.first())
                    .span(whole)
            };
            let flashes = light.timing.flashes(Micros::ZERO);
            let rate = Quantity::of(
                flashes.rate().map_or(crate::Ratio::ZERO, Rate::hz),
                Unit::Hertz,
            );
            if rates.admits(rate) {
                Margin::tighten(&mut tightest, rate, rates, &light.place);
            } else {
                findings.push(draft().measured(rate, rates).say(
                    format!(
                        "arrow lamp flashes at {}{on_heads}, {} wanted",
                        rate.text_apart_from(&rates.ends()),
                        rates.text()
                    ),
                    "Give each lamp of the arrow one pulse per period, and set the period so that the rate is within the limits",
                ));
            }
            let lit = Quantity::of(light.timing.duty.times(100), Unit::Percent);
            if lit >= least_on {
                Margin::tighten(&mut tightest, lit, Limit::at_least(least_on), &light.place);
            } else {
                findings.push(draft().measured(lit, Limit::at_least(least_on)).say(
                    format!(
                        "arrow lamp is lit {} of the period{on_heads}, at least {least_on} wanted",
                        lit.text_apart_from(&[least_on])
                    ),
                    "Lengthen the pulse or shorten the period",
                ));
            }
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
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn arrow(period: &str, on: &str) -> String {
        format!("head a rear amber\nlane a period {period} ms: 0-{on}\nrule LW004 only_patterns=a")
    }

    #[test]
    fn rate_and_lit_share_are_inclusive() {
        passes(4, &arrow("1500", "750"));
        passes(4, &arrow("2400", "1200"));
        assert!(
            finding(4, &arrow("1500", "749.999"))
                .message
                .contains("lit 49.9999 %")
        );
        assert!(
            finding(4, &arrow("1499.999", "800"))
                .message
                .contains("arrow lamp flashes at")
        );
        assert!(
            finding(4, &arrow("2400.001", "1300"))
                .message
                .contains("arrow lamp flashes at")
        );
    }

    #[test]
    fn without_a_word_on_what_is_an_arrow_it_is_not_evaluated() {
        let verdict = verdict(4, "head a rear amber\nlane a period 1500 ms: 0-750");
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
