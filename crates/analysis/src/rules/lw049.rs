//! LW049: a lamp of a sequential chevron is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_lit, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A lamp of a sequential chevron flashes outside 25 to 40 per minute or is lit less than 25 % of the time.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a sequential chevron");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    49,
    "chevron-outside-band",
    "A lamp of a sequential chevron flashes outside 25 to 40 per minute or is lit less than 25 % of the time",
    &[Source::of(
        "Florida DOT specification 990-3.3 (g) and (h), citing the MUTCD",
        "in a municipal contract file",
        "990-3.3",
        "arrow boards flash 25 to 40 per minute; lamps lit at least 25 % for sequential chevrons",
        Known::SecondHand,
    )],
    &[
        least_per_minute(25, BAND),
        most_per_minute(40, BAND),
        least_lit(25, BAND),
    ],
    page!("pages/lw049.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_and_lit_share_are_inclusive() {
        edges(
            49,
            "head a rear amber\nrule LW049 heads=a\nlane a ",
            &["period 1500 ms: 0-375", "period 2400 ms: 0-600"],
            &[
                "period 1500 ms: 0-374",
                "period 1500 ms: 0-374.999",
                "period 1499.999 ms: 0-400",
                "period 2400.001 ms: 0-700",
            ],
        );
    }
}
