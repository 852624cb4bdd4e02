//! LW010: left and right give unequal shares of the flashing light.

use super::shares::{self, Shares};
use super::{Context, Judgment, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
use crate::quantity::{Quantity, Unit};
use lampwright_model::{RuleCode, Severity, Side};

/// Sides out of balance.
pub(super) struct SidesOutOfBalance;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(10),
    name: "sides-out-of-balance",
    summary: "One side of the vehicle gives much less flashing light than the other",
    group: RuleGroup::Balance,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "both sides of a vehicle give about the same light, unless an arrow or a closed side is meant",
    )],
    parameters: &[Parameter {
        name: "least_share_percent",
        label: "least share of the weaker side",
        unit: "%",
        default: 40_000,
        range: (0, 50_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw010.md"),
};

impl Rule for SidesOutOfBalance {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let shares = Shares {
            names: ("left", "right"),
            is_first: |head| head.side() == Side::Left,
            is_second: |head| head.side() == Side::Right,
            source: SOURCE,
            help: "Let the same lanes drive both sides, or leave the pattern out of this rule when it is meant to point to one side",
        };
        let least =
            Quantity::thousandths(options.thousandths("least_share_percent"), Unit::Percent);
        shares::judge(context, options, &shares, least)
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn sides(left: &str, right: &str) -> String {
        format!(
            "head a front-left red 1000cd\nhead b front-right red 1000cd\nlane a period 500 ms: 0-{left}\nlane b period 500 ms: 0-{right}"
        )
    }

    #[test]
    fn a_share_of_40_percent_passes_and_a_microsecond_less_does_not() {
        passes(10, &sides("60", "40"));
        let found = finding(10, &sides("60", "39.999"));
        assert_eq!(found.place.to_string(), "left against right");
        assert!(
            found.message.contains("right 39.9994 %") || found.message.contains("right 39.999 %"),
            "{}",
            found.message
        );
    }

    #[test]
    fn steady_light_and_excepted_patterns_do_not_count() {
        let scene = format!("{}\nhead s left white 9000cd\nsteady s", sides("60", "40"));
        passes(10, &scene);
        let excepted = format!(
            "{}\nrule LW010 except_patterns=a except_patterns=b",
            sides("60", "1")
        );
        let verdict = verdict(10, &excepted);
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }

    #[test]
    fn a_side_that_is_dark_while_the_other_flashes_is_found() {
        let text = "head a front-left red\nhead b front-right red\nlane a period 500 ms: 0-100";
        assert!(finding(10, text).message.contains("right 0 %"));
    }
}
