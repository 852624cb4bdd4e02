//! A canvas whose pixels match the screen's.
//!
//! Invariant: drawing is in CSS pixels; the device pixel ratio is applied once, here.

use crate::platform::window;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// A canvas with its context, sized for the screen.
pub(crate) struct Surface {
    canvas: HtmlCanvasElement,
    /// The context; coordinates are CSS pixels.
    pub(crate) context: CanvasRenderingContext2d,
    /// Width in CSS pixels.
    pub(crate) width_px: f64,
    /// Height in CSS pixels.
    pub(crate) height_px: f64,
    ratio: f64,
}

impl Surface {
    /// The surface of a canvas; none when the browser gives no context.
    pub(crate) fn new(canvas: &HtmlCanvasElement) -> Option<Self> {
        let context = canvas.get_context("2d").ok().flatten()?.dyn_into().ok()?;
        let mut surface = Self {
            canvas: canvas.clone(),
            context,
            width_px: 0.0,
            height_px: 0.0,
            ratio: 1.0,
        };
        surface.fit();
        Some(surface)
    }

    /// Takes over the element's size; true when something changed.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "canvas sizes are small, positive and rounded"
    )]
    pub(crate) fn fit(&mut self) -> bool {
        let (width, height) = (
            f64::from(self.canvas.client_width()),
            f64::from(self.canvas.client_height()),
        );
        let ratio = window().map_or(1.0, |window| window.device_pixel_ratio());
        #[expect(clippy::float_cmp, reason = "the same figures come back unchanged")]
        let is_same = width == self.width_px && height == self.height_px && ratio == self.ratio;
        if is_same {
            return false;
        }
        self.width_px = width;
        self.height_px = height;
        self.ratio = ratio;
        self.canvas.set_width((width * ratio).round() as u32);
        self.canvas.set_height((height * ratio).round() as u32);
        true
    }

    /// Clears everything and sets the scale for CSS pixels.
    pub(crate) fn begin(&self) {
        let _ = self
            .context
            .set_transform(self.ratio, 0.0, 0.0, self.ratio, 0.0, 0.0);
        self.context
            .clear_rect(0.0, 0.0, self.width_px, self.height_px);
    }
}
