//! Which part of the timeline is seen, and the places of its rows.
//!
//! Floating point here means pixels; an instant read from a pixel is rounded to the microsecond once.

use lampwright_timing::Micros;

/// The visible part of the timeline.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Viewport {
    /// Instant at the left edge of the lanes, in microseconds; may have a fraction and be below zero.
    pub start_us: f64,
    /// Microseconds per CSS pixel, above zero.
    pub us_per_px: f64,
    /// Rows scrolled out above, in CSS pixels.
    pub top_px: f64,
    /// Width of the canvas in CSS pixels, labels included.
    pub width_px: f64,
    /// Height of the canvas in CSS pixels, ruler included.
    pub height_px: f64,
}

/// Sizes of the timeline's parts in CSS pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Layout;

impl Layout {
    /// Width of the column of lane labels.
    pub const LABEL_PX: f64 = 128.0;
    /// Height of the ruler.
    pub const RULER_PX: f64 = 28.0;
    /// Height of a lane's row.
    pub const LANE_PX: f64 = 44.0;
    /// Free space above and below the bars of a row.
    pub const LANE_PADDING_PX: f64 = 5.0;
    /// Free space right of a fitted period.
    pub const FIT_MARGIN_PX: f64 = 16.0;
}

/// Finest zoom: one microsecond over 20 pixels.
const FINEST_US_PER_PX: f64 = 0.05;
/// Coarsest zoom: ten minutes over 600 pixels.
const COARSEST_US_PER_PX: f64 = 1_000_000.0;

/// How many periods are seen side by side at most.
const MOST_PERIODS_SEEN: f64 = 4.0;

impl Default for Viewport {
    fn default() -> Self {
        Self {
            start_us: 0.0,
            us_per_px: 1_000.0,
            top_px: 0.0,
            width_px: 960.0,
            height_px: 320.0,
        }
    }
}

impl Viewport {
    /// This viewport if it makes sense, else the other.
    pub(crate) fn or(self, other: &Self) -> Self {
        let numbers = [
            self.start_us,
            self.us_per_px,
            self.top_px,
            self.width_px,
            self.height_px,
        ];
        let makes_sense = numbers.iter().all(|number| number.is_finite())
            && (FINEST_US_PER_PX..=COARSEST_US_PER_PX).contains(&self.us_per_px)
            && self.width_px >= 1.0
            && self.height_px >= 1.0;
        if makes_sense { self } else { *other }
    }

    /// Width of the lanes' area in CSS pixels, at least one.
    #[must_use]
    pub fn lanes_px(&self) -> f64 {
        (self.width_px - Layout::LABEL_PX).max(1.0)
    }

    /// Horizontal place of an instant on the canvas.
    #[must_use]
    pub fn x_of(&self, instant: Micros) -> f64 {
        Layout::LABEL_PX + (to_f64(instant) - self.start_us) / self.us_per_px
    }

    /// The instant at a horizontal place of the canvas, rounded to the microsecond.
    #[must_use]
    pub fn time_at(&self, x_px: f64) -> Micros {
        from_f64(self.start_us + (x_px - Layout::LABEL_PX) * self.us_per_px)
    }

    /// How long `px` pixels are, rounded to the microsecond.
    #[must_use]
    pub fn length_of(&self, px: f64) -> Micros {
        from_f64(px * self.us_per_px)
    }

    /// Top of a lane's row on the canvas.
    #[must_use]
    pub fn lane_top(&self, lane_idx: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "lanes are few")]
        let index = lane_idx as f64;
        Layout::RULER_PX + index * Layout::LANE_PX - self.top_px
    }

    /// The lane at a vertical place of the canvas; none on the ruler and below the last lane.
    #[must_use]
    pub fn lane_at(&self, y_px: f64, n_lanes: usize) -> Option<usize> {
        if y_px.is_nan() || y_px < Layout::RULER_PX {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative here, and saturating"
        )]
        let index = ((y_px - Layout::RULER_PX + self.top_px) / Layout::LANE_PX).max(0.0) as usize;
        (index < n_lanes).then_some(index)
    }

    /// The indices of the lanes of which something is seen.
    #[must_use]
    pub fn visible_lanes(&self, n_lanes: usize) -> std::ops::Range<usize> {
        let first = self.lane_at(Layout::RULER_PX, n_lanes).unwrap_or(n_lanes);
        let last = self
            .lane_at(self.height_px.max(Layout::RULER_PX), n_lanes)
            .map_or(n_lanes, |last| last + 1);
        first..last.max(first)
    }

    /// Magnified by `factor` about a place of the canvas; the instant under it stays there.
    #[must_use]
    pub fn zoomed_about(&self, x_px: f64, factor: f64) -> Self {
        if !(factor.is_finite() && factor > 0.0 && x_px.is_finite()) {
            return *self;
        }
        let us_per_px = (self.us_per_px / factor).clamp(FINEST_US_PER_PX, COARSEST_US_PER_PX);
        let from_left = x_px - Layout::LABEL_PX;
        Self {
            start_us: self.start_us + from_left * (self.us_per_px - us_per_px),
            us_per_px,
            ..*self
        }
    }

    /// Moved so that what was seen goes left and up by the given pixels.
    #[must_use]
    pub fn panned(&self, dx_px: f64, dy_px: f64) -> Self {
        if !(dx_px.is_finite() && dy_px.is_finite()) {
            return *self;
        }
        Self {
            start_us: self.start_us + dx_px * self.us_per_px,
            top_px: self.top_px + dy_px,
            ..*self
        }
    }

    /// Kept near what there is to see: the period stays in reach, rows do not scroll away.
    #[must_use]
    pub fn limited_to(&self, period: Micros, n_lanes: usize) -> Self {
        let seen_us = self.lanes_px() * self.us_per_px;
        let period_us = to_f64(period);
        let lowest = (-0.5 * seen_us).min(0.0);
        let highest = (period_us - 0.5 * seen_us).max(0.0);
        #[expect(clippy::cast_precision_loss, reason = "lanes are few")]
        let rows_px = n_lanes as f64 * Layout::LANE_PX;
        let most_top = (rows_px + Layout::RULER_PX - self.height_px).max(0.0);
        Self {
            start_us: self.start_us.clamp(lowest, highest),
            top_px: self.top_px.clamp(0.0, most_top),
            ..*self
        }
    }

    /// Zoomed about a place, but no coarser than a period that keeps a quarter of the width.
    #[must_use]
    pub fn zoomed_within(&self, x_px: f64, factor: f64, period: Micros) -> Self {
        if !factor.is_finite() {
            return *self;
        }
        let coarsest = MOST_PERIODS_SEEN * self.fitted_to(Micros::ZERO, period).us_per_px;
        self.zoomed_about(
            x_px,
            factor.max(self.us_per_px / coarsest.max(self.us_per_px)),
        )
    }

    /// Whether the period is seen from its start to its end.
    pub(crate) fn sees_all_of(&self, period: Micros) -> bool {
        self.start_us <= 0.0 && self.x_of(period) <= self.width_px
    }

    /// Shows `from..to` over the whole width.
    #[must_use]
    pub fn fitted_to(&self, from: Micros, to: Micros) -> Self {
        let length = to_f64(to - from).max(1.0);
        let room = (self.lanes_px() - Layout::FIT_MARGIN_PX).max(1.0);
        Self {
            start_us: to_f64(from),
            us_per_px: (length / room).clamp(FINEST_US_PER_PX, COARSEST_US_PER_PX),
            ..*self
        }
    }

    /// Moved as little as needed to bring an instant and a lane into view.
    #[must_use]
    pub fn revealing(&self, instant: Micros, lane_idx: usize) -> Self {
        let mut view = *self;
        let x = view.x_of(instant);
        let margin = (0.1 * self.lanes_px()).min(48.0);
        let (left, right) = (Layout::LABEL_PX + margin, self.width_px - margin);
        // What is in sight already, if at the very edge, stays where it is.
        if x < Layout::LABEL_PX {
            view.start_us += (x - left) * view.us_per_px;
        } else if x > self.width_px {
            view.start_us += (x - right) * view.us_per_px;
        }
        let top = view.lane_top(lane_idx);
        if top < Layout::RULER_PX {
            view.top_px += top - Layout::RULER_PX;
        } else if top + Layout::LANE_PX > view.height_px {
            view.top_px += (top + Layout::LANE_PX - view.height_px).min(top - Layout::RULER_PX);
        }
        view
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "for pixels; times stay far below 2^53 microseconds"
)]
pub(crate) fn to_f64(instant: Micros) -> f64 {
    instant.0 as f64
}

/// Rounded to the nearest microsecond, halves away from zero, and kept within what is taken seriously.
pub(crate) fn from_f64(microseconds: f64) -> Micros {
    const LIMIT: f64 = 1e15;
    if microseconds.is_nan() {
        return Micros::ZERO;
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped far inside 64 bits"
    )]
    Micros(microseconds.clamp(-LIMIT, LIMIT).round() as i64)
}
