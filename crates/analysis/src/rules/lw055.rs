//! LW055: a warning light of agricultural equipment is outside its band.

use super::flash_rule::{FlashIs, FlashRule, gap, least_per_minute, most_per_minute};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

/// A warning light of agricultural equipment flashes outside 60 to 120 per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train);

const BAND: usize = 0;
const GAP: usize = 2;

static META: RuleMeta = RuleMeta::timing(
    55,
    "agricultural-rate-outside-band",
    "A warning light of agricultural equipment flashes outside 60 to 120 per minute",
    &[
        Source::of(
            "SAE J974",
            "2002 excerpt",
            "4.1 to 4.3",
            "flashing lamps of agricultural equipment flash 60 to 120 times per minute, amber",
            Known::SecondHand,
        ),
        Source::of(
            "Washington Administrative Code",
            "",
            "204-21-140",
            "adopts SAE J974",
            Known::Read,
        ),
        CLOSING_GAP,
    ],
    &[
        least_per_minute(60, BAND),
        most_per_minute(120, BAND),
        gap(GAP),
    ],
    page!("pages/lw055.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_a_hundred_and_twenty_per_minute_are_inside() {
        edges(
            55,
            "head a rear amber\nlane a ",
            &["period 1000 ms: 0-300", "period 500 ms: 0-200"],
            &[
                "period 400 ms: 0-100",
                "period 1000.001 ms: 0-300",
                "period 499.999 ms: 0-200",
            ],
        );
    }
}
