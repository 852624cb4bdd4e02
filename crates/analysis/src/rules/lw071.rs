//! LW071: all heads are dark at the same time for long.

use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::facts::{Longest, Set};
use crate::quantity::{Limit, Quantity};
use lampwright_model::{Place, RuleCode, Severity};
use lampwright_timing::Micros;

/// All dark at once.
pub(super) struct AllDarkAtOnce;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(71),
    name: "all-dark-at-once",
    summary: "All lamps are dark at the same time for longer than wanted",
    group: RuleGroup::Practice,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source {
        document: "longest time without any light",
        edition: "",
        clause: "",
        says: "at most 500 ms unless the profile sets its own",
        known: Known::Proposal,
    }],
    parameters: &[Parameter {
        name: "most_dark_ms",
        label: "longest time in which nothing is lit",
        unit: "ms",
        default: 500_000,
        range: (0, 60_000_000),
        source: SOURCE,
    }],
    is_always_run: false,
    page: page!("pages/lw071.md"),
};

impl Rule for AllDarkAtOnce {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let heads: Vec<usize> = (0..context.facts.heads.len())
            .filter(|index| options.looks_at_head(*index))
            .collect();
        let group = context.facts.group_of(Set::Heads("all".into()), &heads);
        let flashes = heads.iter().any(|index| {
            context.facts.heads.get(*index).is_some_and(|head| {
                head.emitters
                    .iter()
                    .any(|emitter| !emitter.level.is_constant())
            })
        });
        if !flashes {
            return Judgment::not_applicable("nothing flashes");
        }
        let limit = Limit::at_most(Quantity::of_time(Micros(
            options.thousandths("most_dark_ms"),
        )));
        let (dark, how) = match &group.timing {
            Some(timing) => (length(timing.longest_dark), ""),
            None => (
                longest_by_chance(context, &heads),
                ", sooner or later, since they run on clocks that drift",
            ),
        };
        let dark = Quantity::of_time(dark);
        let mut findings = Vec::new();
        if !limit.admits(dark) {
            findings.push(
                Draft::new(options, SOURCE, Place::Vehicle)
                    .measured(dark, limit)
                    .say(
                        format!(
                            "all {} lit heads are dark at once for {}{how}, {} wanted",
                            group.n_lit,
                            dark.text_apart_from(&limit.ends()),
                            limit.text()
                        ),
                        "Let some heads flash while others are dark, or keep one steady",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest: Margin::of(dark, limit, "vehicle"),
            note: String::new(),
        }
    }
}

const fn length(longest: Longest) -> Micros {
    match longest {
        Longest::Lasts(length) => length,
        Longest::Never | Longest::Always => Micros::ZERO,
    }
}

/// The longest common dark of heads that drift: each clock unit's own longest, the shortest of those.
fn longest_by_chance(context: &Context<'_>, heads: &[usize]) -> Micros {
    let courses = &context.facts.courses;
    let mut shortest: Option<Micros> = None;
    for unit in 0..courses.units.len() {
        let mut members: Vec<usize> = courses
            .lit
            .iter()
            .filter(|lit| lit.unit == unit && heads.contains(&lit.head))
            .map(|lit| lit.head)
            .collect();
        members.dedup();
        if members.is_empty() {
            continue;
        }
        // A head has one clock, but its emitters may stand in two units; then its own light tells.
        let group = context.facts.group_of(Set::Heads("unit".into()), &members);
        let dark = group
            .timing
            .map_or(Micros::ZERO, |timing| length(timing.longest_dark));
        shortest = Some(shortest.map_or(dark, |known| known.min(dark)));
    }
    shortest.unwrap_or(Micros::ZERO)
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    fn two(other: &str, clock: &str) -> String {
        format!(
            "head a front-left red\nhead b front-right red {clock}\nlane a period 1000 ms: 0-200\nlane b period 1000 ms: {other}"
        )
    }

    #[test]
    fn half_a_second_without_light_passes_and_a_microsecond_more_does_not() {
        passes(71, &two("200-500", ""));
        let found = finding(71, &two("200-499.999", ""));
        assert!(found.message.contains("500.001 ms"), "{}", found.message);
        passes(
            71,
            &format!("{}\nrule LW071 most_dark_ms=800", two("0-200", "")),
        );
    }

    #[test]
    fn lamps_that_drift_are_dark_together_sooner_or_later() {
        passes(71, &two("200-700", "clock=k"));
        let found = finding(71, &two("200-699.999", "clock=k"));
        assert!(
            found.message.contains("sooner or later"),
            "{}",
            found.message
        );
    }

    #[test]
    fn one_steady_lamp_is_enough() {
        passes(
            71,
            "head a front red\nhead b front red\nlane a period 4000 ms: 0-200\nsteady b 100",
        );
    }
}
