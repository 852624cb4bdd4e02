//! LW011: left and right are lit together where a guarantee declares that they alternate.

use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::{Phase, Set};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Guarantee, Must, Place, RuleCode, Severity, Side};

/// Sides in step where they are declared to alternate.
pub(super) struct SidesInStep;

const SOURCE: usize = 0;
const DECLARED: usize = 1;

static META: RuleMeta = RuleMeta {
    code: RuleCode(11),
    name: "sides-in-step",
    summary: "Left and right are lit together although a guarantee declares that they alternate",
    group: RuleGroup::Balance,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source::practice(
            "sides that alternate are lit together for less than half of the time that either is lit",
        ),
        Source {
            document: "guarantee of the program",
            edition: "",
            clause: "",
            says: "left and right alternate",
            known: Known::Stated,
        },
    ],
    parameters: &[Parameter {
        name: "most_overlap_percent",
        label: "largest share of the lit time in which both sides are lit",
        unit: "%",
        default: 50_000,
        range: (0, 100_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw011.md"),
};

impl Rule for SidesInStep {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let program = context.program;
        let declared: Vec<&Guarantee> = program
            .guarantees
            .iter()
            .filter(|guarantee| guarantee.must == Must::Alternate)
            .collect();
        if declared.is_empty() {
            return Judgment::not_applicable("no guarantee declares that sides alternate");
        }
        let most =
            Quantity::thousandths(options.thousandths("most_overlap_percent"), Unit::Percent);
        let limit = Limit::at_most(most);
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut n_looked_at = 0;
        for guarantee in declared {
            if !context.drive.state.meets(program, &guarantee.when) {
                continue;
            }
            let heads = program.heads_of(&guarantee.heads);
            let side = |side: Side| -> Vec<usize> {
                heads
                    .iter()
                    .copied()
                    .filter(|index| {
                        options.looks_at_head(*index)
                            && program
                                .vehicle
                                .heads
                                .get(*index)
                                .is_some_and(|head| head.side() == side)
                    })
                    .collect()
            };
            let facts = &context.facts;
            let left = facts.group_of(Set::Heads("left".into()), &side(Side::Left));
            let right = facts.group_of(Set::Heads("right".into()), &side(Side::Right));
            if left.n_lit == 0 || right.n_lit == 0 {
                continue;
            }
            n_looked_at += 1;
            let pair = facts.pair_of(&left, &right);
            let place = Place::Pair("left", "right");
            let Some(overlap) = pair.overlap else {
                findings.push(Draft::new(options, DECLARED, place).say(
                    format!(
                        "left and right run on clocks that drift, so they come in step sooner or later; guarantee {} declares that they alternate",
                        guarantee.id
                    ),
                    "Put both sides on one clock, or give their patterns periods with a common multiple of at most 120 s",
                ));
                continue;
            };
            let overlap = Quantity::of(overlap.times(100), Unit::Percent);
            if limit.admits(overlap) {
                let place = format_args!("guarantee {}", guarantee.id);
                Margin::tighten(&mut tightest, overlap, limit, &place);
                continue;
            }
            let phase = match pair.phase {
                Phase::Angle { degrees, .. } => {
                    let degrees = Quantity::rounded(libm::round(degrees), Unit::Count);
                    format!(", right comes {degrees}° after left")
                }
                _ => String::new(),
            };
            findings.push(
                Draft::new(options, SOURCE, place)
                    .measured(overlap, limit)
                    .say(
                        format!(
                            "left and right are lit together for {} of the lit time{phase}, at most {most} wanted; guarantee {} declares that they alternate",
                            overlap.text_apart_from(&[most]),
                            guarantee.id
                        ),
                        "Delay one side by half the period, with the binding's offset or by moving its pulses",
                    ),
            );
        }
        if n_looked_at == 0 {
            return Judgment::not_applicable(
                "no guarantee that sides alternate applies with both sides lit",
            );
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

    fn sides(right: &str) -> String {
        format!(
            "head a front-left red\nhead b front-right red\nlane a period 500 ms: 0-100\nlane b period 500 ms: {right}\nguarantee sides alternate a b"
        )
    }

    #[test]
    fn an_overlap_of_half_the_lit_time_passes_and_a_microsecond_more_does_not() {
        // 60 ms together of 120 ms lit.
        passes(11, &sides("40-120"));
        let found = finding(11, &sides("40-119.999"));
        assert!(
            found.message.contains("at most 50 % wanted"),
            "{}",
            found.message
        );
        assert!(!found.message.contains("for 50 % of"), "{}", found.message);
    }

    #[test]
    fn without_such_a_guarantee_there_is_nothing_to_look_at() {
        let verdict = verdict(11, "head a front-left red\nlane a period 500 ms: 0-100");
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }

    #[test]
    fn sides_on_clocks_that_drift_come_in_step_sooner_or_later() {
        let text = "head a front-left red\nhead b front-right red clock=own\nlane a period 500 ms: 0-100\nlane b period 500 ms: 250-350\nguarantee sides alternate a b";
        assert!(finding(11, text).message.contains("drift"));
    }
}
