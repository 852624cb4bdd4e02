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
    /// The drawing of the vehicle, dark on every surface so that lamps look lit.
    pub(crate) plan: PlanPalette,
    /// Playhead.
    pub(crate) playhead: String,
    /// Severities: info, warning, error.
    pub(crate) severities: [String; 3],
    /// Pulses of the lamps' colors, then of no one color, upon a lane.
    pulses: [String; 6],
    /// The same for summaries of narrow pulses.
    summaries: [String; 6],
}

/// How much of a pulse's color covers the lane below it.
const PULSE_SHARE: f64 = 0.9;
/// The same for a summary of narrow pulses.
const SUMMARY_SHARE: f64 = 0.7;

/// Colors of the drawing of the vehicle.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct PlanPalette {
    /// Letters and labels.
    pub(crate) ink: String,
    /// Words of less weight.
    pub(crate) ink_quiet: String,
    /// Outlines.
    pub(crate) line_strong: String,
    /// Rings of selected heads.
    pub(crate) accent: String,
    /// Ground of emitters and labels.
    pub(crate) panel: String,
    /// Ground around the vehicle.
    pub(crate) road: String,
    /// Body of the vehicle.
    pub(crate) body: String,
    lamps: [String; 5],
}

impl PlanPalette {
    /// The color of a lamp.
    pub(crate) fn lamp(&self, color: Color) -> &str {
        let index = Color::ALL.iter().position(|known| *known == color);
        index
            .and_then(|index| self.lamps.get(index))
            .map_or("", String::as_str)
    }
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
        let lamps = Color::ALL.map(|lamp| color(&format!("--lamp-{}", lamp.name())));
        let (lane, ink_quiet) = (color("--lane"), color("--ink-quiet"));
        let upon_lane = |share: f64| {
            let [first, second, third, fourth, fifth] = &lamps;
            [first, second, third, fourth, fifth, &ink_quiet].map(|over| mixed(over, &lane, share))
        };
        Self {
            pulses: upon_lane(PULSE_SHARE),
            summaries: upon_lane(SUMMARY_SHARE),
            ink: color("--ink"),
            ink_quiet,
            line: color("--line"),
            line_strong: color("--line-strong"),
            accent: color("--accent"),
            panel: color("--panel"),
            lane,
            lane_selected: color("--lane-selected"),
            plan: PlanPalette {
                ink: color("--plan-ink"),
                ink_quiet: color("--plan-quiet"),
                line_strong: color("--plan-line"),
                accent: color("--plan-accent"),
                panel: color("--plan-panel"),
                road: color("--road"),
                body: color("--body"),
                lamps: Color::ALL.map(|lamp| color(&format!("--plan-{}", lamp.name()))),
            },
            playhead: color("--playhead"),
            severities: [color("--info"), color("--warning"), color("--error")],
        }
    }

    /// The opaque color of a pulse, or of a summary of narrow ones; none is a color that is not settled.
    ///
    /// Mixed here and not by the canvas, which fills opaque bars several times as fast.
    pub(crate) fn pulse(&self, color: Option<Color>, is_summary: bool) -> &str {
        let known = if is_summary {
            &self.summaries
        } else {
            &self.pulses
        };
        let place = color.and_then(|color| Color::ALL.iter().position(|known| *known == color));
        known
            .get(place.unwrap_or(Color::ALL.len()))
            .map_or("", String::as_str)
    }
}

/// A color over another, both `#rrggbb`; the upper one as it is when one of them is not.
fn mixed(over: &str, under: &str, share: f64) -> String {
    let (Some(over_parts), Some(under_parts)) = (parts(over), parts(under)) else {
        return over.to_owned();
    };
    let mut mixed = String::from("#");
    for (over, under) in over_parts.into_iter().zip(under_parts) {
        let part = share * f64::from(over) + (1.0 - share) * f64::from(under);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between two bytes"
        )]
        let part = part.round() as u8;
        mixed.push_str(&format!("{part:02x}"));
    }
    mixed
}

/// Red, green and blue of `#rrggbb`.
fn parts(color: &str) -> Option<[u8; 3]> {
    let digits = color.strip_prefix('#').filter(|digits| digits.len() == 6)?;
    let part = |from: usize| u8::from_str_radix(digits.get(from..from + 2)?, 16).ok();
    Some([part(0)?, part(2)?, part(4)?])
}
