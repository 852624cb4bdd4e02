//! LW010: left and right give unequal shares of the flashing light.

use super::shares::{self, Shares};
use super::{Context, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
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
    sources: &[Source {
        document: "common practice",
        edition: "",
        clause: "",
        says: "both sides of a vehicle give about the same light, unless an arrow or a closed side is meant",
        known: Known::CommonPractice,
    }],
    parameters: &[Parameter {
        name: "least_share_percent",
        label: "least share of the weaker side",
        unit: "%",
        default: 40_000,
        range: (0, 50_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: include_str!("pages/lw010.md"),
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
