//! LW058: a light of an aerodrome vehicle is outside its band.

use super::flash_rule::{Evenness, FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A light of an aerodrome vehicle flashes outside 60 to 90 per minute or unevenly.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).evenness(Evenness::Alike(BAND));

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    58,
    "aerodrome-beacon-outside-band",
    "A light of an aerodrome vehicle flashes outside 60 to 90 per minute or unevenly",
    &[Source::of(
        "ICAO Annex 14",
        "",
        "obstacle-light table, number not verified",
        "low-intensity lights type C and D on aerodrome vehicles flash 60 to 90 per minute",
        Known::Memory,
    )],
    &[least_per_minute(60, BAND), most_per_minute(90, BAND)],
    page!("pages/lw058.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_ninety_per_minute_are_inside() {
        edges(
            58,
            "head a front amber\nlane a ",
            &["period 1000 ms: 0-200", "period 666.667 ms: 0-200"],
            &[
                "period 600 ms: 0-200",
                "period 1000.001 ms: 0-200",
                "period 666.666 ms: 0-200",
                "period 1800 ms: 0-200 900-1100.001",
            ],
        );
    }
}
