//! LW053: flashing headlamps are not lit together.

use super::flash_rule::{FlashIs, FlashRule, Keeping};
use super::meta::{Known, RuleMeta, Source};

/// Flashing headlamps are not lit and dark together.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Pulse)
    .keeping(Keeping::InStep(TOGETHER))
    .named("a headlamp");

const TOGETHER: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    53,
    "headlamps-not-together",
    "Flashing headlamps are not lit and dark together",
    &[Source::of(
        "Regeling optische en geluidssignalen",
        "2009, copy of May 2017",
        "article 5 (4)",
        "the headlamps of a priority vehicle go on and off simultaneously",
        Known::Read,
    )],
    &[],
    page!("pages/lw053.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_microsecond_apart_is_not_together() {
        edges(
            53,
            "head a front-left white\nhead b front-right white\nrule LW053 heads=a heads=b\n",
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 0-500",
                "lane a period 1000 ms: 0-500",
            ],
            &[
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 500-1000",
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 0.001-500",
                "lane a period 1000 ms: 0-500\nlane b period 1000 ms: 0-500.001",
            ],
        );
    }
}
