//! The colors of the style sheet, read once per theme, for the canvases.
//!
//! Invariant: a color has one home, the style sheet; nothing here repeats one.

use crate::platform::{document, window};
use lampwright_model::Color;

/// Colors in CSS notation.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Palette {
    /// Text and outlines.
    pub(crate) ink: String,
    /// Text of less weight.
    pub(crate) ink_quiet: String,
    /// Fine lines.
    pub(crate) line: String,
    /// Lines that must be seen.
    pub(crate) line_strong: String,
    /// The accent.
    pub(crate) accent: String,
    /// Background of panels.
    pub(crate) panel: String,
    /// Background of lanes.
    pub(crate) lane: String,
    /// Background of selected lanes.
    pub(crate) lane_selected: String,
    /// Ground around the vehicle.
    pub(crate) road: String,
    /// Body of the vehicle.
    pub(crate) body: String,
    /// Playhead.
    pub(crate) playhead: String,
    /// Severities: info, warning, error.
    pub(crate) severities: [String; 3],
    lamps: [String; 5],
}

impl Palette {
    /// The colors as the style sheet has them now.
    pub(crate) fn of_page() -> Self {
        let style = document()
            .and_then(|document| document.document_element())
            .and_then(|root| window()?.get_computed_style(&root).ok().flatten());
        let color = |name: &str| -> String {
            style
                .as_ref()
                .and_then(|style| style.get_property_value(name).ok())
                .map(|value| value.trim().to_owned())
                .unwrap_or_default()
        };
        Self {
            ink: color("--ink"),
            ink_quiet: color("--ink-quiet"),
            line: color("--line"),
            line_strong: color("--line-strong"),
            accent: color("--accent"),
            panel: color("--panel"),
            lane: color("--lane"),
            lane_selected: color("--lane-selected"),
            road: color("--road"),
            body: color("--body"),
            playhead: color("--playhead"),
            severities: [color("--info"), color("--warning"), color("--error")],
            lamps: Color::ALL.map(|lamp| color(&format!("--lamp-{}", lamp.name()))),
        }
    }

    /// The color of a lamp.
    pub(crate) fn lamp(&self, color: Color) -> &str {
        let index = Color::ALL.iter().position(|known| *known == color);
        index
            .and_then(|index| self.lamps.get(index))
            .map_or("", String::as_str)
    }
}
