//! Rows of what a head gives off: the points of its beam, the light of an emitter, and what is assumed of it.

use super::{Control, Form, How, Row, below, button};
use crate::setup::fields::Field;
use crate::setup::points::share_text;
use crate::thousandths;
use lampwright_formats::{Thing, decimal_text};
use lampwright_model::{Color, Emitter};

impl Form<'_> {
    /// The x and y of an emitter's light.
    pub(super) fn chromaticity(&mut self, path: String, field: &Field) {
        let shown = |thing: &Thing| {
            let x = thing.word(&below(&path, "x"))?;
            Some(format!("{x}, {}", thing.word(&below(&path, "y"))?))
        };
        let now = shown(self.thing);
        let emitter = path.strip_suffix("/chromaticity").unwrap_or_default();
        let usual = self.usual(emitter).chromaticity_or_assumed().value;
        let [x, y] = [usual.x, usual.y].map(|value| decimal_text(i64::from(value), 4));
        let texts = (now.unwrap_or_default(), format!("{x}, {y}, assumed"));
        self.entered(path, field, How::Chromaticity, texts);
    }

    /// An emitter of the color at a path of which nothing else is stated.
    pub(super) fn usual(&self, emitter: &str) -> Emitter {
        let color = self.thing.word(&below(emitter, "color"));
        Emitter::of(color.and_then(Color::from_name).unwrap_or(Color::Amber))
    }

    /// The points of a beam, one on each line, and all of them as text.
    pub(super) fn points(&mut self, path: &str, label: &str) {
        let title = format!(
            "{label}, each an angle from the axis, left above 0, and an intensity in per cent of the peak"
        );
        self.push(&title, path, How::Text, Control::Title);
        let mut lines = Vec::new();
        let mut last = 0;
        for index in 0..self.thing.n_items(path) {
            let path = below(path, &index.to_string());
            let number = index + 1;
            let angle = below(&path, "angle_deg");
            let fraction = below(&path, "fraction");
            let share = share_text(self.thing.word(&fraction).unwrap_or_default());
            let degrees = self.thing.word(&angle).unwrap_or_default().to_owned();
            last = thousandths(&degrees).unwrap_or(last);
            lines.push(format!("{degrees} {share}"));
            self.push(&number.to_string(), &path, How::Text, Control::Line);
            for (path, label, unit, how, value) in [
                (angle, "Angle", "°", How::Number, degrees),
                (fraction, "Intensity", "%", How::Share, share),
            ] {
                self.rows.push(Row {
                    label: format!("{label} of point {number}"),
                    unit,
                    path,
                    how,
                    control: Control::Entry {
                        value,
                        hint: String::new(),
                        is_number: true,
                    },
                });
            }
            let label = format!("Remove point {number}");
            self.push(&label, &path, How::Remove, button());
        }
        let next = decimal_text(last + NEXT_POINT, 3);
        let next = format!(r#"{{"angle_deg": {next}, "fraction": 0}}"#);
        self.push("Add a point", path, How::Add, Control::Button(next));
        self.push(
            "All points as text: an angle in degrees and an intensity on each line, in cd or per cent; the largest becomes the peak",
            path,
            How::Points,
            Control::Lines(lines.join("\n")),
        );
    }

    /// What stands in for an absent number.
    pub(super) fn hint(&self, path: &str) -> String {
        let emitter = path
            .strip_suffix("/peak_cd")
            .or(path.strip_suffix("/full_current_a"));
        if let Some(emitter) = emitter {
            let usual = self.usual(emitter);
            let assumed = if path.ends_with("peak_cd") {
                usual.peak_or_assumed().value.0
            } else {
                usual.full_current_or_assumed().value.0
            };
            return format!("{}, assumed", decimal_text(assumed, 3));
        }
        let usual = match path {
            "hold/level" => "100",
            "vehicle/supply/alternator_idle_a" | "vehicle/supply/alternator_speed_a" => "not known",
            "vehicle/supply/other_load_a" => "0, assumed",
            _ if path.ends_with("offset_ms") => "0",
            _ => "",
        };
        usual.to_owned()
    }
}

/// How far the next point of a beam stands from the last, in thousandths of a degree.
const NEXT_POINT: i64 = 5_000;
