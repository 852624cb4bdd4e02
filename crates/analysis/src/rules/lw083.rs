//! LW083: green lights are outside their band or not together.

use super::flash_rule::{FlashIs, FlashRule, Keeping, hz};
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::Color;

/// Green lights flash outside 1 to 4 Hz or not all together.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .keeping(Keeping::InStep(BAND))
    .only(Color::Green);

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    83,
    "green-lights-outside-band",
    "Green lights flash outside 1 to 4 Hz or not all together",
    &[Source::of(
        "Quebec C-24.2, r. 39.1.01, a pilot of 2015 to 2019",
        "version of 21 May 2019",
        "section 6",
        "the green lights of a firefighter flash at 1 to 4 Hz, all emitters together, also with two modules",
        Known::Read,
    )],
    &[
        hz("least_hz", "least flash rate", 1, BAND),
        hz("most_hz", "largest flash rate", 4, BAND),
    ],
    page!("pages/lw083.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn one_and_four_hertz_together_are_inside() {
        edges(
            83,
            "head a front green\nhead b rear green\n",
            &[
                "lane a b period 250 ms: 0-100",
                "lane a b period 1000 ms: 0-500",
            ],
            &[
                "lane a period 500 ms: 0-100\nlane b period 500 ms: 250-350",
                "lane a b period 249.999 ms: 0-100",
                "lane a b period 1000.001 ms: 0-500",
                "lane a period 500 ms: 0-100\nlane b period 500 ms: 0-100.001",
            ],
        );
    }
}
