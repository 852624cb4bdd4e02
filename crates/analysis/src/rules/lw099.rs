//! LW099: no steady red light shows ahead while an emergency vehicle answers a call.

use super::colors::ColorRule;
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::{Color, Zone};

/// No steady red to the front.
pub(super) static RULE: ColorRule = ColorRule {
    meta: &META,
    mode: "answering a call",
    never: &[],
    flashing: &[],
    steady: &[(Zone::A, Color::Red, STEADY)],
};

const STEADY: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    99,
    "steady-red-missing",
    "No steady red light shows to the front while an emergency vehicle answers a call",
    &[Source::of(
        "California Vehicle Code",
        "as quoted in an article of 2012",
        "25252",
        "at least one steady red warning lamp, visible 1,000 ft ahead",
        Known::SecondHand,
    )],
    &[],
    page!("pages/lw099.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn one_per_mille_without_change_is_steady_and_with_a_change_it_is_not() {
        edges(
            99,
            "head a front red\nhead b rear red\nhead c front blue\nsignal mode calling,rest\nrule LW099 when=mode:calling\nlane c period 800 ms: 0-100\n",
            &["steady a 1"],
            &["steady b", "lane a period 800 ms: 0-799.999"],
        );
    }
}
