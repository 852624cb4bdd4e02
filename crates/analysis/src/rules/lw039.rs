//! LW039: dimming carriers on one fuse may turn on together.

use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, Place, RuleCode, Severity};

/// Carriers in phase on one fuse.
pub(super) struct CarriersInPhase;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(39),
    name: "carriers-in-phase",
    summary: "Dimming carriers on one fuse heat it more when they turn on together",
    group: RuleGroup::Power,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source {
        document: "sum of switched currents",
        edition: "",
        clause: "",
        says: "carriers that turn on together heat more than unrelated ones, and those more than staggered ones; 10 % more is worth a look",
        known: Known::Computed,
    }],
    parameters: &[Parameter {
        name: "most_more_percent",
        label: "how much more root mean square current in phase than unrelated",
        unit: "%",
        default: 10_000,
        range: (0, 1_000_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw039.md"),
};

impl Rule for CarriersInPhase {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let most = Quantity::thousandths(options.thousandths("most_more_percent"), Unit::Percent);
        let limit = Limit::at_most(most);
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut n_looked_at = 0;
        for fuse in &context.facts.electrical.fuses {
            let current = &fuse.current;
            if current.rms_amps <= 0.0 || current.rms_in_phase_amps <= current.rms_amps {
                continue;
            }
            n_looked_at += 1;
            let more = (current.rms_in_phase_amps / current.rms_amps - 1.0) * 100.0;
            let more = Quantity::rounded(more, Unit::Percent);
            let place = Place::Item(ItemId::Fuse(fuse.fuse.clone()));
            if limit.admits(more) {
                Margin::tighten(&mut tightest, more, limit, &place);
                continue;
            }
            findings.push(Draft::new(options, SOURCE, place).measured(more, limit).say(
                format!(
                    "fuse {} carries {} RMS if its carriers turn on together, {} if they are unrelated, {} more, at most {most} wanted",
                    fuse.fuse,
                    Quantity::rounded(current.rms_in_phase_amps, Unit::Amperes),
                    Quantity::rounded(current.rms_amps, Unit::Amperes),
                    more.text_apart_from(&[most])
                ),
                "Stagger the carriers in the controller, or spread the dimmed outputs over fuses",
            ));
        }
        if n_looked_at == 0 {
            return Judgment::not_applicable("no fuse feeds two heads that carriers dim at once");
        }
        Judgment::Checked {
            findings,
            tightest,
            note: String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    /// Two equal carriers at a quarter: in phase 2 I sqrt(1/4) = I; unrelated I sqrt(2/4 + 2/16) = 0.7906 I; 26.491 % more.
    #[test]
    fn two_equal_carriers_at_a_quarter() {
        let text = "head a front red 10A carrier=400 output=o\nhead b front red 10A carrier=400 output=o\noutput o 50A fuse=f\nfuse f 50A\nsteady a 250\nsteady b 250";
        let at = |most: &str| format!("{text}\nrule LW039 most_more_percent={most}");
        passes(39, &at("26.492"));
        let found = finding(39, &at("26.491"));
        assert!(
            found.message.contains("carries 10 A RMS"),
            "{}",
            found.message
        );
        assert!(found.message.contains("7.906 A"), "{}", found.message);
    }

    #[test]
    fn one_carrier_alone_has_nobody_to_be_in_phase_with() {
        let verdict = verdict(
            39,
            "head a front red 10A carrier=400 output=o\noutput o 50A fuse=f\nfuse f 50A\nsteady a 250",
        );
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }
}
