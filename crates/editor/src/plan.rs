//! The vehicle from above, front up, with its heads: what to draw, and how strongly each emitter glows at an instant.

use lampwright_model::{Color, Drive, HeadId, Program};
use lampwright_timing::Micros;

/// The vehicle from above, in CSS pixels.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PlanScene {
    /// Width of the drawing.
    pub width_px: f64,
    /// Height of the drawing.
    pub height_px: f64,
    /// Outline of the vehicle: left, top, width, height.
    pub outline: (f64, f64, f64, f64),
    /// Radius of an emitter's disc.
    pub disc_radius_px: f64,
    /// Radius of an emitter's glow, small enough for the area limit of the preview.
    pub glow_radius_px: f64,
    /// Heads in the vehicle's order.
    pub heads: Vec<PlanHead>,
}

/// A head on the plan.
#[derive(Clone, PartialEq, Debug)]
pub struct PlanHead {
    /// Which head.
    pub id: HeadId,
    /// What the agency calls it.
    pub label: String,
    /// Middle, horizontal.
    pub x: f64,
    /// Middle, vertical.
    pub y: f64,
    /// Where it faces, as a step of length one on the drawing: right.
    pub facing_x: f64,
    /// Where it faces, as a step of length one on the drawing: down.
    pub facing_y: f64,
    /// Emitters in the head's order.
    pub emitters: Vec<PlanEmitter>,
    /// Whether the head does not run on the controller's clock.
    pub has_own_clock: bool,
}

/// An emitter on the plan.
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
}

/// Lays the vehicle out from above, front up, its own left on the left.
#[must_use]
pub fn plan_scene(program: &Program, drive: &Drive, width_px: f64, height_px: f64) -> PlanScene {
    let width_px = sensible(width_px);
    let height_px = sensible(height_px);
    let outline = program.vehicle.outline;
    let (length, width) = (
        outline.length.in_units().max(0.1),
        outline.width.in_units().max(0.1),
    );
    // The larger of the outline and the heads' places, so that nothing is cut off.
    let heads = &program.vehicle.heads;
    let far = |value: fn(&lampwright_model::Head) -> f64, least: f64| {
        heads
            .iter()
            .map(value)
            .fold(least, |far, here| far.max(here.abs()))
    };
    let reach_x = far(|head| head.x.in_units(), length / 2.0);
    let reach_y = far(|head| head.y.in_units(), width / 2.0);
    // Drawn wider than it is when there is room: the heads are many and the plan is a schematic.
    let along = (height_px - 2.0 * MARGIN_PX).max(1.0) / (2.0 * reach_x);
    let across = (width_px - 2.0 * MARGIN_PX).max(1.0) / (2.0 * reach_y);
    let along = along.min(across);
    let across = across.min(MOST_WIDENING * along);
    let size = (width_px / USUAL_WIDTH_PX).min(height_px / USUAL_HEIGHT_PX);
    let size = size.clamp(1.0, MOST_SIZE);
    let (middle_x, middle_y) = (width_px / 2.0, height_px / 2.0);
    let mut lamp = 0;
    let mut places = Vec::with_capacity(heads.len());
    for (index, head) in heads.iter().enumerate() {
        let x = middle_x - head.y.in_units() * across;
        let y = middle_y - head.x.in_units() * along;
        let radians = head.facing.in_units() * core::f64::consts::PI / 180.0;
        let (forward, left) = (libm::cos(radians), libm::sin(radians));
        let (facing_x, facing_y) = (-left, -forward);
        #[expect(clippy::cast_precision_loss, reason = "emitters are few")]
        let middle = (head.emitters.len() as f64 - 1.0) / 2.0;
        let emitters = head
            .emitters
            .iter()
            .enumerate()
            .map(|(position, emitter)| {
                #[expect(clippy::cast_precision_loss, reason = "emitters are few")]
                let offset = (position as f64 - middle) * EMITTER_STEP_PX * size;
                let course = drive
                    .heads
                    .get(index)
                    .and_then(|head| head.emitters.get(position))
                    .map(|emitter| &emitter.level);
                let placed = PlanEmitter {
                    // Side by side across the beam.
                    x: x - facing_y * offset,
                    y: y + facing_x * offset,
                    color: emitter.color,
                    lamp,
                    is_flashing: course.is_some_and(|course| !course.is_constant()),
                };
                lamp += 1;
                placed
            })
            .collect();
        places.push(PlanHead {
            id: head.id.clone(),
            label: head.label.clone(),
            x,
            y,
            facing_x,
            facing_y,
            emitters,
            has_own_clock: head.clock.is_some(),
        });
    }
    part(&mut places, EMITTER_HALF_PX * size, width_px, height_px);
    let n_flashing = places
        .iter()
        .flat_map(|head| &head.emitters)
        .filter(|emitter| emitter.is_flashing)
        .count();
    PlanScene {
        width_px,
        height_px,
        outline: (
            middle_x - width / 2.0 * across,
            middle_y - length / 2.0 * along,
            width * across,
            length * along,
        ),
        disc_radius_px: DISC_PX * size,
        glow_radius_px: crate::preview::glow_radius_px(n_flashing, MOST_GLOW_PX * size),
        heads: places,
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
