//! LW087: hazard flashers are outside their band or not together.

use super::flash_rule::{FlashIs, FlashRule, Keeping, hz};
use super::meta::{Known, RuleMeta, Source};

/// Hazard flashers flash outside 90 ± 30 per minute or not all together.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .keeping(Keeping::InStep(BAND))
    .named("a hazard flasher");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    87,
    "hazard-flashers-outside-band",
    "Hazard flashers flash outside 90 ± 30 per minute or not all together",
    &[Source::of(
        "StVZO",
        "2012, copy of March 2022",
        "section 53a (4) number 2",
        "hazard flashers all flash together at 1.5 ± 0.5 Hz",
        Known::Read,
    )],
    &[
        hz("least_hz", "least flash rate", 1, BAND),
        hz("most_hz", "largest flash rate", 2, BAND),
    ],
    page!("pages/lw087.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn one_and_two_hertz_together_are_inside() {
        edges(
            87,
            "head a rear-left amber\nhead b rear-right amber\nrule LW087 heads=a heads=b\n",
            &[
                "lane a b period 1000 ms: 0-500",
                "lane a b period 500 ms: 0-250",
            ],
            &[
                "lane a b period 400 ms: 0-200",
                "lane a b period 1000.001 ms: 0-500",
                "lane a b period 499.999 ms: 0-250",
                "lane a period 500 ms: 0-250\nlane b period 500 ms: 0-250.001",
            ],
        );
    }
}
