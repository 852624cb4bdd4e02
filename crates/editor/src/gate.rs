//! Holds back pictures of the vehicle that would flash too often, whatever makes them change.
//!
//! Taps on a control, a held key, scrubbing, another view and edits while the preview plays all change what is drawn; the speed of the preview alone cannot keep that in bounds.
//! Invariant: of the pictures let through, no second holds more than three in which any lamp begins to brighten, also where some are seen only at the end of a long frame.

use lampwright_timing::Micros;

/// Counts the flashes of what is painted, and says whether the next picture may be painted.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Gate {
    lamps: Vec<Course>,
    /// Whether any lamp has darkened since the last beginning flash.
    has_darkened: bool,
    /// By when the last pictures with a beginning flash were to be seen, the latest last.
    begun: [Option<Micros>; MOST_FLASHES],
    /// The latest of them was painted in the frame that is not over yet.
    is_on_its_way: bool,
}

/// What makes a picture differ from the one before.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Change {
    /// The preview plays: lamps change by themselves, at a speed that was chosen for it.
    pub is_playing: bool,
    /// An edit, a control, another situation or a scrub, whether or not the preview plays.
    pub is_by_hand: bool,
    /// The lamps stand in other places than before, other than by dragging heads, which are dark and followed by the eye.
    pub is_elsewhere: bool,
}

impl Change {
    fn is_play_alone(self) -> bool {
        self.is_playing && !self.is_by_hand && !self.is_elsewhere
    }
}

/// Most flashes in a second.
const MOST_FLASHES: usize = 3;
/// A second, and a tenth for frames that come late, as the safe speed has it.
const SECOND: Micros = Micros(1_100_000);
/// Least time between two beginning flashes of a picture that does not change by playing alone; three of them make 1.1 s.
const SPACE: Micros = Micros(366_667);
/// By how much a lamp has to brighten from its least, or darken from its most, for a change that is seen; of full.
const STEP: f64 = 0.02;

/// How bright a lamp was painted.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Course {
    /// The most while it brightens, the least while it darkens.
    extreme: f64,
    is_rising: bool,
}

impl Course {
    fn brightens_at(self, brightness: f64) -> bool {
        brightness - self.extreme >= STEP
    }

    fn darkens_at(self, brightness: f64) -> bool {
        self.extreme - brightness >= STEP
    }

    fn after(self, brightness: f64) -> Self {
        let step = brightness - self.extreme;
        match self.is_rising {
            true if step >= 0.0 => Self {
                extreme: brightness,
                ..self
            },
            false if step <= 0.0 => Self {
                extreme: brightness,
                ..self
            },
            is_rising if step.abs() >= STEP => Self {
                extreme: brightness,
                is_rising: !is_rising,
            },
            _ => self,
        }
    }
}

impl Gate {
    /// Takes note that a frame begins: what was painted in the one before is to be seen by now, on a busy machine well after it was let through.
    pub fn begin_frame(&mut self, now: Micros) {
        if std::mem::take(&mut self.is_on_its_way)
            && let Some(last) = self.begun.last_mut()
        {
            *last = Some(now);
        }
    }

    /// Whether a picture may be painted at an instant of the platform's clock; a yes is taken as done, after a no the picture before stays and the next frame asks again.
    ///
    /// `lamps` is how bright each is, 0 to 1.
    pub fn may_paint(&mut self, now: Micros, lamps: &[f64], change: Change) -> bool {
        let is_begin = self.is_begin(lamps, change);
        let since = |begun: &Option<Micros>, least: Micros| {
            // A clock that went back holds nothing up for ever.
            begun.is_none_or(|begun| now - begun >= least || now < begun)
        };
        let is_free = self.begun.first().is_none_or(|first| since(first, SECOND))
            && (change.is_play_alone() || self.begun.last().is_none_or(|last| since(last, SPACE)));
        if is_begin && !is_free {
            return false;
        }
        self.paint(now, lamps, is_begin);
        true
    }

    /// Takes note of a picture that has to be painted, allowed or not.
    pub fn must_paint(&mut self, now: Micros, lamps: &[f64], change: Change) {
        let is_begin = self.is_begin(lamps, change);
        self.paint(now, lamps, is_begin);
    }

    fn is_begin(&self, lamps: &[f64], change: Change) -> bool {
        let is_lit = |brightness: f64| brightness >= STEP;
        if lamps.len() != self.lamps.len() {
            return lamps.iter().copied().any(is_lit);
        }
        // A lamp that plays in rising steps flashes once, unless another beside it darkens in between; what is raised by hand is raised from what was seen for a while.
        let is_step = !change.is_play_alone() || self.has_darkened;
        // Lamps that move go out here and come on there; dark ones are drawn as well, with the vehicle around them.
        change.is_elsewhere
            || self.lamps.iter().zip(lamps).any(|(course, brightness)| {
                course.brightens_at(*brightness) && (!course.is_rising || is_step)
            })
    }

    fn paint(&mut self, now: Micros, lamps: &[f64], is_begin: bool) {
        let mut known = self.lamps.iter().zip(lamps);
        let has_darkened = known.any(|(course, brightness)| course.darkens_at(*brightness));
        self.has_darkened = has_darkened || (self.has_darkened && !is_begin);
        if lamps.len() == self.lamps.len() {
            for (course, brightness) in self.lamps.iter_mut().zip(lamps) {
                *course = course.after(*brightness);
            }
        } else {
            self.lamps = lamps
                .iter()
                .map(|brightness| Course {
                    extreme: *brightness,
                    is_rising: *brightness >= STEP,
                })
                .collect();
        }
        if is_begin {
            self.begun.rotate_left(1);
            if let Some(last) = self.begun.last_mut() {
                *last = Some(now);
            }
            self.is_on_its_way = true;
        }
    }
}
