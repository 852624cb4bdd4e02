//! LW063: the heads on one fuse flash in step though they could take turns.

use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source};
use crate::Ratio;
use crate::facts::{EmitterFacts, FuseFacts};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ItemId, OutputId, Place, RuleCode, Severity};

/// Heads in step on one fuse.
pub(super) struct FuseHeadsInStep;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(63),
    name: "fuse-heads-in-step",
    summary: "The heads on one fuse flash in step though they could take turns, which doubles its peak",
    group: RuleGroup::Power,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source::practice(
        "heads in step on one fuse draw the same mean, a higher root mean square and the sum of their peaks",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw063.md"),
};

impl Rule for FuseHeadsInStep {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let mut findings = Vec::new();
        let mut n_looked_at = 0;
        for fuse in &context.facts.electrical.fuses {
            let Some(load) = flashing_load(context, fuse) else {
                continue;
            };
            n_looked_at += 1;
            let are_in_step = load.peak == load.sum_of_peaks && load.duties <= Ratio::ONE;
            if !are_in_step {
                continue;
            }
            let peak = Quantity::of(load.steady.plus(load.peak), Unit::Amperes);
            let in_turn = Quantity::of(load.steady.plus(load.largest), Unit::Amperes);
            let limit = Limit::at_most(in_turn);
            let place = Place::Item(ItemId::Fuse(fuse.fuse.clone()));
            findings.push(Draft::new(options, SOURCE, place).measured(peak, limit).say(
                format!(
                    "{} outputs on fuse {} are lit together and draw {} at their peak, {in_turn} if they took turns",
                    load.n_outputs,
                    fuse.fuse,
                    peak.text_apart_from(&[in_turn])
                ),
                "Let them flash in turn where the pattern allows it, or spread them over fuses",
            ));
        }
        if n_looked_at == 0 {
            return Judgment::not_applicable("no fuse feeds two outputs that flash on one clock");
        }
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

struct FlashingLoad {
    n_outputs: usize,
    /// Peak of the flashing outputs together.
    peak: Ratio,
    sum_of_peaks: Ratio,
    largest: Ratio,
    /// Lit shares of the period, added up.
    duties: Ratio,
    /// What burns all the time.
    steady: Ratio,
}

/// The flashing outputs of a fuse; none when there are fewer than two, or they drift.
fn flashing_load(context: &Context<'_>, fuse: &FuseFacts) -> Option<FlashingLoad> {
    if fuse.current.is_bound {
        return None;
    }
    let emitters = || context.facts.heads.iter().flat_map(|head| &head.emitters);
    let of_output = |output: &OutputId| -> Vec<&EmitterFacts> {
        emitters()
            .filter(|emitter| emitter.output.as_ref() == Some(output))
            .filter(|emitter| emitter.timing.is_lit())
            .collect()
    };
    let mut load = FlashingLoad {
        n_outputs: 0,
        peak: fuse.current.peak,
        sum_of_peaks: Ratio::ZERO,
        largest: Ratio::ZERO,
        duties: Ratio::ZERO,
        steady: Ratio::ZERO,
    };
    for output in &context.facts.electrical.outputs {
        if output.fuse.as_ref() != Some(&fuse.fuse) {
            continue;
        }
        let lit = of_output(&output.output);
        if lit.is_empty() {
            continue;
        }
        let peak = output.current.peak;
        if lit.iter().any(|emitter| emitter.level.is_constant()) {
            load.steady = load.steady.plus(peak);
            load.peak = load.peak.minus(peak);
            continue;
        }
        load.n_outputs += 1;
        load.sum_of_peaks = load.sum_of_peaks.plus(peak);
        load.largest = load.largest.max(peak);
        let duty = lit.iter().map(|emitter| emitter.timing.duty).max();
        load.duties = load.duties.plus(duty.unwrap_or(Ratio::ZERO));
    }
    (load.n_outputs >= 2).then_some(load)
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn two(end: &str, other: &str) -> String {
        format!(
            "head a front red 10A output=o\nhead b front red 10A output=p\noutput o 50A fuse=f\noutput p 50A fuse=f\nfuse f 50A\nlane a period 500 ms: 0-{end}\nlane b period 500 ms: {other}"
        )
    }

    /// Two heads of 10 A at half duty: 20 A in step, 10 A in turn (electrical facts, section 2.3).
    #[test]
    fn heads_in_step_could_take_turns_up_to_half_the_period() {
        let found = finding(63, &two("250", "0-250"));
        assert!(found.message.contains("draw 20 A"), "{}", found.message);
        assert!(
            found.message.contains("10 A if they took turns"),
            "{}",
            found.message
        );
        passes(63, &two("250", "250-500"));
        // Together they are lit for longer than a period, so no turn would keep them apart.
        passes(63, &two("250", "0-250.001"));
    }

    #[test]
    fn heads_of_one_output_cannot_take_turns() {
        let text = "head a front red 10A output=o\nhead b front red 10A output=o\noutput o 50A fuse=f\nfuse f 50A\nlane a b period 500 ms: 0-100";
        let verdict = verdict(63, text);
        assert!(
            matches!(verdict, Verdict::NotApplicable { .. }),
            "{verdict:?}"
        );
    }
}
