//! What someone sees who comes toward the vehicle: where they stand, and how strongly each lamp shows there.
//!
//! The light toward the eye is that of the screening, [`lampwright_analysis::light::Direction`]; illuminance falls with the square of the distance.
//! Absent: haze, headlamps of the observer, reflections, glare in the eye; the drawing is a schematic, not a photometric picture.

use lampwright_analysis::light::{Direction, LightSettings};
use lampwright_model::{Millimeters, Outline, Vehicle};

/// Height of the eye above the ground, meters: the one of the screening, common practice, no source.
pub const EYE_HEIGHT_M: f64 = 1.2;

/// Where the observer of the approach view stands.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Eye {
    /// Distance from the middle of the vehicle, meters.
    pub distance_m: u16,
    /// Direction from the vehicle, whole degrees counterclockwise from forward: 0 front, 90 left, 180 rear, 270 right.
    pub azimuth_degrees: u16,
}

impl Default for Eye {
    /// Some way behind the vehicle, where following traffic first has to understand it (our own choice).
    fn default() -> Self {
        Self {
            distance_m: 30,
            azimuth_degrees: 180,
        }
    }
}

impl Eye {
    /// Least distance that can be asked for, meters.
    pub const LEAST_M: u16 = 3;
    /// Largest distance that can be asked for, meters.
    pub const MOST_M: u16 = 500;

    /// Kept within the distances that can be asked for, and within one turn.
    #[must_use]
    pub fn limited(self) -> Self {
        Self {
            distance_m: self.distance_m.clamp(Self::LEAST_M, Self::MOST_M),
            azimuth_degrees: self.azimuth_degrees % 360,
        }
    }

    /// At another distance in meters, or at the nearest that can be asked for.
    #[must_use]
    pub fn at_distance(self, meters: i64) -> Self {
        let meters = meters.clamp(Self::LEAST_M.into(), Self::MOST_M.into());
        Self {
            distance_m: u16::try_from(meters).unwrap_or(Self::LEAST_M),
            ..self
        }
    }

    /// In another direction in degrees, clockwise below zero, however many turns.
    #[must_use]
    pub fn toward(self, degrees: i64) -> Self {
        Self {
            azimuth_degrees: u16::try_from(degrees.rem_euclid(360)).unwrap_or_default(),
            ..self
        }
    }

    /// The distance from the middle of a vehicle, meters; an eye within the vehicle is moved to a meter outside of it.
    #[must_use]
    pub fn distance_m_from(self, outline: Outline) -> f64 {
        let (length, width) = (outline.length.in_units(), outline.width.in_units());
        let corner_m = libm::sqrt(length * length + width * width) / 2.0;
        f64::from(self.distance_m).max(corner_m + 1.0)
    }
}

/// The light of every emitter at full level toward an observer, whole candela, emitter after emitter in the vehicle's order.
#[must_use]
pub fn candelas_toward(vehicle: &Vehicle, eye: Eye) -> Vec<i64> {
    microcandelas(vehicle, eye)
        .into_iter()
        .map(|microcandela| (microcandela + 500_000) / 1_000_000)
        .collect()
}

fn microcandelas(vehicle: &Vehicle, eye: Eye) -> Vec<i64> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "at most some hundred meters, in millimeters"
    )]
    let distance = Millimeters((eye.distance_m_from(vehicle.outline) * 1000.0) as i64);
    let settings = LightSettings {
        distance,
        ..LightSettings::default()
    };
    Direction::toward(vehicle, &settings, eye.azimuth_degrees).weights
}

/// Illuminance at the eye that is painted in full: as bright as moonlit ground is many times over (our own choice).
const FULL_LUX: f64 = 1.0;
/// Illuminance at the eye that is painted as faintly as anything is (our own choice; a point of light is seen at night from far less).
const FAINT_LUX: f64 = 0.000_1;
/// How strongly the faintest light is painted.
const FAINT: f64 = 0.15;

/// How strongly every emitter at full level is painted, 0 to 1: by the logarithm of the illuminance at the eye, as the eye judges brightness (common practice, no source).
///
/// One factor for each emitter, the same at every level, so that what the screening of the preview counts holds here too.
#[must_use]
pub fn strengths(vehicle: &Vehicle, eye: Eye) -> Vec<f64> {
    let distance_m = eye.distance_m_from(vehicle.outline);
    microcandelas(vehicle, eye)
        .into_iter()
        .map(|microcandela| {
            #[expect(clippy::cast_precision_loss, reason = "below 2^53")]
            let lux = microcandela as f64 / 1e6 / (distance_m * distance_m);
            strength(lux)
        })
        .collect()
}

fn strength(lux: f64) -> f64 {
    if lux <= 0.0 {
        return 0.0;
    }
    let share = libm::log(lux / FAINT_LUX) / libm::log(FULL_LUX / FAINT_LUX);
    FAINT + (1.0 - FAINT) * share.clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_eye_height_is_that_of_the_screening() {
        let height = LightSettings::default().eye_height;
        assert!((height.in_units() - EYE_HEIGHT_M).abs() < 1e-9);
    }

    #[test]
    fn light_fades_with_distance_and_never_past_its_limits() {
        assert!(strength(0.0) <= 0.0);
        assert!((strength(1e-9) - FAINT).abs() < 1e-9);
        assert!((strength(50.0) - 1.0).abs() < 1e-9);
        // Ten times the distance is a hundredth of the light: half of the four decades that are told apart.
        let step = strength(0.5) - strength(0.005);
        assert!((step - (1.0 - FAINT) / 2.0).abs() < 1e-9, "{step}");
    }

    #[test]
    fn any_number_of_meters_and_degrees_is_a_place_to_stand() {
        let eye = Eye::default();
        let distances = [-5, 0, 3, 77, 100_000].map(|meters| eye.at_distance(meters).distance_m);
        assert_eq!(distances, [3, 3, 3, 77, 500]);
        let directions = [-90, 0, 359, 360, 725].map(|degrees| eye.toward(degrees).azimuth_degrees);
        assert_eq!(directions, [270, 0, 359, 0, 5]);
    }

    #[test]
    fn an_eye_within_the_vehicle_is_moved_outside() {
        let outline = Outline {
            length: Millimeters(8000),
            width: Millimeters(6000),
            height: Millimeters(3000),
        };
        let eye = Eye {
            distance_m: 3,
            azimuth_degrees: 0,
        };
        assert!((eye.distance_m_from(outline) - 6.0).abs() < 1e-9);
        assert_eq!(
            Eye {
                distance_m: 900,
                azimuth_degrees: 725
            }
            .limited(),
            Eye {
                distance_m: 500,
                azimuth_degrees: 5
            }
        );
    }
}
