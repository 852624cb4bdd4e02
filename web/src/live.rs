//! What changes between two states: the playhead, the hover, the view while it is panned.
//!
//! Invariant: nothing here is part of the document; losing it loses no work.
//! The one animation-frame loop calls [`Live::tick`]; canvases hang their painters here.

use crate::painter::plan::PlanPainter;
use crate::painter::timeline::TimelinePainter;
use lampwright_editor::EditorState;
use lampwright_timing::Micros;
use std::any::Any;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use web_sys::HtmlInputElement;

/// Longest step of the preview between two frames; after a pause of the page it goes on where it was.
const LONGEST_STEP_MS: f64 = 100.0;

/// What the canvases draw from.
pub(crate) struct Live {
    /// The latest state.
    editor: RefCell<Rc<EditorState>>,
    /// Program time of the preview.
    playhead: Cell<Micros>,
    /// The last program time the state told.
    told: Cell<Micros>,
    /// Time of the last frame in milliseconds, while playing.
    last_frame_ms: Cell<Option<f64>>,
    /// Fraction of a microsecond that the playhead is ahead.
    rest_us: Cell<f64>,
    /// Direction of the finding gone to last, whole degrees counterclockwise from forward.
    pub(crate) direction: Cell<Option<u16>>,
    /// Painter of the vehicle.
    pub(crate) plan: RefCell<Option<PlanPainter>>,
    /// Painter of the timeline.
    pub(crate) timeline: RefCell<Option<TimelinePainter>>,
    /// The slider of the time, with the figure after it.
    pub(crate) scrubber: RefCell<Option<HtmlInputElement>>,
    /// What the slider shows, whole milliseconds; below zero is to be shown afresh.
    pub(crate) scrubbed_ms: Cell<i64>,
    /// Rises when the theme or the fonts change, so that canvases paint again.
    pub(crate) looks: Cell<u32>,
    /// What a view has under way, kept while another view is shown.
    pub(crate) under_way: RefCell<Option<Rc<dyn Any>>>,
}

impl Live {
    /// Nothing moving yet.
    pub(crate) fn new(editor: Rc<EditorState>) -> Self {
        let at = editor.preview().at;
        Self {
            editor: RefCell::new(editor),
            playhead: Cell::new(at),
            told: Cell::new(at),
            last_frame_ms: Cell::new(None),
            rest_us: Cell::new(0.0),
            direction: Cell::new(None),
            plan: RefCell::new(None),
            timeline: RefCell::new(None),
            scrubber: RefCell::new(None),
            scrubbed_ms: Cell::new(-1),
            looks: Cell::new(0),
            under_way: RefCell::new(None),
        }
    }

    /// Takes over the latest state.
    pub(crate) fn show(&self, editor: Rc<EditorState>) {
        let at = editor.preview().at;
        let has_stopped = self.editor().preview().is_playing && !editor.preview().is_playing;
        if at != self.told.get() || has_stopped {
            self.told.set(at);
            self.playhead.set(at);
            self.rest_us.set(0.0);
        }
        *self.editor.borrow_mut() = editor;
    }

    /// The latest state.
    pub(crate) fn editor(&self) -> Rc<EditorState> {
        self.editor.borrow().clone()
    }

    /// Program time of the preview.
    pub(crate) fn playhead(&self) -> Micros {
        self.playhead.get()
    }

    /// One frame: moves the playhead and lets the canvases paint what changed.
    ///
    /// Returns the size of the timeline's canvas in CSS pixels when the state does not know it yet.
    pub(crate) fn tick(&self, time_ms: f64) -> Option<(f64, f64)> {
        let editor = self.editor();
        let before = (self.playhead.get(), self.rest_us.get());
        if editor.preview().is_playing {
            if let (Some(last), Some(speed)) =
                (self.last_frame_ms.get(), editor.known_preview_speed())
            {
                let elapsed_ms = (time_ms - last).clamp(0.0, LONGEST_STEP_MS);
                self.advance(elapsed_ms, f64::from(speed.per_mille()) / 1000.0);
                if editor.preview().is_looped {
                    self.playhead
                        .set(editor.preview_instant(self.playhead.get()));
                }
            }
            self.last_frame_ms.set(Some(time_ms));
        } else {
            self.last_frame_ms.set(None);
        }
        let looks = self.looks.get();
        if let Some(painter) = self.plan.borrow_mut().as_mut() {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "milliseconds since the page was opened"
            )]
            let now = Micros((time_ms * 1000.0) as i64);
            let is_painted = painter.paint(
                &editor,
                self.playhead.get(),
                looks,
                self.direction.get(),
                now,
            );
            if !is_painted && editor.preview().is_playing {
                // One clock: what is held back is shown later, not left out.
                self.playhead.set(before.0);
                self.rest_us.set(before.1);
            }
        }
        self.show_time(&editor);
        let mut timeline = self.timeline.borrow_mut();
        let painter = timeline.as_mut()?;
        if let Some(plan) = self.plan.borrow_mut().as_mut() {
            plan.mark_lane(painter.hovered_lane());
            painter.mark_head(plan.hovered_head());
        }
        painter.paint(&editor, self.playhead.get(), looks);
        let (width_px, height_px) = painter.size();
        let known = editor.viewport();
        let is_new =
            (width_px - known.width_px).abs() > 0.5 || (height_px - known.height_px).abs() > 0.5;
        (is_new && width_px >= 1.0 && height_px >= 1.0).then_some((width_px, height_px))
    }

    /// Moves the playhead without a new state, while something is dragged.
    pub(crate) fn seek(&self, at: Micros) {
        self.playhead.set(at);
        self.rest_us.set(0.0);
    }

    /// Lets the slider of the time follow the playhead, unless it shows it already.
    fn show_time(&self, editor: &EditorState) {
        let shown = self.scrubber.borrow();
        let Some(slider) = shown.as_ref() else {
            return;
        };
        // Whole milliseconds, as the slider has them.
        let at = editor.preview_instant(self.playhead.get()).0 / 1000;
        if self.scrubbed_ms.replace(at) != at {
            slider.set_value(&at.to_string());
            if let Some(output) = slider.next_element_sibling() {
                output.set_text_content(Some(&format!("{at} ms")));
            }
        }
    }

    /// Moves the playhead by whole microseconds and keeps the fraction for the next frame.
    fn advance(&self, elapsed_ms: f64, speed: f64) {
        let step = elapsed_ms * 1000.0 * speed + self.rest_us.get();
        let whole = step.floor();
        self.rest_us.set(step - whole);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a step of at most 100 ms, a whole number"
        )]
        self.playhead
            .set(self.playhead.get() + Micros(whole as i64));
    }

    /// Asks every canvas to paint again with new colors.
    pub(crate) fn change_looks(&self) {
        self.looks.set(self.looks.get().wrapping_add(1));
    }
}
