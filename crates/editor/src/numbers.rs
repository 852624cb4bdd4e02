//! A lane in numbers: run lengths, rate and duty as text, and back.
//!
//! Run lengths are "lit, dark, lit, dark" in ms: `75 50 75 300` is two pulses of 75 ms, 50 ms apart.
//! A lane that begins dark begins with `0`; a level other than full follows after `@`, in per cent, and a color of its own as its letter: `75R@50`.
//! Invariant: what is written here is read back as the same pulses; numbers are exact to the microsecond.

use crate::lane_ops::{lit_time, n_repeats};
use lampwright_model::{Color, Pattern, Pulse};
use lampwright_timing::{Level, Micros};

/// A lane in numbers, as its fields show them.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LaneNumbers {
    /// Run lengths in ms.
    pub runs: String,
    /// How often its shortest part repeats in a second; empty for an empty lane.
    pub rate_hz: String,
    /// The same in a minute.
    pub rate_per_minute: String,
    /// Lit share of the period in per cent, rounded to a thousandth.
    pub duty_percent: String,
}

/// Most pulses written out as run lengths.
const MOST_RUNS: usize = 500;

/// The numbers of a lane of a pattern; run lengths are left out of a lane with very many pulses.
#[must_use]
pub fn lane_numbers(pattern: &Pattern, lane_idx: usize) -> Option<LaneNumbers> {
    let pulses = &pattern.lanes.get(lane_idx)?.pulses;
    let period = pattern.period.0.max(1);
    let per = |over: i64| {
        n_repeats(pulses, pattern.period)
            .map_or_else(String::new, |times| typed(nearest(times * over, period)))
    };
    Some(LaneNumbers {
        runs: if pulses.len() > MOST_RUNS {
            String::new()
        } else {
            runs_text(pulses, pattern.period)
        },
        rate_hz: per(1_000_000_000),
        rate_per_minute: per(60_000_000_000),
        duty_percent: typed(nearest(lit_time(pulses).0 * 100_000, period)),
    })
}

/// `over / under` rounded to the nearest, halves up.
pub(crate) fn nearest(over: i64, under: i64) -> i64 {
    (over + under / 2).div_euclid(under)
}

/// Thousandths as a decimal number, as a field shows them: microseconds as milliseconds.
#[must_use]
pub fn typed(thousandths: i64) -> String {
    let mut text = Micros(thousandths).to_string();
    // Exactly the decimals that a time in milliseconds has.
    text.truncate(text.len() - " ms".len());
    text
}

/// Thousandths of a decimal number with at most three decimals; a comma counts as a point.
#[must_use]
pub fn thousandths(text: &str) -> Option<i64> {
    let text = text.trim().replace(',', ".");
    let (sign, text) = text
        .strip_prefix('-')
        .map_or((1, text.as_str()), |rest| (-1, rest));
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let is_number = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || decimals.len() > 3 || !is_number(whole) || !is_number(decimals) {
        return None;
    }
    let whole: i64 = whole.parse().ok().filter(|whole| *whole < 1_000_000_000)?;
    let missing = [1_000, 100, 10, 1].get(decimals.len())?;
    let decimals: i64 = if decimals.is_empty() {
        0
    } else {
        decimals.parse::<i64>().ok()? * missing
    };
    Some(sign * (whole * 1000 + decimals))
}

/// The same with or without a unit after it: "75 ms", "40%".
pub(crate) fn with_unit(text: &str, unit: &str) -> Option<i64> {
    let text = text.trim();
    thousandths(text.strip_suffix(unit).unwrap_or(text))
}

/// Run lengths of a lane.
pub(crate) fn runs_text(pulses: &[Pulse], period: Micros) -> String {
    let mut text = String::new();
    let mut add = |part: &str| {
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(part);
    };
    let mut from = Micros::ZERO;
    for (index, pulse) in pulses.iter().enumerate() {
        if index == 0 && pulse.start > from {
            add("0");
        }
        if index > 0 || pulse.start > from {
            add(&typed((pulse.start - from).0));
        }
        let mut run = typed(pulse.length.0);
        if let Some(color) = pulse.color {
            run.push(color.letter());
        }
        if pulse.level != Level::FULL {
            run.push('@');
            run.push_str(&typed(pulse.level.per_mille() * 100));
        }
        add(&run);
        from = pulse.end();
    }
    if from < period && !pulses.is_empty() {
        add(&typed((period - from).0));
    }
    text
}

/// The pulses of run lengths from the start of the period, and where the last run ends; whether that run is lit is the third.
///
/// # Errors
/// In words, which run is wrong and what was wanted.
pub(crate) fn runs(text: &str) -> Result<(Vec<Pulse>, Micros, bool), String> {
    let mut pulses = Vec::new();
    let mut at = Micros::ZERO;
    let mut is_lit = false;
    let words = text
        .split([' ', ';', '\t', '\n'])
        .map(|word| word.trim_end_matches(',').trim_end_matches("ms"))
        .filter(|word| !word.is_empty());
    for (index, word) in words.enumerate() {
        is_lit = index % 2 == 0;
        let wrong = || {
            format!(
                "run {} is \"{word}\", a time in ms wanted: 75 50 75 300",
                index + 1
            )
        };
        let (rest, level) = match word.split_once('@') {
            Some((rest, percent)) => {
                let level = thousandths(percent.trim_end_matches('%'))
                    .filter(|value| value % 100 == 0)
                    .and_then(|value| Level::new(value / 100).ok())
                    .filter(|level| *level != Level::DARK)
                    .ok_or_else(|| {
                        format!(
                            "run {} has level \"{percent}\", 0.1 to 100 % wanted",
                            index + 1
                        )
                    })?;
                (rest, Some(level))
            }
            None => (word, None),
        };
        let (number, color) = match Color::ALL.into_iter().find(|color| {
            let letter = color.letter();
            rest.ends_with(letter) || rest.ends_with(letter.to_ascii_lowercase())
        }) {
            Some(color) => (rest.get(..rest.len() - 1).unwrap_or(rest), Some(color)),
            None => (rest, None),
        };
        let length = thousandths(number)
            .filter(|length| *length >= 0)
            .map(Micros)
            .ok_or_else(wrong)?;
        if !is_lit && (level.is_some() || color.is_some()) {
            return Err(format!(
                "run {} is dark and cannot have a level or a color",
                index + 1
            ));
        }
        if is_lit && length > Micros::ZERO {
            pulses.push(Pulse {
                start: at,
                length,
                level: level.unwrap_or(Level::FULL),
                color,
            });
        }
        at += length;
    }
    Ok((pulses, at, is_lit))
}

/// A rate as flashes over microseconds: "2", "2 Hz", "120/min", "120 per minute".
pub(crate) fn rate(text: &str) -> Option<(i64, i64)> {
    let text = text.trim();
    let end = text
        .find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | ',' | '-')))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let value = thousandths(number).filter(|value| (1..=1_000_000_000).contains(value))?;
    let unit = unit.trim().to_ascii_lowercase();
    // Thousandths of a flash in so many microseconds.
    match unit.as_str() {
        "" | "hz" | "/s" | "per second" => Some((value, 1_000_000_000)),
        "/min" | "per minute" | "min" | "/minute" => Some((value, 60_000_000_000)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulse(start_ms: i64, length_ms: i64) -> Pulse {
        Pulse {
            start: Micros::from_ms(start_ms),
            length: Micros::from_ms(length_ms),
            level: Level::FULL,
            color: None,
        }
    }

    #[track_caller]
    fn same(text: &str, pulses: &[Pulse], period_ms: i64) {
        assert_eq!(runs(text).unwrap().0, pulses);
        assert_eq!(runs_text(pulses, Micros::from_ms(period_ms)), text);
    }

    #[test]
    fn run_lengths_are_read_and_written_alike() {
        same("75 50 75 300", &[pulse(0, 75), pulse(125, 75)], 500);
        same("0 250 75 50 75 50", &[pulse(250, 75), pulse(375, 75)], 500);
        same("100 300 100", &[pulse(0, 100), pulse(400, 100)], 500);
        same("", &[], 500);
        let dim = Pulse {
            level: Level::nearest(505),
            color: Some(Color::Red),
            ..pulse(75, 20)
        };
        same("75 0 20R@50.5 405", &[pulse(0, 75), dim], 500);
        assert_eq!(
            runs("12.5, 0.5; 7").unwrap(),
            (
                vec![
                    Pulse {
                        length: Micros(12_500),
                        ..pulse(0, 1)
                    },
                    Pulse {
                        start: Micros(13_000),
                        ..pulse(0, 7)
                    }
                ],
                Micros(20_000),
                true
            )
        );
    }

    #[test]
    fn a_unit_may_follow_a_number() {
        assert_eq!(runs("75 ms, 50ms 75").unwrap(), runs("75 50 75").unwrap());
        for text in ["40", "40%", " 40 % "] {
            assert_eq!(with_unit(text, "%"), Some(40_000), "{text}");
        }
        assert_eq!(with_unit("12,5 ms", "ms"), Some(12_500));
        assert_eq!(with_unit("40 ms", "%"), None);
    }

    #[test]
    fn what_is_no_run_is_named() {
        let wrong = |text: &str| runs(text).unwrap_err();
        assert_eq!(
            wrong("75 x 75"),
            "run 2 is \"x\", a time in ms wanted: 75 50 75 300"
        );
        assert_eq!(wrong("75@0"), "run 1 has level \"0\", 0.1 to 100 % wanted");
        assert_eq!(
            wrong("75 50R"),
            "run 2 is dark and cannot have a level or a color"
        );
        assert!(wrong("-5").contains("a time in ms wanted"));
        assert!(wrong("75 50 7.0001").contains("run 3"));
    }

    #[test]
    fn a_decimal_number_keeps_its_digits() {
        for text in ["0", "75", "83.333", "0.02", "-1.5", "119.999"] {
            assert_eq!(typed(thousandths(text).unwrap()), text);
        }
        assert_eq!(thousandths("1,5"), Some(1_500));
        for text in ["", "-", "1.2345", "1e3", "x", ".5", "9999999999"] {
            assert_eq!(thousandths(text), None, "{text}");
        }
    }

    #[test]
    fn a_rate_is_read_with_either_unit() {
        assert_eq!(rate("2"), Some((2_000, 1_000_000_000)));
        assert_eq!(rate("2.5 Hz"), Some((2_500, 1_000_000_000)));
        assert_eq!(rate("120/min"), Some((120_000, 60_000_000_000)));
        assert_eq!(rate("120 per minute"), Some((120_000, 60_000_000_000)));
        for text in ["0", "-2", "fast", "2 bpm", ""] {
            assert_eq!(rate(text), None, "{text}");
        }
    }

    #[test]
    fn a_double_flash_at_two_hertz_in_numbers() {
        let pattern = Pattern {
            id: "double".parse().unwrap(),
            label: String::new(),
            period: Micros::from_ms(1000),
            tick: Micros::from_ms(10),
            lanes: vec![lampwright_model::Lane {
                role: "left".parse().unwrap(),
                pulses: [0, 125, 500, 625].map(|start| pulse(start, 75)).into(),
            }],
        };
        assert_eq!(
            lane_numbers(&pattern, 0).unwrap(),
            LaneNumbers {
                runs: "75 50 75 300 75 50 75 300".into(),
                rate_hz: "2".into(),
                rate_per_minute: "120".into(),
                duty_percent: "30".into(),
            }
        );
        assert_eq!(lane_numbers(&pattern, 1), None);
    }
}
