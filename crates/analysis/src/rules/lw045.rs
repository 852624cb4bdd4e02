//! LW045: a rapid beacon does not repeat every 800 ms.

use super::flash_rule::{FlashIs, FlashRule, least_per_minute, most_per_minute};
use super::meta::{Known, RuleMeta, Source};

/// A rapid beacon does not repeat exactly 75 times per minute.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Cycle).named("a rapid beacon");

const CYCLE: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    45,
    "rapid-beacon-cycle-wrong",
    "A rapid beacon does not repeat exactly 75 times per minute",
    &[Source::of(
        "FHWA Interim Approval 21",
        "20 March 2018, as told by a state training center",
        "",
        "75 flashing sequences per minute, 800 ms each; exempt from 50 to 60 per minute",
        Known::SecondHand,
    )],
    &[least_per_minute(75, CYCLE), most_per_minute(75, CYCLE)],
    page!("pages/lw045.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn eight_hundred_milliseconds_are_exact() {
        edges(
            45,
            "head a front amber\nrule LW045 heads=a\nlane a ",
            &[
                "period 800 ms: 0-50 200-250 400-450 500-550",
                "period 1600 ms: 0-50 800-850",
            ],
            &[
                "period 857 ms: 0-50 200-250 400-450",
                "period 800.001 ms: 0-50 200-250",
                "period 799.999 ms: 0-50 200-250",
            ],
        );
    }
}
