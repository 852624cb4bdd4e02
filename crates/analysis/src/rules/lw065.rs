//! LW065: an arrow that is to point right runs to the left.

use super::RuleMeta;
use super::arrows::{ArrowRule, Toward, meta};

/// Arrow to the right that runs to the left.
pub(super) static RULE: ArrowRule = ArrowRule::of(&META, Toward::Right);

static META: RuleMeta = meta(
    65,
    "right-arrow-runs-left",
    "A moving arrow that is to point right runs to the left as traffic behind sees it",
    page!("pages/lw065.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    fn arrow(lanes: &str) -> String {
        format!(
            "head l rear amber y=0.6\nhead m rear amber y=0\nhead r rear amber y=-0.6\nplay p period 1200 ms: {lanes}\nrule LW065 only_patterns=p"
        )
    }

    #[test]
    fn right_of_traffic_behind_is_right_of_the_vehicle() {
        passes(65, &arrow("l 0-1000; m 200-1000; r 400-1000"));
        let found = finding(65, &arrow("r 0-1000; m 200-1000; l 400-1000"));
        assert!(
            found.message.contains("to the left as traffic behind"),
            "{}",
            found.message
        );
    }

    #[test]
    fn heads_that_do_not_face_the_rear_do_not_count() {
        let text = arrow("l 0-1000; m 200-1000; r 400-1000");
        passes(
            65,
            &format!(
                "{text}\nhead f front-left amber\nhead g front-right amber\nlane f g period 500 ms: 0-100"
            ),
        );
    }
}
