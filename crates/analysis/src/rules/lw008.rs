//! LW008: a fire apparatus that calls for the right of way shows a color where it must not.

use super::colors::ColorRule;
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::{Color, Zone};

/// Amber to the front or white to the rear while calling for the right of way.
pub(super) static RULE: ColorRule = ColorRule {
    meta: &META,
    mode: "calling for the right of way",
    never: &[
        (Some(Zone::A), Color::Amber, COLORS),
        (Some(Zone::C), Color::White, COLORS),
    ],
    flashing: &[],
    steady: &[],
};

const COLORS: usize = 0;

static META: RuleMeta = RuleMeta::timing(
    8,
    "color-wrong-while-calling",
    "A fire apparatus that calls for the right of way flashes amber to the front or white to the rear",
    &[Source::of(
        "NFPA 1901",
        "an older edition, as told in a forum post",
        "",
        "calling for the right of way: any color, except no amber to the front and no white to the rear",
        Known::Weak,
    )],
    &[],
    page!("pages/lw008.md"),
);

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{edges, verdict};

    const HEADS: &str =
        "head a front amber,red,white\nhead b rear amber,red,white\nsignal mode calling,blocking\n";

    #[test]
    fn the_faintest_flash_of_a_wrong_color_counts_and_steady_light_does_not() {
        let beginning = format!("{HEADS}rule LW008 when=mode:calling\nlane ");
        edges(
            8,
            &beginning,
            &[
                "b period 800 ms: 0-100amber 200-300red",
                "a period 800 ms: 0-100white 200-300red",
                "a period 800 ms: 0-100red\nsteady b white 300",
            ],
            &[
                "b period 800 ms: 0-100red 200-200.001@1white",
                "a period 800 ms: 0-100red 200-200.001@1amber",
            ],
        );
    }

    #[test]
    fn without_a_word_on_the_mode_it_is_not_evaluated() {
        let text = format!("{HEADS}lane a period 800 ms: 0-100amber");
        let verdict = verdict(8, &text);
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
