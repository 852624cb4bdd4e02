//! A lane drawn in characters: a ruler in milliseconds, the light, and what to look at underlined.
//!
//! Invariant: every line is at most [`WIDTH`] characters and the unit; a pulse of any length takes at least one character.
//! Absent: colors of a terminal, which would say nothing that the letters do not.

use lampwright_model::Pulse;
use lampwright_timing::{Interval, Micros};

/// Characters across one period.
pub const WIDTH: usize = 64;

/// Characters between two labels of the ruler, at least.
const LABEL_ROOM: usize = 10;

/// Level in eighths of full, rounded up; what is lit is never drawn as dark.
const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const DARK: char = '·';

/// Labels, ticks and light of one period, the colors of pulses that have one of their own, and marks below `span`.
#[must_use]
pub fn draw(period: Micros, pulses: &[Pulse], span: Option<Interval>) -> Vec<String> {
    if period <= Micros::ZERO {
        return Vec::new();
    }
    let mut lines = ruler(period);
    let mut light = vec![DARK; WIDTH];
    let mut letters = vec![' '; WIDTH];
    for pulse in pulses {
        let (from, to) = cells(period, pulse.start, pulse.length);
        let eighths = (pulse.level.per_mille() * 8 + 999) / 1000;
        let block = usize::try_from(eighths - 1)
            .ok()
            .and_then(|index| BLOCKS.get(index).copied())
            .unwrap_or(DARK);
        for cell in light.iter_mut().take(to).skip(from) {
            *cell = block;
        }
        if let Some(color) = pulse.color {
            for cell in letters.iter_mut().take(to).skip(from) {
                *cell = color.letter();
            }
        }
    }
    lines.push(light.into_iter().collect());
    for row in [letters, marks(period, span)] {
        if row.iter().any(|cell| *cell != ' ') {
            let row: String = row.into_iter().collect();
            lines.push(row.trim_end().to_owned());
        }
    }
    lines
}

/// The span as carets; one past the end of the period goes on at its start.
fn marks(period: Micros, span: Option<Interval>) -> Vec<char> {
    let mut marks = vec![' '; WIDTH];
    let Some(span) = span else {
        return marks;
    };
    let start = span.start.wrap(period);
    let length = span.length.min(period).max(Micros(1));
    let first = length.min(period - start);
    let parts = [(start, first), (Micros::ZERO, length - first)];
    for (start, length) in parts {
        if length > Micros::ZERO {
            let (from, to) = cells(period, start, length);
            for cell in marks.iter_mut().take(to).skip(from) {
                *cell = '^';
            }
        }
    }
    marks
}

/// First cell and the one after the last, at least one.
fn cells(period: Micros, start: Micros, length: Micros) -> (usize, usize) {
    let from = cell(period, start).min(WIDTH - 1);
    let to = cell(period, start + length);
    (from, to.max(from + 1))
}

/// The nearest boundary between cells.
fn cell(period: Micros, at: Micros) -> usize {
    let width = WIDTH as i128;
    let period = i128::from(period.get());
    let twice = (2 * i128::from(at.get()) * width + period).div_euclid(2 * period);
    usize::try_from(twice.clamp(0, width)).unwrap_or_default()
}

fn ruler(period: Micros) -> Vec<String> {
    let step = step(period);
    let mut labels = String::new();
    let mut ticks = vec!['-'; WIDTH];
    let mut at = Micros::ZERO;
    while at < period {
        let column = cell(period, at);
        let text = in_ms(at);
        let n_written = labels.chars().count();
        if column >= n_written {
            labels.extend(std::iter::repeat_n(' ', column - n_written));
            labels.push_str(&text);
            if let Some(tick) = ticks.get_mut(column) {
                *tick = '|';
            }
        }
        at += step;
    }
    let end = format!("{} ms", in_ms(period));
    let n_written = labels.chars().count();
    let n_spaces = WIDTH.saturating_sub(n_written).max(1);
    labels.extend(std::iter::repeat_n(' ', n_spaces));
    labels.push_str(&end);
    let mut ticks: String = ticks.into_iter().collect();
    ticks.push('|');
    vec![labels, ticks]
}

/// One, two or five times a power of ten microseconds, so that labels do not touch.
fn step(period: Micros) -> Micros {
    let most = (WIDTH / LABEL_ROOM) as i64;
    let mut power = 1;
    loop {
        for factor in [1, 2, 5] {
            let step = power * factor;
            if period.get() <= step * most {
                return Micros(step);
            }
        }
        power *= 10;
    }
}

/// Milliseconds without needless decimals.
fn in_ms(at: Micros) -> String {
    let (whole, rest) = (at.get() / 1000, at.get() % 1000);
    if rest == 0 {
        return whole.to_string();
    }
    format!("{whole}.{rest:03}")
        .trim_end_matches('0')
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::Color;
    use lampwright_timing::Level;

    fn pulse(start_ms: i64, end_ms: i64, level: i64, color: Option<Color>) -> Pulse {
        Pulse {
            start: Micros::from_ms(start_ms),
            length: Micros::from_ms(end_ms - start_ms),
            level: Level::nearest(level),
            color,
        }
    }

    #[test]
    fn a_lane_has_a_ruler_its_light_and_the_place_to_look_at() {
        let pulses = [
            pulse(0, 100, 1000, None),
            pulse(200, 300, 500, Some(Color::Blue)),
        ];
        let span = Interval {
            start: Micros::from_ms(300),
            length: Micros::from_ms(200),
        };
        let lines = draw(Micros::from_ms(400), &pulses, Some(span));
        assert_eq!(
            lines,
            [
                "0               100             200             300             400 ms",
                "|---------------|---------------|---------------|---------------|",
                "████████████████················▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄················",
                "                                BBBBBBBBBBBBBBBB",
                "^^^^^^^^^^^^^^^^                                ^^^^^^^^^^^^^^^^",
            ]
            .map(|line: &str| line.to_owned())
        );
    }

    #[test]
    fn the_shortest_pulse_in_the_longest_period_is_seen() {
        for start in [0, 119_999] {
            let pulses = [Pulse {
                start: Micros::from_ms(start),
                length: Micros(1),
                level: Level::nearest(1),
                color: None,
            }];
            let lines = draw(Micros::from_ms(120_000), &pulses, None);
            let light = lines.get(2).unwrap();
            assert_eq!(light.chars().filter(|cell| *cell != DARK).count(), 1);
            assert_eq!(light.chars().count(), WIDTH);
        }
    }

    #[test]
    fn labels_never_touch() {
        for period in [1, 7, 999, 1_001, 123_456, 333_333, 119_999_999] {
            let labels = ruler(Micros(period)).remove(0);
            assert!(labels.ends_with(" ms"), "{labels}");
            assert!(labels.chars().count() < WIDTH + 20, "{labels}");
        }
    }
}
