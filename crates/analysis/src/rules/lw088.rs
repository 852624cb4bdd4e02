//! LW088: a blue light of medical transport is outside the recommended band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::{Color, Severity};

/// A blue light of a medical vehicle or aircraft flashes outside 60 to 100 per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain).only(Color::Blue);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta {
    severity: Severity::Warning,
    ..RuleMeta::timing(
        88,
        "medical-blue-outside-band",
        "A blue light of a medical vehicle or aircraft flashes outside 60 to 100 per minute",
        &[Source::of(
            "Protocol I to the Geneva Conventions",
            "as in Canada G-3",
            "Annex I, article 6",
            "the blue light of medical transport is recommended to flash 60 to 100 times per minute",
            Known::Read,
        )],
        &[least_per_minute(60, BAND), most_per_minute(100, BAND)],
        page!("pages/lw088.md"),
    )
};

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_a_hundred_per_minute_are_inside() {
        edges(
            88,
            "head a front blue\nlane a ",
            &["period 1000 ms: 0-200", "period 600 ms: 0-200"],
            &[
                "period 500 ms: 0-200",
                "period 599.999 ms: 0-200",
                "period 1000.001 ms: 0-200",
            ],
        );
    }
}
