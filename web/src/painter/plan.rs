//! Paints the vehicle with its glowing heads, from wherever it is looked at.
//!
//! Invariant: what is drawn at an instant depends on that instant alone, so a stopped preview is a still picture; every picture passes the [`Gate`], so that nothing makes the lamps flash more often than they may.

use super::palette::Palette;
use super::surface::Surface;
use crate::platform::preferences::text_scale;
use lampwright_analysis::fixed;
use lampwright_editor::preview::{Change, Gate};
use lampwright_editor::{
    BodyPart, EditorState, PlanEmitter, PlanFace, PlanHead, PlanScene, painted_lamps, vehicle_scene,
};
use lampwright_model::HeadId;
use lampwright_timing::Micros;
use std::f64::consts::TAU;
use std::rc::Rc;
use web_sys::HtmlCanvasElement;

/// How near the pointer has to be to a head, in CSS pixels.
const REACH_PX: f64 = 16.0;
/// How strongly an unlit emitter shows its color.
const UNLIT: f64 = 0.22;
/// How much of a head's facing lies in the drawing, squared, for its stroke to be drawn.
const LEAST_STROKE: f64 = 0.06;

/// Paints the vehicle.
pub(crate) struct PlanPainter {
    surface: Surface,
    palette: Palette,
    looks: u32,
    painted: Option<(Rc<EditorState>, Micros)>,
    scene: PlanScene,
    gate: Gate,
    hover: Option<HeadId>,
    /// The lane under the pointer in the timeline.
    lane: Option<usize>,
    is_hover_new: bool,
}

impl PlanPainter {
    /// A painter on a canvas; none when the browser gives no context.
    pub(crate) fn new(canvas: &HtmlCanvasElement) -> Option<Self> {
        Some(Self {
            surface: Surface::new(canvas, false)?,
            palette: Palette::of_page(),
            looks: 0,
            painted: None,
            scene: PlanScene::default(),
            gate: Gate::default(),
            hover: None,
            lane: None,
            is_hover_new: false,
        })
    }

    /// What is drawn.
    pub(crate) fn scene(&self) -> &PlanScene {
        &self.scene
    }

    /// The head at a place of the canvas.
    pub(crate) fn head_at(&self, x: f64, y: f64) -> Option<&PlanHead> {
        let distance = |head: &PlanHead| {
            head.emitters
                .iter()
                .map(|emitter| squared(emitter.x - x, emitter.y - y))
                .fold(squared(head.x - x, head.y - y), f64::min)
        };
        self.scene
            .heads
            .iter()
            .map(|head| (distance(head), head))
            .filter(|(distance, _)| *distance <= REACH_PX * REACH_PX)
            .min_by(|(first, _), (second, _)| first.total_cmp(second))
            .map(|(_, head)| head)
    }

    /// The head nearest to another in a direction of the drawing, for the arrow keys.
    pub(crate) fn head_toward(&self, from: &HeadId, dx: f64, dy: f64) -> Option<HeadId> {
        let start = self.scene.heads.iter().find(|head| head.id == *from)?;
        self.scene
            .heads
            .iter()
            .filter(|head| head.id != *from)
            .filter_map(|head| {
                let (x, y) = (head.x - start.x, head.y - start.y);
                let along = x * dx + y * dy;
                let across = (x * dy - y * dx).abs();
                // Within a cone of about 70 degrees to either side; what lies ahead counts more.
                (along > 0.5 && across < 2.7 * along).then_some((along + 2.0 * across, head))
            })
            .min_by(|(first, _), (second, _)| first.total_cmp(second))
            .map(|(_, head)| head.id.clone())
    }

    /// Whether a head is drawn where the vehicle is seen from now.
    pub(crate) fn shows(&self, id: &HeadId) -> bool {
        self.scene.heads.iter().any(|head| head.id == *id)
    }

    /// The first head that is drawn.
    pub(crate) fn first_head(&self) -> Option<HeadId> {
        self.scene.heads.first().map(|head| head.id.clone())
    }

    /// The label and the place of the head under the pointer, after the pointer moved there.
    pub(crate) fn hover(&mut self, place: Option<(f64, f64)>) {
        let hover = place
            .and_then(|(x, y)| self.head_at(x, y))
            .map(|head| head.id.clone());
        if hover != self.hover {
            self.hover = hover;
            self.is_hover_new = true;
        }
    }

    /// The head under the pointer.
    pub(crate) fn hovered_head(&self) -> Option<&HeadId> {
        self.hover.as_ref()
    }

    /// Marks the heads of the lane under the pointer in the timeline.
    pub(crate) fn mark_lane(&mut self, lane: Option<usize>) {
        if lane != self.lane {
            self.lane = lane;
            self.is_hover_new = true;
        }
    }

    /// Paints if anything changed; false when the picture is held back, and the one before stays.
    ///
    /// `direction` is marked with a ray, whole degrees counterclockwise from forward.
    pub(crate) fn paint(
        &mut self,
        editor: &Rc<EditorState>,
        playhead: Micros,
        looks: u32,
        direction: Option<u16>,
        now: Micros,
    ) -> bool {
        self.gate.begin_frame(now);
        let is_resized = !self.surface.fits();
        let is_changed = self
            .painted
            .as_ref()
            .is_none_or(|(painted, _)| !Rc::ptr_eq(painted, editor));
        let is_moved = self.painted.as_ref().is_some_and(|(_, at)| *at != playhead);
        let has_new_looks = looks != self.looks;
        if !(is_resized || is_changed || is_moved || has_new_looks || self.is_hover_new) {
            return true;
        }
        let mut levels = editor.preview_levels(playhead);
        let is_dragging = editor.is_dragging_heads();
        if is_dragging {
            levels.fill(0.0);
        }
        let preview = editor.preview();
        let scene = (is_resized || is_changed).then(|| {
            let (width_px, height_px, _) = self.surface.wanted();
            vehicle_scene(
                editor.program(),
                &editor.driven().drive,
                preview.projection,
                preview.eye,
                (width_px, height_px),
            )
        });
        let change = Change {
            is_playing: preview.is_playing,
            is_by_hand: is_changed,
            is_elsewhere: !is_dragging
                && scene
                    .as_ref()
                    .is_some_and(|scene| !has_same_places(scene, &self.scene)),
        };
        let lamps = painted_lamps(scene.as_ref().unwrap_or(&self.scene), &levels);
        // Full speed was asked for and confirmed.
        let is_full_speed =
            preview.is_playing && preview.is_full_speed && !preview.has_reduced_motion;
        if is_full_speed {
            self.gate.must_paint(now, &lamps, change);
        } else if !self.gate.may_paint(now, &lamps, change) {
            return false;
        }
        if has_new_looks || self.painted.is_none() {
            self.palette = Palette::of_page();
            self.looks = looks;
        }
        if let Some(scene) = scene {
            self.scene = scene;
        }
        // Not before: a canvas that takes over a size is empty, and what is held back is not to blink.
        self.surface.fit();
        self.is_hover_new = false;
        self.surface.begin();
        self.vehicle();
        if let Some(degrees) =
            direction.filter(|_| preview.projection == lampwright_editor::Projection::Above)
        {
            self.direction(degrees);
        }
        let brightness_of =
            |emitter: &PlanEmitter| -> f64 { lamps.get(emitter.lamp).copied().unwrap_or(0.0) };
        for head in &self.scene.heads {
            for emitter in &head.emitters {
                self.glow(emitter, brightness_of(emitter));
            }
        }
        let linked = self.linked_heads(editor);
        let selected = &editor.selection().heads;
        // Where the keyboard is shows only where it is not the one that is selected.
        let focused = editor.selection().focused_head();
        let focused = focused.filter(|id| selected.len() != 1 || !selected.contains(id));
        for head in &self.scene.heads {
            self.housing(head);
            for emitter in &head.emitters {
                self.emitter(emitter, brightness_of(emitter));
            }
            if selected.contains(&head.id) {
                self.ring(head, &self.palette.plan.accent, 3.0);
            } else if linked.contains(&head.index) {
                self.ring(head, &self.palette.plan.accent, 1.0);
            }
            if focused == Some(&head.id) {
                self.ring(head, &self.palette.plan.ink, 1.5);
            }
        }
        self.hovered();
        self.painted = Some((editor.clone(), playhead));
        true
    }

    fn vehicle(&self) {
        for face in &self.scene.faces {
            self.face(face);
        }
        let context = &self.surface.context;
        context.set_fill_style_str(&self.palette.plan.ink_quiet);
        let scale = self.write_with("600 ", 11.0, "center");
        let (width, height, edge) = (self.surface.width_px, self.surface.height_px, 10.0 * scale);
        let places = [
            (width / 2.0, edge, 0.0),
            (width / 2.0, height - edge, 0.0),
            (edge, height / 2.0, -TAU / 4.0),
            (width - edge, height / 2.0, TAU / 4.0),
        ];
        for (words, (x, y, turn)) in self.scene.edges.iter().zip(places) {
            context.save();
            let _ = context.translate(x, y);
            let _ = context.rotate(turn);
            let _ = context.fill_text(words, 0.0, 0.0);
            context.restore();
        }
    }

    /// What is written next: weight, usual size in CSS pixels and which part of the text stands at its anchor, vertically its middle; gives how many times that size it has, as the page's other text.
    fn write_with(&self, weight: &str, size_px: f64, align: &str) -> f64 {
        let (context, scale) = (&self.surface.context, text_scale());
        let size = fixed(size_px * scale, 1);
        context.set_font(&format!("{weight}{size}px system-ui, sans-serif"));
        context.set_text_align(align);
        context.set_text_baseline("middle");
        scale
    }

    fn face(&self, face: &PlanFace) {
        let Some((first, more)) = face.corners.split_first() else {
            return;
        };
        let (context, palette) = (&self.surface.context, &self.palette.plan);
        let ground = match face.part {
            BodyPart::Ground => None,
            BodyPart::Body => Some(&palette.body),
            BodyPart::Pane => Some(&palette.panel),
            BodyPart::Wheel => Some(&palette.road),
        };
        context.begin_path();
        context.move_to(first.0, first.1);
        for corner in more {
            context.line_to(corner.0, corner.1);
        }
        context.close_path();
        if let Some(ground) = ground {
            context.set_fill_style_str(ground);
            context.fill();
        }
        context.set_stroke_style_str(&palette.line_strong);
        context.set_line_width(1.0);
        context.set_line_join("round");
        context.stroke();
    }

    /// A ray from where the observer of a finding stands toward the vehicle.
    fn direction(&self, degrees: u16) {
        let context = &self.surface.context;
        let (left, top, width, height) = self.scene.outline;
        let (x, y) = (left + width / 2.0, top + height / 2.0);
        let (sine, cosine) = lampwright_analysis::sincos(f64::from(degrees).to_radians());
        let (right, down) = (-sine, -cosine);
        let room = |along: f64, size: f64| {
            if along.abs() < 1e-6 {
                f64::INFINITY
            } else {
                (size / 2.0 - 14.0) / along.abs()
            }
        };
        let reach = room(right, self.surface.width_px).min(room(down, self.surface.height_px));
        context.set_stroke_style_str(&self.palette.plan.accent);
        context.set_line_width(2.0);
        context.begin_path();
        context.move_to(x, y);
        context.line_to(x + right * reach, y + down * reach);
        context.stroke();
        context.set_fill_style_str(&self.palette.plan.ink);
        let scale = self.write_with("600 ", 11.0, "center");
        let _ = context.fill_text(
            &format!("{degrees}°"),
            x + right * (reach - 24.0 * scale),
            y + down * (reach - 24.0 * scale) - 10.0 * scale,
        );
    }

    fn glow(&self, emitter: &PlanEmitter, brightness: f64) {
        if brightness <= 0.0 {
            return;
        }
        let context = &self.surface.context;
        // What is seen faintly is smaller too, but never so small that its letter is lost.
        let radius = self.disc() + (self.scene.glow_radius_px - self.disc()) * emitter.strength;
        let Ok(gradient) =
            context.create_radial_gradient(emitter.x, emitter.y, 0.0, emitter.x, emitter.y, radius)
        else {
            return;
        };
        let color = self.palette.plan.lamp(emitter.color);
        let _ = gradient.add_color_stop(0.0, color);
        let _ = gradient.add_color_stop(0.45, &format!("{color}99"));
        let _ = gradient.add_color_stop(1.0, &format!("{color}00"));
        context.set_global_alpha(brightness);
        context.set_fill_style_canvas_gradient(&gradient);
        context.begin_path();
        let _ = context.arc(emitter.x, emitter.y, radius, 0.0, TAU);
        context.fill();
        context.set_global_alpha(1.0);
    }

    fn housing(&self, head: &PlanHead) {
        let context = &self.surface.context;
        // A short stroke shows where the head faces.
        let disc = self.disc();
        let reach = disc + 6.0;
        if squared(head.facing_x, head.facing_y) < LEAST_STROKE {
            return;
        }
        context.set_stroke_style_str(&self.palette.plan.ink_quiet);
        context.set_line_width(2.0);
        context.begin_path();
        context.move_to(head.x + head.facing_x * disc, head.y + head.facing_y * disc);
        context.line_to(
            head.x + head.facing_x * reach,
            head.y + head.facing_y * reach,
        );
        context.stroke();
    }

    fn ring(&self, head: &PlanHead, color: &str, width: f64) {
        let context = &self.surface.context;
        let (mut left, mut right, mut top, mut bottom) = (head.x, head.x, head.y, head.y);
        for emitter in &head.emitters {
            left = left.min(emitter.x);
            right = right.max(emitter.x);
            top = top.min(emitter.y);
            bottom = bottom.max(emitter.y);
        }
        let margin = self.disc() + 3.0;
        context.set_stroke_style_str(color);
        context.set_line_width(width);
        context.stroke_rect(
            left - margin,
            top - margin,
            right - left + 2.0 * margin,
            bottom - top + 2.0 * margin,
        );
    }

    /// Radius of a disc, at most that of a glow, whose area is limited.
    fn disc(&self) -> f64 {
        self.scene.disc_radius_px.min(self.scene.glow_radius_px)
    }

    fn emitter(&self, emitter: &PlanEmitter, brightness: f64) {
        let context = &self.surface.context;
        let color = self.palette.plan.lamp(emitter.color);
        context.begin_path();
        let _ = context.arc(emitter.x, emitter.y, self.disc(), 0.0, TAU);
        context.set_fill_style_str(&self.palette.plan.panel);
        context.fill();
        context.set_global_alpha(UNLIT + (1.0 - UNLIT) * brightness);
        context.set_fill_style_str(color);
        context.fill();
        context.set_global_alpha(1.0);
        context.set_stroke_style_str(&self.palette.plan.line_strong);
        context.set_line_width(1.0);
        context.stroke();
        // The same letter lit or not, with an edge: it must not flash against its own lamp.
        context.set_fill_style_str(&self.palette.plan.ink);
        context.set_stroke_style_str(&self.palette.plan.road);
        context.set_line_width(1.2);
        context.set_line_join("round");
        // As large as its lamp, whose area is limited, whatever the size of the text.
        context.set_font(&format!(
            "700 {}px system-ui, sans-serif",
            fixed(1.65 * self.disc(), 1)
        ));
        context.set_text_align("center");
        context.set_text_baseline("middle");
        let mut letter = [0; 4];
        let letter = emitter.color.letter().encode_utf8(&mut letter);
        let _ = context.stroke_text(letter, emitter.x, emitter.y + 0.5);
        let _ = context.fill_text(letter, emitter.x, emitter.y + 0.5);
    }

    /// The heads that the focused, selected or pointed at lanes drive in the shown state.
    fn linked_heads(&self, editor: &EditorState) -> Vec<usize> {
        let Some(pattern) = editor.open_pattern() else {
            return Vec::new();
        };
        let driven = editor.driven();
        let is_meant = |lane: usize| {
            self.lane == Some(lane)
                || editor.focus().lane() == Some(lane)
                || editor.selection().lanes.contains(&lane)
        };
        pattern
            .lanes
            .iter()
            .enumerate()
            .filter(|(index, _)| is_meant(*index))
            .flat_map(|(_, lane)| driven.heads_of_lane(Some(&pattern.id), &lane.role).to_vec())
            .collect()
    }

    fn hovered(&self) {
        let Some(head) = self
            .hover
            .as_ref()
            .and_then(|id| self.scene.heads.iter().find(|head| head.id == *id))
        else {
            return;
        };
        self.ring(head, &self.palette.plan.ink, 1.0);
        let context = &self.surface.context;
        let scale = self.write_with("", 12.0, "left");
        let height = 20.0 * scale;
        let width = context
            .measure_text(&head.label)
            .map_or(80.0, |metrics| metrics.width())
            + 12.0;
        let x = (head.x - width / 2.0).clamp(2.0, (self.surface.width_px - width - 2.0).max(2.0));
        let y = if head.y > height + 20.0 {
            head.y - height - 10.0
        } else {
            head.y + 14.0
        };
        context.set_fill_style_str(&self.palette.plan.panel);
        context.set_stroke_style_str(&self.palette.plan.line_strong);
        context.set_line_width(1.0);
        context.fill_rect(x, y, width, height);
        context.stroke_rect(x, y, width, height);
        context.set_fill_style_str(&self.palette.plan.ink);
        let _ = context.fill_text(&head.label, x + 6.0, y + height / 2.0 + 0.5);
    }
}

/// Whether all lamps stand where they did, with glows of the same size and strength.
fn has_same_places(one: &PlanScene, other: &PlanScene) -> bool {
    let lamps = |scene: &PlanScene| -> Vec<(usize, f64, f64, f64)> {
        scene
            .heads
            .iter()
            .flat_map(|head| &head.emitters)
            .map(|emitter| (emitter.lamp, emitter.x, emitter.y, emitter.strength))
            .collect()
    };
    #[expect(clippy::float_cmp, reason = "the same figures come back unchanged")]
    let has_same_glow = one.glow_radius_px == other.glow_radius_px;
    has_same_glow && lamps(one) == lamps(other)
}

fn squared(x: f64, y: f64) -> f64 {
    x * x + y * y
}
