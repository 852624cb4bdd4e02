//! LW001: a light flashes slower or faster than the SAE band.

use super::rate_band::{self, RateBand};
use super::{Context, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
use crate::quantity::{Quantity, Unit};
use lampwright_model::{RuleCode, Severity};
use lampwright_timing::Micros;

/// Flash rate outside 1.0 to 4.0 Hz.
pub(super) struct FlashRateOutsideSaeBand;

const BAND: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta {
    code: RuleCode(1),
    name: "flash-rate-outside-sae-band",
    summary: "A light flashes slower than 1.0 Hz or faster than 4.0 Hz",
    group: RuleGroup::Timing,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "SAE J845",
            edition: "June 2013",
            clause: "5.7 and 6.7, revision notes",
            says: "flash rate at least 1.0 Hz and not more than 4.0 Hz",
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
            name: "least_hz",
            label: "least flash rate",
            unit: "Hz",
            default: 1_000,
            range: (10, 100_000),
            source: BAND,
        },
        Parameter {
            name: "most_hz",
            label: "largest flash rate",
            unit: "Hz",
            default: 4_000,
            range: (10, 100_000),
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
    page: include_str!("pages/lw001.md"),
};

impl Rule for FlashRateOutsideSaeBand {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let hertz = |name| Quantity::thousandths(options.thousandths(name), Unit::Hertz);
        let band = RateBand {
            least: hertz("least_hz"),
            most: hertz("most_hz"),
            gap: Micros(options.thousandths("gap_ms")),
            band_source: BAND,
            gap_source: GAP,
        };
        rate_band::judge(context, options, &band)
    }
}
