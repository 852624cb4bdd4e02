//! Draws what the editor crate lists onto a canvas.
//!
//! Invariant: nothing is decided here; a painter only replays a list of things to draw.

pub(crate) mod palette;
pub(crate) mod plan;
pub(crate) mod surface;
pub(crate) mod timeline;
