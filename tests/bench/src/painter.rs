//! The app's painter of the timeline, compiled from the app's own sources.

#[path = "../../../web/src/painter/palette.rs"]
#[expect(dead_code, reason = "the page has no view of the vehicle")]
pub(crate) mod palette;
#[path = "../../../web/src/painter/surface.rs"]
pub(crate) mod surface;
#[path = "../../../web/src/painter/timeline.rs"]
#[expect(dead_code, reason = "the page has no pointer")]
pub(crate) mod timeline;
