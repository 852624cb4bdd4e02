//! LW006: a light of a fire apparatus flashes too slowly.

use super::flash_rule::{FlashIs, FlashRule, gap, least_per_minute};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

/// A light of a fire apparatus flashes fewer than 75 times per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train);

const RATE: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    6,
    "fire-apparatus-source-too-slow",
    "A light of a fire apparatus flashes fewer than 75 times per minute",
    &[
        Source::of(
            "NFPA 1901",
            "2009 and 2016",
            "",
            "each optical source flashes at least 75 times per minute; no maximum is known",
            Known::Memory,
        ),
        CLOSING_GAP,
    ],
    &[least_per_minute(75, RATE), gap(GAP)],
    page!("pages/lw006.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn seventy_five_per_minute_is_enough() {
        edges(
            6,
            "head a front red\nlane a ",
            &[
                "period 800 ms: 0-100",
                "period 250 ms: 0-50",
                "period 1600 ms: 0-50 800-850",
            ],
            &["period 800.001 ms: 0-100", "period 801 ms: 0-100"],
        );
    }
}
