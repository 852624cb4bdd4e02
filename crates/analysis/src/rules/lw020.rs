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
    page: page!("pages/lw020.md"),
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

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    /// A regular train passes three a second from a period of 334 ms up (ITU-R BT.1702-3, read).
    #[test]
    fn three_flashes_pass_and_four_do_not() {
        let lane =
            |period: &str| format!("head a front white 1000cd\nlane a period {period} ms: 0-100");
        passes(20, &lane("333.334"));
        let found = finding(20, &lane("333.333"));
        assert_eq!(found.measured.unwrap().to_string(), "4 flashes per second");
        assert_eq!(found.direction_degrees, Some(0));
    }

    #[test]
    fn the_profile_may_allow_more() {
        let lane = "head a front white 1000cd\nlane a period 250 ms: 0-100";
        finding(20, &format!("{lane}\nrule LW020 most_per_second=3"));
        passes(20, &format!("{lane}\nrule LW020 most_per_second=4"));
    }

    #[test]
    fn nothing_lit_is_not_a_pass() {
        let verdict = verdict(20, "head a front white");
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }
}
