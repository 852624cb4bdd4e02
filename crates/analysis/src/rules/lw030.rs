//! LW030: the peak current of an output is above its rating.

use super::{
    Context, Draft, Judgment, Known, Margin, Options, Rule, RuleGroup, RuleMeta, Source, count,
};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// Output over its rating.
pub(super) struct OutputOverRating;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(30),
    name: "output-over-rating",
    summary: "The largest current of an output is above its rating",
    group: RuleGroup::Power,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[Source {
        document: "rating of the output in the program",
        edition: "",
        clause: "",
        says: "largest continuous current of the output, as entered",
        known: Known::Stated,
    }],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw030.md"),
};

impl Rule for OutputOverRating {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let outputs = &context.facts.electrical.outputs;
        if outputs.is_empty() {
            return Judgment::not_applicable("the vehicle lists no outputs");
        }
        if outputs.iter().all(|output| output.n_emitters == 0) {
            return Judgment::not_applicable("no emitter is connected to an output");
        }
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut n_assumed = 0;
        for output in outputs {
            n_assumed += output.n_assumed;
            let peak = Quantity::of(output.current.peak, Unit::Amperes);
            let rating = Quantity::thousandths(output.rating.0, Unit::Amperes);
            let limit = Limit::at_most(rating);
            let place = Place::Item(ItemId::Output(output.output.clone()));
            if limit.admits(peak) {
                Margin::tighten(&mut tightest, peak, limit, &place);
                continue;
            }
            let assumed = assumed(output.n_assumed);
            let bound = if output.current.is_bound {
                ", a bound over free-running clocks"
            } else {
                ""
            };
            findings.push(Draft::new(options, SOURCE, place).measured(peak, limit).say(
                format!(
                    "output {} draws {} at its peak{bound}, rated {rating}{assumed}",
                    output.output,
                    peak.text_apart_from(&[rating])
                ),
                "Move heads to another output, let them flash in turn, or lower their level",
            ));
        }
        Judgment::Checked {
            findings,
            tightest,
            note: note_on_assumed(n_assumed),
        }
    }
}

/// ", 2 currents assumed".
pub(super) fn assumed(n: usize) -> String {
    if n == 0 {
        String::new()
    } else {
        format!(", {} assumed", count(n, "current", "currents"))
    }
}

/// What a verdict on currents rests on.
pub(super) fn note_on_assumed(n: usize) -> String {
    if n == 0 {
        String::new()
    } else {
        format!(
            "{} of lit emitters assumed because none is entered",
            count(n, "current", "currents")
        )
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    #[test]
    fn the_peak_may_reach_the_rating_and_not_a_milliampere_more() {
        let text = |rating: &str| {
            format!(
                "head a front red 2A output=o\nhead b front red 2A output=o\noutput o {rating}\nlane a period 500 ms: 0-100\nlane b period 500 ms: 50-150"
            )
        };
        passes(30, &text("4A"));
        let found = finding(30, &text("3.999A"));
        assert!(
            found
                .message
                .contains("draws 4 A at its peak, rated 3.999 A"),
            "{}",
            found.message
        );
    }

    #[test]
    fn heads_that_flash_in_turn_do_not_add_up() {
        passes(
            30,
            "head a front red 2A output=o\nhead b front red 2A output=o\noutput o 2A\nlane a period 500 ms: 0-100\nlane b period 500 ms: 100-200",
        );
    }

    #[test]
    fn assumed_currents_are_named() {
        let found = finding(30, "head a front red output=o\noutput o 0.1A\nsteady a");
        assert!(
            found.message.contains("1 current assumed"),
            "{}",
            found.message
        );
    }
}
