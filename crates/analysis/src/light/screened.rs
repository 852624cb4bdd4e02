//! Photosensitive screening toward every direction of a table.
//!
//! Clusters are one color on one side as the observer sees it, within one clock unit; the grid of breakpoints is shared by all directions.
//! Clock units that drift are screened apart and combined by the bound of [`crate::screening::free_running_bound`], in which each unit is judged without the others' light.
//! Invariant: integer arithmetic throughout; directions with the same light are screened once.

use super::{Direction, DirectionTable};
use crate::facts::{CourseUnit, Courses, LitEmitter};
use crate::screening::{
    Alignment, Band, Chromaticity, Extent, FreeRunningBound, OwnedScene, Ratio as ScreeningRatio,
    Scene, Screening, ScreeningError, Settings, Workspace, free_running_bound, screen,
    worst_alignment,
};
use lampwright_model::{Chromaticity as ModelChromaticity, ClockId, Color, Program, Side};
use lampwright_timing::{MAX_COMMON_PERIOD, SECOND};
use std::sync::Arc;

/// What may be chosen about screening.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct ScreenSettings {
    /// The figures of the algorithm.
    pub core: Settings,
    /// Luminance in cd/m2 of one microcandela of light, to add the absolute count; none leaves it out.
    pub luminance_cd_m2_per_microcandela: Option<ScreeningRatio>,
}

/// The screening of all directions.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct ScreenedDirections {
    /// One entry per direction of the table, counterclockwise from the front.
    pub directions: Vec<ScreenedDirection>,
    /// How many different results there are.
    pub n_distinct: usize,
}

/// The screening of one direction.
#[derive(Clone, PartialEq, Debug)]
pub struct ScreenedDirection {
    /// Whole degrees counterclockwise from forward.
    pub azimuth_degrees: u16,
    /// What was found; shared by directions with the same light.
    pub result: SharedResult,
}

/// What was found toward one direction, or why it could not be screened; shared by directions with the same light.
pub type SharedResult = Arc<Result<DirectionResult, ScreeningError>>;

/// What was found toward one direction.
#[derive(Clone, PartialEq, Debug)]
pub struct DirectionResult {
    /// One entry per clock unit with light toward the direction; none when it is dark.
    pub units: Vec<UnitResult>,
    /// The bound over several units; it governs then.
    pub bound: Option<FreeRunningBound>,
}

/// What was found of one clock unit.
#[derive(Clone, PartialEq, Debug)]
pub struct UnitResult {
    /// Index of the clock unit in [`Courses::units`].
    pub unit: usize,
    /// Its clock; none is the controller's.
    pub clock: Option<ClockId>,
    /// Its clusters, in the order that [`Screening::worst_cluster`] counts.
    pub clusters: Vec<Cluster>,
    /// Counts and band.
    pub screening: Screening,
}

/// Heads of one color on one side as seen.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cluster {
    /// Color.
    pub color: Color,
    /// Chromaticity, the same for all its emitters.
    pub chromaticity: Chromaticity,
    /// Side as seen by the observer.
    pub seen: Side,
    /// Its heads as indices into the vehicle's heads, rising.
    pub heads: Vec<usize>,
}

/// Screens the light of a drive toward every direction of the table.
///
/// `courses` are those of the drive's facts.
/// A direction whose light cannot be screened, because it is too much for the integers, holds the reason; it is never left out.
#[must_use]
pub fn screen_directions(
    program: &Program,
    courses: &Courses,
    table: &DirectionTable,
    settings: &ScreenSettings,
) -> ScreenedDirections {
    let mut screening = DirectionScreening::default();
    while screening.step(program, courses, table, settings) {}
    screening.finish()
}

/// The screening of all directions, one direction after the other.
#[derive(Debug, Default)]
pub struct DirectionScreening {
    workspace: Workspace,
    values: Vec<i64>,
    known: Vec<(Vec<UnitLight>, SharedResult)>,
    directions: Vec<ScreenedDirection>,
}

impl DirectionScreening {
    /// Screens the next direction; false when there is none left.
    ///
    /// All steps are given the same; see [`screen_directions`].
    pub fn step(
        &mut self,
        program: &Program,
        courses: &Courses,
        table: &DirectionTable,
        settings: &ScreenSettings,
    ) -> bool {
        let Some(direction) = table.directions().get(self.directions.len()) else {
            return false;
        };
        let light = light_toward(program, courses, table, direction);
        let found = self
            .known
            .iter()
            .find(|(other, _)| *other == light)
            .map(|(_, result)| Arc::clone(result));
        let result = found.unwrap_or_else(|| {
            let result = Arc::new(screen_light(
                courses,
                &light,
                settings,
                &mut self.workspace,
                &mut self.values,
            ));
            self.known.push((light, Arc::clone(&result)));
            result
        });
        self.directions.push(ScreenedDirection {
            azimuth_degrees: direction.azimuth_degrees,
            result,
        });
        true
    }

    /// What was screened.
    #[must_use]
    pub fn finish(self) -> ScreenedDirections {
        ScreenedDirections {
            directions: self.directions,
            n_distinct: self.known.len(),
        }
    }
}

/// The worst alignment that a search finds for the clock units seen from one direction, for showing; the bound governs.
///
/// None when fewer than two units shine there, or when no search is possible.
#[must_use]
pub fn worst_alignment_toward(
    program: &Program,
    courses: &Courses,
    table: &DirectionTable,
    azimuth_degrees: u16,
    settings: &ScreenSettings,
) -> Option<Alignment> {
    let direction = table.direction(azimuth_degrees)?;
    let scenes: Vec<OwnedScene> = light_toward(program, courses, table, direction)
        .iter()
        .filter_map(|light| {
            let unit = courses.units.get(light.unit)?;
            let mut values = Vec::new();
            light.fill(unit, &mut values);
            Some(OwnedScene {
                second: SECOND.0,
                extent: extent_of(unit),
                times: unit.ticks.clone(),
                chromaticities: light.chromaticities(),
                values,
                reference: None,
                luminance_cd_m2_per_light: luminance_per_value(settings),
                ambient: None,
            })
        })
        .collect();
    let borrowed: Vec<&OwnedScene> = scenes.iter().collect();
    worst_alignment(&borrowed, &settings.core, MAX_COMMON_PERIOD.0).ok()
}

/// The light of one clock unit toward one direction.
#[derive(Clone, PartialEq, Eq, Debug)]
struct UnitLight {
    unit: usize,
    clusters: Vec<Cluster>,
    /// Weight in microcandela by `(cluster, course)`, rising, each once.
    weights: Vec<(usize, usize, i64)>,
}

impl UnitLight {
    /// Cluster after cluster, the light in each cell: microcandela times per mille.
    fn fill(&self, unit: &CourseUnit, values: &mut Vec<i64>) {
        let n = unit.times.len();
        values.clear();
        values.resize(n * self.clusters.len(), 0);
        for (cluster, course, weight) in &self.weights {
            let row = values.get_mut(cluster * n..(cluster + 1) * n);
            for (value, level) in row.into_iter().flatten().zip(unit.levels_of(*course)) {
                *value = value.saturating_add(weight.saturating_mul(*level));
            }
        }
    }

    fn chromaticities(&self) -> Vec<Chromaticity> {
        self.clusters
            .iter()
            .map(|cluster| cluster.chromaticity)
            .collect()
    }
}

fn light_toward(
    program: &Program,
    courses: &Courses,
    table: &DirectionTable,
    direction: &Direction,
) -> Vec<UnitLight> {
    let mut units = Vec::new();
    for unit in 0..courses.units.len() {
        let mut seen: Vec<((Color, Side), LitEmitter, i64)> = courses
            .lit
            .iter()
            .filter(|lit| lit.unit == unit)
            .filter_map(|lit| {
                let weight = table.weight(direction, lit.head, lit.emitter);
                let side = *direction.seen.get(lit.head)?;
                (weight > 0).then_some(((lit.color, side), *lit, weight))
            })
            .collect();
        lampwright_timing::sort_by(&mut seen, |(one, lit, _), (other, beside, _)| {
            (one, lit.head).cmp(&(other, beside.head))
        });
        let mut light = UnitLight {
            unit,
            clusters: Vec::new(),
            weights: Vec::new(),
        };
        for members in seen.chunk_by(|one, other| one.0 == other.0) {
            let Some(((color, seen), _, _)) = members.first() else {
                continue;
            };
            let mut heads: Vec<usize> = members.iter().map(|(_, lit, _)| lit.head).collect();
            heads.dedup();
            for (_, lit, weight) in members {
                let place = (light.clusters.len(), lit.course);
                match light.weights.iter_mut().find(|sum| (sum.0, sum.1) == place) {
                    Some(sum) => sum.2 += weight,
                    None => light.weights.push((place.0, place.1, *weight)),
                }
            }
            light.clusters.push(Cluster {
                color: *color,
                chromaticity: chromaticity_of(program, members),
                seen: *seen,
                heads,
            });
        }
        lampwright_timing::sort(&mut light.weights);
        if !light.clusters.is_empty() {
            units.push(light);
        }
    }
    units
}

/// The chromaticity that brings the most light into a cluster; of equal ones the larger.
fn chromaticity_of(
    program: &Program,
    members: &[((Color, Side), LitEmitter, i64)],
) -> Chromaticity {
    let mut shares: Vec<(ModelChromaticity, i64)> = Vec::new();
    for (_, lit, weight) in members {
        let emitter = program
            .vehicle
            .heads
            .get(lit.head)
            .and_then(|head| head.emitters.get(lit.emitter));
        let Some(emitter) = emitter else { continue };
        let chromaticity = emitter.chromaticity_or_assumed().value;
        match shares.iter_mut().find(|(known, _)| *known == chromaticity) {
            Some((_, share)) => *share += weight,
            None => shares.push((chromaticity, *weight)),
        }
    }
    shares
        .into_iter()
        .max_by_key(|(chromaticity, share)| (*share, *chromaticity))
        .and_then(|(chromaticity, _)| Chromaticity::new(chromaticity.x, chromaticity.y))
        .unwrap_or(Chromaticity::D65)
}

fn extent_of(unit: &CourseUnit) -> Extent {
    Extent::Cyclic {
        period: unit.period.0,
    }
}

/// Luminance of one unit of the values, which are thousandths of a microcandela.
fn luminance_per_value(settings: &ScreenSettings) -> Option<ScreeningRatio> {
    let per_microcandela = settings.luminance_cd_m2_per_microcandela?;
    ScreeningRatio::new(
        per_microcandela.num(),
        per_microcandela.den().checked_mul(1000)?,
    )
}

fn screen_light(
    courses: &Courses,
    light: &[UnitLight],
    settings: &ScreenSettings,
    workspace: &mut Workspace,
    values: &mut Vec<i64>,
) -> Result<DirectionResult, ScreeningError> {
    let mut units = Vec::with_capacity(light.len());
    for light in light {
        let Some(unit) = courses.units.get(light.unit) else {
            continue;
        };
        light.fill(unit, values);
        let scene = Scene {
            second: SECOND.0,
            extent: extent_of(unit),
            times: &unit.ticks,
            chromaticities: &light.chromaticities(),
            values,
            reference: None,
            luminance_cd_m2_per_light: luminance_per_value(settings),
            ambient: None,
        };
        units.push(UnitResult {
            unit: light.unit,
            clock: unit.clock.clone(),
            clusters: light.clusters.clone(),
            screening: screen(&scene, &settings.core, workspace)?,
        });
    }
    let screenings: Vec<&Screening> = units.iter().map(|unit| &unit.screening).collect();
    let bound = (screenings.len() > 1).then(|| free_running_bound(&screenings, &settings.core));
    Ok(DirectionResult { units, bound })
}

impl DirectionResult {
    /// Flashes in the worst second: the bound over clock units, or the one unit's count.
    #[must_use]
    pub fn n(&self) -> u32 {
        let of_units = || self.units.iter().map(|unit| unit.screening.n()).max();
        self.bound
            .map_or_else(|| of_units().unwrap_or(0), |bound| bound.n)
    }

    /// Red flashes in the worst second, the same way.
    #[must_use]
    pub fn n_red(&self) -> u32 {
        let of_units = || self.units.iter().map(|unit| unit.screening.n_red()).max();
        self.bound
            .map_or_else(|| of_units().unwrap_or(0), |bound| bound.n_red)
    }

    /// The band; of a bound the most adverse of any count up to it. None when the direction is dark.
    #[must_use]
    pub fn band(&self) -> Option<Band> {
        match self.bound {
            Some(bound) => Some(bound.most_adverse),
            None => self.units.first().map(|unit| unit.screening.band.band),
        }
    }

    /// What the band comes from, in words: what governs, what raised it, and why red can be more than the total.
    #[must_use]
    pub fn why(&self) -> String {
        let (mut text, reason): (String, _) = match (self.bound, self.governing_unit()) {
            (Some(bound), _) => ("sum over clocks that drift".into(), bound.band),
            (None, Some(unit)) => {
                let screening = &unit.screening;
                (screening.governed_by.words().into(), screening.band)
            }
            (None, None) => return "no light".into(),
        };
        let (red, burst) = (reason.is_raised_by_red, reason.is_raised_by_burst);
        for (is_so, words) in [
            (red || burst, "; raised from "),
            (red || burst, reason.by_count.name()),
            (red, " for more than 3 red flashes"),
            (red && burst, " and"),
            (burst, " for a burst"),
            (
                self.n_red() > self.n(),
                "; red is counted on the color of the light as well, so it can be more than the total",
            ),
        ] {
            if is_so {
                text.push_str(words);
            }
        }
        text
    }

    /// The unit with the most flashes by itself; none when the direction is dark.
    #[must_use]
    pub fn governing_unit(&self) -> Option<&UnitResult> {
        self.units
            .iter()
            .rev()
            .max_by_key(|unit| (unit.screening.n(), unit.screening.n_red()))
    }
}

impl ScreenedDirections {
    /// The worst direction: the most adverse band, then the most flashes, then the most red ones, then the least azimuth; one that could not be screened comes before all others.
    ///
    /// None when the table has no directions.
    #[must_use]
    pub fn worst(&self) -> Option<&ScreenedDirection> {
        self.directions.iter().reduce(|worst, next| {
            if badness(next) > badness(worst) {
                next
            } else {
                worst
            }
        })
    }
}

/// More is worse.
fn badness(direction: &ScreenedDirection) -> (bool, u8, u32, u32) {
    match direction.result.as_ref() {
        Err(_) => (true, 0, 0, 0),
        Ok(result) => (
            false,
            result.band().map_or(0, |band| 1 + band.rank()),
            result.n(),
            result.n_red(),
        ),
    }
}

#[cfg(test)]
mod tests {
    use crate::check::contexts;
    use crate::rules::{CheckSettings, sketch};
    use lampwright_model::RuleCode;

    #[track_caller]
    fn check(text: &str, expected: &[&str]) {
        let program = sketch::program(RuleCode(22), text);
        let contexts = contexts(&program, &CheckSettings::default());
        let worst = contexts[0].screened.worst().unwrap();
        let why = worst.result.as_ref().as_ref().unwrap().why();
        for words in expected {
            assert!(why.contains(words), "{why}");
        }
        assert_eq!(why.contains("raised"), expected.len() > 1, "{why}");
    }

    #[test]
    fn a_band_says_what_governs_and_what_raised_it() {
        let head = |color: &str| format!("head a front {color} 900cd");
        let lane = "lane a period 250 ms: 0-100";
        check(
            &format!("{}\n{lane}", head("white")),
            &["all light together"],
        );
        check(
            &format!("{}\n{lane}", head("red")),
            &[
                "all light together",
                "; raised from ELEVATED for more than 3 red flashes",
            ],
        );
        check("head a front white", &["no light"]);
    }
}
