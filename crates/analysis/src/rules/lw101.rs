//! LW101: an indicator lamp of the normal rhythm is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{INDICATORS, RuleMeta};

/// An indicator lamp of the normal rhythm flashes outside 84 to 168 per minute.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("an indicator of the normal rhythm");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    101,
    "normal-indicator-outside-band",
    "An indicator lamp of the normal rhythm flashes outside 84 to 168 per minute",
    &[INDICATORS],
    &[least_per_minute(84, BAND), most_per_minute(168, BAND)],
    page!("pages/lw101.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn eighty_four_and_a_hundred_and_sixty_eight_per_minute_are_inside() {
        edges(
            101,
            "head a front amber\nrule LW101 heads=a\nlane a ",
            &["period 714 ms: 0-300", "period 357.143 ms: 0-150"],
            &[
                "period 1000 ms: 0-500",
                "period 714.286 ms: 0-300",
                "period 357.142 ms: 0-150",
            ],
        );
    }
}
