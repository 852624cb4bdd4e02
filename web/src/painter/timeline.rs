//! Paints the timeline's list of things, and the playhead on a canvas of its own above it.
//!
//! Invariant: the lower canvas is painted when the state, the hover or the panned view changes; a playing preview repaints the upper one alone.

use super::palette::Palette;
use super::surface::Surface;
use lampwright_editor::{
    EditorState, Hit, HitPart, Item, Line, Overlay, Rect, Role, Text, TextAlign, Viewport, hit_in,
    playhead, scene,
};
use lampwright_model::{Color, HeadId, Severity};
use lampwright_timing::Micros;
use std::rc::Rc;
use web_sys::HtmlCanvasElement;

/// Bars wider than this many CSS pixels have an outline.
const OUTLINED_PX: f64 = 6.0;

/// Paints the timeline.
pub(crate) struct TimelinePainter {
    lanes: Surface,
    above: Surface,
    palette: Palette,
    looks: u32,
    painted: Option<Rc<EditorState>>,
    painted_playhead: Option<Micros>,
    overlay: Overlay,
    is_overlay_new: bool,
}

impl TimelinePainter {
    /// A painter on two canvases of the same size; none when the browser gives no context.
    pub(crate) fn new(lanes: &HtmlCanvasElement, above: &HtmlCanvasElement) -> Option<Self> {
        Some(Self {
            lanes: Surface::new(lanes, true)?,
            above: Surface::new(above, true)?,
            palette: Palette::of_page(),
            looks: 0,
            painted: None,
            painted_playhead: None,
            overlay: Overlay::default(),
            is_overlay_new: false,
        })
    }

    /// Size of the canvas in units of drawing.
    pub(crate) fn size(&self) -> (f64, f64) {
        (self.lanes.width_px, self.lanes.height_px)
    }

    /// What lies under the pointer, in the view that is painted.
    pub(crate) fn point(&mut self, editor: &EditorState, place: Option<(f64, f64)>) -> Option<Hit> {
        let found = place.and_then(|(x, y)| hit_in(editor, &self.viewport(editor), x, y));
        if found != self.overlay.hover {
            self.overlay.hover = found;
            self.is_overlay_new = true;
        }
        found
    }

    /// The lane under the pointer.
    pub(crate) fn hovered_lane(&self) -> Option<usize> {
        match self.overlay.hover?.part {
            HitPart::Edge(at, _) | HitPart::Level(at) | HitPart::Body(at) => Some(at.lane),
            HitPart::LaneLabel(lane) | HitPart::Lane(lane) => Some(lane),
            HitPart::Ruler => None,
        }
    }

    /// Marks the lanes that drive the head under the pointer on the drawing of the vehicle.
    pub(crate) fn mark_head(&mut self, head: Option<&HeadId>) {
        if head != self.overlay.head.as_ref() {
            self.overlay.head = head.cloned();
            self.is_overlay_new = true;
        }
    }

    /// The view that is painted.
    pub(crate) fn viewport(&self, editor: &EditorState) -> Viewport {
        self.overlay.viewport.unwrap_or(*editor.viewport())
    }

    /// Paints another view without a change of the state.
    pub(crate) fn show(&mut self, viewport: Viewport) {
        self.overlay.viewport = Some(viewport);
        self.is_overlay_new = true;
    }

    /// Gives the view back to the state; returns it when it differed.
    pub(crate) fn take_view(&mut self) -> Option<Viewport> {
        self.overlay.viewport.take()
    }

    /// Paints what changed.
    pub(crate) fn paint(&mut self, editor: &Rc<EditorState>, at: Micros, looks: u32) {
        let is_resized = self.lanes.fit();
        let is_above_resized = self.above.fit();
        let is_changed = self
            .painted
            .as_ref()
            .is_none_or(|painted| !Rc::ptr_eq(painted, editor));
        let has_new_looks = looks != self.looks;
        let is_dirty = is_resized || is_changed || has_new_looks || self.is_overlay_new;
        if is_dirty {
            if has_new_looks || self.painted.is_none() {
                self.palette = Palette::of_page();
                self.looks = looks;
            }
            self.lanes.begin();
            self.items(&scene(editor, &self.overlay).items);
            self.is_overlay_new = false;
            self.painted = Some(editor.clone());
        }
        if is_dirty || is_above_resized || self.painted_playhead != Some(at) {
            self.above.begin();
            if let Some(line) = playhead(editor, &self.viewport(editor), at) {
                paint_line(&self.above, &line, &self.palette.playhead, 1.5);
            }
            self.painted_playhead = Some(at);
        }
    }

    /// Paints all in order, except that the pulses of a lane, which never cover each other, are painted color by color.
    fn items(&self, mut items: &[Item]) {
        while let Some(first) = items.first() {
            let n_pulses = items.iter().take_while(|item| is_of_pulse(item)).count();
            if n_pulses == 0 {
                self.item(first);
            }
            let (pulses, rest) = items.split_at(n_pulses.max(1));
            if n_pulses > 0 {
                self.pulses(pulses);
            }
            items = rest;
        }
    }

    /// First the outlines, as larger bars below, then the bars color by color, then their letters.
    fn pulses(&self, items: &[Item]) {
        let of_role = |role: Role| {
            items.iter().filter_map(move |item| match item {
                Item::Rect(rect) if rect.role == role => Some(rect),
                _ => None,
            })
        };
        let colors = || Color::ALL.into_iter().map(Some).chain([None]);
        let fill = |rect: &Rect, inset: f64| {
            self.lanes.fill_sharp(
                rect.x + inset,
                rect.y + inset,
                rect.width - 2.0 * inset,
                rect.height - 2.0 * inset,
            );
        };
        let is_outlined = |rect: &Rect| rect.width > OUTLINED_PX;
        for rect in colors().flat_map(|color| of_role(Role::Pulse(color))) {
            if is_outlined(rect) {
                self.lanes.fill_with(&self.palette.line_strong, 1.0);
                fill(rect, 0.0);
            }
        }
        for color in colors() {
            for rect in of_role(Role::Pulse(color)) {
                self.lanes.fill_with(self.palette.pulse(color, false), 1.0);
                fill(rect, if is_outlined(rect) { 1.0 } else { 0.0 });
            }
            for rect in of_role(Role::PulseSummary(color)) {
                self.lanes.fill_with(self.palette.pulse(color, true), 1.0);
                fill(rect, 0.0);
            }
        }
        for item in items {
            if let Item::Text(text) = item {
                self.text(text);
            }
        }
    }

    fn item(&self, item: &Item) {
        match item {
            Item::Rect(rect) => self.rect(rect),
            Item::Line(line) => {
                let (color, width) = self.line_looks(line.role);
                paint_line(&self.lanes, line, color, width);
            }
            Item::Text(text) => self.text(text),
        }
    }

    fn line_looks(&self, role: Role) -> (&str, f64) {
        match role {
            Role::RulerTick | Role::PeriodEnd => (&self.palette.line_strong, 1.0),
            Role::SnapGuide => (&self.palette.accent, 1.5),
            Role::LimitGuide => (self.severity(Severity::Warning), 1.0),
            Role::Playhead => (&self.palette.playhead, 1.5),
            Role::Finding(severity) => (self.severity(severity), 2.0),
            _ => (&self.palette.line, 1.0),
        }
    }

    fn severity(&self, severity: Severity) -> &str {
        let [info, warning, error] = &self.palette.severities;
        match severity {
            Severity::Info => info,
            Severity::Warning => warning,
            Severity::Error => error,
        }
    }

    fn rect(&self, rect: &Rect) {
        let context = &self.lanes.context;
        let fill = |color: &str, alpha: f64| {
            self.lanes.fill_with(color, alpha);
            context.fill_rect(rect.x, rect.y, rect.width, rect.height);
        };
        let stroke = |color: &str, width: f64, grow: f64| {
            self.lanes.stroke_with(color, width);
            context.stroke_rect(
                rect.x - grow,
                rect.y - grow,
                rect.width + 2.0 * grow,
                rect.height + 2.0 * grow,
            );
        };
        match rect.role {
            Role::RulerBackground | Role::LabelBackground => fill(&self.palette.panel, 1.0),
            Role::LaneSelected => fill(&self.palette.lane_selected, 1.0),
            Role::LaneOfSelectedHead => fill(&self.palette.accent, 1.0),
            Role::LaneFocused => stroke(&self.palette.accent, 1.0, -0.5),
            Role::OutsidePeriod => fill(&self.palette.line, 0.45),
            Role::PulseSelected => stroke(&self.palette.accent, 2.0, 1.0),
            Role::PulseFocused => stroke(&self.palette.ink, 2.0, 3.0),
            Role::Hover => stroke(&self.palette.ink, 1.0, 0.5),
            Role::SelectionRectangle => {
                fill(&self.palette.accent, 0.15);
                stroke(&self.palette.accent, 1.0, -0.5);
            }
            Role::Finding(severity) => fill(self.severity(severity), 0.85),
            _ => fill(&self.palette.lane, 1.0),
        }
    }

    fn text(&self, text: &Text) {
        let context = &self.lanes.context;
        let (color, font) = match text.role {
            Role::LaneLabel => (self.palette.ink.as_str(), "600 13px system-ui, sans-serif"),
            Role::LaneDetail => (
                self.palette.ink_quiet.as_str(),
                "11px system-ui, sans-serif",
            ),
            Role::PulseLetter(_) => ("#0d0f11", "700 12px system-ui, sans-serif"),
            Role::LimitLabel => (self.palette.ink.as_str(), "12px system-ui, sans-serif"),
            Role::GestureLabel => (self.palette.ink.as_str(), "600 12px system-ui, sans-serif"),
            Role::Hint => (self.palette.ink.as_str(), "14px system-ui, sans-serif"),
            _ => (
                self.palette.ink_quiet.as_str(),
                "12px system-ui, sans-serif",
            ),
        };
        let align = match text.align {
            TextAlign::Start => "left",
            TextAlign::Middle => "center",
            TextAlign::End => "right",
        };
        self.lanes.write_with(font, align);
        if matches!(text.role, Role::PulseLetter(_)) {
            // Only listed where it has room, and there may be thousands: not measured.
            self.lanes.fill_with(color, 1.0);
            let _ = context.fill_text(&text.text, text.x, text.y);
            return;
        }
        let width = |words: &str| {
            context
                .measure_text(words)
                .map_or(0.0, |metrics| metrics.width())
        };
        let mut words = text.text.clone();
        if width(&words) > text.max_width {
            while !words.is_empty() && width(&format!("{words}…")) > text.max_width {
                words.pop();
            }
            words.push('…');
        }
        let mut x = text.x;
        if matches!(text.role, Role::GestureLabel | Role::LimitLabel) {
            let room = width(&words) + 12.0;
            let wanted = match text.align {
                TextAlign::Start => x - 6.0,
                TextAlign::Middle => x - room / 2.0,
                TextAlign::End => x - room + 6.0,
            };
            let left = wanted.min(self.lanes.width_px - room - 2.0).max(2.0);
            x += left - wanted;
            self.lanes.fill_with(&self.palette.panel, 1.0);
            context.fill_rect(left, text.y - 10.0, room, 20.0);
            self.lanes.stroke_with(&self.palette.line_strong, 1.0);
            context.stroke_rect(left, text.y - 10.0, room, 20.0);
        }
        // A label at the right edge moves in, so that it can be read whole.
        let half = match text.align {
            TextAlign::Middle => width(&words) / 2.0,
            _ => 0.0,
        };
        let x = x.min(self.lanes.width_px - half - 2.0);
        self.lanes.fill_with(color, 1.0);
        let _ = context.fill_text(&words, x, text.y);
    }
}

/// Whether a thing is a bar of a pulse or its letter.
fn is_of_pulse(item: &Item) -> bool {
    match item {
        Item::Rect(rect) => matches!(rect.role, Role::Pulse(_) | Role::PulseSummary(_)),
        Item::Text(text) => matches!(text.role, Role::PulseLetter(_)),
        Item::Line(_) => false,
    }
}

fn paint_line(surface: &Surface, line: &Line, color: &str, width: f64) {
    let context = &surface.context;
    surface.stroke_with(color, width);
    context.begin_path();
    context.move_to(line.x1, line.y1);
    context.line_to(line.x2, line.y2);
    context.stroke();
}
