//! LW007: toward some direction the sources of a fire apparatus flash too few times per minute in total.

use super::directions::{azimuth, directions, heads_toward};
use super::flash_rule::{gap, rate};
use super::meta::{CLOSING_GAP, Known, RuleMeta, Source};
use super::{Context, Draft, Judgment, Margin, Options, Rule, count};
use crate::Ratio;
use crate::facts::Rate;
use crate::quantity::{Limit, Quantity, Unit};
use lampwright_model::Place;
use lampwright_timing::Micros;

/// Fewer than 150 flashes per minute in total toward a direction.
pub(super) struct TooFewFlashesTowardADirection;

const TOTAL: usize = 0;
const READING: usize = 1;
const GAP: usize = 2;

static META: RuleMeta = RuleMeta::timing(
    7,
    "too-few-flashes-toward-a-direction",
    "Toward some direction the sources of a fire apparatus flash fewer than 150 times per minute in total",
    &[
        Source::of(
            "NFPA 1901",
            "2009 and 2016",
            "",
            "at least 150 flashes per minute in total at any measuring point",
            Known::Memory,
        ),
        Source::of(
            "this project",
            "",
            "",
            "the total is the sum of the rates of all heads that send light toward the direction",
            Known::Proposal,
        ),
        CLOSING_GAP,
    ],
    &[
        rate(
            "least_total_per_minute",
            "fewest flashes per minute of all sources together",
            150,
            TOTAL,
        ),
        gap(GAP),
    ],
    page!("pages/lw007.md"),
);

impl Rule for TooFewFlashesTowardADirection {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let gap = Micros(options.thousandths("gap_ms"));
        let rates: Vec<Ratio> = (0..context.facts.heads.len())
            .map(|index| rate_of_head(context, options, index, gap))
            .collect();
        if rates.iter().all(|rate| *rate == Ratio::ZERO) {
            return Judgment::not_applicable("nothing flashes");
        }
        let least = i128::from(options.thousandths("least_total_per_minute"));
        let limit = Limit::at_least(Quantity::new(least, 60_000, Unit::Hertz));
        // Toward a direction without light the total is zero.
        let is_flashing = |index: usize| rates.get(index).is_some_and(|rate| *rate > Ratio::ZERO);
        let Some(toward) = heads_toward(context, is_flashing) else {
            return directions(context).conclude(Vec::new(), None, String::new());
        };
        let totals: Vec<(Quantity, u16, usize)> = toward
            .into_iter()
            .map(|(degrees, heads)| {
                let total = heads
                    .iter()
                    .filter_map(|index| rates.get(*index))
                    .fold(Ratio::ZERO, |sum, rate| sum.plus(*rate));
                (Quantity::of(total, Unit::Hertz), degrees, heads.len())
            })
            .collect();
        let Some((total, degrees, n_heads)) = totals.iter().min().copied() else {
            return Judgment::not_evaluated("no direction was looked at");
        };
        let mut findings = Vec::new();
        if !limit.admits(total) {
            let n_below = totals
                .iter()
                .filter(|(total, ..)| !limit.admits(*total))
                .count();
            findings.push(
                Draft::new(options, TOTAL, Place::Direction(degrees))
                    .direction(degrees)
                    .measured(total, limit)
                    .say(
                        format!(
                            "{} flashing toward {}, {} in total, {} wanted; below it toward {n_below} of {} directions",
                            count(n_heads, "head", "heads"),
                            azimuth(degrees),
                            total.text_apart_from(&limit.ends()),
                            limit.text(),
                            totals.len()
                        ),
                        "Let more heads that reach this direction flash, or flash them faster",
                    ),
            );
        }
        Judgment::Checked {
            findings,
            tightest: Margin::of(total, limit, &format!("direction {}", azimuth(degrees))),
            note: format!(
                "sums the rates of the heads whose beam, stated or assumed, reaches a direction ({})",
                options.known(READING).map_or("unknown", super::Known::name)
            ),
        }
    }
}

/// Flashes of a head per second, all its colors together; zero when the rule does not look at it.
fn rate_of_head(context: &Context<'_>, options: &Options<'_>, index: usize, gap: Micros) -> Ratio {
    let Some(head) = context.facts.heads.get(index) else {
        return Ratio::ZERO;
    };
    let is_looked_at = options.looks_at_head(index)
        && head
            .emitters
            .iter()
            .flat_map(|emitter| &emitter.lanes)
            .all(|lane| options.looks_at_pattern(&lane.pattern));
    head.timing
        .as_ref()
        .filter(|_| is_looked_at)
        .and_then(|timing| timing.flashes(gap).rate())
        .map_or(Ratio::ZERO, Rate::hz)
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{edges, finding};
    use lampwright_model::Severity;

    const ROUND: &str =
        "head a front red\nhead b rear red\nhead c left red\nhead d right red\nlane a b c d ";

    #[test]
    fn the_total_is_held_to_a_microsecond() {
        edges(
            7,
            ROUND,
            &["period 400 ms: 0-100"],
            &["period 400.001 ms: 0-100", "period 800 ms: 0-100"],
        );
    }

    #[test]
    fn a_direction_without_light_is_named_and_the_limit_is_unverified() {
        let found = finding(7, "head a front red\nlane a period 300 ms: 0-100");
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.is_unverified);
        assert!(found.message.contains("0 Hz"), "{}", found.message);
    }
}
