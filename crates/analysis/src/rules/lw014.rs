//! LW014: a head is lit in none of the judged states.

use super::{Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, Whole, count};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// A head that is never lit.
pub(super) struct HeadNeverLit;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(14),
    name: "head-never-lit",
    summary: "A head is lit neither in the default state nor in any situation",
    group: RuleGroup::Heads,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source::practice(
        "a lamp that is fitted is meant to be lit in some situation",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw014.md"),
};

impl Rule for HeadNeverLit {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge_whole(&self, whole: &Whole<'_, '_>, options: &Options<'_>) -> Option<Judgment> {
        Some(judge(whole, options))
    }
}

fn judge(whole: &Whole<'_, '_>, options: &Options<'_>) -> Judgment {
    if !whole.is_complete {
        return Judgment::not_evaluated("looks at every situation, only one state was judged");
    }
    let heads: Vec<_> = whole
        .program
        .vehicle
        .heads
        .iter()
        .enumerate()
        .filter(|(index, _)| options.looks_at_head(*index))
        .collect();
    if heads.is_empty() {
        return Judgment::not_applicable("no heads to look at");
    }
    let n_states = whole.contexts.len();
    let findings = heads
        .into_iter()
        .filter(|(index, _)| {
            !whole.contexts.iter().any(|context| {
                context
                    .drive
                    .heads
                    .get(*index)
                    .is_some_and(lampwright_model::HeadDrive::is_lit)
            })
        })
        .map(|(_, head)| {
            Draft::new(options, SOURCE, Place::Item(ItemId::Head(head.id.clone())))
                .head(Some(&&head.id))
                .say(
                    format!(
                        "head {} is lit in none of {}",
                        head.id,
                        count(n_states, "state looked at", "states looked at")
                    ),
                    "Let a layer address it, add the situation in which it is lit, or remove the head",
                )
        })
        .collect();
    Judgment::Checked {
        findings,
        tightest: None,
        note: "other states than the default and the situations not looked at".into(),
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{findings, passes};

    #[test]
    fn every_dark_head_is_named_and_a_faint_one_is_not() {
        let text = "head a front red\nhead b rear red\nhead c rear red";
        let places: Vec<String> = findings(14, text)
            .iter()
            .map(|found| found.place.to_string())
            .collect();
        assert_eq!(places, ["head a", "head b", "head c"]);
        passes(14, "head a front red\nsteady a 1");
    }
}
