//! LW072: nearly all lamps are lit at the same instant, so the vehicle's peak current is near the sum of all.

use super::lw030::note_on_assumed;
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::Ratio;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Place, RuleCode, Severity};

/// All lit at once.
pub(super) struct AllLitAtOnce;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(72),
    name: "all-lit-at-once",
    summary: "Nearly all lamps are lit at the same instant, so the peak current is near the sum of all",
    group: RuleGroup::Practice,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source {
        document: "share of the lamps' currents that may come together",
        edition: "",
        clause: "",
        says: "at most 80 % unless the profile sets its own",
        known: Known::Proposal,
    }],
    parameters: &[Parameter {
        name: "most_percent",
        label: "largest peak current as a share of all lamps' peaks added up",
        unit: "%",
        default: 80_000,
        range: (1_000, 100_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw072.md"),
};

impl Rule for AllLitAtOnce {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let electrical = &context.facts.electrical;
        let flashing = context
            .facts
            .heads
            .iter()
            .filter(|head| {
                head.emitters
                    .iter()
                    .any(|emitter| !emitter.level.is_constant())
            })
            .count();
        if flashing < 2 {
            return Judgment::not_applicable("fewer than two heads flash");
        }
        let sum = context
            .facts
            .heads
            .iter()
            .flat_map(|head| &head.emitters)
            .fold(Ratio::ZERO, |sum, emitter| sum.plus(emitter.current.peak));
        let peak = electrical.vehicle.peak;
        let Some(share) = peak.divided_by(sum) else {
            return Judgment::not_applicable("nothing draws current");
        };
        let share = Quantity::of(share.times(100), Unit::Percent);
        let most = Quantity::thousandths(options.thousandths("most_percent"), Unit::Percent);
        let limit = Limit::at_most(most);
        let mut findings = Vec::new();
        if !limit.admits(share) {
            let bound = if electrical.vehicle.is_bound {
                ", sooner or later, since they run on clocks that drift"
            } else {
                ""
            };
            findings.push(
                Draft::new(options, SOURCE, Place::Vehicle)
                    .measured(share, limit)
                    .say(
                        format!(
                            "the lamps draw {} at once of {} added up, {}{bound}, at most {most} wanted",
                            Quantity::of(peak, Unit::Amperes),
                            Quantity::of(sum, Unit::Amperes),
                            share.text_apart_from(&[most])
                        ),
                        "Let heads take turns, or delay one side by half the period",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest: Margin::of(share, limit, "vehicle"),
            note: note_on_assumed(electrical.n_assumed),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    /// 4 A with 1 A apart from them: 4 of 5 A come together.
    #[test]
    fn four_fifths_may_come_together_and_no_more() {
        let text = |amps: &str| {
            format!(
                "head a front red {amps}\nhead b front red 1A\nlane a period 500 ms: 0-100\nlane b period 500 ms: 250-350"
            )
        };
        passes(72, &text("4A"));
        finding(72, &text("4.001A"));
        passes(
            72,
            &format!("{}\nrule LW072 most_percent=80.01", text("4.001A")),
        );
    }
}
