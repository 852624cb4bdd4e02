//! LW067: white shines to the rear in a state in which it must not.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, heads_listed};
use lampwright_model::{Color, HeadId, Place, RuleCode, Severity, Zone};

/// White to the rear.
pub(super) struct WhiteToTheRear;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(67),
    name: "white-to-the-rear",
    summary: "White shines to the rear in a state in which the agency does not want it, such as while blocking or moving forward",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "no white to the rear while blocking or moving forward; it dazzles and looks like oncoming traffic",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw067.md"),
};

impl Rule for WhiteToTheRear {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if !options.names_states() {
            return Judgment::not_evaluated(
                "the profile does not say in which states white to the rear is not wanted",
            );
        }
        let rear = || {
            context
                .facts
                .heads
                .iter()
                .enumerate()
                .filter(|(index, head)| head.zone == Zone::C && options.looks_at_head(*index))
                .map(|(_, head)| head)
        };
        if rear().next().is_none() {
            return Judgment::not_applicable("no head faces the rear");
        }
        let white: Vec<&HeadId> = rear()
            .filter(|head| head.colors.contains(&Color::White))
            .map(|head| &head.head)
            .collect();
        let findings = white
            .first()
            .map(|first| {
                Draft::new(
                    options,
                    SOURCE,
                    Place::Emitter((*first).clone(), Color::White),
                )
                .head(white.first())
                .say(
                    format!(
                        "{} {} white to the rear in a state in which the profile wants none",
                        heads_listed(&white),
                        if white.len() == 1 { "shows" } else { "show" }
                    ),
                    "Hold these heads dark or in another color in a layer above, in this state",
                )
            })
            .into_iter()
            .collect();
        Judgment::Checked {
            findings,
            tightest: None,
            note: "looks at the axis of each beam, not at stray light".into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn blocking(head: &str, light: &str) -> String {
        format!(
            "{head}\n{light}\nsignal mode calling,blocking\nsituation stopped mode=blocking\nrule LW067 when=mode:blocking"
        )
    }

    #[test]
    fn white_counts_only_to_the_rear_and_only_when_lit() {
        let rear = "head a rear red,white";
        finding(67, &blocking(rear, "steady a white"));
        finding(
            67,
            &blocking(rear, "lane a period 500 ms: 0-1@1white 200-300red"),
        );
        passes(67, &blocking(rear, "steady a red"));
        passes(
            67,
            &blocking("head a rear red\nhead f front white", "steady a\nsteady f"),
        );
    }

    #[test]
    fn only_the_states_of_the_profile_count() {
        let text = blocking("head a rear white", "steady a\nacts for-a mode=calling");
        passes(67, &text);
        let unnamed = "head a rear white\nsteady a";
        let verdict = verdict(67, unnamed);
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
