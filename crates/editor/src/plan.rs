//! The vehicle with its heads, from above, from a side or as someone sees it who comes toward it: what to draw, and how strongly each emitter glows at an instant.
//!
//! One draw list for every view; [`Projection`] decides where places of the vehicle fall.

use crate::approach::{Eye, strengths};
use crate::elevation::{BodyPart, Camera, Projection, facing, place, shape};
use lampwright_model::{Color, Drive, HeadId, Program};
use lampwright_timing::Micros;

/// The vehicle as it is drawn, in CSS pixels.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PlanScene {
    /// Width of the drawing.
    pub width_px: f64,
    /// Height of the drawing.
    pub height_px: f64,
    /// The rectangle around the body of the vehicle: left, top, width, height.
    pub outline: (f64, f64, f64, f64),
    /// The vehicle itself, from the back to the front.
    pub faces: Vec<PlanFace>,
    /// Words at the edges of the drawing: top, bottom, left, right; empty for none.
    pub edges: [String; 4],
    /// Radius of an emitter's disc.
    pub disc_radius_px: f64,
    /// Radius of the largest glow, small enough for the area limit of the preview.
    pub glow_radius_px: f64,
    /// Heads whose light is seen from there, in the vehicle's order.
    pub heads: Vec<PlanHead>,
    /// How many emitters the vehicle has, seen or not.
    pub n_lamps: usize,
}

/// A flat part of the vehicle.
#[derive(Clone, PartialEq, Debug)]
pub struct PlanFace {
    /// What it stands for.
    pub part: BodyPart,
    /// Corners in order around it.
    pub corners: Vec<(f64, f64)>,
}

/// A head on the drawing.
#[derive(Clone, PartialEq, Debug)]
pub struct PlanHead {
    /// Which head.
    pub id: HeadId,
    /// Its place in the vehicle's list.
    pub index: usize,
    /// What the agency calls it.
    pub label: String,
    /// Middle, horizontal.
    pub x: f64,
    /// Middle, vertical.
    pub y: f64,
    /// Where it faces on the drawing, to the right; with the next at most of length one, and shorter the more it faces whoever looks.
    pub facing_x: f64,
    /// Where it faces on the drawing, down.
    pub facing_y: f64,
    /// Emitters in the head's order.
    pub emitters: Vec<PlanEmitter>,
    /// Whether the head does not run on the controller's clock.
    pub has_own_clock: bool,
}

/// An emitter on the drawing.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlanEmitter {
    /// Middle, horizontal.
    pub x: f64,
    /// Middle, vertical.
    pub y: f64,
    /// Its color; the letter is drawn with it.
    pub color: Color,
    /// Index into what [`lamp_levels`] gives.
    pub lamp: usize,
    /// Whether its light changes in the shown state.
    pub is_flashing: bool,
    /// How strongly it is painted at full level, 0 to 1: less than 1 in the approach view alone.
    pub strength: f64,
}

/// Lays the vehicle out from above, front up, its own left on the left.
#[must_use]
pub fn plan_scene(program: &Program, drive: &Drive, width_px: f64, height_px: f64) -> PlanScene {
    let size_px = (width_px, height_px);
    vehicle_scene(program, drive, Projection::Above, Eye::default(), size_px)
}

/// Lays the vehicle out as it is seen from somewhere; `eye` counts for the approach view.
#[must_use]
pub fn vehicle_scene(
    program: &Program,
    drive: &Drive,
    projection: Projection,
    eye: Eye,
    size_px: (f64, f64),
) -> PlanScene {
    let (width_px, height_px) = (sensible(size_px.0), sensible(size_px.1));
    let vehicle = &program.vehicle;
    let camera = Camera::of(projection, eye, vehicle.outline);
    let is_approach = projection == Projection::Approach;
    let strengths = if is_approach {
        strengths(vehicle, eye)
    } else {
        Vec::new()
    };
    let mut faces: Vec<PlanFace> = shape(vehicle.outline)
        .iter()
        .filter(|face| {
            camera.sees(face) && !(face.part == BodyPart::Ground && projection == Projection::Above)
        })
        .map(|face| PlanFace {
            part: face.part,
            corners: face
                .corners
                .iter()
                .map(|corner| camera.place(*corner))
                .collect(),
        })
        .collect();
    let mut heads = Vec::with_capacity(vehicle.heads.len());
    let mut n_lamps = 0;
    for (index, head) in vehicle.heads.iter().enumerate() {
        let first_lamp = n_lamps;
        n_lamps += head.emitters.len();
        if !camera.sees_head(head) {
            continue;
        }
        let (x, y) = camera.place(place(head));
        let (facing_x, facing_y) = camera.turn(facing(head));
        let emitters = head
            .emitters
            .iter()
            .enumerate()
            .map(|(position, emitter)| {
                let course = drive
                    .heads
                    .get(index)
                    .and_then(|head| head.emitters.get(position))
                    .map(|emitter| &emitter.level);
                let lamp = first_lamp + position;
                PlanEmitter {
                    x: 0.0,
                    y: 0.0,
                    color: emitter.color,
                    lamp,
                    is_flashing: course.is_some_and(|course| !course.is_constant()),
                    strength: strengths.get(lamp).copied().unwrap_or(1.0),
                }
            })
            .collect();
        heads.push(PlanHead {
            id: head.id.clone(),
            index,
            label: head.label.clone(),
            x,
            y,
            facing_x,
            facing_y,
            emitters,
            has_own_clock: head.clock.is_some(),
        });
    }
    let most_widening = match projection {
        Projection::Above => MOST_WIDENING,
        Projection::Approach => 1.0,
        _ => MOST_WIDENING_OF_SIDE,
    };
    let fit = Fit::of(&faces, &heads, (width_px, height_px), most_widening);
    let mut outline = Bounds::NOTHING;
    for face in &mut faces {
        for corner in &mut face.corners {
            *corner = fit.place(*corner);
            if face.part == BodyPart::Body {
                outline.take(*corner);
            }
        }
    }
    let size = (width_px / USUAL_WIDTH_PX).min(height_px / USUAL_HEIGHT_PX);
    let size = size.clamp(1.0, MOST_SIZE);
    for head in &mut heads {
        (head.x, head.y) = fit.place((head.x, head.y));
        set_out(
            head,
            projection == Projection::Above,
            EMITTER_STEP_PX * size,
        );
    }
    part(&mut heads, EMITTER_HALF_PX * size, width_px, height_px);
    let n_flashing = heads
        .iter()
        .flat_map(|head| &head.emitters)
        .filter(|emitter| emitter.is_flashing)
        .count();
    let mut edges = projection.edges().map(str::to_owned);
    if let (true, [top, bottom, ..]) = (is_approach, &mut edges) {
        (*top, *bottom) = approach_words(eye, eye.distance_m_from(vehicle.outline), fit.down);
    }
    PlanScene {
        width_px,
        height_px,
        outline: (
            outline.least.0,
            outline.least.1,
            outline.most.0 - outline.least.0,
            outline.most.1 - outline.least.1,
        ),
        faces,
        edges,
        disc_radius_px: DISC_PX * size,
        glow_radius_px: crate::preview::glow_radius_px(n_flashing, MOST_GLOW_PX * size),
        heads,
        n_lamps,
    }
}

/// How bright each emitter of the vehicle is painted, 0 to 1, in the order of [`PlanEmitter::lamp`]; what is not seen is dark.
#[must_use]
pub fn painted_lamps(scene: &PlanScene, levels: &[f64]) -> Vec<f64> {
    let mut painted = vec![0.0; scene.n_lamps];
    for emitter in scene.heads.iter().flat_map(|head| &head.emitters) {
        if let (Some(lamp), Some(level)) = (painted.get_mut(emitter.lamp), levels.get(emitter.lamp))
        {
            *lamp = level * emitter.strength;
        }
    }
    painted
}

/// Where the observer stands, and how much larger than life the vehicle is drawn for someone 60 cm from the screen.
fn approach_words(eye: Eye, distance_m: f64, px_per_unit: f64) -> (String, String) {
    // At 60 cm, a step of one sideways per one of depth is 600 mm of the screen.
    let true_px = 600.0 / crate::preview::MM_PER_CSS_PX;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "at most some hundred meters, and a scale of a small drawing"
    )]
    let (meters, tenths) = (
        libm::round(distance_m) as i64,
        libm::round(px_per_unit / true_px * 10.0) as i64,
    );
    (
        format!("FROM {meters} m AT {}°", eye.azimuth_degrees),
        format!(
            "{}.{} × as large as it looks there",
            tenths / 10,
            tenths % 10
        ),
    )
}

/// The rectangle around some places.
#[derive(Clone, Copy)]
struct Bounds {
    least: (f64, f64),
    most: (f64, f64),
}

impl Bounds {
    const NOTHING: Self = Self {
        least: (f64::INFINITY, f64::INFINITY),
        most: (f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    fn take(&mut self, (x, y): (f64, f64)) {
        self.least = (self.least.0.min(x), self.least.1.min(y));
        self.most = (self.most.0.max(x), self.most.1.max(y));
    }
}

/// How places of the projection become pixels: the middle of what there is in the middle of the drawing.
struct Fit {
    middle: (f64, f64),
    right: f64,
    down: f64,
    center_px: (f64, f64),
}

impl Fit {
    /// The larger of the vehicle and the heads' places, so that nothing is cut off.
    fn of(faces: &[PlanFace], heads: &[PlanHead], size_px: (f64, f64), most_widening: f64) -> Self {
        let mut bounds = Bounds::NOTHING;
        let corners = faces.iter().flat_map(|face| &face.corners).copied();
        let places = heads.iter().map(|head| (head.x, head.y));
        for place in corners.chain(places) {
            bounds.take(place);
        }
        let scale = |room_px: f64, from: f64, to: f64| {
            (room_px - 2.0 * MARGIN_PX).max(1.0) / (to - from).max(1e-6)
        };
        let right = scale(size_px.0, bounds.least.0, bounds.most.0);
        let down = scale(size_px.1, bounds.least.1, bounds.most.1);
        // Drawn wider or higher than it is when there is room: the heads are many and all but the approach view is a schematic.
        let most = right.min(down) * most_widening;
        Self {
            middle: (
                (bounds.least.0 + bounds.most.0) / 2.0,
                (bounds.least.1 + bounds.most.1) / 2.0,
            ),
            right: right.min(most),
            down: down.min(most),
            center_px: (size_px.0 / 2.0, size_px.1 / 2.0),
        }
    }

    fn place(&self, place: (f64, f64)) -> (f64, f64) {
        (
            self.center_px.0 + (place.0 - self.middle.0) * self.right,
            self.center_px.1 + (place.1 - self.middle.1) * self.down,
        )
    }
}

/// Places the emitters of a head side by side: across the beam from above, else from left to right.
fn set_out(head: &mut PlanHead, is_across_beam: bool, step_px: f64) {
    let (right, down) = if is_across_beam {
        (-head.facing_y, head.facing_x)
    } else {
        (1.0, 0.0)
    };
    #[expect(clippy::cast_precision_loss, reason = "emitters are few")]
    let middle = (head.emitters.len() as f64 - 1.0) / 2.0;
    for (position, emitter) in head.emitters.iter_mut().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "emitters are few")]
        let offset = (position as f64 - middle) * step_px;
        emitter.x = head.x + right * offset;
        emitter.y = head.y + down * offset;
    }
}

/// How strongly each emitter is lit at an instant, 0 to 1, in the order of [`PlanEmitter::lamp`].
///
/// Proportional to the light of the emitter; painted in proportion, the screening of the preview holds.
/// Lights without a common period start over together after [`crate::preview::loop_period`].
#[must_use]
pub fn lamp_levels(drive: &Drive, instant: Micros) -> Vec<f64> {
    let instant = crate::preview::loop_period(drive).map_or(instant, |period| instant.wrap(period));
    drive
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .map(|emitter| {
            #[expect(clippy::cast_precision_loss, reason = "0 to 1000")]
            let level = emitter.level.value_at(instant) as f64;
            level / 1000.0
        })
        .collect()
}

/// Free space around the vehicle for glows and labels.
const MARGIN_PX: f64 = 28.0;
/// Distance between the emitters of a head.
const EMITTER_STEP_PX: f64 = 11.0;
/// Radius of an emitter's disc.
const DISC_PX: f64 = 5.5;
/// A drawing of this size shows heads in the sizes given here, a larger one shows them larger.
const USUAL_WIDTH_PX: f64 = 260.0;
const USUAL_HEIGHT_PX: f64 = 440.0;
/// Most by which heads are drawn larger.
const MOST_SIZE: f64 = 1.5;
/// Half the room an emitter takes.
const EMITTER_HALF_PX: f64 = 6.0;
/// How much wider than to scale the vehicle may be drawn.
const MOST_WIDENING: f64 = 2.4;
/// The same for a side, where wheels have to look like wheels.
const MOST_WIDENING_OF_SIDE: f64 = 1.4;
/// Most rounds of parting heads that overlap.
const PART_ROUNDS: usize = 80;
/// Largest radius of a glow.
const MOST_GLOW_PX: f64 = 16.0;

/// Half the room a head takes, to the right and down.
fn half_size(head: &PlanHead, emitter_half_px: f64) -> (f64, f64) {
    let reach = |of: fn(&PlanEmitter) -> f64, middle: f64| {
        head.emitters
            .iter()
            .map(|emitter| (of(emitter) - middle).abs())
            .fold(0.0, f64::max)
            + emitter_half_px
    };
    (
        reach(|emitter| emitter.x, head.x),
        reach(|emitter| emitter.y, head.y),
    )
}

/// Moves heads that overlap apart, the shorter way, and keeps all of them on the drawing.
fn part(heads: &mut [PlanHead], emitter_half_px: f64, width_px: f64, height_px: f64) {
    let halves: Vec<(f64, f64)> = heads
        .iter()
        .map(|head| half_size(head, emitter_half_px))
        .collect();
    let mut places: Vec<(f64, f64)> = heads.iter().map(|head| (head.x, head.y)).collect();
    for _ in 0..PART_ROUNDS {
        let mut has_moved = false;
        for first in 0..places.len() {
            for second in first + 1..places.len() {
                let (one, other) = (places[first], places[second]);
                let (dx, dy) = (other.0 - one.0, other.1 - one.1);
                let over_x = halves[first].0 + halves[second].0 - dx.abs();
                let over_y = halves[first].1 + halves[second].1 - dy.abs();
                if over_x <= 0.0 || over_y <= 0.0 {
                    continue;
                }
                has_moved = true;
                // A hair more than half each, so that the rounds come to an end.
                if over_x < over_y {
                    let step = (over_x / 2.0 + 0.05) * if dx < 0.0 { -1.0 } else { 1.0 };
                    places[first].0 -= step;
                    places[second].0 += step;
                } else {
                    let step = (over_y / 2.0 + 0.05) * if dy < 0.0 { -1.0 } else { 1.0 };
                    places[first].1 -= step;
                    places[second].1 += step;
                }
            }
        }
        for (place, half) in places.iter_mut().zip(&halves) {
            place.0 = within(place.0, half.0, width_px);
            place.1 = within(place.1, half.1, height_px);
        }
        if !has_moved {
            break;
        }
    }
    for (head, (x, y)) in heads.iter_mut().zip(places) {
        let (dx, dy) = (x - head.x, y - head.y);
        head.x = x;
        head.y = y;
        for emitter in &mut head.emitters {
            emitter.x += dx;
            emitter.y += dy;
        }
    }
}

/// Keeps a middle so that all of `half` to both sides lies within `0..room`.
fn within(middle: f64, half: f64, room: f64) -> f64 {
    if room > 2.0 * half {
        middle.clamp(half, room - half)
    } else {
        room / 2.0
    }
}

fn sensible(px: f64) -> f64 {
    if px.is_finite() { px.max(1.0) } else { 1.0 }
}
