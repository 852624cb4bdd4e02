//! LW086: the rear warning system is not in step.

use super::flash_rule::{FlashIs, FlashRule, Keeping};
use super::meta::{Known, RuleMeta, Source};

/// The lamps of a rear warning system are not lit and dark together.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Pulse)
    .keeping(Keeping::InStep(STEP))
    .named("the rear warning system");

const STEP: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    86,
    "rear-warning-not-in-step",
    "The lamps of a rear warning system are not lit and dark together",
    &[Source::of(
        "StVZO",
        "2012, copy of March 2022",
        "section 52 (11) numbers 1 to 3",
        "a rear warning system of at most three pairs, category X of UN R65, flashes synchronously",
        Known::Read,
    )],
    &[],
    page!("pages/lw086.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_microsecond_apart_is_not_in_step() {
        edges(
            86,
            "head a rear-left amber\nhead b rear-right amber\nrule LW086 heads=a heads=b\n",
            &[
                "lane a period 500 ms: 0-150\nlane b period 500 ms: 0-150",
                "lane a b period 500 ms: 0-50 100-150",
            ],
            &[
                "lane a period 500 ms: 0-150\nlane b period 500 ms: 250-400",
                "lane a period 500 ms: 0-150\nlane b period 500 ms: 0.001-150",
                "lane a period 500 ms: 0-150.001\nlane b period 500 ms: 0-150",
            ],
        );
    }
}
