//! Operations on trains of pulses: each changes lanes one by one.
//!
//! Invariant: what comes out is sorted, free of overlap and within the period, or the operation is refused.

use super::{Changed, Meant, Operation};
use crate::EditorState;
use crate::edits::{Done, Outcome};
use crate::lane_ops::{
    inverted, is_alike, is_free_of_overlap, repeated, reversed, seam_joined, shifted, wrapped,
};
use lampwright_model::{Pattern, Pulse};
use lampwright_timing::{Micros, sort_by};

impl EditorState {
    pub(super) fn shape(&mut self, pattern: &Pattern, operation: Operation) -> Done {
        let is_of_lanes = matches!(operation, Operation::Reverse | Operation::Invert);
        let meant = self.meant(pattern, is_of_lanes)?;
        let playhead = self.preview.at.wrap(pattern.period).round_to(pattern.tick);
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
        let by = meant.iter().map(|lane| after(lane, pattern).0).max();
        let by = by.unwrap_or(Micros::ZERO);
        self.change_each(pattern, label, &meant, &|lane| match operation {
            Operation::Split => split(lane, pattern, has_playhead.then_some(playhead)),
            Operation::JoinTouching => Ok(joined(lane, false)),
            Operation::JoinAcross => Ok(joined(lane, true)),
            Operation::Duplicate => duplicated(lane, pattern, by),
            Operation::Reverse => {
                let (from, to) = if lane.is_selected && lane.indices.len() > 1 {
                    lane.span()
                } else {
                    (Micros::ZERO, pattern.period)
                };
                let mut turned = Vec::new();
                if lane.is_selected {
                    turned = lane.chosen();
                    for pulse in &mut turned {
                        pulse.start = from + to - pulse.end();
                    }
                }
                Ok((reversed(lane.pulses, from, to), turned))
            }
            Operation::Invert => Ok((inverted(lane.pulses, pattern.period), Vec::new())),
            Operation::Quantize => quantized(lane, pattern),
            _ => spread(lane, pattern),
        })
    }

    pub(super) fn repeat(&mut self, pattern: &Pattern, n_times: i64) -> Done {
        let meant = self.meant(pattern, false)?;
        let label = format!("Repeat {n_times} times");
        let n_replaced: usize = meant
            .iter()
            .map(|lane| lane.pulses.len() - lane.indices.len())
            .sum();
        let done = self.change_each(pattern, &label, &meant, &|lane| {
            let train = lane.chosen_whole(pattern.period);
            let all = repeated(&train, pattern.period, pattern.tick, n_times);
            let all = all.ok_or_else(|| {
                format!(
                    "{n_times} times do not fit, each has {} of the period, {}",
                    Micros(pattern.period.0 / n_times),
                    pattern.period
                )
            })?;
            Ok((all, Vec::new()))
        })?;
        Ok(match (done, n_replaced) {
            (Outcome::Say(text), 1) => Outcome::Say(format!("{text}, in place of 1 other pulse")),
            (Outcome::Say(text), more @ 2..) => {
                Outcome::Say(format!("{text}, in place of {more} other pulses"))
            }
            (other, _) => other,
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

/// Parts the pulses that are meant at an instant, or at the tick nearest to the middle of each.
fn split(lane: &Meant<'_>, pattern: &Pattern, playhead: Option<Micros>) -> Changed {
    let (mut all, mut parts) = (Vec::new(), Vec::new());
    for (index, pulse) in lane.pulses.iter().enumerate() {
        let middle = pulse.start + Micros(pulse.length.0 / 2);
        let at = playhead.unwrap_or_else(|| middle.round_to(pattern.tick));
        let is_inside = pulse.start < at && at < pulse.end();
        if lane.has(index) && !is_inside && playhead.is_none() {
            return Err(format!(
                "pulse {} of lane {} is too short to be split on the tick, {}",
                index + 1,
                lane.role,
                pattern.tick
            ));
        }
        if !(lane.has(index) && is_inside) {
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
    Ok((all, parts))
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

/// The dark gaps between pulses, without those that touch.
fn gaps(pulses: &[Pulse]) -> impl Iterator<Item = Micros> {
    let pairs = pulses.iter().zip(pulses.iter().skip(1));
    pairs
        .map(|(one, next)| next.start - one.end())
        .filter(|gap| *gap > Micros::ZERO)
}

/// How much later a copy of what is meant begins, and the dark gap before it: like the first gap in what is meant, or as long as that is where it has none.
fn after(lane: &Meant<'_>, pattern: &Pattern) -> (Micros, Micros) {
    let tick = pattern.tick;
    let chosen = lane.chosen_whole(pattern.period);
    let from = chosen.first().map_or(Micros::ZERO, |first| first.start);
    let to = chosen.last().map_or(Micros::ZERO, Pulse::end);
    let gap = gaps(&chosen).next().unwrap_or(to - from);
    let by = to - from + gap;
    let rounded = by.round_to(tick);
    let by = if rounded < by {
        rounded + tick
    } else {
        rounded
    };
    (by, gap)
}

/// What is meant and a copy of it, which leaves no dark gap shorter than the lane's shortest and than the one before the copy.
fn duplicated(lane: &Meant<'_>, pattern: &Pattern, by: Micros) -> Changed {
    let period = pattern.period;
    let (_, own) = after(lane, pattern);
    let least = gaps(&seam_joined(lane.pulses, period)).fold(own, Micros::min);
    let mut later = lane.chosen_whole(period);
    for pulse in &mut later {
        pulse.start = (pulse.start + by).wrap(period);
        has_room(lane, pulse, (lane.pulses, period), least)?;
    }
    let later = wrapped(&later, period);
    let mut all = lane.pulses.to_vec();
    all.extend(&later);
    sort_by(&mut all, |one, other| one.start.cmp(&other.start));
    Ok((all, later))
}

/// Says why a pulse cannot be put among others of its lane: because less than `least` dark would be left beside it.
fn has_room(
    lane: &Meant<'_>,
    pulse: &Pulse,
    (others, period): (&[Pulse], Micros),
    least: Micros,
) -> Result<(), String> {
    let dark = dark_around(pulse, others, period);
    let what = match dark {
        enough if enough >= least => return Ok(()),
        below if below < Micros::ZERO => "overlap another pulse".to_owned(),
        short => format!("leave {short} dark beside another pulse, at least {least} wanted"),
    };
    Err(format!(
        "no room in lane {}: a pulse at {} would {what}",
        lane.role, pulse.start
    ))
}

/// The shorter of the times from a pulse to the one before and to the one after around the end of the period; below zero where it overlaps one.
fn dark_around(pulse: &Pulse, pulses: &[Pulse], period: Micros) -> Micros {
    let next = pulses.partition_point(|known| known.start < pulse.start);
    let before = match next.checked_sub(1).and_then(|index| pulses.get(index)) {
        Some(before) => before.end(),
        None => pulses.last().map_or(pulse.start, Pulse::end) - period,
    };
    let after = match pulses.get(next).or(pulses.first()) {
        Some(after) if after.start < pulse.start => after.start + period,
        Some(after) => after.start,
        None => pulse.start + period,
    };
    (pulse.start - before).min(after - pulse.end())
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

/// Puts pulses at equal distances: three or more selected ones between the first and the last, two half a period apart, else all of the lane over the period.
///
/// Beside others of the lane they leave no dark gap shorter than its shortest.
fn spread(lane: &Meant<'_>, pattern: &Pattern) -> Changed {
    let period = pattern.period;
    let chosen = lane.chosen_whole(period);
    let is_part = lane.is_selected && chosen.len() > 1;
    let mut moving = if is_part {
        chosen
    } else {
        seam_joined(lane.pulses, period)
    };
    let start = |pulse: Option<&Pulse>| pulse.map_or(Micros::ZERO, |pulse| pulse.start);
    let (first, last) = (start(moving.first()), start(moving.last()));
    let n_pulses = i64::try_from(moving.len()).unwrap_or(i64::MAX);
    let (whole, parts) = if is_part && n_pulses > 2 {
        (last - first, n_pulses - 1)
    } else {
        (period, n_pulses)
    };
    for (place, pulse) in (0_i64..).zip(&mut moving) {
        let by = Micros(whole.0 * place / parts.max(1));
        pulse.start = first
            + if by == whole {
                by
            } else {
                by.round_to(pattern.tick)
            };
    }
    let resting = (0..lane.pulses.len()).filter(|index| is_part && !lane.has(*index));
    let mut all: Vec<Pulse> = resting
        .filter_map(|index| lane.pulses.get(index).copied())
        .collect();
    let least = gaps(&seam_joined(lane.pulses, period)).min();
    for pulse in &mut moving {
        pulse.start = pulse.start.wrap(period);
        has_room(lane, pulse, (&all, period), least.unwrap_or_default())?;
    }
    let spread = wrapped(&moving, period);
    all.extend(&spread);
    sort_by(&mut all, |one, other| one.start.cmp(&other.start));
    if !is_free_of_overlap(&all) {
        return Err(format!(
            "pulses of lane {} would overlap at equal distances",
            lane.role
        ));
    }
    Ok((all, if is_part { spread } else { Vec::new() }))
}
