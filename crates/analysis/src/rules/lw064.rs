//! LW064: an arrow that is to point left runs to the right.

use super::RuleMeta;
use super::arrows::{ArrowRule, Toward, meta};

/// Arrow to the left that runs to the right.
pub(super) static RULE: ArrowRule = ArrowRule::of(&META, Toward::Left);

static META: RuleMeta = meta(
    64,
    "left-arrow-runs-right",
    "A moving arrow that is to point left runs to the right as traffic behind sees it",
    page!("pages/lw064.md"),
);

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn arrow(lanes: &str) -> String {
        format!(
            "head l rear amber y=0.6\nhead m rear amber y=0.2\nhead n rear amber y=-0.2\nhead r rear amber y=-0.6\nplay p period 1200 ms: {lanes}\nrule LW064 only_patterns=p"
        )
    }

    #[test]
    fn left_of_traffic_behind_is_left_of_the_vehicle() {
        passes(64, &arrow("r 0-1000; n 200-1000; m 400-1000; l 600-1000"));
        let found = finding(64, &arrow("l 0-1000; m 200-1000; n 400-1000; r 600-1000"));
        assert!(
            found.message.contains("from head l to head m"),
            "{}",
            found.message
        );
        assert!(
            found.message.contains("to the right as traffic behind"),
            "{}",
            found.message
        );
    }

    #[test]
    fn two_swapped_heads_are_named() {
        let found = finding(64, &arrow("r 0-200; m 200-400; n 400-600; l 600-800"));
        assert!(
            found.message.contains("from head m to head n"),
            "{}",
            found.message
        );
    }

    #[test]
    fn a_chase_without_a_pause_still_has_a_direction() {
        passes(64, &arrow("r 0-300; n 300-600; m 600-900; l 900-1200"));
        finding(64, &arrow("l 0-300; m 300-600; n 600-900; r 900-1200"));
        // Twice in one period.
        passes(
            64,
            &arrow("r 0-150 600-750; n 150-300 750-900; m 300-450 900-1050; l 450-600 1050-1200"),
        );
    }

    #[test]
    fn a_last_flash_of_the_whole_arrow_does_not_matter() {
        passes(
            64,
            &arrow("r 0-100 900-1000; n 200-300 900-1000; m 400-500 900-1000; l 600-700 900-1000"),
        );
        finding(
            64,
            &arrow("l 0-100 900-1000; n 200-300 900-1000; m 400-500 900-1000; r 600-700 900-1000"),
        );
    }

    #[test]
    fn two_places_have_a_direction_by_their_pause_alone() {
        let two = |lanes: &str| {
            format!(
                "head l rear-left amber\nhead r rear-right amber\nplay p period 1200 ms: {lanes}\nrule LW064 only_patterns=p"
            )
        };
        passes(64, &two("r 0-300; l 599.999-900"));
        finding(64, &two("r 0-300; l 600.001-900"));
        let verdict = verdict(64, &two("r 0-300; l 600-900"));
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }

    #[test]
    fn a_flashing_arrow_does_not_move_and_an_unnamed_one_is_not_guessed() {
        let flashing = arrow("r 0-600; n 0-600; m 0-600; l 0-600");
        assert!(matches!(
            verdict(64, &flashing),
            Verdict::NotApplicable { .. }
        ));
        let unnamed = flashing.replace("rule LW064 only_patterns=p", "");
        assert!(matches!(
            verdict(64, &unnamed),
            Verdict::NotEvaluated { .. }
        ));
    }
}
