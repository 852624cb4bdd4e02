//! What to draw on the timeline: rectangles, lines and texts with a meaning each, no colors.
//!
//! The cost follows the pixels, not the data: rows and pulses out of sight are culled, and pulses narrower than three pixels are summarized per pixel column, or per few pixels when very many rows are seen.

mod lanes;
mod ruler;

use crate::{Driven, EditorState, Hit, Layout, Results, SnapTarget, Viewport};
use lampwright_model::{Color, HeadId, Severity};
use lampwright_timing::Micros;
use std::rc::Rc;

/// The timeline as a list of things to paint in order, later ones above.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Scene {
    /// Width in CSS pixels.
    pub width_px: f64,
    /// Height in CSS pixels.
    pub height_px: f64,
    /// What to paint, from the back to the front.
    pub items: Vec<Item>,
}

/// One thing to paint.
#[derive(Clone, PartialEq, Debug)]
pub enum Item {
    /// A filled rectangle; outlines are a role.
    Rect(Rect),
    /// A straight line one CSS pixel wide.
    Line(Line),
    /// A text.
    Text(Text),
}

/// A rectangle in CSS pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width, above zero.
    pub width: f64,
    /// Height, above zero.
    pub height: f64,
    /// What it means.
    pub role: Role,
}

/// A line in CSS pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Line {
    /// Start, horizontal.
    pub x1: f64,
    /// Start, vertical.
    pub y1: f64,
    /// End, horizontal.
    pub x2: f64,
    /// End, vertical.
    pub y2: f64,
    /// What it means.
    pub role: Role,
}

/// A text in CSS pixels, centered vertically on `y`.
#[derive(Clone, PartialEq, Debug)]
pub struct Text {
    /// Anchor, horizontal.
    pub x: f64,
    /// Middle of the line.
    pub y: f64,
    /// The words.
    pub text: String,
    /// Which part of the text stands at `x`.
    pub align: TextAlign,
    /// Room for it; the painter clips or shortens what is longer.
    pub max_width: f64,
    /// What it means.
    pub role: Role,
}

/// Which part of a text stands at its anchor.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum TextAlign {
    /// Its start.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// What a painted thing means; the theme gives it its looks.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Role {
    /// Surface of the ruler.
    RulerBackground,
    /// Labelled tick of the ruler (line).
    RulerTick,
    /// Tick between labels (line).
    RulerMinorTick,
    /// Time at a tick, in ms (text).
    RulerLabel,
    /// Line through the rows at a labelled tick.
    Grid,
    /// Surface of the column of labels.
    LabelBackground,
    /// Row of a lane.
    Lane,
    /// Row of a selected lane.
    LaneSelected,
    /// Mark of a lane that drives a selected head in the shown state.
    LaneOfSelectedHead,
    /// Outline of the row with the keyboard focus (stroke the rectangle).
    LaneFocused,
    /// Line below a row.
    LaneBorder,
    /// Role of a lane (text).
    LaneLabel,
    /// Heads a lane drives in the shown state, or that it drives none (text).
    LaneDetail,
    /// What lies outside the period (rectangle).
    OutsidePeriod,
    /// End of the period (line).
    PeriodEnd,
    /// A pulse; none is a color that the layers do not settle.
    Pulse(Option<Color>),
    /// Several pulses too narrow to draw apart, in one pixel column; as high as the strongest.
    PulseSummary(Option<Color>),
    /// Outline of a selected pulse (stroke the rectangle).
    PulseSelected,
    /// Outline of the focused pulse (stroke the rectangle).
    PulseFocused,
    /// Outline of the pulse or label under the pointer (stroke the rectangle).
    Hover,
    /// Letter of a pulse's color (text on the pulse).
    PulseLetter(Option<Color>),
    /// Where an edge snapped to (line).
    SnapGuide,
    /// Where the limit of a chosen rule lies for what is dragged (line).
    LimitGuide,
    /// The rule and its limit (text).
    LimitLabel,
    /// Rectangle that selects (fill faintly and stroke).
    SelectionRectangle,
    /// Exact values of the gesture under way (text).
    GestureLabel,
    /// A finding's place (rectangle or line).
    Finding(Severity),
    /// Where the preview is (line).
    Playhead,
    /// What to do first in an empty view (text).
    Hint,
}

/// What the canvas adds by itself, without a change of the editor's state.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Overlay {
    /// Viewport in place of the state's, while the canvas pans or zooms by itself.
    pub viewport: Option<Viewport>,
    /// What is under the pointer.
    pub hover: Option<Hit>,
    /// The head under the pointer on the drawing of the vehicle; the lanes that drive it are marked.
    pub head: Option<HeadId>,
}

/// The timeline as it is now; pure.
#[must_use]
pub fn scene(state: &EditorState, overlay: &Overlay) -> Scene {
    let view = overlay.viewport.unwrap_or(*state.viewport());
    let mut painter = Painter {
        state,
        view,
        driven: state.driven(),
        judged: state.judged(),
        hover: overlay.hover,
        head: overlay.head.as_ref(),
        n_selected: state.selection().pulses.len(),
        column_px: 1.0,
        letter_px: LETTER_PX,
        items: Vec::new(),
    };
    painter.paint();
    Scene {
        width_px: view.width_px,
        height_px: view.height_px,
        items: painter.items,
    }
}

/// The playhead's line for an instant of the preview; none when it is out of sight or no pattern is open.
///
/// The instant is taken within the period of the open pattern.
#[must_use]
pub fn playhead(state: &EditorState, view: &Viewport, at: Micros) -> Option<Line> {
    let pattern = state.open_pattern()?;
    let x = view.x_of(at.wrap(pattern.period.max(Micros(1))));
    (x >= Layout::LABEL_PX && x <= view.width_px).then_some(Line {
        x1: x,
        y1: 0.0,
        x2: x,
        y2: view.height_px,
        role: Role::Playhead,
    })
}

/// Height at which all rows of a pattern are seen, in CSS pixels.
#[must_use]
pub fn scene_height_px(n_lanes: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "lanes are few")]
    let n_lanes = n_lanes as f64;
    Layout::RULER_PX + n_lanes * Layout::LANE_PX
}

/// Most columns of all rows together; a canvas takes 0.6 to 0.9 µs to ask for and paint a bar, so this many leave room for the rest within a frame of 8 ms (measured, see `cargo xtask bench`).
const MOST_COLUMNS: f64 = 4_500.0;

/// Most letters there could be room for in all rows together; a letter takes some 2 µs.
const MOST_LETTERS: f64 = 2_000.0;

/// Least width of a bar that carries its letter, in CSS pixels.
const LETTER_PX: f64 = 14.0;

/// Collects the things to paint.
struct Painter<'a> {
    state: &'a EditorState,
    view: Viewport,
    driven: Rc<Driven>,
    /// None while judging has to wait: then there are no marks of findings.
    judged: Option<Rc<Results>>,
    hover: Option<Hit>,
    head: Option<&'a HeadId>,
    n_selected: usize,
    /// Width of the columns that narrow pulses are summarized in: one pixel, more when very many rows are seen.
    column_px: f64,
    /// Least width of a bar that carries its letter: enough for a letter, more when very many rows are seen.
    letter_px: f64,
    items: Vec<Item>,
}

impl Painter<'_> {
    fn paint(&mut self) {
        let Some(pattern) = self.state.open_pattern() else {
            self.ruler();
            self.hint("Add a pattern to begin");
            return;
        };
        let visible = self.view.visible_lanes(pattern.lanes.len());
        let lanes = || {
            pattern
                .lanes
                .iter()
                .enumerate()
                .skip(visible.start)
                .take(visible.len())
        };
        #[expect(clippy::cast_precision_loss, reason = "lanes are few")]
        let area = visible.len() as f64 * self.view.lanes_px();
        self.column_px = (area / MOST_COLUMNS).ceil().max(1.0);
        self.letter_px = (area / MOST_LETTERS).max(LETTER_PX);
        for (lane_idx, _) in lanes() {
            self.lane(lane_idx);
        }
        self.grid();
        self.outside(pattern.period);
        for (lane_idx, lane) in lanes() {
            self.pulses(lane_idx, lane);
            self.findings(lane_idx, lane);
        }
        self.hover();
        self.guide();
        let height_px = self.view.height_px;
        self.rect(0.0, 0.0, Layout::LABEL_PX, height_px, Role::LabelBackground);
        for (lane_idx, lane) in lanes() {
            self.lane_label(lane_idx, lane);
        }
        self.ruler();
        let end = self.view.x_of(pattern.period);
        if (Layout::LABEL_PX..=self.view.width_px).contains(&end) {
            let bottom = self.rows_bottom();
            self.line(end, 0.0, end, bottom, Role::PeriodEnd);
        }
        if pattern.lanes.is_empty() {
            self.hint("Add a lane to draw in");
        } else if pattern.lanes.iter().all(|lane| lane.pulses.is_empty()) {
            self.hint("Drag in a lane to draw a pulse, or press I");
        }
        self.gesture();
    }

    fn rows_bottom(&self) -> f64 {
        let n_lanes = self
            .state
            .open_pattern()
            .map_or(0, |pattern| pattern.lanes.len());
        self.view.lane_top(n_lanes).min(self.view.height_px)
    }

    fn outside(&mut self, period: Micros) {
        let bottom = self.rows_bottom();
        let height = (bottom - Layout::RULER_PX).max(0.0);
        let start = self.view.x_of(Micros::ZERO).min(self.view.width_px);
        self.rect(
            Layout::LABEL_PX,
            Layout::RULER_PX,
            start - Layout::LABEL_PX,
            height,
            Role::OutsidePeriod,
        );
        let end = self.view.x_of(period).max(Layout::LABEL_PX);
        self.rect(
            end,
            Layout::RULER_PX,
            self.view.width_px - end,
            height,
            Role::OutsidePeriod,
        );
    }

    fn guide(&mut self) {
        let snapped = self
            .state
            .gesture()
            .and_then(crate::Gesture::snapped)
            .filter(|snapped| snapped.target != SnapTarget::Tick);
        self.limit_guides();
        if let Some(snapped) = snapped {
            let x = self.view.x_of(snapped.at);
            let bottom = self.rows_bottom();
            self.line(x, Layout::RULER_PX, x, bottom, Role::SnapGuide);
        }
    }

    fn limit_guides(&mut self) {
        let Some(gesture) = self.state.gesture() else {
            return;
        };
        let bottom = self.rows_bottom();
        // Below the rows where there is room, else over the first ones.
        let needed = 22.0 * f64::from(u8::try_from(gesture.guides().len()).unwrap_or(u8::MAX));
        let mut y = if bottom + needed + 10.0 <= self.view.height_px {
            bottom + 14.0
        } else {
            Layout::RULER_PX + 12.0
        };
        for guide in gesture.guides() {
            let x = self.view.x_of(guide.at);
            if !(Layout::LABEL_PX..=self.view.width_px).contains(&x) {
                continue;
            }
            self.line(x, Layout::RULER_PX, x, bottom.max(y), Role::LimitGuide);
            let is_right = x > Layout::LABEL_PX + self.view.lanes_px() * 0.66;
            let (x, align) = if is_right {
                (x - 10.0, TextAlign::End)
            } else {
                (x + 10.0, TextAlign::Start)
            };
            let room = self.view.lanes_px() / 2.0;
            self.text(x, y, guide.text.clone(), align, room, Role::LimitLabel);
            y += 22.0;
        }
    }

    fn gesture(&mut self) {
        let Some(gesture) = self.state.gesture() else {
            return;
        };
        if let Some(((x1, y1), (x2, y2))) = gesture.rectangle_px() {
            self.rect(
                x1.min(x2).max(Layout::LABEL_PX),
                y1.min(y2).max(Layout::RULER_PX),
                (x1.max(x2) - x1.min(x2).max(Layout::LABEL_PX)).max(1.0),
                (y1.max(y2) - y1.min(y2).max(Layout::RULER_PX)).max(1.0),
                Role::SelectionRectangle,
            );
        }
        if !gesture.values().is_empty() {
            let (x, y) = gesture.now_px;
            let is_right = x > Layout::LABEL_PX + self.view.lanes_px() * 0.66;
            self.text(
                if is_right { x - 14.0 } else { x + 14.0 },
                (y - 16.0).max(Layout::RULER_PX + 8.0),
                gesture.values().to_owned(),
                if is_right {
                    TextAlign::End
                } else {
                    TextAlign::Start
                },
                // The painter moves it in from the edges.
                self.view.width_px - 16.0,
                Role::GestureLabel,
            );
        }
    }

    fn hint(&mut self, text: &str) {
        let x = Layout::LABEL_PX + self.view.lanes_px() / 2.0;
        let y = (Layout::RULER_PX + self.view.height_px) / 2.0;
        let room = self.view.lanes_px();
        self.text(x, y, text.to_owned(), TextAlign::Middle, room, Role::Hint);
    }

    fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, role: Role) {
        if width > 0.0 && height > 0.0 {
            self.items.push(Item::Rect(Rect {
                x,
                y,
                width,
                height,
                role,
            }));
        }
    }

    fn line(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, role: Role) {
        self.items.push(Item::Line(Line {
            x1,
            y1,
            x2,
            y2,
            role,
        }));
    }

    fn text(&mut self, x: f64, y: f64, text: String, align: TextAlign, max_width: f64, role: Role) {
        self.items.push(Item::Text(Text {
            x,
            y,
            text,
            align,
            max_width,
            role,
        }));
    }
}
