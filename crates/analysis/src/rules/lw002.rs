//! LW002: a light flashes slower or faster than the ambulance band.

use super::flash_rule::{FlashIs, FlashRule, gap, least_per_minute, most_per_minute};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

/// Flash rate outside 75 to 125 per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train);

const BAND: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    2,
    "flash-rate-outside-ambulance-band",
    "A light flashes fewer than 75 or more than 125 times per minute",
    &[
        Source::of(
            "KKK-A-1822E, star-of-life ambulance",
            "1 June 2002, superseded",
            "3.8.2.2",
            "each light flashes 75 to 125 times per minute",
            Known::Read,
        ),
        CLOSING_GAP,
    ],
    &[
        least_per_minute(75, BAND),
        most_per_minute(125, BAND),
        gap(GAP),
    ],
    page!("pages/lw002.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};
    use lampwright_model::Severity;

    #[test]
    fn seventy_five_and_a_hundred_and_twenty_five_per_minute_are_inside() {
        let lane = |period: &str| format!("head a front red\nlane a period {period} ms: 0-100");
        passes(2, &lane("480"));
        passes(2, &lane("800"));
        assert_eq!(finding(2, &lane("479.999")).severity, Severity::Error);
        assert_eq!(finding(2, &lane("800.001")).severity, Severity::Error);
    }

    /// Cases C12 and C13 of the flash rules differ by 1 ms in the inner gap.
    #[test]
    fn one_millisecond_of_inner_gap_changes_the_count_by_a_factor_of_two() {
        passes(2, "head a front red\nlane a period 600 ms: 0-50 209-259");
        let found = finding(2, "head a front red\nlane a period 600 ms: 0-50 210-260");
        assert!(
            found.message.contains("200 per minute"),
            "{}",
            found.message
        );
        assert!(found.is_unverified);
    }
}
