//! LW089: a flashing light of a vessel is too slow or irregular.

use super::flash_rule::{Evenness, FlashIs, FlashRule, least_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A flashing light of a vessel flashes fewer than 120 times per minute or irregularly.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .evenness(Evenness::Alike(RATE))
    .named("a flashing light of a vessel");

const RATE: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    89,
    "vessel-flashing-light-slow-or-irregular",
    "A flashing light of a vessel flashes fewer than 120 times per minute or irregularly",
    &[Source::of(
        "Collision Regulations",
        "Canada, C.R.C. c. 1416",
        "rule 21 (f)",
        "a flashing light flashes at regular intervals at 120 flashes or more per minute",
        Known::Read,
    )],
    &[least_per_minute(120, RATE)],
    page!("pages/lw089.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_hundred_and_twenty_per_minute_is_enough() {
        edges(
            89,
            "head a front amber\nrule LW089 heads=a\nlane a ",
            &["period 500 ms: 0-200", "period 300 ms: 0-100"],
            &[
                "period 600 ms: 0-200",
                "period 500.001 ms: 0-200",
                "period 800 ms: 0-200 400-600.001",
            ],
        );
    }
}
