//! Runs the photosensitive-screening reference cases against the screening code.
//!
//! The cases are computed from WCAG 2.2 and Recommendation ITU-R BT.1702-3 as the analysis crate
//! reads them; each names its source. Counts, words and booleans must be exact, other numbers
//! within the tolerance of the case.
//! Every key must be understood: one that is not known is a failure, in inputs and in results, and
//! a key that is absent must not apply.
//! The cases are compiled in, so the same function runs natively and as WebAssembly.

use std::collections::BTreeMap;

use lampwright_analysis::screening::{
    Cell, Chromaticity, Lane, MAX_PERIOD_SECONDS, OwnedScene, Ratio, Run, Settings, Workspace,
    screen, strongest_line,
};
use serde_json::{Map, Value};

const CASES: &str = include_str!("../reference/photosensitivity.json");

/// What running the cases gave.
#[derive(Debug, Default)]
pub struct Report {
    /// How many cases there are.
    pub n_cases: usize,
    /// How many single values were compared.
    pub n_compared: usize,
    /// One line for each case or value that did not match.
    pub failures: Vec<String>,
}

/// Runs every case.
#[must_use]
pub fn run_cases() -> Report {
    let mut report = Report::default();
    let file: Value = match serde_json::from_str(CASES) {
        Ok(file) => file,
        Err(error) => {
            report
                .failures
                .push(format!("the case file cannot be read: {error}"));
            return report;
        }
    };
    for case in file["cases"].as_array().into_iter().flatten() {
        report.n_cases += 1;
        let id = case["id"].as_str().unwrap_or("a case without id");
        match run_case(case) {
            Ok(outcome) => {
                report.n_compared += outcome.n_compared;
                report.failures.extend(
                    outcome
                        .failures
                        .iter()
                        .map(|failure| format!("{id}: {failure}")),
                );
            }
            Err(problem) => report.failures.push(format!("{id}: {problem}")),
        }
    }
    report
}

#[derive(Default)]
struct Outcome {
    n_compared: usize,
    failures: Vec<String>,
}

fn run_case(case: &Value) -> Result<Outcome, String> {
    known_keys(
        case,
        &[
            "id",
            "what",
            "source",
            "status",
            "inputs",
            "expected",
            "tolerance",
        ],
    )?;
    let scene = read_scene(&case["inputs"])?;
    let measured = measure(&scene)?;
    let expected = object(&case["expected"])?;
    let mut outcome = Outcome::default();
    for (key, wanted) in expected {
        outcome.n_compared += 1;
        match measured.get(key.as_str()) {
            None => outcome
                .failures
                .push(format!("{key}: {wanted} wanted, not measured")),
            Some(found) if matches(key, wanted, found, &case["tolerance"])? => {}
            Some(found) => outcome
                .failures
                .push(format!("{key}: {wanted} wanted, {found} found")),
        }
    }
    for (key, found) in &measured {
        if !expected.contains_key(*key) {
            outcome
                .failures
                .push(format!("{key}: should not apply, {found} found"));
        }
    }
    Ok(outcome)
}

/// Every result that applies, under the names the cases use.
fn measure(scene: &OwnedScene) -> Result<BTreeMap<&'static str, Value>, String> {
    let mut workspace = Workspace::default();
    let result = screen(&scene.as_scene(), &Settings::default(), &mut workspace)
        .map_err(|error| error.to_string())?;
    let mut all = BTreeMap::<&'static str, Value>::new();
    all.insert("n_sum", result.sum.count.into());
    all.insert("n_pairs_floor", result.n_pairs_floor.into());
    all.insert("n_union", result.union.count.into());
    all.insert("n_cluster", result.cluster.count.into());
    all.insert("n", result.n().into());
    all.insert("governed_by", result.governed_by.name().into());
    all.insert("red_sum", result.red_sum.count.into());
    all.insert("red_union", result.red_union.count.into());
    all.insert("red", result.n_red().into());
    all.insert("chroma", result.chroma.into());
    all.insert("sustained", result.is_sustained.into());
    all.insert("michelson_ratio", result.michelson().into());
    all.insert("band", result.band.band.name().into());
    let run = match result.run {
        Run::None => 0.0.into(),
        Run::Ticks(ticks) => (1000.0 * ticks as f64 / scene.second as f64).into(),
        Run::Continuous => "continuous".into(),
    };
    all.insert("over3_run_ms", run);
    if let Some(count) = result.abs {
        all.insert("n_abs", count.count.into());
    }
    if let Some(span) = result.span4_ms() {
        all.insert("span4_ms", span.into());
    }
    if let Some(burst) = result.burst_hz() {
        all.insert("burst_hz", burst.into());
    }
    let line = strongest_line(&scene.as_scene()).map_err(|error| error.to_string())?;
    if let Some(line) = line {
        all.insert("line_hz", line.hz.into());
        all.insert("line_modulation_ratio", line.modulation_ratio.into());
    }
    Ok(all)
}

/// Keys whose numbers may differ by the tolerance; all others are exact.
const INEXACT: [&str; 6] = [
    "span4_ms",
    "burst_hz",
    "over3_run_ms",
    "line_hz",
    "line_modulation_ratio",
    "michelson_ratio",
];

fn matches(key: &str, wanted: &Value, found: &Value, tolerance: &Value) -> Result<bool, String> {
    if !INEXACT.contains(&key) {
        return Ok(wanted == found);
    }
    let (Some(wanted), Some(found)) = (wanted.as_f64(), found.as_f64()) else {
        return Ok(wanted == found);
    };
    known_keys(tolerance, &["abs", "rel", "abs_by_key"])?;
    let rel = tolerance["rel"].as_f64().unwrap_or(0.0) * wanted.abs();
    let abs = tolerance["abs"].as_f64().unwrap_or(0.0).max(rel);
    let allowed = tolerance["abs_by_key"][key].as_f64().unwrap_or(abs);
    Ok((wanted - found).abs() <= allowed)
}

struct Group {
    key: (String, String),
    chromaticity: Chromaticity,
    weight: Rational,
    offset_ms: Rational,
    cells: Vec<(Rational, Rational)>,
}

/// The scene of a case in whole numbers: all times and all levels over common denominators.
fn read_scene(inputs: &Value) -> Result<OwnedScene, String> {
    known_keys(
        inputs,
        &[
            "periodic",
            "groups",
            "reference_level",
            "luminance_at_level_1_cd_m2",
            "horizon_ms",
        ],
    )?;
    let groups = inputs["groups"].as_array().ok_or("groups are missing")?;
    let groups = groups
        .iter()
        .map(read_group)
        .collect::<Result<Vec<_>, _>>()?;
    let optional = |key: &str| inputs.get(key).map(rational).transpose();
    let horizon_ms = optional("horizon_ms")?;
    let reference = optional("reference_level")?;
    let luminance = optional("luminance_at_level_1_cd_m2")?;
    let periodic = inputs["periodic"].as_bool().ok_or("periodic is missing")?;
    if periodic == horizon_ms.is_some() {
        return Err("a horizon goes with what is not periodic".to_owned());
    }

    let mut times: Vec<Rational> = horizon_ms.into_iter().collect();
    let mut weights = Vec::new();
    let mut levels = Vec::new();
    for group in &groups {
        times.push(group.offset_ms);
        times.extend(group.cells.iter().map(|cell| cell.0));
        weights.push(group.weight);
        levels.extend(group.cells.iter().map(|cell| cell.1));
    }
    let ticks_per_ms = common_denominator(&times)?;
    let weight_scale = common_denominator(&weights)?;
    // The reference is divided by both scales, so that it is whole as well.
    levels.extend(reference);
    let level_scale = common_denominator(&levels)?;

    let mut keys: Vec<&(String, String)> = Vec::new();
    let mut chromaticities = Vec::new();
    let mut lane_cells: Vec<Vec<Cell>> = Vec::new();
    for group in &groups {
        if !keys.contains(&&group.key) {
            keys.push(&group.key);
            chromaticities.push(group.chromaticity);
        }
        let cells = group.cells.iter().map(|(duration, level)| {
            Ok(Cell {
                duration: duration.times(ticks_per_ms)?,
                level: level.times(level_scale)?,
            })
        });
        lane_cells.push(cells.collect::<Result<_, String>>()?);
    }
    let lanes = groups.iter().zip(&lane_cells).map(|(group, cells)| {
        Ok(Lane {
            cluster: keys
                .iter()
                .position(|key| *key == &group.key)
                .ok_or("no cluster")?,
            weight: group.weight.times(weight_scale)?,
            offset: group.offset_ms.times(ticks_per_ms)?,
            cells,
        })
    });
    let lanes = lanes.collect::<Result<Vec<_>, String>>()?;
    let second = 1000 * ticks_per_ms;
    let horizon = horizon_ms
        .map(|horizon| horizon.times(ticks_per_ms))
        .transpose()?;
    let longest = MAX_PERIOD_SECONDS * second;
    let mut scene = OwnedScene::from_lanes(second, horizon, longest, &chromaticities, &lanes)
        .map_err(|error| error.to_string())?;
    let unit = level_scale * weight_scale;
    scene.reference = reference
        .map(|reference| reference.times(unit))
        .transpose()?;
    scene.luminance_cd_m2_per_light =
        luminance.and_then(|luminance| Ratio::new(luminance.num, luminance.den * unit));
    Ok(scene)
}

fn read_group(group: &Value) -> Result<Group, String> {
    known_keys(
        group,
        &["color", "x", "y", "side", "weight", "offset_ms", "cells"],
    )?;
    let text = |key: &str| {
        group[key]
            .as_str()
            .map(str::to_owned)
            .ok_or(format!("{key} missing"))
    };
    let e4 = |key: &str| {
        let scaled = group[key].as_f64().ok_or(format!("{key} missing"))? * 10_000.0;
        if (scaled - scaled.round()).abs() > 1e-6 || !(0.0..=10_000.0).contains(&scaled) {
            return Err(format!("{key} is no multiple of 0.0001"));
        }
        Ok(scaled.round() as u16)
    };
    let cells = group["cells"].as_array().ok_or("cells are missing")?;
    let cells = cells.iter().map(|cell| {
        known_keys(cell, &["duration_ms", "level"])?;
        Ok((rational(&cell["duration_ms"])?, rational(&cell["level"])?))
    });
    Ok(Group {
        key: (text("color")?, text("side")?),
        chromaticity: Chromaticity::new(e4("x")?, e4("y")?).ok_or("no such chromaticity")?,
        weight: rational(&group["weight"])?,
        offset_ms: rational(&group["offset_ms"])?,
        cells: cells.collect::<Result<_, String>>()?,
    })
}

#[derive(Clone, Copy, Debug)]
struct Rational {
    num: i64,
    den: i64,
}

impl Rational {
    /// `scale` times this, which must be whole.
    fn times(self, scale: i64) -> Result<i64, String> {
        let product = self.num.checked_mul(scale).ok_or("a number is too large")?;
        if product % self.den == 0 {
            Ok(product / self.den)
        } else {
            Err(format!(
                "{}/{} times {scale} is not whole",
                self.num, self.den
            ))
        }
    }
}

/// A whole number or a fraction written as text.
fn rational(value: &Value) -> Result<Rational, String> {
    let text = value
        .as_str()
        .ok_or(format!("{value} is not a number in text"))?;
    let (num, den) = text.split_once('/').unwrap_or((text, "1"));
    let parse = |part: &str| {
        part.parse::<i64>()
            .map_err(|_| format!("{text} is no fraction"))
    };
    let (num, den) = (parse(num)?, parse(den)?);
    if den > 0 {
        Ok(Rational { num, den })
    } else {
        Err(format!("{text} is no fraction"))
    }
}

fn common_denominator(values: &[Rational]) -> Result<i64, String> {
    values.iter().try_fold(1_i64, |common, value| {
        let (mut a, mut b) = (common, value.den);
        while b != 0 {
            (a, b) = (b, a % b);
        }
        common
            .checked_mul(value.den / a)
            .ok_or_else(|| "denominators too large".to_owned())
    })
}

fn known_keys(value: &Value, known: &[&str]) -> Result<(), String> {
    match object(value)?
        .keys()
        .find(|key| !known.contains(&key.as_str()))
    {
        Some(key) => Err(format!("unknown key {key}")),
        None => Ok(()),
    }
}

fn object(value: &Value) -> Result<&Map<String, Value>, String> {
    value
        .as_object()
        .ok_or_else(|| format!("{value} is not an object"))
}
