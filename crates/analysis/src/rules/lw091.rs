//! LW091: a flickering light of an inland vessel is outside its band.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute, rate};
use super::meta::{INLAND_DRAFT, INLAND_LAW, RuleMeta};

/// A flickering light of an inland vessel is outside 50 to 60 per minute.
pub(super) static RULE: FlashRule =
    FlashRule::of(&META, FlashIs::PulseOrTrain).named("a flickering light");

const BAND: usize = 0;
const OTHER: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    91,
    "inland-flicker-outside-band",
    "A flickering light of an inland vessel is outside 50 to 60 per minute",
    &[INLAND_LAW, INLAND_DRAFT],
    &[
        least_per_minute(50, BAND),
        most_per_minute(60, BAND),
        rate(
            "other_least_per_minute",
            "fewest in the other text",
            40,
            OTHER,
        ),
        rate("other_most_per_minute", "most in the other text", 60, OTHER),
    ],
    page!("pages/lw091.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{edges, finding};

    #[test]
    fn both_texts_have_to_admit_it() {
        edges(
            91,
            "head a front amber\nrule LW091 heads=a\nlane a ",
            &["period 1200 ms: 0-600", "period 1000 ms: 0-500"],
            &[
                "period 1600 ms: 0-600",
                "period 1200.001 ms: 0-600",
                "period 999.999 ms: 0-500",
                "period 1500.001 ms: 0-500",
            ],
        );
    }

    #[test]
    fn what_only_one_text_admits_depends_on_the_reading() {
        let lane = |period| {
            finding(
                91,
                &format!(
                    "head a front amber\nrule LW091 heads=a\nlane a period {period} ms: 0-500"
                ),
            )
        };
        assert!(lane("1500").depends_on_reading);
        assert!(!lane("1500.001").depends_on_reading);
        assert!(!lane("999.999").depends_on_reading);
    }
}
