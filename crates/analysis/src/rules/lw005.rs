//! LW005: a light flashes irregularly, so that rules on pseudo-random patterns would apply, which are not known here.

use super::flash_rule::{gap, most_intervals};
use super::lights::{irregular, lights};
use super::meta::{CLOSING_GAP, Known, PSEUDO_RANDOM, REGULAR, RuleMeta, Source};
use super::{Context, Judgment, Options, Rule, listed};
use lampwright_model::Severity;

/// A pattern that may be pseudo-random, said to be not evaluated.
pub(super) struct IrregularFlashes;

const INTERVALS: usize = 2;
const GAP: usize = 3;

static META: RuleMeta = RuleMeta {
    severity: Severity::Info,
    ..RuleMeta::timing(
        5,
        "irregular-flashes",
        "A light flashes at many different intervals, for which the requirements on pseudo-random patterns are not known here",
        &[
            PSEUDO_RANDOM,
            Source::of(
                "SAE J845",
                "May 1997",
                "3.1 and 3.2",
                "a device appears as a regularly repeating pattern of flashes to a fixed observer",
                Known::Read,
            ),
            REGULAR,
            CLOSING_GAP,
        ],
        &[most_intervals(INTERVALS), gap(GAP)],
        page!("pages/lw005.md"),
    )
};

impl Rule for IrregularFlashes {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let lights = lights(context, options);
        if lights.list.is_empty() {
            return Judgment::not_applicable(lights.why_empty());
        }
        let irregular: Vec<String> = lights
            .list
            .iter()
            .filter_map(|light| irregular(light, options))
            .collect();
        if irregular.is_empty() {
            return Judgment::Checked {
                findings: Vec::new(),
                tightest: None,
                note: String::new(),
            };
        }
        Judgment::not_evaluated(format!(
            "irregular flashes at {}; SAE J845 has had requirements on pseudo-random patterns since 2013 that are not known here, so a rate inside a band says nothing for them but their mean",
            listed(&irregular)
        ))
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{passes, verdict};

    #[track_caller]
    fn says_not_evaluated(text: &str) {
        let verdict = verdict(5, text);
        let Verdict::NotEvaluated { why } = &verdict else {
            panic!("{verdict:?}")
        };
        assert!(why.starts_with("irregular flashes at pattern a"), "{why}");
    }

    #[test]
    fn a_third_interval_makes_it_irregular_from_one_microsecond_on() {
        let lane = |last: &str| {
            format!("head a front red\nlane a period 2000 ms: 0-50 400-450 1000-1050 {last}")
        };
        passes(5, &lane("1400-1450"));
        says_not_evaluated(&lane("1400.001-1450"));
        passes(
            5,
            &format!("{}\nrule LW005 most_intervals=4", lane("1400.001-1450")),
        );
    }

    /// Pulses of one flash are no intervals of their own.
    #[test]
    fn the_gap_that_ends_a_flash_is_inclusive() {
        let lane =
            |gap: &str| format!("head a front red\nlane a period 1000 ms: 0-50 {gap} 550-600");
        passes(5, &lane("209.999-250"));
        says_not_evaluated(&lane("210-250"));
    }
}
