//! LW048: crossing lights are outside their band or not in turn.

use super::flash_rule::{Evenness, FlashIs, FlashRule, Keeping, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// Crossing lights flash outside 35 to 65 per minute, unevenly, or leave a moment dark.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .evenness(Evenness::Alike(BAND))
    .keeping(Keeping::InTurnWithoutDark(BAND))
    .named("a crossing light");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    48,
    "crossing-lights-outside-band",
    "Crossing lights flash outside 35 to 65 per minute, unevenly, or leave a moment dark",
    &[Source::of(
        "MUTCD",
        "2009",
        "8C.02",
        "the two lights flash alternately, each 35 to 65 times per minute, each lit about the same time, the pair lit the whole time",
        Known::Memory,
    )],
    &[least_per_minute(35, BAND), most_per_minute(65, BAND)],
    page!("pages/lw048.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_overlap_and_gap_are_held_to_a_microsecond() {
        edges(
            48,
            "head a front-left red\nhead b front-right red\nrule LW048 heads=a heads=b\n",
            &[
                "lane a period 1500 ms: 0-750\nlane b period 1500 ms: 750-1500",
                "lane a period 1714.285 ms: 0-857\nlane b period 1714.285 ms: 857-1714.285",
                "lane a period 923.077 ms: 0-461\nlane b period 923.077 ms: 461-923.077",
            ],
            &[
                "lane a period 1500 ms: 0-750\nlane b period 1500 ms: 760-1500",
                "lane a period 1500 ms: 0-750\nlane b period 1500 ms: 749.999-1500",
                "lane a period 1500 ms: 0-750\nlane b period 1500 ms: 750.001-1500",
                "lane a period 1714.286 ms: 0-857\nlane b period 1714.286 ms: 857-1714.286",
                "lane a period 923.076 ms: 0-461\nlane b period 923.076 ms: 461-923.076",
            ],
        );
    }
}
