//! Rows of the timeline: their pulses, what is selected, and the findings in them.

use super::{Item, Painter, Rect, Role, TextAlign};
use crate::hit::bar_top;
use crate::viewport::to_f64;
use crate::{Focus, HitPart, Layout, PulseAt};
use lampwright_model::{Color, Lane, Pulse};
use lampwright_timing::{Level, Micros};

/// Pulses narrower than this many CSS pixels, or than a column, are summarized.
const NARROW_PX: f64 = 3.0;
/// Least height of a bar, so that a dim pulse can still be seen and taken.
const LEAST_BAR_PX: f64 = 3.0;

/// Width of the mark on lanes that drive a selected head.
const LINK_PX: f64 = 4.0;

/// What the narrow pulses of one column amount to.
#[derive(Clone, Copy, PartialEq, Eq, Default)]
struct Column {
    level: i64,
    color: Option<Color>,
    is_selected: bool,
}

/// Left, top, width and height in CSS pixels.
type Place = (f64, f64, f64, f64);

impl Painter<'_> {
    pub(super) fn lane(&mut self, lane_idx: usize) {
        let top = self.view.lane_top(lane_idx);
        let is_selected = self.state.selection().lanes.contains(&lane_idx);
        self.rect(
            Layout::LABEL_PX,
            top,
            self.view.lanes_px(),
            Layout::LANE_PX,
            if is_selected {
                Role::LaneSelected
            } else {
                Role::Lane
            },
        );
        self.line(
            0.0,
            top + Layout::LANE_PX,
            self.view.width_px,
            top + Layout::LANE_PX,
            Role::LaneBorder,
        );
    }

    pub(super) fn pulses(&mut self, lane_idx: usize, lane: &Lane) {
        let pattern_id = self.state.open_pattern_id();
        let lane_color = self.driven.color_of_lane(pattern_id, &lane.role);
        let lane_letters = self.driven.letters_of_lane(pattern_id, &lane.role);
        let from = self.view.time_at(Layout::LABEL_PX) - Micros(1);
        let to = self.view.time_at(self.view.width_px) + Micros(1);
        let first = lane.pulses.partition_point(|pulse| pulse.end() <= from);
        let seen = lane.pulses.get(first..).unwrap_or(&[]);
        let focused = self.state.focus().pulse();
        let mut run: Option<(i64, i64, Column)> = None;
        let mut outlines = Vec::new();
        for (offset, pulse) in seen.iter().enumerate() {
            if pulse.start >= to {
                break;
            }
            let at = PulseAt {
                lane: lane_idx,
                pulse: first + offset,
            };
            let color = pulse.color.or(lane_color);
            let is_selected = self.n_selected > 0 && self.state.selection().pulses.contains(&at);
            let (left, right) = (self.view.x_of(pulse.start), self.view.x_of(pulse.end()));
            if right - left >= self.column_px.max(NARROW_PX) {
                self.flush(lane_idx, run.take());
                let letters = match pulse.color {
                    Some(own) => own.letter().to_string(),
                    None => lane_letters.clone(),
                };
                let edges = (left, right);
                self.bar(
                    at,
                    pulse,
                    (color, letters),
                    edges,
                    is_selected,
                    &mut outlines,
                );
            } else {
                self.narrow(lane_idx, pulse, color, (left, right), is_selected, &mut run);
            }
            if focused == Some(at)
                && let Some(outline) = self.pulse_rect(lane_idx, pulse.level, left, right)
            {
                outlines.push((outline, Role::PulseFocused));
            }
        }
        self.flush(lane_idx, run);
        for ((x, y, width, height), role) in outlines {
            self.rect(x, y, width, height, role);
        }
    }

    /// Place of a bar between two edges, cut to what is seen.
    pub(super) fn pulse_rect(
        &self,
        lane_idx: usize,
        level: Level,
        left: f64,
        right: f64,
    ) -> Option<Place> {
        let left = left.max(Layout::LABEL_PX);
        let right = right.max(left + 1.0).min(self.view.width_px);
        let bottom = self.view.lane_top(lane_idx) + Layout::LANE_PX - Layout::LANE_PADDING_PX;
        let top = bar_top(&self.view, lane_idx, level.per_mille()).min(bottom - LEAST_BAR_PX);
        (right > left).then_some((left, top, right - left, bottom - top))
    }

    fn bar(
        &mut self,
        at: PulseAt,
        pulse: &Pulse,
        (color, letters): (Option<Color>, String),
        (left, right): (f64, f64),
        is_selected: bool,
        outlines: &mut Vec<(Place, Role)>,
    ) {
        let Some(place) = self.pulse_rect(at.lane, pulse.level, left, right) else {
            return;
        };
        let (x, y, width, height) = place;
        self.rect(x, y, width, height, Role::Pulse(color));
        let room = self.letter_px * f64::from(u8::try_from(letters.len()).unwrap_or(u8::MAX));
        if !letters.is_empty() && width >= room {
            self.text(
                x + width / 2.0,
                y + height / 2.0,
                letters,
                TextAlign::Middle,
                width,
                Role::PulseLetter(color),
            );
        }
        if is_selected {
            outlines.push((place, Role::PulseSelected));
        }
    }

    /// Adds a narrow pulse to the pixel columns it touches.
    fn narrow(
        &mut self,
        lane_idx: usize,
        pulse: &Pulse,
        color: Option<Color>,
        (left, right): (f64, f64),
        is_selected: bool,
        run: &mut Option<(i64, i64, Column)>,
    ) {
        let first = column(left / self.column_px);
        let last = column((right - 1e-6).max(left) / self.column_px);
        for place in first..=last {
            let mut here = Column {
                level: pulse.level.per_mille(),
                color,
                is_selected,
            };
            match run {
                // A run's last column takes in what else falls into it; then it may have to stand alone.
                Some((from, to, known)) if *to == place + 1 => {
                    let merged = Column {
                        level: known.level.max(here.level),
                        color: known.color.filter(|_| known.color == here.color),
                        is_selected: known.is_selected || here.is_selected,
                    };
                    if merged != *known {
                        let (start, kept) = (*from, *known);
                        if start < place {
                            self.flush(lane_idx, Some((start, place, kept)));
                        }
                        *run = Some((place, place + 1, merged));
                    }
                    continue;
                }
                Some((_, to, known)) if *to == place && *known == here => {
                    *to = place + 1;
                    continue;
                }
                Some((_, to, _)) if *to > place + 1 => continue,
                _ => {}
            }
            here.level = here.level.max(1);
            self.flush(lane_idx, run.take());
            *run = Some((place, place + 1, here));
        }
    }

    fn flush(&mut self, lane_idx: usize, run: Option<(i64, i64, Column)>) {
        let Some((from, to, column)) = run else {
            return;
        };
        let left = to_f64(Micros(from)) * self.column_px;
        let right = to_f64(Micros(to)) * self.column_px;
        let level = Level::nearest(column.level);
        if let Some((x, y, width, height)) = self.pulse_rect(lane_idx, level, left, right) {
            self.rect(x, y, width, height, Role::PulseSummary(column.color));
            if column.is_selected {
                self.rect(x, y, width, height, Role::PulseSelected);
            }
        }
    }

    pub(super) fn lane_label(&mut self, lane_idx: usize, lane: &Lane) {
        let top = self.view.lane_top(lane_idx);
        self.text(
            10.0,
            top + 15.0,
            lane.role.to_string(),
            TextAlign::Start,
            Layout::LABEL_PX - 16.0,
            Role::LaneLabel,
        );
        let heads = &self.state.program().vehicle.heads;
        let users = self
            .driven
            .heads_of_lane(self.state.open_pattern_id(), &lane.role);
        let selected = &self.state.selection().heads;
        let drives_selected = users
            .iter()
            .filter_map(|head_idx| heads.get(*head_idx))
            .any(|head| selected.contains(&head.id) || self.head == Some(&head.id));
        let detail = match users {
            [] => "drives no head now".to_owned(),
            [only] => heads
                .get(*only)
                .map_or_else(String::new, |head| head.label.clone()),
            more => format!("{} heads", more.len()),
        };
        let heard = self.state.heard(lane_idx);
        let detail = match (heard.is_alone, heard.is_silent) {
            (_, true) => format!("muted, {detail}"),
            (true, false) => format!("alone, {detail}"),
            _ => detail,
        };
        self.text(
            10.0,
            top + 31.0,
            detail,
            TextAlign::Start,
            Layout::LABEL_PX - 16.0,
            Role::LaneDetail,
        );
        if drives_selected {
            self.rect(0.0, top, LINK_PX, Layout::LANE_PX, Role::LaneOfSelectedHead);
        }
        let is_focused = self.state.focus() == Focus::Lane(lane_idx);
        if is_focused {
            self.rect(
                0.0,
                top,
                self.view.width_px,
                Layout::LANE_PX,
                Role::LaneFocused,
            );
        }
    }

    pub(super) fn hover(&mut self) {
        let Some(hover) = self.hover else {
            return;
        };
        match hover.part {
            HitPart::Edge(at, _) | HitPart::Level(at) | HitPart::Body(at) => {
                let Some(pulse) = self.state.open_pattern().and_then(|open| at.of(open)) else {
                    return;
                };
                let (left, right) = (self.view.x_of(pulse.start), self.view.x_of(pulse.end()));
                if let Some((x, y, width, height)) =
                    self.pulse_rect(at.lane, pulse.level, left, right)
                {
                    self.rect(x, y, width, height, Role::Hover);
                }
            }
            HitPart::LaneLabel(lane_idx) => {
                let top = self.view.lane_top(lane_idx);
                self.rect(0.0, top, Layout::LABEL_PX, Layout::LANE_PX, Role::Hover);
            }
            HitPart::Ruler | HitPart::Lane(_) => {}
        }
    }

    /// Marks of the findings that name this lane: a strip under the stretch they are about, or at the label.
    pub(super) fn findings(&mut self, lane_idx: usize, lane: &Lane) {
        let bottom = self.view.lane_top(lane_idx) + Layout::LANE_PX;
        let Some(pattern) = self.state.open_pattern() else {
            return;
        };
        let marks: Vec<_> = self
            .judged
            .iter()
            .flat_map(|results| results.findings_of_lane(&pattern.id, &lane.role))
            .map(|finding| (finding.severity, finding.span))
            .collect();
        // The gravest is painted last and stays visible.
        for (severity, span) in marks.into_iter().rev() {
            let role = Role::Finding(severity);
            let Some(span) = span else {
                self.rect(
                    0.0,
                    bottom - Layout::LANE_PX + 1.0,
                    4.0,
                    Layout::LANE_PX - 2.0,
                    role,
                );
                continue;
            };
            let left = self.view.x_of(span.start);
            let right = self.view.x_of(span.end().min(pattern.period));
            self.mark(left, right, bottom, role);
            if span.end() > pattern.period {
                let wrapped = span.end() - pattern.period;
                let left = self.view.x_of(Micros::ZERO);
                self.mark(left, self.view.x_of(wrapped), bottom, role);
            }
        }
    }

    fn mark(&mut self, left: f64, right: f64, bottom: f64, role: Role) {
        let right = right.max(left + 3.0);
        let (left, right) = (left.max(Layout::LABEL_PX), right.min(self.view.width_px));
        if right > left {
            self.items.push(Item::Rect(Rect {
                x: left,
                y: bottom - 4.0,
                width: right - left,
                height: 3.0,
                role,
            }));
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a place on the canvas")]
fn column(x: f64) -> i64 {
    x.clamp(-1e6, 1e6).floor() as i64
}
