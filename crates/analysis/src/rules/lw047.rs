//! LW047: a barricade lamp flashes outside its band.

use super::flash_rule::{Evenness, FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A barricade lamp flashes outside 55 to 75 per minute or unevenly.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::PulseOrTrain)
    .evenness(Evenness::Alike(BAND))
    .named("a barricade lamp");

const BAND: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    47,
    "barricade-lamp-outside-band",
    "A barricade lamp flashes outside 55 to 75 per minute or unevenly",
    &[Source::of(
        "MUTCD",
        "2009",
        "6F.83",
        "Type A and Type B warning lights flash 55 to 75 times per minute",
        Known::Memory,
    )],
    &[least_per_minute(55, BAND), most_per_minute(75, BAND)],
    page!("pages/lw047.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn fifty_five_and_seventy_five_per_minute_are_inside() {
        edges(
            47,
            "head a rear amber\nrule LW047 heads=a\nlane a ",
            &["period 800 ms: 0-80", "period 1090.909 ms: 0-100"],
            &[
                "period 799 ms: 0-80",
                "period 799.999 ms: 0-80",
                "period 1090.91 ms: 0-100",
                "period 1600 ms: 0-80 800-880.001",
            ],
        );
    }
}
