//! LW042: patterns on one clock have no common period of at most 120 s, so they are treated as free-running.

use super::{Context, Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source, listed};
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::{ClockId, ItemId, PatternId, Place, RuleCode, Severity};
use lampwright_timing::{MAX_COMMON_PERIOD, Micros};

/// A common period that was cut.
pub(super) struct PatternPeriodCut;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(42),
    name: "pattern-period-cut",
    summary: "Patterns that play together repeat together only after more than 120 s and are treated as free-running",
    group: RuleGroup::Document,
    severity: Severity::Warning,
    since: "0.1.0",
    sources: &[Source {
        document: "limit of this project",
        edition: "",
        clause: "",
        says: "a common period longer than 120 s is not judged as one cycle; the bound over free-running clocks takes its place",
        known: Known::Computed,
    }],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw042.md"),
};

impl Rule for PatternPeriodCut {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let units = &context.facts.courses.units;
        if units.iter().all(crate::facts::CourseUnit::is_constant) {
            return Judgment::not_applicable("nothing flashes");
        }
        let mut findings = Vec::new();
        // Units stand in order of their clocks, so those of one clock are neighbors.
        for same_clock in units.chunk_by(|one, other| one.clock == other.clock) {
            let [first, .., last] = same_clock else {
                continue;
            };
            let patterns = patterns_on(context, first.clock.as_ref());
            let place = patterns.first().map_or(Place::Program, |pattern| {
                Place::Item(ItemId::Pattern(pattern.clone()))
            });
            let most = Quantity::new(i128::from(MAX_COMMON_PERIOD.0), 1_000_000, Unit::Seconds);
            let clock = first
                .clock
                .as_ref()
                .map_or_else(|| "the controller".into(), |clock| format!("clock {clock}"));
            let mut draft = Draft::new(options, SOURCE, place);
            if let Some(common) = common_period(first.period, last.period) {
                draft = draft.measured(common, Limit::at_most(most));
            }
            findings.push(draft.say(
                format!(
                    "patterns {} on {clock} have no common period of at most {most}; the screening treats them as free-running",
                    listed(&patterns)
                ),
                "Choose periods with a short common multiple, for example 400 ms, 800 ms and 1600 ms",
            ));
        }
        Judgment::Checked {
            findings,
            tightest: None,
            note: String::new(),
        }
    }
}

/// The patterns that flash on a clock, in the program's order.
fn patterns_on(context: &Context<'_>, clock: Option<&ClockId>) -> Vec<PatternId> {
    context
        .program
        .patterns
        .iter()
        .filter(|pattern| {
            context.facts.heads.iter().any(|head| {
                head.clock.as_ref() == clock
                    && head.emitters.iter().any(|emitter| {
                        !emitter.level.is_constant()
                            && emitter.lanes.iter().any(|lane| lane.pattern == pattern.id)
                    })
            })
        })
        .map(|pattern| pattern.id.clone())
        .collect()
}

/// The least common multiple of two periods in seconds.
fn common_period(one: Micros, other: Micros) -> Option<Quantity> {
    let (mut a, mut b) = (i128::from(one.0), i128::from(other.0));
    let product = a.checked_mul(b)?;
    while b != 0 {
        (a, b) = (b, a % b);
    }
    (a > 0).then(|| Quantity::new(product / a, 1_000_000, Unit::Seconds))
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    #[test]
    fn a_common_period_of_two_minutes_passes_and_a_longer_one_does_not() {
        let text = |one: &str, other: &str| {
            format!(
                "head a front-left red\nhead b front-right red\nlane a period {one} ms: 0-100\nlane b period {other} ms: 0-100"
            )
        };
        passes(42, &text("40000", "60000"));
        let found = finding(42, &text("40002", "60003"));
        assert_eq!(found.measured.unwrap().to_string(), "120.006 s");
    }

    #[test]
    fn clocks_that_drift_have_no_common_period_to_cut() {
        passes(
            42,
            "head a front-left red\nhead b front-right red clock=own\nlane a period 15001 ms: 0-100\nlane b period 8000 ms: 0-100",
        );
    }
}
