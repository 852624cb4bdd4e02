//! LW077: two arrows are asked for at once.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, listed};
use lampwright_model::{Action, ItemId, PatternId, Place, RuleCode, Severity};

/// Two arrows at once.
pub(super) struct TwoArrowsAtOnce;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(77),
    name: "two-arrows-at-once",
    summary: "Layers ask for two of the arrow's patterns at once",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "of the arrow's patterns only one is latched at a time",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw077.md"),
};

impl Rule for TwoArrowsAtOnce {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if !options.names_patterns() {
            return Judgment::not_evaluated("the profile does not name the arrow's patterns");
        }
        let program = context.program;
        let mut asked: Vec<&PatternId> = Vec::new();
        for layer in &program.layers {
            if let Action::Play { pattern, .. } = &layer.action
                && options.looks_at_pattern(pattern)
                && context.drive.state.meets(program, &layer.when)
                && !asked.contains(&pattern)
            {
                asked.push(pattern);
            }
        }
        let Some(first) = asked.first() else {
            return Judgment::not_applicable("no arrow is asked for");
        };
        let findings = match asked.get(1) {
            None => Vec::new(),
            Some(second) => {
                let place = Place::Item(ItemId::Pattern((*second).clone()));
                vec![Draft::new(options, SOURCE, place).say(
                    format!(
                        "patterns {} are asked for at once; {first} stands higher and covers heads of the other",
                        listed(&asked)
                    ),
                    "Let one signal choose between the arrows, or exclude one from the other's condition",
                )]
            }
        };
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn arrows(condition: &str, rule: &str) -> String {
        format!(
            "head l rear amber y=0.5\nhead r rear amber y=-0.5\nsignal arrow left,right\nplay to-left period 900 ms: r 0-100; l 300-400\nacts for-to-left arrow=left\nplay to-right period 900 ms: l 0-100; r 300-400\nacts for-to-right {condition}\n{rule}"
        )
    }

    const BOTH: &str = "rule LW077 only_patterns=to-left only_patterns=to-right";

    #[test]
    fn one_signal_that_chooses_passes_and_two_conditions_at_once_do_not() {
        passes(77, &arrows("arrow=right", BOTH));
        let found = finding(77, &arrows("arrow=left", BOTH));
        assert!(
            found.message.contains("to-left and to-right"),
            "{}",
            found.message
        );
    }

    #[test]
    fn the_arrows_have_to_be_named() {
        let verdict = verdict(77, &arrows("arrow=left", ""));
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
