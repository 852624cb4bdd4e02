//! LW098: optical systems of one direction are not in step.

use super::flash_rule::{FlashIs, FlashRule, Keeping};
use super::meta::{Known, RuleMeta, Source};

/// Optical systems that show in one direction are not lit and dark together.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Pulse)
    .keeping(Keeping::InStep(STEP))
    .named("a system of one direction");

const STEP: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    98,
    "un-r65-systems-not-in-step",
    "Optical systems that show in one direction are not lit and dark together",
    &[Source::of(
        "UN Regulation No. 65",
        "00 series",
        "",
        "systems that show in one direction run at one frequency and in step, or are measured together",
        Known::Weak,
    )],
    &[],
    page!("pages/lw098.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_microsecond_apart_is_out_of_step() {
        edges(
            98,
            "head a front-left blue\nhead b front-right blue\nrule LW098 heads=a heads=b\n",
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
