//! LW073: patterns that play together have periods that are no multiples of each other, so their phase walks.

use super::lights::lights;
use super::{Context, Draft, Judgment, Options, Rule, RuleGroup, RuleMeta, Source, count};
use crate::quantity::Quantity;
use lampwright_model::{ClockId, ItemId, PatternId, Place, RuleCode, Severity};
use lampwright_timing::Micros;

/// Periods that are no multiples.
pub(super) struct PeriodsNotMultiples;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(73),
    name: "periods-not-multiples",
    summary: "Patterns that play together have periods that are no multiples of each other, so their phase walks",
    group: RuleGroup::Practice,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source::practice(
        "groups that play together have periods that are whole multiples of one another",
    )],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw073.md"),
};

impl Rule for PeriodsNotMultiples {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let mut played: Vec<(Option<&ClockId>, Micros, &PatternId)> = Vec::new();
        let lights = lights(context, options);
        for light in &lights.list {
            for head in &light.heads {
                let clock = context
                    .facts
                    .head(head)
                    .and_then(|facts| facts.clock.as_ref());
                played.push((clock, light.pattern_period, &light.lane.pattern));
            }
        }
        lampwright_timing::sort(&mut played);
        played.dedup();
        let mut findings = Vec::new();
        let mut n_pairs = 0;
        for of_clock in played.chunk_by(|one, other| one.0 == other.0) {
            let mut apart = Vec::new();
            for (index, (_, short, one)) in of_clock.iter().enumerate() {
                for (_, long, other) in of_clock.iter().skip(index + 1) {
                    n_pairs += 1;
                    // Sorted by period, so the later is the longer.
                    if long.0 % short.0.max(1) != 0 {
                        apart.push((*one, *short, *other, *long));
                    }
                }
            }
            let Some((one, short, other, long)) = apart.first().copied() else {
                continue;
            };
            let more = match apart.len() - 1 {
                0 => String::new(),
                n => format!("; {} more like it", count(n, "pair", "pairs")),
            };
            let place = Place::Item(ItemId::Pattern(one.clone()));
            findings.push(Draft::new(options, SOURCE, place).say(
                format!(
                    "patterns {one} of {} and {other} of {} play together and their phase walks, since neither period is a multiple of the other{more}",
                    Quantity::of_time(short),
                    Quantity::of_time(long)
                ),
                "Make one period a whole multiple of the other, if the two are meant to be seen together",
            ));
        }
        if n_pairs == 0 {
            return Judgment::not_applicable("no two patterns play together on one clock");
        }
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::Verdict;
    use crate::rules::sketch::{finding, passes, verdict};

    fn two(one: &str, other: &str, clock: &str) -> String {
        format!(
            "head a front-left red\nhead b front-right red {clock}\nlane a period {one} ms: 0-100\nlane b period {other} ms: 0-100"
        )
    }

    #[test]
    fn a_whole_multiple_passes_and_a_microsecond_off_does_not() {
        passes(73, &two("400", "1200", ""));
        passes(73, &two("400", "400", ""));
        let found = finding(73, &two("400", "1200.001", ""));
        assert!(
            found.message.contains("a of 400 ms and b of 1200.001 ms"),
            "{}",
            found.message
        );
    }

    #[test]
    fn clocks_that_drift_are_another_rules_matter() {
        assert!(matches!(
            verdict(73, &two("400", "600", "clock=k")),
            Verdict::NotApplicable { .. }
        ));
    }
}
