//! LW059: an amber light of an airport vehicle is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// An amber light of an airport vehicle flashes outside 75 ± 15 per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain).only(Color::Amber);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    59,
    "airport-vehicle-light-outside-band",
    "An amber light of an airport vehicle flashes outside 75 ± 15 per minute",
    &[Source::of(
        "FAA AC 150/5210-5D",
        "",
        "",
        "the yellow light of a vehicle on an airport flashes 75 ± 15 times per minute",
        Known::Memory,
    )],
    &[least_per_minute(60, BAND), most_per_minute(90, BAND)],
    page!("pages/lw059.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn fifteen_either_way_are_inside() {
        edges(
            59,
            "head a front amber\nlane a ",
            &[
                "period 1000 ms: 0-200",
                "period 666.667 ms: 0-200",
                "period 2000 ms: 0-100 800-900",
            ],
            &[
                "period 1100 ms: 0-200",
                "period 1000.001 ms: 0-200",
                "period 666.666 ms: 0-200",
            ],
        );
    }
}
