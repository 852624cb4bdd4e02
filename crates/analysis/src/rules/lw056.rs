//! LW056: school-bus signal lamps are outside their band or not in turn.

use super::flash_rule::{FlashIs, FlashRule, Keeping, gap, least_per_minute, most_per_minute};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};

/// School-bus signal lamps flash outside 60 to 120 per minute or not in turn.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Train)
    .keeping(Keeping::InTurn(BAND))
    .named("a school-bus signal lamp");

const BAND: usize = 0;
const GAP: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    56,
    "school-bus-lamps-outside-band",
    "School-bus signal lamps flash outside 60 to 120 per minute or not in turn",
    &[
        Source::of(
            "SAE J887",
            "July 1964",
            "as quoted by NHTSA letter nht94-2.4",
            "school-bus signal lamps flash alternately, 60 to 120 per minute",
            Known::SecondHand,
        ),
        CLOSING_GAP,
        Source::of(
            "NHTSA letter nht94-2.4",
            "29 March 1994",
            "",
            "four on-off cycles within 255 ms and 745 ms of dark are perceived as one flash",
            Known::Read,
        ),
    ],
    &[
        least_per_minute(60, BAND),
        most_per_minute(120, BAND),
        gap(GAP),
    ],
    page!("pages/lw056.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn sixty_and_a_hundred_and_twenty_per_minute_in_turn_are_inside() {
        edges(
            56,
            "head a front-left red\nhead b front-right red\nrule LW056 heads=a heads=b\n",
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 500-1000",
                "lane a period 1000 ms: 0-36 73-109 146-182 219-255\nlane b period 1000 ms: 500-536 573-609 646-682 719-755",
                "lane a period 500 ms: 0-200\nlane b period 500 ms: 250-450",
            ],
            &[
                "lane a period 1000 ms: 0-600\nlane b period 1000 ms: 500-1000",
                "lane a period 1000 ms: 0-500.001\nlane b period 1000 ms: 500-1000",
                "lane a period 1000.001 ms: 0-400\nlane b period 1000.001 ms: 500-900",
                "lane a period 499.999 ms: 0-200\nlane b period 499.999 ms: 250-450",
            ],
        );
    }
}
