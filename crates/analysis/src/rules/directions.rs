//! What the screening rules share: the directions of a state that could be judged, and counting flashes against a limit.

use super::{Context, Draft, Judgment, Margin, Options, count};
use crate::light::DirectionResult;
use crate::quantity::{Limit, Quantity, Unit};
use crate::screening::Governor;
use lampwright_model::Place;
use lampwright_timing::{Interval, Micros, SECOND};

/// The directions of a state.
pub(crate) struct Directions<'a> {
    /// Those with light that were screened, by azimuth.
    pub(crate) screened: Vec<(u16, &'a DirectionResult)>,
    /// Azimuths that could not be screened, with the first reason.
    failed: Vec<u16>,
    why: String,
}

/// Sorts the directions of a state.
pub(crate) fn directions<'a>(context: &'a Context<'_>) -> Directions<'a> {
    let mut directions = Directions {
        screened: Vec::new(),
        failed: Vec::new(),
        why: String::new(),
    };
    for direction in &context.screened.directions {
        match direction.result.as_ref() {
            Ok(result) if result.units.is_empty() => {}
            Ok(result) => directions
                .screened
                .push((direction.azimuth_degrees, result)),
            Err(error) => {
                if directions.failed.is_empty() {
                    directions.why = error.to_string();
                }
                directions.failed.push(direction.azimuth_degrees);
            }
        }
    }
    directions
}

impl Directions<'_> {
    /// The judgment when nothing else can be said; none when there is something to judge and no direction failed.
    pub(crate) fn cannot_judge(&self) -> Option<Judgment> {
        if let Some(first) = self.failed.first() {
            return Some(Judgment::not_evaluated(format!(
                "{} could not be screened, the first at {first}°: {}",
                count(self.failed.len(), "direction", "directions"),
                self.why
            )));
        }
        self.screened
            .is_empty()
            .then(|| Judgment::not_applicable("nothing is lit toward any direction"))
    }

    /// Findings count even when some directions failed; a pass does not.
    pub(crate) fn conclude(
        &self,
        findings: Vec<crate::report::Finding>,
        tightest: Option<Margin>,
        note: String,
    ) -> Judgment {
        if findings.is_empty()
            && let Some(judgment) = self.cannot_judge()
        {
            return judgment;
        }
        Judgment::Checked {
            findings,
            tightest,
            note,
        }
    }
}

/// The heads, by index, that send light toward each direction and pass a test; none when a direction could not be screened.
pub(crate) fn heads_toward(
    context: &Context<'_>,
    passes: impl Fn(usize) -> bool,
) -> Option<Vec<(u16, Vec<usize>)>> {
    let passing: Vec<usize> = (0..context.facts.heads.len())
        .filter(|index| passes(*index))
        .collect();
    context
        .screened
        .directions
        .iter()
        .map(|direction| {
            let result = direction.result.as_ref().as_ref().ok()?;
            let mut is_lit = vec![false; context.facts.heads.len()];
            for cluster in result.units.iter().flat_map(|unit| &unit.clusters) {
                for index in &cluster.heads {
                    if let Some(is_lit) = is_lit.get_mut(*index) {
                        *is_lit = true;
                    }
                }
            }
            let is_lit = |index: &usize| is_lit.get(*index) == Some(&true);
            let heads = passing.iter().copied().filter(is_lit).collect();
            Some((direction.azimuth_degrees, heads))
        })
        .collect()
}

/// "0° (front)", "35°".
pub(crate) fn azimuth(degrees: u16) -> String {
    let name = match degrees {
        0 => " (front)",
        90 => " (left)",
        180 => " (rear)",
        270 => " (right)",
        _ => "",
    };
    format!("{degrees}°{name}")
}

/// Judges a count of every direction against a largest number; one finding, for the worst direction.
pub(crate) fn judge_count(
    context: &Context<'_>,
    options: &Options<'_>,
    counts: &Counts,
    most: Quantity,
) -> Judgment {
    let directions = directions(context);
    let limit = Limit::at_most(most);
    let flashes = |n: u32| Quantity::whole(i64::from(n), Unit::FlashesPerSecond);
    let worst = directions
        .screened
        .iter()
        .max_by_key(|(degrees, result)| ((counts.of)(result), std::cmp::Reverse(*degrees)));
    let Some((degrees, result)) = worst else {
        return directions.conclude(Vec::new(), None, String::new());
    };
    let n = (counts.of)(result);
    let value = flashes(n);
    let mut findings = Vec::new();
    if !limit.admits(value) {
        let n_above = directions
            .screened
            .iter()
            .filter(|(_, result)| !limit.admits(flashes((counts.of)(result))))
            .count();
        let mut draft = Draft::new(options, counts.source, Place::Direction(*degrees))
            .direction(*degrees)
            .measured(value, limit);
        if let Some(span) = worst_second(result) {
            draft = draft.span(span);
        }
        findings.push(draft.say(
            format!(
                "{n} {} in the worst second toward {}, at most {} wanted; above it toward {n_above} of {} directions; {}",
                counts.word,
                azimuth(*degrees),
                most.number_apart_from(&[]),
                context.screened.directions.len(),
                how_counted(result, counts)
            ),
            counts.help,
        ));
    }
    let tightest = Margin::of(value, limit, &format!("direction {}", azimuth(*degrees)));
    directions.conclude(findings, tightest, String::new())
}

/// What a counting rule asks.
pub(crate) struct Counts {
    /// The count of a direction.
    pub(crate) of: fn(&DirectionResult) -> u32,
    /// What is counted: "flashes".
    pub(crate) word: &'static str,
    /// Whether red flashes are counted.
    pub(crate) is_red: bool,
    /// Index of the source of the limit.
    pub(crate) source: usize,
    /// What to do.
    pub(crate) help: &'static str,
}

fn how_counted(result: &DirectionResult, counts: &Counts) -> String {
    if let Some(bound) = &result.bound {
        let _ = bound;
        return format!(
            "a bound, the sum over {} free-running clocks",
            result.units.len()
        );
    }
    let Some(unit) = result.governing_unit() else {
        return "nothing flashes".into();
    };
    if counts.is_red {
        return if unit.screening.red_sum.count >= unit.screening.red_union.count {
            "counted on the color of all light together".into()
        } else {
            "counted on the onsets of the red lamps".into()
        };
    }
    match unit.screening.governed_by {
        Governor::None => "nothing flashes".into(),
        Governor::Sum => "counted on the light of all lamps together".into(),
        Governor::Abs => "counted on the light of all lamps together, by absolute luminance".into(),
        Governor::Cluster => "counted on one color on one side".into(),
        Governor::Union => "counted on the onsets of all colors and sides".into(),
    }
}

/// The worst second in the drive's own time; none for a bound, whose phases are unknown.
fn worst_second(result: &DirectionResult) -> Option<Interval> {
    if result.bound.is_some() {
        return None;
    }
    let governing = result.governing_unit()?.screening.governing.as_ref()?;
    Some(Interval {
        start: Micros(governing.worst.starts_at?),
        length: SECOND,
    })
}
