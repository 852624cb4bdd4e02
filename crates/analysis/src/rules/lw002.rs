//! LW002: a light flashes slower or faster than the ambulance band.

use super::rate_band::{self, RateBand};
use super::{Context, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{RuleCode, Severity};
use lampwright_timing::Micros;

/// Flash rate outside 75 to 125 per minute.
pub(super) struct FlashRateOutsideAmbulanceBand;

const BAND: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta {
    code: RuleCode(2),
    name: "flash-rate-outside-ambulance-band",
    summary: "A light flashes fewer than 75 or more than 125 times per minute",
    group: RuleGroup::Timing,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "KKK-A-1822E, star-of-life ambulance",
            edition: "1 June 2002, superseded",
            clause: "3.8.2.2",
            says: "each light flashes 75 to 125 times per minute",
            known: Known::Read,
        },
        Source {
            document: "SAE J595 and J845",
            edition: "",
            clause: "definition of a flash",
            says: "a flash is a pulse, or a train of pulses, closed by a dark interval of at least 160 ms",
            known: Known::Memory,
        },
    ],
    parameters: &[
        Parameter {
            name: "least_per_minute",
            label: "fewest flashes per minute",
            unit: "per minute",
            default: 75_000,
            range: (1_000, 6_000_000),
            source: BAND,
        },
        Parameter {
            name: "most_per_minute",
            label: "most flashes per minute",
            unit: "per minute",
            default: 125_000,
            range: (1_000, 6_000_000),
            source: BAND,
        },
        Parameter {
            name: "gap_ms",
            label: "dark gap that ends a flash",
            unit: "ms",
            default: 160_000,
            range: (0, 10_000_000),
            source: GAP,
        },
    ],
    is_always_run: false,
    page: include_str!("pages/lw002.md"),
};

impl Rule for FlashRateOutsideAmbulanceBand {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let per_minute =
            |name| Quantity::new(i128::from(options.thousandths(name)), 60_000, Unit::Hertz);
        let band = RateBand {
            limit: Limit::between(
                per_minute("least_per_minute"),
                per_minute("most_per_minute"),
            ),
            gap: Micros(options.thousandths("gap_ms")),
            band_source: BAND,
            gap_source: GAP,
        };
        rate_band::judge(context, options, &band)
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};
    use lampwright_model::Severity;

    #[test]
    fn seventy_five_and_a_hundred_and_twenty_five_per_minute_are_inside() {
        let lane = |period: &str| format!("head a front red\nlane a period {period} ms: 0-100");
        passes(2, &lane("480"));
        passes(2, &lane("800"));
        assert_eq!(finding(2, &lane("479.999")).severity, Severity::Error);
        assert_eq!(finding(2, &lane("800.001")).severity, Severity::Error);
    }

    /// Cases C12 and C13 of the flash rules differ by 1 ms in the inner gap.
    #[test]
    fn one_millisecond_of_inner_gap_changes_the_count_by_a_factor_of_two() {
        passes(2, "head a front red\nlane a period 600 ms: 0-50 209-259");
        let found = finding(2, "head a front red\nlane a period 600 ms: 0-50 210-260");
        assert!(
            found.message.contains("200 per minute"),
            "{}",
            found.message
        );
        assert!(found.is_unverified);
    }
}
