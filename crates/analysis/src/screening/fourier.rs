//! The strongest line of the spectrum in the frequencies to which people react. Information only.
//!
//! A slow train shows harmonics here (a 2 Hz square has a line of 0.42 at 6 Hz), so this line must
//! never set a band. It is the only floating point of the screening beside display, and uses the
//! `libm` crate alone for the same bits on every machine.

use super::error::ScreeningError;
use super::scene::Scene;
use super::screen::add_up;

/// One line of the spectrum of the summed light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FourierLine {
    /// Which multiple of one over the period.
    pub harmonic: i64,
    /// Its frequency in Hz.
    pub hz: f64,
    /// Its amplitude over the mean light.
    pub modulation_ratio: f64,
}

/// Frequencies looked at, in Hz, both included.
const LOWEST_HZ: i64 = 3;
const HIGHEST_HZ: i64 = 65;

/// Weaker lines are not reported.
const LEAST_RATIO: f64 = 0.10;

/// The strongest line from 3 to 65 Hz if its modulation is 0.10 or more; cyclic light only.
///
/// Takes time in proportion to cells times period: call it when the line is to be shown.
///
/// # Errors
/// What [`Scene::check`] finds.
pub fn strongest_line(scene: &Scene<'_>) -> Result<Option<FourierLine>, ScreeningError> {
    scene.check()?;
    let Some(period) = scene.extent.period() else {
        return Ok(None);
    };
    let mut luma = Vec::new();
    add_up(scene, &mut luma);
    let ends = scene.times.iter().skip(1).chain([&period]);
    let total: i128 = scene
        .times
        .iter()
        .zip(ends)
        .zip(&luma)
        .map(|((start, end), light)| i128::from(end - start) * i128::from(*light))
        .sum();
    if total == 0 {
        return Ok(None);
    }
    let mean = total as f64 / period as f64;
    let mut steps = Vec::new();
    let mut before = luma.last().copied().unwrap_or(0);
    for (&time, &light) in scene.times.iter().zip(&luma) {
        if light != before {
            steps.push((time, (light - before) as f64));
        }
        before = light;
    }
    let per_harmonic = i128::from(scene.second);
    let whole = |hz: i64| i128::from(hz) * i128::from(period);
    let first = (whole(LOWEST_HZ) + per_harmonic - 1) / per_harmonic;
    let last = whole(HIGHEST_HZ) / per_harmonic;
    let mut strongest: Option<(i128, f64)> = None;
    for harmonic in first.max(1)..=last {
        let (mut re, mut im) = (0.0, 0.0);
        for &(time, step) in &steps {
            let turn = (harmonic * i128::from(time)).rem_euclid(i128::from(period));
            let angle = 2.0 * core::f64::consts::PI * (turn as f64 / period as f64);
            let (sin, cos) = crate::sincos(angle);
            re += step * cos;
            im -= step * sin;
        }
        let ratio = (re * re + im * im).sqrt() / (core::f64::consts::PI * harmonic as f64) / mean;
        if strongest.is_none_or(|(_, best)| ratio > best) {
            strongest = Some((harmonic, ratio));
        }
    }
    Ok(strongest
        .filter(|(_, ratio)| *ratio >= LEAST_RATIO)
        .map(|(harmonic, modulation_ratio)| FourierLine {
            harmonic: i64::try_from(harmonic).unwrap_or(i64::MAX),
            hz: harmonic as f64 * scene.second as f64 / period as f64,
            modulation_ratio,
        }))
}
