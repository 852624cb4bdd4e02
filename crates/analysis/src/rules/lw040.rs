//! LW040: a waiver accepts nothing.

use super::{Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source, Whole};
use lampwright_model::{Place, RuleCode, Severity};

/// A waiver without a finding.
pub(super) struct UnusedWaiver;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(40),
    name: "unused-waiver",
    summary: "A waiver matches no finding",
    group: RuleGroup::Document,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "waivers of the program",
        edition: "",
        clause: "",
        says: "a waiver is meant to accept a finding that is there",
        known: Known::Stated,
    }],
    parameters: &[],
    is_always_run: true,
    page: page!("pages/lw040.md"),
};

impl Rule for UnusedWaiver {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge_whole(&self, whole: &Whole<'_, '_>, options: &Options<'_>) -> Option<Judgment> {
        let waivers = &whole.program.waivers;
        if waivers.is_empty() {
            return Some(Judgment::not_applicable("there are no waivers"));
        }
        if !whole.is_complete {
            return Some(Judgment::not_evaluated(
                "looks at every situation, only one state was judged",
            ));
        }
        let findings = waivers
            .iter()
            .enumerate()
            .filter(|(index, _)| !whole.waivers_used.get(*index).copied().unwrap_or(false))
            .map(|(index, waiver)| {
                let place = waiver
                    .place
                    .as_ref()
                    .map_or_else(|| "any place".into(), |place| format!("place \"{place}\""));
                let why = if whole.rules_run.contains(&waiver.rule) {
                    "matches no finding"
                } else {
                    "waives a rule that was not run"
                };
                Draft::new(options, SOURCE, Place::Program).say(
                    format!(
                        "waiver {} of {} at {place} by {} {why}",
                        index + 1,
                        waiver.rule,
                        waiver.by
                    ),
                    "Remove the waiver, or correct its rule or place",
                )
            })
            .collect();
        Some(Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, report};
    use lampwright_model::RuleCode;

    #[test]
    fn a_waived_finding_is_kept_and_does_not_count() {
        let text = "head a front red 4A output=o\noutput o 3A\nrule LW030\nwaiver LW030 output o\nsteady a";
        let report = report(RuleCode(40), text);
        let waived: Vec<_> = report
            .findings
            .iter()
            .filter(|found| found.code == RuleCode(30))
            .collect();
        assert_eq!(waived.len(), 1);
        assert!(!waived[0].counts());
        assert_eq!(report.n_at_least(lampwright_model::Severity::Info), 0);
    }

    #[test]
    fn a_place_that_is_spelled_otherwise_does_not_match() {
        let text = "head a front red 4A output=o\noutput o 3A\nrule LW030\nwaiver LW030 output  o2\nsteady a";
        assert!(finding(40, text).message.contains("matches no finding"));
    }

    #[test]
    fn a_waiver_of_a_rule_that_is_not_run_says_so() {
        let text = "head a front red\nwaiver LW030\nsteady a";
        assert!(finding(40, text).message.contains("not run"));
    }
}
