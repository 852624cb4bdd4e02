//! LW043: a flashing beacon is outside its band or mixes rates.

use super::flash_rule::{
    Evenness, FlashIs, FlashRule, least_lit, least_per_minute, most_lit_to_dark, most_per_minute,
};
use super::meta::{Known, RuleMeta, Source};

/// A flashing beacon is outside 50 to 60 flashes per minute, lit less than half or more than two thirds of the time, or mixes two rates.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Pulse)
    .evenness(Evenness::Alike(CONSTANT))
    .named("a flashing beacon");

const BAND: usize = 0;
const CONSTANT: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    43,
    "beacon-outside-band",
    "A flashing beacon is outside 50 to 60 flashes per minute, lit less than half or more than two thirds of the time, or mixes two rates",
    &[
        Source::of(
            "MUTCD",
            "2003 revision 1, rate also 2009",
            "4K.01; 4L.01 paragraph 3",
            "a flashing beacon flashes 50 to 60 times per minute and is lit at least one half and at most two thirds of the cycle",
            Known::Read,
        ),
        Source::of(
            "FHWA letter 4(09)-64 (I)",
            "23 February 2018",
            "",
            "a flash is a lit period followed by a dark period; a rate is one constant value, so a pattern that mixes 120 and 30 per minute does not comply",
            Known::Read,
        ),
    ],
    &[
        least_per_minute(50, BAND),
        most_per_minute(60, BAND),
        least_lit(50, BAND),
        most_lit_to_dark(2, BAND),
    ],
    page!("pages/lw043.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_and_lit_share_are_inclusive_and_a_mixture_of_rates_fails() {
        edges(
            43,
            "head a front amber\nrule LW043 heads=a\nlane a ",
            &[
                "period 1200 ms: 0-600",
                "period 1000 ms: 0-500",
                "period 1200 ms: 0-800",
                "period 1000 ms: 0-666",
            ],
            &[
                "period 3000 ms: 0-250 500-750 1000-2000",
                "period 1200.001 ms: 0-700",
                "period 999.999 ms: 0-600",
                "period 1200 ms: 0-599.999",
                "period 1200 ms: 0-800.001",
            ],
        );
    }
}
