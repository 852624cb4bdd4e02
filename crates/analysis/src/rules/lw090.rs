//! LW090: a special flashing light of a vessel is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A special or blue flashing light of a vessel flashes outside 50 to 70 per minute.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a special flashing light of a vessel");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    90,
    "vessel-special-light-outside-band",
    "A special or blue flashing light of a vessel flashes outside 50 to 70 per minute",
    &[Source::of(
        "Collision Regulations",
        "Canada, C.R.C. c. 1416",
        "rule 21 (g) and (h)",
        "special flashing and blue flashing lights flash 50 to 70 times per minute",
        Known::Read,
    )],
    &[least_per_minute(50, BAND), most_per_minute(70, BAND)],
    page!("pages/lw090.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn fifty_and_seventy_per_minute_are_inside() {
        edges(
            90,
            "head a front blue\nrule LW090 heads=a\nlane a ",
            &["period 1200 ms: 0-200", "period 857.143 ms: 0-200"],
            &[
                "period 800 ms: 0-200",
                "period 1200.001 ms: 0-200",
                "period 857.142 ms: 0-200",
            ],
        );
    }
}
