//! LW021: more than three red flashes in a second are seen from one direction.

use super::directions::{Counts, judge_count};
use super::{Context, Judgment, Known, Options, Parameter, Rule, RuleGroup, RuleMeta, Source};
use crate::light::DirectionResult;
use crate::quantity::{Quantity, Unit};
use lampwright_model::{RuleCode, Severity};

/// Red flashes above three per second.
pub(super) struct RedFlashesAboveThree;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(21),
    name: "red-flashes-above-three",
    summary: "Saturated red flashes more than three times in some second, as seen from one direction",
    group: RuleGroup::Screening,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "WCAG 2.2",
            edition: "W3C Recommendation, 5 October 2023",
            clause: "success criterion 2.3.1, red flash",
            says: "no more than three red flashes in any one-second period; made for screens, carried over here by analogy",
            known: Known::Read,
        },
        Source {
            document: "Recommendation ITU-R BT.1702-3",
            edition: "November 2023",
            clause: "Annex 1",
            says: "flashes to and from saturated red count whatever their luminance",
            known: Known::Read,
        },
    ],
    parameters: &[Parameter {
        name: "most_per_second",
        label: "most red flashes in any second",
        unit: "flashes per second",
        default: 3_000,
        range: (0, 65_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw021.md"),
};

impl Rule for RedFlashesAboveThree {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let counts = Counts {
            of: DirectionResult::n_red,
            word: "red flashes",
            is_red: true,
            source: SOURCE,
            help: "Put the red heads in step, slow them down, or let another color take part of their flashes",
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
    use crate::rules::sketch::{finding, passes};

    #[test]
    fn only_red_counts() {
        passes(21, "head a front white 1000cd\nlane a period 100 ms: 0-50");
        let found = finding(
            21,
            "head a front red 1000cd\nlane a period 333.333 ms: 0-100",
        );
        assert!(
            found.message.starts_with("4 red flashes"),
            "{}",
            found.message
        );
        passes(
            21,
            "head a front red 1000cd\nlane a period 333.334 ms: 0-100",
        );
    }

    /// Steady white elsewhere must not hide red.
    #[test]
    fn steady_white_does_not_hide_red() {
        finding(
            21,
            "head a front red 1000cd\nhead w front white 9000cd\nlane a period 250 ms: 0-100\nsteady w",
        );
    }
}
