//! LW094: a flashing white or green road signal is outside its band.

use super::flash_rule::{
    FlashIs, FlashRule, least_lit, least_per_minute, most_lit, most_per_minute,
};
use super::meta::{Known, RuleMeta, Source};

/// A flashing white or green road signal is outside 80 to 120 per minute or not lit for exactly half the time.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a flashing white or green road signal");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    94,
    "white-green-signal-outside-band",
    "A flashing white or green road signal is outside 80 to 120 per minute or not lit for exactly half the time",
    &[Source::of(
        "Regeling verkeerslichten",
        "",
        "points 71, 81, 91, 114, 115",
        "white and green flashing signals 80 to 120 per minute, as long lit as dark",
        Known::Read,
    )],
    &[
        least_per_minute(80, BAND),
        most_per_minute(120, BAND),
        least_lit(50, BAND),
        most_lit(50, BAND),
    ],
    page!("pages/lw094.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_and_equal_halves_are_exact_at_both_ends() {
        edges(
            94,
            "head a rear white\nrule LW094 heads=a\nlane a ",
            &["period 500 ms: 0-250", "period 750 ms: 0-375"],
            &[
                "period 400 ms: 0-200",
                "period 750.002 ms: 0-375.001",
                "period 499.998 ms: 0-249.999",
                "period 500 ms: 0-250.001",
            ],
        );
    }
}
