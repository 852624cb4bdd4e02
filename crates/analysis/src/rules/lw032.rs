//! LW032: the lamps and the other load together need more than the alternator gives at idle.

use super::lw030::{assumed, note_on_assumed};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Place, RuleCode, Severity};

/// Mean load over the idle alternator.
pub(super) struct IdleAlternatorExceeded;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(32),
    name: "idle-alternator-exceeded",
    summary: "The mean current of the lamps and the other load is above what the alternator gives at idle",
    group: RuleGroup::Power,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "KKK-A-1822E, star-of-life ambulance",
        edition: "1 June 2002, superseded",
        clause: "3.7.6",
        says: "the load is carried at regulated voltage, hot, with the engine at or below high idle",
        known: Known::Read,
    }],
    parameters: &[Parameter {
        name: "least_left_a",
        label: "current the alternator must have left",
        unit: "A",
        default: 0,
        range: (0, 1_000_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw032.md"),
};

impl Rule for IdleAlternatorExceeded {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let electrical = &context.facts.electrical;
        let Some(idle) = &electrical.idle_margin else {
            return Judgment::not_evaluated("the alternator's current at idle is not entered");
        };
        let amperes = |value| Quantity::of(value, Unit::Amperes);
        let reserve = options.thousandths("least_left_a");
        let most = amperes(idle.alternator.minus(crate::Ratio::thousandths(reserve)));
        let limit = Limit::at_most(most);
        let load = amperes(idle.lamps.plus(idle.other_load));
        let mut findings = Vec::new();
        if !limit.admits(load) {
            let reserve = if reserve == 0 {
                String::new()
            } else {
                format!(
                    " with {} to be left",
                    Quantity::thousandths(reserve, Unit::Amperes)
                )
            };
            findings.push(
                Draft::new(options, SOURCE, Place::Supply)
                    .measured(load, limit)
                    .say(
                        format!(
                            "mean load {}, of it lamps {} and all else {}, the alternator gives {} at idle{reserve}{}",
                            load.text_apart_from(&[most]),
                            amperes(idle.lamps),
                            amperes(idle.other_load),
                            amperes(idle.alternator),
                            assumed(electrical.n_assumed)
                        ),
                        "Dim or switch off lamps in this state, shed other load, or raise the idle speed",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest: Margin::of(load, limit, "supply"),
            note: note_on_assumed(electrical.n_assumed),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    #[test]
    fn the_load_may_reach_what_the_alternator_gives() {
        let text = |other: &str| {
            format!(
                "alternator 40A\nother {other}\nhead a front red 4A\nlane a period 400 ms: 0-100"
            )
        };
        passes(32, &text("39A"));
        let found = finding(32, &text("39.001A"));
        assert!(
            found.message.contains("mean load 40.001 A"),
            "{}",
            found.message
        );
        passes(32, &format!("{}\nrule LW032 least_left_a=5", text("34A")));
        finding(
            32,
            &format!("{}\nrule LW032 least_left_a=5.001", text("34A")),
        );
    }

    #[test]
    fn without_an_alternator_it_is_not_evaluated() {
        let verdict = verdict(32, "head a front red 4A\nsteady a");
        assert!(
            matches!(verdict, Verdict::NotEvaluated { .. }),
            "{verdict:?}"
        );
    }
}
