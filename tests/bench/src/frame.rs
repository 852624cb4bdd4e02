//! One frame of 64 lanes with 100,000 pulses.

use crate::painter::timeline::TimelinePainter;
use lampwright_editor::{Action, EditorState, Overlay, Viewport, scene, scene_height_px};
use lampwright_tests::large::{N_LANES, lanes_program};
use lampwright_timing::Micros;
use std::rc::Rc;
use wasm_bindgen::prelude::wasm_bindgen;
use web_sys::HtmlCanvasElement;

/// The app's painter on the page's canvases, with the large program open.
#[wasm_bindgen]
pub struct FrameBench {
    editor: Rc<EditorState>,
    painter: TimelinePainter,
    view: Viewport,
}

impl std::fmt::Debug for FrameBench {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("FrameBench").finish_non_exhaustive()
    }
}

#[wasm_bindgen]
impl FrameBench {
    /// Height at which all lanes are seen, in CSS pixels.
    #[must_use]
    pub fn all_lanes_px() -> f64 {
        scene_height_px(N_LANES)
    }

    /// Opens the program on two canvases of the same size; none when the browser gives no context.
    #[must_use]
    pub fn open(lanes: &HtmlCanvasElement, above: &HtmlCanvasElement) -> Option<Self> {
        let painter = TimelinePainter::new(lanes, above)?;
        let (width_px, height_px) = painter.size();
        let editor = EditorState::new(Rc::new(lanes_program())).apply(Action::Resize {
            width_px,
            height_px,
        });
        // The colors of the lanes come from what the state resolves to, which a frame does not compute again.
        let _ = editor.results();
        Some(Self {
            view: *editor.viewport(),
            editor: Rc::new(editor),
            painter,
        })
    }

    /// Shows a part of the period, from its middle on, or all of it; returns the number of microseconds seen.
    pub fn zoom(&mut self, share: f64) -> f64 {
        let Some(pattern) = self.editor.open_pattern() else {
            return 0.0;
        };
        let period = pattern.period;
        let length = share_of(period, share).max(pattern.tick).min(period);
        let from = if length == period {
            Micros::ZERO
        } else {
            Micros(period.0 / 2)
        };
        self.view = self.editor.viewport().fitted_to(from, from + length);
        self.view.us_per_px * self.view.lanes_px()
    }

    /// Builds the scene and paints it, as the app does when the view moves.
    pub fn paint(&mut self) {
        self.painter.show(self.view);
        self.painter.paint(&self.editor, Micros::ZERO, 0);
    }

    /// Builds the scene alone; the number of things to paint.
    #[must_use]
    pub fn build(&self) -> usize {
        let overlay = Overlay {
            viewport: Some(self.view),
            ..Overlay::default()
        };
        scene(&self.editor, &overlay).items.len()
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    reason = "a period is far below 2^53 microseconds"
)]
fn share_of(period: Micros, share: f64) -> Micros {
    Micros((period.0 as f64 * share) as i64)
}
