//! LW084: an amber light of an escort vehicle is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// An amber light of an escort vehicle does not repeat 60 to 90 times per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Cycle).only(Color::Amber);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    84,
    "escort-light-outside-quebec-band",
    "An amber light of an escort vehicle does not repeat 60 to 90 times per minute",
    &[Source::of(
        "Quebec C-24.2, r. 35",
        "version of 21 May 2019",
        "section 9",
        "amber lights of escort vehicles: 60 to 90 cycles per minute, at least 1 m apart, seen at 300 m",
        Known::Read,
    )],
    &[least_per_minute(60, BAND), most_per_minute(90, BAND)],
    page!("pages/lw084.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_ninety_cycles_per_minute_are_inside() {
        edges(
            84,
            "head a front amber\nlane a ",
            &[
                "period 1000 ms: 0-200",
                "period 666.667 ms: 0-200",
                "period 800 ms: 0-50 100-150",
            ],
            &[
                "period 500 ms: 0-200",
                "period 666.666 ms: 0-200",
                "period 1000.001 ms: 0-200",
            ],
        );
    }
}
