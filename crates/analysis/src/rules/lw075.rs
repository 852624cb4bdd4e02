//! LW075: one output drives heads that are to show different light.

use super::{Context, Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source};
use crate::facts::EmitterFacts;
use lampwright_model::{HeadId, ItemId, OutputId, Place, RuleCode, Severity};
use lampwright_timing::Waveform;

/// One output, different light.
pub(super) struct OutputCannotDiffer;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(75),
    name: "output-cannot-differ",
    summary: "One output drives heads that are to show different light at the same time",
    group: RuleGroup::Practice,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[Source {
        document: "one switched line",
        edition: "",
        clause: "",
        says: "every lamp on one output is on and off together, at one level",
        known: Known::Computed,
    }],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw075.md"),
};

impl Rule for OutputCannotDiffer {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let mut findings = Vec::new();
        let mut n_shared = 0;
        for output in &context.program.vehicle.outputs {
            let driven = driven_by(context, options, &output.id);
            let [(first, light), rest @ ..] = driven.as_slice() else {
                continue;
            };
            if rest.is_empty() {
                continue;
            }
            n_shared += 1;
            let Some((other, _)) = rest.iter().find(|(_, own)| own != light) else {
                continue;
            };
            let place = Place::Item(ItemId::Output(output.id.clone()));
            findings.push(Draft::new(options, SOURCE, place).head(Some(other)).say(
                format!(
                    "output {} drives head {first} and head {other}, which are to show different light; it can only switch both at once",
                    output.id
                ),
                "Give each its own output, or bind both to one lane",
            ));
        }
        if n_shared == 0 {
            return Judgment::not_applicable("no output drives two heads");
        }
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

/// The heads of an output with the level each asks of it; lamps with a flasher of their own take power alone and are left out.
fn driven_by<'a>(
    context: &'a Context<'_>,
    options: &Options<'_>,
    output: &OutputId,
) -> Vec<(&'a HeadId, Waveform)> {
    context
        .facts
        .heads
        .iter()
        .enumerate()
        .filter(|(index, head)| options.looks_at_head(*index) && head.clock.is_none())
        .filter_map(|(_, head)| {
            let its: Vec<&EmitterFacts> = head
                .emitters
                .iter()
                .filter(|emitter| emitter.output.as_ref() == Some(output))
                .collect();
            let mut levels = its.iter().map(|emitter| emitter.level.as_ref());
            let first = levels.next()?.clone();
            // Colors of one head on one output are chosen inside the head; the line is on when any is.
            let level = levels.try_fold(first, |sum, own| sum.max(own)).ok()?;
            Some((&head.head, level))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn two(lanes: &str) -> String {
        format!("head a front red output=o\nhead b front red output=o\noutput o 5A\n{lanes}")
    }

    #[test]
    fn one_line_gives_one_light() {
        passes(75, &two("lane a b period 500 ms: 0-100"));
        let found = finding(
            75,
            &two("lane a period 500 ms: 0-100\nlane b period 500 ms: 0-100.001"),
        );
        assert!(
            found.message.contains("head a and head b"),
            "{}",
            found.message
        );
        finding(75, &two("lane a period 500 ms: 0-100"));
    }

    #[test]
    fn an_output_of_its_own_and_a_flasher_of_its_own_are_free() {
        let own = "head a front red output=o\nhead b front red output=p\noutput o 5A\noutput p 5A\nlane a period 500 ms: 0-100";
        assert!(matches!(verdict(75, own), Verdict::NotApplicable { .. }));
        let flasher = "head a front red output=o clock=k\nhead b front red output=o clock=m\noutput o 5A\nlane a period 500 ms: 0-100";
        assert!(matches!(
            verdict(75, flasher),
            Verdict::NotApplicable { .. }
        ));
    }
}
