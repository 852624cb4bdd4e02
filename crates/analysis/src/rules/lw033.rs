//! LW033: the root mean square current of an output is above its rating.

use super::lw030::{assumed, note_on_assumed};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// Output over its rating by heat.
pub(super) struct OutputOverRatingByRms;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(33),
    name: "output-over-rating-by-rms",
    summary: "The root mean square current of an output is above its rating",
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
    parameters: &[Parameter {
        name: "most_percent",
        label: "largest root mean square current as a share of the rating",
        unit: "%",
        default: 100_000,
        range: (1_000, 100_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw033.md"),
};

impl Rule for OutputOverRatingByRms {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let outputs = &context.facts.electrical.outputs;
        if outputs.iter().all(|output| output.n_emitters == 0) {
            return Judgment::not_applicable("no emitter is connected to an output");
        }
        let most = Quantity::thousandths(options.thousandths("most_percent"), Unit::Percent);
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut n_assumed = 0;
        for output in outputs {
            n_assumed += output.n_assumed;
            let place = Place::Item(ItemId::Output(output.output.clone()));
            let rms = Quantity::rounded(output.current.rms_in_phase_amps, Unit::Amperes);
            let largest = share_of(most, Quantity::thousandths(output.rating.0, Unit::Amperes));
            let limit = Limit::at_most(largest);
            if limit.admits(rms) {
                Margin::tighten(&mut tightest, rms, limit, &place);
                continue;
            }
            findings.push(Draft::new(options, SOURCE, place).measured(rms, limit).say(
                format!(
                    "output {} carries {} RMS, at most {largest} wanted, {most} of {}{}",
                    output.output,
                    rms.text_apart_from(&[largest]),
                    output.rating,
                    assumed(output.n_assumed)
                ),
                "Move heads to another output, shorten their pulses, or lower their level",
            ));
        }
        Judgment::Checked {
            findings,
            tightest,
            note: note_on_assumed(n_assumed),
        }
    }
}

/// A percentage of a quantity, exact.
pub(super) fn share_of(percent: Quantity, whole: Quantity) -> Quantity {
    let (part, parts) = percent.fraction();
    let (numerator, denominator) = whole.fraction();
    Quantity::new(numerator * part, denominator * parts * 100, whole.unit())
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    /// On/off with duty D has a root mean square of I sqrt(D): 10 A at a quarter is 5 A.
    #[test]
    fn the_root_mean_square_may_reach_the_rating_and_not_a_milliampere_more() {
        let text = |rating: &str| {
            format!("head a front red 10A output=o\noutput o {rating}\nlane a period 400 ms: 0-100")
        };
        passes(33, &text("5A"));
        let found = finding(33, &text("4.999A"));
        assert!(
            found.message.contains("carries 5 A RMS"),
            "{}",
            found.message
        );
        finding(
            33,
            &format!("{}\nrule LW033 most_percent=80", text("6.249A")),
        );
        passes(
            33,
            &format!("{}\nrule LW033 most_percent=80", text("6.25A")),
        );
    }

    /// A carrier heats with full current: 10 A at 30 % is 5.477 A RMS, not 3 A.
    #[test]
    fn a_carrier_heats_more_than_dimming_the_current() {
        let text = |dimming: &str| {
            format!("head a front red 10A output=o {dimming}\noutput o 5A\nsteady a 300")
        };
        passes(33, &text(""));
        assert!(
            finding(33, &text("carrier=400"))
                .message
                .contains("5.477 A RMS")
        );
    }
}
