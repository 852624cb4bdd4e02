//! LW001: a light flashes slower or faster than the SAE band.

use super::flash_rule::{FlashIs, FlashRule, gap, hz, most_intervals};
use super::meta::{CLOSING_GAP, Known, PSEUDO_RANDOM, REGULAR, RuleMeta, Source};

/// Flash rate outside 1.0 to 4.0 Hz.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train).of_regular_lights();

const BAND: usize = 0;
const GAP: usize = 1;
const INTERVALS: usize = 2;

static META: RuleMeta = RuleMeta::timing(
    1,
    "flash-rate-outside-sae-band",
    "A light flashes slower than 1.0 Hz or faster than 4.0 Hz",
    &[
        Source::of(
            "SAE J845",
            "June 2013",
            "5.7 and 6.7, revision notes",
            "flash rate at least 1.0 Hz and not more than 4.0 Hz",
            Known::Read,
        ),
        CLOSING_GAP,
        REGULAR,
        PSEUDO_RANDOM,
        Source::of(
            "SAE J595",
            "",
            "",
            "directional devices flash at 1.0 to 4.0 Hz, as in J845",
            Known::Memory,
        ),
    ],
    &[
        hz("least_hz", "least flash rate", 1, BAND),
        hz("most_hz", "largest flash rate", 4, BAND),
        gap(GAP),
        most_intervals(INTERVALS),
    ],
    page!("pages/lw001.md"),
);

#[cfg(test)]
mod tests {
    use crate::report::{FoundIn, Verdict};
    use crate::rules::sketch::{finding, passes, verdict};
    use lampwright_model::Severity;

    fn one_lane(period: &str, pulses: &str) -> String {
        format!("head a front red\nlane a period {period} ms: {pulses}")
    }

    #[test]
    fn both_ends_of_the_band_are_inside_and_a_millisecond_past_them_is_not() {
        passes(1, &one_lane("250", "0-90"));
        let fast = finding(1, &one_lane("249", "0-80"));
        assert_eq!(fast.severity, Severity::Error);
        assert!(!fast.is_unverified);
        assert!(
            fast.message.contains("4.016 Hz (240.964 per minute)"),
            "{}",
            fast.message
        );
        assert_eq!(fast.help, "Make the period at least 250 ms for its 1 flash");
        passes(1, &one_lane("1000", "0-500"));
        let slow = finding(1, &one_lane("1001", "0-500"));
        assert_eq!(slow.severity, Severity::Error);
        assert_eq!(slow.help, "Make the period at most 1000 ms for its 1 flash");
    }

    #[test]
    fn a_microsecond_past_the_limit_is_past_it_and_never_written_like_it() {
        let found = finding(1, &one_lane("249.999", "0-80"));
        assert_eq!(found.severity, Severity::Error);
        assert!(
            found.message.contains("flash rate 4.00002 Hz"),
            "{}",
            found.message
        );
    }

    /// The gap is from memory, so it decides no error on its own.
    #[test]
    fn the_gap_that_ends_a_flash_is_inclusive_and_unverified() {
        passes(1, &one_lane("250", "0-90"));
        let found = finding(1, &one_lane("250", "0-90.001"));
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.is_unverified && found.depends_on_reading);
        let confirmed = format!("{}\nrule LW001 confirmed", one_lane("250", "0-90.001"));
        assert!(!finding(1, &confirmed).is_unverified);
    }

    #[test]
    fn a_rate_that_no_gap_brings_into_the_band_is_an_error() {
        let found = finding(1, &one_lane("200", "0-90"));
        assert_eq!(found.severity, Severity::Error);
        assert!(!found.is_unverified);
    }

    /// Requirements on pseudo-random patterns are not known, so their mean decides no pass; outside the band it is still a finding.
    #[test]
    fn a_light_of_three_intervals_does_not_pass_by_its_mean() {
        let lane = |last: &str| one_lane("2000", &format!("0-50 400-450 1000-1050 {last}"));
        passes(1, &lane("1400-1450"));
        let found = verdict(1, &lane("1400.001-1450"));
        let Verdict::NotEvaluated { why } = &found else {
            panic!("{found:?}")
        };
        assert!(why.starts_with("irregular flashes at pattern a"), "{why}");
        passes(
            1,
            &format!("{}\nrule LW001 most_intervals=4", lane("1400.001-1450")),
        );
        let slow = finding(1, &one_lane("4000", "0-50 1000-1050 2200-2250"));
        assert_eq!(slow.severity, Severity::Error);
    }

    #[test]
    fn heads_that_play_one_lane_share_a_finding() {
        let text = "head a front red\nhead b rear red,blue\nlane a b period 200 ms: 0-10";
        let found = finding(1, text);
        assert_eq!(found.place.to_string(), "pattern a lane all");
        assert!(
            found.message.contains("on heads a and b"),
            "{}",
            found.message
        );
    }

    #[test]
    fn the_profile_narrows_what_is_looked_at() {
        let text = "head a front red\nhead b rear red\nlane a period 200 ms: 0-10\nlane b period 500 ms: 0-10";
        finding(1, text);
        passes(1, &format!("{text}\nrule LW001 except_patterns=a"));
        passes(1, &format!("{text}\nrule LW001 only_patterns=b"));
        passes(1, &format!("{text}\nrule LW001 heads=b"));
    }

    #[test]
    fn the_profile_narrows_the_states_that_are_looked_at() {
        let text = "head a front red\nlane a period 200 ms: 0-10\nsignal mode calling,blocking\nrule LW001 when=mode:blocking";
        assert!(
            matches!(verdict(1, text), Verdict::NotApplicable { .. }),
            "no judged state is blocking"
        );
        let found = finding(1, &format!("{text}\nsituation stopped mode=blocking"));
        let stopped = "stopped".parse().unwrap();
        assert_eq!(found.found_in, FoundIn::Situation(stopped));
        assert!(found.also_in.is_empty());
    }

    #[test]
    fn the_stretch_to_look_at_is_in_the_lane_not_in_the_delayed_light() {
        let text = "head a front red\nlane a period 200 ms: 0-10 offset 50";
        assert_eq!(finding(1, text).span.unwrap().start.0, 150_000);
    }
}
