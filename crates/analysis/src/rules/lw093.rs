//! LW093: a flashing road signal is outside its band.

use super::flash_rule::{
    FlashIs, FlashRule, least_lit, least_per_minute, most_lit, most_per_minute,
};
use super::meta::{Known, RuleMeta, Source};

/// A flashing road signal is outside 40 to 60 per minute or not lit for exactly half the time.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a flashing road signal");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    93,
    "road-signal-outside-band",
    "A flashing road signal is outside 40 to 60 per minute or not lit for exactly half the time",
    &[Source::of(
        "Regeling verkeerslichten",
        "",
        "points 71, 81, 91, 114, 115",
        "flashing signals 40 to 60 per minute, as long lit as dark, upper and lower in turn",
        Known::Read,
    )],
    &[
        least_per_minute(40, BAND),
        most_per_minute(60, BAND),
        least_lit(50, BAND),
        most_lit(50, BAND),
    ],
    page!("pages/lw093.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn rate_and_equal_halves_are_exact() {
        edges(
            93,
            "head a rear amber\nrule LW093 heads=a\nlane a ",
            &["period 1000 ms: 0-500", "period 1500 ms: 0-750"],
            &[
                "period 1000 ms: 0-400",
                "period 1500.002 ms: 0-750.001",
                "period 999.998 ms: 0-499.999",
                "period 1000 ms: 0-499.999",
                "period 1000 ms: 0-500.001",
            ],
        );
    }
}
