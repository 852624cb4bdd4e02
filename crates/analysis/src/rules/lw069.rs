//! LW069: heads that are meant to keep step run on clocks that drift apart.

use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
    listed,
};
use crate::Ratio;
use crate::facts::Drift;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{Action, ClockId, Decision, ItemId, Must, Place, RuleCode, Severity};
use lampwright_timing::Micros;

/// Heads meant to keep step on clocks that drift.
pub(super) struct ClocksDrift;

const TIME: usize = 0;

/// Dark gap that closes a flash when its rate is counted (from memory; it matters for trains of pulses only).
const CLOSING_GAP: Micros = Micros(160_000);

static META: RuleMeta = RuleMeta {
    code: RuleCode(69),
    name: "clocks-drift",
    summary: "Heads that a guarantee or a pattern means to keep step run on clocks of their own and slip half a period too soon",
    group: RuleGroup::Practice,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[
        Source {
            document: "time the agency wants heads to keep step",
            edition: "",
            clause: "",
            says: "at least 60 minutes unless the profile sets its own",
            known: Known::Proposal,
        },
        Source {
            document: "drift of free-running clocks",
            edition: "",
            clause: "",
            says: "half a period is lost after 0.5 / (f e) seconds, f flashes per second, e the two tolerances added",
            known: Known::Computed,
        },
    ],
    parameters: &[Parameter {
        name: "least_minutes",
        label: "time until heads may be half a period apart",
        unit: "min",
        default: 60_000,
        range: (0, 100_000_000),
        source: TIME,
    }],
    is_always_run: false,
    page: page!("pages/lw069.md"),
};

impl Rule for ClocksDrift {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let program = context.program;
        let least = Quantity::thousandths(options.thousandths("least_minutes"), Unit::Minutes);
        let limit = Limit::at_least(least);
        let mut findings = Vec::new();
        let mut tightest = None;
        let mut n_groups = 0;
        for (item, heads) in meant_to_keep_step(context, options) {
            let Some(rate) = rate_of(context, &heads) else {
                continue;
            };
            n_groups += 1;
            let clocks = clocks_of(context, &heads);
            let tolerance = |clock: &Option<ClockId>| {
                program
                    .vehicle
                    .clocks
                    .iter()
                    .find(|known| Some(&known.id) == clock.as_ref())
                    .map_or(0, |known| known.tolerance_ppm)
            };
            let mut tolerances: Vec<u32> = clocks.iter().map(tolerance).collect();
            lampwright_timing::sort_by(&mut tolerances, |one, other| other.cmp(one));
            let [one, other, ..] = tolerances.as_slice() else {
                continue;
            };
            let Some(drift) = Drift::of(*one, *other, rate) else {
                continue;
            };
            let slip = Quantity::of(drift.half_period_seconds.over(60), Unit::Minutes);
            let place = Place::Item(item.clone());
            if limit.admits(slip) {
                Margin::tighten(&mut tightest, slip, limit, &place);
                continue;
            }
            let names: Vec<String> = clocks
                .iter()
                .map(|clock| {
                    clock.as_ref().map_or_else(
                        || "the controller's own, taken as exact".to_owned(),
                        ToString::to_string,
                    )
                })
                .collect();
            findings.push(
                Draft::new(options, TIME, place)
                    .measured(slip, limit)
                    .say(
                        format!(
                            "{item} means heads to keep step, but they run on clocks {}; at {} they may be half a period apart after {} s, {}, at least {least} wanted",
                            listed(&names),
                            Quantity::of(rate, Unit::Hertz),
                            Quantity::of(drift.half_period_seconds, Unit::Count),
                            slip.text_apart_from(&[least])
                        ),
                        "Put these heads on one clock, or join the clocks by a synchronizing wire",
                    ),
            );
        }
        if n_groups == 0 {
            return Judgment::not_applicable("no flashing heads are meant to keep step");
        }
        Judgment::Checked {
            findings,
            tightest,
            note: String::new(),
        }
    }
}

/// Guarantees that speak of step or of turns, and patterns of one layer, each with the heads they mean.
fn meant_to_keep_step(context: &Context<'_>, options: &Options<'_>) -> Vec<(ItemId, Vec<usize>)> {
    let program = context.program;
    let mut groups = Vec::new();
    for guarantee in &program.guarantees {
        if matches!(guarantee.must, Must::PlayInStep | Must::Alternate)
            && context.drive.state.meets(program, &guarantee.when)
        {
            groups.push((
                ItemId::Guarantee(guarantee.id.clone()),
                program.heads_of(&guarantee.heads),
            ));
        }
    }
    for layer in &program.layers {
        let Action::Play { pattern, .. } = &layer.action else {
            continue;
        };
        if !options.looks_at_pattern(pattern) {
            continue;
        }
        let decided: Vec<usize> = context
            .facts
            .heads
            .iter()
            .enumerate()
            .filter(|(_, head)| head.decided_by == Decision::Layer(layer.id.clone()))
            .map(|(index, _)| index)
            .collect();
        groups.push((ItemId::Layer(layer.id.clone()), decided));
    }
    for (_, heads) in &mut groups {
        heads.retain(|index| {
            options.looks_at_head(*index)
                && context.facts.heads.get(*index).is_some_and(|head| {
                    head.emitters
                        .iter()
                        .any(|emitter| !emitter.level.is_constant())
                })
        });
    }
    groups.retain(|(_, heads)| heads.len() > 1);
    groups
}

/// The clocks of some heads, each once.
fn clocks_of(context: &Context<'_>, heads: &[usize]) -> Vec<Option<ClockId>> {
    let mut clocks: Vec<Option<ClockId>> = heads
        .iter()
        .filter_map(|index| Some(context.facts.heads.get(*index)?.clock.clone()))
        .collect();
    lampwright_timing::sort(&mut clocks);
    clocks.dedup();
    clocks
}

/// The fastest rate among some heads, hertz; repetitions of the period where no dark gap closes a flash.
fn rate_of(context: &Context<'_>, heads: &[usize]) -> Option<Ratio> {
    heads
        .iter()
        .filter_map(|index| context.facts.heads.get(*index))
        .flat_map(|head| &head.emitters)
        .filter(|emitter| !emitter.level.is_constant())
        .map(|emitter| {
            let period = emitter.level.period();
            let flashes = emitter.timing.flashes(CLOSING_GAP).list.len().max(1);
            Ratio::new(
                i128::try_from(flashes).unwrap_or(1) * 1_000_000,
                i128::from(period.0),
            )
        })
        .max()
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn two(one: &str, other: &str, least: &str) -> String {
        format!(
            "head a front-left red clock=k1:{one}\nhead b front-right red clock=k2:{other}\nlane a b period 500 ms: 0-100\nrule LW069 least_minutes={least}"
        )
    }

    /// 2 Hz, 1 % each: half a period after 12.5 s, 0.208 minutes (electrical facts, section 4.3).
    #[test]
    fn two_hertz_at_one_percent_slip_after_twelve_and_a_half_seconds() {
        passes(69, &two("10000", "10000", "0.208"));
        let found = finding(69, &two("10000", "10000", "0.209"));
        assert!(found.message.contains("after 12.5 s"), "{}", found.message);
        assert!(found.is_unverified);
    }

    #[test]
    fn crystals_keep_step_for_two_thousand_five_hundred_seconds() {
        passes(69, &two("50", "50", "41.666"));
        finding(69, &two("50", "50", "41.667"));
    }

    #[test]
    fn a_guarantee_means_it_too_and_one_clock_never_slips() {
        let lanes =
            "lane a period 500 ms: 0-100\nlane b period 500 ms: 250-350\nguarantee g alternate a b";
        let heads = |clock: &str| {
            format!(
                "head a front-left red clock=k:10000\nhead b front-right red clock={clock}\n{lanes}"
            )
        };
        let found = finding(69, &heads("m:10000"));
        assert!(found.message.contains("guarantee g"), "{}", found.message);
        passes(69, &heads("k"));
    }

    #[test]
    fn lamps_that_nobody_means_to_keep_step_may_drift() {
        let text = "head a front-left red clock=k:10000\nhead b front-right red clock=m:10000\nlane a period 500 ms: 0-100\nlane b period 500 ms: 0-100";
        assert!(matches!(verdict(69, text), Verdict::NotApplicable { .. }));
    }
}
