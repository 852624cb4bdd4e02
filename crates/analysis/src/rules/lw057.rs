//! LW057: a stop-arm lamp is outside its band.

use super::flash_rule::{
    FlashIs, FlashRule, gap, least_lit, least_per_minute, most_lit, most_per_minute,
};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

/// A stop-arm lamp flashes outside 60 to 120 per minute or is lit less than 30 % or more than 75 % of the time.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train).named("a stop-arm lamp");

const BAND: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    57,
    "stop-arm-lamp-outside-band",
    "A stop-arm lamp flashes outside 60 to 120 per minute or is lit less than 30 % or more than 75 % of the time",
    &[
        Source::of(
            "FMVSS 131",
            "1995",
            "",
            "stop-arm lamps flash 60 to 120 per minute; lamps other than strobes are lit 30 % to 75 % of the time",
            Known::Memory,
        ),
        CLOSING_GAP,
    ],
    &[
        least_per_minute(60, BAND),
        most_per_minute(120, BAND),
        gap(GAP),
        least_lit(30, BAND),
        most_lit(75, BAND),
    ],
    page!("pages/lw057.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_and_both_lit_shares_are_inclusive() {
        edges(
            57,
            "head a left red\nrule LW057 heads=a\nlane a ",
            &[
                "period 1000 ms: 0-300",
                "period 1000 ms: 0-750",
                "period 500 ms: 0-250",
            ],
            &[
                "period 1000 ms: 0-250",
                "period 1000 ms: 0-299.999",
                "period 1000 ms: 0-750.001",
                "period 1000.001 ms: 0-500",
                "period 499.999 ms: 0-250",
            ],
        );
    }
}
