//! LW009: a fire apparatus that blocks the right of way shows white, or no amber to the rear.

use super::colors::ColorRule;
use super::meta::{Known, RuleMeta, Source};
use lampwright_model::{Color, Zone};

/// White anywhere, or no amber to the rear, while blocking the right of way.
pub(super) static RULE: ColorRule = ColorRule {
    meta: &META,
    mode: "blocking the right of way",
    never: &[
        (Some(Zone::A), Color::White, WHITE_AHEAD),
        (Some(Zone::B), Color::White, COLORS),
        (Some(Zone::C), Color::White, COLORS),
        (Some(Zone::D), Color::White, COLORS),
    ],
    flashing: &[(Zone::C, Color::Amber, COLORS)],
    steady: &[],
};

const COLORS: usize = 0;
const WHITE_AHEAD: usize = 1;

static META: RuleMeta = RuleMeta::timing(
    9,
    "color-wrong-while-blocking",
    "A fire apparatus that blocks the right of way flashes white, or no amber to the rear",
    &[
        Source::of(
            "NFPA 1901",
            "an older edition, as told in a forum post",
            "",
            "blocking the right of way: no white anywhere; amber shows to the rear, which may depend on the edition",
            Known::Weak,
        ),
        Source::of(
            "NFPA 1901",
            "2009 and 2016",
            "",
            "white forward flashing light, headlamps too, drops out while blocking",
            Known::Memory,
        ),
    ],
    &[],
    page!("pages/lw009.md"),
);

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{edges, findings};
    use lampwright_model::Severity;

    const BLOCKING: &str = "head a front white,red\nhead b rear amber,white\nhead c left white,red\nsignal mode calling,blocking\nsituation stopped mode=blocking\nrule LW009 when=mode:blocking\n";

    #[test]
    fn any_white_flash_and_missing_amber_count_from_the_least_level_on() {
        edges(
            9,
            BLOCKING,
            &[
                "lane b period 800 ms: 0-100@1",
                "lane b period 800 ms: 0-100\nlane a period 800 ms: 0-100red\nsteady c white 500",
            ],
            &[
                "lane b period 800 ms: 0-100 200-200.001@1white",
                "lane b period 800 ms: 0-100\nlane a period 800 ms: 0-0.001@1",
                "lane b period 800 ms: 0-100\nlane c period 800 ms: 0-0.001@1",
                "lane c period 800 ms: 0-100red",
                "lane c period 800 ms: 0-100red\nsteady b amber 500",
            ],
        );
    }

    #[test]
    fn it_looks_at_the_states_of_the_mode_and_never_makes_an_error_by_itself() {
        let found = findings(9, &format!("{BLOCKING}lane a c period 800 ms: 0-100"));
        assert_eq!(found.len(), 3, "{found:#?}");
        assert!(found.iter().all(|found| found.is_unverified
            && found.severity == Severity::Warning
            && found.also_in.is_empty()));
    }
}
