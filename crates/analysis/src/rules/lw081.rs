//! LW081: a hazard signal is outside its band or not in turn.

use super::flash_rule::{FlashIs, FlashRule, Keeping, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// A hazard signal flashes outside 60 to 90 per minute, or not one lamp whenever the other is dark.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .keeping(Keeping::InTurnWithoutDark(BAND))
    .only(Color::Amber)
    .named("a hazard signal");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    81,
    "hazard-signal-outside-band",
    "A hazard signal flashes outside 60 to 90 per minute, or not one lamp whenever the other is dark",
    &[Source::of(
        "Traffic Signs Regulations and General Directions",
        "2002 as made, since replaced",
        "regulation 45 (3)",
        "60 to 90 flashes per minute, one amber lamp shown whenever the other is not",
        Known::Read,
    )],
    &[least_per_minute(60, BAND), most_per_minute(90, BAND)],
    page!("pages/lw081.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_overlap_and_gap_are_held_to_a_microsecond() {
        edges(
            81,
            "head a rear-left amber\nhead b rear-right amber\nrule LW081 heads=a heads=b\n",
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 500-1000",
                "lane a period 666.667 ms: 0-333\nlane b period 666.667 ms: 333-666.667",
            ],
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 550-1000",
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 499.999-1000",
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 500.001-1000",
                "lane a period 666.666 ms: 0-333\nlane b period 666.666 ms: 333-666.666",
                "lane a period 1000.001 ms: 0-500\nlane b period 1000.001 ms: 500-1000.001",
            ],
        );
    }
}
