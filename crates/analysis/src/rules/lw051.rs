//! LW051: flashing headlamps break the Washington rule.

use super::flash_rule::{FlashIs, FlashRule, Keeping, gap, least_per_minute, most_per_minute};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

/// Flashing headlamps are outside 60 to 120 flashes per minute and side, or not in turn.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train)
    .keeping(Keeping::InTurn(TURN))
    .named("a headlamp");

const TURN: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    51,
    "headlamps-outside-washington-rule",
    "Flashing headlamps are outside 60 to 120 flashes per minute and side, or not in turn",
    &[
        Source::of(
            "Washington Administrative Code",
            "",
            "204-21-130 (2)",
            "high beams alternate, 60 to 120 flashes per minute per side; failure leaves normal headlamps, a tell-tale shows",
            Known::Read,
        ),
        CLOSING_GAP,
    ],
    &[
        least_per_minute(60, TURN),
        most_per_minute(120, TURN),
        gap(GAP),
    ],
    page!("pages/lw051.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_a_hundred_and_twenty_per_side_are_inside() {
        edges(
            51,
            "head a front-left white\nhead b front-right white\nrule LW051 heads=a heads=b\n",
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 500-1000",
                "lane a period 500 ms: 0-200\nlane b period 500 ms: 250-450",
            ],
            &[
                "lane a period 400 ms: 0-100\nlane b period 400 ms: 200-300",
                "lane a period 1000.001 ms: 0-500\nlane b period 1000.001 ms: 500-1000",
                "lane a period 499.999 ms: 0-200\nlane b period 499.999 ms: 250-450",
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 499.999-1000",
            ],
        );
    }
}
