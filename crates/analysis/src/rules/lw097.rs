//! LW097: a turn or hazard signal is outside its band in the United States.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A turn or hazard signal flashes outside 60 to 120 per minute.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a turn or hazard signal");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    97,
    "turn-signal-outside-us-band",
    "A turn or hazard signal flashes outside 60 to 120 per minute",
    &[Source::of(
        "NHTSA letter nht93-7.4",
        "1 October 1993",
        "",
        "turn and hazard signals flash 60 to 120 times per minute; supplementary lamps have no federal range",
        Known::Read,
    )],
    &[least_per_minute(60, BAND), most_per_minute(120, BAND)],
    page!("pages/lw097.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_a_hundred_and_twenty_per_minute_are_inside() {
        edges(
            97,
            "head a front amber\nrule LW097 heads=a\nlane a ",
            &["period 1000 ms: 0-500", "period 500 ms: 0-250"],
            &[
                "period 400 ms: 0-200",
                "period 1000.001 ms: 0-500",
                "period 499.999 ms: 0-250",
            ],
        );
    }
}
