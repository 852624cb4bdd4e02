//! From where the vehicle is drawn: its solid shape, and how places of the vehicle fall on a drawing.
//!
//! The shape is a schematic made from length, width and height alone; no real vehicle is meant by it.
//! Invariant: axes are the vehicle's, x forward, y left, z up, meters; a drawing has u to the right and v down.
//! Absent: pixels, which [`crate::vehicle_scene`] makes.

use crate::approach::{EYE_HEIGHT_M, Eye};
use lampwright_analysis::sincos;
use lampwright_model::{Beam, Head, Outline};

/// From where the vehicle is drawn.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum Projection {
    /// From above, front up, every head.
    #[default]
    Above,
    /// The front, as who stands before it sees it: the vehicle's left on the right.
    Front,
    /// The left side: the front on the left.
    Left,
    /// The rear: the vehicle's left on the left.
    Rear,
    /// The right side: the front on the right.
    Right,
    /// From a chosen distance and direction, in perspective.
    Approach,
}

impl Projection {
    /// All of them in their order.
    pub const ALL: [Self; 6] = [
        Self::Above,
        Self::Front,
        Self::Left,
        Self::Rear,
        Self::Right,
        Self::Approach,
    ];

    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Above => "Above",
            Self::Front => "Front",
            Self::Left => "Left",
            Self::Rear => "Rear",
            Self::Right => "Right",
            Self::Approach => "Approach",
        }
    }

    /// The words at the edges of the drawing: top, bottom, left, right.
    pub(crate) const fn edges(self) -> [&'static str; 4] {
        match self {
            Self::Above => ["FRONT", "REAR", "LEFT", "RIGHT"],
            Self::Front => ["FRONT", "", "RIGHT", "LEFT"],
            Self::Left => ["LEFT SIDE", "", "FRONT", "REAR"],
            Self::Rear => ["REAR", "", "LEFT", "RIGHT"],
            Self::Right => ["RIGHT SIDE", "", "REAR", "FRONT"],
            Self::Approach => ["", "", "", ""],
        }
    }
}

/// A place or a direction of the vehicle: x forward, y left, z up.
pub(crate) type Triple = [f64; 3];

/// A flat part of the vehicle's shape.
pub(crate) struct Face {
    /// What it stands for.
    pub(crate) part: BodyPart,
    /// Corners in order around it.
    pub(crate) corners: Vec<Triple>,
    /// Where its outside points; no length in particular. None is seen from everywhere.
    pub(crate) outward: Option<Triple>,
}

/// What a flat part of the vehicle's shape stands for.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum BodyPart {
    /// The ground below it.
    Ground,
    /// Its body.
    Body,
    /// A window.
    Pane,
    /// A wheel.
    Wheel,
}

/// How places fall on a drawing.
pub(crate) struct Camera {
    /// Direction of the vehicle that is to the right on the drawing.
    right: Triple,
    /// Direction of the vehicle that is down on the drawing.
    down: Triple,
    /// Direction from the vehicle to who looks.
    back: Triple,
    /// Where the eye is; none looks from so far that nothing gets smaller with distance.
    eye: Option<Triple>,
}

/// Cosine of the angle between a head's facing and the line of sight down to which an elevation shows the head: 75 degrees, so that each head is on one elevation at least and corner heads are on two (our own choice).
const LEAST_FACING: f64 = 0.259;
/// Nothing is drawn as nearer to the eye than this, meters.
const LEAST_DEPTH_M: f64 = 0.5;

impl Camera {
    pub(crate) fn of(projection: Projection, eye: Eye, outline: Outline) -> Self {
        let degrees = match projection {
            Projection::Above => {
                return Self {
                    right: [0.0, -1.0, 0.0],
                    down: [-1.0, 0.0, 0.0],
                    back: [0.0, 0.0, 1.0],
                    eye: None,
                };
            }
            Projection::Front => 0,
            Projection::Left => 90,
            Projection::Rear => 180,
            Projection::Right => 270,
            Projection::Approach => eye.azimuth_degrees,
        };
        let (sine, cosine) = sincos(f64::from(degrees).to_radians());
        let distance_m = eye.distance_m_from(outline);
        Self {
            right: [-sine, cosine, 0.0],
            down: [0.0, 0.0, -1.0],
            back: [cosine, sine, 0.0],
            eye: (projection == Projection::Approach).then_some([
                distance_m * cosine,
                distance_m * sine,
                EYE_HEIGHT_M,
            ]),
        }
    }

    /// Where a place falls: u to the right, v down; in meters, or in meters per meter of distance from an eye.
    pub(crate) fn place(&self, place: Triple) -> (f64, f64) {
        let Some(eye) = self.eye else {
            return (dot(place, self.right), dot(place, self.down));
        };
        let from_eye = minus(place, eye);
        let depth = (-dot(from_eye, self.back)).max(LEAST_DEPTH_M);
        (
            dot(from_eye, self.right) / depth,
            dot(from_eye, self.down) / depth,
        )
    }

    /// A direction on the drawing, at most of length one.
    pub(crate) fn turn(&self, direction: Triple) -> (f64, f64) {
        (dot(direction, self.right), dot(direction, self.down))
    }

    /// Whether the outside of a flat part is seen.
    pub(crate) fn sees(&self, face: &Face) -> bool {
        let (Some(outward), Some(corner)) = (face.outward, face.corners.first()) else {
            return true;
        };
        dot(outward, self.toward_observer(*corner)) > 1e-9
    }

    /// Whether the light of a head can be seen: from above always.
    pub(crate) fn sees_head(&self, head: &Head) -> bool {
        let is_above = self.back[2] > 0.5;
        if is_above || matches!(head.beam, Some(Beam::AllRound { .. })) {
            return true;
        }
        let facing = facing(head);
        match self.eye {
            None => dot(facing, self.back) >= LEAST_FACING,
            Some(_) => dot(facing, self.toward_observer(place(head))) > 0.0,
        }
    }

    fn toward_observer(&self, place: Triple) -> Triple {
        self.eye.map_or(self.back, |eye| minus(eye, place))
    }
}

/// Where a head is.
pub(crate) fn place(head: &Head) -> Triple {
    [head.x.in_units(), head.y.in_units(), head.z.in_units()]
}

/// Where a head faces, of length one.
pub(crate) fn facing(head: &Head) -> Triple {
    let radians = head.facing.in_units() * core::f64::consts::PI / 180.0;
    let (left, forward) = sincos(radians);
    [forward, left, 0.0]
}

/// The shape of a vehicle, from the back to the front: ground, body, wheels, windows.
pub(crate) fn shape(outline: Outline) -> Vec<Face> {
    let half_length = outline.length.in_units().max(0.1) / 2.0;
    let half_width = outline.width.in_units().max(0.1) / 2.0;
    let height = outline.height.in_units().max(0.1);
    // Proportions of our own, so that front and rear are told apart.
    let wheel = (0.17 * height).min(0.5).min(0.3 * half_length);
    let floor = 0.8 * wheel;
    let (waist, slope) = (0.52 * height, (0.3 * height).min(0.5 * half_length));
    let (front, rear, roof_front) = (half_length, -half_length, half_length - slope);
    let across =
        |x: f64, z: f64, share: f64| [[x, -share * half_width, z], [x, share * half_width, z]];
    // A rectangle across the vehicle between two edges.
    let band = |part, lower: (f64, f64), upper: (f64, f64), share: f64, outward| {
        let ([first, second], [fourth, third]) = (
            across(lower.0, lower.1, share),
            across(upper.0, upper.1, share),
        );
        Face {
            part,
            corners: vec![first, second, third, fourth],
            outward: Some(outward),
        }
    };
    let along = |part, side: f64, corners: &[(f64, f64)]| Face {
        part,
        corners: corners
            .iter()
            .map(|(x, z)| [*x, side * half_width, *z])
            .collect(),
        outward: Some([0.0, side, 0.0]),
    };
    let wheel_at = |x: f64| {
        let corners: [(f64, f64); 16] = core::array::from_fn(|corner| {
            #[expect(clippy::cast_precision_loss, reason = "16 corners")]
            let turn = corner as f64 / 16.0 * core::f64::consts::TAU;
            let (sine, cosine) = sincos(turn);
            (x + wheel * cosine, wheel + wheel * sine)
        });
        corners
    };
    let (ahead, behind, up) = ([1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]);
    let rising = [height - waist, 0.0, slope];
    let on_slope = |share: f64| (front - share * slope, waist + share * (height - waist));
    let (more_x, more_y) = (half_length + GROUND_MARGIN_M, half_width + GROUND_MARGIN_M);
    let mut faces = vec![
        Face {
            part: BodyPart::Ground,
            corners: vec![
                [more_x, more_y, 0.0],
                [more_x, -more_y, 0.0],
                [-more_x, -more_y, 0.0],
                [-more_x, more_y, 0.0],
            ],
            outward: None,
        },
        band(BodyPart::Body, (front, floor), (front, waist), 1.0, ahead),
        band(BodyPart::Body, (rear, floor), (rear, height), 1.0, behind),
        band(
            BodyPart::Body,
            (front, waist),
            (roof_front, height),
            1.0,
            rising,
        ),
        band(
            BodyPart::Body,
            (roof_front, height),
            (rear, height),
            1.0,
            up,
        ),
    ];
    // Wheels as seen from before and behind.
    for (x, outward) in [(front, ahead), (rear, behind)] {
        for side in [-1.0, 1.0] {
            let (inner, outer) = (
                side * (half_width - 0.3 * wheel.max(0.6)).max(0.0),
                side * half_width,
            );
            faces.push(Face {
                part: BodyPart::Wheel,
                corners: vec![
                    [x, inner, 0.0],
                    [x, outer, 0.0],
                    [x, outer, floor],
                    [x, inner, floor],
                ],
                outward: Some(outward),
            });
        }
    }
    for side in [-1.0, 1.0] {
        faces.push(along(
            BodyPart::Body,
            side,
            &[
                (rear, floor),
                (front, floor),
                (front, waist),
                (roof_front, height),
                (rear, height),
            ],
        ));
        for share in [-0.62, 0.62] {
            faces.push(along(BodyPart::Wheel, side, &wheel_at(share * half_length)));
        }
        faces.push(along(
            BodyPart::Pane,
            side,
            &[
                on_slope_inset(on_slope(0.2), slope),
                on_slope_inset(on_slope(0.85), slope),
                (roof_front - 0.3 * half_length, on_slope(0.85).1),
                (roof_front - 0.3 * half_length, on_slope(0.2).1),
            ],
        ));
    }
    faces.push(band(
        BodyPart::Pane,
        on_slope(0.1),
        on_slope(0.9),
        0.88,
        rising,
    ));
    faces.push(band(
        BodyPart::Pane,
        (rear, 0.6 * height),
        (rear, 0.9 * height),
        0.8,
        behind,
    ));
    faces
}

/// How far the drawn ground reaches beyond the vehicle.
const GROUND_MARGIN_M: f64 = 0.25;

/// A corner of a side window, a little behind the slope.
fn on_slope_inset(corner: (f64, f64), slope: f64) -> (f64, f64) {
    (corner.0 - 0.25 * slope, corner.1)
}

fn dot(one: Triple, other: Triple) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

fn minus(one: Triple, other: Triple) -> Triple {
    [one[0] - other[0], one[1] - other[1], one[2] - other[2]]
}
