//! A canvas whose pixels match the screen's.
//!
//! Invariant: drawing is in CSS pixels, or in what these become with the size of the page's text; that and the device pixel ratio are applied once, here.
//! Looks set by [`Surface::fill_with`] and its like go to the browser only when they change: telling it costs more than filling a bar.
//! A painter that uses them does not set the same looks on the context by itself.

use crate::platform::preferences::text_scale;
use crate::platform::window;
use std::cell::{Cell, RefCell};
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

/// A canvas with its context, sized for the screen.
pub(crate) struct Surface {
    canvas: HtmlCanvasElement,
    /// Everything drawn grows with the page's text.
    is_text: bool,
    /// The context; coordinates are CSS pixels, times the scale of the text if drawing grows with it.
    pub(crate) context: CanvasRenderingContext2d,
    /// Width in units of drawing.
    pub(crate) width_px: f64,
    /// Height in units of drawing.
    pub(crate) height_px: f64,
    /// Pixels of the screen in a unit of drawing.
    ratio: f64,
    fill: RefCell<String>,
    stroke: RefCell<String>,
    line_width: Cell<f64>,
    alpha: Cell<f64>,
    font: Cell<&'static str>,
    align: Cell<&'static str>,
}

impl Surface {
    /// The surface of a canvas, on which everything grows with the page's text or nothing does; none when the browser gives no context.
    pub(crate) fn new(canvas: &HtmlCanvasElement, is_text: bool) -> Option<Self> {
        let context = canvas.get_context("2d").ok().flatten()?.dyn_into().ok()?;
        let mut surface = Self {
            canvas: canvas.clone(),
            is_text,
            context,
            width_px: 0.0,
            height_px: 0.0,
            ratio: 1.0,
            fill: RefCell::default(),
            stroke: RefCell::default(),
            line_width: Cell::new(1.0),
            alpha: Cell::new(1.0),
            font: Cell::new(""),
            align: Cell::new(""),
        };
        surface.fit();
        Some(surface)
    }

    /// The element's width and height now in units of drawing, and pixels of the screen in such a unit, which [`Self::fit`] takes over; until then the browser stretches what is painted.
    pub(crate) fn wanted(&self) -> (f64, f64, f64) {
        let scale = if self.is_text { text_scale() } else { 1.0 };
        (
            f64::from(self.canvas.client_width()) / scale,
            f64::from(self.canvas.client_height()) / scale,
            device_ratio() * scale,
        )
    }

    /// Takes over the element's size; true when something changed.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "canvas sizes are small, positive and rounded"
    )]
    pub(crate) fn fit(&mut self) -> bool {
        if self.fits() {
            return false;
        }
        let (width, height, ratio) = self.wanted();
        self.width_px = width;
        self.height_px = height;
        self.ratio = ratio;
        self.canvas.set_width((width * ratio).round() as u32);
        self.canvas.set_height((height * ratio).round() as u32);
        true
    }

    /// Whether nothing changed of the element's size and the screen.
    pub(crate) fn fits(&self) -> bool {
        self.wanted() == (self.width_px, self.height_px, self.ratio)
    }

    /// Clears everything, sets the scale of drawing, and forgets which looks were set.
    pub(crate) fn begin(&self) {
        self.fill.borrow_mut().clear();
        self.stroke.borrow_mut().clear();
        self.font.set("");
        self.align.set("");
        self.line_width.set(1.0);
        self.context.set_line_width(1.0);
        self.alpha.set(1.0);
        self.context.set_global_alpha(1.0);
        let _ = self
            .context
            .set_transform(self.ratio, 0.0, 0.0, self.ratio, 0.0, 0.0);
        self.context
            .clear_rect(0.0, 0.0, self.width_px, self.height_px);
    }

    /// Fills a rectangle with its edges moved to whole pixels of the screen, at least one wide and high: sharp, and twice as fast as blended edges.
    pub(crate) fn fill_sharp(&self, x: f64, y: f64, width: f64, height: f64) {
        let whole = |px: f64| (px * self.ratio).round() / self.ratio;
        let least = 1.0 / self.ratio;
        let (left, top) = (whole(x), whole(y));
        self.context.fill_rect(
            left,
            top,
            (whole(x + width) - left).max(least),
            (whole(y + height) - top).max(least),
        );
    }

    /// What is filled next: a color and how much of it, 0 to 1.
    pub(crate) fn fill_with(&self, color: &str, alpha: f64) {
        self.blend(alpha);
        if *self.fill.borrow() != color {
            self.context.set_fill_style_str(color);
            color.clone_into(&mut self.fill.borrow_mut());
        }
    }

    /// What is stroked next: an opaque color and a width in CSS pixels.
    #[expect(clippy::float_cmp, reason = "the same figures come back unchanged")]
    pub(crate) fn stroke_with(&self, color: &str, width_px: f64) {
        self.blend(1.0);
        if *self.stroke.borrow() != color {
            self.context.set_stroke_style_str(color);
            color.clone_into(&mut self.stroke.borrow_mut());
        }
        if self.line_width.replace(width_px) != width_px {
            self.context.set_line_width(width_px);
        }
    }

    /// What is written next: a font and which part of the text stands at its anchor, vertically its middle.
    pub(crate) fn write_with(&self, font: &'static str, align: &'static str) {
        if self.font.replace(font) != font {
            self.context.set_font(font);
            self.context.set_text_baseline("middle");
        }
        if self.align.replace(align) != align {
            self.context.set_text_align(align);
        }
    }

    #[expect(clippy::float_cmp, reason = "the same figures come back unchanged")]
    fn blend(&self, alpha: f64) {
        if self.alpha.replace(alpha) != alpha {
            self.context.set_global_alpha(alpha);
        }
    }
}

fn device_ratio() -> f64 {
    window().map_or(1.0, |window| window.device_pixel_ratio())
}
