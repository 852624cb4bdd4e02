//! LW092: a rapidly flickering light of an inland vessel is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute, rate};
use super::meta::{INLAND_DRAFT, INLAND_LAW, RuleMeta};

/// A rapidly flickering light of an inland vessel is outside 100 to 150 per minute.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a rapidly flickering light");

const BAND: usize = 0;
const OTHER: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    92,
    "rapid-flicker-outside-band",
    "A rapidly flickering light of an inland vessel is outside 100 to 150 per minute",
    &[INLAND_LAW, INLAND_DRAFT],
    &[
        least_per_minute(100, BAND),
        most_per_minute(150, BAND),
        rate(
            "other_least_per_minute",
            "fewest in the other text",
            100,
            OTHER,
        ),
        rate(
            "other_most_per_minute",
            "most in the other text",
            120,
            OTHER,
        ),
    ],
    page!("pages/lw092.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{edges, finding};

    #[test]
    fn the_narrower_text_decides_what_depends_on_the_reading() {
        edges(
            92,
            "head a front blue\nrule LW092 heads=a\nlane a ",
            &["period 600 ms: 0-200", "period 500 ms: 0-200"],
            &[
                "period 300 ms: 0-100",
                "period 600.001 ms: 0-200",
                "period 499.999 ms: 0-200",
                "period 399.999 ms: 0-100",
            ],
        );
    }

    #[test]
    fn between_the_two_upper_ends_it_depends_on_the_reading() {
        let lane = |period| {
            finding(
                92,
                &format!("head a front blue\nrule LW092 heads=a\nlane a period {period} ms: 0-100"),
            )
        };
        assert!(lane("400").depends_on_reading);
        assert!(!lane("399.999").depends_on_reading);
    }
}
