//! The rule book as text; the examples of a page are drawn as lanes.

use crate::lane::draw;
use lampwright_analysis::quantity::{Quantity, Unit};
use lampwright_analysis::rules::{RULES, RuleMeta};
use lampwright_model::{Color, Pulse};
use lampwright_timing::{Level, Micros};
use std::fmt::Write as _;

/// Every rule with group, severity, name, sources and how they are known.
#[must_use]
pub fn rules_text() -> String {
    let mut out = String::new();
    for rule in RULES {
        let meta = rule.meta();
        let _ = writeln!(
            out,
            "{} {} ({}, {}{})",
            meta.code,
            meta.name,
            meta.group.name(),
            meta.severity.name(),
            if meta.is_always_run {
                ", always run"
            } else {
                ""
            }
        );
        let _ = writeln!(out, "  {}", meta.summary);
        push_details(&mut out, meta);
    }
    out
}

/// The page of a rule, then its sources and parameters.
#[must_use]
pub fn page_text(meta: &RuleMeta) -> String {
    let mut out = with_lanes(meta.page.trim_end());
    let _ = writeln!(
        out,
        "\n\nRule {} {}, severity {}, since {}",
        meta.code,
        meta.name,
        meta.severity.name(),
        meta.since
    );
    push_details(&mut out, meta);
    out
}

/// The page with the lanes of its examples drawn below each.
fn with_lanes(page: &str) -> String {
    let mut out = String::new();
    let mut is_inside = false;
    let mut drawings: Vec<String> = Vec::new();
    for line in page.lines() {
        let _ = writeln!(out, "{line}");
        if line.starts_with("```") {
            is_inside = !is_inside;
            if !is_inside {
                for drawing in drawings.drain(..) {
                    let _ = write!(out, "\n{drawing}");
                }
            }
        } else if is_inside {
            drawings.extend(drawn(line));
        }
    }
    out.trim_end().to_owned()
}

/// The drawing of an example's line `lane HEADS period P ms: 0-100 250-350@500blue offset 125`; none for another line.
fn drawn(line: &str) -> Option<String> {
    let (head, pulses) = line.split_once(" ms: ")?;
    let (heads, period) = head.strip_prefix("lane ")?.split_once(" period ")?;
    let period = micros(period)?;
    let words: Vec<&str> = pulses.split_whitespace().collect();
    let offset_at = words.iter().position(|word| *word == "offset");
    let offset = match offset_at {
        Some(at) => micros(words.get(at + 1)?)?,
        None => Micros::ZERO,
    };
    let mut list = Vec::new();
    for word in words.get(..offset_at.unwrap_or(words.len()))? {
        let pulse = pulse(word)?;
        let start = (pulse.start + offset).wrap(period);
        let first = pulse.length.min(period - start);
        list.push(Pulse {
            start,
            length: first,
            ..pulse
        });
        if first < pulse.length {
            list.push(Pulse {
                start: Micros::ZERO,
                length: pulse.length - first,
                ..pulse
            });
        }
    }
    let mut out = String::new();
    for (index, row) in draw(period, &list, None).iter().enumerate() {
        let name = if index == 2 { heads } else { "" };
        let _ = writeln!(out, "{}", format!("    {name:<12} {row}").trim_end());
    }
    Some(out)
}

/// `0-100`, `250-350@500`, `400-450blue`.
fn pulse(word: &str) -> Option<Pulse> {
    let end_of_times = word
        .find(|sign: char| sign == '@' || sign.is_alphabetic())
        .unwrap_or(word.len());
    let (times, tail) = word.split_at_checked(end_of_times)?;
    let (start, end) = times.split_once('-')?;
    let (start, end) = (micros(start)?, micros(end)?);
    let end_of_level = tail.find(char::is_alphabetic).unwrap_or(tail.len());
    let (level, color) = tail.split_at_checked(end_of_level)?;
    let level = match level.strip_prefix('@') {
        Some(level) => Level::new(level.parse().ok()?).ok()?,
        None => Level::FULL,
    };
    let color = match color {
        "" => None,
        name => Some(Color::from_name(name)?),
    };
    Some(Pulse {
        start,
        length: end - start,
        level,
        color,
    })
}

/// Milliseconds with at most three decimals.
fn micros(text: &str) -> Option<Micros> {
    let (whole, rest) = text.split_once('.').unwrap_or((text, ""));
    if rest.len() > 3 {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let rest: i64 = format!("{rest:0<3}").parse().ok()?;
    Some(Micros(whole.checked_mul(1000)?.checked_add(rest)?))
}

fn push_details(out: &mut String, meta: &RuleMeta) {
    for source in meta.sources {
        let _ = writeln!(
            out,
            "  source: {} ({}): {}",
            source.title(),
            source.known.name(),
            source.says
        );
    }
    for parameter in meta.parameters {
        let number = |value| Quantity::thousandths(value, Unit::Count);
        let unit = if parameter.unit.is_empty() {
            String::new()
        } else {
            format!(" {}", parameter.unit)
        };
        let _ = writeln!(
            out,
            "  parameter {}: {}, {}{unit} unless set, from {} to {}",
            parameter.name,
            parameter.label,
            number(parameter.default),
            number(parameter.range.0),
            number(parameter.range.1)
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_example_is_drawn_with_its_offset_and_levels() {
        let drawing = drawn("lane a b period 400 ms: 0-100 200-300@500blue offset 350").unwrap();
        let lines: Vec<&str> = drawing.lines().collect();
        assert_eq!(
            lines.get(2..),
            Some(
                [
                    "    a b          ████████················▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄················████████",
                    "                                         BBBBBBBBBBBBBBBB"
                ]
                .as_slice()
            )
        );
        assert_eq!(drawn("head a front red"), None);
        assert_eq!(drawn("lane a period x ms: 0-1"), None);
    }

    #[test]
    fn every_lane_of_every_page_is_drawn() {
        for rule in RULES {
            let page = rule.meta().page;
            let n_lanes = page
                .lines()
                .filter(|line| line.starts_with("lane "))
                .count();
            let n_drawn = page.lines().filter(|line| drawn(line).is_some()).count();
            assert_eq!(n_drawn, n_lanes, "{}", rule.meta().code);
            let text = page_text(rule.meta());
            assert!(
                n_lanes == 0 || text.contains("|---"),
                "{}",
                rule.meta().code
            );
        }
    }
}
