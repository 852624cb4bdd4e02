//! Weights: the light of each emitter at full level toward observers around the vehicle.
//!
//! The observer stands at a stated distance from the middle of the vehicle, eyes at a stated height; each lamp's own place counts.
//! Invariant: weights depend on the vehicle and the settings alone, never on a state.

use super::beam::intensity_microcandela;
use lampwright_model::{Head, Millimeters, Side, Vehicle};

/// Where observers stand.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct LightSettings {
    /// Distance from the middle of the vehicle.
    pub distance: Millimeters,
    /// Height of the eye above the ground.
    pub eye_height: Millimeters,
    /// Step between directions in whole degrees, 1 to 90.
    pub step_degrees: u16,
}

impl Default for LightSettings {
    /// 30.5 m, the measuring radius of SAE J2498-2016 (second-hand: a test laboratory's summary); eye height 1.2 m (common practice, no source); every 5 degrees.
    fn default() -> Self {
        Self {
            distance: Millimeters(30_500),
            eye_height: Millimeters(1_200),
            step_degrees: 5,
        }
    }
}

/// The light of every emitter toward every direction.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DirectionTable {
    settings: LightSettings,
    first_of_head: Vec<usize>,
    directions: Vec<Direction>,
}

/// One direction around the vehicle.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Direction {
    /// Where the observer stands, whole degrees counterclockwise from forward: 0 front, 90 left, 180 rear, 270 right.
    pub azimuth_degrees: u16,
    /// Microcandela at full level, emitter after emitter in the vehicle's order.
    pub weights: Vec<i64>,
    /// Where each head appears to this observer.
    pub seen: Vec<Side>,
}

/// Half of the width, across the line of sight, within which a head counts as seen in the center; the same 50 mm by which heads are sided (our own choice).
const CENTER_HALF_WIDTH_MM: f64 = 50.0;

impl DirectionTable {
    /// The table of a vehicle.
    ///
    /// A head appears left, center or right by how far its place lies across the line from the observer through the middle of the vehicle, the middle being within 50 mm.
    #[must_use]
    pub fn new(vehicle: &Vehicle, settings: LightSettings) -> Self {
        let step = settings.step_degrees.clamp(1, 90);
        let mut first_of_head = Vec::with_capacity(vehicle.heads.len() + 1);
        let mut n_emitters = 0;
        for head in &vehicle.heads {
            first_of_head.push(n_emitters);
            n_emitters += head.emitters.len();
        }
        first_of_head.push(n_emitters);
        let directions = (0..360)
            .step_by(usize::from(step))
            .map(|azimuth_degrees| Direction::toward(vehicle, &settings, azimuth_degrees))
            .collect();
        Self {
            settings,
            first_of_head,
            directions,
        }
    }

    /// Where observers stand.
    #[must_use]
    pub fn settings(&self) -> LightSettings {
        self.settings
    }

    /// The directions, counterclockwise from the front.
    #[must_use]
    pub fn directions(&self) -> &[Direction] {
        &self.directions
    }

    /// The direction at an azimuth, or the nearest below it.
    #[must_use]
    pub fn direction(&self, azimuth_degrees: u16) -> Option<&Direction> {
        let azimuth = azimuth_degrees % 360;
        let after = self
            .directions
            .partition_point(|direction| direction.azimuth_degrees <= azimuth);
        after
            .checked_sub(1)
            .and_then(|place| self.directions.get(place))
    }

    /// Toward an observer in front.
    #[must_use]
    pub fn front(&self) -> Option<&Direction> {
        self.direction(0)
    }

    /// Toward an observer on the vehicle's left.
    #[must_use]
    pub fn left(&self) -> Option<&Direction> {
        self.direction(90)
    }

    /// Toward an observer behind.
    #[must_use]
    pub fn rear(&self) -> Option<&Direction> {
        self.direction(180)
    }

    /// Toward an observer on the vehicle's right.
    #[must_use]
    pub fn right(&self) -> Option<&Direction> {
        self.direction(270)
    }

    /// Index of an emitter in [`Direction::weights`].
    #[must_use]
    pub fn emitter_index(&self, head: usize, emitter: usize) -> Option<usize> {
        let first = *self.first_of_head.get(head)?;
        let end = *self.first_of_head.get(head + 1)?;
        Some(first + emitter).filter(|index| *index < end)
    }

    /// Microcandela of an emitter at full level toward a direction; zero when there is no such emitter.
    #[must_use]
    pub fn weight(&self, direction: &Direction, head: usize, emitter: usize) -> i64 {
        self.emitter_index(head, emitter)
            .and_then(|index| direction.weights.get(index))
            .copied()
            .unwrap_or(0)
    }
}

impl Direction {
    /// Weights and sides toward any azimuth in degrees.
    #[must_use]
    pub fn toward(vehicle: &Vehicle, settings: &LightSettings, azimuth_degrees: u16) -> Self {
        let azimuth = f64::from(azimuth_degrees).to_radians();
        let (sin, cos) = crate::sincos(azimuth);
        let distance = thousandths(settings.distance);
        let eye = (
            distance * cos,
            distance * sin,
            thousandths(settings.eye_height),
        );
        let mut weights = Vec::new();
        let mut seen = Vec::with_capacity(vehicle.heads.len());
        for head in &vehicle.heads {
            let (horizontal, vertical) = angles_off_axis(head, eye);
            let beam = head.beam_or_assumed().value;
            for emitter in &head.emitters {
                let peak = emitter.peak_or_assumed().value.0;
                weights.push(intensity_microcandela(&beam, peak, horizontal, vertical));
            }
            // Positive to the observer's left, who looks back along the azimuth.
            let across = thousandths(head.x) * sin - thousandths(head.y) * cos;
            seen.push(if across > CENTER_HALF_WIDTH_MM {
                Side::Left
            } else if across < -CENTER_HALF_WIDTH_MM {
                Side::Right
            } else {
                Side::Center
            });
        }
        Self {
            azimuth_degrees,
            weights,
            seen,
        }
    }
}

/// Millimeters as a float.
#[expect(clippy::cast_precision_loss, reason = "places stay within 100 m")]
fn thousandths(length: Millimeters) -> f64 {
    length.0 as f64
}

/// Horizontal angle from the beam axis, left above zero, within -180 to 180, and elevation of the eye as seen from the head, degrees.
fn angles_off_axis(head: &Head, eye: (f64, f64, f64)) -> (f64, f64) {
    let x = eye.0 - thousandths(head.x);
    let y = eye.1 - thousandths(head.y);
    let z = eye.2 - thousandths(head.z);
    let bearing = libm::atan2(y, x).to_degrees();
    let turn = (bearing - head.facing.in_units()) / 360.0;
    let horizontal = (turn - libm::round(turn)) * 360.0;
    let vertical = libm::atan2(z, libm::sqrt(x * x + y * y)).to_degrees();
    (horizontal, vertical)
}
