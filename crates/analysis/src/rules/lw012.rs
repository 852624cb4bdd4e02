//! LW012: front and rear give unequal shares of the flashing light.

use super::shares::{self, Shares};
use super::{Context, Judgment, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
use crate::quantity::{Quantity, Unit};
use lampwright_model::{RuleCode, Severity, Zone};

/// Front and rear out of balance.
pub(super) struct EndsOutOfBalance;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(12),
    name: "ends-out-of-balance",
    summary: "One end of the vehicle gives much less flashing light than the other",
    group: RuleGroup::Balance,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source::practice(
        "front and rear differ by purpose, but a nearly dark end is worth a look",
    )],
    parameters: &[Parameter {
        name: "least_share_percent",
        label: "least share of the weaker end",
        unit: "%",
        default: 20_000,
        range: (0, 50_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw012.md"),
};

impl Rule for EndsOutOfBalance {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let shares = Shares {
            names: ("front", "rear"),
            is_first: |head| head.zone() == Zone::A,
            is_second: |head| head.zone() == Zone::C,
            source: SOURCE,
            help: "Check that the weaker end is meant to show less in this state",
        };
        let least =
            Quantity::thousandths(options.thousandths("least_share_percent"), Unit::Percent);
        shares::judge(context, options, &shares, least)
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};
    use lampwright_model::Severity;

    #[test]
    fn a_share_of_20_percent_passes_and_a_microsecond_less_is_worth_knowing() {
        let ends = |rear: &str| {
            format!(
                "head a front red 1000cd\nhead b rear red 1000cd\nlane a period 500 ms: 0-80\nlane b period 500 ms: 0-{rear}"
            )
        };
        passes(12, &ends("20"));
        let found = finding(12, &ends("19.999"));
        assert_eq!(found.severity, Severity::Info);
    }
}
