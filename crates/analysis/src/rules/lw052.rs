//! LW052: flashing headlamps break the New Zealand notice.

use super::flash_rule::{FlashIs, FlashRule, Keeping, gap, least_per_minute, most_per_minute};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

const NOTICE: usize = 0;
const GAP: usize = 1;

/// Flashing headlamps are outside 60 to 120 flashes per minute, or not in turn.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train)
    .keeping(Keeping::InTurn(NOTICE))
    .named("a headlamp");

static META: RuleMeta = RuleMeta::timing(
    52,
    "headlamps-outside-new-zealand-notice",
    "Flashing headlamps are outside 60 to 120 flashes per minute, or not in turn",
    &[
        Source::of(
            "New Zealand Gazette",
            "1994, made under regulations since replaced",
            "notice 1994-go358, conditions 1 to 4",
            "load pilots flash headlamps alternately, 60 to 120 per minute, on the dipped-beam circuit, in emergencies only, with a tell-tale",
            Known::Read,
        ),
        CLOSING_GAP,
    ],
    &[
        least_per_minute(60, NOTICE),
        most_per_minute(120, NOTICE),
        gap(GAP),
    ],
    page!("pages/lw052.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_a_hundred_and_twenty_per_minute_are_inside() {
        edges(
            52,
            "head a front-left white\nhead b front-right white\nrule LW052 heads=a heads=b\n",
            &[
                "lane a period 1000 ms: 0-400\nlane b period 1000 ms: 500-900",
                "lane a period 500 ms: 0-250\nlane b period 500 ms: 250-500",
            ],
            &[
                "lane a period 1200 ms: 0-400\nlane b period 1200 ms: 600-1000",
                "lane a period 1000.001 ms: 0-400\nlane b period 1000.001 ms: 500-900",
                "lane a period 499.999 ms: 0-250\nlane b period 499.999 ms: 250-499",
                "lane a period 500 ms: 0-250.001\nlane b period 500 ms: 250-500",
            ],
        );
    }
}
