//! The ruler in ms, and the grid below it.

use super::{Painter, Role, TextAlign};
use crate::Layout;
use crate::viewport::to_f64;
use lampwright_timing::Micros;

/// Least distance between two labels.
const LABEL_STEP_PX: f64 = 76.0;
/// Least distance between two ticks without label.
const MINOR_STEP_PX: f64 = 7.0;

impl Painter<'_> {
    pub(super) fn grid(&mut self) {
        let bottom = self.rows_bottom();
        for (_, x) in self.ticks(label_step(self.view.us_per_px)) {
            self.line(x, Layout::RULER_PX, x, bottom, Role::Grid);
        }
    }

    pub(super) fn ruler(&mut self) {
        self.rect(
            0.0,
            0.0,
            self.view.width_px,
            Layout::RULER_PX,
            Role::RulerBackground,
        );
        let step = label_step(self.view.us_per_px);
        if let Some(minor) = minor_step(step, self.view.us_per_px) {
            for (_, x) in self.ticks(minor) {
                self.line(
                    x,
                    Layout::RULER_PX - 4.0,
                    x,
                    Layout::RULER_PX,
                    Role::RulerMinorTick,
                );
            }
        }
        for (instant, x) in self.ticks(step) {
            self.line(
                x,
                Layout::RULER_PX - 9.0,
                x,
                Layout::RULER_PX,
                Role::RulerTick,
            );
            self.text(
                x,
                10.0,
                instant.to_string(),
                TextAlign::Middle,
                LABEL_STEP_PX,
                Role::RulerLabel,
            );
        }
    }

    /// The multiples of a step that are seen, with their places.
    fn ticks(&self, step: Micros) -> Vec<(Micros, f64)> {
        let from = self.view.time_at(Layout::LABEL_PX).max(Micros::ZERO);
        let to = self.view.time_at(self.view.width_px);
        let first = (from.0 + step.0 - 1).div_euclid(step.0);
        let last = to.0.div_euclid(step.0);
        // No more than one per pixel, whatever the viewport claims.
        (first..=last.min(first + 8_192))
            .map(|index| step * index)
            .map(|instant| (instant, self.view.x_of(instant)))
            .filter(|(_, x)| *x >= Layout::LABEL_PX)
            .collect()
    }
}

/// The smallest of 1, 2, 5, 10, 20, 50 … microseconds whose labels have room.
pub(super) fn label_step(us_per_px: f64) -> Micros {
    let mut power = 1_i64;
    loop {
        for digit in [1, 2, 5] {
            let step = Micros(digit * power);
            if to_f64(step) >= LABEL_STEP_PX * us_per_px || power >= 1_000_000_000_000 {
                return step;
            }
        }
        power *= 10;
    }
}

fn minor_step(step: Micros, us_per_px: f64) -> Option<Micros> {
    [10, 5, 4, 2]
        .into_iter()
        .filter(|parts| step.0 % parts == 0)
        .map(|parts| Micros(step.0 / parts))
        .find(|minor| to_f64(*minor) >= MINOR_STEP_PX * us_per_px)
}
