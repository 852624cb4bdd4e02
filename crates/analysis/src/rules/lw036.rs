//! LW036: a wire carries more than it may.

use super::lw030::{assumed, note_on_assumed};
use super::wires::{Ampacity, NO_WIRES, PARAMETERS, TABLE, ampacity_of, conclude, size};
use super::{Context, Draft, Judgment, Margin, Options, Rule, RuleGroup, RuleMeta};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// Wire over its ampacity.
pub(super) struct WireOverAmpacity;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(36),
    name: "wire-over-ampacity",
    summary: "The root mean square current of an output is more than its wire may carry",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[TABLE],
    parameters: &PARAMETERS,
    is_always_run: false,
    page: page!("pages/lw036.md"),
};

impl Rule for WireOverAmpacity {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut unknown = Vec::new();
        let (mut n_wires, mut n_assumed) = (0, 0);
        for output in &context.facts.electrical.outputs {
            let Some(wire) = &output.wire else { continue };
            n_wires += 1;
            let Ampacity::Amperes(most) = ampacity_of(wire.wire.size, options) else {
                unknown.push(&output.output);
                continue;
            };
            n_assumed += output.n_assumed;
            let rms = Quantity::rounded(output.current.rms_in_phase_amps, Unit::Amperes);
            let limit = Limit::at_most(most);
            let place = Place::Item(ItemId::Output(output.output.clone()));
            if limit.admits(rms) {
                Margin::tighten(&mut tightest, rms, limit, &place);
                continue;
            }
            findings.push(Draft::new(options, SOURCE, place).measured(rms, limit).say(
                format!(
                    "the wire of output {} carries {} RMS, {} may carry {most} by a table for boats, taken as a stand-in{}",
                    output.output,
                    rms.text_apart_from(&[most]),
                    size(wire.wire.size),
                    assumed(output.n_assumed)
                ),
                "Have a qualified installer choose a thicker wire, or split the heads over two outputs",
            ));
        }
        match conclude(n_wires, NO_WIRES, findings, tightest, &unknown) {
            Judgment::Checked {
                findings,
                tightest,
                note,
            } => Judgment::Checked {
                findings,
                tightest,
                note: [note, note_on_assumed(n_assumed)]
                    .into_iter()
                    .filter(|part| !part.is_empty())
                    .collect::<Vec<_>>()
                    .join("; "),
            },
            other => other,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    /// 18 gauge, 60 degrees insulation: 10 A (33 CFR 183.425 Table 5, read); on/off at a quarter has half the peak as its root mean square.
    #[test]
    fn the_root_mean_square_counts_against_the_table() {
        let text = |amps: &str| {
            format!(
                "head a front red {amps} output=o\noutput o 50A wire=18awg/2/wire\nlane a period 400 ms: 0-100\nrule LW036 insulation_c=60"
            )
        };
        passes(36, &text("20A"));
        let found = finding(36, &text("20.001A"));
        assert!(
            found.message.contains("18 gauge may carry 10 A"),
            "{}",
            found.message
        );
    }
}
