//! Pure changes of a lane as a whole: shift, reverse, invert, repeat, spread, and what covers what.
//!
//! A lane repeats, so a pulse may reach across the end of the period; the model holds it as two pieces, one that ends with the period and one that starts it.
//! Two pieces of the same level and color that meet there count as one pulse here, and are parted again afterwards.
//! Invariant: what comes out is sorted, free of overlap and within the period when what went in was.

use lampwright_model::Pulse;
use lampwright_timing::{Level, Micros, sort_by};

/// Whether two pulses look the same where they touch.
pub(crate) fn is_alike(one: &Pulse, other: &Pulse) -> bool {
    one.level == other.level && one.color == other.color
}

/// Cuts pulses at the end of the period and sorts them; starts may be anywhere, no length above the period.
pub(crate) fn wrapped(pulses: &[Pulse], period: Micros) -> Vec<Pulse> {
    let mut pieces = Vec::with_capacity(pulses.len() + 1);
    for pulse in pulses {
        let start = pulse.start.wrap(period);
        let first = pulse.length.min(period - start);
        let piece = |start, length| Pulse {
            start,
            length,
            ..*pulse
        };
        pieces.push(piece(start, first));
        if first < pulse.length {
            pieces.push(piece(Micros::ZERO, pulse.length - first));
        }
    }
    sort_by(&mut pieces, |one, other| one.start.cmp(&other.start));
    pieces
}

/// The pulses with the two pieces of one across the end of the period put together; that one comes last and reaches past the end.
pub(crate) fn seam_joined(pulses: &[Pulse], period: Micros) -> Vec<Pulse> {
    match pulses {
        [first, inner @ .., last]
            if first.start == Micros::ZERO && last.end() == period && is_alike(first, last) =>
        {
            let mut joined = inner.to_vec();
            joined.push(Pulse {
                length: last.length + first.length,
                ..*last
            });
            joined
        }
        _ => pulses.to_vec(),
    }
}

/// Everything `by` later; what leaves the period at one end comes in at the other.
pub(crate) fn shifted(pulses: &[Pulse], period: Micros, by: Micros) -> Vec<Pulse> {
    let mut moved = seam_joined(pulses, period);
    for pulse in &mut moved {
        // Light without an end has no start to move.
        pulse.start = if pulse.length == period {
            Micros::ZERO
        } else {
            pulse.start + by
        };
    }
    wrapped(&moved, period)
}

/// The pulses that lie wholly within a stretch, the last first; the others stay.
pub(crate) fn reversed(pulses: &[Pulse], from: Micros, to: Micros) -> Vec<Pulse> {
    let mut turned = pulses.to_vec();
    for pulse in &mut turned {
        if pulse.start >= from && pulse.end() <= to {
            pulse.start = from + to - pulse.end();
        }
    }
    sort_by(&mut turned, |one, other| one.start.cmp(&other.start));
    turned
}

/// Lit where the lane was dark and dark where it was lit, in the level and color of its first pulse.
pub(crate) fn inverted(pulses: &[Pulse], period: Micros) -> Vec<Pulse> {
    let looks = pulses.first().copied().unwrap_or(FULL);
    let mut gaps = Vec::with_capacity(pulses.len() + 1);
    let mut from = Micros::ZERO;
    let end = Pulse {
        start: period,
        ..looks
    };
    for pulse in pulses.iter().chain([&end]) {
        if pulse.start > from {
            gaps.push(Pulse {
                start: from,
                length: pulse.start - from,
                ..looks
            });
        }
        from = pulse.end();
    }
    gaps
}

/// A pulse at full level without a color of its own.
const FULL: Pulse = Pulse {
    start: Micros::ZERO,
    length: Micros(1),
    level: Level::FULL,
    color: None,
};

/// `over` laid on `under`: what is below is cut where `over` is lit, and stays in its gaps.
pub(crate) fn overlaid(under: &[Pulse], over: &[Pulse]) -> Vec<Pulse> {
    let mut all = over.to_vec();
    for pulse in under {
        let mut from = pulse.start;
        let next = over.partition_point(|cover| cover.end() <= from);
        let mut keep = |from: Micros, to: Micros| {
            if to > from {
                all.push(Pulse {
                    start: from,
                    length: to - from,
                    ..*pulse
                });
            }
        };
        for cover in over.iter().skip(next) {
            if cover.start >= pulse.end() {
                break;
            }
            keep(from, cover.start);
            from = cover.end();
        }
        keep(from, pulse.end());
    }
    sort_by(&mut all, |one, other| one.start.cmp(&other.start));
    all
}

/// Whether no two pulses share an instant; `pulses` sorted.
pub(crate) fn is_free_of_overlap(pulses: &[Pulse]) -> bool {
    pulses
        .windows(2)
        .all(|pair| matches!(pair, [one, other] if one.end() <= other.start))
}

/// `pulses` begun `n_times` at even distances over the period, the first time where they are; none when they are longer than that distance.
///
/// Starts of the repetitions are rounded to the tick; what goes past the end of the period comes in at its start.
pub(crate) fn repeated(
    pulses: &[Pulse],
    period: Micros,
    tick: Micros,
    n_times: i64,
) -> Option<Vec<Pulse>> {
    let from = pulses.first()?.start;
    let to = pulses.last()?.end();
    let mut all = Vec::new();
    for time in 0..n_times {
        let by = Micros(period.0 * time / n_times).round_to(tick);
        let next = Micros(period.0 * (time + 1) / n_times).round_to(tick);
        if to - from > next.min(period) - by {
            return None;
        }
        all.extend(pulses.iter().map(|pulse| Pulse {
            start: pulse.start + by,
            ..*pulse
        }));
    }
    let all = wrapped(&all, period);
    is_free_of_overlap(&all).then_some(all)
}

/// How often the shortest part that repeats fits into the period: 2 for two equal flashes half a period apart; none for an empty lane.
pub(crate) fn n_repeats(pulses: &[Pulse], period: Micros) -> Option<i64> {
    let whole = seam_joined(pulses, period);
    let n_pulses = whole.len();
    let repeats_in = |n_parts: &usize| {
        let (step, rest) = (n_pulses / n_parts, n_pulses % n_parts);
        let Ok(parts) = i64::try_from(*n_parts) else {
            return false;
        };
        rest == 0
            && period.0 % parts == 0
            && whole
                .iter()
                .zip(whole.iter().skip(step))
                .all(|(one, other)| {
                    other.start - one.start == Micros(period.0 / parts)
                        && one.length == other.length
                        && is_alike(one, other)
                })
            // Around the end of the period as well.
            && match (whole.first(), whole.get(n_pulses - step)) {
                (Some(first), Some(last)) => {
                    first.start + period - last.start == Micros(period.0 / parts)
                }
                _ => false,
            }
    };
    (1..=n_pulses)
        .rev()
        .find(repeats_in)
        .and_then(|parts| i64::try_from(parts).ok())
}

/// How long the lane is lit in one period.
pub(crate) fn lit_time(pulses: &[Pulse]) -> Micros {
    pulses
        .iter()
        .fold(Micros::ZERO, |sum, pulse| sum + pulse.length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::{Color, lane_problems};
    use proptest::prelude::*;

    fn pulse(start: i64, length: i64) -> Pulse {
        Pulse {
            start: Micros(start),
            length: Micros(length),
            ..FULL
        }
    }

    const PERIOD: Micros = Micros(500);

    #[test]
    fn a_pulse_across_the_end_of_the_period_stays_one_pulse() {
        let lane = [pulse(400, 60)];
        let across = shifted(&lane, PERIOD, Micros(70));
        assert_eq!(across, [pulse(0, 30), pulse(470, 30)]);
        assert_eq!(shifted(&across, PERIOD, Micros(-70)), lane);
        assert_eq!(shifted(&across, PERIOD, Micros(100)), [pulse(70, 60)]);
        assert_eq!(n_repeats(&across, PERIOD), Some(1));
    }

    #[test]
    fn pieces_of_different_levels_at_the_end_of_the_period_stay_two_pulses() {
        let mut lane = [pulse(0, 30), pulse(470, 30)];
        lane[0].level = Level::nearest(500);
        let later = shifted(&lane, PERIOD, Micros(50));
        assert_eq!(later.len(), 2);
        assert_eq!(shifted(&later, PERIOD, Micros(-50)), lane);
    }

    #[test]
    fn a_lane_that_is_always_lit_or_always_dark_keeps_so_when_shifted() {
        assert_eq!(shifted(&[], PERIOD, Micros(30)), []);
        let lit = shifted(&[pulse(0, 500)], PERIOD, Micros(30));
        assert_eq!(lit, [pulse(0, 500)]);
        assert_eq!(
            shifted(&[pulse(0, 30), pulse(30, 470)], PERIOD, Micros(90)),
            [pulse(0, 500)]
        );
        assert_eq!(inverted(&[], PERIOD), [pulse(0, 500)]);
        assert_eq!(inverted(&[pulse(0, 500)], PERIOD), []);
    }

    #[test]
    fn only_what_lies_in_the_stretch_is_reversed() {
        let lane = [pulse(0, 10), pulse(20, 30), pulse(60, 10), pulse(90, 20)];
        assert_eq!(
            reversed(&lane, Micros(20), Micros(70)),
            [pulse(0, 10), pulse(20, 10), pulse(40, 30), pulse(90, 20)]
        );
    }

    #[test]
    fn what_is_laid_over_cuts_what_is_below() {
        let under = [pulse(0, 100), pulse(200, 50)];
        let over = [pulse(20, 30), pulse(90, 120)];
        assert_eq!(
            overlaid(&under, &over),
            [
                pulse(0, 20),
                pulse(20, 30),
                pulse(50, 40),
                pulse(90, 120),
                pulse(210, 40)
            ]
        );
        assert_eq!(overlaid(&under, &[]), under);
        assert_eq!(overlaid(&[], &over), over);
    }

    #[test]
    fn a_train_is_repeated_where_it_fits() {
        let train = [pulse(10, 20), pulse(50, 20)];
        assert_eq!(
            repeated(&train, PERIOD, Micros(1), 2).unwrap(),
            [pulse(10, 20), pulse(50, 20), pulse(260, 20), pulse(300, 20)]
        );
        assert_eq!(repeated(&train, PERIOD, Micros(1), 9), None);
        let twice = repeated(&train, PERIOD, Micros(1), 2).unwrap();
        assert_eq!(n_repeats(&twice, PERIOD), Some(2));
        assert_eq!(n_repeats(&train, PERIOD), Some(1));
        assert_eq!(n_repeats(&[], PERIOD), None);
    }

    /// Pulses with random gaps, some of them touching, in two levels and colors.
    fn lane() -> impl Strategy<Value = (Micros, Vec<Pulse>)> {
        let pulse = (0_i64..40, 1_i64..40, any::<bool>(), any::<bool>());
        (prop::collection::vec(pulse, 0..12), 1_i64..60).prop_map(|(runs, rest)| {
            let mut at = 0;
            let mut pulses = Vec::new();
            for (gap, length, is_dim, is_red) in runs {
                // A third of the gaps are none.
                at += (gap - 13).max(0);
                pulses.push(Pulse {
                    start: Micros(at),
                    length: Micros(length),
                    level: if is_dim {
                        Level::nearest(400)
                    } else {
                        Level::FULL
                    },
                    color: is_red.then_some(Color::Red),
                });
                at += length;
            }
            (Micros(at + rest - 1).max(Micros(2)), pulses)
        })
    }

    /// Light of each microsecond.
    fn light(pulses: &[Pulse], period: Micros) -> Vec<Option<(Level, Option<Color>)>> {
        (0..period.0)
            .map(|at| {
                pulses
                    .iter()
                    .find(|pulse| pulse.start.0 <= at && at < pulse.end().0)
                    .map(|pulse| (pulse.level, pulse.color))
            })
            .collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn every_operation_keeps_a_lane_sorted_and_free_of_overlap(
            (period, pulses) in lane(),
            (_, other) in lane(),
            by in -400_i64..400,
            n_times in 1_i64..6,
        ) {
            prop_assume!(pulses.last().is_none_or(|last| last.end() <= period));
            let other: Vec<Pulse> = other.into_iter().filter(|pulse| pulse.end() <= period).collect();
            let mut results = vec![
                shifted(&pulses, period, Micros(by)),
                reversed(&pulses, Micros::ZERO, period),
                inverted(&pulses, period),
                overlaid(&pulses, &other),
            ];
            results.extend(repeated(&pulses, period, Micros(3), n_times));
            for result in results {
                prop_assert_eq!(lane_problems(period, &result), vec![]);
            }
        }

        #[test]
        fn what_is_done_twice_or_there_and_back_is_as_before((period, pulses) in lane(), by in -400_i64..400) {
            let end = period;
            prop_assert_eq!(&reversed(&reversed(&pulses, Micros::ZERO, end), Micros::ZERO, end), &pulses);
            // A seam between two pulses of one light is lost when it comes to lie where the period ends.
            let mut whole: Vec<Pulse> = Vec::new();
            for pulse in &pulses {
                match whole.last_mut() {
                    Some(last)
                        if last.end() == pulse.start
                            && (last.level, last.color) == (pulse.level, pulse.color) =>
                    {
                        last.length += pulse.length;
                    }
                    _ => whole.push(*pulse),
                }
            }
            let there = shifted(&whole, period, Micros(by));
            prop_assert_eq!(&shifted(&there, period, Micros(-by)), &whole);
            let back = shifted(&shifted(&pulses, period, Micros(by)), period, Micros(-by));
            prop_assert_eq!(light(&back, period), light(&pulses, period));
            // Inverting keeps one level and color, and no seam between pulses that touch.
            let lit = |pulses: &[Pulse]| -> Vec<bool> { light(pulses, period).iter().map(Option::is_some).collect() };
            prop_assert_eq!(lit(&inverted(&inverted(&pulses, period), period)), lit(&pulses));
            let mut plain: Vec<Pulse> = Vec::new();
            for pulse in &pulses {
                match plain.last_mut() {
                    Some(last) if last.end() == pulse.start => last.length += pulse.length,
                    _ => plain.push(Pulse { level: Level::FULL, color: None, ..*pulse }),
                }
            }
            prop_assert_eq!(inverted(&inverted(&plain, period), period), plain);
        }

        #[test]
        fn a_shift_moves_the_light_and_nothing_else((period, pulses) in lane(), by in 0_usize..400) {
            let before = light(&pulses, period);
            let after = light(&shifted(&pulses, period, Micros(by as i64)), period);
            for (at, here) in before.iter().enumerate() {
                prop_assert_eq!(here, &after[(at + by) % after.len()]);
            }
        }
    }
}
