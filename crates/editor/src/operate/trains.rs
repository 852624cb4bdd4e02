//! Operations on trains of pulses: each changes lanes one by one.
//!
//! Invariant: what comes out is sorted, free of overlap and within the period, or the operation is refused.

use super::{Changed, Meant, Operation};
use crate::EditorState;
use crate::edits::Done;
use crate::lane_ops::{
    inverted, is_alike, is_free_of_overlap, repeated, reversed, shifted, wrapped,
};
use lampwright_model::{Pattern, Pulse};
use lampwright_timing::{Micros, sort_by};

impl EditorState {
    pub(super) fn shape(&mut self, pattern: &Pattern, operation: Operation) -> Done {
        let is_of_lanes = matches!(operation, Operation::Reverse | Operation::Invert);
        let meant = self.meant(pattern, is_of_lanes)?;
        let playhead = self.preview.at.wrap(pattern.period);
        let has_playhead = meant.iter().any(|lane| has_inside(lane, playhead));
        let (is_selected, label) = (meant.iter().all(|lane| lane.is_selected), label(operation));
        if operation == Operation::Split && !has_playhead && !is_selected {
            return Err(
                "the playhead is in no pulse of the lane, move it there or select a pulse".into(),
            );
        }
        let has_pair = meant.iter().any(|lane| lane.indices.len() > 1);
        if operation == Operation::JoinAcross && !(is_selected && has_pair) {
            return Err("two pulses of a lane have to be selected to join them".into());
        }
        // All lanes by the same time, so that they keep together.
        let by = meant.iter().map(|lane| after(lane, pattern.tick)).max();
        let by = by.unwrap_or(Micros::ZERO);
        self.change_each(pattern, label, &meant, &|lane| match operation {
            Operation::Split => Ok(split(lane, pattern, has_playhead.then_some(playhead))),
            Operation::JoinTouching => Ok(joined(lane, false)),
            Operation::JoinAcross => Ok(joined(lane, true)),
            Operation::Duplicate => duplicated(lane, pattern, by),
            Operation::Reverse => {
                let (from, to) = if lane.is_selected && lane.indices.len() > 1 {
                    lane.span()
                } else {
                    (Micros::ZERO, pattern.period)
                };
                Ok((reversed(lane.pulses, from, to), Vec::new()))
            }
            Operation::Invert => Ok((inverted(lane.pulses, pattern.period), Vec::new())),
            Operation::Quantize => quantized(lane, pattern),
            _ => spread(lane, pattern),
        })
    }

    pub(super) fn repeat(&mut self, pattern: &Pattern, n_times: i64) -> Done {
        let meant = self.meant(pattern, false)?;
        let label = format!("Repeat {n_times} times");
        self.change_each(pattern, &label, &meant, &|lane| {
            let all = repeated(&lane.chosen(), pattern.period, pattern.tick, n_times);
            let all = all.ok_or_else(|| {
                format!(
                    "{n_times} times do not fit, each has {} of the period, {}",
                    Micros(pattern.period.0 / n_times),
                    pattern.period
                )
            })?;
            Ok((all, Vec::new()))
        })
    }

    pub(super) fn shift(&mut self, pattern: &Pattern, by: Micros) -> Done {
        let meant = self.meant(pattern, true)?;
        self.change_each(pattern, "Shift", &meant, &|lane| {
            Ok((shifted(lane.pulses, pattern.period, by), Vec::new()))
        })
    }
}

const fn label(operation: Operation) -> &'static str {
    match operation {
        Operation::Split => "Split",
        Operation::JoinTouching | Operation::JoinAcross => "Join",
        Operation::Duplicate => "Duplicate",
        Operation::Reverse => "Reverse",
        Operation::Invert => "Invert",
        Operation::Quantize => "Move to the tick",
        _ => "Spread evenly",
    }
}

fn has_inside(lane: &Meant<'_>, instant: Micros) -> bool {
    lane.chosen()
        .iter()
        .any(|pulse| pulse.start < instant && instant < pulse.end())
}

/// Parts the pulses that are meant at an instant, or in the middle of each.
fn split(
    lane: &Meant<'_>,
    pattern: &Pattern,
    playhead: Option<Micros>,
) -> (Vec<Pulse>, Vec<Pulse>) {
    let (mut all, mut parts) = (Vec::new(), Vec::new());
    for (index, pulse) in lane.pulses.iter().enumerate() {
        let middle = pulse.start + Micros(pulse.length.0 / 2);
        let on_tick = middle.round_to(pattern.tick);
        let is_inside = |at: Micros| pulse.start < at && at < pulse.end();
        let middle = if is_inside(on_tick) { on_tick } else { middle };
        let at = playhead.unwrap_or(middle);
        if !(lane.has(index) && is_inside(at)) {
            all.push(*pulse);
            continue;
        }
        for (from, to) in [(pulse.start, at), (at, pulse.end())] {
            let half = Pulse {
                start: from,
                length: to - from,
                ..*pulse
            };
            all.push(half);
            parts.push(half);
        }
    }
    (all, parts)
}

/// Makes one pulse of those that are meant: of those that touch and look alike, or of all from the first to the last.
fn joined(lane: &Meant<'_>, is_across: bool) -> (Vec<Pulse>, Vec<Pulse>) {
    let (mut all, mut chosen): (Vec<Pulse>, Vec<Pulse>) = (Vec::new(), Vec::new());
    let (from, to) = lane.span();
    for (index, pulse) in lane.pulses.iter().enumerate() {
        let continues = all.last().is_some_and(|before| {
            if is_across {
                from < pulse.start && pulse.end() <= to
            } else {
                let has_both = index > 0 && lane.has(index) && lane.has(index - 1);
                has_both && before.end() == pulse.start && is_alike(before, pulse)
            }
        });
        match all.last_mut().filter(|_| continues) {
            Some(before) => before.length = pulse.end() - before.start,
            None => {
                all.push(*pulse);
                if lane.has(index) {
                    chosen.push(*pulse);
                }
            }
        }
    }
    (all, chosen)
}

/// How much later a copy of what is meant begins: after it, and after a dark gap like its first.
fn after(lane: &Meant<'_>, tick: Micros) -> Micros {
    let (from, to) = lane.span();
    let chosen = lane.chosen();
    let gap = match chosen.as_slice() {
        [first, second, ..] => second.start - first.end(),
        [only] => only.length,
        [] => Micros::ZERO,
    };
    let by = to - from + gap;
    let rounded = by.round_to(tick);
    if rounded < by {
        rounded + tick
    } else {
        rounded
    }
}

fn duplicated(lane: &Meant<'_>, pattern: &Pattern, by: Micros) -> Changed {
    let mut later = lane.chosen();
    for pulse in &mut later {
        pulse.start += by;
    }
    let later = wrapped(&later, pattern.period);
    let mut all = lane.pulses.to_vec();
    all.extend(&later);
    sort_by(&mut all, |one, other| one.start.cmp(&other.start));
    if !is_free_of_overlap(&all) {
        return Err(format!(
            "no room for the copy, it would begin {by} after the first pulse"
        ));
    }
    Ok((all, later))
}

fn quantized(lane: &Meant<'_>, pattern: &Pattern) -> Changed {
    let (role, tick) = (lane.role, pattern.tick);
    let (mut all, mut moved) = (lane.pulses.to_vec(), Vec::new());
    let round = |at: Micros| {
        if at == pattern.period {
            at
        } else {
            at.round_to(tick).min(pattern.period)
        }
    };
    for index in &lane.indices {
        let Some(pulse) = all.get_mut(*index) else {
            continue;
        };
        let (from, to) = (round(pulse.start), round(pulse.end()));
        if to <= from {
            return Err(format!(
                "pulse {} of lane {role} is shorter than a tick, {tick}, and would vanish",
                index + 1
            ));
        }
        pulse.start = from;
        pulse.length = to - from;
        moved.push(*pulse);
    }
    if !is_free_of_overlap(&all) {
        return Err(format!(
            "pulses of lane {role} would overlap on the tick, {tick}"
        ));
    }
    Ok((all, moved))
}

fn spread(lane: &Meant<'_>, pattern: &Pattern) -> Changed {
    let is_part = lane.is_selected && lane.indices.len() > 2;
    let moving: Vec<usize> = if is_part {
        lane.indices.clone()
    } else {
        (0..lane.pulses.len()).collect()
    };
    let start = |place: Option<&usize>| {
        place
            .and_then(|index| lane.pulses.get(*index))
            .map_or(Micros::ZERO, |pulse| pulse.start)
    };
    let (first, last) = (start(moving.first()), start(moving.last()));
    let n_pulses = i64::try_from(moving.len()).unwrap_or(i64::MAX);
    let (whole, parts) = if is_part {
        (last - first, n_pulses - 1)
    } else {
        (pattern.period, n_pulses)
    };
    let mut all = lane.pulses.to_vec();
    for (place, index) in (0_i64..).zip(&moving) {
        if let Some(pulse) = all.get_mut(*index) {
            let by = Micros(whole.0 * place / parts.max(1));
            pulse.start = first
                + if by == whole {
                    by
                } else {
                    by.round_to(pattern.tick)
                };
        }
    }
    let all = wrapped(&all, pattern.period);
    if !is_free_of_overlap(&all) {
        return Err(format!(
            "pulses of lane {} would overlap at equal distances",
            lane.role
        ));
    }
    Ok((all, Vec::new()))
}
