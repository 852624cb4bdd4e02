//! LW020: more than three flashes in a second are seen from one direction.

use super::directions::{Counts, judge_count};
use super::{Context, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
use crate::light::DirectionResult;
use crate::quantity::{Quantity, Unit};
use lampwright_model::{RuleCode, Severity};

/// Combined rate above three per second.
pub(super) struct CombinedRateAboveThree;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(20),
    name: "combined-rate-above-three",
    summary: "All lamps together flash more than three times in some second, as seen from one direction",
    group: RuleGroup::Screening,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "WCAG 2.2",
            edition: "W3C Recommendation, 5 October 2023",
            clause: "success criteria 2.3.1 and 2.3.2",
            says: "no more than three flashes in any one-second period; made for screens, carried over here by analogy",
            known: Known::Read,
        },
        Source {
            document: "Recommendation ITU-R BT.1702-3",
            edition: "November 2023",
            clause: "Annex 1",
            says: "no more than three flashes within any one-second period; made for television, carried over here by analogy",
            known: Known::Read,
        },
    ],
    parameters: &[Parameter {
        name: "most_per_second",
        label: "most flashes in any second",
        unit: "flashes per second",
        default: 3_000,
        range: (0, 65_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: include_str!("pages/lw020.md"),
};

impl Rule for CombinedRateAboveThree {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let counts = Counts {
            of: DirectionResult::n,
            word: "flashes",
            is_red: false,
            source: SOURCE,
            help: "Put groups that alternate in step, let their onsets fall within 33 ms of each other, or lengthen the periods",
        };
        let most = Quantity::thousandths(
            options.thousandths("most_per_second"),
            Unit::FlashesPerSecond,
        );
        judge_count(context, options, &counts, most)
    }
}
