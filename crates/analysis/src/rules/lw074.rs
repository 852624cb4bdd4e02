//! LW074: something flashes, and nothing of it to the rear or on the heads the profile names.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source};
use lampwright_model::{Place, RuleCode, Severity, Zone};

/// No warning to the rear.
pub(super) struct NoRearWarning;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(74),
    name: "no-rear-warning",
    summary: "Lamps flash, but none of those that face the rear or that the profile names",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "while a vehicle warns, traffic behind is warned too, also with a gate up or a door open",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw074.md"),
};

impl Rule for NoRearWarning {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let heads = &context.facts.heads;
        let flashing: Vec<usize> = heads
            .iter()
            .enumerate()
            .filter(|(_, head)| {
                head.emitters
                    .iter()
                    .any(|emitter| !emitter.level.is_constant())
            })
            .map(|(index, _)| index)
            .collect();
        if flashing.is_empty() {
            return Judgment::not_applicable("nothing flashes");
        }
        let is_meant = |index: usize| {
            if options.names_heads() {
                options.looks_at_head(index)
            } else {
                heads.get(index).is_some_and(|head| head.zone == Zone::C)
            }
        };
        let n_meant = (0..heads.len()).filter(|index| is_meant(*index)).count();
        let (whom, help) = if options.names_heads() {
            (
                "of the heads the profile names",
                "Let one of these heads flash in this state",
            )
        } else {
            (
                "toward the rear",
                "Let a head that faces the rear and is not covered flash in this state",
            )
        };
        let findings = if flashing.iter().any(|index| is_meant(*index)) {
            Vec::new()
        } else {
            let n = super::count(flashing.len(), "head flashes", "heads flash");
            vec![Draft::new(options, SOURCE, Place::Vehicle).say(
                format!("{n}, none {whom}; the vehicle has {n_meant} there"),
                help,
            )]
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
    use crate::report::{FoundIn, Verdict};
    use crate::rules::sketch::{finding, passes, verdict};

    fn gate(rest: &str) -> String {
        format!(
            "head f front red\nhead gate rear red\nsignal tailgate shut,up\nsituation loading tailgate=up\n{rest}\nlane f gate period 500 ms: 0-100"
        )
    }

    #[test]
    fn a_gate_that_goes_up_takes_the_only_rear_lamp() {
        passes(74, &gate(""));
        let found = finding(74, &gate("dark gone gate\nacts for-gone tailgate=up"));
        assert_eq!(
            found.found_in,
            FoundIn::Situation("loading".parse().unwrap())
        );
        passes(
            74,
            &gate(
                "dark gone gate\nacts for-gone tailgate=up\nhead low rear red\nlane low period 500 ms: 0-1",
            ),
        );
    }

    #[test]
    fn steady_light_is_no_warning_and_the_profile_may_name_the_heads() {
        let text = "head f front red\nhead r rear red\nlane f period 500 ms: 0-100\nsteady r";
        finding(74, text);
        passes(74, &format!("{text}\nrule LW074 heads=f"));
        assert!(matches!(
            verdict(74, "head f front red\nsteady f"),
            Verdict::NotApplicable { .. }
        ));
    }
}
