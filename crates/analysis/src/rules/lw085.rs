//! LW085: a yellow roof light is too slow or irregular.

use super::flash_rule::{Evenness, FlashIs, FlashRule, least_per_minute};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// A yellow roof light flashes fewer than 60 times per minute or irregularly.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .evenness(Evenness::Alike(BAND))
    .only(Color::Amber);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    85,
    "vending-light-too-slow",
    "A yellow roof light flashes fewer than 60 times per minute or irregularly",
    &[Source::of(
        "Road Transport (Vehicle Registration) Regulation",
        "New South Wales, 2017",
        "rule 114B",
        "the yellow roof light of a street-vending vehicle flashes regularly, at least 60 times per minute",
        Known::Read,
    )],
    &[least_per_minute(60, BAND)],
    page!("pages/lw085.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_per_minute_is_enough() {
        edges(
            85,
            "head a front amber\nlane a ",
            &["period 1000 ms: 0-200", "period 100 ms: 0-50"],
            &[
                "period 1200 ms: 0-200",
                "period 1000.001 ms: 0-200",
                "period 1000 ms: 0-100 500-600.001",
            ],
        );
    }
}
