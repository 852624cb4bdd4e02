//! The safe preview: how fast it may play and how large it may glow.
//!
//! Speed is chosen by the same screening that judges the vehicle, over everything that is drawn at once.
//! What else changes the picture, [`Gate`] holds back.

use crate::PlanScene;
pub use crate::gate::{Change, Gate};
use lampwright_analysis::screening::{
    Cell, Chromaticity, Lane, MAX_PERIOD_SECONDS, OwnedScene, Ratio, Settings, Workspace, screen,
};
use lampwright_model::{Drive, Program};
use lampwright_timing::{Micros, Step, Waveform, least_common_period};
use std::sync::Arc;

/// Speed of the preview in per mille of real time; zero is a still picture.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Speed(u16);

impl Speed {
    /// As fast as the vehicle.
    pub const FULL: Self = Self(1000);
    /// No movement.
    pub const STILL: Self = Self(0);

    /// A speed, at most real time.
    #[must_use]
    pub fn of(per_mille: u16) -> Self {
        Self(per_mille.min(Self::FULL.0))
    }

    /// Per mille of real time.
    #[must_use]
    pub const fn per_mille(self) -> u16 {
        self.0
    }

    /// A part of this speed, rounded down, at least a thousandth of real time unless it is still.
    #[must_use]
    pub fn divided_by(self, parts: u16) -> Self {
        Self((self.0 / parts.max(1)).max(self.0.min(1)))
    }

    /// Program time after a stretch of the platform's clock, rounded down to the microsecond.
    #[must_use]
    pub fn program_time(self, elapsed: Micros) -> Micros {
        Micros(elapsed.0.saturating_mul(i64::from(self.0)).div_euclid(1000))
    }
}

/// A CSS pixel (CSS Values and Units, W3C).
pub(crate) const MM_PER_CSS_PX: f64 = 25.4 / 96.0;

/// Largest flashing area, in CSS pixels squared: a quarter of a 10-degree field of view, by the smaller of two readings.
///
/// Geometry: a circle of 5 degrees around the gaze at 60 cm has the radius 600 mm times tan 5°, 52.5 mm; a quarter of its area is 2164 mm²; a CSS pixel is 25.4/96 mm (CSS Values and Units, W3C), which gives 30 900 px².
/// Estimate of WCAG 2.2, Understanding success criterion 2.3.1 (W3C): a 10-degree field is 341 by 256 CSS pixels, a quarter of it 21 824 px².
#[must_use]
pub fn area_limit_css_px2() -> f64 {
    const DISTANCE_MM: f64 = 600.0;
    const ESTIMATE_PX2: f64 = 341.0 * 256.0 / 4.0;
    /// Tangent of 5 degrees.
    const TANGENT: f64 = 0.087_488_663_525_924_01;
    let radius_px = DISTANCE_MM * TANGENT / MM_PER_CSS_PX;
    let quarter_px2 = core::f64::consts::PI * radius_px * radius_px / 4.0;
    quarter_px2.min(ESTIMATE_PX2)
}

/// Radius of a glow so that all flashing ones together stay within [`area_limit_css_px2`], at most `most_px`.
#[must_use]
pub fn glow_radius_px(n_flashing: usize, most_px: f64) -> f64 {
    if n_flashing == 0 {
        return most_px;
    }
    #[expect(clippy::cast_precision_loss, reason = "emitters are few")]
    let each_px2 = area_limit_css_px2() / n_flashing as f64;
    // A hair smaller, so that rounding cannot carry the sum over the limit.
    most_px.min(0.999 * (each_px2 / core::f64::consts::PI).sqrt())
}

/// Area of all flashing glows of a plan together, in CSS pixels squared; overlaps count twice.
#[must_use]
pub fn flashing_area_css_px2(plan: &PlanScene) -> f64 {
    let each_px2 = core::f64::consts::PI * plan.glow_radius_px * plan.glow_radius_px;
    let n_flashing = plan
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .filter(|emitter| emitter.is_flashing)
        .count();
    #[expect(clippy::cast_precision_loss, reason = "emitters are few")]
    let n_flashing = n_flashing as f64;
    n_flashing * each_px2
}

/// Speeds that are tried, fastest first, in per mille of real time; never more than half, so that a slowed preview is always told from the vehicle's own speed.
const SPEEDS: [u16; 12] = [500, 400, 300, 250, 200, 150, 100, 70, 50, 30, 20, 10];

/// Most flashes in a second of what is drawn.
const MOST_FLASHES: u32 = 3;

/// How much longer than a second no fourth flash may come, per mille: room for frames drawn late.
const WINDOW_PER_MILLE: i64 = 1_100;

/// The fastest speed at which no second of what is drawn holds more than three flashes; still when there is none.
///
/// The whole plan is seen at once, so every emitter is a cluster of its own however weak, onsets are not merged, and the second is a tenth longer than it is: no frame drawn late can bring a fourth flash into it.
/// Lamps whose common period is too long are counted over the loop the preview makes of them; lamps that are too many to screen together are counted one by one and added.
#[must_use]
pub fn safe_speed(program: &Program, drive: &Drive) -> Speed {
    let mut search = SpeedSearch::of(program, drive);
    while search.step() {}
    search.found()
}

/// The search for [`safe_speed`], one speed after the other.
pub(crate) struct SpeedSearch {
    drawn: Drawn,
    workspace: Workspace,
    /// How many of the fastest speeds are too fast.
    n_too_fast: usize,
    /// The fastest speed that is known to do, or past the end.
    known: usize,
}

impl SpeedSearch {
    pub(crate) fn of(program: &Program, drive: &Drive) -> Self {
        Self {
            drawn: Drawn::of(program, drive),
            workspace: Workspace::default(),
            n_too_fast: 0,
            known: SPEEDS.len(),
        }
    }

    /// Tries a speed; false when there is none left to try.
    pub(crate) fn step(&mut self) -> bool {
        // Slower is never worse, so the first speed that will do is found by halving.
        let place = usize::midpoint(self.n_too_fast, self.known);
        let Some(speed) = SPEEDS.get(place).filter(|_| self.n_too_fast < self.known) else {
            return false;
        };
        let count = self
            .drawn
            .most_flashes(Speed(*speed), WINDOW_PER_MILLE, &mut self.workspace);
        if count.is_none_or(|count| count > MOST_FLASHES) {
            self.n_too_fast = place + 1;
        } else {
            self.known = place;
        }
        true
    }

    /// The fastest that will do, once every step is done.
    pub(crate) fn found(&self) -> Speed {
        SPEEDS
            .get(self.known)
            .map_or(Speed::STILL, |speed| Speed(*speed))
    }
}

/// Most flashes, or red flashes, in any second of what is drawn at a speed; none when that cannot be told.
#[must_use]
pub fn drawn_flashes(program: &Program, drive: &Drive, speed: Speed) -> Option<u32> {
    Drawn::of(program, drive).most_flashes(speed, 1_000, &mut Workspace::default())
}

/// How many times slower than the safe speed the preview can be asked to play.
pub const SLOWNESSES: [u16; 4] = [1, 2, 4, 10];

/// A stretch of program time that plays over and over.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Excerpt {
    /// Where it starts.
    pub from: Micros,
    /// How long it is.
    pub length: Micros,
    /// What the lamps do, the start of the stretch at zero.
    pub drive: Drive,
    /// The fastest speed at which it stays at or below three flashes a second, chosen as that of the whole is.
    pub safe_speed: Speed,
}

impl Excerpt {
    /// The stretch of a drive from an instant on; none when it has no length.
    #[must_use]
    pub fn of(program: &Program, drive: &Drive, from: Micros, length: Micros) -> Option<Self> {
        if length <= Micros::ZERO {
            return None;
        }
        let mut drive = drive.clone();
        for emitter in drive.heads.iter_mut().flat_map(|head| &mut head.emitters) {
            emitter.level = Arc::new(stretch_of(&emitter.level, from, length)?);
        }
        Some(Self {
            from,
            length,
            safe_speed: safe_speed(program, &drive),
            drive,
        })
    }

    /// An instant of program time moved by whole lengths into the stretch.
    #[must_use]
    pub fn instant(&self, at: Micros) -> Micros {
        self.from + (at - self.from).wrap(self.length)
    }
}

/// What a course does in a stretch, as a course of its own that repeats after it; none for more pieces than are worth it.
fn stretch_of(course: &Waveform, from: Micros, length: Micros) -> Option<Waveform> {
    if course.is_constant() {
        return Some(course.clone());
    }
    let n_steps = i64::try_from(course.steps().len()).ok()?;
    if (length.0 / course.period().0 + 1).checked_mul(n_steps)? > MOST_VALUES {
        return None;
    }
    let mut steps = Vec::new();
    let mut at = Micros::ZERO;
    let shifted = course.shifted(-from);
    while at < length {
        for (interval, value) in shifted.pieces() {
            if at < length {
                steps.push(Step { at, value });
            }
            at += interval.length;
        }
    }
    Waveform::from_steps(length, steps).ok()
}

/// After how much program time everything the lamps do repeats: the end of what can be scrubbed.
#[must_use]
pub fn scrub_period(drive: &Drive) -> Micros {
    common_period(drive).unwrap_or(LOOP)
}

/// Levels of all emitters in frames drawn one after the other, as the page would paint them.
///
/// One entry per frame, in the order of [`crate::lamp_levels`]; the first at program time zero.
#[must_use]
pub fn frames(drive: &Drive, speed: Speed, frames_per_second: u32, seconds: u32) -> Vec<Vec<f64>> {
    let rate = i64::from(frames_per_second.max(1));
    (0..rate * i64::from(seconds))
        .map(|frame| {
            let elapsed = Micros(frame * 1_000_000 / rate);
            crate::lamp_levels(drive, speed.program_time(elapsed))
        })
        .collect()
}

/// Every emitter counts however weak, and onsets at different instants are different onsets.
fn strict() -> Settings {
    let nothing = |default: Ratio| Ratio::new(0, 1).unwrap_or(default);
    let default = Settings::default();
    Settings {
        merge_seconds: nothing(default.merge_seconds),
        cluster_share: nothing(default.cluster_share),
        ..default
    }
}

/// Program time after which the preview starts over when the lights have no common period: 30 s, long enough to see them drift (our own choice).
const LOOP: Micros = Micros::from_ms(30_000);

/// Most values of one scene; past it the lights are counted one by one.
const MOST_VALUES: i64 = 2_000_000;

/// After how much program time the preview starts over; none when all lights have a common period and it never has to.
#[must_use]
pub fn loop_period(drive: &Drive) -> Option<Micros> {
    common_period(drive).is_none().then_some(LOOP)
}

fn common_period(drive: &Drive) -> Option<Micros> {
    let periods = drive
        .heads
        .iter()
        .flat_map(|head| &head.emitters)
        .filter(|emitter| !emitter.level.is_constant())
        .map(|emitter| emitter.level.period());
    least_common_period(periods).ok()
}

/// Ticks per microsecond of program time; makes every speed a whole number of ticks per second.
const TICKS_PER_MICRO: i64 = 1_000;

/// What flashes in a drive, ready to be counted at any speed.
struct Drawn {
    /// All of it together, or one scene per light where that is too much.
    scenes: Vec<OwnedScene>,
    /// Whether something could not be made into a scene.
    has_failed: bool,
}

/// Emitters of one color and course.
struct Course {
    level: Arc<Waveform>,
    chromaticity: Chromaticity,
    n_emitters: i64,
}

impl Drawn {
    fn of(program: &Program, drive: &Drive) -> Self {
        let courses = flashing_courses(program, drive);
        if courses.is_empty() {
            return Self {
                scenes: Vec::new(),
                has_failed: false,
            };
        }
        let horizon = loop_period(drive);
        if let Some(scene) = scene_of(&courses, horizon) {
            return Self {
                scenes: vec![scene],
                has_failed: false,
            };
        }
        let scenes: Vec<_> = courses
            .chunks(1)
            .filter_map(|course| scene_of(course, horizon))
            .collect();
        Self {
            has_failed: scenes.len() != courses.len(),
            scenes,
        }
    }

    fn most_flashes(
        &self,
        speed: Speed,
        window_per_mille: i64,
        workspace: &mut Workspace,
    ) -> Option<u32> {
        if self.scenes.is_empty() && !self.has_failed || speed == Speed::STILL {
            return Some(0);
        }
        if self.has_failed {
            return None;
        }
        // A second of the page is this much program time.
        let second = i64::from(speed.0) * 1_000 * TICKS_PER_MICRO * window_per_mille / 1_000;
        let settings = strict();
        self.scenes.iter().try_fold(0_u32, |sum, scene| {
            let mut scene = scene.as_scene();
            scene.second = second;
            let screening = screen(&scene, &settings, workspace).ok()?;
            Some(sum.saturating_add(screening.n().max(screening.n_red())))
        })
    }
}

fn flashing_courses(program: &Program, drive: &Drive) -> Vec<Course> {
    let mut courses: Vec<Course> = Vec::new();
    for (head, driven) in program.vehicle.heads.iter().zip(&drive.heads) {
        for (emitter, course) in head.emitters.iter().zip(&driven.emitters) {
            if course.level.is_constant() {
                continue;
            }
            // The page paints each color in its own default hue, whatever the lamp's is.
            let hue = emitter.color.default_chromaticity();
            let chromaticity = Chromaticity::new(hue.x, hue.y).unwrap_or(Chromaticity::D65);
            let known = courses
                .iter_mut()
                .find(|known| known.chromaticity == chromaticity && known.level == course.level);
            match known {
                Some(known) => known.n_emitters += 1,
                None => courses.push(Course {
                    level: course.level.clone(),
                    chromaticity,
                    n_emitters: 1,
                }),
            }
        }
    }
    courses
}

/// The lights over their common period, or over the loop when they have none; none when that is too much.
fn scene_of(courses: &[Course], horizon: Option<Micros>) -> Option<OwnedScene> {
    let chromaticities: Vec<_> = courses.iter().map(|course| course.chromaticity).collect();
    let period = match horizon {
        Some(horizon) => horizon,
        None => least_common_period(courses.iter().map(|course| course.level.period())).ok()?,
    };
    let n_cells = courses.iter().try_fold(0_i64, |sum, course| {
        let n_steps = i64::try_from(course.level.steps().len()).ok()?;
        let n_repeats = period.0 / course.level.period().0 + 1;
        sum.checked_add(n_steps.checked_mul(n_repeats)?)
    })?;
    let n_courses = i64::try_from(courses.len()).ok()?;
    if n_cells.checked_mul(n_courses)? > MOST_VALUES {
        return None;
    }
    let cells: Vec<Vec<Cell>> = courses
        .iter()
        .map(|course| cells_of(&course.level, horizon.unwrap_or(course.level.period())))
        .collect();
    let lanes: Vec<_> = courses
        .iter()
        .zip(&cells)
        .enumerate()
        .map(|(cluster, (course, cells))| Lane {
            cluster,
            weight: course.n_emitters,
            offset: 0,
            cells,
        })
        .collect();
    let longest = MAX_PERIOD_SECONDS * 1_000_000 * TICKS_PER_MICRO;
    OwnedScene::from_lanes(
        1_000_000 * TICKS_PER_MICRO,
        None,
        longest,
        &chromaticities,
        &lanes,
    )
    .ok()
}

/// The pieces of a course up to a horizon.
fn cells_of(course: &Waveform, horizon: Micros) -> Vec<Cell> {
    let mut cells = Vec::new();
    let mut left = horizon;
    while left > Micros::ZERO {
        for (interval, level) in course.pieces() {
            let length = interval.length.min(left);
            if length > Micros::ZERO {
                cells.push(Cell {
                    duration: length.0.saturating_mul(TICKS_PER_MICRO),
                    level,
                });
                left -= length;
            }
        }
    }
    cells
}
