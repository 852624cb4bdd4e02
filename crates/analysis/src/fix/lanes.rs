//! Candidates that change the pulses of a pattern: another period, a wider dark gap, shorter light.

use super::Candidate;
use crate::quantity::{Limit, Quantity};
use lampwright_model::{Edit, Item, Lane, Pattern, PatternId, Program, Pulse, RoleId};
use lampwright_timing::{Interval, Micros};

const OTHER_PERIOD: u8 = 1;
const WIDER_GAP: u8 = 2;
const WIDER_GAPS: u8 = 3;
const SHORTER_PULSES: u8 = 4;
const SHORTER_TRAIN: u8 = 5;
const LONGER_PULSES: u8 = 6;

/// The pattern scaled as a whole until the rate is inside the limit: at its end first, then further inside.
pub(super) fn other_period<'program>(
    program: &'program Program,
    pattern: &PatternId,
    measured: Quantity,
    limit: Limit,
) -> Vec<Candidate<'program>> {
    let Some(pattern) = program.patterns.iter().find(|known| known.id == *pattern) else {
        return Vec::new();
    };
    let is_too_fast = limit.at_most.is_some_and(|most| measured > most);
    let end = if is_too_fast {
        limit.at_most
    } else {
        limit.at_least
    };
    let Some(end) = end else {
        return Vec::new();
    };
    let (measured_over, measured_under) = measured.fraction();
    let (end_over, end_under) = end.fraction();
    // How far beyond the end, in hundredths; a dark gap that has to grow as well needs more room.
    let mut candidates: Vec<Candidate> = Vec::new();
    for hundredths in [100, 105, 110, 125, 150, 175] {
        let (more, less) = if is_too_fast {
            (hundredths, 100)
        } else {
            (100, hundredths)
        };
        let numerator = i128::from(pattern.period.get())
            .checked_mul(measured_over)
            .and_then(|value| value.checked_mul(end_under))
            .and_then(|value| value.checked_mul(more));
        let denominator = measured_under
            .checked_mul(end_over)
            .and_then(|value| value.checked_mul(less));
        let (Some(numerator), Some(denominator)) = (numerator, denominator) else {
            continue;
        };
        let tick = i128::from(pattern.tick.get().max(1));
        let Some(unit) = denominator.checked_mul(tick).filter(|unit| *unit > 0) else {
            continue;
        };
        let ticks = if is_too_fast {
            (numerator + unit - 1) / unit
        } else {
            numerator / unit
        };
        let Some(period) = ticks
            .checked_mul(tick)
            .and_then(|period| i64::try_from(period).ok())
            .map(Micros)
        else {
            continue;
        };
        if period <= Micros::ZERO || period == pattern.period {
            continue;
        }
        let verb = if period > pattern.period {
            "Stretch"
        } else {
            "Shorten"
        };
        candidates.push(Candidate::new(
            OTHER_PERIOD,
            format!(
                "{verb} pattern {} from {} to {period}, all its pulses with it",
                pattern.id, pattern.period
            ),
            move || Some(Edit::Put(Item::Pattern(scaled(pattern, period)?))),
        ));
    }
    candidates
}

/// The pattern with another period: every edge scaled exactly, then moved to the nearest tick.
///
/// None when two edges would fall together, so that a pulse or the gap between two would vanish.
#[must_use]
pub fn scaled(pattern: &Pattern, period: Micros) -> Option<Pattern> {
    if period <= Micros::ZERO || pattern.period <= Micros::ZERO || period == pattern.period {
        return None;
    }
    let edge = |at: Micros| {
        if at == pattern.period {
            return Some(period);
        }
        let exact = i128::from(at.get()) * i128::from(period.get());
        let whole = i128::from(pattern.period.get());
        let nearest = (2 * exact + whole).div_euclid(2 * whole);
        let at = Micros(i64::try_from(nearest).ok()?).round_to(pattern.tick);
        Some(at.min(period))
    };
    let lanes = pattern
        .lanes
        .iter()
        .map(|lane| {
            let pulses = lane
                .pulses
                .iter()
                .map(|pulse| {
                    let start = edge(pulse.start)?;
                    let end = edge(pulse.end())?;
                    (end > start).then_some(Pulse {
                        start,
                        length: end - start,
                        ..*pulse
                    })
                })
                .collect::<Option<Vec<Pulse>>>()?;
            let keeps_gaps =
                lane.pulses
                    .windows(2)
                    .zip(pulses.windows(2))
                    .all(|(before, after)| match (before, after) {
                        ([one, other], [new, next]) => {
                            (one.end() < other.start) == (new.end() < next.start)
                                && new.end() <= next.start
                        }
                        _ => true,
                    });
            keeps_gaps.then(|| Lane {
                role: lane.role.clone(),
                pulses: pulses.into(),
            })
        })
        .collect::<Option<Vec<Lane>>>()?;
    Some(Pattern {
        period,
        lanes,
        ..pattern.clone()
    })
}

/// A wider dark gap, or shorter light, as the limit asks.
pub(super) fn other_lengths<'program>(
    program: &'program Program,
    (pattern_id, role): &'program (PatternId, RoleId),
    span: Option<Interval>,
    measured: Quantity,
    limit: Limit,
) -> Vec<Candidate<'program>> {
    let pattern = program
        .patterns
        .iter()
        .find(|known| known.id == *pattern_id);
    let Some((pattern, lane)) =
        pattern.and_then(|pattern| pattern.lane(role).map(|lane| (pattern, lane)))
    else {
        return Vec::new();
    };
    let changed = move |pulses: Vec<Pulse>| {
        let is_other = !pulses.is_empty() && *pulses != *lane.pulses;
        is_other.then(|| Edit::SetPulses {
            pattern: pattern_id.clone(),
            lane: role.clone(),
            pulses,
        })
    };
    let name = format!("pattern {pattern_id} lane {role}");
    let mut candidates = Vec::new();
    if let Some(least) = limit.at_least.filter(|least| measured < *least) {
        let Some(wanted) = micros(least, true) else {
            return Vec::new();
        };
        candidates.push(Candidate::new(
            WIDER_GAP,
            format!("Shorten the pulse before the longest dark gap of {name}, so that the gap is {least}"),
            move || changed(with_gap(pattern, lane, wanted, false)?),
        ));
        candidates.push(Candidate::new(
            WIDER_GAPS,
            format!("Shorten the pulses of {name}, so that every dark gap is at least {least}"),
            move || changed(with_gap(pattern, lane, wanted, true)?),
        ));
    }
    if let (Some(most), Some(span)) = (limit.at_most.filter(|most| measured > *most), span) {
        let (Some(most_micros), Some(measured_micros)) =
            (micros(most, false), micros(measured, true))
        else {
            return Vec::new();
        };
        candidates.push(Candidate::new(
            SHORTER_PULSES,
            format!("Shorten each pulse of the flash in {name}, to {most} in all"),
            move || {
                changed(shortened(
                    pattern,
                    lane,
                    span,
                    most_micros,
                    measured_micros,
                )?)
            },
        ));
        let window = Interval {
            start: span.start + most_micros,
            length: span.length - most_micros,
        };
        candidates.push(Candidate::new(
            SHORTER_TRAIN,
            format!("Cut the flash in {name} off after {most}"),
            move || changed(cut(pattern, &lane.pulses, &[window])?),
        ));
    }
    candidates
}

/// The pulses of the lane longer in proportion, until they are lit for the share of the period that is wanted.
pub(super) fn longer_pulses<'program>(
    program: &'program Program,
    (pattern_id, role): &'program (PatternId, RoleId),
    measured: Quantity,
    limit: Limit,
) -> Vec<Candidate<'program>> {
    let lane = program
        .patterns
        .iter()
        .find(|known| known.id == *pattern_id)
        .and_then(|pattern| pattern.lane(role).map(|lane| (pattern, lane)));
    let (Some((pattern, lane)), Some(least)) =
        (lane, limit.at_least.filter(|least| measured < *least))
    else {
        return Vec::new();
    };
    let (over, under) = least.fraction();
    let (measured_over, measured_under) = measured.fraction();
    let scaled = move |length: Micros| {
        let numerator = i128::from(length.get())
            .checked_mul(over)?
            .checked_mul(measured_under)?;
        let denominator = under
            .checked_mul(measured_over)
            .filter(|value| *value > 0)?;
        let exact = (numerator + denominator - 1).div_euclid(denominator);
        Some(ceil_to(Micros(i64::try_from(exact).ok()?), pattern.tick))
    };
    let longer = move |pulse: &Pulse| {
        Some(Pulse {
            length: scaled(pulse.length)?,
            ..*pulse
        })
    };
    // An edit whose pulses overlap or leave the period is refused by the program.
    vec![Candidate::new(
        LONGER_PULSES,
        format!("Lengthen the pulses of pattern {pattern_id} lane {role} to {least} lit"),
        move || {
            Some(Edit::SetPulses {
                pattern: pattern_id.clone(),
                lane: role.clone(),
                pulses: lane.pulses.iter().map(longer).collect::<Option<_>>()?,
            })
        },
    )]
}

/// A quantity of milliseconds in whole microseconds.
fn micros(quantity: Quantity, round_up: bool) -> Option<Micros> {
    let (over, under) = quantity.fraction();
    let exact = over.checked_mul(1000)?;
    let whole = if round_up {
        (exact + under - 1).div_euclid(under)
    } else {
        exact.div_euclid(under)
    };
    i64::try_from(whole).ok().map(Micros)
}

/// The pulses with dark gaps of at least a length, each opened toward the pulse before it: the longest one alone, or all.
fn with_gap(pattern: &Pattern, lane: &Lane, wanted: Micros, all: bool) -> Option<Vec<Pulse>> {
    if wanted >= pattern.period {
        return None;
    }
    let next = lane.pulses.iter().skip(1).map(|pulse| pulse.start).chain(
        lane.pulses
            .first()
            .map(|first| first.start + pattern.period),
    );
    let gaps: Vec<(Micros, Micros)> = lane
        .pulses
        .iter()
        .zip(next)
        .map(|(pulse, next)| (pulse.end(), next))
        .collect();
    let longest = gaps.iter().map(|(from, to)| *to - *from).max()?;
    let windows: Vec<Interval> = gaps
        .iter()
        .filter(|(from, to)| all || *to - *from == longest)
        .take(if all { usize::MAX } else { 1 })
        .filter(|(from, to)| *to - *from < wanted)
        .map(|(_, to)| Interval {
            start: (*to - wanted).wrap(pattern.period),
            length: wanted,
        })
        .collect();
    cut(pattern, &lane.pulses, &windows)
}

/// The pulses without what lies in the windows, which may run past the end of the period; ends move to the tick before.
fn cut(pattern: &Pattern, pulses: &[Pulse], windows: &[Interval]) -> Option<Vec<Pulse>> {
    let mut kept = pulses.to_vec();
    for window in windows {
        if window.length <= Micros::ZERO {
            return None;
        }
        let start = window.start.wrap(pattern.period);
        for shift in [Micros::ZERO, -pattern.period] {
            let from = start + shift;
            let to = from + window.length;
            kept = kept
                .into_iter()
                .flat_map(|pulse| {
                    let before_end = pulse.end().min(from);
                    let before_end = if before_end < pulse.end() {
                        floor_to(before_end, pattern.tick)
                    } else {
                        before_end
                    };
                    let after_start = pulse.start.max(to);
                    let after_start = if after_start > pulse.start {
                        ceil_to(after_start, pattern.tick)
                    } else {
                        after_start
                    };
                    let before = (before_end > pulse.start).then(|| Pulse {
                        length: before_end - pulse.start,
                        ..pulse
                    });
                    let after = (after_start < pulse.end() && after_start >= before_end)
                        .then(|| Pulse {
                            start: after_start,
                            length: pulse.end() - after_start,
                            ..pulse
                        })
                        .filter(|_| before.is_none_or(|before| before.end() < pulse.end()));
                    before.into_iter().chain(after)
                })
                .collect();
        }
    }
    Some(kept)
}

/// The pulses that start within a span, each shortened in proportion, down to the tick.
fn shortened(
    pattern: &Pattern,
    lane: &Lane,
    span: Interval,
    most: Micros,
    measured: Micros,
) -> Option<Vec<Pulse>> {
    if measured <= Micros::ZERO {
        return None;
    }
    lane.pulses
        .iter()
        .map(|pulse| {
            let from_span = (pulse.start - span.start).wrap(pattern.period);
            if from_span >= span.length {
                return Some(*pulse);
            }
            let exact = i128::from(pulse.length.get()) * i128::from(most.get())
                / i128::from(measured.get());
            let length = floor_to(Micros(i64::try_from(exact).ok()?), pattern.tick);
            (length > Micros::ZERO).then_some(Pulse { length, ..*pulse })
        })
        .collect()
}

fn floor_to(at: Micros, tick: Micros) -> Micros {
    let tick = tick.get().max(1);
    Micros(at.get().div_euclid(tick) * tick)
}

fn ceil_to(at: Micros, tick: Micros) -> Micros {
    -floor_to(-at, tick)
}
