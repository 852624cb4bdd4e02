//! LW023: the rates seen from some direction are a bound, because lamps run on clocks that drift.

use super::directions::{azimuth, directions};
use super::{Context, Draft, Judgment, Known, Options, Rule, RuleGroup, RuleMeta, Source, count};
use crate::quantity::{Quantity, Unit};
use lampwright_model::{Place, RuleCode, Severity};

/// Rates that are sums over free-running clocks.
pub(super) struct RatesFromFreeRunningClocks;

const SOURCE: usize = 0;

static META: RuleMeta = RuleMeta {
    code: RuleCode(23),
    name: "rates-from-free-running-clocks",
    summary: "Lamps on clocks that drift are seen together, so their flashes add up in some alignment",
    group: RuleGroup::Screening,
    severity: Severity::Info,
    since: "0.1.0",
    sources: &[Source {
        document: "screening method of this project",
        edition: "",
        clause: "",
        says: "phases of free-running units are unknown, so the bound is the sum of their own worst counts",
        known: Known::Computed,
    }],
    parameters: &[],
    is_always_run: false,
    page: page!("pages/lw023.md"),
};

impl Rule for RatesFromFreeRunningClocks {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let directions = directions(context);
        // Steady light on another clock adds nothing, so only units that flash make a sum.
        let sums: Vec<_> = directions
            .screened
            .iter()
            .filter(|(_, result)| {
                result
                    .units
                    .iter()
                    .filter(|unit| unit.screening.n() > 0)
                    .count()
                    > 1
            })
            .collect();
        let worst = sums
            .iter()
            .max_by_key(|(degrees, result)| (result.n(), std::cmp::Reverse(*degrees)));
        let Some((degrees, result)) = worst else {
            return directions.conclude(
                Vec::new(),
                None,
                "all flashing light seen from any one direction keeps step".into(),
            );
        };
        let parts: Vec<String> = result
            .units
            .iter()
            .filter(|unit| unit.screening.n() > 0)
            .map(|unit| {
                let clock = unit
                    .clock
                    .as_ref()
                    .map_or_else(|| "the controller".into(), |clock| format!("clock {clock}"));
                let is_split = result
                    .units
                    .iter()
                    .filter(|other| other.clock == unit.clock)
                    .count()
                    > 1;
                // Patterns of one clock are apart when their common period was cut.
                let period = context
                    .facts
                    .courses
                    .units
                    .get(unit.unit)
                    .filter(|_| is_split)
                    .map_or_else(String::new, |unit| {
                        format!(" in patterns that repeat every {}", unit.period)
                    });
                format!("{} on {clock}{period}", unit.screening.n())
            })
            .collect();
        let n = result.n();
        let finding = Draft::new(options, SOURCE, Place::Direction(*degrees))
            .direction(*degrees)
            .value(Quantity::whole(i64::from(n), Unit::FlashesPerSecond))
            .say(
                format!(
                    "{n} flashes in the worst second toward {} is a bound: {}; so toward {}",
                    azimuth(*degrees),
                    parts.join(" plus "),
                    count(sums.len(), "direction", "directions")
                ),
                "Put the heads on one clock if they are meant to keep step",
            );
        directions.conclude(vec![finding], None, String::new())
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};

    #[test]
    fn steady_light_on_another_clock_makes_no_sum() {
        passes(
            23,
            "head a front blue\nhead b front blue clock=own\nlane a period 500 ms: 0-100\nsteady b",
        );
        let found = finding(
            23,
            "head a front blue\nhead b front blue clock=own\nlane a b period 500 ms: 0-100",
        );
        assert!(
            found
                .message
                .contains("2 on the controller plus 2 on clock own"),
            "{}",
            found.message
        );
    }
}
