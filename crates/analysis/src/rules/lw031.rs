//! LW031: a fuse carries more than 75 % of its rating as root mean square.

use super::lw030::{assumed, note_on_assumed};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// Fuse loaded over 75 % RMS.
pub(super) struct FuseOver75PercentRms;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(31),
    name: "fuse-over-75-percent-rms",
    summary: "A fuse carries more than 75 % of its rating as root mean square current",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "fuse application notes",
        edition: "a public fuse handbook page",
        clause: "",
        says: "continuous load at 25 °C at most 75 % of the fuse rating; less when it is hot",
        known: Known::SecondHand,
    }],
    parameters: &[Parameter {
        name: "most_percent",
        label: "largest root mean square current as a share of the rating",
        unit: "%",
        default: 75_000,
        range: (1_000, 100_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw031.md"),
};

impl Rule for FuseOver75PercentRms {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let electrical = &context.facts.electrical;
        if electrical.fuses.is_empty() {
            return Judgment::not_applicable("the vehicle lists no fuses");
        }
        let most = Quantity::thousandths(options.thousandths("most_percent"), Unit::Percent);
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut all_assumed = 0;
        for fuse in &electrical.fuses {
            let n_assumed = electrical
                .outputs
                .iter()
                .filter(|output| output.fuse.as_ref() == Some(&fuse.fuse))
                .map(|output| output.n_assumed)
                .sum();
            all_assumed += n_assumed;
            let place = Place::Item(ItemId::Fuse(fuse.fuse.clone()));
            // Carriers of one controller tend to start together, so their worst case counts.
            let rms = Quantity::rounded(fuse.current.rms_in_phase_amps, Unit::Amperes);
            let (numerator, denominator) =
                Quantity::thousandths(fuse.rating.0, Unit::Amperes).fraction();
            let (share, whole) = most.fraction();
            let largest =
                Quantity::new(numerator * share, denominator * whole * 100, Unit::Amperes);
            let limit = Limit::at_most(largest);
            if limit.admits(rms) {
                Margin::tighten(&mut tightest, rms, limit, &place);
                continue;
            }
            findings.push(Draft::new(options, SOURCE, place).measured(rms, limit).say(
                format!(
                    "fuse {} carries {} RMS, at most {largest} wanted, {most} of {}{}",
                    fuse.fuse,
                    rms.text_apart_from(&[largest]),
                    fuse.rating,
                    assumed(n_assumed)
                ),
                "Move an output to another fuse, or have a qualified installer choose fuse and wire for this current",
            ));
        }
        Judgment::Checked {
            findings,
            tightest,
            note: note_on_assumed(all_assumed),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    /// On/off with duty D has a root mean square of I sqrt(D): 10 A at a quarter is 5 A.
    #[test]
    fn heat_follows_the_root_mean_square() {
        let text = |fuse: &str| {
            format!(
                "head a front red 10A output=o\noutput o 20A fuse=f\nfuse f {fuse}\nlane a period 400 ms: 0-100"
            )
        };
        passes(31, &text("6.667A"));
        let found = finding(31, &text("6.666A"));
        assert!(
            found.message.contains("carries 5 A RMS"),
            "{}",
            found.message
        );
    }
}
