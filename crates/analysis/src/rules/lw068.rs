//! LW068: heads flash in a state in which they must not, such as headlamps while parked.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, heads_listed};
use lampwright_model::{HeadId, ItemId, Place, RuleCode, Severity};

/// Heads that flash where they must not.
pub(super) struct FlashesWhereBarred;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(68),
    name: "flashes-where-barred",
    summary: "Heads flash in a state in which the agency does not want them to, such as headlamps while parked or at night",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "headlamps do not flash while parked, at night or with the high beam on",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw068.md"),
};

impl Rule for FlashesWhereBarred {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        if !options.names_heads() || !options.names_states() {
            return Judgment::not_evaluated(
                "the profile does not say which heads must not flash, and in which states",
            );
        }
        let looked_at: Vec<_> = context
            .facts
            .heads
            .iter()
            .enumerate()
            .filter(|(index, _)| options.looks_at_head(*index))
            .map(|(_, head)| head)
            .collect();
        if looked_at.is_empty() {
            return Judgment::not_applicable("the vehicle has none of the heads");
        }
        let flashing: Vec<&HeadId> = looked_at
            .into_iter()
            .filter(|head| {
                head.emitters
                    .iter()
                    .any(|emitter| !emitter.level.is_constant())
            })
            .map(|head| &head.head)
            .collect();
        let findings = flashing
            .first()
            .map(|first| {
                let place = Place::Item(ItemId::Head((*first).clone()));
                Draft::new(options, SOURCE, place)
                    .head(flashing.first())
                    .say(
                        format!(
                            "{} {} in a state in which the profile wants no flashing there",
                            heads_listed(&flashing),
                            if flashing.len() == 1 { "flashes" } else { "flash" }
                        ),
                        "Add the state to the conditions of the layer, or hold these heads in a layer above",
                    )
            })
            .into_iter()
            .collect();
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

    fn parked(light: &str, rule: &str) -> String {
        format!(
            "head beam front white\nhead roof front red\n{light}\nsignal gear park,drive\nrule LW068 {rule}"
        )
    }

    #[test]
    fn steady_headlamps_pass_and_flashing_ones_do_not() {
        let rule = "heads=beam when=gear:park";
        passes(
            68,
            &parked("steady beam\nlane roof period 500 ms: 0-100", rule),
        );
        finding(68, &parked("lane beam period 500 ms: 0-499.999", rule));
        passes(68, &parked("lane beam period 500 ms: 0-500", rule));
        passes(
            68,
            &parked(
                "lane beam period 500 ms: 0-100\nacts for-beam gear=drive",
                rule,
            ),
        );
    }

    #[test]
    fn heads_and_states_have_to_be_named() {
        for rule in ["heads=beam", "when=gear:park"] {
            let verdict = verdict(68, &parked("steady beam", rule));
            assert!(
                matches!(verdict, Verdict::NotEvaluated { .. }),
                "{verdict:?}"
            );
        }
    }
}
