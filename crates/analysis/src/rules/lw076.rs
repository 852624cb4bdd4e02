//! LW076: a layer is covered wherever it acts, so it does nothing.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, Whole, listed};
use lampwright_model::{Decision, ItemId, LayerId, Place, RuleCode, Severity};

/// A layer without effect.
pub(super) struct LayerAlwaysCovered;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(76),
    name: "layer-always-covered",
    summary: "A layer acts in judged states, but layers above decide all its heads in each of them",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "two overrides that drive one head conflict; the one that never wins stands in the wrong place",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw076.md"),
};

impl Rule for LayerAlwaysCovered {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, _context: &Context<'_>, _options: &Options<'_>) -> Judgment {
        Judgment::not_applicable("looks at all judged states together")
    }

    fn judge_whole(&self, whole: &Whole<'_, '_>, options: &Options<'_>) -> Option<Judgment> {
        if !whole.is_complete {
            return Some(Judgment::not_evaluated(
                "needs every situation, not one state",
            ));
        }
        let program = whole.program;
        let mut findings = Vec::new();
        let (mut n_acting, mut n_idle) = (0, 0);
        for layer in &program.layers {
            let acting = || {
                whole
                    .contexts
                    .iter()
                    .filter(|context| context.drive.state.meets(program, &layer.when))
            };
            let addresses_any = program.vehicle.heads.iter().any(|head| {
                layer
                    .action
                    .targets()
                    .any(|target| program.addresses(target, head))
            });
            if acting().next().is_none() || !addresses_any {
                n_idle += 1;
                continue;
            }
            n_acting += 1;
            let decides = acting().any(|context| {
                context
                    .drive
                    .heads
                    .iter()
                    .any(|head| head.decided_by == Decision::Layer(layer.id.clone()))
            });
            if decides {
                continue;
            }
            let mut covers: Vec<&LayerId> = Vec::new();
            for head in acting().flat_map(|context| &context.drive.heads) {
                if let Decision::Layer(upper) = &head.decided_by
                    && head.hidden.contains(&layer.id)
                    && !covers.contains(&upper)
                {
                    covers.push(upper);
                }
            }
            let place = Place::Item(ItemId::Layer(layer.id.clone()));
            findings.push(Draft::new(options, SOURCE, place).say(
                format!(
                    "layer {} acts in {} and decides nothing, {} above it {} all its heads",
                    layer.id,
                    super::count(acting().count(), "judged state", "judged states"),
                    listed(&covers),
                    if covers.len() == 1 { "takes" } else { "take" }
                ),
                "Move the layer above those that cover it, or narrow their conditions",
            ));
        }
        if n_acting == 0 {
            return Some(Judgment::not_applicable("no layer acts in a judged state"));
        }
        Some(Judgment::Checked {
            findings,
            tightest: None,
            note: if n_idle == 0 {
                String::new()
            } else {
                format!(
                    "{} in no judged state or on no head",
                    super::count(n_idle, "layer acts", "layers act")
                )
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn crew(layers: &str) -> String {
        format!("head a rear red\nsignal crew no,yes\nsituation crew-there crew=yes\n{layers}")
    }

    #[test]
    fn a_layer_that_stands_too_low_is_found() {
        let flash = "lane a period 500 ms: 0-100";
        let dark = "dark d a\nacts for-d crew=yes";
        let found = finding(76, &crew(&format!("{flash}\n{dark}")));
        assert_eq!(found.place.to_string(), "layer for-d");
        assert!(
            found.message.contains("for-a above it takes"),
            "{}",
            found.message
        );
        passes(76, &crew(&format!("{dark}\n{flash}")));
    }

    #[test]
    fn one_head_left_to_it_is_enough() {
        passes(
            76,
            "head a rear red\nhead b rear red\nlane a period 500 ms: 0-100\ndark d a b",
        );
    }

    #[test]
    fn a_layer_that_never_acts_is_not_judged() {
        let text =
            "head a rear red\nsignal crew no,yes\nlane a period 500 ms: 0-100\nacts for-a crew=yes";
        assert!(matches!(verdict(76, text), Verdict::NotApplicable { .. }));
    }
}
