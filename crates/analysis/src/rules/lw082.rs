//! LW082: an amber beacon has no cycle of 2 to 4 per second.

use super::flash_rule::{FlashIs, FlashRule, hz};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// An amber beacon does not repeat a consistent cycle 2 to 4 times per second.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Cycle).only(Color::Amber);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    82,
    "beacon-cycle-outside-new-zealand-band",
    "An amber beacon does not repeat a consistent cycle 2 to 4 times per second",
    &[Source::of(
        "New Zealand Gazette",
        "2000 and 2001",
        "notices 2001-au8874, 2000-au8121, 2000-au1076",
        "amber beacons have a consistent cycle of 2 to 4 per second",
        Known::Read,
    )],
    &[
        hz("least_hz", "fewest cycles per second", 2, BAND),
        hz("most_hz", "most cycles per second", 4, BAND),
    ],
    page!("pages/lw082.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn two_and_four_cycles_per_second_are_inside() {
        edges(
            82,
            "head a front amber\nlane a ",
            &[
                "period 500 ms: 0-100",
                "period 250 ms: 0-100",
                "period 400 ms: 0-50 100-150",
                "period 1000 ms: 0-100 500-600",
            ],
            &[
                "period 600 ms: 0-100",
                "period 500.001 ms: 0-100",
                "period 249.999 ms: 0-100",
                "period 1000 ms: 0-100 500-600.001",
            ],
        );
    }
}
