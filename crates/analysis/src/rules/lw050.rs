//! LW050: flashing headlamps do not take turns.

use super::flash_rule::{FlashIs, FlashRule, Keeping};
use super::meta::{Known, RuleMeta, Source};

/// Flashing headlamps left and right are lit at once, or only one side flashes.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Pulse)
    .keeping(Keeping::InTurn(TURN))
    .named("a headlamp");

const TURN: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    50,
    "headlamps-not-in-turn",
    "Flashing headlamps left and right are lit at once, or only one side flashes",
    &[Source::of(
        "California Vehicle Code",
        "",
        "25252.5",
        "flashing headlamps alternate left and right, upper beams only; no rate and no daylight condition is set",
        Known::Read,
    )],
    &[],
    page!("pages/lw050.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_microsecond_at_once_and_a_missing_side_fail() {
        edges(
            50,
            "head a front-left white\nhead b front-right white\nrule LW050 heads=a heads=b\n",
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 500-1000",
                "lane a period 1000 ms: 0-100\nlane b period 1000 ms: 400-450",
            ],
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 0-500",
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 499.999-1000",
                "lane a period 1000 ms: 0-500",
            ],
        );
    }
}
