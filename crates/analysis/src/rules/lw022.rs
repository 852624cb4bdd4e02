//! LW022: the screening band toward some direction is above what the profile allows.

use super::directions::{azimuth, directions};
use super::{
    Context, Draft, Judgment, Known, Margin, Options, Parameter, Rule, RuleGroup, RuleMeta, Source,
};
use crate::light::DirectionResult;
use crate::quantity::{Limit, Quantity, Unit};
use crate::screening::Band;
use lampwright_model::{Place, RuleCode, Severity};

/// Band above the profile's limit.
pub(super) struct BandAboveLimit;

const COUNT: usize = 0;
const STEPS: usize = 1;

static META: RuleMeta = RuleMeta {
    code: RuleCode(22),
    name: "band-above-limit",
    summary: "The worst screening band over the directions is above the profile's limit",
    group: RuleGroup::Screening,
    severity: Severity::Error,
    since: "0.1.0",
    sources: &[
        Source {
            document: "alarm and strobe practice",
            edition: "NFPA 72, UK theater and strobe advice",
            clause: "",
            says: "composite rates stay at or below 5 Hz, which is where ELEVATED ends",
            known: Known::SecondHand,
        },
        Source {
            document: "bands of this project",
            edition: "",
            clause: "",
            says: "one band up for more than three red flashes in a second, one band up for a burst of 10 Hz or faster; HIGH is 6 to 9",
            known: Known::Proposal,
        },
    ],
    parameters: &[Parameter {
        name: "most_band",
        label: "highest band allowed: 0 LOW, 1 LIMIT, 2 ELEVATED, 3 HIGH or FAST, 4 PEAK",
        unit: "",
        default: 2_000,
        range: (0, 4_000),
        source: COUNT,
    }],
    is_always_run: false,
    page: page!("pages/lw022.md"),
};

/// Steps above the bands with a statement; ABOVE-RANGE has none, which is not the same as safe.
const NO_STATEMENT: i64 = 5;

fn step(band: Band) -> i64 {
    band.severity().map_or(NO_STATEMENT, i64::from)
}

/// The band of a direction, and the band of its count alone.
fn bands(result: &DirectionResult) -> Option<(Band, Band, bool, bool)> {
    let band = result.band()?;
    let reason = match &result.bound {
        Some(bound) => bound.band,
        None => result.units.first()?.screening.band,
    };
    let is_raised = reason.is_raised_by_red || reason.is_raised_by_burst;
    let by_count = if is_raised { reason.by_count } else { band };
    Some((
        band,
        by_count,
        reason.is_raised_by_red,
        reason.is_raised_by_burst,
    ))
}

impl Rule for BandAboveLimit {
    fn meta(&self) -> &'static RuleMeta {
        &META
    }

    fn judge(&self, context: &Context<'_>, options: &Options<'_>) -> Judgment {
        let most = options.thousandths("most_band").div_euclid(1000);
        let most_name = match most {
            ..=0 => "LOW",
            1 => "LIMIT",
            2 => "ELEVATED",
            3 => "HIGH",
            _ => "PEAK",
        };
        let directions = directions(context);
        let worst = directions
            .screened
            .iter()
            .filter_map(|(degrees, result)| Some((*degrees, *result, bands(result)?)))
            .max_by_key(|(degrees, result, (band, ..))| {
                (
                    step(*band),
                    result.n(),
                    result.n_red(),
                    std::cmp::Reverse(*degrees),
                )
            });
        let Some((degrees, result, (band, by_count, by_red, by_burst))) = worst else {
            return directions.conclude(Vec::new(), None, String::new());
        };
        let mut findings = Vec::new();
        if step(band) > most {
            let n_above = directions
                .screened
                .iter()
                .filter(|(_, result)| bands(result).is_some_and(|(band, ..)| step(band) > most))
                .count();
            // A step that only this project proposes never decides an error on its own.
            let source = if step(by_count) > most { COUNT } else { STEPS };
            let raised = match (by_red, by_burst) {
                (false, false) => String::new(),
                (true, false) => {
                    format!(", {} by its count, raised for red flashes", by_count.name())
                }
                (false, true) => format!(", {} by its count, raised for a burst", by_count.name()),
                (true, true) => format!(
                    ", {} by its count, raised for red flashes and a burst",
                    by_count.name()
                ),
            };
            let statement = if band.severity().is_none() {
                ", about which no statement is made"
            } else {
                ""
            };
            let bound = if result.bound.is_some() {
                ", a bound over free-running clocks"
            } else {
                ""
            };
            let n = result.n();
            findings.push(
                Draft::new(options, source, Place::Direction(degrees))
                    .direction(degrees)
                    .value(Quantity::whole(i64::from(n), Unit::FlashesPerSecond))
                    .say(
                        format!(
                            "band {}{statement} toward {}{raised}, at most {most_name} wanted; {n} flashes and {} red flashes in the worst second{bound}; above the limit toward {n_above} of {} directions",
                            band.name(),
                            azimuth(degrees),
                            result.n_red(),
                            context.screened.directions.len()
                        ),
                        "Lower the combined rate toward this direction: groups in step, longer periods, fewer red flashes, no bursts faster than 10 Hz",
                    ),
            );
        }
        let tightest = Margin::of(
            Quantity::whole(step(band), Unit::Count),
            Limit::at_most(Quantity::whole(most, Unit::Count)),
            "",
        )
        .map(|margin| Margin {
            text: format!(
                "band {} against at most {most_name} toward {}",
                band.name(),
                azimuth(degrees)
            ),
            ..margin
        });
        directions.conclude(findings, tightest, String::new())
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::sketch::{finding, passes};
    use lampwright_model::Severity;

    fn lane(color: &str, period: &str) -> String {
        format!("head a front {color} 1000cd\nlane a period {period} ms: 0-80")
    }

    #[test]
    fn five_flashes_are_within_elevated_and_six_are_not() {
        passes(22, &lane("white", "200"));
        let found = finding(22, &lane("white", "199.999"));
        assert_eq!(found.severity, Severity::Error);
        assert!(found.message.starts_with("band HIGH"), "{}", found.message);
        passes(
            22,
            &format!("{}\nrule LW022 most_band=3", lane("white", "199.999")),
        );
    }

    /// The step for red is this project's proposal, so on its own it decides no error.
    #[test]
    fn a_step_alone_only_warns() {
        let found = finding(22, &lane("red", "250"));
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.is_unverified);
        assert!(
            found.message.contains("raised for red flashes"),
            "{}",
            found.message
        );
    }
}
