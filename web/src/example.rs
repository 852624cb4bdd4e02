//! The examples of rule pages as drawings: one row per lane over a ruler in milliseconds.
//!
//! Invariant: what cannot be drawn is left out here, for the words stand below the drawing.
//! Absent: judging, which the rule's own tests do with the same words.

use crate::components::table::micros;
use crate::tag::{Tag, said, tag, text};
use lampwright_analysis::shortened;

/// Width of the drawing's time, in units of the drawing.
const WIDTH: f64 = 500.0;
const LEFT: f64 = 90.0;
const ROW: f64 = 26.0;
/// Most rows that are drawn.
const MOST_ROWS: usize = 8;

/// Start and end in milliseconds, level in per mille, color of its own or nothing.
type Bar<'a> = (f64, f64, f64, &'a str);

/// One lane.
struct Row<'a> {
    label: String,
    color: &'a str,
    period: f64,
    pulses: Vec<Bar<'a>>,
}

/// The drawing of an example, with its words below.
pub(crate) fn figure(kind: &str, words: &str) -> Tag {
    let title = match kind.split(' ').next() {
        Some("fails") => "Failing example",
        Some("passes") => "Passing example",
        _ => "Example that is not judged",
    };
    let rows = rows(words);
    let longest = rows.iter().map(|row| row.period).fold(0.0, f64::max);
    let height = ROW * rows.iter().fold(0.0, |sum, _| sum + 1.0);
    let mut figure = tag("figure", "example").tag(said("figcaption", "severity", title));
    if longest > 0.0 {
        let label = format!(
            "{title}: {} lanes over {} ms, written out below",
            rows.len(),
            shortened(longest, 3)
        );
        let mut drawing = tag("svg", "")
            .with_text(
                "viewBox",
                format!(
                    "0 0 {} {}",
                    coordinate(LEFT + WIDTH + 20.0),
                    coordinate(height + 20.0)
                ),
            )
            .with("role", "img")
            .with_text("aria-label", label);
        for step in 0..5 {
            let time = longest * f64::from(step) / 4.0;
            let at = place_of(time, longest);
            drawing = drawing.tag(line((at, 0.0), (at, height))).tag(
                words_at(at, height + 14.0, format!("{} ms", shortened(time, 2)))
                    .with("text-anchor", "middle"),
            );
        }
        for (index, row) in rows.iter().enumerate() {
            drawing = drawn(drawing, row, index, longest);
        }
        figure = figure.tag(drawing);
    }
    figure.tag(
        tag("pre", "")
            .with("tabindex", "0")
            .tag(text("code", "", words.to_owned())),
    )
}

/// Where a time stands from the left.
fn place_of(time: f64, longest: f64) -> f64 {
    LEFT + time / longest * WIDTH
}

fn coordinate(value: f64) -> String {
    shortened(value, 3)
}

fn line(from: (f64, f64), to: (f64, f64)) -> Tag {
    tag("line", "")
        .with_text("x1", coordinate(from.0))
        .with_text("y1", coordinate(from.1))
        .with_text("x2", coordinate(to.0))
        .with_text("y2", coordinate(to.1))
}

fn words_at(x: f64, y: f64, words: String) -> Tag {
    text("text", "", words)
        .with_text("x", coordinate(x))
        .with_text("y", coordinate(y))
}

/// The drawing with a row more.
fn drawn(mut drawing: Tag, row: &Row<'_>, index: usize, longest: f64) -> Tag {
    let bottom = ROW * f64::from(u8::try_from(index + 1).unwrap_or(u8::MAX)) - 3.0;
    drawing = drawing
        .tag(words_at(0.0, bottom - 6.0, row.label.clone()))
        .tag(line((LEFT, bottom), (place_of(longest, longest), bottom)));
    for &(start, end, level, own) in &row.pulses {
        let color = if own.is_empty() { row.color } else { own };
        let height = ((ROW - 6.0) * level / 1000.0).max(2.0);
        // A shorter period repeats up to the end of the ruler.
        for turn in 0..64_u8 {
            let from = f64::from(turn) * row.period;
            if from + start >= longest {
                break;
            }
            let left = place_of(from + start, longest);
            let right = place_of((from + end).min(longest), longest);
            drawing = drawing.tag(
                tag("rect", "")
                    .with_text("class", color.to_owned())
                    .with_text("x", coordinate(left))
                    .with_text("width", coordinate(right - left))
                    .with_text("y", coordinate(bottom - height))
                    .with_text("height", coordinate(height)),
            );
        }
    }
    drawing
}

/// The lanes of an example: its lines `lane`, `play` and `steady`, colored as its lines `head` say.
fn rows(text: &str) -> Vec<Row<'_>> {
    let color_of = |head: &str| {
        text.lines()
            .find_map(|line| {
                let mut words = line.split_whitespace();
                (words.next() == Some("head") && words.next() == Some(head))
                    .then_some(words.nth(1)?)
            })
            .and_then(|colors| colors.split(',').next())
            .unwrap_or("white")
    };
    let row = |label: &str, period: f64, pulses| Row {
        label: format!("{label} {}", letter(color_of(label))),
        color: color_of(label),
        period,
        pulses,
    };
    let mut rows: Vec<Row<'_>> = Vec::new();
    for line in text.lines() {
        let Some((kind, rest)) = line.trim().split_once(' ') else {
            continue;
        };
        let timed = || {
            let (names, rest) = rest.split_once(" period ")?;
            let (period, pulses) = rest.split_once(" ms:")?;
            Some((names, number(period)?, pulses))
        };
        match (kind, timed()) {
            ("lane", Some((names, period, words))) => {
                let (words, offset) = words.split_once("offset").unwrap_or((words, "0"));
                let offset = number(offset).unwrap_or(0.0);
                for name in names.split_whitespace() {
                    rows.push(row(name, period, pulses(words, offset, period)));
                }
            }
            ("play", Some((_, period, lanes))) => {
                for lane in lanes.split(';') {
                    if let Some((name, words)) = lane.trim().split_once(' ') {
                        rows.push(row(name, period, pulses(words, 0.0, period)));
                    }
                }
            }
            ("steady", _) => {
                let mut words = rest.split_whitespace();
                let name = words.next().unwrap_or("");
                let level = words.find_map(number).unwrap_or(1000.0);
                rows.push(row(name, 1000.0, vec![(0.0, 1000.0, level, "")]));
            }
            _ => {}
        }
    }
    rows.truncate(MOST_ROWS);
    rows
}

/// "250-350@500red" in milliseconds and per mille; what wraps around the period is drawn in two.
fn pulses(words: &str, offset: f64, period: f64) -> Vec<Bar<'_>> {
    let mut pulses = Vec::new();
    for word in words.split_whitespace() {
        let (rest, color) = word.split_at(
            word.find(|letter: char| letter.is_ascii_alphabetic())
                .unwrap_or(word.len()),
        );
        let (times, level) = rest.split_once('@').unwrap_or((rest, "1000"));
        let Some((start, end)) = times.split_once('-') else {
            continue;
        };
        if let (Some(start), Some(end), Some(level)) = (number(start), number(end), number(level)) {
            let turns = ((start + offset) / period).floor() * period;
            let (start, end) = (start + offset - turns, end + offset - turns);
            pulses.push((start, end.min(period), level, color));
            if end > period {
                pulses.push((0.0, end - period, level, color));
            }
        }
    }
    pulses
}

fn letter(color: &str) -> String {
    let first = color.chars().next();
    first
        .map(|letter| letter.to_ascii_uppercase())
        .into_iter()
        .collect()
}

/// A number with at most three decimals.
fn number(text: &str) -> Option<f64> {
    #[expect(clippy::cast_precision_loss, reason = "far below what a drawing needs")]
    micros(text).map(|thousandths| thousandths.get() as f64 / 1000.0)
}
