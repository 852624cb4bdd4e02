//! LW044: a signal that has one rate flashes at several.

use super::flash_rule::{Evenness, FlashIs, FlashRule};
use super::meta::{Known, RuleMeta, Source};

/// A signal that has one rate flashes at several, or changes its level while lit.
pub(super) static RULE: FlashRule = FlashRule::of(&META, FlashIs::Pulse)
    .evenness(Evenness::AlikeAndFlat(CONSTANT))
    .named("a signal with one rate");

const CONSTANT: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    44,
    "flash-rate-not-constant",
    "A signal that has one rate flashes at several, or changes its level while lit",
    &[Source::of(
        "FHWA letter 4(09)-64 (I)",
        "23 February 2018",
        "",
        "a flash is a lit period at constant intensity followed by a dark period; a flash rate is one constant value",
        Known::Read,
    )],
    &[],
    page!("pages/lw044.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::edges;

    #[test]
    fn a_microsecond_and_a_per_mille_make_flashes_unlike() {
        edges(
            44,
            "head a front amber\nrule LW044 heads=a\nlane a ",
            &["period 1000 ms: 0-500", "period 2000 ms: 0-500 1000-1500"],
            &[
                "period 2000 ms: 0-500 1000-1400",
                "period 2000 ms: 0-500 1000-1500.001",
                "period 2000 ms: 0-500 1000.001-1500.001",
                "period 1000 ms: 0-400 400-500@999",
            ],
        );
    }
}
