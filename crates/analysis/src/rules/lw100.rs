//! LW100: an indicator lamp of the slow rhythm is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{INDICATORS, RuleMeta};

/// An indicator lamp of the slow rhythm flashes outside 24 to 48 per minute.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("an indicator of the slow rhythm");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    100,
    "slow-indicator-outside-band",
    "An indicator lamp of the slow rhythm flashes outside 24 to 48 per minute",
    &[INDICATORS],
    &[least_per_minute(24, BAND), most_per_minute(48, BAND)],
    page!("pages/lw100.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn twenty_four_and_forty_eight_per_minute_are_inside() {
        edges(
            100,
            "head a front amber\nrule LW100 heads=a\nlane a ",
            &["period 2500 ms: 0-1000", "period 1250 ms: 0-600"],
            &[
                "period 1000 ms: 0-500",
                "period 2500.001 ms: 0-1000",
                "period 1249.999 ms: 0-600",
            ],
        );
    }
}
