//! LW095: an amber light of a pilot or oversize vehicle is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// An amber light of a pilot or oversize vehicle flashes outside 120 to 200 per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain).only(Color::Amber);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    95,
    "oversize-light-outside-band",
    "An amber light of a pilot or oversize vehicle flashes outside 120 to 200 per minute",
    &[Source::of(
        "Australian rules for oversize vehicles",
        "",
        "",
        "rotating or flashing yellow lights of pilot and oversize vehicles flash 120 to 200 per minute, no strobe",
        Known::Memory,
    )],
    &[least_per_minute(120, BAND), most_per_minute(200, BAND)],
    page!("pages/lw095.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_hundred_and_twenty_and_two_hundred_per_minute_are_inside() {
        edges(
            95,
            "head a front amber\nlane a ",
            &["period 500 ms: 0-200", "period 300 ms: 0-100"],
            &[
                "period 600 ms: 0-200",
                "period 500.001 ms: 0-200",
                "period 299.999 ms: 0-100",
            ],
        );
    }
}
